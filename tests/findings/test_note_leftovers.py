"""What is left of a refit utterance is kept as a note; chatter, new parts and values told elsewhere are not."""

from __future__ import annotations

import pytest
from spoken_sentences import hear_sentences

from extract.findings.notes import find_notes
from extract.findings.renewals import find_renewals
from extract.findings.torques import find_torques
from extract.speech import Place, RoleFound

REFIT = "Right, reassembly."


def told(*sentences: str, chatter: frozenset[int] = frozenset()) -> list[tuple[str, str, str | None]]:
    """Kind, text and part of the notes from leftovers."""
    heard, phases, actions = hear_sentences([REFIT, *sentences])
    renewals = find_renewals(heard, phases, actions, frozenset())
    roles = [RoleFound(Place(index, 0, 0, ""), "chatter", 1.0) for index in sorted(chatter)]
    found = find_notes(heard, phases, actions, renewals, find_torques(heard, frozenset()), frozenset(), roles)
    return [(note.kind, note.text, note.about) for note in found if note.place.rule == "note.rest"]


@pytest.mark.parametrize(
    ("said", "kind", "text"),
    [
        ("A new membrane is what you paid for, smooth side to the lid when you fit it.", "orient", "Smooth side to the lid."),
        ("In the middle the band shall have a slack of five to eight millimetres.", "check",
         "In the middle the band shall have a slack of 5 to 8 mm."),
        ("You want half a millimetre of gap at the rotor.", "check", "Leave half a millimetre of gap at the rotor."),
        ("Get the rollers in line with a straight edge before you tighten the lever.", "align",
         "Get the rollers in line with a straight edge before the lever is tightened."),
        ("All the gaskets enter dry, never with grease.", "handle", "All the gaskets enter dry, never with grease."),
        ("On the screws comes a thin film of copper grease.", "treat", "Put a thin film of copper grease on the screws."),
        ("The hole in the sleeve has gotta meet the oil nipple.", "orient",
         "The hole in the sleeve has to meet the oil nipple."),
    ],
)  # fmt: skip
def test_a_piece_that_nothing_else_reads_is_kept(said: str, kind: str, text: str) -> None:
    assert [found[:2] for found in told(said)] == [(kind, text)]


@pytest.mark.parametrize(
    "said",
    [
        "The seals must be renewed.",
        "The nut gets thirty newton metres and not a hair more.",
        "The rest goes back the same way round.",
        "It takes three and a half litres.",
        "I like it with no play at all.",
        "Did you see which way round it was?",
        "If you only do it for ten minutes it will not help.",
        "Four millimetres, no, hang on.",
    ],
)
def test_nothing_is_kept_of_persons_values_new_parts_and_the_reverse(said: str) -> None:
    assert told(said) == []


def test_the_way_of_tightening_belongs_to_the_joint_of_the_value_before_it() -> None:
    assert told("The head bolts get forty newton metres.", "Go criss cross.") == [
        ("handle", "Go criss cross.", "head bolts")
    ]


def test_of_chatter_only_the_way_of_tightening_is_kept() -> None:
    assert told("No more gap in the fence.", "Criss cross, lads and lasses.", chatter=frozenset({1})) != []
    assert told("Time for a nap of ten minutes.", chatter=frozenset({1})) == []


def test_what_is_said_of_the_subject_before_keeps_it() -> None:
    texts = [text for _, text, _ in told("The float shuts the valve and needs to hang ten millimetres below the lid.")]
    assert texts == ["The float needs to hang 10 mm below the lid."]


def test_what_a_part_goes_on_with_is_told_with_the_part() -> None:
    texts = [text for _, text, _ in told("The key first, then the wheel, with a two millimetre gap to the housing.")]
    assert texts == ["Fit the wheel with a 2 mm gap to the housing."]


def test_the_way_round_a_row_of_screws_is_told_with_the_screws() -> None:
    texts = [text for _, text, _ in told("All six screws get nine newton metres, working across.")]
    assert texts == ["Tighten the screws, working across."]


def test_a_number_is_never_cut_at_its_and() -> None:
    texts = [text for _, text, _ in told("The lid wants a gap of one hundred and twelve millimetres when it shuts.")]
    assert len(texts) == 1 and "112 mm" in texts[0]
