"""Workshop sentences, made from templates over the lexicon, and the honest talk written for the fit.

Both are used by the builders beside this file only. Everything is drawn from a fixed seed, so that a rebuild
gives the same tables.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from pathlib import Path

from extract import lexicon as lexicons

HERE = Path(__file__).parent
COUNT = 60_000
#: Gaps: {p} part, {f} fastener, {s} seal, {t} tool, {m} material or fluid, {v} work verb, {vd} its participle,
#: {vs} third person, {vg} -ing form, {n} number word, {w} where.
TEMPLATES = """
{v} the {f} and {v} the {p} {off}
{v} the {n} {f}s {w} and {v} the {p} {off}
then {v} the {p} with a {t}
now {v} the {p} {off} and put it to one side
next {v} the {f} with the {t}
first {v} the {n} {f}s that hold the {p}
so you {v} the {p} {off} and {v} the {s}
you want to {v} the {f} {w}
you need to {v} the {p} before you {v} the {p}
{v} it {off} with a {t}
{v} them {off} and {v} the {p} away
{v} both {f}s and lift the {p} away from the {p}
don't {v} the {p} or you'll damage the {s}
never {v} the {p} with a {t}
be careful not to {v} the {p}
mind you don't {v} the {s}
the {p} is held by {n} {f}s
the {p} is held on with a {f}
there's a {f} {w} and that holds the {p}
there are {n} {f}s round the {p}
underneath you'll find the {p} and the {p}
the {s} has to be renewed
the {s} gets renewed every time
the {n} {f}s need to be fresh for the way back
you'll need a new {s} and {n} new {f}s
fit a new {s} when the {p} goes back on
put a new {s} on the {p}
replace the {s} with a new one
the {s} is {vd} every time it's off
the {f}s go to {n} newton metres
the {f} is {vd} to {n} newton metres
tighten the {f}s to {n} newton metres crosswise
{f}s are {n} foot pounds
done up to {n} newton metres
that one is only {n} newton metres
on reassembly {v} the {p} with {m}
put a smear of {m} on the {p}
wipe the {p} with {m}
fill it up with fresh {m}
drain the {m} into a {t}
when you fit it {v} the {p} first
when it all goes together again {v} the {s} with {m}
if yours has a {p} {v} the {f} instead
if it's the type with the {p} then {v} the {f}
on the {p} {v} the {n} {f}s
the {p} is {vd} and the {f} is {vd}
the {f}s are {vd} and the {p} is taken {off}
the {p} can be {vd} by {vg} the {f}
after {vg} the {f} the {p} is {vd}
before {vg} the {p} the {f} must be {vd}
the {p} must be {vd} with a {t}
i've already {vd} the {p}
i have the {p} {vd} already
{v} the {p} {off} the {p}
{v} the {p} out of the {p}
{v} the {p} away from the {p}
{v} the {p} from the {p} with the {t}
slide the {p} off the {p}
pull the {p} out by hand
get the {p} out with a {t}
grab a {t} and {v} the {p}
take the {t} and {v} the {n} {f}s {w}
use the {t} to {v} the {p}
make sure the {p} is clean
check the {p} for wear
clean the face of the {p} with a {t}
line up the mark on the {p} with the {p}
the arrow on the {p} points to the {p}
the lip of the {s} faces the {p}
now for the {p}
next up is the {p}
so that's the {p} off
today we're doing the {p} and the {s}
this is the {p} off a {p}
{f}s in and nip them up by hand
it goes back in the reverse order
everything else goes on as it came off
the {p} {vs} the {p}
if you {v} the {p} the {s} will leak
otherwise the {p} rubs on the {p}
look at the {p} it's worn
the {p} wants to be {vd}
you can {v} the {p} by hand
let the {m} out of the {p}
stick the {s} on with {m}
hold the {p} and {v} the {f}
turn the {p} until it {vs}
""".strip().splitlines()
WHERE = ("at the back", "at the front", "on the side", "underneath", "at the top", "at the bottom", "inside",
         "on the left", "on the right", "at each end", "behind it", "on top", "round the edge")  # fmt: skip
OFF = ("off", "out", "away", "up", "down", "back", "in", "on", "")
NUMBERS = ["two", "three", "four", "five", "six", "eight", "nine", "ten", "twelve"]


def _fill(template: str, chooser: random.Random, words: dict[str, list[str]], verbs: list[tuple[str, ...]]) -> str:
    parts = []
    for piece in template.replace("}", "{").split("{"):
        if piece in words:
            parts.append(chooser.choice(words[piece]))
        elif piece in ("v", "vd", "vs", "vg"):
            parts.append(chooser.choice(verbs)[("v", "vd", "vs", "vg").index(piece)])
        else:
            parts.append(piece)
    return " ".join("".join(parts).split())


def made_sentences(seed: int, count: int) -> Iterator[str]:
    """`count` sentences from the templates."""
    lexicon = lexicons.load()
    kinds: dict[str, list[str]] = {}
    for term in lexicon.terms:
        kinds.setdefault(term.kind, []).append(term.term)
    words = {
        "p": kinds["part"], "f": kinds["fastener"], "s": kinds["seal"], "t": kinds["tool"],
        "m": kinds.get("material", []) + kinds.get("fluid", []), "n": NUMBERS, "w": list(WHERE), "off": list(OFF),
    }  # fmt: skip
    verbs = [
        (v.base, v.participle, v.third, v.ing)
        for v in lexicon.verbs
        if "part" in v.objects or "any" in v.objects or "fastener" in v.objects
    ]
    chooser = random.Random(seed)
    for _ in range(count):
        yield _fill(chooser.choice(TEMPLATES), chooser, words, verbs)


def honest_talks() -> list[list[str]]:
    """The talks of honest_talk.txt, each a list of utterances."""
    talks: list[list[str]] = []
    for line in (HERE / "honest_talk.txt").read_text("utf-8").splitlines():
        if line.startswith("=="):
            talks.append([])
        elif line and not line.startswith("#"):
            talks[-1].append(line)
    return talks


def sentences() -> Iterator[str]:
    """What the word statistics are counted from. The honest talks are kept for the fit."""
    yield from made_sentences(1, COUNT)
