"""The file behind a talk: its bytes, its lines, and an account of what became of each line."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

from extract.errors import TranscriptError
from extract.model import SourceWarning

MAX_BYTES = 50_000_000
#: Warnings of one kind that are listed singly; the rest of the kind goes into one closing line.
LISTED = 5
#: Control characters, stray byte order marks, non-characters and lone surrogates: never part of speech.
UNSAFE = re.compile("[\x00-\x08\x0e-\x1f\x7f-\x84\x86-\x9f\ufeff\ufffe\uffff\ud800-\udfff]")
UNSAFE_KIND = "Control characters were replaced by spaces."
_BINARY_BYTES = bytes(set(range(32)) - set(b"\t\n\v\f\r\x1b"))
_SIGNATURES = (
    (b"%PDF", 0, "a PDF"),
    (b"PK\x03\x04", 0, "a zip archive or an office document"),
    (b"RIFF", 0, "a film or sound file"),
    (b"OggS", 0, "a film or sound file"),
    (b"ID3", 0, "a sound file"),
    (b"fLaC", 0, "a sound file"),
    (b"\x1aE\xdf\xa3", 0, "a film file"),
    (b"ftyp", 4, "a film file"),
    (b"\x89PNG", 0, "a picture"),
    (b"\xff\xd8\xff", 0, "a picture"),
    (b"\x1f\x8b", 0, "a compressed file"),
)
_OPEN, _CUE, _KNOWN, _REPORTED = range(4)


class Source:
    """A transcript as lines of text, numbered from 1, with the warnings that reading it gives.

    A reader tells for every line whether it went into a cue (`cue`), is a known part of the format
    (`known`) or is reported (`warn`); `unaccounted` lists the lines that it forgot.
    """

    def __init__(self, path: Path, data: bytes) -> None:
        self.path = path
        self.file = path.name
        self.data = data
        self.sha256 = hashlib.sha256(data).hexdigest()
        self._problems: dict[str, list[tuple[int | None, str]]] = {}
        text, encoding_problem = _decode(path, data)
        self.text = text.replace("\r\n", "\n").replace("\r", "\n")
        self.lines = self.text.split("\n")
        self._account = bytearray(len(self.lines) + 1)
        if encoding_problem:
            line, kind, detail = encoding_problem
            self._problems[kind] = [(line, detail)]
        if UNSAFE.search(self.text):
            for number, line in enumerate(self.lines, 1):
                if UNSAFE.search(line):
                    self._problems.setdefault(UNSAFE_KIND, []).append((number, ""))
            self.text = self.unsafe_to_spaces(self.text)
            self.lines = self.text.split("\n")

    def cue(self, first: int, last: int | None = None) -> None:
        """Lines `first` to `last` hold words or times of a cue."""
        self._mark(first, last, _CUE)

    def known(self, first: int, last: int | None = None) -> None:
        """Lines `first` to `last` belong to the format and hold no speech."""
        self._mark(first, last, _KNOWN)

    def warn(self, line: int | None, kind: str, detail: str = "", last: int | None = None) -> None:
        """Report a problem in lines `line` to `last`; `kind` is the same text for all problems of one sort."""
        self._problems.setdefault(kind, []).append((line, detail))
        if line is not None:
            self._mark(line, last, _REPORTED)

    def is_reported(self, line: int) -> bool:
        """Whether a problem in this line was reported already."""
        return self._account[line] == _REPORTED

    def confidence(self, value: float | None, line: int) -> float | None:
        """The value if it is a confidence from 0 to 1; anything else is reported and counts as not given."""
        if value is None or 0.0 <= value <= 1.0:
            return value
        self.warn(line, "A confidence is outside 0 to 1.", "It was left out.")
        return None

    def warn_unsafe(self, line: int) -> None:
        """Report characters that were replaced by spaces."""
        self.warn(line, UNSAFE_KIND)

    def clean(self, text: str, line: int) -> str:
        """The text without control characters, which escapes can bring in."""
        if UNSAFE.search(text):
            self.warn_unsafe(line)
            return self.unsafe_to_spaces(text)
        return text

    @staticmethod
    def unsafe_to_spaces(text: str) -> str:
        """The text with a space for each control character."""
        return UNSAFE.sub(" ", text)

    def unaccounted(self) -> list[int]:
        """The lines, blank ones aside, of which no reader said what they are."""
        return [n for n, line in enumerate(self.lines, 1) if self._account[n] == _OPEN and line.strip()]

    def warnings(self) -> tuple[SourceWarning, ...]:
        """All problems in order of lines; many of one kind end in a line that counts the rest."""
        out: list[SourceWarning] = []
        for kind, places in self._problems.items():
            for line, detail in places[:LISTED]:
                out.append(SourceWarning(file=self.file, line=line, message=f"{kind} {detail}".rstrip()))
            rest = [line for line, _ in places[LISTED:] if line is not None]
            if rest:
                more = f"{kind} The same in {len(rest)} more places, up to line {max(rest)}."
                out.append(SourceWarning(file=self.file, line=min(rest), message=more))
        return tuple(sorted(out, key=lambda w: (w.line or 0, w.message)))

    def error(self, what: str, remedy: str, line: int | None = None) -> TranscriptError:
        """An error about this file, ready to raise."""
        return TranscriptError(what, file=self.path, line=line, remedy=remedy)

    def _mark(self, first: int, last: int | None, state: int) -> None:
        for number in range(first, (last or first) + 1):
            self._account[number] = max(state, self._account[number])


def load(path: str | Path) -> Source:
    """The file as a `Source`; `TranscriptError` where it cannot be one."""
    path = Path(path)
    try:
        if path.is_dir():
            raise TranscriptError("This is a folder.", file=path, remedy="Give the transcript files in it.")
        if not path.exists():
            raise TranscriptError("There is no such file.", file=path, remedy="Check the name and the folder.")
        if not path.is_file():
            raise TranscriptError(
                "This is not a regular file.", file=path, remedy="Save the transcript as a file first."
            )
        with path.open("rb") as stream:
            data = stream.read(MAX_BYTES + 1)
    except PermissionError as error:
        raise TranscriptError(
            "The file may not be read.", file=path, remedy="Ask for permission to read it."
        ) from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise TranscriptError(f"The file cannot be read: {reason}.", file=path, remedy="Check the name.") from error
    if len(data) > MAX_BYTES:
        raise TranscriptError(
            f"The file is larger than {MAX_BYTES // 1_000_000} MB; no transcript of a talk is.",
            file=path,
            remedy="Check that it is the transcript and not the film, or split it and join the parts.",
        )
    return Source(path, data)


def _decode(path: Path, data: bytes) -> tuple[str, tuple[int, str, str] | None]:
    """Text of the bytes, and the problem met on the way as line, kind and detail."""
    for signature, place, what in _SIGNATURES:
        if data[place : place + len(signature)] == signature:
            raise TranscriptError(
                f"This is {what}, not a transcript.", file=path, remedy="Give the transcript as text."
            )
    for bom, encoding in ((b"\xff\xfe", "utf-16-le"), (b"\xfe\xff", "utf-16-be")):
        if data.startswith(bom):
            return _decode_utf16(path, data[2:], encoding), None
    if data.startswith(b"\xef\xbb\xbf"):
        data = data[3:]
    sample = data[:65536]
    if sample.count(0) * 5 > len(sample) >= 8:
        # Text in UTF-16 without its mark has a zero in nearly every second byte, and only on one side.
        high, low = sample[0::2].count(0), sample[1::2].count(0)
        if max(high, low) > 0.35 * len(sample) and min(high, low) * 20 < max(high, low):
            text = _decode_utf16(path, data, "utf-16-be" if high > low else "utf-16-le")
            return text, (1, "The file is UTF-16 without a byte order mark.", "")
    odd = len(sample) - len(sample.translate(None, _BINARY_BYTES))
    if odd * 50 > len(sample) and odd > 1:
        raise TranscriptError(
            "This is a binary file, not a transcript.", file=path, remedy="Give the transcript as text in UTF-8."
        )
    try:
        return data.decode("utf-8"), None
    except UnicodeDecodeError as error:
        line = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n").count(b"\n", 0, error.start) + 1
        if len(data) - error.start < 4 and error.reason == "unexpected end of data":
            return data[: error.start].decode("utf-8"), (
                line,
                "The file ends in the middle of a letter.",
                "It is cut off.",
            )
        try:
            text = data.decode("cp1252")
        except UnicodeDecodeError:
            text = data.decode("latin-1")
        return text, (line, "The file is not UTF-8.", "It was read as Latin-1; check accented letters and signs.")


def _decode_utf16(path: Path, data: bytes, encoding: str) -> str:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        raise TranscriptError(
            "The file says that it is UTF-16 and is not.", file=path, remedy="Save it as UTF-8."
        ) from error
