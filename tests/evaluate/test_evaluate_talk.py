from __future__ import annotations

import copy

import pytest
from gold_draft import draft_of
from workbench_talk import act, gold_rows, refit_rows, torque, utterance

from extract.errors import GoldError
from extract.evaluate import evaluate_talk


def perfect() -> dict:
    return draft_of(gold_rows(), refit_rows())


def scores(draft: dict) -> dict:
    return evaluate_talk(draft, gold_rows(), refit_rows()).scores


def kinds(draft: dict, gold: list | None = None) -> list[str]:
    return [error.kind for error in evaluate_talk(draft, gold or gold_rows(), refit_rows()).errors]


def test_the_annotation_itself_scores_full_marks() -> None:
    report = evaluate_talk(perfect(), gold_rows(), refit_rows())
    assert report.errors == ()
    less_is_better = {"burden": 200 / 65, "trust_brier": 0.0, "unclear_false_alarm": 0.0}  # 2 flags, 65 words
    for name, value in report.scores.items():
        if name == "unclear_recall_by_frequency":  # a measure of the words, whatever the draft says
            continue
        assert value in (None, pytest.approx(less_is_better.get(name, 1.0))), name
    assert sum(value is not None for value in report.scores.values()) > 30


def test_a_wrong_role_costs_one_vote() -> None:
    draft = perfect()
    draft["segments"][3]["role"] = "reason"
    got = scores(draft)
    assert got["role_accuracy"] == pytest.approx(9 / 10)
    # caution 0; the other six roles of gold 1 each
    assert got["role_f1"] == pytest.approx(6 / 7)
    assert kinds(draft) == ["role caution → reason"]


def test_merged_segments_lose_a_boundary_and_the_shorter_role() -> None:
    draft = perfect()
    last = draft["segments"].pop()
    draft["segments"][-1]["text"] += " " + last["text"]
    report = evaluate_talk(draft, gold_rows(), refit_rows())
    assert report.scores["boundary_f1"] == pytest.approx(2 * 9 / (10 + 9))
    assert report.scores["boundary_punctuated_f1"] == report.scores["boundary_f1"]
    assert report.scores["boundary_unpunctuated_f1"] is None
    assert [error.kind for error in report.errors] == ["missed_boundary", "role chatter → torque_note"]


def test_a_split_segment_is_a_spurious_boundary() -> None:
    draft = perfect()
    whole = draft["segments"][0]
    draft["segments"][:1] = [whole | {"text": "Today we do"}, whole | {"id": "u-0b", "text": whole["text"][12:]}]
    report = evaluate_talk(draft, gold_rows(), refit_rows())
    assert report.scores["boundary_f1"] == pytest.approx(2 * 10 / (10 + 11))
    assert report.scores["role_accuracy"] == 1.0


def test_step_counts_by_verb_group_and_object() -> None:
    draft = perfect()
    undo, cover = draft["steps"][1], draft["steps"][2]
    undo["action"] = undo["spoken_action"] = "unscrew"  # same group as "undo"
    cover["objects"][0]["text"] = "guard"  # wrong
    got = scores(draft)
    assert got["step_f1"] == pytest.approx(4 / 5)
    assert kinds(draft)[0] == "wrong_object"


@pytest.mark.parametrize(
    ("change", "kind"),
    [
        (lambda step: step.update(action="oil", spoken_action="oil"), "wrong_action"),
        (lambda step: step["objects"].append(step["objects"][0] | {"text": "stand"}), "wrong_object"),
        (lambda step: step.update(segments=["u-9"]), "missed_step"),
    ],
)
def test_step_needs_its_verb_all_its_parts_and_its_place(change, kind: str) -> None:
    draft = perfect()
    change(draft["steps"][3])
    assert scores(draft)["step_recall"] == pytest.approx(4 / 5)
    assert kind in kinds(draft)


def test_quantities_are_counted_over_matched_steps_and_null_is_one() -> None:
    draft = perfect()
    draft["steps"][2]["objects"][0]["quantity"] = 1  # gold: null
    draft["steps"][1]["objects"][0]["quantity"] = 5  # gold: 4
    assert scores(draft)["quantity_accuracy"] == pytest.approx(4 / 5)
    assert kinds(draft) == ["wrong_quantity"]


def test_a_step_in_two_equal_copies_matches_once() -> None:
    draft = perfect()
    draft["steps"].append(copy.deepcopy(draft["steps"][2]) | {"id": "step-x"})
    got = scores(draft)
    assert (got["step_recall"], got["step_precision"]) == (1.0, pytest.approx(5 / 6))


def test_renewals_need_item_and_kind_and_may_lie_one_utterance_off() -> None:
    draft = perfect()
    draft["renewals"][0]["segments"] = ["u-6"]
    draft["renewals"][0]["quantity"] = 3
    got = scores(draft)
    assert (got["renewal_f1"], got["renewal_quantity_accuracy"]) == (1.0, 0.0)
    draft["renewals"][0]["segments"] = ["u-5"]
    assert scores(draft)["renewal_f1"] == 0.0
    draft["renewals"][0] |= {"segments": ["u-7"], "kind": "consumable"}
    assert scores(draft)["renewal_f1"] == 0.0


@pytest.mark.parametrize(
    ("stages", "f1"),
    [
        ([(10.5, None), (None, 31)], 1.0),  # within 0.5 Nm and 1 degree
        ([(10.6, None), (None, 32)], 0.0),
        ([(10, 30)], 1.0),
        ([(10, None)], 2 / 3),
        ([], 0.0),  # one entry without a value against two values
    ],
)
def test_torque_values_count_one_by_one(stages: list, f1: float) -> None:
    draft = perfect()
    none = {"low_nm": None, "high_nm": None}
    draft["torques"][0]["stages"] = [none | {"value_nm": nm, "angle_deg": angle} for nm, angle in stages]
    assert scores(draft)["torque_f1"] == pytest.approx(f1)


def test_large_torques_may_differ_by_one_percent_and_a_range_holds_its_values() -> None:
    gold = [utterance("Tighten it to two hundred.", torques=[torque("nut", 200)])]
    draft = draft_of(gold)
    stage = draft["torques"][0]["stages"][0]
    for change, f1 in (
        ({"value_nm": 202}, 1.0),
        ({"value_nm": 202.1}, 0.0),
        ({"value_nm": None, "low_nm": 190, "high_nm": 210}, 1.0),
        ({"value_nm": None, "low_nm": 210, "high_nm": 220}, 0.0),
    ):
        stage.update(change)
        assert evaluate_talk(draft, gold).scores["torque_f1"] == f1, change


@pytest.mark.parametrize(
    ("change", "f1"),
    [
        ({"axis": "spindle"}, 1.0),  # the axis is not compared
        ({"value": "short"}, 0.0),
        ({"negated": True}, 0.0),
        ({"kind": "skip"}, 0.0),
        ({"value": "short", "values": ["short", "long"]}, 1.0),
    ],
)
def test_conditions_compare_value_and_negation(change: dict, f1: float) -> None:
    draft = perfect()
    draft["conditions"][0].update(change)
    assert scores(draft)["condition_f1"] == f1


def test_conditions_count_for_every_step() -> None:
    draft = perfect()
    draft["steps"][4]["applies_when"] = ["condition-0"]  # governs one step too many
    got = scores(draft)
    assert (got["condition_recall"], got["condition_precision"]) == (1.0, 0.5)
    assert kinds(draft) == ["spurious_condition"]


def test_skips_match_skips_only() -> None:
    gold = [utterance("Skip that: undo the nut.", steps=[act("undo", "nut")], when=["skip"])]
    draft = draft_of(gold)
    assert evaluate_talk(draft, gold).scores["condition_f1"] == 1.0
    draft["conditions"][0] |= {"kind": "option", "value": "skip"}
    assert evaluate_talk(draft, gold).scores["condition_f1"] == 0.0


def test_unclear_is_found_by_role_or_by_an_open_garbled_flag() -> None:
    draft = perfect()
    draft["segments"][5]["role"] = "chatter"
    assert scores(draft)["unclear_f1"] == 1.0
    draft["flags"][0]["state"] = "settled"
    assert scores(draft)["unclear_recall"] == 0.0
    draft["segments"][0]["role"] = "unclear"
    got = scores(draft)
    assert (got["unclear_precision"], got["unclear_false_alarm"]) == (0.0, pytest.approx(1 / 9))


def test_flags_may_lie_one_off_and_infos_count_nowhere() -> None:
    draft = perfect()
    draft["flags"][1]["segments"] = ["u-7"]
    assert scores(draft)["flag_recall_repeated"] == 1.0
    draft["flags"][1]["segments"] = ["u-8"]
    got = scores(draft)
    assert (got["flag_recall_repeated"], got["flag_recall"], got["flag_named_share"]) == (0.0, 0.5, 0.5)
    draft["flags"][1]["severity"] = "info"
    got = scores(draft)
    assert (got["flag_recall"], got["flag_named_share"], got["burden"]) == (0.5, 1.0, pytest.approx(100 / 65))


def test_one_flag_answers_for_each_of_its_places_once() -> None:
    gold = [utterance(f"The seiling ring {n}.", "reason", flags=["misheard_term"]) for n in range(3)]
    draft = draft_of(gold)
    draft["flags"] = [draft["flags"][1] | {"segments": ["u-0", "u-1", "u-2"]}]
    assert evaluate_talk(draft, gold).scores["flag_recall"] == 1.0
    draft["flags"][0]["segments"] = ["u-1"]
    got = evaluate_talk(draft, gold).scores
    assert (got["flag_recall"], got["flag_named_share"]) == (pytest.approx(1 / 3), 1.0)


def test_a_flag_without_segments_stands_where_its_steps_are() -> None:
    draft = perfect()
    draft["flags"][1] |= {"segments": [], "steps": ["step-4"]}
    assert scores(draft)["flag_recall_repeated"] == 1.0


def test_a_gold_flag_cannot_be_taken_by_another_code() -> None:
    draft = perfect()
    draft["flags"][1]["code"] = "silent_gap"
    got = scores(draft)
    assert (got["flag_recall_repeated"], got["flag_recall_garbled"]) == (0.0, 1.0)


def test_burden_of_talks_whose_gold_names_no_flag_stands_apart() -> None:
    gold = [utterance("Undo the nut and take it off.", steps=[act("undo", "nut")])]
    draft = draft_of(gold)
    draft["flags"] = [perfect()["flags"][1] | {"segments": ["u-0"], "steps": []}]
    got = evaluate_talk(draft, gold).scores
    assert got["burden_unflagged_talks"] == pytest.approx(100 / 7)
    assert scores(perfect())["burden_unflagged_talks"] is None


def test_text_that_the_annotation_lacks_is_skipped() -> None:
    draft = perfect()
    extra = draft["segments"][3] | {"id": "u-x", "text": "Nobody annotated this line."}
    draft["segments"].insert(4, extra)
    got = scores(draft)
    assert (got["role_accuracy"], got["step_f1"], got["text_agreement"]) == (1.0, 1.0, 1.0)
    assert got["boundary_f1"] == pytest.approx(2 * 10 / (10 + 11))


def test_a_word_read_otherwise_keeps_its_place() -> None:
    draft = perfect()
    draft["segments"][1]["text"] = "I un plugged it already."
    got = scores(draft)
    assert (got["boundary_f1"], got["role_accuracy"], got["step_f1"]) == (1.0, 1.0, 1.0)
    assert got["text_agreement"] < 1.0


def test_annotation_of_another_talk_is_refused() -> None:
    with pytest.raises(GoldError, match="of its words are in the talk"):
        evaluate_talk(perfect(), [utterance("Something else entirely, about horses and hay.")])
