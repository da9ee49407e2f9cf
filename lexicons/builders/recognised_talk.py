"""Reads recognised_talk.txt: our own written talks, spoken by a synthetic voice in noise and recognised.

`== name variant` opens a talk. Each line that follows is a spoken line that the recogniser wrote something for:
start and end of the recognised words (seconds), word error rate, share of the content words that were lost, and
the recognised words as `text/confidence`, in hundredths, with `!` behind a word that was not said.
`< ` before it stands for what was said. Written by recognise_talk.py; used by fit_trust.py.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from extract.model import Cue, Talk, Word
from extract.speech import Utterance

HERE = Path(__file__).parent
#: Error rate from which a line is unclear, and that from which it is if its content words are lost as well.
UNCLEAR, HALF_UNCLEAR, LOST = 0.6, 0.5, 0.6


@dataclass(frozen=True)
class Recognised:
    """A recognised talk: `wrong` marks each word that was not said, `unclear` each line that says nothing of use."""

    name: str
    variant: str
    talk: Talk
    utterances: list[Utterance]
    wrong: list[list[bool]]
    unclear: list[bool]
    said: list[str]


def is_unclear(error_rate: float, lost: float) -> bool:
    """True where most of a line's words, or the words that carry its meaning, are wrong."""
    return error_rate >= UNCLEAR or (error_rate > HALF_UNCLEAR and lost >= LOST)


def recognised_talks() -> list[Recognised]:
    """All talks of the file, in order."""
    blocks: list[list[str]] = []
    for line in (HERE / "recognised_talk.txt").read_text("utf-8").splitlines():
        if line.startswith("=="):
            blocks.append([])
        if blocks and line:
            blocks[-1].append(line)
    return [_read(block[0], block[1:]) for block in blocks]


def _read(head: str, rows: list[str]) -> Recognised:
    name, variant = head.removeprefix("== ").rsplit(" ", 1)
    words: list[Word] = []
    cues: list[Cue] = []
    utterances: list[Utterance] = []
    wrong, unclear, said = [], [], []
    for row in rows:
        if row.startswith("< "):
            said.append(row.removeprefix("< "))
            continue
        start, end, error_rate, lost, *pieces = row.split(" ")
        at, first, index = float(start), len(words), len(utterances)
        pace = (float(end) - at) / len(pieces)
        marks = []
        for piece in pieces:
            text, confidence = piece.rstrip("!").rsplit("/", 1)
            words.append(Word(text, at, at + pace, int(confidence) / 100, True, index))
            at += pace
            marks.append(piece.endswith("!"))
        text = " ".join(word.text for word in words[first:])
        cues.append(Cue(float(start), float(end), text, None, None, index + 1, 0))
        utterances.append(Utterance(index, f"s-{index}", text, (first, len(words)), float(start), float(end)))
        wrong.append(marks)
        unclear.append(is_unclear(float(error_rate), float(lost)))
    talk = Talk(
        name=name, title=None, format="jsonl", sha256="", duration_s=float(cues[-1].end_s or 0.0), language="en",
        times="given", cues=tuple(cues), words=tuple(words),
    )  # fmt: skip
    return Recognised(name, variant, talk, utterances, wrong, unclear, said)


def packed(name: str, variant: str, said: Iterable[dict], words: list[dict]) -> str:
    """A talk in the form of the file, from the lines and words of recognise_talk.py."""
    rows = [f"== {name} {variant}"]
    for line in said:
        if not line["words"]:
            continue
        mine = words[slice(*line["words"])]
        pieces = [
            f"{w['word'].replace(' ', '').rstrip('!')}/{round(w['confidence'] * 100)}" + "!" * wrong
            for w, wrong in zip(mine, line["wrong"], strict=True)
        ]
        rows += [
            f"< {line['said']}",
            f"{mine[0]['start']} {mine[-1]['end']} {line['wer']:.2f} {line['lost']:.2f} " + " ".join(pieces),
        ]
    return "\n".join(rows) + "\n"
