"""Every error that a user can cause.

DriveyearsError               one sentence: the value, the rule, the way out
|-- SourceError               a file that cannot be used; in a load it is set aside whole
|-- MappingError              a mapping that cannot be used
|-- DatasheetError            a datasheet that cannot be used
|-- StoreError                a store that is not there, of another version, or held by another load
|-- ClusterError              a cluster that cannot be used: PySpark or Java is missing, or nothing answers there
|-- LoadStopped               a load that ended early through no fault of its input; the store is as it was
|-- QuestionError             a question the store cannot answer: no such model, no data in that quarter
`-- InvalidLife               ages that are no life: entry not before exit, negative, missing

The command line prints the sentence and ends with code 2; with code 1 after LoadStopped.
"""

from __future__ import annotations


class DriveyearsError(Exception):
    """Something the user can mend; its text says how."""


class SourceError(DriveyearsError):
    """A file that cannot be used."""


class MappingError(DriveyearsError):
    """A mapping that cannot be used."""


class DatasheetError(DriveyearsError):
    """A datasheet that cannot be used."""


class StoreError(DriveyearsError):
    """A store that is not there, is of another version, or is held by another load."""


class ClusterError(DriveyearsError):
    """A cluster that cannot be used."""


class LoadStopped(DriveyearsError):  # noqa: N818  (reads aloud as what it is)
    """A load that ended early through no fault of its input: the disk or the memory is full, a cluster is lost."""


class QuestionError(DriveyearsError):
    """A question that the store cannot answer."""


class InvalidLife(DriveyearsError):  # noqa: N818  (reads aloud as what it is)
    """Ages that are no life."""
