"""Another source's columns and rules, from TOML; every fault of a file is told at once."""

from __future__ import annotations

import codecs
import difflib
import hashlib
import json
import re
import tomllib
from collections.abc import Mapping as Dictionary
from contextlib import suppress
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import attrs
import cattrs
from cattrs.errors import ForbiddenExtraKeysError

from reliability.errors import MappingError, SourceError
from reliability.loaders import mapping_rules
from reliability.loaders.columns import NUMBERS
from reliability.loaders.mapping_rules import DAY_PATTERNS
from reliability.loaders.spellings import alias_keys

if TYPE_CHECKING:
    from collections.abc import Iterator
    from os import PathLike

DELIMITERS = (",", ";", "\t", "|")
POINT, COMMA = ".", ","  # marks of decimals
ISO_DAY = "%Y-%m-%d"
SECTIONS = {"file", "columns", "failed", "models", "retired", "extra"}


@attrs.frozen
class FileRule:
    """How the text of a file is cut into cells, and how numbers stand in them."""

    delimiter: str = ","
    encoding: str = "utf-8"
    decimal: str = POINT

    @property
    def is_utf8(self) -> bool:
        """Whether the text is utf-8, by whatever name."""
        return codecs.lookup(self.encoding).name == "utf-8"


@attrs.frozen
class ColumnRule:
    """Where one of our columns comes from: a column of theirs, or the day in the file's name."""

    column: str | None = None
    format: str | None = None
    scale: float | None = None
    file_name: str | None = None


@attrs.frozen
class FailedRule:
    """How this source says that a drive failed."""

    column: str
    values: list[str] | None = None


@attrs.frozen
class ExtraRule:
    """Columns kept beyond ours."""

    columns: list[str] = attrs.field(factory=list)


@attrs.frozen
class RetiredRule:
    """Words of the removal log's reasons: for warning signs, and as planned."""

    preemptive: list[str] = attrs.field(factory=list)
    planned: list[str] = attrs.field(factory=list)


@attrs.frozen
class Mapping:
    """What a source calls our columns. The empty mapping expects our own names."""

    file: FileRule = attrs.field(factory=FileRule)
    columns: dict[str, ColumnRule] = attrs.field(factory=dict)
    failed: FailedRule | None = None
    models: dict[str, list[str]] = attrs.field(factory=dict)
    retired: RetiredRule = attrs.field(factory=RetiredRule)
    extra: ExtraRule = attrs.field(factory=ExtraRule)

    @property
    def rules_digest(self) -> str:
        """What of the mapping decides how rows are read; names of models, words of reasons are applied later."""
        rules = attrs.asdict(self)
        del rules["models"], rules["retired"]
        return hashlib.sha256(json.dumps(rules, sort_keys=True).encode()).hexdigest()[:16]

    @property
    def needs_outcome(self) -> bool:
        """Whether a column called `outcome` is claimed, which otherwise marks a removal log."""
        theirs = [rule.column for rule in self.columns.values()] + list(self.extra.columns)
        return "outcome" in theirs or (self.failed is not None and self.failed.column == "outcome")

    def theirs(self, ours: str) -> str | None:
        """The name this source uses for our column, or None where the day stands in the file's name."""
        if ours == "failed" and self.failed is not None:
            return self.failed.column
        rule = self.columns.get(ours)
        return ours if rule is None else rule.column

    def scales(self) -> dict[str, float]:
        """The factor for each numeric column; 1 where none is told."""
        return {name: (self.columns[name].scale or 1.0) if name in self.columns else 1.0 for name in NUMBERS}

    def date_format(self) -> str:
        """The format of the date column; ISO where none is told."""
        rule = self.columns.get("date")
        return ISO_DAY if rule is None or rule.format is None else rule.format

    def day_in_name(self, file_name: str) -> date | None:
        """The day that stands in the file's name, where the mapping says that it does; else None.

        Raises SourceError, its text a reason, where it should stand there and does not.
        """
        rule = self.columns.get("date")
        if rule is None or rule.file_name is None:
            return None
        pattern = re.sub(
            r"%[A-Za-z]",
            lambda found: DAY_PATTERNS[found.group()],
            re.escape(rule.file_name).replace(r"\%", "%"),
        )
        found = re.search(pattern, file_name)
        with suppress(ValueError):
            if found is not None:
                return datetime.strptime(found.group(), rule.file_name).date()  # noqa: DTZ007  (a day has no zone)
        raise SourceError(f"its name holds no day written as {rule.file_name}")


OWN_NAMES = Mapping()


def read_mapping(path: str | PathLike[str]) -> Mapping:
    """Read a mapping from a TOML file.

    Raises MappingError with every fault of the file in one sentence.
    """
    try:
        table = tomllib.loads(Path(path).read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise MappingError(
            f"The mapping {path} cannot be read: {error.strerror}. Give the path of a TOML file."
        ) from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise MappingError(f"The mapping {path} is not TOML: {error}. Mend it there.") from None
    faults = [*_shape_faults(table), *mapping_rules.faults(mapping := _what_holds(table))]
    if faults:
        raise MappingError(f"The mapping {path} cannot be used: {'; '.join(faults)}.")
    alias_keys(mapping.models)
    return mapping


def _shape_faults(table: Dictionary[str, object]) -> Iterator[str]:
    """Sections, keys and types that are not those of a mapping."""
    for name in SECTIONS & table.keys():
        if not isinstance(table[name], Dictionary):
            yield f"{name} is no table; write it as [{name}]"
    tables = {n: value for n, value in table.items() if isinstance(value, Dictionary) or n not in SECTIONS}
    try:
        _CONVERTER.structure(tables, Mapping)
    except cattrs.ClassValidationError as error:
        yield from map(_place, cattrs.transform_error(error, format_exception=_sentence))


def _what_holds(table: Dictionary[str, object]) -> Mapping:
    """The mapping without what has a fault of its shape, so that the faults of the rest can be told as well."""
    if _holds(table):
        return _CONVERTER.structure(table, Mapping)
    kept: dict[str, Dictionary[str, object]] = {}
    for name, section in table.items():
        if isinstance(section, Dictionary):
            held = {key: value for key, value in section.items() if _holds({name: {key: value}})}
            kept |= {name: held} if _holds({name: held}) else {}
    return _CONVERTER.structure(kept, Mapping)


def _holds(table: Dictionary[str, object]) -> bool:
    try:
        _CONVERTER.structure(table, Mapping)
    except cattrs.ClassValidationError:
        return False
    return True


def _number(value: object, _: type) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(f"{value!r} is not a number")  # noqa: TRY004  (cattrs collects ValueError)
    return float(value)


def _text(value: object, _: type) -> str:
    if not isinstance(value, str):
        raise ValueError(f"{value!r} is not text")  # noqa: TRY004  (the same)
    return value


def _texts(value: object, _: type) -> list[str]:
    """A list and nothing else: a text would be taken for the list of its letters."""
    if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
        raise ValueError(f"{value!r} is not a list of texts")
    return value


def _column_rule(value: object, _: type) -> ColumnRule:
    """A plain name stands for { column = name }."""
    if isinstance(value, str):
        return ColumnRule(column=value)
    if not isinstance(value, Dictionary):
        raise ValueError(f"{value!r} is neither a column's name nor a table")  # noqa: TRY004  (the same)
    return _RULES.structure(value, ColumnRule)


def _failed_rule(value: Any, _: type) -> FailedRule:  # noqa: ANN401  (whatever the file holds)
    if isinstance(value, Dictionary) and isinstance(value.get("values"), list):
        # Words are compared as text, so that values = [1] and values = ["1"] are one rule.
        value = {**value, "values": [str(word).strip() for word in value["values"]]}
    return _RULES.structure(value, FailedRule)


def _sentence(error: BaseException, _: type | None) -> str:
    if isinstance(error, ForbiddenExtraKeysError):
        known = [field.name for field in attrs.fields(error.cl)]
        words = []
        for key in sorted(error.extra_fields):
            near = difflib.get_close_matches(key, known, n=1)
            words.append(
                f"unknown key {key!r}"
                + (f", did you mean {near[0]!r}?" if near else f"; known are {', '.join(known)}")
            )
        return "; ".join(words)
    return "it is missing" if isinstance(error, KeyError) else str(error)


def _place(fault: str) -> str:
    """`... @ $.columns['date']` told as `in [columns], date: ...`."""
    text, _, where = fault.partition(" @ $")
    steps = re.findall(r"[A-Za-z_]+|'[^']+'|\d+", where)
    if not steps:
        return text
    rest = ", ".join(step.strip("'") for step in steps[1:])
    return f"in [{steps[0]}], {rest + ': ' if rest else ''}{text}"


_RULES = cattrs.Converter(forbid_extra_keys=True)
_RULES.register_structure_hook(float, _number)
_RULES.register_structure_hook(str, _text)
_RULES.register_structure_hook_func(lambda kind: kind == list[str], _texts)
_CONVERTER = _RULES.copy()
_CONVERTER.register_structure_hook(ColumnRule, _column_rule)
_CONVERTER.register_structure_hook(FailedRule, _failed_rule)
