"""Settings and measures: value, unit, tolerance, what is measured, and what is none."""

from __future__ import annotations

import pytest
from spoken_sentences import hear_sentences

from extract.findings.measures import find_measures, with_measures
from extract.findings.torques import find_torques
from extract.rules import load_rules
from extract.speech import Measured

RULES = load_rules("measures")


def measures(*sentences: str) -> tuple[Measured, ...]:
    heard, _, actions = hear_sentences(sentences)
    return find_measures(heard, actions, find_torques(heard, frozenset()), frozenset())


@pytest.mark.parametrize(
    ("sentence", "what", "value", "unit"),
    [
        ("Set the outlet valve at eight thou.", "outlet valve clearance", 8, "thou"),
        ("Gap the plug to nought point seven millimetres.", "plug clearance", 0.7, "mm"),
        ("Turn the disc until there's a gap of two millimetres.", "gap", 2, "mm"),
        ("wind the chain tight until there's two inches of sag", "sag of the chain", 2, "in"),
        ("After filling, the unit shall run six minutes.", "running time", 6, "min"),
        ("The condenser remains charged for four minutes.", "waiting time", 4, "min"),
        ("Soak the friction plates in oil for an hour before you use them.", "soaking time", 1, "h"),
        ("Let the sealant cure for thirty minutes.", "curing time", 30, "min"),
        ("New bearings are heated to ninety degrees and pushed on.", "temperature", 90, "°"),
        ("Heat the housing to a hundred and twenty degrees Celsius.", "temperature", 120, "°C"),
        ("Back the adjuster off one and a half turns.", "turns of the adjuster", 1.5, "turn"),
        ("Turn the crank three quarters of a turn.", "turns of the crank", 0.75, "turn"),
        ("Fill it with three and a half quarts of gear oil.", "gear oil fill", 3.5, "qt"),
        ("Drain about five litres of coolant into a bucket.", "coolant drained", 5, "l"),
        ("The unit weighs sixty kilograms, so do not lift it by hand.", "weight", 60, "kg"),
        ("Pump the tyre up to two point two bar.", "tyre pressure", 2.2, "bar"),
        ("You want twelve volts on the red wire.", "voltage", 12, "V"),
        ("The brush must be at least eight millimetres long.", "brush length", 8, "mm"),
        ("Mix it with fifty per cent water.", "share", 50, "%"),
    ],
)
def test_value_unit_and_what_is_measured(sentence, what, value, unit):
    assert [(one.what, one.value, one.unit) for one in measures(sentence)] == [(what, value, unit)]


@pytest.mark.parametrize(
    ("sentence", "value", "low", "high"),
    [
        ("Set the air gap to 0.3 mm, plus or minus 0.05.", 0.3, 0.25, 0.35),
        ("Set the air gap to 0.3 mm ±0.05.", 0.3, 0.25, 0.35),
        ("The gap oughta be an eighth of an inch give or take a sixteenth.", 0.125, 0.0625, 0.1875),
        ("The end float should be between five and ten thou.", None, 5, 10),
        ("The chain must have fifteen to twenty millimetres of slack.", None, 15, 20),
        ("Leave it for at least twenty minutes.", 20, 20, None),
        ("The gap must be no more than two millimetres.", 2, None, 2),
    ],
)
def test_ranges_tolerances_and_bounds(sentence, value, low, high):
    assert [(one.value, one.low, one.high) for one in measures(sentence)] == [(value, low, high)]


def test_the_same_measure_in_another_unit():
    found = measures("Set the outlet valve at eight thou, that's nought point two of a millimetre.")
    assert [(one.what, one.value, one.unit) for one in found] == [
        ("outlet valve clearance", 8, "thou"),
        ("outlet valve clearance", 0.2, "mm"),
    ]


def test_keeps_the_words_and_their_place():
    sentence = "Then wait for twenty-five minutes."
    found = measures(sentence)[0]
    assert (found.text, sentence[found.place.start : found.place.end]) == ("twenty-five minutes", "twenty-five minutes")


@pytest.mark.parametrize(
    "sentence",
    [
        "Undo the three twelve mil bolts with a three-eighths inch ratchet.",
        "Take the end caps off with a twenty-two millimetre socket.",
        "Grab a thirteen spanner.",
        "Open the hole up with a six-millimetre drill.",
        "Take the M10 by 60 bolt out.",
        "Cut a four inch length of hose.",
        "The bolts are tightened to forty newton metres and then ninety degrees.",
        "On gates wider than twelve hundred millimetres, loosen the thumb nut.",
        "It took me two hours to get that off.",
        "From 2019 on it has a different cover.",
        "Change from one bar to the other.",
        "Wait a minute.",
        "The pump delivers forty litres a minute.",
        "There's a third hose.",
    ],
)
def test_what_is_no_measure(sentence):
    assert measures(sentence) == ()


def test_each_act_gets_its_own_measures():
    heard, _, actions = hear_sentences(["Open the bleeder a quarter turn and close the cock after eight seconds."])
    found = find_measures(heard, actions, (), frozenset())
    held = {act.verb: [one.unit for one in act.measures] for act in with_measures(actions, found)}
    assert held == {"open": ["turn"], "close": ["s"]}


def test_words_that_cannot_be_trusted_give_nothing():
    heard, _, actions = hear_sentences(["Wait five minutes."])
    assert find_measures(heard, actions, (), frozenset({0})) == ()
