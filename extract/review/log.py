"""Append-only files of records, one JSON object a line, that a crash at any moment can't harm.

A line is confirmed when `append` has returned: it was written with one call at the end of the file, under
a lock, and flushed to the disk. Lines that can't be read (torn by a crash, or from a newer version) are
reported with their number and stay where they are.
"""

from __future__ import annotations

import fcntl
import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Generic, TypeVar

from pydantic import BaseModel, ValidationError

from extract.errors import CaseError

MAX_FILE = 64 * 1024 * 1024
MAX_LINE = 256 * 1024
#: Age after which a half-written file has no writer any more (seconds).
STALE_S = 60
#: A link is not followed: a case folder from elsewhere could lead to any file.
_OPEN = os.O_RDWR | os.O_CREAT | os.O_APPEND | os.O_CLOEXEC | os.O_NOFOLLOW

_NAMES = {"Decision": "decision", "SignOff": "signature"}

Record = TypeVar("Record", bound=BaseModel)


@dataclass(frozen=True, slots=True)
class BadLine:
    """A line that can't be read, and why."""

    line: int
    why: str


@dataclass(frozen=True, slots=True)
class Lines(Generic[Record]):
    """The records of a log with their 1-based line numbers, and the lines that can't be read.

    `version` is the number of lines; it grows with every append.
    """

    records: tuple[Record, ...]
    numbers: tuple[int, ...]
    bad: tuple[BadLine, ...]
    version: int

    def since(self, version: int) -> tuple[Record, ...]:
        """Records that came after the file had `version` lines."""
        return tuple(record for record, number in zip(self.records, self.numbers, strict=True) if number > version)


class Log(Generic[Record]):
    """A file of records of one type."""

    def __init__(self, path: Path, record: type[Record]) -> None:
        self.path = path
        self._type = record

    def read(self) -> Lines[Record]:
        """Read all lines; a missing file has none."""
        try:
            if self.path.stat().st_size > MAX_FILE:
                raise CaseError(
                    f"larger than {MAX_FILE // 2**20} MB, which no review reaches.",
                    file=self.path,
                    remedy="Check that this is the right file.",
                )
            data = self.path.read_bytes()
        except FileNotFoundError:
            data = b""
        except OSError as error:
            raise CaseError(f"can't be read: {error.strerror}.", file=self.path) from error
        return self._parse(data)

    def append(self, record: Record, *, check: Callable[[Lines[Record]], None] | None = None) -> int:
        """Write one record and return the new version once it is safe on the disk.

        `check` sees the file as it is under the lock and may raise to refuse. Errors: `CaseError` where the
        disk refuses; everything confirmed before is then intact.
        """
        line = record.model_dump_json(by_alias=True).encode()
        if len(line) > MAX_LINE:
            raise CaseError("the decision is too long to be kept.", file=self.path, remedy="Use fewer words.")
        with self.locked() as handle:
            if check is not None:
                check(self.read())
            size = os.fstat(handle).st_size
            torn = size > 0 and os.pread(handle, 1, size - 1) != b"\n"
            try:
                block = (b"\n" if torn else b"") + line + b"\n"
                if os.write(handle, block) != len(block):
                    raise OSError(28, "no space left on the disk")
                os.fsync(handle)
            except OSError as error:
                with suppress(OSError):  # a torn line that stays is told from a whole one when reading
                    os.ftruncate(handle, size)
                raise CaseError(
                    f"the decision was not kept: {error.strerror}. All earlier decisions are safe.",
                    file=self.path,
                    remedy="Make room on the disk or check its rights, then decide again.",
                ) from error
            if size == 0:
                _sync_folder(self.path.parent)
            return self.read().version

    @contextmanager
    def locked(self) -> Iterator[int]:
        """Hold the file for this process; yields its handle. Nobody else appends meanwhile."""
        try:
            handle = os.open(self.path, _OPEN, 0o644)
        except OSError as error:
            raise CaseError(
                f"can't be written: {error.strerror}.", file=self.path, remedy="Check the folder's rights."
            ) from error
        try:
            fcntl.flock(handle, fcntl.LOCK_EX)
            yield handle
        finally:
            os.close(handle)

    def _parse(self, data: bytes) -> Lines[Record]:
        records: list[Record] = []
        numbers: list[int] = []
        bad: list[BadLine] = []
        lines = data.split(b"\n")
        tail = lines.pop()
        for number, line in enumerate(lines, start=1):
            if not line.strip():
                continue
            try:
                records.append(self._type.model_validate_json(line))
                numbers.append(number)
            except ValidationError as error:
                first = error.errors(include_url=False, include_input=False)[0]
                where = ".".join(str(part) for part in first["loc"])
                why = "not JSON" if first["type"] == "json_invalid" else f"{where}: {first['msg']}"
                bad.append(BadLine(number, f"is no {_NAMES.get(self._type.__name__, 'record')} ({why})"))
        if tail:
            bad.append(BadLine(len(lines) + 1, "is broken off while it was being written"))
        return Lines(tuple(records), tuple(numbers), tuple(bad), len(lines))


def write_atomically(path: Path, data: bytes) -> None:
    """Replace a file in one step: readers see the old bytes or the new ones, never a part."""
    partial = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with open(partial, "wb") as handle:
            handle.write(data)
            handle.flush()
            os.fsync(handle.fileno())
        os.replace(partial, path)
        _sync_folder(path.parent)
    except OSError as error:
        partial.unlink(missing_ok=True)
        raise CaseError(
            f"can't be written: {error.strerror}.", file=path, remedy="Check the disk's room and the folder's rights."
        ) from error


def remove_stale_parts(folder: Path) -> None:
    """Remove what killed processes left of files that they were writing."""
    for part in folder.glob(".*.part"):
        with suppress(OSError):
            if time.time() - part.stat().st_mtime > STALE_S:
                part.unlink()


def _sync_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
