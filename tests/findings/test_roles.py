"""The role of an utterance, told by its own words and by where in the talk it stands."""

import pytest

import extract

_STRIP = "Today we take the blower off the kiln. Undo the four bolts and lift the cover off. {} Pull the rotor out. The rest is the reverse."
_REFIT = (
    "Today we take the blower off the kiln. Undo the four bolts and lift the cover off. Pull the rotor out. "
    "Right, putting it back together. Fit the rotor. {} Fit the cover. That's it, thank you."
)


def _role(tmp_path, frame: str, sentence: str) -> str:
    talk = tmp_path / "talk.txt"
    talk.write_text(frame.format(sentence) + "\n")
    segments = extract.draft(talk).segments
    return next(segment.role for segment in segments if sentence.split()[-1] in segment.text)


@pytest.mark.parametrize(
    ("sentence", "role"),
    [
        ("Look into the housing and count the rollers.", "instruction"),
        ("The insert slides out with the ring.", "instruction"),
        ("The outlet pipe need not be removed.", "instruction"),
        ("Nobody walks under the hoist.", "caution"),
        ("The supply side of the switch is always live.", "caution"),
        ("Many people overlook the thin shim.", "caution"),
        ("At this press works only staff with the second key.", "caution"),
        ("Alright, the impeller.", "heading"),
        ("Sorry, I was in my own light.", "presentation"),
    ],
)
def test_unusual_words_tell_the_role(tmp_path, sentence, role):
    assert _role(tmp_path, _STRIP, sentence) == role


@pytest.mark.parametrize(
    "sentence",
    [
        "There should be two tenths of a millimetre at the lever.",
        "Everything of rubber lands in the bin.",
        "Read the gauge and write the pressure in the machine book, and thank you for listening.",
    ],
)
def test_a_statement_about_the_job_after_the_turn_is_a_note_of_the_refit(tmp_path, sentence):
    assert _role(tmp_path, _REFIT, sentence) == "refit_note"


def test_the_inspection_that_ends_is_a_heading(tmp_path):
    assert _role(tmp_path, _STRIP, "That completes the dismantling.") == "heading"


def test_a_coming_off_that_is_feared_is_no_instruction(tmp_path):
    assert _role(tmp_path, _STRIP, "Because the dust falls out of that hole.") == "reason"


def test_somebody_who_gets_a_drink_is_no_note_of_the_refit(tmp_path):
    assert _role(tmp_path, _REFIT, "My mate gets a cup of coffee now.") == "chatter"
