"""Tightening requirements: values and stages with their joint, no value, documents, reach, order."""

from __future__ import annotations

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from spoken_sentences import hear_sentences

from extract.findings.torques import find_torques
from extract.rules import load_rules
from extract.speech import TorqueFound

RULES = load_rules("torques")


def torques(*sentences: str) -> tuple[TorqueFound, ...]:
    heard, _, _ = hear_sentences(sentences)
    return find_torques(heard, frozenset())


def the_torque(*sentences: str) -> TorqueFound:
    found = torques(*sentences)
    assert len(found) == 1, found
    return found[0]


def values(torque: TorqueFound) -> list[float | None]:
    return [stage.angle_deg if stage.angle_deg is not None else stage.value_nm for stage in torque.stages]


def test_the_gate_lets_through_what_the_rules_hit():
    gate = next(rule for rule in RULES if rule.text("part") == "gate")
    told = [text for rule in RULES if rule.text("part") in ("context", "novalue", "reference") for text in rule.hits]
    assert [text for text in told if not gate.pattern.search(text.lower())] == []


@pytest.mark.parametrize(
    ("sentence", "joint", "value"),
    [
        ("The banjo bolt is thirty-five newton metres.", "banjo bolt", 35),
        ("Torque on the yoke bolts, one hundred sixty newton metres.", "yoke bolts", 160),
        ("the hex screws on the winch get fifty eight foot pounds", "hex screws", 78.6),
        ("The terminal screws are tightened to twelve inch pounds.", "terminal screws", 1.4),
        ("The locknuts are tightened to three kilopond metres.", "locknuts", 29.4),
        ("The nut on the lamp post, seven newton metres will do.", "nut on the lamp post", 7),
        ("Hold the spindle and do the locknut up to fifteen foot pounds.", "locknut", 20.3),
        ("The screws of the end shield are tightened to four newton metres.", "screws of the end shield", 4),
        ("Tighten the impeller nut to 110 Nm.", "impeller nut", 110),
        ("Sixteen foot pounds on the valve cover bolts.", "valve cover bolts", 21.7),
        ("For the gland it is four hundred and fifty newton metres.", "gland", 450),
        ("Set your torque wrench to fifty newton metres and do the nuts up.", "nuts", 50),
        ("The wheel bolts want doing up to one ten newton metres.", "wheel bolts", 110),
    ],
)
def test_value_and_joint(sentence, joint, value):
    found = the_torque(sentence)
    assert (found.joint, values(found)) == (joint, [value])


# pint (registry: https://pypi.org/project/pint/) converts independently.
@pytest.mark.parametrize(("spoken", "unit"), [("foot pounds", "foot"), ("inch pounds", "inch")])
@pytest.mark.parametrize("number", [9, 26, 95, 110, 250])
def test_converts_to_newton_metres(number, spoken, unit):
    nm = pint.UnitRegistry().Quantity(number, f"force_pound * {unit}").to("newton * meter").magnitude
    assert values(the_torque(f"Tighten the nut to {number} {spoken}."))[0] == pytest.approx(nm, abs=0.05)


def test_keeps_the_spoken_words():
    assert the_torque("The nut is thirty foot pounds.").spoken == ("thirty foot pounds",)


def test_reads_a_range():
    stage = the_torque("The bolts are tightened to between sixty and seventy newton metres.").stages[0]
    assert (stage.low_nm, stage.high_nm) == (60, 70)


@pytest.mark.parametrize(
    ("sentence", "expected"),
    [
        ("Tighten the cap studs in three goes, twenty-five foot pounds, then fifty, then a further ninety degrees.",
         [33.9, 67.8, 90]),
        ("Head bolts: crosswise in two steps, 50 newton meters and then 30.", [50, 30]),
        ("The casing nuts are tightened in two stages, first to 25 Nm and then to 48 Nm.", [25, 48]),
        ("The nuts get ten, then twenty, then thirty-five newton metres.", [10, 20, 35]),
        ("Torque the bolts to forty newton metres then turn them through ninety degrees then a further ninety.", [40, 90, 90]),
        ("torque the head bolts in three steps to twenty five forty and sixty five foot pounds", [33.9, 54.2, 88.1]),
        ("Tighten the nut until snug, then turn it an additional 1/4 turn.", [90]),
        ("Spark plug, hand tight and then a quarter turn.", [90]),
        ("The axle nut gets two hundred newton metres, then back it off a quarter turn.", [200]),
    ],
)  # fmt: skip
def test_stages_in_one_sentence(sentence, expected):
    assert values(the_torque(sentence)) == expected


def test_stages_over_several_sentences_keep_their_joint():
    found = torques(
        "The flange bolts get twenty newton metres first.",
        "Then go round again at sixty.",
        "And the last time it's thirty degrees on the disc.",
    )
    assert [(one.joint, values(one)) for one in found] == [
        ("flange bolts", [20]),
        ("flange bolts", [60]),
        ("flange bolts", [30]),
    ]


def test_one_value_in_two_units_is_one_stage():
    found = the_torque("The bolts are thirty foot pounds, that's forty newton metres.")
    assert (values(found), found.spoken) == ([40.7], ("thirty foot pounds", "forty newton metres"))


def test_two_joints_in_one_sentence():
    found = torques("The tank bolts get twelve newton metres and the filler plug gets twenty.")
    assert [(one.joint, values(one)) for one in found] == [("tank bolts", [12]), ("filler plug", [20])]


def test_the_unit_is_carried_to_the_next_sentence():
    found = torques("The head bolts get thirty newton metres.", "And the rocker bolts get twenty.")
    assert [(one.joint, values(one)) for one in found] == [("head bolts", [30]), ("rocker bolts", [20])]


def test_another_number_that_may_be_either_is_left_out():
    assert values(the_torque("The bolts get thirty newton metres, then another thirty.")) == [30]


def test_pronouns_stand_for_the_part_named_before():
    assert (
        the_torque(
            "Both trunnion bolts must be renewed.", "The new ones are tightened to thirty-two newton metres."
        ).joint
        == "trunnion bolts"
    )
    assert the_torque("Undo the union.", "That one is only six newton metres.").joint == "union"


@pytest.mark.parametrize(
    ("sentence", "joint"),
    [
        ("The clamp of the bonding strap is to be tightened firmly.", "clamp of the bonding strap"),
        ("The set screw you just nip up so it stays put.", "set screw"),
        ("Do the gland nut up hand tight.", "gland nut"),
        ("Torque the caps to spec.", "caps"),
        ("Tighten the flange bolts to the specified torque.", "flange bolts"),
    ],
)
def test_a_requirement_without_a_value(sentence, joint):
    found = the_torque(sentence)
    assert (found.joint, found.stages, found.reference) == (joint, (), None)


def test_pounds_of_what_gives_no_value():
    found = the_torque("Torque the lug nuts to ninety pounds in a star pattern.")
    assert (found.joint, found.stages, found.spoken) == ("lug nuts", (), ("ninety pounds",))


@pytest.mark.parametrize(
    ("sentence", "joint", "document"),
    [
        ("The tightening torques for the ladder bolts are found in table nine of the mill handbook.", "ladder bolts", "table nine of the mill handbook"),
        ("the rocker nut torque's on the big chart near the sink", "rocker nut", "big chart"),
        ("The bolts of the cylinder pins are tightened according to the machine handbook, chapter six.", "bolts of the cylinder pins", "machine handbook, chapter six"),
        ("the unions get done up the same as the sheet in the cab says", "unions", "sheet in the cab"),
        ("See the data sheet for the torque of the flange bolts.", "flange bolts", "data sheet"),
    ],
)  # fmt: skip
def test_a_document_holds_the_value(sentence, joint, document):
    found = the_torque(sentence)
    assert (found.joint, found.reference, found.stages) == (joint, document, ())


def test_the_same_document_is_the_one_named_before():
    found = torques(
        "The torque of the ladder bolts is in table nine.",
        "For all other fasteners use the figures from the same table.",
    )
    assert [(one.reference, one.scope) for one in found] == [("table nine", "step"), ("table nine", "all")]


@pytest.mark.parametrize(
    ("sentence", "scope", "joint"),
    [
        ("From here on, any M5 screw that you meet is six newton metres.", "onward", "M5 screw"),
        ("Any nut or bolt you come to from now on, the figure's on the chart.", "onward", "nut or bolt"),
        ("Everything else is nine newton metres.", "all", "everything else"),
        ("All M5 screws get six newton metres unless I say otherwise.", "all", "M5 screws"),
        ("The bolts get six newton metres.", "step", "bolts"),
    ],
)
def test_how_far_a_requirement_reaches(sentence, scope, joint):
    found = the_torque(sentence)
    assert (found.scope, found.joint) == (scope, joint)


@pytest.mark.parametrize(
    ("sentence", "order"),
    [
        ("Hub nuts get a hundred and five newton metres, star-wise, in a star pattern.", "in a star pattern"),
        ("The casing nuts are tightened crosswise to 48 Nm.", "crosswise"),
        ("Twenty newton metres on the pan bolts, working from the middle out.", "working from the middle out"),
        ("The nut gets ten newton metres.", None),
    ],
)
def test_order_of_tightening(sentence, order):
    assert the_torque(sentence).order == order


def test_size_and_grade():
    found = the_torque("The M10 grade 10.9 bolts are tightened to seventy newton metres.")
    assert (found.size, found.grade) == ("M10", "10.9")


@pytest.mark.parametrize(
    "sentence",
    [
        "This winch weighs two hundred and ten pounds.",
        "A fifty newton metre torque wrench is what you need.",
        "That nut was done up to three hundred newton metres, so get a long bar.",
        "Slacken the nut one full turn.",
        "Wait ten minutes and turn the shaft ninety degrees.",
        "The spring is stretched tight.",
        "Don't tighten it fully yet.",
        "Leave the nuts finger tight for now.",
        "The belt is tensioned to four hundred newtons.",
        "Undo the two bolts.",
        "The values in the log are good.",
    ],
)
def test_what_is_no_tightening_requirement(sentence):
    assert torques(sentence) == ()


def test_words_that_cannot_be_trusted_give_nothing():
    heard, _, _ = hear_sentences(["The nut gets ten newton metres."])
    assert find_torques(heard, frozenset({0})) == ()


def test_places_lie_in_the_words():
    sentence = "So the drain plug gets thirty newton metres, no more."
    place = the_torque(sentence).place
    assert sentence[place.start : place.end] == "the drain plug gets thirty newton metres"


WORDS = """the a two ten thirty newton metres foot pounds degrees then another ninety tighten torque nut bolts it them they
get gets is are to for on of up and or , . table four manual same values apply hand tight nip firmly M8 crosswise from here""".split()


@settings(max_examples=150, deadline=None)
@given(st.lists(st.sampled_from(WORDS), min_size=1, max_size=14))
def test_any_words_in_any_order_give_places_in_them(words):
    sentence = " ".join(words)
    for found in torques(sentence):
        assert 0 <= found.place.start < found.place.end <= len(sentence)
        assert found.joint


def test_turns_of_what_is_wound_on_are_no_angle():
    assert values(the_torque("The valve gets two turns of thread tape and thirty newton metres.")) == [30.0]


@pytest.mark.parametrize(
    ("sentence", "stages"),
    [
        ("Tighten them crosswise, ten first, then twenty, then thirty newton metres.", [10, 20, 30]),
        ("Nip the bolts up to eight and then go round again to sixteen newton metres.", [8, 16]),
    ],
)
def test_the_unit_of_the_last_stage_is_that_of_all(sentence: str, stages: list[float]) -> None:
    torque = the_torque("Fit the four bolts.", sentence)
    assert (torque.joint, values(torque)) == ("bolts", stages)
