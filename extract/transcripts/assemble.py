"""From the cues of one or more recordings to the talk with its words."""

from __future__ import annotations

import hashlib
from typing import NamedTuple

from extract.model import Cue, Talk, Word
from extract.transcripts.heard import Heard, Piece, Reading
from extract.transcripts.source import Source
from extract.transcripts.timing import LATEST_S, settle, spread

#: Word times that run back by less than this were rounded by the recogniser.
CLOSE_S = 0.02


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
    recordings = [(part.source, settle(cues, part.source)) for part in parts for cues in _recordings(part)]
    timed = any(cue.start_s is not None for _, heard in recordings for cue in heard)
    cues: list[Cue] = []
    words: list[Word] = []
    latest = 0.0
    for number, (source, heard) in enumerate(recordings):
        if timed and heard and heard[0].start_s is None:
            source.warn(heard[0].line, "This recording has no times, the others have.", "Its words were spread evenly.")
            heard = spread(heard, 0.0, None)
        offset = latest
        for cue in heard:
            before = len(words)
            words.extend(_words(cue, len(cues), offset, source))
            if len(words) == before:
                continue
            start, end = cue.start_s, cue.end_s
            if start is not None and end is not None:
                start, end = round(start + offset, 3), round(end + offset, 3)
                latest = max(latest, end, max(word.end_s or 0.0 for word in words[before:]))
            text = " ".join([word.text for word in words[before:]])
            cues.append(Cue(start, end, text, cue.speaker, cue.confidence, cue.line, number))
    given = sum(word.start_s is not None and not word.interpolated for word in words)
    readings = [part.reading for part in parts]
    # Built without validation, which would take each word apart and double the time of reading.
    return Talk.model_construct(
        name=parts[0].source.path.stem,
        title=next((title for reading in readings if (title := _one_line(reading.title))), None),
        format="+".join(dict.fromkeys(part.form for part in parts)),
        sha256=_digest(parts),
        duration_s=latest if timed else None,
        language=next((language for reading in readings if (language := _one_line(reading.language))), None),
        times="none" if not timed else "given" if given * 2 > len(words) else "interpolated",
        cues=tuple(cues),
        words=tuple(words),
        warnings=tuple(warning for part in parts for warning in part.source.warnings()),
    )


def _recordings(part: Part) -> list[list[Heard]]:
    """The cues of the file without control characters, those of each recording in a list of their own."""
    recordings: dict[int, list[Heard]] = {}
    for cue in part.reading.cues:
        recordings.setdefault(cue.recording, []).append(_cleaned(cue, part.source))
    return list(recordings.values())


def _words(cue: Heard, index: int, offset: float, source: Source) -> list[Word]:
    """The words of a cue, `offset` seconds later than the file says."""
    if all([piece.start_s is None and piece.confidence is None for row in cue.rows for piece in row]):
        shares = _share(cue.text.split(), cue.start_s, cue.end_s)
        if cue.start_s is None:
            return [Word(text, None, None, None, False, index) for text, _, _ in shares]
        return [
            Word(text, round(start + offset, 3), round(end + offset, 3), None, True, index)
            for text, start, end in shares
        ]
    tokens = _tokens(cue, source)
    if cue.start_s is None or cue.end_s is None:
        return [Word(token.text, None, None, token.confidence, False, index) for token in tokens]
    return [
        Word(text, round(start + offset, 3), round(end + offset, 3), confidence, not given, index)
        for text, start, end, confidence, given in _timed(tokens, cue.start_s, cue.end_s, cue.line, source)
    ]


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


def _cleaned(cue: Heard, source: Source) -> Heard:
    text = cue.text
    if source.clean(text, cue.line) is text and (cue.speaker is None or cue.speaker.isprintable()):
        return cue
    rows = tuple(tuple(piece._replace(text=source.unsafe_to_spaces(piece.text)) for piece in row) for row in cue.rows)
    speaker = None if cue.speaker is None else _one_line(source.unsafe_to_spaces(cue.speaker))
    return cue._replace(rows=rows, speaker=speaker)


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
            confidence = piece.confidence
            start, end = _piece_times(piece, cue, source)
            if glued and not text[0].isspace():
                tokens[-1] = _merge(tokens[-1], _Token(parts.pop(0), None if parts else start, end, confidence, False))
            if len(parts) == 1:
                tokens.append(_Token(parts[0], start, end, confidence, start is not None and end is not None))
            elif parts:
                tokens.extend([_Token(*share, confidence, False) for share in _share(parts, start, end)])
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
    parts: list[str], start_s: float | None, end_s: float | None
) -> list[tuple[str, float | None, float | None]]:
    """Each word with its share of the time by letters, the space after a word counting as one."""
    if start_s is None or end_s is None:
        return [(part, None, None) for part in parts]
    total = sum(map(len, parts)) + len(parts) - 1
    pace = max(0.0, end_s - start_s) / max(1, total)
    shared, begin = [], start_s
    for part in parts:
        end = begin + pace * len(part)
        shared.append((part, begin, end))
        begin = end + pace
    return shared


def _timed(tokens: list[_Token], start_s: float, end_s: float, line: int, source: Source) -> list[_Token]:
    """The words of a cue with times that never run backwards; those without lie between their neighbours."""
    timed: list[_Token] = []
    latest = 0.0 if tokens and tokens[0].start_s is not None else start_s
    open_from = 0
    for token in tokens:
        text, start, end, confidence, given = token
        if start is None:
            timed.append(token)
            continue
        if start < latest:
            if given and start < latest - CLOSE_S:
                source.warn(line, "The times of words are not in order.", "They were set to follow each other.")
                given = False
            start = latest
        if open_from < len(timed):
            _fill(timed, open_from, latest, start)
        if end is None or end < start:
            if end is not None and given:
                source.warn(line, "A word ends before it starts.", "Its end was set to its start.")
            end, given = start, False
        timed.append(_Token(text, start, end, confidence, given))
        open_from = len(timed)
        latest = start
    if open_from < len(timed):
        _fill(timed, open_from, latest, max(end_s, timed[open_from - 1].end_s if open_from else 0.0))
    return timed


def _fill(tokens: list[_Token], first: int, start_s: float, end_s: float) -> None:
    """Spread the tokens from `first` on over the time from the end of the word before them to `end_s`."""
    if first:
        start_s = max(start_s, min(tokens[first - 1].end_s, end_s))
    shares = _share([token.text for token in tokens[first:]], start_s, end_s)
    tokens[first:] = [
        _Token(text, start, end, token.confidence, False)
        for token, (text, start, end) in zip(tokens[first:], shares, strict=True)
    ]
