"""Fits misheard_weights.toml on honest talk in which this script exchanges trade words for what sounds like them.

Run by hand, after the tables are built; the program itself never imports this file:

    python lexicons/builders/fit_misheard.py

A trade word or phrase becomes one or two common words of like sound; every other word that the search looks at
counts as rightly heard. The last line reports talks kept out of the fit.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from fit_trust import NOISE, Line, heard, logistic, made_talk
from workshop_talk import honest_talks

from extract import lexicon as lexicons
from extract.findings import readings, sounds
from extract.findings import wordstats as ws
from extract.findings.trust import THINGS, trade_words

HERE = Path(__file__).parent.parent
ROUNDS = 12

Windows = dict[tuple[int, int, int], list[readings.Guess]]
Truth = dict[int, tuple[str, set[str]]]


class Exchanger:
    """Turns trade words into common words that sound like them."""

    def __init__(self, pick: random.Random) -> None:
        self.pick = pick
        self.lexicon = lexicons.load()
        self.trade = trade_words(self.lexicon)
        table = sounds._table()
        common = [w for w in ws._words() if ws.zipf(w) > 2.6 and w in table and w not in ws.function_words()]
        self.index = sounds.SoundIndex(sorted(common))
        self._known: dict[str, tuple[list[str], ...]] = {}

    def alike(self, words: str) -> str | None:
        """Other common words of like sound, one word or split in two; recognisers favour frequent words."""
        if words not in self._known:
            whole = [w for w, _ in self.index.nearest(words, cutoff=0.36, limit=10)]
            split = []
            sound = sounds.pronounce(words)
            if len(sound) > 5:
                for cut in range(2, len(sound) - 1):
                    first, second = self._nearest(sound[:cut]), self._nearest(sound[cut:])
                    if first and second:
                        split.append(f"{first} {second}")
            self._known[words] = tuple(
                [w for w in found if not readings.same_word(w, words, self.lexicon)] for found in (whole, split)
            )
        whole, split = self._known[words]
        found = split if split and (not whole or self.pick.random() < 0.3) else whole
        sound = sounds.pronounce(words)
        odds = [
            10 ** (0.35 * min(ws.zipf(w) for w in f.split()))
            * math.exp(-10 * sounds.distance(sound, sounds.pronounce(f)))
            for f in found
        ]
        return self.pick.choices(found, odds)[0] if found else None

    def _nearest(self, sound: str) -> str | None:
        best = self.index.nearest_of_all([sound], cutoff=0.25, limit=1)[0]
        return best[0][0] if best else None

    def everywhere(self, lines: list[str]) -> tuple[str, str] | None:
        """A thing that the talk names several times, and what it is misheard as each time."""
        named = Counter(t.word for line in lines for t in ws.tokens(line) if self._is_thing(t.word))
        often = [w for w, count in named.items() if count > 2]
        said = self.pick.choice(often) if often else None
        written = self.alike(said) if said else None
        return (said, written) if said and written else None

    def put(self, text: str, said: str, written: str) -> str | None:
        """The text with every `said` written wrongly, nothing if it has none."""
        for token in reversed(ws.tokens(text)):
            if token.word == said:
                return text[: token.start] + written + text[token.end :]
        return None

    def _is_thing(self, words: str) -> bool:
        term = self.lexicon.term(words)
        return term is not None and term.kind in THINGS

    def _starts(self, words: list[str], at: int) -> bool:
        """True where a verb stands as an instruction has it."""
        return not at or ws.function_words().get(words[at - 1]) in readings.BEFORE_VERB

    def exchange(self, text: str) -> tuple[str, str, str] | None:
        """The text with one thing of the workshop misheard, what was said and what is written."""
        tokens = ws.tokens(text)
        words = [t.word for t in tokens]
        spans = []
        for at, word in enumerate(words):
            pair = self._is_thing(" ".join(words[at : at + 2])) and at + 1 < len(words)
            inside = pair or (at and self._is_thing(" ".join(words[at - 1 : at + 1])))
            if pair and self.pick.random() < 0.3:
                spans.append((tokens[at].start, tokens[at + 1].end, " ".join(words[at : at + 2])))
            elif inside or self._is_thing(word) or (word in self.lexicon.verb_forms and self._starts(words, at)):
                spans.append((tokens[at].start, tokens[at].end, word))
        self.pick.shuffle(spans)
        for start, end, words in spans:
            new = self.alike(words)
            if new:
                return text[:start] + new + text[end:], words, new
        return None


RANKED = (
    "gain",
    "apart",
    "sounds",
    "phrase",
    "said",
    "object",
    "of_verb",
    "place",
    "subject",
    "verb",
    "split",
    "words",
    "cover",
    "joined",
    "fame",
    "near_fame",
    "astray",
)
#: How often things are misheard in the made talks, and how much a wrong word counts, without and with confidences:
#: a transcript without them has mostly been written or corrected by hand.
SHARES = {"flag_words": 0.06, "flag_heard": 0.2}
CARE = {"flag_words": 3.5, "flag_heard": 4.0}
#: Share of the things that the lexicon does not know, so that honest rare part names are among what is learnt.
HIDDEN = 0.08


def main() -> None:
    # The fit sees every place, not only those that the weights of before would look at.
    readings._HOPE = math.inf
    pick = random.Random(11)
    change = Exchanger(pick)
    talks: dict[str, list[tuple[Windows, Truth]]] = {
        kind: [made for _ in range(ROUNDS) for made in _talks(pick, change, kind)] for kind in SHARES
    }
    both = [made for kind in SHARES for made in talks[kind]]
    weights = {"rank": _fit_ranks(both, change.lexicon)}
    for kind in SHARES:
        rows, labels, held = [], [], []
        for number, (windows, truth) in enumerate(talks[kind]):
            for (at, _, _), heard_as in windows.items():
                wrong = at in truth and set(heard_as[0].written.split()) <= truth[at][1]
                rows.append(max(heard_as, key=lambda g: _score(weights["rank"], g.features)).features)
                labels.append(wrong)
                held.append(number % 4 == 1)
        names = tuple(rows[0])
        weights[kind] = _fit(kind, rows, labels, held, names, CARE[kind])
    text = "# How much speaks for a reading, and for a mishearing at all, in log odds; fitted by builders/fit_misheard.py.\n"
    for stage, values in weights.items():
        text += f"\n[{stage}]\n" + "".join(f"{n} = {v:.3f}\n" for n, v in values.items())
    (HERE / "misheard_weights.toml").write_text(text, "utf-8")


def _fit_ranks(talks: list[tuple[Windows, Truth]], lexicon: lexicons.Lexicon) -> dict[str, float]:
    """Weights that put the right reading first among those of all windows that touch a wrong word."""
    rows, labels, held, clusters = [], [], [], []
    for number, (windows, truth) in enumerate(talks):
        for at, (said, written) in truth.items():
            near = [g for (where, _, _), heard_as in windows.items() if where == at for g in heard_as]
            near = [g for g in near if set(g.written.split()) & written]
            right = [set(g.written.split()) == written and _says(g.term, said, lexicon) for g in near]
            if any(right):
                clusters.append((near, right))
                rows += [g.features for g in near]
                labels += right
                held += [number % 4 == 1] * len(near)
    weights = _fit("rank", rows, labels, held, RANKED, 1.0)
    ranks = []
    for near, right in clusters:
        order = sorted(range(len(near)), key=lambda i: -_score(weights, near[i].features))
        ranks.append(next(place for place, i in enumerate(order) if right[i]))
    print("right word first", round(sum(r == 0 for r in ranks) / len(ranks), 3),
          "among three", round(sum(r < 3 for r in ranks) / len(ranks), 3))  # fmt: skip
    return weights


def _fit(
    name: str, rows: list[dict[str, float]], labels: list[bool], held: list[bool], names: tuple[str, ...], care: float
) -> dict[str, float]:
    x = np.array([[1.0, *(row[n] for n in names)] for row in rows])
    y, out = np.array(labels, float), np.array(held)
    penalty, weight = np.array([0.0, *([1.0] * len(names))]), np.where(y > 0, care, 1.0)
    fitted = logistic(x[~out], y[~out], penalty, weight[~out], signed=True)
    p = 1 / (1 + np.exp(-x[out] @ fitted))
    print(name, len(y), "right", int(y.sum()), "held out: recall", round(float((p[y[out] > 0] > 0.5).mean()), 3),
          "false", int((p[y[out] == 0] > 0.5).sum()), "of", int((y[out] == 0).sum()))  # fmt: skip
    fitted = logistic(x, y, penalty, weight, signed=True)
    return dict(zip(("base", *names), map(float, fitted), strict=True))


def _talks(pick: random.Random, change: Exchanger, kind: str) -> Iterator[tuple[Windows, Truth]]:
    """Talks with exchanged words: the readings of each window, and what was said and written in which utterance."""
    for lines in [*honest_talks(), made_talk(pick)]:
        made, truth = [], {}
        by_line = kind == "flag_words"
        level = pick.uniform(*NOISE) if not by_line or pick.random() < 0.4 else None
        share = SHARES[kind] * (level or 1.0)
        always = change.everywhere(lines) if pick.random() < 2 * share else None
        for at, text in enumerate(lines):
            if always and (again := change.put(text, *always)):
                text, truth[at] = again, (always[0], set(always[1].split()))
            elif pick.random() < share and (changed := change.exchange(text)):
                text, truth[at] = changed[0], (changed[1], set(changed[2].split()))
            words = text.split()
            wrong = [at in truth and w.strip(".,!?").lower() in truth[at][1] for w in words]
            made.append(Line(words, wrong, False))
        talk, utterances = heard(made, pick, level, by_line)
        windows: Windows = {}
        for guess in readings.guesses(talk, utterances, _fewer(change.lexicon, pick)):
            windows.setdefault((guess.utterance, guess.first, guess.last), []).append(guess)
        yield windows, truth


def _fewer(lexicon: lexicons.Lexicon, pick: random.Random) -> lexicons.Lexicon:
    """The lexicon without some of its things."""
    terms = tuple(t for t in lexicon.terms if t.kind not in THINGS or pick.random() > HIDDEN)
    return lexicons.Lexicon(terms, lexicon.verbs, lexicon.modifiers)


def _score(weights: dict[str, float], features: dict[str, float]) -> float:
    return weights["base"] + sum(weights.get(n, 0.0) * v for n, v in features.items())


def _says(term: str, said: str, lexicon: lexicons.Lexicon) -> bool:
    return term.replace("-", " ") == said or readings.same_word(term, said, lexicon)


if __name__ == "__main__":
    main()
