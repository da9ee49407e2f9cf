"""Fits trust_weights.toml on talk that this script corrupts itself, and on our own talk that a recogniser wrote down.

Run by hand, after the tables are built; the program itself never imports this file:

    python lexicons/builders/fit_trust.py TEXTS

`TEXTS` is the folder of collect_texts.py: nonsense and off-topic speech are made from it. Honest talk comes from
honest_talk.txt and from the templates of workshop_talk.py. Recogniser confidences are simulated, with talks of
different level, with sure-sounding nonsense and with unsure honest speech. The last lines report how the model
does on talks kept out of the fit.
"""

from __future__ import annotations

import argparse
import random
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from build_language_tables import split
from fit_word_doubt import SCALES, fit_word_doubt, with_copies, without
from logistic import logistic
from recognised_talk import Recognised, recognised_talks
from workshop_talk import honest_talks, made_sentences

from extract import lexicon as lexicons
from extract.findings import sounds, trust, word_doubt
from extract.findings import wordstats as ws
from extract.lexicon import Lexicon
from extract.model import Cue, Talk, Word
from extract.speech import Utterance

HERE = Path(__file__).parent.parent
ROUNDS = 30
#: A garbled line counts this many times: the honest talks are fuller of asides than real ones.
CARE = 2.0
#: Share of the nonsense that sounds sure of itself. Far more than in life: recognised talk has hardly any, and teaches the rest.
SURE = 0.7
#: How noisy talks are: confidences are raised to this power, and errors grow with it.
NOISE = (0.4, 2.0)
#: Every fourth talk is kept for the report.
HELD_OUT = 4
#: A recognised line counts as much as so many corrupted ones where both are fitted together.
RECOGNISED = 14.0
#: How many weights of recognised words come from recognised talk alone: the base and the first of `trust.HEARD`.
FIRST = 3
ABOUT = "How much each signal counts, in log odds; fitted by builders/fit_trust.py on corrupted and recognised talk."


@dataclass
class Line:
    """An utterance of a talk in the making; `wrong` marks words that were not said."""

    words: list[str]
    wrong: list[bool]
    garbled: bool


class Corrupter:
    """Makes what a recogniser makes of speech that it cannot hear."""

    def __init__(self, folder: Path, chooser: random.Random) -> None:
        self.pick = chooser
        self.lexicon = lexicons.load()
        self.offtopic: list[list[str]] = []
        self.next: dict[str, list[str]] = defaultdict(list)
        for name in ("chatterbot", "wordnet_examples", "state_of_the_union", "jane_austen", "moby_dick"):
            kept = []
            for sentence in split((folder / f"{name}.txt").read_text("utf-8", errors="ignore")):
                words = [w for w in sentence.lower().replace('"', "").split() if w.strip(".,")]
                if 5 <= len(words) <= 24 and all(c.isalpha() or c in "',.!?-" for w in words for c in w):
                    kept.append([w.strip(".,!?") for w in words])
            self.pick.shuffle(kept)
            self.offtopic += kept[:5000]
            for words in kept[:15000]:
                for a, b in zip([ws.START, *words], [*words, ws.END], strict=True):
                    self.next[a].append(b)
        common = [w for w in ws._words() if 3.8 < ws.zipf(w) < 6 and w not in ws.function_words()]
        self.of_class: dict[str, list[str]] = defaultdict(list)
        for word in common:
            self.of_class[ws.word_class(word, self.lexicon).split("+")[0]].append(word)
        self.function = list(ws.function_words())
        self.glue = sorted(self.function, key=ws.zipf)[-28:]
        self.index = sounds.SoundIndex(sorted(w for w in common if w in sounds._table()))
        self._alike: dict[str, list[str]] = {}

    def alike(self, word: str) -> str:
        """A common word that sounds like this one."""
        if word not in self._alike:
            found = [w for w, apart in self.index.nearest(word, cutoff=0.4) if w != word and not w.startswith(word)]
            self._alike[word] = found
        return self.pick.choice(self._alike[word]) if self._alike[word] else word

    def babble(self, length: int, first: str = ws.START) -> list[str]:
        """Words that each follow the one before somewhere in general text."""
        words: list[str] = []
        at = first
        while len(words) < length:
            at = self.pick.choice(self.next.get(at) or self.next[ws.START])
            if at == ws.END:
                at = self.pick.choice(self.glue)
            words.append(at)
        return words

    def babble_for(self, words: list[str]) -> list[str]:
        """Babble of about the length of what was said."""
        return self.babble(max(4, len(words) + self.pick.randint(-3, 3)))

    def nonsense(self, words: list[str]) -> list[str]:
        """A sound sentence whose content words are exchanged for any others of their class."""
        frame = self.pick.choice(self.offtopic)
        return [self._other(w) if w not in ws.function_words() and self.pick.random() < 0.85 else w for w in frame]

    def _other(self, word: str) -> str:
        return self.pick.choice(self.of_class.get(ws.word_class(word, self.lexicon).split("+")[0]) or [word])

    def glued(self, words: list[str]) -> list[str]:
        """Function words stuck together, with a content word now and then."""
        content = [w for kind in ("N", "Vb") for w in self.pick.sample(self.of_class[kind], 4)]
        content += [w for w in words if w not in ws.function_words()][:2]
        return [
            self.pick.choice(self.glue if self.pick.random() < 0.62 else content) for _ in range(max(5, len(words)))
        ]

    def mixed(self, words: list[str]) -> list[str]:
        """Some words of what was said, the rest babble."""
        found: list[str] = []
        kept = self.pick.uniform(0.1, 0.4)
        at = 0
        while at < len(words):
            run = self.pick.randint(1, 3)
            if self.pick.random() < kept:
                found += words[at : at + run]
            else:
                found += self.babble(run, found[-1] if found else ws.START)
            at += run
        return found

    def swapped(self, words: list[str]) -> list[str]:
        """Most words exchanged for ones that sound alike."""
        return [
            self.alike(w) if self.pick.random() < (0.75 if w not in ws.function_words() else 0.3) else w for w in words
        ]

    def jumbled(self, words: list[str]) -> list[str]:
        """Off-topic speech with words dropped, doubled and moved."""
        found = list(self.pick.choice(self.offtopic))
        for _ in range(max(2, len(found) // 4)):
            at = self.pick.randrange(len(found))
            change = self.pick.random()
            if change < 0.35 and len(found) > 4:
                found.pop(at)
            elif change < 0.6:
                found.insert(at, self.pick.choice(self.glue))
            else:
                found.insert(self.pick.randrange(len(found)), found.pop(at))
        return found

    def broken(self, words: list[str]) -> list[str]:
        """What was said, cut off at a word that cannot end a sentence."""
        ends = [
            at
            for at, w in enumerate(words)
            if at > 2 and ws.function_words().get(w) in ("article", "owner", "joiner", "linker")
        ]
        if not ends:
            return [
                *words,
                self.pick.choice(["and the", "before you", "because the", "and if you", "so that the", "and then the"]),
            ][:]
        return words[: self.pick.choice(ends) + 1]

    def spoken(self, words: list[str]) -> list[str]:
        """Speech about something else."""
        return list(self.pick.choice(self.offtopic))

    def misheard(self, words: list[str]) -> tuple[list[str], list[bool]]:
        """One or two words exchanged for ones that sound alike: wrong, but not garbled."""
        places = [at for at, w in enumerate(words) if w.lower() not in ws.function_words() and w.isalpha()]
        chosen = self.pick.sample(places, min(len(places), self.pick.choice([1, 1, 2])))
        found = [self.alike(w.lower()) if at in chosen else w for at, w in enumerate(words)]
        return found, [a != b for a, b in zip(words, found, strict=True)]


def made_talk(chooser: random.Random) -> list[str]:
    """A talk of template sentences, punctuated."""
    return [s.capitalize() + "." for s in made_sentences(chooser.randrange(10**6) + 2, 24)]


def corrupt(lines: list[str], make: Corrupter, level: float | None) -> list[Line]:
    """A talk with some of its utterances garbled, a few words misheard, and sometimes a phrase in a loop."""
    pick = make.pick
    kinds: list[tuple[Callable[[list[str]], list[str]], float]] = [
        (make.babble_for, 3), (make.nonsense, 4), (make.glued, 2), (make.mixed, 3), (make.swapped, 2),
        (make.jumbled, 2), (make.broken, 1), (make.spoken, 1),
    ]  # fmt: skip
    share = pick.choice([0.0, 0.05, 0.1, 0.2]) if level is None else pick.uniform(0.0, 0.2) * level
    stuck = make.babble(pick.randint(4, 8))
    bare = pick.random() < 0.35
    found = []
    for text in lines:
        words = text.split()
        bare_words = [t.word for t in ws.tokens(text)]
        if pick.random() < share and len(bare_words) > 2:
            if pick.random() < 0.12:
                new = [*make.babble(pick.randint(1, 4)), *stuck]
            else:
                kind = pick.choices([k for k, _ in kinds], [weight for _, weight in kinds])[0]
                new = " ".join(kind(bare_words)).split()
            line = Line(new, [True] * len(new), True)
        elif pick.random() < (0.12 if level is None else 0.2 * level):
            line = Line(*make.misheard(words), False)
        else:
            line = Line(words, [False] * len(words), False)
        if bare:
            line.words = [w.lower().strip(".,!?") or "uh" for w in line.words]
        elif line.garbled:
            line.words[0] = line.words[0].capitalize()
            line.words[-1] += "."
        found.append(line)
    return found


class Confidences:
    """Confidences of recognised lines, for talk that was never recognised."""

    def __init__(self, talks: list[Recognised]) -> None:
        self.right: dict[bool, list[list[float]]] = {True: [], False: []}
        self.wrong: list[float] = []
        for one in talks:
            for said, wrong, unclear in zip(one.utterances, one.wrong, one.unclear, strict=True):
                values = [word.confidence or 0.0 for word in one.talk.words[slice(*said.words)]]
                of_line = values if unclear else [v for v, w in zip(values, wrong, strict=True) if not w]
                if len(of_line) > 2:
                    self.right[unclear].append(of_line)
                if not unclear:
                    self.wrong += [v for v, w in zip(values, wrong, strict=True) if w]

    def of(self, line: Line, sure: bool, pick: random.Random) -> list[float]:
        """Confidences for a line: those of a recognised one of its kind, stretched to its length."""
        model = pick.choice(self.right[line.garbled and not sure])
        size = max(1, len(line.words))
        values = [model[at * len(model) // size] for at in range(len(line.words))]
        return [
            pick.choice(self.wrong) if wrong and not line.garbled else v
            for v, wrong in zip(values, line.wrong, strict=True)
        ]


def heard(
    lines: list[Line], pick: random.Random, level: float | None, by_line: bool = False, pool: Confidences | None = None
) -> tuple[Talk, list[Utterance]]:
    """The talk with times, and with confidences, simulated or from `pool`; `level` is how noisy it was, nothing for none,
    and `by_line` gives a confidence to whole cues only."""
    words, cues, utterances = [], [], []
    clock = 0.0
    for index, line in enumerate(lines):
        sure = line.garbled and pick.random() < SURE
        unsure = not line.garbled and pick.random() < 0.03
        values = []
        for text, wrong in zip(line.words, line.wrong, strict=True):
            # Recognisers write little words with confidence even where they lost the thread, and mumble them elsewhere.
            small = text.lower().strip(".,") in ws.function_words()
            if line.garbled and not sure:
                value = (
                    pick.betavariate(1.2, 1.8) if pick.random() < (0.5 if small else 0.85) else pick.betavariate(6, 1)
                )
            elif wrong and not line.garbled:
                value = pick.betavariate(1.6, 1.6)
            elif unsure:
                value = pick.betavariate(5, 2)
            else:
                value = (
                    pick.betavariate(14, 0.8) if pick.random() < (0.75 if small else 0.87) else pick.betavariate(3, 1.5)
                )
            values.append(value)
        values = [value ** (level or 1.0) for value in (pool.of(line, sure, pick) if pool else values)]
        whole = sum(values) / len(values) if level and by_line else None
        first, start = len(words), clock
        pace = 2.6 * (pick.uniform(0.5, 2.0) if line.garbled and pick.random() < 0.3 else pick.uniform(0.8, 1.25))
        for text, value in zip(line.words, values, strict=True):
            words.append(Word(text, clock, clock + 1 / pace, value if level and not by_line else None, True, index))
            clock += 1 / pace
        text = " ".join(line.words)
        cues.append(Cue(start, clock, text, None, whole, index + 1, 0))
        utterances.append(Utterance(index, f"s-{index}", text, (first, len(words)), start, clock))
        clock += pick.uniform(0.2, 1.5)
    talk = Talk(
        name="made", title=None, format="jsonl", sha256="", duration_s=clock, language="en", times="given",
        cues=tuple(cues), words=tuple(words),
    )  # fmt: skip
    return talk, utterances


def made_rows(
    make: Corrupter, honest: list[list[str]], pool: Confidences | None
) -> tuple[list[dict[str, float]], list[bool], list[bool]]:
    """Signals of corrupted talk, whether each line is garbled, and whether it is kept out of the fit; with
    confidences if `pool` is given."""
    pick = make.pick
    rows, labels, held = [], [], []
    for _ in range(ROUNDS):
        for number, lines in enumerate([*honest, made_talk(pick), made_talk(pick)]):
            level = pick.uniform(*SCALES) if pool else None
            corrupted = corrupt(lines, make, level)
            talk, utterances = heard(corrupted, pick, level, pick.random() < 0.3, pool)
            with without(lines if number < len(honest) else ()):
                measured = trust.signals(talk, utterances, make.lexicon)
            for values, line in zip(measured, corrupted, strict=True):
                rows.append(values)
                labels.append(line.garbled)
                held.append(number % HELD_OUT == 1)
    return rows, labels, held


def matrix(rows: list[dict[str, float]]) -> tuple[list[str], np.ndarray]:
    """Names of the signals, and a row for each line with a 1 before its signals."""
    names = list(trust.HEARD if "reads" in rows[0] else rows[0])
    return names, np.array([[1.0, *(row[n] for n in names)] for row in rows])


def fitted(x: np.ndarray, y: np.ndarray, care: np.ndarray) -> np.ndarray:
    """Weights, none of a signal below 0."""
    return logistic(x, y, np.array([0.0, *([2.0] * (x.shape[1] - 1))]), care)


def told(name: str, weights: np.ndarray, x: np.ndarray, truth: np.ndarray) -> str:
    """How the weights do on lines that they were not fitted on."""
    p = 1 / (1 + np.exp(-np.clip(x @ weights, -30, 30)))
    return (
        f"{name} held out: {int(truth.sum())} garbled of {len(truth)}, recall {(p[truth] > 0.5).mean():.3f}, "
        f"false {(p[~truth] > 0.5).mean():.4f}, Brier {((p - truth) ** 2).mean():.4f}"
    )


def written(section: str, weights: dict[str, float]) -> str:
    """A section of trust_weights.toml."""
    return f"\n[{section}]\n" + "".join(f"{name} = {value:.3f}\n" for name, value in weights.items())


def recognised_rows(
    talks: list[Recognised], lexicon: Lexicon, copies: bool = True
) -> tuple[list[dict[str, float]], list[bool], list[float]]:
    """Signals of recognised lines, whether each is unclear, and how much it counts."""
    rows, labels, care = [], [], []
    for one, talk, weight in with_copies(talks) if copies else [(one, one.talk, 1.0) for one in talks]:
        with without(one.said):
            rows += trust.signals(talk, one.utterances, lexicon)
        labels += one.unclear
        care += [weight] * len(one.unclear)
    return rows, labels, care


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("texts", type=Path)
    given = parser.parse_args()
    make = Corrupter(given.texts, random.Random(7))
    honest = honest_talks()
    target = HERE / "trust_weights.toml"

    rows, labels, held = made_rows(make, honest, None)
    names, x = matrix(rows)
    y, kept = np.array(labels), ~np.array(held)
    care = np.where(y, CARE, 1.0)
    print(told("words", fitted(x[kept], y[kept], care[kept]), x[~kept], y[~kept]))
    words = written("words", dict(zip(("base", *names), fitted(x, y, care), strict=True)))

    talks = recognised_talks()
    sources = sorted({one.name for one in talks})
    out_of_fit = {name for at, name in enumerate(sources) if at % HELD_OUT == 1}
    for last in (False, True):
        fit_talks = talks if last else [one for one in talks if one.name not in out_of_fit]
        doubt = written("word", fit_word_doubt(fit_talks, make.lexicon))
        target.write_text(f"# {ABOUT}\n{words}{doubt}", "utf-8")
        word_doubt._weights.cache_clear()
        trust._weights.cache_clear()
        # Confidences speak as recognised talk has them; the other signals are fitted on top of that.
        heard_rows, unclear, care = recognised_rows(fit_talks, make.lexicon)
        _, x = matrix(heard_rows)
        y, care = np.array(unclear), np.array(care)
        sound = np.zeros(x.shape[1])
        sound[:FIRST] = fitted(x[:, :FIRST], y, care)
        rows, labels, held = made_rows(make, honest, Confidences(fit_talks))
        names, made_x = matrix(rows)
        made_y, kept = np.array(labels), np.array([last or not h for h in held])
        x, y = np.vstack([x, made_x[kept]]), np.concatenate([y, made_y[kept]])
        care = np.concatenate([care * RECOGNISED, np.where(made_y[kept], CARE, 1.0)])
        more = logistic(
            np.hstack([np.zeros((len(x), 1)), x[:, FIRST:]]),
            y,
            np.full(x.shape[1] - FIRST + 1, 2.0),
            care,
            known=x @ sound,
        )
        weights = np.concatenate([sound[:FIRST], more[1:]])
        if not last:
            print(told("heard, corrupted", weights, made_x[~kept], made_y[~kept]))
            kept_out = [one for one in talks if one.name in out_of_fit]
            heard_rows, unclear, _ = recognised_rows(kept_out, make.lexicon, copies=False)
            print(told("heard, recognised", weights, matrix(heard_rows)[1], np.array(unclear)))
    heard_weights = written("heard", dict(zip(("base", *names), weights, strict=True)))
    target.write_text(f"# {ABOUT}\n{words}{heard_weights}{doubt}", "utf-8")


if __name__ == "__main__":
    main()
