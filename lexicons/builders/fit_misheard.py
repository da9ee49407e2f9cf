"""Fits misheard_weights.toml on recognised talk and on honest talk in which this script exchanges trade words.

Run by hand, after the tables are built; the program itself never imports this file:

    python lexicons/builders/fit_misheard.py

Recognised talk of our own (`recognised_talk.txt`) tells what a recogniser makes of trade words. For transcripts
without confidences a trade word or phrase of honest talk becomes one or two common words of like sound. Every other
word that the search looks at counts as rightly heard. The lines that it prints tell of talks kept out of the fit.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np
from fit_trust import NOISE, Line, heard, logistic, made_talk
from misheard_talk import Misheard, Recognised, recognised, spoken
from workshop_talk import honest_talks

from extract import lexicon as lexicons
from extract.findings import readings, sounds
from extract.findings import wordstats as ws
from extract.findings.alike import same_word
from extract.findings.trade_talk import THINGS, trade_words

HERE = Path(__file__).parent.parent
ROUNDS = 3

Windows = dict[tuple[int, int, int], list[readings.Guess]]


class Exchanger:
    """Turns trade words into common words that sound like them."""

    def __init__(self, pick: random.Random) -> None:
        self.pick = pick
        self.lexicon = lexicons.load()
        self.trade = trade_words(self.lexicon)
        table = sounds._table()
        common = [w for w in ws._words() if ws.zipf(w) > 2.6 and w in table and w not in ws.function_words()]
        self.index = sounds.SoundIndex(sorted(common))
        self.pieces = sounds.SoundIndex(sorted((*common, *readings._WEAK)))
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
                [w for w in found if not same_word(w, words, self.lexicon)] for found in (whole, split)
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
        best = self.pieces.nearest_of_all([sound], cutoff=0.25, limit=1)[0]
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


#: Features that no reading changes, all others may order the readings of a place.
FIXED = frozenset(
    "odd rare doubted noise heard misfit company common was_phrase again was_verb acts was_noun not_noun no_place "
    "beside below lead".split()
)
#: How often things are misheard in the made talks, and how much a wrong word counts, without and with confidences:
#: a transcript without them has mostly been written or corrected by hand.
SHARES = {"flag_words": 0.12, "flag_heard": 0.2}
CARE = {"flag_words": 4.0, "flag_heard": 1.8}
#: Share of the things that the lexicon does not know, so that honest rare part names are among what is learnt.
HIDDEN = 0.08


class Seen(NamedTuple):
    """A talk: the readings of each window, what was misheard, and whether it is kept out of the fit."""

    windows: Windows
    misheard: list[Misheard]
    held: bool


def main() -> None:
    # The fit sees every place, not only those that the weights of before would look at.
    readings._HOPE = math.inf
    pick = random.Random(11)
    change = Exchanger(pick)
    heard_talks = [_seen(talk, change.lexicon, pick, n % 5 == 4) for n, talk in enumerate(recognised(change.lexicon))]
    made = [_seen(talk, change.lexicon, pick, n % 4 == 1) for n, talk in enumerate(_made(pick, change))]
    weights = {"rank": _fit_ranks([*heard_talks, *made])}
    talks = {"flag_words": made, "flag_heard": heard_talks}
    for kind in SHARES:
        rows, labels, held = _places(talks[kind], weights["rank"])
        weights[kind] = _fit(kind, rows, labels, held, CARE[kind])
    text = "# How much speaks for a reading, and for a mishearing at all, in log odds; fitted by builders/fit_misheard.py.\n"
    for stage, values in weights.items():
        text += f"\n[{stage}]\n" + "".join(f"{n} = {v:.3f}\n" for n, v in values.items())
    (HERE / "misheard_weights.toml").write_text(text, "utf-8")


def _seen(talk: Recognised, lexicon: lexicons.Lexicon, pick: random.Random, held: bool) -> Seen:
    windows: Windows = {}
    found = readings.guesses(talk.talk, talk.utterances, _fewer(lexicon, pick), talk.nonsense)
    for guess in found:
        windows.setdefault((guess.utterance, guess.first, guess.last), []).append(guess)
    return Seen(windows, talk.misheard, held)


def _touches(guess: readings.Guess, wrong: Misheard) -> bool:
    return guess.utterance == wrong.utterance and guess.first < wrong.last and wrong.first < guess.last


def _inside(guess: readings.Guess, wrong: Misheard) -> bool:
    return guess.utterance == wrong.utterance and wrong.first <= guess.first and guess.last <= wrong.last


def _fit_ranks(talks: list[Seen]) -> dict[str, float]:
    """Weights that put the right reading first among those of all windows that touch a wrong word."""
    clusters: list[tuple[np.ndarray, np.ndarray, bool]] = []
    names: tuple[str, ...] = ()
    missing = 0
    for talk in talks:
        for wrong in talk.misheard:
            near = [g for found in talk.windows.values() for g in found if _touches(g, wrong)]
            right = np.array([_inside(g, wrong) and _says(g.term, wrong.said) for g in near], bool)
            if right.any():
                names = names or tuple(n for n in near[0].features if n not in FIXED)
                clusters.append((np.array([[g.features[n] for n in names] for g in near]), right, talk.held))
            else:
                missing += 1
    weights = conditional([(x, right) for x, right, held in clusters if not held])
    for label, wanted in (("fit", False), ("held out", True)):
        ranks = [
            int((x @ weights > (x @ weights)[right].max() + 1e-9).sum())
            for x, right, held in clusters
            if held == wanted
        ]
        print("right word,", label, len(ranks), "first", round(sum(r == 0 for r in ranks) / len(ranks), 3),
              "among three", round(sum(r < 3 for r in ranks) / len(ranks), 3), "no reading at all", missing)  # fmt: skip
    weights = conditional([(x, right) for x, right, _ in clusters])
    return {"base": 0.0, **dict(zip(names, map(float, weights), strict=True))}


def conditional(clusters: list[tuple[np.ndarray, np.ndarray]], penalty: float = 2.0) -> np.ndarray:
    """Weights of a conditional logistic model: the chance that the right one of a cluster is chosen, by Newton steps
    with a quadratic penalty."""
    weights = np.zeros(clusters[0][0].shape[1])
    for _ in range(25):
        slope, bend = penalty * weights, np.diag(np.full(len(weights), penalty))
        for x, right in clusters:
            score = x @ weights
            p = np.exp(score - score.max())
            p /= p.sum()
            wanted = np.where(right, p, 0)
            wanted = wanted / wanted.sum() if wanted.sum() > 0 else right / right.sum()
            mean = p @ x
            slope += mean - wanted @ x
            bend += (x * p[:, None]).T @ x - np.outer(mean, mean)
        step = np.linalg.solve(bend, slope)
        weights = weights - step
        if np.abs(step).max() < 1e-4:
            break
    return weights


def _places(talks: list[Seen], rank: dict[str, float]) -> tuple[list[dict[str, float]], list[bool], list[bool]]:
    """The best reading of each window, whether the words were misheard, and whether the talk is kept out."""
    rows, labels, held = [], [], []
    for talk in talks:
        for found in talk.windows.values():
            scores = np.array([_score(rank, g.features) for g in found])
            best = found[int(scores.argmax())]
            right = any(_inside(best, wrong) for wrong in talk.misheard)
            if not right and any(_touches(best, wrong) for wrong in talk.misheard):
                continue
            rows.append(best.features | {"lead": float(1 / np.exp(scores - scores.max()).sum())})
            labels.append(right)
            held.append(talk.held)
    return rows, labels, held


def _fit(
    name: str, rows: list[dict[str, float]], labels: list[bool], held: list[bool], care: float
) -> dict[str, float]:
    names = tuple(rows[0])
    x = np.array([[1.0, *(row[n] for n in names)] for row in rows])
    y, out = np.array(labels, float), np.array(held)
    penalty, weight = np.array([0.0, *([2.0] * len(names))]), np.where(y > 0, care, 1.0)
    fitted = logistic(x[~out], y[~out], penalty, weight[~out], signed=True)
    p = 1 / (1 + np.exp(-x[out] @ fitted))
    print(name, len(y), "right", int(y.sum()), "held out: recall", round(float((p[y[out] > 0] > 0.5).mean()), 3),
          "false", int((p[y[out] == 0] > 0.5).sum()), "of", int((y[out] == 0).sum()))  # fmt: skip
    fitted = logistic(x, y, penalty, weight, signed=True)
    return dict(zip(("base", *names), map(float, fitted), strict=True))


def _made(pick: random.Random, change: Exchanger) -> Iterator[Recognised]:
    """Talks without confidences in which single words were exchanged."""
    honest = [*honest_talks(), *spoken()]
    share = SHARES["flag_words"]
    for _ in range(ROUNDS):
        for lines in [*honest, made_talk(pick)]:
            made, truth = [], []
            level = pick.uniform(*NOISE) if pick.random() < 0.4 else None
            always = change.everywhere(lines) if pick.random() < 2 * share else None
            for at, text in enumerate(lines):
                said = written = ""
                if always and (again := change.put(text, *always)):
                    text, said, written = again, *always
                elif pick.random() < share * (level or 1.0) and (changed := change.exchange(text)):
                    text, said, written = changed
                tokens = [t.word for t in ws.tokens(text)]
                size = len(written.split())
                for first in range(len(tokens) - size + 1 if said else 0):
                    if tokens[first : first + size] == written.split():
                        truth.append(Misheard(at, first, first + size, said, written))
                        break
                made.append(Line(text.split(), [False] * len(text.split()), False))
            talk, utterances = heard(made, pick, level, True)
            yield Recognised("made", talk, list(utterances), truth, frozenset())


def _fewer(lexicon: lexicons.Lexicon, pick: random.Random) -> lexicons.Lexicon:
    """The lexicon without some of its things."""
    terms = tuple(t for t in lexicon.terms if t.kind not in THINGS or pick.random() > HIDDEN)
    return lexicons.Lexicon(terms, lexicon.verbs, lexicon.modifiers)


def _score(weights: dict[str, float], features: dict[str, float]) -> float:
    return weights["base"] + sum(weights.get(n, 0.0) * v for n, v in features.items())


def _says(term: str, said: str) -> bool:
    """True if a term is what was said or stands in it, whole words."""
    one = term.replace("-", " ")
    return f" {one} " in f" {said} " or f" {one} ".rstrip("s ") == f" {said} ".rstrip("s ")


if __name__ == "__main__":
    main()
