"""Rolling captions: each cue shows the line before once more, which nobody said twice."""

from __future__ import annotations

from extract.transcripts.heard import Heard

#: Repeated words that are taken as a rolled line even where the file does not roll as a whole.
SURELY_ROLLED = 3
#: A rolled line stays on the screen: a later cue that says the same is somebody speaking.
LONGEST_GAP_S = 1.0


def unroll(cues: list[Heard]) -> list[Heard]:
    """The cues without the rows that only repeat the end of the cue before.

    A file rolls where at least half of its cues start with rows of the cue before; there every such row goes.
    Elsewhere a row goes only if it is followed by a fresh one and has at least three words.
    """
    shown = [["".join(piece.text for piece in row).split() for row in cue.rows] for cue in cues]
    repeats = [0] * len(cues)
    for index in range(1, len(cues)):
        before, cue = cues[index - 1], cues[index]
        if before.end_s is None or cue.start_s is None or cue.start_s <= before.end_s + LONGEST_GAP_S:
            repeats[index] = _repeated_rows(shown[index - 1], shown[index])
    rolls = len(cues) > 2 and sum(map(bool, repeats)) * 2 >= len(cues) - 1
    fresh = []
    for cue, rows, repeated in zip(cues, shown, repeats, strict=True):
        sure = repeated < len(rows) and sum(map(len, rows[:repeated])) >= SURELY_ROLLED
        if not repeated or not (rolls or sure):
            fresh.append(cue)
        elif repeated < len(rows):
            fresh.append(cue._replace(rows=cue.rows[repeated:]))
    return fresh


def _repeated_rows(before: list[list[str]], rows: list[list[str]]) -> int:
    for count in range(min(len(before), len(rows)), 0, -1):
        if before[-count:] == rows[:count]:
            return count
    return 0
