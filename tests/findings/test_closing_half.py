"""Where the talk goes over to putting back without a word that announces it."""

from __future__ import annotations

from spoken_sentences import hear_sentences

from extract.findings.closing_half import phases_of_closing_half

STRIP = ("Loosen the two clips and pull the hose off.", "Undo the six screws of the lid and lift the lid off.")


def phases_told(*sentences: str) -> list[tuple[str, str]]:
    """Spoken act and phase of the acts of sentences, behind the strip."""
    _, _, actions = hear_sentences([*STRIP, *sentences])
    return [(act.spoken_action, act.phase) for act in actions if act.place.utterance >= len(STRIP)]


def test_acts_on_what_is_off_are_the_refit_once_nothing_more_comes_apart() -> None:
    told = phases_told("Push the hose on and tighten the clips.", "Put the lid on.", "Do up the screws.")
    assert {phase for _, phase in told} == {"refit"}


def test_as_long_as_something_still_comes_apart_it_is_work() -> None:
    told = phases_told("Put one screw back in by hand.", "Tighten the screw.", "Pull the rotor out.")
    assert ("pull out", "work") in told
    assert ("tighten", "work") in told


def test_taking_away_what_was_brought_in_is_no_taking_apart() -> None:
    _, _, actions = hear_sentences(
        [
            "Hang your padlock on the isolator.",
            *STRIP,
            "Push the hose on.",
            "Tighten the clips.",
            "Take your padlock off.",
        ]
    )
    assert [act.phase for act in actions if act.place.utterance > len(STRIP)] == ["refit"] * 3


def test_one_act_alone_makes_no_refit() -> None:
    assert phases_told("Tighten the clips.") == [("tighten", "work")]


def test_the_phase_goes_on_from_the_first_act_of_the_refit() -> None:
    _, phases, actions = hear_sentences([*STRIP, "Push the hose on.", "Tighten the clips.", "It is a heavy lid."])
    assert [found.refit for found in phases_of_closing_half(phases, actions)] == [False, False, True, True, True]
