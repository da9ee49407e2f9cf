"""Acts told as done before, acts carried by a noun, and what "that" points at."""

from __future__ import annotations

import pytest
from spoken_sentences import hear_sentences


def acts(sentence: str) -> list[tuple[str, str, bool]]:
    """Sense, first object and whether done, behind an act that has begun the work."""
    _, _, found = hear_sentences(["Undo the clamp and lift the lid off.", sentence])
    return [(act.sense, act.objects[0].text, act.done) for act in found if act.place.utterance == 1]


@pytest.mark.parametrize(
    ("sentence", "done"),
    [
        ("Before the recording, the breaker was opened and the belt was removed.", ["breaker", "belt"]),
        ("The tailgate came off yesterday.", ["tailgate"]),
    ],
)
def test_what_was_done_before_the_film_is_done(sentence: str, done: list[str]) -> None:
    assert [(thing, was) for _, thing, was in acts(sentence)] == [(thing, True) for thing in done]


def test_what_was_moved_for_the_camera_is_no_act() -> None:
    assert acts("The bench was moved for the camera.") == []


def test_a_photograph_is_an_act_of_the_work() -> None:
    assert acts("Take a photo of the wiring before you go on.") == [("note", "wiring", False)]


def test_that_points_at_the_part_presented() -> None:
    assert ("unclip", "snap ring", False) in acts("there's a snap ring holding the roller so pop that")


@pytest.mark.parametrize("sentence", ["if it leaks nip it up", "if one of them snaps drill it out"])
def test_a_condition_of_one_word_leaves_the_command_its_verb(sentence: str) -> None:
    assert len(acts(sentence)) == 1


def test_what_others_must_do_is_no_act_of_the_mechanic() -> None:
    assert acts("The work must be signed off by a licensed fitter.") == []


def test_what_is_set_to_one_side_is_put_down() -> None:
    assert acts("Set the lid to one side.") == [("place", "lid", False)]
    assert acts("Set the gap to two millimetres.")[0][0] == "adjust"


@pytest.mark.parametrize(
    "sentence",
    [
        "Next you've got to get the two nuts off the back.",
        "Once the bolts are out you can take the two nuts off.",
        "once that's off you can undo the two nuts",
        "Right, first job is to get the nuts off.",
        "So the first thing to do is undo the nuts.",
        "Don't forget to take the two nuts off as well.",
        "Make sure you undo the nuts.",
        "Get somebody to hold the pedal down while you undo the nuts.",
    ],
)
def test_what_you_have_to_or_can_do_is_told(sentence: str) -> None:
    assert [thing for _, thing, _ in acts(sentence)] == ["nuts"]


def test_to_repeat_something_is_done_to_no_part() -> None:
    assert acts("Repeat that on the other side.") == []


@pytest.mark.parametrize(
    ("sentence", "count"),
    [
        ("Undo the three, wait, four bolts.", 4),
        ("Take the six, hang on, five screws out.", 5),
        ("Undo the two, no sorry, three clips.", 3),
    ],
)
def test_a_count_taken_back_leaves_the_right_one(sentence: str, count: int) -> None:
    _, _, found = hear_sentences(["Undo the clamp and lift the lid off.", sentence])
    (act,) = [act for act in found if act.place.utterance == 1]
    assert act.objects[0].quantity == count
