"""Errors of the program: which file, which line or rule, what is wrong, what to do.

The library raises these; only the command line and the review page turn them into words for people.
"""

from __future__ import annotations

from pathlib import Path


class BenchtalkError(Exception):
    """Base of every error that a user can mend.

    `file` is the file (or other source) at fault, `line` its 1-based line, `remedy` what the user can do.
    """

    def __init__(
        self, what: str, *, file: str | Path | None = None, line: int | None = None, remedy: str | None = None
    ) -> None:
        self.what = what
        self.file = str(file) if file is not None else None
        self.line = line
        self.remedy = remedy
        super().__init__(str(self))

    def __str__(self) -> str:
        place = ""
        if self.file:
            place = self.file + (f", line {self.line}" if self.line else "") + ": "
        remedy = f" {self.remedy}" if self.remedy else ""
        return f"{place}{self.what}{remedy}"


class TranscriptError(BenchtalkError):
    """A transcript that cannot be read as a talk."""


class LexiconError(BenchtalkError):
    """A mistake in a lexicon or rule file."""


class CaseError(BenchtalkError):
    """A case folder, draft or decision that cannot be used as asked."""


class GoldError(BenchtalkError):
    """An annotation file that does not fit its talk or its format."""


class MissingExtraError(BenchtalkError):
    """An output needs a package that is not installed."""

    def __init__(self, output: str, extra: str) -> None:
        super().__init__(
            f"{output} needs a package that is not installed.",
            remedy=f"Install it with: pip install 'benchtalk[{extra}]'",
        )
