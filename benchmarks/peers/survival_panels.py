"""Survival panels with matplotlib, an SVG file a model: `python -m benchmarks.peers.survival_panels CURVES OUT`.

CURVES is JSON: for each model the steps of its curve, with their limits, worked out beforehand.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

from matplotlib.figure import Figure

if __name__ == "__main__":
    curves, out = map(Path, sys.argv[1:])
    out.mkdir(parents=True)
    for number, model in enumerate(json.loads(curves.read_text(encoding="utf-8"))["models"]):
        figure = Figure(figsize=(3.75, 2.5))
        axes = figure.subplots()
        steps = [step for step in model["kaplan_meier"] if step["low"] is not None]
        years = [step["age_days"] / 365 for step in steps]
        axes.step(years, [step["survival"] for step in steps], where="post")
        low, high = ([step[name] for step in steps] for name in ("low", "high"))
        axes.fill_between(years, low, high, step="post", alpha=0.2)
        axes.set_title(model["model"])
        axes.set_xlabel("age in years")
        axes.set_ylabel("survival")
        figure.savefig(out / f"{number}.svg")
