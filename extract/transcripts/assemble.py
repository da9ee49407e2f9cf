"""From the cues of one or more recordings to the talk with its words."""

from __future__ import annotations

import hashlib
from typing import NamedTuple

from extract.model import Cue, Talk, Word
from extract.transcripts.heard import Heard, Piece, Reading
from extract.transcripts.source import Source
from extract.transcripts.timing import LATEST_S, settle, spread


class Part(NamedTuple):
    """One file of the talk: its lines, its cues and the name of its format."""

    source: Source
    reading: Reading
    form: str


class _Token(NamedTuple):
    """A word of a cue; `given` says that its times are its own."""

    text: str
    start_s: float | None
    end_s: float | None
    confidence: float | None
    given: bool


def assemble(parts: list[Part]) -> Talk:
    """One talk of all parts. The times of each recording go on where the one before it ended."""
    cues: list[Cue] = []
    words: list[Word] = []
    recording = -1
    latest = 0.0
    any_time = any(cue.start_s is not None for part in parts for cue in part.reading.cues)
    for source, reading, _ in parts:
        by_recording: dict[int, list[Heard]] = {}
        for cue in reading.cues:
            by_recording.setdefault(cue.recording, []).append(_cleaned(cue, source))
        for heard in by_recording.values():
            recording += 1
            offset = latest
            for cue in _placed(heard, source, any_time):
                tokens = _timed(_tokens(cue, source), cue, source)
                if not tokens:
                    continue
                start, end = cue.start_s, cue.end_s
                if start is not None and end is not None:
                    start, end = round(start + offset, 3), round(end + offset, 3)
                    latest = max(latest, end)
                index = len(cues)
                for text, begin, finish, confidence, given in tokens:
                    if begin is None or finish is None:
                        words.append(Word(text, None, None, confidence, False, index))
                        continue
                    finish = round(finish + offset, 3)
                    latest = max(latest, finish)
                    words.append(Word(text, round(begin + offset, 3), finish, confidence, not given, index))
                text = " ".join([token.text for token in tokens])
                confidence = _confidence(cue.confidence, cue.line, source)
                cues.append(Cue(start, end, text, cue.speaker, confidence, cue.line, recording))
    given = sum(word.start_s is not None and not word.interpolated for word in words)
    readings = [part.reading for part in parts]
    first = parts[0].source
    return Talk(
        name=first.path.stem,
        title=next((title for reading in readings if (title := _one_line(reading.title))), None),
        format="+".join(dict.fromkeys(part.form for part in parts)),
        sha256=_digest(parts),
        duration_s=latest if any_time else None,
        language=next((language for reading in readings if (language := _one_line(reading.language))), None),
        times="none" if not any_time else "given" if given * 2 > len(words) else "interpolated",
        cues=tuple(cues),
        words=tuple(words),
        warnings=tuple(warning for part in parts for warning in part.source.warnings()),
    )


def _digest(parts: list[Part]) -> str:
    """SHA-256 over the bytes of all files in order."""
    if len(parts) == 1:
        return parts[0].source.sha256
    whole = hashlib.sha256()
    for part in parts:
        whole.update(part.source.data)
    return whole.hexdigest()


def _one_line(text: str | None) -> str | None:
    return " ".join(text.split()) or None if text else None


def _placed(cues: list[Heard], source: Source, any_time: bool) -> list[Heard]:
    cues = settle(cues, source)
    if any_time and cues and cues[0].start_s is None:
        source.warn(
            cues[0].line, "This recording has no times, the others have.", "Its words were spread at a usual pace."
        )
        return spread(cues, 0.0, None)
    return cues


def _cleaned(cue: Heard, source: Source) -> Heard:
    text = cue.text
    if source.clean(text, cue.line) is text and (cue.speaker is None or cue.speaker.isprintable()):
        return cue
    rows = tuple(tuple(piece._replace(text=source.unsafe_to_spaces(piece.text)) for piece in row) for row in cue.rows)
    speaker = None if cue.speaker is None else _one_line(source.unsafe_to_spaces(cue.speaker))
    return cue._replace(rows=rows, speaker=speaker)


def _confidence(value: float | None, line: int, source: Source) -> float | None:
    if value is None or 0.0 <= value <= 1.0:
        return value
    source.warn(line, "A confidence is outside 0 to 1.", "It was left out.")
    return None


def _tokens(cue: Heard, source: Source) -> list[_Token]:
    """The words of a cue. A word of several pieces starts with the first and ends with the last of them."""
    tokens: list[_Token] = []
    for row in cue.rows:
        glued = False
        for piece in row:
            text = piece.text
            parts = text.split()
            if not parts:
                glued = glued and not text
                continue
            confidence = _confidence(piece.confidence, cue.line, source)
            start, end = _piece_times(piece, cue, source)
            if glued and not text[0].isspace():
                tokens[-1] = _merge(tokens[-1], _Token(parts.pop(0), None if parts else start, end, confidence, False))
            if len(parts) == 1:
                tokens.append(_Token(parts[0], start, end, confidence, start is not None and end is not None))
            elif parts:
                tokens.extend(_Token(part, *times, confidence, False) for part, times in _share(parts, start, end))
            glued = not text[-1].isspace()
    return tokens


def _piece_times(piece: Piece, cue: Heard, source: Source) -> tuple[float | None, float | None]:
    start, end = piece.start_s, piece.end_s
    if start is None:
        return None, None
    if not -1.0 < start < LATEST_S or (end is not None and not -1.0 < end < LATEST_S):
        source.warn(cue.line, "A time of a word is out of all bounds.", "It was left out.")
        return None, None
    return max(start, 0.0), end


def _merge(left: _Token, right: _Token) -> _Token:
    known = [value for value in (left.confidence, right.confidence) if value is not None]
    end = left.end_s if right.end_s is None or right.start_s is None else right.end_s
    return _Token(left.text + right.text, left.start_s, end, min(known, default=None), left.given)


def _share(
    parts: list[str], start: float | None, end: float | None
) -> list[tuple[str, tuple[float | None, float | None]]]:
    """Each word with its share of the time by letters, the space after a word counting as one."""
    if start is None or end is None:
        return [(part, (None, None)) for part in parts]
    total = sum(map(len, parts)) + len(parts) - 1
    pace = max(0.0, end - start) / total
    shared, done = [], 0
    for part in parts:
        shared.append((part, (start + pace * done, start + pace * (done + len(part)))))
        done += len(part) + 1
    return shared


def _timed(tokens: list[_Token], cue: Heard, source: Source) -> list[_Token]:
    """The words with times that never run backwards; those without lie between their neighbours."""
    if cue.start_s is None or cue.end_s is None:
        return [_Token(token.text, None, None, token.confidence, False) for token in tokens]
    timed: list[_Token] = []
    latest = 0.0 if tokens and tokens[0].start_s is not None else cue.start_s
    open_from = 0
    for token in tokens:
        if token.start_s is None:
            timed.append(token)
            continue
        start, end, given = token.start_s, token.end_s, token.given
        if start < latest - 0.0005 and open_from == len(timed):
            if given:
                source.warn(cue.line, "The times of words are not in order.", "They were set to follow each other.")
            given = False
        start = max(start, latest)
        _fill(timed, open_from, latest, start)
        if end is None or end < start:
            if end is not None and given:
                source.warn(cue.line, "A word ends before it starts.", "Its end was set to its start.")
            end, given = start, False
        timed.append(_Token(token.text, start, end, token.confidence, given))
        open_from = len(timed)
        latest = start
    previous = timed[open_from - 1].end_s if open_from else cue.start_s
    _fill(timed, open_from, previous if previous is not None else cue.start_s, max(cue.end_s, previous or 0.0))
    return timed


def _fill(tokens: list[_Token], first: int, start_s: float, end_s: float) -> None:
    """Spread the tokens from `first` on over a stretch of time."""
    if first == len(tokens):
        return
    if first:
        start_s = max(start_s, min(tokens[first - 1].end_s or start_s, end_s))
    shares = _share([token.text for token in tokens[first:]], start_s, end_s)
    tokens[first:] = [
        _Token(token.text, *times, token.confidence, False)
        for token, (_, times) in zip(tokens[first:], shares, strict=True)
    ]
