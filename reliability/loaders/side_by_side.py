"""Work on several things at once, and work beside other work."""

from __future__ import annotations

from collections import deque
from concurrent.futures import Future, ThreadPoolExecutor
from itertools import islice
from typing import TYPE_CHECKING, Self, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Generator, Iterable
    from types import TracebackType

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


class Beside:
    """Work beside what else goes on, one thing at a time; all that was begun is done when this is left."""

    def __enter__(self) -> Self:
        """Begin."""
        self._pool = ThreadPoolExecutor(1)
        self._begun: Future[None] | None = None
        return self

    def do(self, work: Callable[[], None]) -> None:
        """Begin with some work when that before is done; an error of that before is raised here."""
        self._wait()
        self._begun = self._pool.submit(work)

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """End; an error of the last work is raised here, unless there is one already."""
        try:
            if kind is None:
                self._wait()
        finally:
            self._pool.shutdown()

    def _wait(self) -> None:
        if self._begun is not None:
            self._begun.result()
