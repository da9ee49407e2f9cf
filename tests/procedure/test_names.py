import pytest
from hypothesis import given
from hypothesis import strategies as st

from extract.procedure.names import agreement, content, is_plural, part_name, singular


def test_name_is_taken_apart_into_head_qualifiers_and_place():
    name = part_name("two-piece guide bolts", "at the back of the carrier")
    assert name.head == "bolt"
    assert name.qualifiers == {"two", "piece", "guide"}
    assert name.place == {"back", "carrier"}


def test_words_after_a_preposition_are_place():
    name = part_name("nut under the V clamp")
    assert (name.head, name.place) == ("nut", {"v", "clamp"})


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("cover", "rear cover"),
        ("cover", "cover plate"),
        ("front hose", "hose"),
        ("guide bolts", "guide bolt"),
        ("O-ring", "o ring"),
    ],
)
def test_names_that_can_stand_for_the_same_part(one, other):
    assert agreement(part_name(one), part_name(other)) >= 0.6


@pytest.mark.parametrize(
    ("one", "other"),
    [("front hose", "rear hose"), ("upper cover", "lower cover"), ("inlet valve", "exhaust valve"), ("bolt", "nut"),
     ("guide bolt", "carrier bolt"), ("long bolts", "short bolts"), ("clamp screws", "clamping screws"),
     ("clamp plate", "drive pulley")],
)  # fmt: skip
def test_names_that_place_or_kind_tell_apart(one, other):
    assert agreement(part_name(one), part_name(other)) < 0.6


def test_place_tells_parts_of_one_name_apart():
    rim, hub = part_name("bolts", "round the rim"), part_name("bolts", "on the hub")
    assert agreement(rim, hub) < 0.6
    assert agreement(part_name("rim bolts"), rim) > agreement(part_name("rim bolts"), hub)


@given(st.text("abcdefgh -", min_size=1, max_size=20), st.text("abcdefgh -", min_size=1, max_size=20))
def test_agreement_is_symmetric_and_a_name_agrees_with_itself(one, other):
    first, second = part_name(one), part_name(other)
    assert agreement(first, second) == agreement(second, first)
    assert 0.0 <= agreement(first, second) <= 1.0
    assert agreement(first, first) == 1.0


def test_plural_and_singular():
    assert is_plural("water hoses") and is_plural("pliers") and not is_plural("chassis")
    assert singular("bushes") == "bush" and singular("pulleys") == "pulley"
    assert content("off the two pulleys") == {"two", "pulley"}
