"""What every writer of this room shares: its options, its entry in the table, its pictures."""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, Protocol

from extract.errors import MissingExtraError
from extract.model import Document, Draft

Edition = Literal["review", "published"]
Signature = Literal["unsigned", "signed", "changed"]


@dataclass(frozen=True, slots=True)
class Picture:
    """A still of the film for one step: `jpeg` bytes, size in pixels, `time_s` in the film."""

    jpeg: bytes
    width: int
    height: int
    time_s: float


@dataclass(frozen=True, slots=True)
class Options:
    """What a document is made for.

    `edition`: `review` shows the whole talk with roles, evidence and remarks; `published` is what the mechanic
    gets. `only` picks variants as pairs of axis and value. `document` overrides fields of the draft's own
    `document`. `signature` is the state of the sign-off, found out by the caller. `pictures` maps step ids to
    stills. `chapters` makes a film chapter of each section or each step.
    """

    edition: Edition = "published"
    only: tuple[tuple[str, str], ...] = ()
    document: Document = field(default_factory=Document)
    signature: Signature = "unsigned"
    pictures: Mapping[str, Picture] = field(default_factory=dict)
    chapters: Literal["section", "step"] = "section"


class Write(Protocol):
    """Draft in, files out: relative file name to bytes. The same draft and options give the same bytes."""

    def __call__(self, draft: Draft, options: Options) -> dict[str, bytes]: ...


@dataclass(frozen=True, slots=True)
class Writer:
    """One output: its name on the command line, what it is, the suffixes it writes, the extra that it needs."""

    name: str
    about: str
    suffixes: tuple[str, ...]
    write: Write
    extra: str | None = None


def lazy(module: str, *, function: str = "write", package: str = "", extra: str | None = None) -> Write:
    """Return a `write` that imports `reports.<module>` when called; where `package` is missing, name `extra`."""

    def write(draft: Draft, options: Options) -> dict[str, bytes]:
        try:
            found = importlib.import_module(f"reports.{module}")
        except ModuleNotFoundError as error:
            if extra is None or (error.name or "").partition(".")[0] != package:
                raise
            raise MissingExtraError(f"The output {module!r}", extra) from error
        return getattr(found, function)(draft, options)

    return write
