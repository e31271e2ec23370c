"""Our side where no command does the measured step alone, in processes that are as a command's."""

from reliability.cli.process import answer_once

answer_once()
