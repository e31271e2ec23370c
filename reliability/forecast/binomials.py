"""How many of many drives fail, when each has a chance of its own that is itself only known by draws."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy.special import gammaln, xlog1py, xlogy

from reliability.forecast.counts import NOTHING, Counts

if TYPE_CHECKING:
    from numpy.typing import NDArray

_REACH = 9.0  # standard deviations above the mean that a binomial is followed, and
_MORE = 30.0  # so many counts, for where the mean is small
_AT_ONCE = 1_000_000  # chances held in memory together
_ROUNDING = 1e-9  # of a number of trials


def mixed_binomials(
    chances: NDArray[np.float64], drives: NDArray[np.int64], weights: NDArray[np.float64] | None = None
) -> Counts:
    """The count of failures, over draws of the chances.

    chances  of each group of drives to fail, a row a draw
    drives   in each group
    weights  of the draws, above 0; by default the same for all

    Within a draw the count is Poisson-binomial: drives fail independently, with unlike chances. It is taken as the
    binomial of the same mean whose variance is next above it: so many trials n and such a chance p that n p is the
    sum of all chances, and n p^2 the sum of their squares, n rounded up. Where the chances are equal that is exact,
    and no count above the number of drives is possible. Over the draws the chances of each count are averaged.

    Source: the idea of a binomial with both parameters fitted is that of Barbour, Holst & Janson (1992), chapter 2;
    from memory.

    >>> import numpy as np
    >>> mixed_binomials(np.array([[0.5]]), np.array([2])).chances.tolist()
    [0.25, 0.5, 0.25]
    """
    means, squares = chances @ drives, (chances * chances) @ drives
    weights = np.ones(means.size) if weights is None else weights
    some = squares > 0  # elsewhere no drive can fail
    if not some.any():
        return NOTHING
    trials = np.ceil(means[some] ** 2 / squares[some] * (1 - _ROUNDING))
    chance = np.minimum(means[some] / trials, 1.0)
    furthest = (means[some] + _REACH * np.sqrt(means[some] * (1 - chance)) + _MORE).max()
    count = np.arange(int(min(furthest, trials.max())) + 1, dtype=np.float64)
    together = np.zeros(count.size)
    together[0] = weights[~some].sum()
    step = max(1, _AT_ONCE // count.size)
    for begin in range(0, trials.size, step):
        now = slice(begin, begin + step)
        together += weights[some][now] @ _binomials(trials[now, np.newaxis], chance[now, np.newaxis], count)
    return Counts(together)


def _binomials(
    trials: NDArray[np.float64], chance: NDArray[np.float64], count: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Binomial chances, a row each; 0 for more than there are trials."""
    rest = np.maximum(trials - count, 0.0)
    logs = gammaln(trials + 1) - gammaln(count + 1) - gammaln(rest + 1)
    logs += xlogy(count, chance) + xlog1py(rest, -chance)
    found: NDArray[np.float64] = np.where(count > trials, 0.0, np.exp(logs))
    return found
