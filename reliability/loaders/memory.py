"""How much memory a load may take, and how it is shared out."""

from __future__ import annotations

import ctypes
import os
import re
from dataclasses import dataclass
from typing import Self

from reliability.errors import QuestionError

UNITS = {"MB": 1, "GB": 1000}
LEAST_MB = 500
PROGRAM_MB = 330  # the interpreter and the libraries, with what they keep for themselves
# Of a row on its way, before it is put in order and after, and of its stay, if it has one of its own.
BYTES_A_ROW = 600
BYTES_A_LINE = 32  # of a block of text for each row that is put in order with others
FILES_AT_ONCE = 2  # typing one goes on while another is put in order and written
LARGEST_BLOCK = 1 << 22  # bytes; larger ones gain nothing


@dataclass(frozen=True, slots=True)
class Memory:
    """The shares of those who need it."""

    rows_at_once: int  # put in order together
    block_bytes: int  # of text, typed together
    engine_megabytes: int | None  # before it lays things aside on the disk; None: most of the machine's

    @classmethod
    def of(cls, megabytes: int) -> Self:
        """Share out so many megabytes (10^6 bytes). Raises QuestionError if they are too few."""
        if megabytes < LEAST_MB:
            raise QuestionError(
                f"A load needs {LEAST_MB} MB of memory or more, not {megabytes} MB; name more."
            )
        room = megabytes - PROGRAM_MB
        rows = room * 10**6 // (FILES_AT_ONCE * BYTES_A_ROW)
        return cls(rows, min(rows * BYTES_A_LINE, LARGEST_BLOCK), room)


USUAL = Memory(1 << 20, LARGEST_BLOCK, None)  # a month of 33,000 drives together


def give_back_at_once() -> None:
    """Have Arrow take memory from the system, which has back what is free; to be said before Arrow is loaded.

    Its own allocator keeps it, 150 MB in a load of 11 million rows, and fills large pages of which little is used.
    """
    os.environ.setdefault("ARROW_DEFAULT_MEMORY_POOL", "system")


def give_back() -> None:
    """Have the system's allocator give back what is free among what is not, where it can do that."""
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None)
    if trim is not None:
        trim(0)


def memory_of(text: str) -> Memory:
    """The shares of memory written as 500MB or 2GB. Raises QuestionError if it is not written so, or too little."""
    found = re.fullmatch(r"(\d+(?:\.\d+)?) ?([MG]B)", text.strip(), re.IGNORECASE)
    if found is None:
        raise QuestionError(f"--memory {text} is no size of memory; write it as 500MB or 2GB.")
    return Memory.of(int(float(found[1]) * UNITS[found[2].upper()]))
