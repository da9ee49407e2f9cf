"""Cautions: what the speaker warns of, the usual ones, and how a warning is written."""

from __future__ import annotations

import re

import pytest
from num2words import num2words
from spoken_sentences import hear_sentences

from extract.findings.caution_text import written
from extract.findings.cautions import find_cautions, touched
from extract.rules import Rule, load_rules
from extract.speech import CautionFound

HAZARDS = load_rules("hazards")
WORDS = load_rules("caution_words")


def cautions_of(sentences: list[str], deaf: frozenset[int] = frozenset()) -> tuple[CautionFound, ...]:
    heard, _, actions = hear_sentences(sentences)
    return find_cautions(heard, actions, deaf)


def touches(rule: Rule, sentence: str) -> bool:
    heard, _, actions = hear_sentences([sentence])
    return rule.id in {found.id for found, _ in touched(heard, 0, actions)}


def test_the_table_holds_twenty_two_hazards_or_more() -> None:
    assert len(HAZARDS) >= 22


@pytest.mark.parametrize("rule", HAZARDS, ids=lambda rule: rule.id)
def test_a_hazard_is_touched_by_its_hits_and_not_by_its_misses(rule: Rule) -> None:
    assert len(set(rule.hits)) >= 5 and len(set(rule.misses)) >= 5
    assert [sentence for sentence in rule.hits if not touches(rule, sentence)] == []
    assert [sentence for sentence in rule.misses if touches(rule, sentence)] == []


@pytest.mark.parametrize("rule", WORDS, ids=lambda rule: rule.id)
def test_a_rule_of_wording_finds_its_hits_and_leaves_its_misses(rule: Rule) -> None:
    assert len(set(rule.hits)) >= 5 and len(set(rule.misses)) >= 5
    assert [sentence for sentence in rule.hits if not rule.pattern.search(sentence.lower())] == []
    assert [sentence for sentence in rule.misses if rule.pattern.search(sentence.lower())] == []


@pytest.mark.parametrize("rule", HAZARDS, ids=lambda rule: rule.id)
def test_no_usual_caution_carries_a_figure_or_a_number_word(rule: Rule) -> None:
    # Number words from num2words, a general library of the registry.
    numbers = {word for value in (*range(1, 101), 1000) for word in re.findall(r"[a-z]+", num2words(value))} - {"and"}
    words = set(re.findall(r"[a-z]+", rule.text("text").lower()))
    assert re.search(r"\d", rule.text("text")) is None
    assert words & (numbers | {"half", "quarter", "dozen", "couple", "twice"}) == set()


@pytest.mark.parametrize("rule", HAZARDS, ids=lambda rule: rule.id)
def test_a_usual_caution_has_a_signal_word_that_fits_its_harm(rule: Rule) -> None:
    # ANSI Z535.6, from memory: DANGER, WARNING and CAUTION are about people, NOTICE is about damage only.
    assert rule.text("signal") in ("DANGER", "WARNING", "CAUTION", "NOTICE")
    assert (rule.text("signal") == "NOTICE") == bool(rule.fields.get("damage"))
    assert (rule.text("signal") == "DANGER") == bool(re.search(r"\bwill (?:kill|explode)\b", rule.text("text")))


@pytest.mark.parametrize("rule", HAZARDS, ids=lambda rule: rule.id)
def test_a_usual_caution_has_short_sentences(rule: Rule) -> None:
    for sentence in re.split(r"(?<=\.) ", rule.text("text")):
        assert 3 <= len(sentence.split()) <= 20


@pytest.mark.parametrize(
    ("spoken", "subject", "text"),
    [
        (
            "Brake dust is nasty stuff, so never blow it out with an airline.",
            "brake dust",
            "Never blow the brake dust out with an airline. Brake dust is harmful.",
        ),
        ("careful you don't nick the seat doing that", None, "Take care not to nick the seat doing that."),
        ("Don't go levering on the flange, you'll bend it.", None, "Do not lever on the flange. Otherwise, you will bend it."),
        ("now keep your hands outta there cause it kicks", None, "Keep your hands out of there. It kicks."),
        ("The edges are dead sharp, so gloves, please.", None, "Wear gloves. The edges are sharp."),
        ("don't you ever stand under that boom", None, "Never stand under that boom."),
        ("Mind them belts, they'd have your fingers.", None, "Mind those belts. They would have your fingers."),
        ("You want a mask on for the next bit, the dust is harmful.", None, "Wear a mask. The dust is harmful."),
        ("The plates stay charged, so do not touch them before then.", None, "The plates stay charged. Do not touch them before then."),
        ("A hot rotor looks just like a cold one.", None, "A hot rotor looks just like a cold one."),
    ],
)  # fmt: skip
def test_a_warning_is_written_as_a_command_and_its_reason(spoken: str, subject: str | None, text: str) -> None:
    assert written(spoken, subject, {"levering": "lever"}) == text


def test_a_spoken_warning_names_its_hazard_and_its_signal_word() -> None:
    found = cautions_of(
        [
            "Its spring is stretched tight, so keep your face well back.",
            "Don't scratch the shaft doing that.",
            "That wire can kill you, so never touch it.",
            "Mind your knuckles on the edges.",
        ]
    )
    assert [(one.hazard, one.signal_word, one.origin) for one in found] == [
        ("spring-energy", "WARNING", "spoken"),
        ("sealing-face", "NOTICE", "spoken"),
        ("other-injury", "WARNING", "spoken"),
        ("sharp-edges", "CAUTION", "spoken"),
    ]


def test_a_warning_beside_an_act_leaves_the_act_out() -> None:
    (found,) = [one for one in cautions_of(["Mind your fingers and lift the cover off."]) if one.origin == "spoken"]
    assert found.text == "Mind your fingers."


@pytest.mark.parametrize(
    "sentence",
    [
        "Clamp the hose so we don't lose the coolant.",
        "Never reuse the old bolts.",
        "Don't worry about the noise.",
        "Lock the cabinet with your own padlock and hang up the warning tag.",
        "Tape the pipes so they don't get mixed up.",
    ],
)
def test_what_only_sounds_like_a_warning_is_none(sentence: str) -> None:
    assert [one for one in cautions_of([sentence]) if one.origin == "spoken"] == []


def test_one_usual_caution_a_hazard_and_section() -> None:
    found = cautions_of(
        [
            "Pull the top hose off the radiator.",
            "Undo the thermostat housing.",
            "Now for the water pump.",
            "Take the water pump off.",
        ]
    )
    assert [(one.hazard, one.place.utterance) for one in found] == [("hot-coolant", 0), ("hot-coolant", 3)]


def test_no_usual_caution_where_the_speaker_warns() -> None:
    found = cautions_of(["The coolant is under pressure, so let it cool first.", "Drain the coolant."])
    assert [one.origin for one in found if one.hazard == "hot-coolant"] == ["spoken"]


def test_some_hazards_are_told_once_a_talk() -> None:
    found = cautions_of(["Drain the engine oil.", "Now for the gearbox.", "Drain the gearbox."])
    assert [one.place.utterance for one in found if one.hazard == "waste-fluids"] == [0]


def test_a_usual_caution_points_at_the_act_and_the_rule() -> None:
    text = "Right, pull the two air lines off."
    (found,) = cautions_of([text])
    assert text[found.place.start :].startswith("pull")
    assert found.place.rule == "hazard.compressed-air"


def test_words_that_cannot_be_trusted_give_no_caution() -> None:
    assert cautions_of(["Drain the coolant.", "Never touch the belt."], frozenset({0, 1})) == ()
