"""What stops a run. A finding about the data never does.

Every error carries a sentence for a person: which file, which place in it, which value, what to do.
The command line prints that sentence and exits with status 2.
"""

from __future__ import annotations

from collections.abc import Sequence


class PipelineError(Exception):
    """Something that stops the command; the text is shown to the person as it is."""


class UnreadableFile(PipelineError):
    """A raw file cannot be read at all: damaged, encrypted, empty, mislabelled or too large."""


class BadSurveyFile(PipelineError):
    """The survey file has mistakes; all of them are listed, each with its path, value and remedy."""

    def __init__(self, file: str, mistakes: Sequence[str]) -> None:
        self.file = file
        self.mistakes = tuple(mistakes)
        super().__init__("\n".join(f"{file}: {mistake}" for mistake in self.mistakes))


class BadAnswers(PipelineError):
    """The answers file cannot be read as a table of answers."""


class OutputRefused(PipelineError):
    """The output folder cannot be written, or is not one of ours and would be overwritten."""


class TablesBreakTheirSchema(PipelineError):
    """An output table is not what schemas/ declares: a fault of the program, never of the data."""


class AccountsDoNotBalance(PipelineError):
    """Rows read and rows accounted for differ: a fault of the program, never of the data."""
