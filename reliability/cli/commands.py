"""The commands of `driveyears`: what each does, and an example."""

from __future__ import annotations

PURPOSE = (
    "Does a hard drive model keep its stated failure rate? "
    "From daily health snapshots of a fleet to a verdict that stands up."
)
HELP_FLAGS = ("--help", "-h")
COMMANDS = {  # name: what it does, and an example
    "demo": (
        "Make the demonstration store, compare it with its datasheets, write its report.",
        "driveyears demo --out demo",
    ),
    "mapping": (
        "Look at a file of snapshots and propose a mapping for it.",
        "driveyears mapping snapshots/2026-03.csv > mapping.toml",
    ),
    "load": (
        "Read snapshots into a store and reduce them to lives.",
        "driveyears load snapshots/ --mapping mapping.toml --removals removals.csv",
    ),
    "checks": (
        "What is odd in the histories, counted, and the price of each.",
        "driveyears checks --store fleet",
    ),
    "rates": (
        "Failures, drive-years and the rate with its interval.",
        "driveyears rates --by model,quarter --from 2025-01-01",
    ),
    "survival": (
        "How models age: survival, what became of the drives, Weibull, rate by age.",
        "driveyears survival --model 'TARN T18' --at 1y,3y,5y",
    ),
    "compare": (
        "Observed rates against stated ones: a verdict for each model.",
        "driveyears compare --datasheets datasheets.toml",
    ),
    "rank": (
        "Models side by side: like ages, shrunk rates, every two of them.",
        "driveyears rank --format json",
    ),
    "signals": (
        "How health counters, temperature and workload go with failure, and who had a warning.",
        "driveyears signals --datasheets datasheets.toml",
    ),
    "plan": (
        "What a sample says of a stated rate, and what it takes to say more.",
        "driveyears plan --drives 12 --days 365 --failures 0 --stated-mtbf 2500000",
    ),
    "forecast": (
        "Failures to come, and the spares to hold; how past forecasts did.",
        "driveyears forecast --days 90 --service 0.95 --backtest",
    ),
    "rebuild": (
        "Risk of losing data while an array rebuilds a drive.",
        (
            "driveyears rebuild --drives 10 --parity 1 --capacity-tb 30 --mb-per-s 208 "
            "--afr-percent 1.0 --error-rate 1e-15"
        ),
    ),
    "report": (
        "Write the quarterly report: one page, and the tables behind it.",
        "driveyears report --quarter 2026Q3 --datasheets datasheets.toml --out report",
    ),
}
