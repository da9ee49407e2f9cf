import pytest

from extract.model import Condition, Measure
from extract.procedure.wording import (
    MAX_WORDS,
    Thing,
    condition_phrase,
    count_words,
    indefinite,
    instruction,
    listed_place,
    measure_phrase,
    noun_phrase,
    plain_words,
    sentence,
    tool_name,
    tool_phrase,
    verb_phrase,
    written_size,
)


def condition(kind="variant", axis=None, value=None, negated=False, values=()) -> Condition:
    return Condition(
        id="c",
        kind=kind,
        axis=axis,
        value=value,
        values=values,
        negated=negated,
        text="said",
        ends="spoken",
        segments=(),
        because=(),
    )


@pytest.mark.parametrize(
    ("thing", "written"),
    [
        (Thing("guide bolts", 2), "the two guide bolts"),
        (Thing("bolts", 2, "at the stern"), "the two bolts at the stern"),
        (Thing("head bolts", 12), "the 12 head bolts"),
        (Thing("cover", 1), "the cover"),
        (Thing("sealing ring", None, None, "new"), "a new sealing ring"),
        (Thing("guide bolts", 2, None, "new"), "two new guide bolts"),
        (Thing("tray", article="a"), "a tray"),
        (Thing("eye protection", article=""), "eye protection"),
    ],
)
def test_noun_phrases_have_article_count_and_place(thing, written):
    assert noun_phrase(thing) == written


@pytest.mark.parametrize(
    ("text", "written"),
    [("spanner", "a spanner"), ("oil seal", "an oil seal"), ("union", "a union"), ("O-ring", "an O-ring"),
     ("M8 bolt", "an M8 bolt"), ("8 mm key", "an 8 mm key"), ("pliers", "pliers"), ("hoses", "hoses")],
)  # fmt: skip
def test_indefinite_article_follows_the_sound(text, written):
    assert indefinite(text) == written


@pytest.mark.parametrize(
    ("verb", "phrase", "direction", "written"),
    [
        ("remove", "the disc", "off the hub", "remove the disc from the hub"),
        ("slide off", "the skids", "out of the frame", "slide the skids out of the frame"),
        ("lift off", "the caliper", "from the carrier", "lift the caliper from the carrier"),
        ("swing back", "the arm", None, "swing the arm back"),
        ("push", "the roller", "towards the motor", "push the roller towards the motor"),
        ("drain", "the oil", "into a basin", "drain the oil into a basin"),
        ("lift into place", "the door", None, "lift the door into place"),
    ],
)
def test_verb_object_particle_and_movement_stand_in_plain_order(verb, phrase, direction, written):
    assert " ".join(verb_phrase(verb, phrase, direction).split()) == written


def test_instruction_is_one_imperative_sentence_with_tool_and_condition_first():
    text = instruction(
        "remove",
        [Thing("guide bolts", 2)],
        tools=["15 mm spanner"],
        conditions=[condition(axis="gearbox", value="automated")],
    )
    assert text == "If the gearbox is automated, remove the two guide bolts with a 15 mm spanner."


def test_long_instruction_drops_purpose_and_manner_but_never_the_part_or_tool():
    text = instruction(
        "remove",
        [Thing("retaining plate screws", 6, "round the outer edge of the bearing housing")],
        tools=["long hexagon key"],
        manner="working crosswise and a little at a time",
        purpose="to free the plate from the housing without bending it",
    )
    assert count_words(text) <= MAX_WORDS
    assert "six retaining plate screws" in text and "long hexagon key" in text
    assert "working crosswise" not in text


@pytest.mark.parametrize(
    ("found", "phrase"),
    [
        (condition(axis="gearbox", value="automated"), "if the gearbox is automated"),
        (condition(axis="gearbox", value="automated", negated=True), "if the gearbox is not automated"),
        (condition(axis="year", value="before 2009"), "if the machine was built before 2009"),
        (condition(axis="year", value="2011"), "if the machine was built in 2011"),
        (condition(axis="cylinders", value="3"), "if the number of cylinders is 3"),
        (condition(axis="drive", values=("chain", "belt")), "if the drive is chain or belt"),
        (condition("option", value="air assist"), "if there is an air assist"),
        (condition("option", value="the heated seat", negated=True), "if there is no heated seat"),
        (condition("skip", value="x"), ""),
    ],
)
def test_conditions_are_written_as_clauses(found, phrase):
    assert condition_phrase(found) == phrase


@pytest.mark.parametrize(
    ("verb", "measures", "written"),
    [
        ("set", [("valve clearance", 12, "thou"), ("valve clearance", 0.3, "mm")], "to 12 thou (0.3 mm)"),
        ("run", [("running time", 10, "min")], "for 10 min"),
        ("open", [("opening", 0.5, "turn")], "by 1/2 turn"),
        ("turn", [("turn", 2.0, "turns")], "by 2 turns"),
        ("pump", [("sag of the track", 25, "mm")], "(sag of the track: 25 mm)"),
        ("lift", [("weight of the drive", 70, "kg")], ""),
    ],
)
def test_measures_stand_with_the_unit_that_was_said(verb, measures, written):
    found = [Measure(what=what, value=value, unit=unit, text="") for what, value, unit in measures]
    assert measure_phrase(verb, found) == written


@pytest.mark.parametrize(
    ("text", "size", "name"),
    [("fifteen spanner", "15 mm", "15 mm spanner"), ("half inch breaker bar", "1/2 in", "1/2 in breaker bar"),
     ("my own padlock", None, "padlock"), ("seventeen", "17 mm", "17 mm spanner"),
     ("soft mallet", None, "soft mallet")],
)  # fmt: skip
def test_tool_names_carry_their_size_in_digits(text, size, name):
    assert tool_name(text, size) == name


@pytest.mark.parametrize(
    ("said", "written"),
    [
        ("four-mil", "4 mm"),
        ("twenty-four millimetre", "24 mm"),
        ("36 mm", "36 mm"),
        ("a half inch", "1/2 in"),
        ("seven sixteenths", "7/16"),
        ("one and a quarter inch", "1 1/4 in"),
        ("fifteen", "15"),
        ("T25", "T25"),
        ("long", "long"),
        ("great big", "great big"),
    ],
)
def test_sizes_are_written_in_digits(said, written):
    assert written_size(said) == written


def test_several_tools_are_joined():
    assert tool_phrase(["strap", "hoist", "pliers"]) == "with a strap, a hoist and pliers"
    assert tool_phrase([]) == ""


def test_sentence_has_capital_and_one_full_stop():
    assert sentence("  fit the   cover, ") == "Fit the cover."
    assert sentence("") == ""


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("Tighten the bolt to 25 N·m.", 5),  # a number with its unit is one word (8.6)
        ("Fit the M8 bolt with a 13 mm spanner.", 8),
        ("Slacken the nut 2 turns.", 4),
        ("Remove the left-hand cover.", 4),  # a hyphenated word is one word (8.7)
        ("Set 0.2 to 0.3 mm.", 2),
        ("", 0),
    ],
)
def test_words_are_counted_as_the_standard_does(text, count):
    assert count_words(text) == count


@pytest.mark.parametrize(
    ("position", "listed"),
    [("behind it", None), ("under that one", None), ("at the stern", "at the stern"), (None, None)],
)
def test_a_place_that_points_says_nothing_in_a_list(position, listed):
    assert listed_place(position) == listed


@pytest.mark.parametrize(
    ("said", "written"), [("m8 cap nuts", "M8 cap nuts"), ("m6 x 1 bolt", "M6 x 1 bolt"), ("arm8 bolt", "arm8 bolt")]
)
def test_thread_sizes_have_their_capital(said, written):
    assert plain_words(said) == written


@pytest.mark.parametrize(
    ("low", "high", "written"),
    [
        (30, None, "leave for at least 30 min"),
        (None, 30, "leave for at most 30 min"),
        (20, 30, "leave for 20 to 30 min"),
    ],
)
def test_bounds_of_a_measure_are_told(low, high, written):
    measure = Measure(what="waiting time", value=30, low=low, high=high, unit="min", text="")
    assert f"leave {measure_phrase('leave', [measure])}" == written


def test_a_range_is_set_between_its_ends():
    measure = Measure(what="air gap", value=0.3, low=0.25, high=0.35, unit="mm", text="")
    assert measure_phrase("set", [measure]) == "to between 0.25 and 0.35 mm"
