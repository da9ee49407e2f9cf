from __future__ import annotations

import pytest
from gold_draft import draft_of
from workbench_talk import gold_rows, refit_rows

from extract.evaluate import evaluate_talk


def perfect() -> dict:
    return draft_of(gold_rows(), refit_rows())


def report(draft: dict):
    return evaluate_talk(draft, gold_rows(), refit_rows())


def test_refit_steps_match_by_verb_group_and_parts() -> None:
    draft = perfect()
    draft["refit"][1]["action"] = "install"
    draft["refit"][2]["objects"][0]["text"] = "guard"
    got = report(draft)
    assert got.scores["refit_f1"] == pytest.approx(3 / 4)
    # the note of the step that is missed is nowhere right
    assert got.scores["refit_notes"] == 0.0
    assert {error.kind for error in got.errors} == {"missed_refit", "spurious_refit", "refit_notes"}


def test_order_is_kendalls_tau_over_matched_steps() -> None:
    draft = perfect()
    a, b, c, d = draft["refit"]
    draft["refit"] = [b, a, c, d]  # one of six pairs is the wrong way round
    assert report(draft).scores["refit_order"] == pytest.approx((5 - 1) / 6)
    draft["refit"] = [d, c, b, a]
    assert report(draft).scores["refit_order"] == -1.0


def test_belongings_count_at_their_step_only() -> None:
    draft = perfect()
    draft["refit"][1]["renewals"] = draft["refit"][0]["renewals"]
    draft["refit"][0]["renewals"] = []
    draft["refit"][3]["torques"] = []
    got = report(draft).scores
    assert (got["refit_renewals"], got["refit_torques"], got["refit_notes"]) == (0.0, 0.0, 1.0)
    assert got["refit_belongings"] == pytest.approx(1 / 3)
    assert got["refit_f1"] == 1.0


@pytest.mark.parametrize(
    ("note", "right"),
    [("Turn the sharp edge outwards.", 1.0), ("Sharp edge to the outside.", 1.0), ("Sharp side inwards.", 0.0)],
)
def test_a_note_is_right_if_two_thirds_of_its_words_are_there(note: str, right: float) -> None:
    draft = perfect()
    draft["refit"][2]["notes"][0]["text"] = note
    assert report(draft).scores["refit_notes"] == right


def test_every_step_must_have_a_way_back() -> None:
    draft = perfect()
    draft["refit"][1]["undoes"] = []
    assert report(draft).scores["accounted"] == pytest.approx(3 / 4)  # done before the film: not counted
    draft["not_undone"] = [{"step": "step-3", "reason": "scrapped"}]
    assert report(draft).scores["accounted"] == 1.0
    draft["not_undone"] = []
    draft["flags"].append(draft["flags"][1] | {"code": "no_refit", "steps": ["step-3"]})
    assert report(draft).scores["accounted"] == 1.0


def test_torque_in_words_or_of_a_document_is_matched_by_what_it_says() -> None:
    gold = gold_rows()
    gold[8]["torques"] = [
        {"joint": "screws", "value_nm": None, "angle_deg": None, "reference": "sheet nine", "scope": "step"}
    ]
    refit = refit_rows()
    refit[3]["torques"] = ["sheet nine"]
    draft = draft_of(gold, refit)
    assert evaluate_talk(draft, gold, refit).scores["refit_torques"] == 1.0
    draft["torques"][0]["reference"] = "wall chart"
    assert evaluate_talk(draft, gold, refit).scores["refit_torques"] == 0.0


def test_without_refit_annotation_nothing_of_it_is_scored() -> None:
    got = evaluate_talk(perfect(), gold_rows()).scores
    assert (got["refit_f1"], got["refit_order"], got["refit_notes"]) == (None, None, None)
    assert got["accounted"] == 1.0
