"""TTML and IMSC, after W3C Timed Text Markup Language 2 (https://www.w3.org/TR/ttml2/), text profile.

Nothing is ever fetched or expanded: a document type declaration is refused, and with it every entity.
"""

from __future__ import annotations

import html
import re
from dataclasses import dataclass
from xml.parsers import expat

from extract.transcripts.clock import read_clock
from extract.transcripts.heard import Reading, Run, cues_of_runs
from extract.transcripts.rolling import unroll
from extract.transcripts.source import Source

DEEPEST = 100
_XML = "http://www.w3.org/XML/1998/namespace"
_CLOCK = re.compile(r"(\d{2,6}):(\d\d):(\d\d)(?:\.(\d{1,9})|:(\d{2,4})(?:\.(\d{1,4}))?)?")
_OFFSET = re.compile(r"(\d{1,12}(?:\.\d{1,9})?)(h|ms|m|s|f|t)")
_SECONDS = {"h": 3600.0, "m": 60.0, "s": 1.0, "ms": 0.001}
_DECLARATION = re.compile(r"\s*<\?xml[^>]*\?>")
_SILENT = frozenset(("head", "metadata", "style", "styling", "layout", "region", "set", "animate", "agent"))
_HTML_ESCAPE = re.compile(r"&(?!(?:amp|lt|gt|quot|apos);)[A-Za-z]\w{1,30};")


@dataclass(slots=True)
class _Rates:
    """Frames and ticks a second (TTML2 7.2)."""

    frame: float = 30.0
    sub_frame: float = 1.0
    tick: float = 1.0


@dataclass(slots=True)
class _Element:
    """An open element: its active time, and what its children inherit. `silent` ones hold no speech.

    `sequence_s` is where the next child starts if the element is a `seq` container.
    """

    name: str
    start_s: float | None
    end_s: float | None
    timed: bool
    speaker: str | None
    sequence_s: float | None
    silent: bool


def read_ttml(source: Source) -> Reading:
    """The paragraphs of a TTML file as cues; what stands before a break in the XML is read."""
    text = source.text
    for number, line in enumerate(source.lines, 1):
        if "&" in line and _HTML_ESCAPE.search(line):
            source.warn(number, "An escape of HTML is not defined in XML.", "It was read as HTML means it.")
    text = _HTML_ESCAPE.sub(lambda found: _escaped(html.unescape(found.group())), text)
    # The text is decoded already: the declaration's encoding must not count, nor blank lines before it.
    text = _DECLARATION.sub(lambda found: "\n" * found.group().count("\n"), text, count=1)
    document = _Document(source)
    count = len(source.lines)
    try:
        document.parser.Parse(text.encode("utf-8"), True)
        source.known(1, count)
    except expat.ExpatError as error:
        document.parser.buffer_text = False  # hands over the text that it still holds
        line = min(error.lineno, count)
        source.known(1, line)
        reason = expat.ErrorString(error.code)
        source.warn(line, "The XML is broken here.", f"The rest of the file was not read ({reason}).", last=count)
    document.end_paragraph()
    document.reading.cues = unroll(document.reading.cues)
    return document.reading


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;")


class _Document:
    """Handlers of the parser; the state is the stack of open elements and the paragraph at hand."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.reading = Reading()
        self.rates = _Rates()
        self.stack: list[_Element] = []
        self.agents: dict[str, str] = {}
        self.agent = ""
        self.paragraph: _Element | None = None
        self.paragraph_line = 0
        self.runs: list[Run] = []
        self.parser = expat.ParserCreate(encoding="utf-8", namespace_separator=" ")
        self.parser.buffer_text = True
        self.parser.StartDoctypeDeclHandler = self.refuse_doctype
        self.parser.EntityDeclHandler = self.refuse_doctype
        self.parser.StartElementHandler = self.open
        self.parser.EndElementHandler = self.close
        self.parser.CharacterDataHandler = self.text

    @property
    def line(self) -> int:
        return min(self.parser.CurrentLineNumber, len(self.source.lines))

    def refuse_doctype(self, *_: object) -> None:
        raise self.source.error(
            "The file declares a document type or entities, which timed text never needs and attacks use.",
            "Remove the DOCTYPE and write the text out.",
            self.line,
        )

    def open(self, name: str, attributes: dict[str, str]) -> None:
        if len(self.stack) >= DEEPEST:
            raise self.source.error(
                f"Elements are nested more than {DEEPEST} deep.", "Check that this is a timed text file.", self.line
            )
        space, _, local = name.rpartition(" ")
        plain = {key.rpartition(" ")[2]: value for key, value in attributes.items()}
        if not self.stack:
            self.reading.language = attributes.get(f"{_XML} lang") or None
            self.read_rates(plain)
        element = self.timed(local, plain)
        parent = self.stack[-1] if self.stack else None
        element.silent = (parent is not None and parent.silent) or space.endswith("#metadata") or local in _SILENT
        if local == "agent":
            self.agent = attributes.get(f"{_XML} id", "")
        elif not element.silent and "agent" in plain:
            names = [self.agents.get(key, key) for key in plain["agent"].split()]
            element.speaker = ", ".join(names) or None
        self.stack.append(element)
        if local == "p" and not element.silent:
            self.end_paragraph()
            self.paragraph, self.paragraph_line = element, self.line
        elif local == "br" and self.paragraph:
            self.runs.append(Run("\n", None, None, element.speaker))

    def close(self, name: str) -> None:
        element = self.stack.pop()
        if self.stack and self.stack[-1].sequence_s is not None and element.name not in _SILENT:
            ends = element.end_s if element.end_s is not None else element.start_s
            self.stack[-1].sequence_s = max(self.stack[-1].sequence_s, ends or 0.0)
        if element is self.paragraph:
            self.end_paragraph()

    def text(self, text: str) -> None:
        element = self.stack[-1]
        if element.silent:
            if element.name == "title" and not self.paragraph:
                self.reading.title = (self.reading.title or "") + text
            elif element.name == "name" and self.agent:
                self.agents[self.agent] = self.agents.get(self.agent, "") + text.strip()
        elif self.paragraph:
            start, end = (element.start_s, element.end_s) if element.timed and element.name != "p" else (None, None)
            self.runs.append(Run(text.replace("\n", " "), start, end, element.speaker))
        elif text.strip():
            line = self.line - text.lstrip().count("\n")
            self.source.warn(line, "Text outside a paragraph is not timed text.", "It was left out.")

    def end_paragraph(self) -> None:
        """Hand the paragraph over as a cue. Times of its spans lead where it has none itself."""
        paragraph, runs, self.paragraph, self.runs = self.paragraph, self.runs, None, []
        if paragraph is None or not any(run.text.strip() for run in runs):
            return
        start, end = paragraph.start_s, paragraph.end_s
        starts = [run.start_s for run in runs if run.start_s is not None]
        if starts and not paragraph.timed:
            start = min(starts)
            end = max((run.end_s for run in runs if run.end_s is not None), default=end)
        following = end
        for index in range(len(runs) - 1, -1, -1):
            run = runs[index]
            if run.start_s is not None:
                if following is not None and (run.end_s is None or run.end_s > following > run.start_s):
                    runs[index] = run._replace(end_s=following)
                following = run.start_s
        self.reading.cues.extend(cues_of_runs(runs, start, end, self.paragraph_line))

    def timed(self, local: str, attributes: dict[str, str]) -> _Element:
        """The element's active time: offsets count from its parent, or from its elder in a sequence."""
        parent = self.stack[-1] if self.stack else _Element("", None, None, False, None, None, False)
        origin = parent.sequence_s if parent.sequence_s is not None else parent.start_s
        # Only spans give words their own time: that of a paragraph is the cue's.
        inherited = local != "p" and parent.timed and parent.name != "p"
        if not attributes:
            return _Element(local, origin, parent.end_s, inherited, parent.speaker, None, False)
        begin, dur, end = [self.seconds(attributes.get(key)) for key in ("begin", "dur", "end")]
        own = not (begin is None and dur is None and end is None)
        start = (origin or 0.0) + (begin or 0.0) if own else origin
        if begin is None and "begin" in attributes:
            start = None  # it could not be read
        ends = [] if parent.end_s is None else [parent.end_s]
        if dur is not None:
            ends.append((start or 0.0) + dur)
        if end is not None:
            ends.append((origin or 0.0) + end)
        sequence = (start or 0.0) if attributes.get("timeContainer") == "seq" else None
        return _Element(local, start, min(ends, default=None), own or inherited, parent.speaker, sequence, False)

    def read_rates(self, attributes: dict[str, str]) -> None:
        """Frame and tick rate of the root element; TTML2 6.2 gives the defaults."""
        try:
            frame = float(attributes.get("frameRate", 30))
            self.rates.sub_frame = float(attributes.get("subFrameRate", 1))
            factor = attributes.get("frameRateMultiplier", "1 1").replace(":", " ").split()
            self.rates.frame = frame * float(factor[0]) / float(factor[-1])
            usual = self.rates.frame * self.rates.sub_frame if "frameRate" in attributes else 1.0
            self.rates.tick = float(attributes.get("tickRate", usual))
            if not (self.rates.frame > 0 and self.rates.sub_frame > 0 and self.rates.tick > 0):
                raise ValueError
        except (ValueError, ZeroDivisionError, IndexError):
            self.source.warn(self.line, "A frame or tick rate cannot be read.", "The usual rates were used.")
            self.rates = _Rates()

    def seconds(self, text: str | None) -> float | None:
        """A time expression (TTML2 12.3.1) in seconds; a bad one is reported and counts as not given."""
        if text is None:
            return None
        text = text.strip()
        if found := _CLOCK.fullmatch(text):
            hours, minutes, seconds, fraction, frames, sub_frames = found.groups()
            value = int(hours) * 3600 + int(minutes) * 60 + int(seconds)
            if fraction:
                return value + int(fraction) / 10 ** len(fraction)
            if frames:
                value += (int(frames) + int(sub_frames or 0) / self.rates.sub_frame) / self.rates.frame
            return float(value)
        if found := _OFFSET.fullmatch(text):
            number, metric = float(found[1]), found[2]
            if metric == "f":
                return number / self.rates.frame
            return number / self.rates.tick if metric == "t" else number * _SECONDS[metric]
        value, _ = read_clock(text)
        if value is None or value < 0:
            self.source.warn(self.line, "A time cannot be read.", f"Here it is “{text[:40]}”.")
            return None
        self.source.warn(self.line, "A time is not written as TTML asks.", f"Here it is “{text[:40]}”.")
        return value
