"""Every published check value of tests/references/published.json, and how ours is computed; one module a field."""

from __future__ import annotations

from validation.published import arrays, comparisons, counts, fits, plans, survival

OURS = {
    **counts.OURS,
    **survival.OURS,
    **fits.OURS,
    **plans.OURS,
    **comparisons.OURS,
    **arrays.OURS,
}
LEFT_OUT = fits.LEFT_OUT
