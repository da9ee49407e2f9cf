"""What is said in one sentence, and the instruction that is written for it."""

import pytest

import extract


@pytest.mark.parametrize(
    ("said", "written"),
    [
        ("Check the drum housing for cracks.", "Check the drum housing for cracks."),
        ("Check that the shutter runs true.", "Check that the shutter runs true."),
        ("Prove that the blower will not start.", "Prove that the blower will not start."),
        ("Slide the fan toward you.", "Slide the fan towards you."),
        ("Let the motor sit for twenty minutes.", "Leave the motor for 20 min."),
        ("Undo the four screws with the six-mil key.", "Undo the four screws with a 6 mm key."),
        ("Prove the terminals dead with a tester.", "Prove the terminals dead with a tester."),
        ("Run the shutter up to its stop.", "Raise the shutter to its stop."),
        ("Wait at least ten minutes.", "Wait for at least 10 min."),
        ("Pull the fan out the back.", "Remove the fan through the back."),
        ("Undo the three nuts with a nut driver.", "Undo the three nuts with a nut driver."),
        ("Vacuum the chips out of the housing.", "Vacuum the chips out of the housing."),
    ],
)
def test_the_step_keeps_what_the_sentence_tells(tmp_path, said, written):
    talk = tmp_path / "talk.txt"
    talk.write_text(f"Today we take the fan out of the kiln. {said} Then lift the lid off.\n")
    assert extract.draft(talk).steps[0].text == written


def test_what_is_waited_for_is_not_put_back(tmp_path):
    talk = tmp_path / "talk.txt"
    talk.write_text("Let the pump stand for five minutes. Take the lid off. The rest is the reverse.\n")
    draft = extract.draft(talk)
    assert [step.text for step in draft.refit] == ["Fit the lid."]


def test_a_condition_told_about_another_film_governs_nothing(tmp_path):
    talk = tmp_path / "talk.txt"
    talk.write_text(
        "Today we change the fan. Undo the two bolts. If the kiln has a gas burner, none of this fits and you want our "
        "other film. Tighten the two bolts to nine newton metres.\n"
    )
    assert not extract.draft(talk).conditions


def test_one_of_several_is_named_where_it_is_warned_of_and_where_it_goes_back(tmp_path):
    talk = tmp_path / "talk.txt"
    talk.write_text(
        "Today we take the levers off the winch. Take the right lever off. Unscrew the two caps with a ring spanner. Watch the "
        "right-hand one, it's a left-hand thread and you'll strip it. Lift the drum out. The rest is the reverse.\n"
    )
    draft = extract.draft(talk)
    caps = next(step for step in draft.steps if "caps" in step.text)
    (spoken,) = [caution for caution in draft.cautions if caution.origin == "spoken"]
    assert spoken.text.startswith("Watch the right-hand cap.")
    assert spoken.steps == (caps.id,)
    (fitted,) = [step for step in draft.refit if "caps" in step.text]
    assert [note.text for note in fitted.notes] == ["Tighten the right-hand cap anticlockwise: left-hand thread."]


def test_each_of_two_subjects_keeps_its_own_place(tmp_path):
    talk = tmp_path / "talk.txt"
    talk.write_text(
        "Lift the lid off. Pull the shaft out. Now the refit. The two seals of the shaft and the gasket of the lid are "
        "always replaced by new ones.\n"
    )
    named = {renewal.item: renewal.position for renewal in extract.draft(talk).renewals}
    assert named["seal"] == "of the shaft" and "gasket" in named


def test_the_turn_back_after_a_tightening_value_stays_with_it(tmp_path):
    talk = tmp_path / "talk.txt"
    talk.write_text(
        "Undo the bearing nut. Pull the drum off. Now the refit. Slide the drum on and fit the bearing nut. Tighten the "
        "bearing nut to thirty newton metres, then back it off a sixth of a turn.\n"
    )
    (fitted,) = [step for step in extract.draft(talk).refit if "bearing nut" in step.text]
    assert "30 N·m" in fitted.text
    assert [note.text for note in fitted.notes] == ["After tightening, back the bearing nut off a sixth of a turn."]


def test_the_screws_that_hold_a_part_are_counted_with_it(tmp_path):
    talk = tmp_path / "talk.txt"
    talk.write_text(
        "Today we take the fan out of the kiln. Unscrew the control board, it's four screws. Lift the lid off.\n"
    )
    assert extract.draft(talk).steps[0].text == "Unscrew the control board (screws: 4)."


def test_a_count_in_the_next_sentence_is_that_of_the_part_before(tmp_path):
    talk = tmp_path / "talk.txt"
    talk.write_text(
        "Today we take the fan out of the kiln. Pull the clips off. There are six of them. Lift the lid off.\n"
    )
    assert extract.draft(talk).steps[0].objects[0].quantity == 6


def test_fasteners_between_commas_are_counted_with_the_part(tmp_path):
    talk = tmp_path / "talk.txt"
    talk.write_text(
        "Today we strip the kiln. Take the fan off the hub, four bolts, and mind the fins. Lift the lid off.\n"
    )
    assert extract.draft(talk).steps[0].text == "Remove the fan from the hub (bolts: 4)."
