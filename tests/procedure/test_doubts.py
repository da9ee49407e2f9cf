"""Flags for two values of one joint, and for a new part that no step takes."""

from __future__ import annotations

import pytest
from bench_talk import Bench, do, renew, thing, tighten

from extract.model import Draft
from extract.procedure.doubts import is_choice
from extract.speech import Place, StageFound, TorqueFound


def flagged(draft: Draft, rule: str) -> list[str]:
    return [flag.message for flag in draft.flags if flag.evidence.get("rule") == rule]


def lid() -> Bench:
    bench = Bench()
    return bench.say("Undo the six screws of the lid.", do("undo", thing("screws", 6, "of the lid")))


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("The screws get twenty newton metres or thirty newton metres.", True),
        ("The screws get twenty newton metres, or is it thirty newton metres.", True),
        ("The screws get twenty newton metres first and thirty newton metres then.", False),
    ],
)
def test_two_values_are_a_choice_if_only_or_stands_between_them(said: str, expected: bool) -> None:
    stages = (StageFound(value_nm=20.0), StageFound(value_nm=30.0))
    spoken = ("twenty newton metres", "thirty newton metres")
    assert is_choice(TorqueFound(Place(0, 0, 4, "t"), "screws", "screw", stages, spoken), said) is expected


def test_a_choice_of_two_values_is_asked_about_and_never_two_stages() -> None:
    spoken = ("20 Nm", "30 Nm")
    bench = lid().say("The screws get 20 Nm or 30 Nm.", tighten("screws of the lid", 20.0, 30.0, spoken=spoken))
    draft = bench.draft()
    assert flagged(draft, "torque.two_values") == [
        "Two tightening values are named for the screws of the lid: 20 Nm or 30 Nm. Which one holds?"
    ]
    assert draft.refit[0].text.endswith("Tighten them to 20 N·m.")


def test_two_values_from_sentences_apart_are_asked_about() -> None:
    bench = lid().say("Twenty for the screws.", tighten("screws of the lid", 20.0, spoken=("20 Nm",)))
    bench.say("It is a nice lid.", role="chatter").say("Well.", role="chatter")
    bench.say("Thirty for the screws.", tighten("screws of the lid", 30.0, spoken=("30 Nm",)))
    assert len(flagged(bench.draft(), "torque.two_values")) == 1


def test_one_value_told_twice_is_no_question() -> None:
    bench = lid().say("Twenty for the screws.", tighten("screws of the lid", 20.0, spoken=("20 Nm",)))
    bench.say("Nice.", role="chatter").say("Well.", role="chatter")
    bench.say("Twenty for the screws.", tighten("screws of the lid", 20.0, spoken=("20 Nm",)))
    assert flagged(bench.draft(), "torque.two_values") == []


def test_a_new_part_that_no_step_fits_is_asked_about() -> None:
    bench = Bench().say("The copper washer is always new.", renew("copper washer", 1), role="refit_note")
    assert flagged(bench.draft(), "renewal.no_step") == [
        "No step of the refit fits a new copper washer. Where does it go?"
    ]


def test_a_new_part_with_a_step_is_no_question() -> None:
    bench = lid().say("The screws are always new.", renew("screw", 6), role="refit_note")
    assert flagged(bench.draft(), "renewal.no_step") == []
