"""Speakers who are named in the text itself: `Anna: Undo the bolts.` at the head of a block or caption."""

from __future__ import annotations

import re
from collections import Counter

from extract.transcripts.heard import Heard, Piece

#: Blocks that a name must open before it is one.
FEWEST = 2
#: One to three words with capitals or a number, as names are written; bold print around them is no part of it.
_NAME = re.compile(
    r"\s*(?:[-–—>]{1,2}\s*)?\**_*((?:[A-Z][\w.'’-]{0,30})(?:\s(?:[A-Z][\w.'’-]{0,30}|\d{1,3})){0,2})\**_*\s?:\**_*(?:\s+|$)"
)
#: What speech and notes put before a colon, which names nobody.
_NO_NAMES = frozenset(
    """note notes warning caution danger notice attention important remember tip hint remark example next first second
    third last lastly finally then now so okay ok right well again also and but or because yes no question answer
    step steps part parts tool tools torque task job title chapter section removal refit assembly disassembly summary
    result reason order problem size quantity material materials today here""".split()
)


def name_speakers(cues: list[Heard]) -> list[Heard]:
    """The cues with the names that open at least two blocks as their speakers; what follows goes on with them.

    A caption in which a second name opens a row is parted. Cues with speakers of their own stay as they are.
    """
    if any(cue.speaker for cue in cues):
        return cues
    openings = [(cue, name) for cue in cues for row in cue.rows if (name := _opens(row))]
    counts = Counter(name for _, name in openings)
    known = {name for name, count in counts.items() if count >= FEWEST}
    if not known:
        return cues
    if sum(counts[name] for name in known) * 2 > len(cues):
        known = set(counts)  # whoever speaks up once in a talk of turns is a speaker too
    named: list[Heard] = []
    speaker: str | None = None
    recording = None
    for cue in cues:
        if cue.recording != recording:
            recording, speaker = cue.recording, None
        turns: list[tuple[str | None, list[tuple[Piece, ...]]]] = []
        for row in cue.rows:
            name = _opens(row)
            if name in known:
                speaker, row = name, _without_name(row)
                turns.append((speaker, []))
            elif not turns:
                turns.append((speaker, []))
            if row:
                turns[-1][1].append(row)
        named.extend(_parted(cue, [(name, tuple(rows)) for name, rows in turns if rows]))
    return named


def _opens(row: tuple[Piece, ...]) -> str | None:
    """The name that stands at the head of a row, or null."""
    found = _NAME.match(row[0].text) if row and ":" in row[0].text else None
    if found is None or found[1].split()[0].lower() in _NO_NAMES:
        return None
    return found[1]


def _without_name(row: tuple[Piece, ...]) -> tuple[Piece, ...]:
    found = _NAME.match(row[0].text)
    rest = row[0].text[found.end() :] if found else row[0].text
    first = (row[0]._replace(text=rest),) if rest.strip() else ()
    return (*first, *row[1:])


def _parted(cue: Heard, turns: list[tuple[str | None, tuple[tuple[Piece, ...], ...]]]) -> list[Heard]:
    """One cue a turn, the time of the cue shared out by letters."""
    parts = [cue._replace(rows=rows, speaker=speaker) for speaker, rows in turns]
    if len(parts) < 2 or cue.start_s is None or cue.end_s is None:
        return parts
    total = sum(len(part.text) for part in parts) or 1
    shared, done = [], 0
    for part in parts:
        begin, done = done, done + len(part.text)
        start, end = [cue.start_s + (cue.end_s - cue.start_s) * place / total for place in (begin, done)]
        shared.append(part._replace(start_s=start, end_s=end))
    return shared
