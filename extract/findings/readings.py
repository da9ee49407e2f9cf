"""What the words of an utterance may have been instead: like-sounding terms, and how well each would fit.

Words are looked at where they make little sense (a stranger beside a part, in the hands of a work verb, or heard
with little confidence). What sounds like them among the terms of the lexicon and the words of the talk is weighed by
sound, by the company that it would keep, by what the action is done to and by what the talk says elsewhere. The weights
(`lexicons/misheard_weights.toml`) are fitted by `lexicons/builders/fit_misheard.py` on words that it exchanged itself.
"""

from __future__ import annotations

import itertools
import math
import tomllib
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files

from extract.findings import sounds
from extract.findings import wordstats as ws
from extract.findings.alike import fame_of, is_thing, joined, partner_sounds, same_word, term_sounds
from extract.findings.odds import chance
from extract.findings.trade_talk import confidences, presenting_words, strangeness, trade_words
from extract.lexicon import Lexicon
from extract.model import Talk
from extract.speech import Utterance

#: Sound distance up to which a term is looked at, and how many are.
_NEAR, _SHORTLIST = 0.4, 10
#: Pair scores (natural logarithm against chance) under which two words do not go together, and are no usual pair.
_STRANGERS, _UNUSUAL = -0.2, 0.2
#: Closed-class words that a recogniser makes of the weak syllables of a word.
_WEAK = frozenset("a an and at are for her i in is it of off on or the to we".split())
#: Sound distance up to which a term is looked at because its neighbours ask for it.
_ASKED = 0.36
#: The same for a word that would be at home here in itself.
_ASKED_SURELY = 0.22
#: How much a reading can usually add to what speaks against the words themselves (log odds).
_HOPE = 1.5
BEFORE_VERB = frozenset({"joiner", "adverb", "pronoun", "modal", "yes", "linker", "negative", "short"})
_PARTICLES = frozenset({"off", "out", "up", "down", "away", "back", "over", "in", "on"})
_DETERMINERS = frozenset({"article", "owner", "pointer", "number", "all"})


@dataclass(frozen=True, slots=True)
class Guess:
    """Tokens of an utterance (`first` to `last`, half-open) and what they may stand for.

    `rank` orders the readings of the same words, `chance` is that of the words being misheard at all.
    """

    utterance: int
    first: int
    last: int
    written: str
    term: str
    features: dict[str, float]
    rank: float
    chance: float


@dataclass
class _Talk:
    """What the search knows of the whole talk."""

    lexicon: Lexicon
    trade: frozenset[str]
    words: list[list[ws.Token]]
    confidence: list[list[float | None]]
    usual: float
    #: How far the mean confidence of each utterance lies below the talk's usual one, in tenths.
    below: list[float] = field(default_factory=list)
    #: In how many utterances each word stands.
    spread: Counter[str] = field(default_factory=Counter)
    before: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    after: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    #: The things that the talk names.
    things: sounds.SoundIndex = field(default_factory=lambda: sounds.SoundIndex(()))


@cache
def _weights() -> dict[str, dict[str, float]]:
    return tomllib.loads((files("lexicons") / "misheard_weights.toml").read_text("utf-8"))


def guesses(
    talk: Talk, utterances: Sequence[Utterance], lexicon: Lexicon, skipped: set[int] | frozenset[int] = frozenset()
) -> list[Guess]:
    """Every reading that is worth a thought, with its features and chance, in the order of the talk."""
    known = _know(talk, utterances, lexicon, skipped)
    places = [
        place
        for at, utterance in enumerate(utterances)
        if utterance.index not in skipped
        for place in _places(at, utterance.index, known)
    ]
    near = term_sounds(lexicon).nearest_of_all([p.sound for p in places], _NEAR, _SHORTLIST)
    named = known.things.nearest_of_all([p.sound for p in places], _NEAR, 4)
    found = []
    for place, *alike in zip(places, near, named, strict=True):
        found.extend(_read(place, dict(itertools.chain(*alike)), known))
    return found


def _know(talk: Talk, utterances: Sequence[Utterance], lexicon: Lexicon, skipped: set[int] | frozenset[int]) -> _Talk:
    words = [ws.tokens(u.analysed) for u in utterances]
    heard, usual = confidences(talk, utterances)
    known = _Talk(lexicon, trade_words(lexicon), words, [], usual or 0.0)
    for utterance, found, values in zip(utterances, words, heard, strict=True):
        known.confidence.append(_of_tokens(talk, utterance, found))
        known.below.append(max(0.0, known.usual - sum(values) / len(values)) * 10 if values else 0.0)
        if utterance.index in skipped:
            continue
        known.spread.update({t.word for t in found})
        for one, two in zip(found, found[1:], strict=False):
            if one.word not in ws.function_words() and two.word not in ws.function_words():
                known.before[two.word].add(one.word)
                known.after[one.word].add(two.word)
    named = (w for w, count in known.spread.items() if count > 1 or w not in ws.function_words())
    known.things = sounds.SoundIndex(w for w in sorted(named) if is_thing(w, lexicon) and len(w) > 2)
    return known


def _of_tokens(talk: Talk, utterance: Utterance, found: list[ws.Token]) -> list[float | None]:
    """The confidence of each token: that of the word of the transcript in which it stands, if words have one."""
    values = [word.confidence for word in talk.words[utterance.words[0] : utterance.words[1]]]
    if utterance.corrected is not None or len(values) != len(utterance.text.split()):
        return [None] * len(found)
    ends, at = [], 0
    for word in utterance.text.split():
        at += len(word) + 1
        ends.append(at)
    result: list[float | None] = []
    index = 0
    for token in found:
        while index < len(ends) - 1 and token.start >= ends[index]:
            index += 1
        result.append(values[index])
    return result


# --------------------------------------------------------------------------- one utterance


def _places(at: int, index: int, known: _Talk) -> Iterator[_Place]:
    """The words of an utterance that may stand for something else."""
    words = [t.word for t in known.words[at]]
    heard = known.confidence[at]
    odd = [_oddness(w, known) for w in words]
    bounds = [ws.START, *words, ws.END]
    scores = [_pair(a, b) for a, b in zip(bounds, bounds[1:], strict=False)]
    open_ = [_is_open(i, words, odd, scores, heard, known) for i in range(len(words))]
    for first in range(len(words)):
        for last in range(first + 1, min(len(words), first + 3) + 1):
            if not _worth_a_look(first, last, words, open_, scores, heard, known):
                continue
            place = _place(index, first, last, words, odd, heard, known)
            place.features["below"] = known.below[at]
            # The search is dear; most words would not be questioned whatever sounds like them.
            if place.asked or place.pieces or _sum(place.model, place.features) + _HOPE >= 0:
                yield place


def _read(place: _Place, near: dict[str, float], known: _Talk) -> Iterator[Guess]:
    """What the words of a place may stand for, of the terms `near` in sound and those that the neighbours ask for."""
    new = {term: apart for term, apart in near.items() if not same_word(term, place.written, known.lexicon)}
    alike = sorted((new | place.asked | place.pieces).items(), key=lambda pair: (pair[1], pair[0]))[:14]
    readings = [
        (term, place.features | _reading(place, term, apart, known) | {"behind": math.log1p(behind)})
        for behind, (term, apart) in enumerate(alike)
    ]
    # A verb is no reading where a thing is named, if there is any other.
    readings = [r for r in readings if not (r[1]["astray"] and r[1]["was_noun"])] or readings
    if not readings:
        return
    ranks = [_sum("rank", features) for _, features in readings]
    highest = max(ranks)
    lead = 1.0 / sum(math.exp(rank - highest) for rank in ranks)
    for _, features in readings:
        features["lead"] = lead
    best = max(range(len(ranks)), key=lambda i: (ranks[i], readings[i][0]))
    meant = chance(_sum(place.model, readings[best][1]))
    for (term, features), rank in zip(readings, ranks, strict=True):
        yield Guess(place.utterance, place.first, place.last, place.written, term, features, rank, meant)


def _sum(name: str, features: dict[str, float]) -> float:
    weights = _weights()[name]
    weighed = 0.0
    for feature, value in features.items():
        if value and feature in weights:
            weighed += weights[feature] * value
    return weights["base"] + weighed


def _oddness(word: str, known: _Talk) -> float:
    """How little a word belongs to the workshop: 0 for its own words, 1 for a stranger."""
    if word in ws.function_words() or ws.is_number(word):
        return 0.0
    if word in presenting_words():
        return 0.6
    belongs = word in known.trade or known.lexicon.term(word) is not None
    return (0.5 if belongs else 1.0) * strangeness(word, known.trade, known.lexicon)


def _is_open(
    at: int, words: list[str], odd: list[float], scores: list[float], heard: list[float | None], known: _Talk
) -> bool:
    """True for a word that may not be what was said: a stranger in no good company, or one that was hardly heard."""
    word = words[at]
    if ws.is_number(word) or len(word) < 3:
        return False
    if word in ws.function_words():
        return _stands_for_a_noun(at, words)
    confidence = heard[at]
    if confidence is not None and confidence < 0.5 * known.usual:
        return True
    if _is_asked_for(at, words, known):
        return True
    if odd[at] < 0.5:
        return False
    if odd[at] > 0.55 and min(scores[at], scores[at + 1]) < 1.2:
        return True
    # A word in good company may still stand for a thing that the talk names: "bolt the camera to the pump".
    return bool(_governor(words, at, known.lexicon)) and any(
        not same_word(thing, word, known.lexicon) for thing, _ in known.things.nearest(word, cutoff=0.31, limit=3)
    )


def _stands_for_a_noun(at: int, words: list[str]) -> bool:
    """True for a closed-class word where none can stand: "the not is tight"."""
    kind = ws.function_words().get
    if not at or kind(words[at - 1]) not in ("article", "owner") or kind(words[at]) in (*_DETERMINERS, "adverb"):
        return False
    right = words[at + 1] if at + 1 < len(words) else ws.END
    return right == ws.END or bool(kind(right))


def _is_asked_for(at: int, words: list[str], known: _Talk) -> bool:
    """True where a like-sounding word would make a two-word term with a neighbour, and this one makes none."""
    lexicon, word = known.lexicon, words[at]
    if word in lexicon.modifiers or is_thing(word, lexicon):
        return False
    found = False
    for other, side in ((at + 1, 0), (at - 1, 1)):
        if not 0 <= other < len(words) or words[other] in ws.function_words():
            continue
        pair = (word, words[other]) if side == 0 else (words[other], word)
        if lexicon.term(" ".join(pair)):
            return False
        near = partner_sounds(lexicon, words[other], side).nearest(word, cutoff=_ASKED_SURELY, limit=2)
        found = found or any(not same_word(term, word, lexicon) for term, _ in near)
    return found


def _worth_a_look(
    first: int, last: int, words: list[str], open_: list[bool], scores: list[float],
    heard: list[float | None], known: _Talk,
) -> bool:  # fmt: skip
    if last == first + 1:
        return open_[first]
    window, function = words[first:last], ws.function_words()
    closed = [w in function for w in window]
    if True in closed and (all(closed) or any(w in function and w not in _WEAK for w in window)):
        return False
    if len("".join(window)) > 16 or any(w[0].isdigit() for w in window):
        return False
    looked_at = not any(closed) and sum(open_[first:last]) >= last - first - 1
    # A word in pieces holds a weak one between two others.
    in_pieces = (len(window) == 2 or closed[1]) and _is_doubtful(first, last, scores, heard, known)
    if not looked_at and not in_pieces:
        return False
    if any(known.lexicon.term(f"{a} {b}") for a, b in zip(window, window[1:], strict=False)):
        return False
    return looked_at or bool(joined(" ".join(window), known.lexicon))


def _is_doubtful(first: int, last: int, scores: list[float], heard: list[float | None], known: _Talk) -> bool:
    """True for words that the recogniser was not sure of, or that do not go with their neighbours."""
    values = [value for value in heard[first:last] if value is not None]
    if values:
        return min(values) < 0.75 * known.usual
    return min(scores[first : last + 1]) < _STRANGERS or max(scores[first + 1 : last]) < _UNUSUAL


def _asked(written: str, sound: str, left: str, right: str, known: _Talk) -> dict[str, float]:
    """What sounds like the words and makes a term, or a pair of the talk, with a neighbour; with its distance."""
    found: dict[str, float] = {}
    for other, side, talk in ((right, 0, known.before), (left, 1, known.after)):
        if other in ws.function_words() or other in (ws.START, ws.END):
            continue
        near = partner_sounds(known.lexicon, other, side).nearest(written, cutoff=_ASKED, limit=4)
        said = (
            (term, sounds.distance(sound, sounds.pronounce(term)))
            for term in talk.get(other, ())
            # Of two strangers in the same place one is as good as the other.
            if term in known.trade or known.spread[term] > known.spread[written]
        )
        for term, apart in (*near, *said):
            if apart <= _ASKED and not ws.is_number(term) and not same_word(term, written, known.lexicon):
                found[term] = apart
    return found


@dataclass(frozen=True, slots=True)
class _Place:
    """Words in question with what stands around them; `features` are those that no reading changes."""

    utterance: int
    first: int
    last: int
    model: str
    words: list[str]
    written: str
    sound: str
    asked: dict[str, float]
    pieces: dict[str, float]
    left: str
    right: str
    governor: str
    takes_verb: bool
    score: float
    is_phrase: bool
    features: dict[str, float]


def _place(
    index: int, first: int, last: int, words: list[str], odd: list[float], heard: list[float | None], known: _Talk
) -> _Place:
    lexicon, function = known.lexicon, ws.function_words()
    window = words[first:last]
    left = words[first - 1] if first else ws.START
    right = words[last] if last < len(words) else ws.END
    pairs = [left, *window, right]
    scores = [_pair(a, b) for a, b in zip(pairs, pairs[1:], strict=False)]
    content = [o for w, o in zip(window, odd[first:last], strict=True) if w not in function] or [0.0]
    values = [c for c in heard[first:last] if c is not None]
    is_phrase = _is_term(left, window, right, known, False)
    governor = _governor(words, first, lexicon)
    starts = left == ws.START or function.get(left) in BEFORE_VERB
    takes_verb = starts and (function.get(right) in _DETERMINERS or right in ("it", "them", "off", "out", "up", "down"))
    english = lexicon.english.get(window[-1])
    is_verb = english is not None and english.can_be("V")
    is_noun = english is not None and english.can_be("N")
    features = {
        "odd": sum(content) / len(content),
        "rare": sum(max(0.0, 4.0 - ws.zipf(w)) for w in window if w not in known.trade and w not in function) / 2,
        "doubted": max(0.0, 1 - min(values) / known.usual) if values and known.usual else 0.0,
        "noise": max(0.0, 0.95 - known.usual) * 10 if values else 0.0,
        "heard": max(0.0, min(values) - 0.9) * 10 if values else 0.0,
        "misfit": min(2.0, -min(0.0, min(scores)) / 2),
        "company": max(0.0, min(scores[0], scores[-1])),
        "common": max(0.0, min(ws.zipf(w) for w in window) - 4.0),
        "was_phrase": float(is_phrase),
        "again": math.log(max(1, min(known.spread[w] for w in window))),
        "was_verb": float(takes_verb and is_verb),
        "acts": float(is_verb and _does(left, lexicon)),
        "was_noun": float(bool(governor) and is_noun),
        "not_noun": float(bool(governor) and right in function and english is not None and not is_noun),
        "no_place": float(not governor and not takes_verb),
        "beside": float(_is_thing_word(left, known) or _is_thing_word(right, known)),
        "words": float(len(window) - 1),
        "cover": sum(odd[first:last]),
        "weak": float(any(w in function for w in window)),
    }
    written = " ".join(window)
    sound = sounds.pronounce(written)
    score = sum(scores) / len(scores)
    model = "flag_heard" if heard[first] is not None else "flag_words"
    asked = _asked(written, sound, left, right, known)
    pieces = joined(written, lexicon) if len(window) > 1 else {}
    return _Place(
        index, first, last, model, window, written, sound, asked, pieces, left, right, governor, takes_verb, score, is_phrase,
        features,
    )  # fmt: skip


def _reading(place: _Place, term: str, apart: float, known: _Talk) -> dict[str, float]:
    """The features that depend on what the words are taken for."""
    lexicon = known.lexicon
    new = term.replace("-", " ").split()
    pairs = [place.left, *new, place.right]
    scores = [_pair(a, b) for a, b in zip(pairs, pairs[1:], strict=False)]
    count = len(sounds.pronounce(term))
    thing = is_thing(term, lexicon)
    is_phrase = _is_term(place.left, new, place.right, known, True)
    only_verb = not thing and term in lexicon.verb_forms
    fame = fame_of(term, lexicon)
    close = max(0.0, _NEAR - apart) * 5
    return {
        "gain": max(-3.0, min(3.0, sum(scores) / len(scores) - place.score)),
        "apart": apart * 10,
        "sounds": min(10, count) / 2,
        "phrase": float(is_phrase and not place.is_phrase) * close,
        "said": math.log1p(min(known.spread[w] for w in new)) * close,
        "object": float(place.governor == "work" and thing),
        "of_verb": float(place.governor == "verb" and thing),
        "place": float(place.governor == "preposition" and thing),
        "subject": float(place.governor == "start" and thing),
        "verb": float(place.takes_verb and only_verb),
        "split": float(len(new) != len(place.words)),
        "joined": float(len(place.words) > 1) * max(0.0, 0.3 - apart) * count,
        "whole": float(term in place.pieces),
        "exact": float(term in place.pieces) * max(0.0, 0.15 - apart) * count,
        "pieces": float(term in place.pieces) * math.log1p(min(known.spread[w] for w in new)),
        "strong": max(0.0, 0.3 - apart) * count,
        "fame": fame,
        "known": max(0.0, min(ws.zipf(w) for w in new) - 3.0),
        "modifier": float(not thing and not only_verb),
        "modifies": float(not thing and not only_verb and _is_thing_word(place.right, known)),
        "near_fame": close * fame,
        "astray": float(only_verb and not place.takes_verb and not is_phrase),
    }


def _does(left: str, lexicon: Lexicon) -> bool:
    """True after a word that a verb in its clause follows: "it'll", "she", "nearly", "the chain"."""
    kind = ws.function_words().get(left, "")
    if kind:
        return kind in ("pronoun", "modal", "short", "adverb", "negative", "do", "asker") or left == "to"
    return left != ws.START and is_thing(left, lexicon)


def _pair(a: str, b: str) -> float:
    parts = (*ws.long_form(a), *ws.long_form(b)) if a and b else (a, b)
    first = "#" if ws.is_number(parts[-2]) else parts[-2]
    second = "#" if ws.is_number(parts[-1]) else parts[-1]
    return max(-4.0, min(4.0, ws.pair_score(first, second)))


def _is_term(left: str, words: list[str], right: str, known: _Talk, in_talk: bool) -> bool:
    """True if the words with a neighbour are a term of the lexicon, or (`in_talk`) stand together in the talk."""
    middle = " ".join(words)
    if known.lexicon.term(f"{left} {middle}") or known.lexicon.term(f"{middle} {right}"):
        return True
    return in_talk and (left in known.before[words[0]] or right in known.after[words[-1]])


def _is_thing_word(word: str, known: _Talk) -> bool:
    return is_thing(word, known.lexicon) and ws.zipf(word) < 5.3


def _governor(words: list[str], first: int, lexicon: Lexicon) -> str:
    """What the noun phrase around the words hangs on: a "work" verb, another "verb", a "preposition", the "start" of
    the clause, or "" where there is no noun phrase."""
    function = ws.function_words()
    seen = False
    for at in range(first - 1, max(-1, first - 6), -1):
        kind = function.get(words[at], "")
        if kind in _DETERMINERS or ws.is_number(words[at]):
            seen = True
        elif kind == "preposition" and words[at] not in _PARTICLES:
            return "preposition" if seen or at == first - 1 else ""
        elif kind and kind != "preposition":
            return "start" if seen else ""
        elif words[at] in lexicon.verb_forms and (seen or ws.zipf(words[at]) < 5.0):
            return "work" if seen else ""
        elif seen and not kind:
            return "verb"
    return "start" if seen else ""
