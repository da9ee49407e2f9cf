"""Missing precautions and unusual actions, on short talks of our own."""

from __future__ import annotations

import re

import pytest
from spoken_sentences import hear_sentences

from extract.errors import LexiconError
from extract.findings.conditions import find_conditions
from extract.findings.precautions import find_precaution_flags, load_unusual, parse_unusual
from extract.rules import Rule, load_rules
from extract.speech import FlagFound

PRECAUTIONS = load_rules("precautions")
UNUSUAL = (
    "Cut the rubber gaiter off with a knife.",
    "Saw the pin through with the hacksaw.",
    "slit the boot and peel it away",
    "Chop the hose off at the clamp.",
    "Hit the casting with a lump hammer.",
    "Hammer the bearing off.",
    "whack the housing with a sledge",
    "Crack the cage with a cold chisel.",
    "Drain the bolt.",
    "Heat the seal with a torch.",
    "Warm the fuel tank a little.",
    "Grease the brake disc.",
    "Oil the drive belt.",
    "Put a smear of grease on the brake pads.",
    "Prise it off against the sealing face with a screwdriver.",
    "Wash the alternator with the hose.",
    "Soak the sensor in water.",
    "Weld the fuel tank.",
    "File the bearing until it fits.",
    "Bend the push rod back.",
    "Hold the piston rod with the mole grips.",
    "Blow the brake dust out with an airline.",
    "Let the caliper hang by its hose.",
    "Pull the plug out by its wires.",
    "Undo the nut with a hammer and chisel.",
    "Run the pump dry for a minute.",
    "Paint the joint face.",
    "Wash the brake shoes in diesel.",
    "Burn the bolt off with the torch.",
)
USUAL = (
    "Cut the cable ties and pull the loom back.",
    "Cut the new hose to length.",
    "Cut the old hose off with a knife.",
    "Saw a bit of wood to size.",
    "Cut the sealant bead round the edge.",
    "Tap the housing with a soft mallet.",
    "Hit the shaft lightly with a copper hammer.",
    "Knock the bearing out with a drift.",
    "Hit the end of the shaft with a brass drift.",
    "Crack the union loose.",
    "Crack the bolts off with the breaker bar.",
    "Break the seal of the gasket.",
    "Drain the oil by the drain plug.",
    "Drain the gearbox.",
    "Warm the seal in hot water.",
    "Heat the bearing on the hot plate.",
    "Grease the slide pins.",
    "Put copper grease on the back of the pads.",
    "Oil the threads.",
    "Oil the chain.",
    "Prise the cap off with a screwdriver.",
    "Lever the cover off at the lugs.",
    "Wash the casting with paraffin.",
    "Clean the connector with contact cleaner.",
    "Weld a nut onto the broken stud.",
    "File the burr off the key.",
    "Bend the tab back.",
    "Hold the rod by its flats.",
    "Blow the passage out with an airline.",
    "Hang the caliper up with a bit of string.",
    "Pull the plug out of its socket.",
    "Undo the nut with a spanner.",
    "Run the engine for a minute.",
    "Put a dab of paint on the joint face as a mark.",
    "Clean the brake drum with a damp cloth.",
    "Soak the friction plates in clean transmission oil.",
    "Slide the boot off.",
    "Drill the two rivets out.",
    "Cut the split pin off short.",
    "Heat the hub with a heat gun.",
    "Spray the bolts with penetrating oil.",
)


def flags_of(talk: str, deaf: frozenset[int] = frozenset()) -> tuple[FlagFound, ...]:
    heard, phases, actions = hear_sentences(re.split(r"(?<=[.!?])\s+", talk))
    conditions = find_conditions(heard, phases, actions, deaf)
    return find_precaution_flags(heard, actions, conditions, deaf)


def missing(talk: str) -> list[str]:
    return [str(flag.evidence["rule"]) for flag in flags_of(talk) if flag.code == "missing_precaution"]


def unusual(talk: str) -> list[FlagFound]:
    return [flag for flag in flags_of(talk) if flag.code == "unusual_action"]


@pytest.mark.parametrize("rule", PRECAUTIONS, ids=lambda rule: rule.id)
def test_a_precaution_is_missed_where_nothing_tells_it(rule: Rule) -> None:
    assert len(set(rule.hits)) >= 5 and len(set(rule.misses)) >= 5
    assert [talk for talk in rule.hits if f"precaution.{rule.id}" not in missing(talk)] == []
    assert [talk for talk in rule.misses if f"precaution.{rule.id}" in missing(talk)] == []


def test_missing_precautions_are_found_and_rarely_wrong_over_all_rules() -> None:
    raised = [(rule, talk, missing(talk)) for rule in PRECAUTIONS for talk in rule.hits]
    wrong = [found for rule, talk, rules in raised for found in rules if found != f"precaution.{rule.id}"]
    assert len(raised) >= 10
    assert len(wrong) <= 0.3 * len(raised)


def test_an_unusual_action_is_found() -> None:
    found = [talk for talk in UNUSUAL if unusual(talk)]
    assert len(UNUSUAL) >= 10
    assert sorted(set(UNUSUAL) - set(found)) == []


def test_what_is_normally_done_is_not_flagged() -> None:
    assert len(USUAL) >= 10
    assert [talk for talk in USUAL if unusual(talk)] == []


def test_one_flag_a_hazard_however_often_the_act_comes() -> None:
    assert missing("Pull the air line off. Undo the second air line. Take the air tank off.") == [
        "precaution.air-pressure"
    ]


def test_a_precaution_told_right_behind_the_act_counts() -> None:
    assert missing("Pull the three air pipes off. You let the air out of the tanks first, of course.") == []


def test_a_precaution_of_another_variant_does_not_count() -> None:
    talk = "If yours has the parking valve, let the air out. Either way, lift the lid. Pull the three air pipes off."
    assert missing(talk) == ["precaution.air-pressure"]


def test_an_act_done_before_the_film_asks_for_nothing() -> None:
    assert missing("I've already pulled the three air pipes off.") == []


def test_acts_of_the_refit_and_forbidden_acts_are_left_alone() -> None:
    assert flags_of("Don't hit the casting with the hammer. When you refit it, grease the brake disc.") == ()


def test_words_that_cannot_be_trusted_neither_raise_nor_settle() -> None:
    assert flags_of("Pull the three air pipes off.", frozenset({0})) == ()
    heard_deaf = flags_of("Let the air out of the tank. Pull the three air pipes off.", frozenset({0}))
    assert [flag.code for flag in heard_deaf] == ["missing_precaution"]


def test_a_flag_names_the_act_and_why() -> None:
    (flag,) = unusual("That pin is stuck fast, get the hacksaw and saw it off.")
    assert flag.severity == "check"
    assert flag.message == "Is it right to saw off the pin? Normally not: cutting destroys the part."
    assert flag.evidence["rule"] == "unusual.cut-part"


def test_every_row_of_the_table_is_hit_by_some_talk() -> None:
    hit = {str(flag.evidence["rule"]) for talk in UNUSUAL for flag in unusual(talk)}
    assert {f"unusual.{kind.id}" for kind in load_unusual()} - hit == set()


@pytest.mark.parametrize(
    ("source", "line"),
    [
        ("id,verbs,parts\n", 1),
        ("id,verbs,parts,words,why,exceptions\ncut,cut,,,why,\n", 2),
        ("id,verbs,parts,words,why,exceptions\ncut,cut,(pin,,why,\n", 2),
    ],
)
def test_a_mistake_in_the_table_is_reported_with_its_line(source: str, line: int) -> None:
    with pytest.raises(LexiconError) as caught:
        parse_unusual(source, "unusual.csv")
    assert (caught.value.file, caught.value.line) == ("unusual.csv", line)
