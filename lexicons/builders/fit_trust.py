"""Fits trust_weights.toml on talk that this script corrupts itself.

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
from workshop_talk import honest_talks, made_sentences

from extract import lexicon as lexicons
from extract.findings import sounds, trust
from extract.findings import wordstats as ws
from extract.model import Cue, Talk, Word
from extract.speech import Utterance

HERE = Path(__file__).parent.parent
ROUNDS = 20
#: A garbled line counts this many times: the honest talks are fuller of asides than real ones.
CARE = 2.0
#: How noisy talks are: confidences are raised to this power, and errors grow with it.
NOISE = (0.4, 2.0)
#: Every fourth talk is kept for the report.
HELD_OUT = 4


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


def heard(
    lines: list[Line], pick: random.Random, level: float | None, by_line: bool = False
) -> tuple[Talk, list[Utterance]]:
    """The talk with times, and with simulated confidences; `level` is how noisy it was, nothing for none, and
    `by_line` gives a confidence to whole cues only."""
    words, cues, utterances = [], [], []
    clock = 0.0
    for index, line in enumerate(lines):
        sure = line.garbled and pick.random() < 0.2
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
            values.append(value ** (level or 1.0))
        whole = sum(values) / len(values) if level and by_line else None
        first, start = len(words), clock
        pace = 2.6 * (pick.uniform(0.5, 2.0) if line.garbled and pick.random() < 0.3 else pick.uniform(0.8, 1.25))
        for text, value in zip(line.words, values, strict=True):
            words.append(Word(text, clock, clock + 1 / pace, value if level and not by_line else None, False, index))
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


def logistic(x: np.ndarray, y: np.ndarray, penalty: np.ndarray, care: np.ndarray, signed: bool = False) -> np.ndarray:
    """Weights of a logistic model with a quadratic penalty, none of them (but the base, first) below 0 unless `signed`, by
    projected Newton steps. `care` is how much each line counts."""
    weights = np.zeros(x.shape[1])
    free = np.ones(x.shape[1], bool)
    for _ in range(60):
        p = 1 / (1 + np.exp(-np.clip(x @ weights, -30, 30)))
        slope = x.T @ (care * (p - y)) + penalty * weights
        bend = (x * (care * p * (1 - p))[:, None]).T @ x + np.diag(penalty + 1e-6)
        step = np.zeros_like(weights)
        step[free] = np.linalg.solve(bend[np.ix_(free, free)], slope[free])
        weights = weights - step
        low = (weights < 0) & (np.arange(len(weights)) > 0) & (not signed)
        weights[low] = 0
        free = ~low
    return weights


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("texts", type=Path)
    given = parser.parse_args()
    pick = random.Random(7)
    make = Corrupter(given.texts, pick)
    lexicon = make.lexicon
    honest = honest_talks()
    out = ["# How much each signal counts, in log odds; fitted by builders/fit_trust.py on talk that it corrupted."]
    for name, with_confidence in (("words", False), ("heard", True)):
        rows, labels, held = [], [], []
        for _ in range(ROUNDS):
            for number, lines in enumerate([*honest, made_talk(pick), made_talk(pick)]):
                level = pick.uniform(*NOISE) if with_confidence else None
                corrupted = corrupt(lines, make, level)
                talk, utterances = heard(corrupted, pick, level, pick.random() < 0.3)
                for values, line in zip(trust.signals(talk, utterances, lexicon), corrupted, strict=True):
                    rows.append(values)
                    labels.append(line.garbled)
                    held.append(number % HELD_OUT == 1)
        names = list(rows[0])
        x = np.array([[1.0, *(row[n] for n in names)] for row in rows])
        y, out_of_fit = np.array(labels, float), np.array(held)
        penalty = np.array([0.0, *([2.0] * len(names))])
        care = np.where(y > 0, CARE, 1.0)
        weights = logistic(x[~out_of_fit], y[~out_of_fit], penalty, care[~out_of_fit])
        p = 1 / (1 + np.exp(-x[out_of_fit] @ weights))
        truth = y[out_of_fit] > 0
        print(name, "held out:", int(truth.sum()), "garbled of", len(truth),
              "recall", round(float((p[truth] > 0.5).mean()), 3), "false", round(float((p[~truth] > 0.5).mean()), 4),
              "Brier", round(float(((p - truth) ** 2).mean()), 4))  # fmt: skip
        weights = logistic(x, y, penalty, care)
        out.append(f"\n[{name}]\nbase = {weights[0]:.3f}")
        out += [f"{n} = {value:.3f}" for n, value in zip(names, weights[1:], strict=True)]
    (HERE / "trust_weights.toml").write_text("\n".join(out) + "\n", "utf-8")


if __name__ == "__main__":
    main()
