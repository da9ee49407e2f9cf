"""Talks put together from the utterances of the demo talks: joined, cut, shuffled, said twice, broken off."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from html import escape
from pathlib import Path

from hypothesis import strategies as st

import corpora_demo
from extract.model import Cue, Talk, Word

DEMO = Path(corpora_demo.__file__).parent
TALKS = tuple(sorted(file.name.removesuffix(".gold.jsonl") for file in DEMO.glob("*.gold.jsonl")))


@cache
def utterances(talk: str) -> tuple[tuple[str, ...], ...]:
    """The words of each utterance of a demo talk."""
    lines = (DEMO / f"{talk}.gold.jsonl").read_text(encoding="utf-8").splitlines()
    return tuple(tuple(json.loads(line)["text"].split()) for line in lines)


@dataclass(frozen=True)
class Mixed:
    """Utterances with the silence before each in seconds; `confidence` is given to every third word."""

    said: tuple[tuple[str, ...], ...]
    silences: tuple[float, ...]
    confidence: float | None = None

    @property
    def words(self) -> list[str]:
        return [word for utterance in self.said for word in utterance]

    def timed(self) -> list[list[tuple[str, float, float, float | None]]]:
        """Per utterance: word, start and end in seconds, confidence."""
        clock, count, told = 1.0, 0, []
        for utterance, silence in zip(self.said, self.silences, strict=True):
            clock += silence
            told.append([])
            for word in utterance:
                trust = None if self.confidence is None else self.confidence if count % 3 == 0 else 0.95
                told[-1].append((word, round(clock, 2), round(clock + 0.3, 2), trust))
                clock, count = clock + 0.35, count + 1
        return told

    def talk(self, times: bool = True) -> Talk:
        """The talk as a reader would hand it on, a cue for each utterance."""
        cues, words = [], []
        for index, utterance in enumerate(self.timed()):
            first, last = (utterance[0][1], utterance[-1][2]) if times else (None, None)
            cues.append(Cue(first, last, " ".join(word for word, *_ in utterance), None, None, index + 1, 0))
            words += [
                Word(word, start if times else None, end if times else None, trust, False, index)
                for word, start, end, trust in utterance
            ]
        return Talk(
            name="mixed", title=None, format="plain", sha256="0" * 64, duration_s=words[-1].end_s, language=None,
            times="given" if times else "none", cues=tuple(cues), words=tuple(words),
        )  # fmt: skip


@st.composite
def mixed(draw: st.DrawFn, longest: int = 40) -> Mixed:
    """A talk of pieces of up to three demo talks."""
    said: list[tuple[str, ...]] = []
    for talk in draw(st.lists(st.sampled_from(TALKS), min_size=1, max_size=3)):
        lines = utterances(talk)
        first = draw(st.integers(0, len(lines) - 1))
        said += lines[first : first + draw(st.integers(1, longest))]
    said = said[: 2 * longest]
    for change in draw(
        st.lists(st.sampled_from(("shuffle", "again", "later", "front", "end", "melt", "drop")), max_size=6)
    ):
        at = draw(st.integers(0, len(said) - 1))
        utterance = said[at]
        cut = draw(st.integers(1, max(1, len(utterance) - 1)))
        if change == "shuffle":
            piece = said[at : at + 12]
            said[at : at + 12] = draw(st.permutations(piece))
        elif change == "again":
            said.insert(at, utterance)
        elif change == "later":
            said.append(utterance)
        elif change == "front":
            said[at] = utterance[-cut:]
        elif change == "end":
            said[at] = utterance[:cut]
        elif change == "melt" and at + 1 < len(said):
            said[at : at + 2] = [utterance + said[at + 1]]
        elif change == "drop" and len(said) > 1:
            del said[at]
    if draw(st.booleans()):  # as some recognisers write it
        bare = [tuple(filter(None, (word.strip(".,;:?!").lower() for word in utterance))) for utterance in said]
        said = [utterance for utterance in bare if utterance] or said
    silences = tuple(draw(st.lists(st.sampled_from((0.1, 0.4, 1.5, 40.0)), min_size=len(said), max_size=len(said))))
    return Mixed(tuple(said), silences, draw(st.sampled_from((None, 0.2, 0.8))))


# --------------------------------------------------------------------------- as files


def _clock(seconds: float, mark: str = ".") -> str:
    whole, thousandths = divmod(round(seconds * 1000), 1000)
    return f"{whole // 3600:02}:{whole // 60 % 60:02}:{whole % 60:02}{mark}{thousandths:03}"


def _blocks(talk: Mixed, mark: str) -> list[str]:
    return [
        f"{_clock(told[0][1], mark)} --> {_clock(told[-1][2], mark)}\n{escape(' '.join(w for w, *_ in told), quote=False)}\n"
        for told in talk.timed()
    ]


def _ttml(talk: Mixed) -> str:
    lines = [
        f'<p begin="{told[0][1]}s" end="{told[-1][2]}s">{escape(" ".join(w for w, *_ in told))}</p>'
        for told in talk.timed()
    ]
    return '<tt xmlns="http://www.w3.org/ns/ttml"><body><div>\n' + "\n".join(lines) + "\n</div></body></tt>\n"


def _jsonl(talk: Mixed) -> str:
    return "".join(
        json.dumps(
            {
                "start": told[0][1],
                "end": told[-1][2],
                "text": " ".join(word for word, *_ in told),
                "words": [{"word": w, "start": s, "end": e, "confidence": c} for w, s, e, c in told],
            }
        )
        + "\n"
        for told in talk.timed()
    )


def _ctm(talk: Mixed) -> str:
    return "".join(
        f"film 1 {start:.2f} {end - start:.2f} {word}{'' if trust is None else f' {trust}'}\n"
        for told in talk.timed()
        for word, start, end, trust in told
    )


def _marked(talk: Mixed) -> str:
    return "\n\n".join(
        f"[{int(told[0][1]) // 60}:{int(told[0][1]) % 60:02}] {' '.join(word for word, *_ in told)}"
        for told in talk.timed()
    )


#: A transcript file's text, by its suffix.
FILES = {
    "vtt": lambda talk: "WEBVTT\n\n" + "\n".join(_blocks(talk, ".")),
    "srt": lambda talk: "\n".join(f"{n}\n{block}" for n, block in enumerate(_blocks(talk, ","), start=1)),
    "ttml": _ttml,
    "jsonl": _jsonl,
    "ctm": _ctm,
    "txt": _marked,
    "md": lambda talk: "# Talk\n\n" + "\n\n".join(" ".join(words) for words in talk.said) + "\n",
}
