"""Notes: written as instructions, one thought each, with the part that decides where they stand."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from spoken_sentences import hear_sentences

from extract.findings.notes import find_notes
from extract.findings.renewals import find_renewals
from extract.findings.torques import find_torques
from extract.speech import NoteFound

REFIT = "Right, reassembly."


def notes(*sentences: str, refit: bool = True) -> list[NoteFound]:
    """Notes of sentences that are told of the refit, or (`refit` false) of the work."""
    heard, phases, actions = hear_sentences([REFIT, *sentences] if refit else sentences)
    renewals = find_renewals(heard, phases, actions, frozenset())
    torques = find_torques(heard, frozenset())
    return list(find_notes(heard, phases, actions, renewals, torques, frozenset()))


def texts(*sentences: str, refit: bool = True) -> list[str]:
    return [note.text for note in notes(*sentences, refit=refit)]


@pytest.mark.parametrize(
    ("said", "kind", "text", "about"),
    [
        ("The oil hole of the bush has to show upwards.", "orient", "Make sure that the oil hole of the bush points upwards.", "bush"),
        ("The lip of the seal must face the crankcase.", "orient", "Make sure that the lip of the seal faces the crankcase.", "seal"),
        ("The two punch dots have to be in line.", "align", "Line up the two punch dots.", None),
        ("All six studs get a dab of sealing paste.", "treat", "Put a dab of sealing paste on all six studs.", "studs"),
        ("Two drops of oil on the roller, no more.", "treat", "Put two drops of oil on the roller.", "roller"),
        ("Keep oil and grease away from the brake shoes.", "handle", "Keep oil and grease away from the brake shoes.", "brake shoes"),
        ("The drained antifreeze must not be used twice.", "handle", "Do not use the drained antifreeze again.", "drained antifreeze"),
        ("The sprocket has a left-hand thread.", "handle", "Tighten the sprocket anticlockwise: left-hand thread.", "sprocket"),
        ("Push the piston into the cylinder with short strokes, without turning it.", "handle",
         "Push the piston into the cylinder with short strokes, without turning the piston.", "piston"),
        ("Fit the pulley with the boss towards the engine.", "orient", "Fit the pulley with the boss towards the engine.", "pulley"),
        ("The long screws go along the top.", "orient", "Fit the long screws along the top.", "long screws"),
        ("The clutch discs can go back in if they're flat.", "check", "Use the clutch discs again only if the clutch discs are flat.", "clutch discs"),
    ],
)  # fmt: skip
def test_a_thought_is_written_as_an_instruction(said: str, kind: str, text: str, about: str | None) -> None:
    found = [note for note in notes(said) if note.kind == kind]
    assert [note.text for note in found] == [text]
    assert found[0].phase == "refit"
    assert about is None or found[0].about == about


def test_two_thoughts_become_two_notes() -> None:
    found = notes("Put a smear of silicone grease on the slides and nothing on the linings.")
    assert [(note.text, note.about) for note in found] == [
        ("Put a smear of silicone grease on the slides.", "slides"),
        ("Put nothing on the linings.", "linings"),
    ]


def test_a_pronoun_is_named() -> None:
    assert "Feel that the spindle moves free." in texts("Turn the spindle and feel that it moves free.")


def test_what_is_forbidden_is_written_for_each_act() -> None:
    found = texts("The new rope is never knotted or turned over.")
    assert found == ["Do not knot the new rope.", "Do not turn the new rope over."]


def test_an_edge_belongs_to_the_part_before_it() -> None:
    (note,) = notes("When the pad is fitted, its grooved side faces inwards.")
    assert (note.text, note.about) == ("Make sure that the grooved side of the pad faces inwards.", "pad")


def test_a_correction_keeps_what_was_meant_and_its_subject() -> None:
    (note,) = notes("the open end of the bush has to face the engine no wait i got it wrong it has to face the gearbox")
    assert note.text == "Make sure that the open end of the bush faces the gearbox."


def test_marks_go_with_the_part_that_is_fitted() -> None:
    (note,) = notes("Line up your paint mark when the sprocket goes back on.")
    assert (note.kind, note.about) == ("align", "sprocket")


def test_what_the_speaker_did_is_told_without_him() -> None:
    (note,) = notes("Wind the spring up by the number of turns that you chalked on the drum.")
    assert note.text == "Wind the spring up by the number of turns chalked on the drum."


def test_the_way_of_tightening_stays_and_its_value_goes() -> None:
    (note,) = notes("The pinch bolts go to thirteen newton metres, a little at a time.")
    assert note.text == "Tighten the pinch bolts a little at a time."


def test_what_to_do_with_a_finding_is_a_check() -> None:
    assert texts("If the gap is over one millimetre, fit a thicker shim.") == [
        "If the gap is over 1 mm, fit a thicker shim."
    ]


def test_one_tool_and_not_the_other() -> None:
    assert texts("The lid screws strip easily, so use the hand driver and not the air gun.") == [
        "Use the hand driver, not the air gun."
    ]


def test_a_lip_told_of_twice_belongs_to_the_same_part() -> None:
    found = notes(
        "The lip on the shaft seal must face the gears.", "Wet the lip with clean oil before you push the seal in."
    )
    assert [note.about for note in found] == ["shaft seal", "seal"]


def test_a_reason_stays_with_the_work() -> None:
    found = notes("Slacken the two screws.", "Otherwise the lever rubs on the frame.", refit=False)
    assert [(note.kind, note.text, note.phase) for note in found] == [
        ("reason", "Otherwise the lever rubs on the frame.", "work")
    ]


@pytest.mark.parametrize(
    "said",
    [
        "Fit the cover.",
        "You have to look at the wiring diagram.",
        "Fit the pump and tighten the four bolts to twenty newton metres.",
        "Everything else goes back in the reverse order.",
        "Thanks for watching and see you soon.",
        "Never use the old nuts twice.",
    ],
)
def test_plain_acts_talk_and_single_use_parts_make_no_note(said: str) -> None:
    assert texts(said) == []


def test_the_work_itself_makes_no_refit_note() -> None:
    assert texts("Undo the two bolts by hand.", "The arm has to sit on the bench.", refit=False) == []


def test_untrusted_utterances_make_no_note() -> None:
    heard, phases, actions = hear_sentences([REFIT, "The lip of the seal must face the crankcase."])
    assert find_notes(heard, phases, actions, (), (), frozenset({1})) == ()


WORDS = "the a seal lip must face gears put grease on it and never turn them by hand until with your you goes back no sorry two".split()


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from(WORDS), min_size=1, max_size=14))
def test_any_words_give_well_formed_notes(words: list[str]) -> None:
    said = " ".join(words)
    for note in notes(said):
        assert re.match(r"[A-Z0-9].*\.$", note.text)
        assert not re.search(r"\b(?:you|your|i|we)\b", note.text.lower())
        length = len(said) if note.place.utterance == 1 else len(REFIT)
        assert 0 <= note.place.start < note.place.end <= length


def test_values_with_their_unit_are_written_in_digits_and_parts_in_words() -> None:
    assert "The rod must stick out 12 mm." in texts("The rod must stick out twelve millimetres.")
    assert texts("Run the fan for ten minutes.") == ["Run the fan for 10 minutes."]
    assert texts("On the cable you want half an inch of slack.") == ["On the cable leave half an inch of slack."]


def test_nobody_goes_a_part_in() -> None:
    assert texts("The spring goes in with the closed coils up.") == ["Fit the spring with the closed coils up."]


def test_what_may_be_used_again_is_said_with_its_condition() -> None:
    (text,) = texts("The spacer ring you can use again, provided that there is no groove in it.")
    assert text == "Use the spacer ring again only if there is no groove in the spacer ring."


def test_what_to_do_if_it_still_leaks_is_a_check() -> None:
    (found,) = notes("If the lid weeps, slacken the hinge screws and shift the plate in.")
    assert (found.kind, found.text) == (
        "check",
        "If the lid weeps, slacken the hinge screws and shift the plate in.",
    )


def test_what_a_look_is_for_is_told() -> None:
    assert "Feel the housing for heat." in texts("Feel the housing for heat.")


def test_what_can_go_somewhere_is_not_fitted_there() -> None:
    assert texts("Hot oil can go straight through the glove.") == []


def test_a_value_at_the_end_takes_its_and_with_it() -> None:
    found = texts(
        "The screws of the cap are tightened evenly in two stages, to six newton metres and then to fourteen."
    )
    assert found == ["Tighten the screws of the cap evenly in two stages."]
