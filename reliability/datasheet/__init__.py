"""What is stated for a model, and reading it from a file."""

from reliability.datasheet.datasheet import Datasheet
from reliability.datasheet.read import read_datasheets

__all__ = ["Datasheet", "read_datasheets"]
