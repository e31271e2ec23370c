"""Published check values of array risk, through our functions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.arrays.array import Array
from reliability.arrays.chain import Chain, chain_of
from reliability.units import HOURS_PER_YEAR
from validation.published.checks import Checks

if TYPE_CHECKING:
    from validation.published.checks import Inputs, Values

OURS = Checks()
QUICK = 1e-7  # how much quicker than stated a rebuild is, where the limit of quick rebuilds is asked for


def mean_hours(drives: int, parity: int, given: Inputs, *, side_by_side: bool = False) -> float:
    return chain_of(
        drives,
        parity,
        failures_per_hour=1 / given["mttf"],
        rebuild_hours=given["mttr"],
        side_by_side=side_by_side,
    ).mean_hours_to_loss()


def textbook_hours(drives: int, parity: int, given: Inputs) -> float:
    """The usual formula MTTF^(p+1) / (n (n-1) ... MTTR^p): what the chain comes to where rebuilds are quick."""
    return mean_hours(drives, parity, {**given, "mttr": given["mttr"] * QUICK}) * QUICK**parity


@OURS.computes("pgk_parity")
def groups_of_small_disks(given: Inputs) -> Values:
    groups = {
        name: textbook_hours(data + checks, 1, given) / count
        for name, (data, checks, count) in given["groups"].items()
    }
    return groups | {"none": mean_hours(given["D"], 0, given)}


@OURS.computes("chen_raid5")
def hundred_disks_in_groups(given: Inputs) -> Values:
    hours = textbook_hours(given["G"], 1, given) / (given["N"] / given["G"])
    return {"hours": hours, "years": hours / HOURS_PER_YEAR}


@OURS.computes("mttdl_exact_r5")
def single_parity(given: Inputs) -> Values:
    return {"exact": mean_hours(given["N"], 1, given), "approx": textbook_hours(given["N"], 1, given)}


@OURS.computes("mttdl_exact_r6")
def double_parity(given: Inputs) -> Values:
    return {
        "parallel": mean_hours(given["N"], 2, given, side_by_side=True),
        "single": mean_hours(given["N"], 2, given),
        "approx": textbook_hours(given["N"], 2, given),
    }


@OURS.computes("mirror_exact")
def mirrored_pair(given: Inputs) -> Values:
    return {"mttdl": mean_hours(2, 1, given)}


@OURS.computes("ure")
def unreadable_sectors(given: Inputs) -> Values:
    """A mirrored pair reads one drive."""
    return {
        f"T{terabytes}_{-round(power)}": Array(2, 1, terabytes, 200, 10**power).unreadable
        for terabytes in given["TB"]
        for power in (-14, -15)
    }


@OURS.computes("loss_prob")
def loss_at_a_constant_rate(given: Inputs) -> Values:
    hours = given["years"] * HOURS_PER_YEAR
    return {
        f"m{len(str(int(mean))) - 1}_g{groups}": Chain((groups / mean,), (0.0,)).chance_of_loss(hours)
        for mean in given["mttdl_h"]
        for groups in given["groups"]
    }
