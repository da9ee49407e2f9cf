"""Cautions: what the speaker warns of, the usual ones, and how a warning is written."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from num2words import num2words
from spoken_sentences import hear_sentences

import extract
from extract.findings.caution_text import complete, written
from extract.findings.cautions import find_cautions, touched
from extract.rules import Rule, load_rules
from extract.settings import Settings
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
            "Cement dust is nasty, so never sweep it up with a dry broom.",
            "cement dust",
            "Never sweep the cement dust up with a dry broom. Cement dust is harmful.",
        ),
        ("careful you don't nick the seat doing that", None, "Take care not to nick the seat doing that."),
        ("Don't go levering on the flange, you'll bend it.", None, "Do not lever on the flange. Otherwise, you will bend it."),
        ("now keep your hands outta there cause it kicks", None, "Keep your hands out of there. It kicks."),
        ("The edges are dead sharp, so gloves, please.", None, "Wear gloves. The edges are sharp."),
        ("don't you ever stand under that boom", None, "Never stand under that boom."),
        ("Mind them belts, they'd have your fingers.", None, "Mind those belts. They would have your fingers."),
        ("You want a visor on for this bit, the dust is harmful.", None, "Wear a visor. The dust is harmful."),
        ("The plates stay charged, so do not touch them before then.", None, "The plates stay charged. Do not touch them before then."),
        ("Nobody walks behind the tailgate, ever.", None, "Let nobody walk behind the tailgate."),
        ("The chain is under tension, so fingers are kept clear of it.", None, "Keep fingers clear of it. The chain is under tension."),
        ("Work on the burner is reserved for a licensed gas fitter.", None, "Let only a licensed gas fitter work on the burner."),
        ("If you nick that lip, she'll weep for ever.", None, "Do not nick that lip. Otherwise, it will weep for ever."),
        ("Wire brushes scratch the chrome and must not be used.", None, "Do not use wire brushes. They scratch the chrome."),
        ("Levering cracks the lug.", None, "Do not lever. It cracks the lug."),
        ("keep off the grate there's hot ash under it", None, "Keep off the grate. There is hot ash under it."),
        ("It must not be laid on its glass.", "gauge", "The gauge must not be laid on its glass."),
        ("Take care that the plate does not slip, with one knock its edge is finished.", None, "Take care that the plate does not slip. With one knock its edge is finished."),
        ("It won't drop now, but keep your hands off the fork, the edges are sharp.", None, "Keep your hands off the fork. The edges are sharp."),
        ("Goggles on before you start the saw, it will spit chips.", None, "Wear goggles before you start the saw. It will spit chips."),
        ("don't breathe near it i once did and regretted it", None, "Do not breathe near it."),
        ("It is hot, so please never hold it bare-handed.", "frame", "Never hold the frame bare-handed. It is hot."),
        ("Lay a cloth over it, because the spring flies out in your face.", "cloth", "Lay a cloth over it. The spring flies out in your face."),
        ("A hot rotor looks just like a cold one.", None, "A hot rotor looks just like a cold one."),
    ],
)  # fmt: skip
def test_a_warning_is_written_as_a_command_and_its_reason(spoken: str, subject: str | None, text: str) -> None:
    assert written(spoken, subject, {"levering": "lever"}) == text


def test_a_spoken_warning_names_its_hazard_and_its_signal_word() -> None:
    found = cautions_of(
        [
            "Its spring is wound up hard, so keep your hands well away.",
            "Don't scratch the spindle as you turn it.",
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
    assert found.text == "Mind your fingers. Otherwise, somebody can be injured."


@pytest.mark.parametrize(
    "sentence",
    [
        "Clamp the hose so we don't lose the coolant.",
        "Never reuse the old bolts.",
        "Don't worry about the noise.",
        "Shut the valve with the long key and put a sign on it.",
        "Tape the pipes so they don't get mixed up.",
    ],
)
def test_what_only_sounds_like_a_warning_is_none(sentence: str) -> None:
    assert [one for one in cautions_of([sentence]) if one.origin == "spoken"] == []


@pytest.mark.parametrize(
    ("spoken", "text"),
    [
        ("Mind your elbow on the crossbar.", "Mind your elbow on the crossbar. Otherwise, somebody can be injured."),
        (
            "Never crawl under it with only the bottle jack there.",
            "Never crawl under it with only the bottle jack there. It can fall and crush you.",
        ),
        (
            "The coolant in there will scald you.",
            "Let the cooling system cool before you open it. The coolant in there will scald you.",
        ),
        (
            "Thinners attack the rubber and must not be used.",
            "Do not use thinners. They attack the rubber.",
        ),
        (
            "Hold a cloth over the bore, because the plug shoots out of it like a bullet.",
            "Hold a cloth over the bore. The plug shoots out of it like a bullet.",
        ),
        ("Balers take arms off.", "Take care. Balers take arms off."),
        (
            "Put some thread sealant on the plug, but keep it off the sensor tip.",
            "Keep the thread sealant off the sensor tip. Otherwise, the part can be damaged.",
        ),
        (
            "It can't start, but keep your hands off the belt anyway, that belt is sharp.",
            "Keep your hands off the belt. That belt is sharp.",
        ),
        (
            "The strap is then drawn off the drum, never levered.",
            "Never lever the strap. Otherwise, the part can be damaged.",
        ),
    ],
)
def test_a_spoken_warning_tells_what_to_do_and_what_can_happen(spoken: str, text: str) -> None:
    assert [one.text for one in cautions_of([spoken]) if one.origin == "spoken"] == [text]


@pytest.mark.parametrize("rule", HAZARDS, ids=lambda rule: rule.id)
def test_a_usual_caution_says_what_to_do_and_then_what_can_happen(rule: Rule) -> None:
    avoidance, harm = re.split(r"(?<=\.) ", rule.text("text"))[:2]
    assert complete(f"{avoidance} {harm}", "", "") == f"{avoidance} {harm}"
    assert re.search(r"\b(?:can|will)\b", harm)


@pytest.mark.parametrize(
    ("equipment_caution", "words"),
    [(False, ["NOTICE", "NOTICE", "WARNING"]), (True, ["CAUTION", "CAUTION", "WARNING"])],
)
def test_harm_to_equipment_alone_is_a_caution_where_the_settings_say_so(
    equipment_caution: bool, words: list[str], tmp_path: Path
) -> None:
    talk = tmp_path / "scheme.txt"
    talk.write_text(
        "Undo the cap. Don't scratch the spindle as you turn it. Wipe the old grease off. "
        "Oil attacks this rubber and must not be used. The spring can kill you, so never touch it.",
        encoding="utf-8",
    )
    drafted = extract.draft(talk, settings=Settings(equipment_caution=equipment_caution))
    assert [one.signal_word for one in drafted.cautions if one.origin == "spoken"] == words


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
    text = "Right, pull the three air pipes off."
    (found,) = cautions_of([text])
    assert text[found.place.start :].startswith("pull")
    assert found.place.rule == "hazard.compressed-air"


def test_words_that_cannot_be_trusted_give_no_caution() -> None:
    assert cautions_of(["Drain the coolant.", "Never touch the belt."], frozenset({0, 1})) == ()
