"""Looking words up: spellings of both shores, numbers, verbs with particles, classes of English words."""

from __future__ import annotations

import subprocess
import sys

import pytest

from extract.lexicon import load

LEXICON = load()


@pytest.mark.parametrize(
    ("uk", "us"),
    [
        # Pairs as common dictionaries give them; common practice, no source beyond them.
        ("tyre", "tire"), ("spanner", "wrench"), ("bonnet", "hood"), ("windscreen", "windshield"),
        ("gearbox", "transmission"), ("carburettor", "carburetor"), ("bush", "bushing"), ("damper", "shock absorber"),
        ("petrol", "gasoline"), ("paraffin", "kerosene"), ("silencer", "muffler"), ("earth wire", "ground wire"),
        ("aluminium", "aluminum"), ("bench vice", "bench vise"), ("lift", "elevator"), ("plough", "plow"),
        ("propshaft", "driveshaft"), ("number plate", "license plate"), ("axle stand", "jack stand"), ("tap", "faucet"),
    ],
)  # fmt: skip
def test_both_shores_name_the_same_thing(uk, us):
    assert LEXICON.term(uk) is LEXICON.term(us) is not None
    assert LEXICON.term(LEXICON.plural(us)) is LEXICON.term(us)


@pytest.mark.parametrize("spelling", ["o-ring", "o ring", "oring", "o-rings", "o rings", "orings"])
def test_spellings_with_hyphen_space_and_neither(spelling):
    assert LEXICON.term(spelling).id == "o-ring"


@pytest.mark.parametrize(
    ("surface", "kind"),
    [
        ("split pin", "fastener"), ("banjo bolts", "fastener"), ("copper washers", "seal"), ("lip seal", "seal"),
        ("gear oil", "fluid"), ("copper grease", "material"), ("torque wrench", "tool"), ("nitrile gloves", "ppe"),
        ("mini digger", "machine"), ("mating faces", "place"), ("apprentice", "person"), ("clearance", "abstract"),
        ("water pump", "assembly"), ("guide shoes", "assembly"), ("stub axle", "part"), ("sea cock", "part"),
        ("shear bolt", "fastener"), ("packing gland", "part"), ("rear mech", "assembly"), ("inner tubes", "part"),
    ],
)  # fmt: skip
def test_kind_of_things_of_many_trades(surface, kind):
    assert LEXICON.term(surface).kind == kind


@pytest.mark.parametrize(
    ("many", "one"),
    [
        ("halves", "half"), ("tyre levers", "tyre lever"), ("tires", "tire"), ("safety glasses", "safety glasses"),
        ("pliers", "pliers"), ("fuel hoses", "fuel hose"), ("lenses", "lens"), ("bolt", "bolt"), ("brass", "brass"),
        ("chassis", "chassis"), ("vane retaining plates", "vane retaining plate"), ("wiggets", "wigget"),
    ],
)  # fmt: skip
def test_singular(many, one):
    assert LEXICON.singular(many) == one


@pytest.mark.parametrize(
    ("base", "particle", "kind", "sense", "plain", "inverse", "undone"),
    [
        ("take", "off", "part", "remove", "remove", "fit", "yes"),
        ("whip", "out", "fastener", "remove", "remove", "fit", "yes"),
        ("undo", None, "fastener", "loosen", "undo", "tighten", "yes"),
        ("undo", None, "part", "loosen", "undo", "tighten", "yes"),
        ("crack", "off", "fastener", "loosen", "loosen", "tighten", "yes"),
        ("nip", "up", "fastener", "tighten", "tighten lightly", "loosen", "no"),
        ("drop", None, "fluid", "drain", "drain", "fill", "yes"),
        ("drop", None, "part", "remove", "remove", "fit", "yes"),
        ("jack", "up", "machine", "raise", "jack up", "lower", "yes"),
        ("switch", "off", "machine", "isolate", "switch off", "switch on", "yes"),
        ("unclip", None, "part", "unclip", "unclip", "clip on", "yes"),
        ("slide", "back", "part", "move", "slide", "slide back", "yes"),
        ("dismount", None, "part", "remove", "remove", "fit", "yes"),
        ("screw", "out", "fastener", "remove", "unscrew", "fit", "yes"),
        ("wipe", "down", "part", "clean", "wipe", "", "no"),
        ("drill", "out", "fastener", "destroy", "drill out", "renew", "never"),
        ("fit", None, "tool", "fit", "fit", "remove", "yes"),
        ("fit", None, "part", "fit", "fit", "remove", "no"),
        ("photograph", None, "part", "note", "photograph", "", "no"),
    ],
)
def test_sense_of_a_verb(base, particle, kind, sense, plain, inverse, undone):
    found = LEXICON.verb_sense(base, particle, kind)
    assert (found.sense, found.plain, found.inverse, found.undone) == (sense, plain, inverse, undone)


def test_particle_without_a_sense_of_its_own_falls_back_on_the_bare_verb():
    assert LEXICON.verb_sense("undo", "off").id == LEXICON.verb_sense("undo", None).id
    assert LEXICON.verb_sense("take", "umbrage").sense == LEXICON.verb_sense("take", None).sense
    assert LEXICON.verb_sense("wish", "away") is None


def test_word_form_with_two_base_verbs_tells_both():
    assert ("wind", "d") in LEXICON.verb_forms["wound"]
    assert set(LEXICON.verb_forms["ground"]) >= {("ground", "b"), ("grind", "n")}


@pytest.mark.parametrize(
    ("word", "classes", "noun", "verb"),
    [
        ("cut", {"Vbdn", "N", "J"}, "cut", "cut"),
        ("bolts", {"N", "Vs"}, "bolt", "bolt"),
        ("undone", {"Vn", "J"}, None, "undo"),
        ("carefully", {"R"}, None, None),
    ],
)
def test_english_word(word, classes, noun, verb):
    found = LEXICON.english[word]
    assert set(found.classes) == classes
    assert (found.lemma_noun, found.lemma_verb) == (noun, verb)


def test_english_lists_both_spellings_and_no_closed_class():
    for word in ("colour", "color", "tyre", "tire", "centre", "center", "pressurise", "pressurize", "grey", "gray"):
        assert word in LEXICON.english
    for word in ("the", "and", "of", "which", "him"):
        assert word not in LEXICON.english and LEXICON.english.get(word) is None


def test_modifiers_tell_what_they_say_of_a_part():
    kinds = {
        word: LEXICON.modifiers[word] for word in ("copper", "rear", "drain", "countersunk", "wee", "rusty", "old")
    }
    assert kinds == {
        "copper": "material", "rear": "position", "drain": "function", "countersunk": "shape", "wee": "state",
        "rusty": "state", "old": "state",
    }  # fmt: skip


def test_lexicon_needs_no_language_library():
    code = "import sys, extract.lexicon as l; l.load().english['bolt']; sys.exit('spacy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
