"""Compute the sections of docs/validation.md anew, and print them or write them.

`PYTHONPATH=. python tests/validate.py published` prints a section; `--write` writes it; without a name: all, which
takes some minutes.
"""

from __future__ import annotations

import sys

from validation.page import PAGE, SECTIONS, replaced, written


def main(*arguments: str) -> int:
    """Take names of sections, and --write; the exit code is 2 for any other."""
    names = [name for name in arguments if name != "--write"] or list(SECTIONS)
    if unknown := [name for name in names if name not in SECTIONS]:
        sys.stderr.write(f"There is no section {unknown[0]!r}; the sections are {', '.join(SECTIONS)}.\n")
        return 2
    for name in names:
        text = written(name)
        if "--write" in arguments:
            PAGE.write_text(replaced(PAGE.read_text(encoding="utf-8"), name, text), encoding="utf-8")
        else:
            sys.stdout.write(text)
    return 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
