"""What the files of one load bring: which are new, what they gave, which are set aside."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from reliability.loaders.careful_rows import Reject
    from reliability.loaders.manifest import Manifest, SourceEntry
    from reliability.loaders.mapping import Mapping


@dataclass(frozen=True, slots=True)
class Loaded:
    """What one load did. Rows are of the files that it read: read = kept + rejected + duplicates."""

    files: int = 0
    files_unchanged: int = 0
    set_aside: dict[str, str] = field(default_factory=dict)  # name -> reason
    rows_kept: int = 0
    rows_rejected: int = 0
    duplicate_rows: int = 0

    @property
    def rows_read(self) -> int:
        """Every record of these files that is not blank."""
        return self.rows_kept + self.rows_rejected + self.duplicate_rows


class Reading:
    """The files of one load, as they come in, on top of those that the store knows."""

    def __init__(self, known: Manifest, mapping: Mapping) -> None:
        self.mapping = mapping
        self.rules = mapping.rules_digest
        self.before = known.sources
        self.sources = dict(known.sources)
        self._read_as = Counter((entry.digest, entry.rules) for entry in known.sources.values())
        self.came: dict[str, list[str]] = {}  # month -> new parts
        self.anew: set[str] = set()  # months that lost rows: made from all their parts
        self.rejects: list[tuple[str, Reject]] = []
        self.usable: set[str] = set()  # files read now or unchanged
        self.aside: dict[str, str] = {}  # name -> reason
        self.unchanged = 0
        # How snapshots are read that stay where they lie: digest of the rules -> the rules.
        self.read_in_place = dict(known.read_in_place)

    def knows_by_name(self, name: str, digest: str) -> bool:
        """Whether the file of this name was read with this content and these rules."""
        here = self.sources.get(name)
        return here is not None and (here.digest, here.rules) == (digest, self.rules)

    def knows(self, name: str, digest: str) -> bool:
        """Whether the file of this name was read with this content and these rules; if there is none, any file."""
        if name in self.sources:
            return self.knows_by_name(name, digest)
        return self._read_as[digest, self.rules] > 0

    def keep(self, name: str) -> None:
        """Note that a file is as it was when it was read."""
        self.unchanged += 1
        self.usable.add(name)

    def take(self, name: str, entry: SourceEntry, rejects: tuple[Reject, ...]) -> None:
        """Note what a file came to, in place of what it had given before."""
        before = self.sources.get(name)
        if before is not None:
            self.anew |= set(before.parts)
            self._read_as[before.digest, before.rules] -= 1
        self.sources[name] = entry
        self._read_as[entry.digest, entry.rules] += 1
        for month, part in entry.parts.items():
            self.came.setdefault(month, []).append(part)
        self.rejects += [(name, reject) for reject in rejects]
        self.usable.add(name)

    def parts_of(self, month: str) -> list[str]:
        """All parts of a month, those of earlier loads included."""
        return [entry.parts[month] for entry in self.sources.values() if month in entry.parts]

    def read_now(self) -> dict[str, SourceEntry]:
        """The files that were read by this load."""
        return {name: entry for name, entry in self.sources.items() if entry != self.before.get(name)}

    def loaded(self) -> Loaded:
        """The account of this load."""
        read = self.read_now().values()
        return Loaded(
            files=len(read),
            files_unchanged=self.unchanged,
            set_aside=dict(self.aside),
            rows_kept=sum(entry.rows_kept for entry in read),
            rows_rejected=sum(entry.rows_rejected for entry in read),
            duplicate_rows=sum(entry.duplicate_rows for entry in read),
        )
