"""JSON Lines: a cue a line, with `start`, `end`, `text`, and where known `confidence`, `speaker` and `words`.

A word has `word` or `text`, `start`, `end`, and `confidence` or `probability`. Times are seconds.
"""

from __future__ import annotations

import json
import math
import re

from extract.transcripts.clock import read_clock
from extract.transcripts.heard import Heard, Piece, Reading
from extract.transcripts.source import Source


def read_jsonl(source: Source) -> Reading:
    """The cues of a JSON Lines file. Where words are given their text leads."""
    _refuse_other_json(source)
    reading = Reading()
    for number, line in enumerate(source.lines, 1):
        if not line.strip():
            continue
        try:
            entry = json.loads(line)
        except (ValueError, RecursionError):
            last = number >= len(source.lines) - 1
            source.warn(number, "The line is not JSON.", "The file may be cut off." if last else "It was left out.")
            continue
        if not isinstance(entry, dict):
            source.warn(number, "The line is not a JSON object.", "It was left out.")
            continue
        cue = _read_cue(source, number, entry)
        if cue is not None:
            reading.cues.append(cue)
            source.cue(number)
        else:
            _read_header(source, reading, number, entry)
    return reading


def looks_like_other_json(source: Source) -> bool:
    """Whether the file is JSON of another shape: a list, one object over many lines, a bare value."""
    text = source.text.strip()
    if re.match(r"\[\s*(?:[{\[\"]|\]$)|\{\s*\n", text):
        return True
    if "\n" in text or text.startswith("{"):
        return False
    try:
        json.loads(text)
    except (ValueError, RecursionError):
        return False
    return True


def _refuse_other_json(source: Source) -> None:
    if looks_like_other_json(source):
        shape = {"[": "a list", "{": "one object over many lines"}.get(source.text.lstrip()[:1], "a bare value")
        raise source.error(
            f"This is JSON, but not JSON Lines: it is {shape}.",
            'Write one object a line for each cue, like {"start": 0.4, "end": 2.1, "text": "Undo the bolts."}.',
        )


def _read_header(source: Source, reading: Reading, number: int, entry: dict) -> None:
    """A line without text may tell title and language of the talk."""
    title, language = entry.get("title"), entry.get("language")
    if isinstance(title, str) or isinstance(language, str):
        reading.title = title if isinstance(title, str) else reading.title
        reading.language = language if isinstance(language, str) else reading.language
        source.known(number)
    else:
        source.warn(number, "The line has neither text nor words.", "It was left out.")


def _read_cue(source: Source, number: int, entry: dict) -> Heard | None:
    text, words = entry.get("text"), entry.get("words")
    if text is not None and not isinstance(text, str):
        source.warn(number, "The text is not a string.")
        text = str(text) if isinstance(text, int | float) else None
    pieces: list[Piece] = []
    if words is not None and not isinstance(words, list):
        source.warn(number, "The words are not a list.", "They were left out.")
    elif words:
        pieces = _read_words(source, number, words)
    if pieces:
        _compare(source, number, pieces, text)
    elif text is not None:
        pieces = [Piece(text)]
    else:
        return None
    speaker = entry.get("speaker")
    start, end = _seconds(source, number, entry.get("start")), _seconds(source, number, entry.get("end"))
    return Heard(
        pieces[0].start_s if start is None else start,
        pieces[-1].end_s if end is None else end,
        (tuple(pieces),),
        number,
        speaker if isinstance(speaker, str) else None if speaker is None else str(speaker)[:80],
        _confidence(source, number, entry.get("confidence")),
    )


def _read_words(source: Source, number: int, words: list) -> list[Piece]:
    pieces: list[Piece] = []
    spaced = False
    for word in words:
        text = word.get("word", word.get("text")) if isinstance(word, dict) else None
        if not isinstance(text, str):
            source.warn(number, "A word has no text.", "It was left out.")
            continue
        # Some recognisers put the space into the word, so that "-" joins "twenty" and "five".
        spaced = spaced or (bool(pieces) and text[:1].isspace()) or text[-1:].isspace()
        start, end = word.get("start"), word.get("end")
        if type(start) is not float:
            start = _seconds(source, number, start)
        if type(end) is not float:
            end = _seconds(source, number, end)
        pieces.append(
            Piece(text, start, end, _confidence(source, number, word.get("confidence", word.get("probability"))))
        )
    if not spaced:
        pieces = [piece._replace(text=f"{piece.text} ") for piece in pieces]
    return pieces


def _compare(source: Source, number: int, pieces: list[Piece], text: str | None) -> None:
    if text is not None and "".join(piece.text for piece in pieces).split() != text.split():
        source.warn(number, "The text and the words of the cue differ.", "The words were used.")


def _seconds(source: Source, number: int, value: object) -> float | None:
    if value is None:
        return None
    if isinstance(value, int | float) and not isinstance(value, bool):
        try:
            return float(value)
        except OverflowError:
            return math.inf
    if isinstance(value, str):
        seconds, _ = read_clock(value.strip())
        if seconds is None:
            try:
                seconds = float(value.strip().replace(",", "."))
            except ValueError:
                seconds = None
        if seconds is not None:
            source.warn(number, "A time is a string and not a number of seconds.")
            return seconds
    source.warn(number, "A time cannot be read.", f"Here it is {str(value)[:40]!r}.")
    return None


def _confidence(source: Source, number: int, value: object) -> float | None:
    if value is None or type(value) is float:
        return source.confidence(value, number)
    if isinstance(value, int) and not isinstance(value, bool):
        return source.confidence(float(max(-1, min(value, 2))), number)
    source.warn(number, "A confidence is not a number.", "It was left out.")
    return None
