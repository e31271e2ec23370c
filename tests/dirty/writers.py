"""Files to disk: plain, gz or zip; the removal log; the mapping."""

from __future__ import annotations

import csv
import gzip
import io
import json
import zipfile
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from pathlib import Path

    from slow.nouns import FailureRule, LogEntry, RawFile


def as_text(file: RawFile) -> str:
    """Write a file as CSV."""
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows([file.columns, *file.records])
    return text.getvalue()


def write_files(files: Iterable[RawFile], folder: Path, packing: str = "plain") -> list[Path]:
    """Write files into a folder: plain, gz (each by itself) or zip (all in fleet.zip); give the paths."""
    folder.mkdir(parents=True, exist_ok=True)
    if packing == "zip":
        with zipfile.ZipFile(folder / "fleet.zip", "w", zipfile.ZIP_DEFLATED) as archive:
            for file in files:
                archive.writestr(file.name, as_text(file))
        return [folder / "fleet.zip"]
    paths = []
    for file in files:
        path = folder / (f"{file.name}.gz" if packing == "gz" else file.name)
        content = as_text(file).encode()
        path.write_bytes(gzip.compress(content, mtime=0) if packing == "gz" else content)
        paths.append(path)
    return paths


def write_log(entries: Iterable[LogEntry], path: Path) -> Path:
    """Write the removal log."""
    with path.open("w", encoding="utf-8", newline="") as text:
        rows = csv.writer(text, lineterminator="\n")
        rows.writerow(["serial", "date", "outcome", "model", "reason"])
        for entry in entries:
            rows.writerow(
                [entry.serial, entry.day.isoformat(), entry.outcome, entry.model or "", entry.reason or ""]
            )
    return path


def mapping_toml(aliases: Mapping[str, Sequence[str]], failure: FailureRule | None) -> str:
    """Write the mapping that goes with a fleet; empty if it needs none."""
    lines = []
    if failure is not None:
        lines += ["[failed]", f"column = {json.dumps(failure.column)}"]
        if failure.values is not None:
            lines.append(f"values = {json.dumps(sorted(failure.values))}")
    if aliases:
        lines += [
            "[models]",
            *(f"{json.dumps(key)} = {json.dumps(list(names))}" for key, names in aliases.items()),
        ]
    return "\n".join([*lines, ""]) if lines else ""
