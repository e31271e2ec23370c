"""Work on several things at once, with the results in the order of the things."""

from __future__ import annotations

from collections import deque
from concurrent.futures import Future, ThreadPoolExecutor
from itertools import islice
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Generator, Iterable

Thing = TypeVar("Thing")
Result = TypeVar("Result")


def side_by_side(
    work: Callable[[Thing], Result], things: Iterable[Thing], workers: int
) -> Generator[tuple[Thing, Future[Result]]]:
    """Each thing with its result, which is there or will be; no more is begun than a little ahead of what was taken.

    An error of the work is raised where its result is asked for.
    """
    with ThreadPoolExecutor(workers) as pool:
        coming: deque[tuple[Thing, Future[Result]]] = deque()
        rest = iter(things)
        try:
            while True:
                coming.extend(
                    (thing, pool.submit(work, thing)) for thing in islice(rest, workers + 1 - len(coming))
                )
                if not coming:
                    return
                yield coming.popleft()
        finally:
            pool.shutdown(cancel_futures=True)
