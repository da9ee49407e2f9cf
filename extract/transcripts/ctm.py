"""Time-marked words of NIST's scoring toolkit (SCTK, `doc/infmts.htm`): one word a line, with its confidence.

`file channel begin duration word [confidence]`; `;;` starts a comment; alternatives stand between
`<ALT_BEGIN>`, `<ALT>` and `<ALT_END>`. The format has no sentences: cues are made from pauses.
"""

from __future__ import annotations

import math

from extract.transcripts.heard import Heard, Piece, Reading
from extract.transcripts.source import Source
from extract.transcripts.timing import time_order

#: A silence of this length between two words ends a cue.
PAUSE_S = 0.5
#: Longest cue, in words, of a talk without pauses.
LONGEST_CUE = 60
#: Marks of recognisers for silence and empty arcs: not words. `<unk>` stays, a word was there.
_NO_WORDS = frozenset(("<eps>", "<epsilon>", "<sil>", "<s>", "</s>", "<silence>", "!sil", "@", "<pause>"))
_ALTERNATIVES = ("<alt_begin>", "<alt>", "<alt_end>")


def read_ctm(source: Source) -> Reading:
    """The words of a CTM file, in cues parted by pauses; a second `file` counts as a further recording."""
    channels: dict[str, dict[str, list[tuple]]] = {}
    alternative = 0
    for number, line in enumerate(source.lines, 1):
        fields = line.split()
        if not fields:
            continue
        if line.lstrip().startswith(";;"):
            source.known(number)
            continue
        mark = fields[4].lower() if len(fields) > 4 else ""
        if mark in _ALTERNATIVES:
            if mark == "<alt_begin>":
                source.warn(number, "The recogniser gives alternatives here.", "The first one was used.")
            source.known(number)
            alternative = {"<alt_begin>": 1, "<alt>": alternative + 1, "<alt_end>": 0}[mark]
            continue
        if alternative > 1 or mark in _NO_WORDS:
            source.known(number)
            continue
        entry = _read_word(source, number, fields)
        if entry:
            channels.setdefault(fields[0], {}).setdefault(fields[1], []).append(entry)
    if alternative:
        source.warn(len(source.lines), "The alternatives at the end have no <ALT_END>.", "The file may be cut off.")
    reading = Reading()
    for recording, of_file in enumerate(channels.values()):
        cues: list[Heard] = []
        for channel, words in of_file.items():
            order = time_order([word[0] for word in words])
            if order.moved:
                source.warn(words[order.moved[0]][4], "Words are not in order of time.", "They were put in order.")
                words = [words[index] for index in order.order]
            cues.extend(_cues(words, channel if len(of_file) > 1 else None, recording))
        if len(of_file) > 1:
            cues.sort(key=lambda cue: cue.start_s or 0.0)
        reading.cues.extend(cues)
    return reading


def _read_word(source: Source, number: int, fields: list[str]) -> tuple | None:
    if len(fields) < 5:
        source.warn(number, "A word needs file, channel, begin, duration and the word.", "The line was left out.")
        return None
    source.cue(number)
    start, duration = _number(source, number, fields[2], "start time"), _number(source, number, fields[3], "duration")
    confidence = None
    if len(fields) > 5:
        confidence = source.confidence(_number(source, number, fields[5], "confidence"), number)
        if len(fields) > 6:
            source.warn(number, "There are more than six columns.", "The further ones were not used.")
    if duration is not None and duration < 0:
        source.warn(number, "The duration is negative.", "It was taken as none.")
        duration = 0.0
    end = None if start is None else start + (duration or 0.0)
    return start, end, fields[4], confidence, number


def _number(source: Source, number: int, text: str, what: str) -> float | None:
    try:
        value = float(text)
    except ValueError:
        try:
            value = float(text.replace(",", "."))
            source.warn(number, "The decimal mark is a comma.")
        except ValueError:
            value = math.nan
    if math.isfinite(value):
        return value
    if text.upper() not in ("*", "NA"):
        source.warn(number, f"The {what} cannot be read.", f"Here it is “{text[:40]}”.")
    return None


def _cues(words: list[tuple], speaker: str | None, recording: int) -> list[Heard]:
    cues: list[Heard] = []
    group: list[tuple] = []
    silent_since = -math.inf
    for word in words:
        if group and (len(group) >= LONGEST_CUE or (word[0] is not None and word[0] - silent_since >= PAUSE_S)):
            cues.append(_cue(group, speaker, recording))
            group = []
        group.append(word)
        if word[1] is not None:
            silent_since = word[1]
    if group:
        cues.append(_cue(group, speaker, recording))
    return cues


def _cue(words: list[tuple], speaker: str | None, recording: int) -> Heard:
    starts = [word[0] for word in words if word[0] is not None]
    ends = [word[1] for word in words if word[1] is not None]
    row = tuple(Piece(f"{word[2]} ", word[0], word[1], word[3]) for word in words)
    return Heard(min(starts, default=None), max(ends, default=None), (row,), words[0][4], speaker, None, recording)
