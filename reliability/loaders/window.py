"""The days that a question is about, however somebody at a keyboard has them."""

from __future__ import annotations

from datetime import date

from reliability.errors import QuestionError

Day = date | str  # a moment is a date, too: datetime, or what pandas has of it


def day_of(day: Day | None) -> date | None:
    """The day itself: of a moment the day that it lies in, of a text that of the calendar; None stays.

    Raises QuestionError for anything else.

    >>> from datetime import datetime
    >>> day_of("2026-03-31"), day_of(datetime(2026, 3, 31, 23, 59)), day_of(None)
    (datetime.date(2026, 3, 31), datetime.date(2026, 3, 31), None)
    """
    if day is None:
        return None
    try:
        # A moment is cut to its day; one that is missing has none.
        return date(day.year, day.month, day.day) if isinstance(day, date) else date.fromisoformat(day)
    except (TypeError, ValueError):
        raise QuestionError(
            f"{day!r} is no day of the calendar; give a date, or write '2026-03-31'."
        ) from None


def window_of(first_day: Day | None, last_day: Day | None) -> tuple[date | None, date | None]:
    """The first day and the last, either of which may be open.

    Raises QuestionError for what is no day, and for a window that holds none.
    """
    first, last = day_of(first_day), day_of(last_day)
    if first is not None and last is not None and first > last:
        raise QuestionError(
            f"The window from {first} to {last} holds no day; give a first day that is not after the last."
        )
    return first, last
