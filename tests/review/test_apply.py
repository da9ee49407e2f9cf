from __future__ import annotations

import pytest
from sample_case import ENGINE, TALK, build, make_case, read, write_talk

from extract.errors import CaseError
from extract.model import Flag
from extract.review import answers
from extract.review.apply import reviewed
from extract.review.case import Case, Clash, update
from extract.review.signoff import content_hash, sign, signature_state
from extract.settings import Settings


def flag(draft, code, number=0):
    return [entry for entry in draft.flags if entry.code == code and entry.state == "open"][number]


@pytest.fixture
def case(tmp_path):
    return make_case(tmp_path)


def decided(case, decision):
    return case.decide(decision).draft


def test_taken_suggestion_runs_through_the_stages_again(case):
    draft = case.recompute()
    point = flag(draft, "misheard_term")
    draft = decided(case, answers.take(draft, point.id, 1, "Ada"))
    segment = next(s for s in draft.segments if "pistol" in s.text)
    assert segment.corrected == "Take off the calliper piston."
    assert segment.text == "Take off the calliper pistol."
    assert "Remove the calliper piston." in [step.text for step in draft.steps]
    assert "Fit the calliper piston." in [step.text for step in draft.refit]
    assert [f.state for f in draft.flags if f.code == "misheard_term"] == ["settled"]


def test_pointing_word_gives_way_to_the_part_with_its_article(case):
    point = flag(case.recompute(), "ambiguous_reference")
    bare = point.model_copy(update={"suggestions": (point.suggestions[0].model_copy(update={"text": "float arm"}),)})
    draft = case.recompute()
    draft = draft.model_copy(update={"flags": tuple(bare if f.id == point.id else f for f in draft.flags)})
    assert answers.take(draft, point.id, 1, "Ada").what.now == "Take the float arm off."


@pytest.mark.parametrize(("choice", "role"), [(1, "refit_note"), (2, "reason")])
def test_close_call_is_decided_between_both_readings(case, choice, role):
    draft = case.recompute()
    note = next(s for s in draft.segments if s.text.startswith("Always"))
    weak = Flag(
        id="flag-w", code="weak_reading", severity="info", message="A close call.", segments=(note.id,),
        evidence={"role": "refit_note", "other": "reason"},
    )  # fmt: skip
    decision = answers.take(draft.model_copy(update={"flags": (*draft.flags, weak)}), "flag-w", choice, "Ada")
    draft = decided(case, decision)
    assert next(s for s in draft.segments if s.id == note.id).role == role


def test_flag_no_longer_raised_is_kept_as_settled_with_its_id(case):
    point = flag(case.recompute(), "misheard_term")
    draft = decided(case, answers.take(case.recompute(), point.id, 1, "Ada"))
    kept = next(f for f in draft.flags if f.id == point.id)
    assert (kept.state, kept.message, kept.segments) == ("settled", point.message, point.segments)


def test_settling_one_of_two_equal_sentences_leaves_the_other_open(case):
    second = flag(case.recompute(), "ambiguous_reference", 1)
    draft = decided(case, answers.words(case.recompute(), second.id, "Take the cover plate off.", "Ada"))
    corrected = [s.corrected for s in draft.segments if s.text == "Take that off."]
    assert corrected == [None, "Take the cover plate off."]
    assert [f.state for f in draft.flags if f.code == "ambiguous_reference"].count("open") == 1


def test_two_corrections_of_one_utterance_add_up_and_undo_singly(case):
    draft = case.recompute()
    target = next(s for s in draft.segments if s.text.startswith("Two gaskets")).id
    first = answers.words(draft, target, "Two paper gaskets sit behind the cover and both must be renewed.", "Ada")
    draft = decided(case, first)
    second = answers.words(draft, target, "Two paper gaskets sit behind the end cover and both must be renewed.", "Ben")
    draft = decided(case, second)
    assert next(s for s in draft.segments if s.id == target).corrected == second.what.now
    draft = decided(case, answers.undo(first, "Ada"))
    assert (
        next(s for s in draft.segments if s.id == target).corrected
        == "Two gaskets sit behind the end cover and both must be renewed."
    )


def test_undo_of_an_undo_puts_the_decision_back(case):
    first = answers.take(case.recompute(), flag(case.recompute(), "misheard_term").id, 1, "Ada")
    case.decide(first)
    gone = answers.undo(first, "Ada")
    assert flag(decided(case, gone), "misheard_term")
    draft = decided(case, answers.undo(gone, "Ada"))
    assert not [f for f in draft.flags if f.code == "misheard_term" and f.state == "open"]


def test_accepting_settles_only_that_flag(case):
    point = flag(case.recompute(), "garbled")
    before = len([f for f in case.recompute().flags if f.state == "open"])
    draft = decided(case, answers.accept(case.recompute(), point.id, "Aside to the camera.", "Ada"))
    assert len([f for f in draft.flags if f.state == "open"]) == before - 1


def test_role_goes_through_the_stages(case):
    draft = case.recompute()
    target = next(s for s in draft.segments if s.text == "Shut the inlet valve.").id
    draft = decided(case, answers.role(draft, target, "presentation", "Ada"))
    assert "Close the inlet valve." not in [step.text for step in draft.steps]
    assert next(s for s in draft.segments if s.id == target).role == "presentation"


def test_quantity_reaches_step_and_refit(case):
    draft = case.recompute()
    draft = decided(case, answers.quantity(draft, flag(draft, "vague_quantity").id, "6", "counted in the film", "Ada"))
    step = next(s for s in draft.steps if "bolts" in s.text)
    back = next(s for s in draft.refit if step.id in s.undoes)
    assert (step.text, step.objects[0].quantity) == ("Undo the six bolts.", 6)
    assert (back.text, back.objects[0].quantity) == ("Fit and tighten the six bolts.", 6)
    assert step.because[-1].rule == "review.quantity" and "Ada" in step.because[-1].note


def test_tightening_value_carries_its_source(case):
    draft = case.recompute()
    point = flag(draft, "torque_implausible")
    draft = decided(case, answers.tightening(draft, point.id, "22 Nm + 90°", "data sheet 4", "Ada"))
    torque = draft.torques[0]
    assert (torque.value_nm, torque.angle_deg, torque.reference) == (22, 90, "data sheet 4")
    assert next(f for f in draft.flags if f.id == point.id).state == "settled"


def test_scope_end_governs_up_to_the_named_step_and_no_further(case):
    draft = case.recompute()
    draft = decided(case, answers.scope(draft, flag(draft, "open_scope").id, "8", "Ada"))
    governed = [step.text for step in draft.steps if step.applies_when]
    assert governed == ["Unclip the float arm."]
    assert [step.text for step in draft.refit if step.applies_when] == ["Clip in the float arm."]
    assert draft.conditions[0].steps == (draft.steps[7].id,) and draft.conditions[0].ends == "rejoin"


def test_split_gives_two_steps_that_the_refit_both_undoes(case):
    draft = case.recompute()
    draft = decided(case, answers.split(draft, "2", "Shut the valve.", "Tag the valve.", "Ada"))
    assert [s.text for s in draft.steps[1:3]] == ["Shut the valve.", "Tag the valve."]
    assert any({draft.steps[1].id, draft.steps[2].id} <= set(s.undoes) for s in draft.refit)
    assert [s.number for s in draft.steps] == list(range(1, len(draft.steps) + 1))


def test_second_half_of_a_split_is_known_wherever_the_step_was(case):
    draft = case.recompute()
    whole = draft.steps[0]
    draft = decided(case, answers.split(draft, "1", "Isolate the pump.", "Lock the switch off.", "Ada"))
    first, second = draft.steps[:2]
    said = next(segment for segment in draft.segments if segment.id == whole.segments[0])
    assert said.steps == (first.id, second.id)
    assert first.id == whole.id and first.applies_when == second.applies_when


def test_added_step_is_governed_as_the_one_before_it(case):
    draft = case.recompute()
    arm = next(step for step in draft.steps if "float arm" in step.text)
    draft = decided(case, answers.add(draft, arm.id, "Tape the arm up.", "Take the tape off.", "Ada"))
    added = next(step for step in draft.steps if step.text == "Tape the arm up.")
    assert added.applies_when == arm.applies_when
    assert {arm.id, added.id} <= set(draft.conditions[0].steps)


def test_steps_joined_into_one_are_spared_once(case):
    draft = case.recompute()
    for number in (1, 2):
        draft = decided(case, answers.put_back(draft, draft.steps[number].id, "", "Ada", reason="Stays so."))
    one = draft.steps[1].id
    draft = decided(case, answers.merge(draft, one, None, "Ada"))
    assert [entry.step for entry in draft.not_undone] == [one]
    draft = decided(case, answers.merge(draft, draft.steps[0].id, None, "Ada"))
    assert any(draft.steps[0].id in step.undoes for step in draft.refit) and draft.not_undone == ()


def test_merge_joins_what_undoes_them(case):
    draft = case.recompute()
    one, two = draft.steps[0].id, draft.steps[1].id
    draft = decided(case, answers.merge(draft, one, None, "Ada"))
    assert two not in {s.id for s in draft.steps}
    assert all(two not in s.undoes for s in draft.refit)
    assert len([s for s in draft.refit if one in s.undoes]) == 2


def test_spared_half_of_a_joint_refit_step_leaves_the_other_half(case):
    draft = case.recompute()
    draft = decided(case, answers.split(draft, "2", "Shut the valve.", "Tag the valve.", "Ada"))
    valve, tag = draft.steps[1].id, draft.steps[2].id
    draft = decided(case, answers.put_back(draft, tag, "", "Ada", reason="The tag stays."))
    assert [entry.step for entry in draft.not_undone] == [tag]
    assert [step.undoes for step in draft.refit if {valve, tag} & set(step.undoes)] == [(valve,)]


def test_joined_steps_last_from_the_earlier_start_to_the_later_end(case):
    draft = case.recompute()
    first, last = draft.steps[0], draft.steps[1]
    draft = decided(case, answers.move(draft, last.id, "1", "Ada"))
    draft = decided(case, answers.merge(draft, last.id, None, "Ada"))
    assert (draft.steps[0].start_s, draft.steps[0].end_s) == (first.start_s, last.end_s)


def test_moving_a_step_moves_its_refit_step_the_other_way(case):
    draft = case.recompute()
    valve = next(s for s in draft.steps if "inlet valve" in s.text)
    draft = decided(case, answers.move(draft, valve.id, "1", "Ada"))
    assert draft.steps[0].id == valve.id
    assert draft.refit[-1].undoes == (valve.id,)


def test_dropped_removal_leaves_no_refit_of_it(case):
    draft = case.recompute()
    cover = next(s for s in draft.steps if "end cover" in s.text)
    draft = decided(case, answers.drop(draft, cover.id, "Shown twice.", "Ada"))
    assert "Fit the end cover." not in [s.text for s in draft.refit]


def test_dropped_refit_step_declares_its_removal_as_not_undone(case):
    draft = case.recompute()
    back = next(s for s in draft.refit if "end cover" in s.text)
    draft = decided(case, answers.drop(draft, back.id, "A new cover comes with the kit.", "Ada"))
    assert [(entry.step, entry.reason) for entry in draft.not_undone] == [
        (back.undoes[0], "A new cover comes with the kit.")
    ]


@pytest.mark.parametrize("put_back", ["Fit the guard.", None])
def test_added_step_is_put_back_or_declared(case, put_back):
    draft = decided(case, answers.add(case.recompute(), "2", "Remove the guard.", put_back, "Ada"))
    new = draft.steps[2]
    assert new.text == "Remove the guard."
    undone = [s for s in draft.refit if new.id in s.undoes]
    if put_back:
        # Between the refit of the step after it and of the step before it.
        at = draft.refit.index(undone[0])
        assert draft.refit[at - 1].undoes == (draft.steps[3].id,)
        assert draft.refit[at + 1].undoes == (draft.steps[1].id,)
    else:
        assert [entry.step for entry in draft.not_undone] == [new.id]


def test_count_given_before_the_words_were_corrected_does_not_override_them(case):
    draft = case.recompute()
    count = answers.quantity(draft, flag(draft, "vague_quantity").id, "6", "film", "Ada")
    draft = decided(case, count)
    spoken = next(s for s in draft.segments if "usual bolts" in s.text)
    outcome = case.decide(answers.words(draft, spoken.id, "Undo the 8 bolts.", "Ben"))
    assert outcome.unplaced == (count,)
    assert "Undo the 8 bolts." in [s.text for s in outcome.draft.steps]


def test_edit_written_before_a_count_was_corrected_does_not_bring_the_old_count_back(case):
    draft = case.recompute()
    counted = decided(case, answers.quantity(draft, flag(draft, "vague_quantity").id, "6", "film", "Ada"))
    step = next(s for s in counted.steps if "bolts" in s.text)
    edit = answers.edit(counted, step.id, "Undo the 6 bolts crosswise.", "Ada")
    case.decide(edit)
    spoken = next(s for s in counted.segments if "usual bolts" in s.text)
    outcome = case.decide(answers.words(counted, spoken.id, "Undo the 8 bolts.", "Ben"))
    assert edit in outcome.unplaced
    assert "Undo the 6 bolts crosswise." not in [s.text for s in outcome.draft.steps]


def test_part_name_is_used_throughout_but_the_talk_stays(case):
    draft = decided(case, answers.part_name(case.recompute(), "shaft seal", "lip seal", "Ada"))
    written = [s.text for s in (*draft.steps, *draft.refit)] + [r.item for r in draft.renewals]
    assert "Remove the lip seal." in written and "lip seal" in written
    assert not any("shaft seal" in text for text in written)
    assert any("shaft seal" in s.text for s in draft.segments)


def test_way_back_takes_the_place_of_the_open_refit_step(tmp_path):
    case = make_case(tmp_path, "Saw off the spout.\nShut the inlet valve.\n")
    draft = case.recompute()
    point = flag(draft, "no_refit")
    draft = decided(case, answers.put_back(draft, point.id, "Weld a new spout on.", "Ada"))
    assert [s.text for s in draft.refit] == ["Open the inlet valve.", "Weld a new spout on."]
    assert draft.flags[0].state == "settled"


def test_accepting_a_missing_way_back_declares_the_step_as_not_undone(tmp_path):
    case = make_case(tmp_path, "Saw off the spout.\n")
    draft = case.recompute()
    point = flag(draft, "no_refit")
    draft = decided(case, answers.accept(draft, point.id, "It goes into the scrap bin.", "Ada"))
    assert not draft.refit
    assert [(entry.step, entry.reason) for entry in draft.not_undone] == [
        (draft.steps[0].id, "It goes into the scrap bin.")
    ]


@pytest.mark.parametrize(("choice", "count"), [(1, 3), (2, 4)])
def test_one_of_two_counts_holds_wherever_they_disagreed(tmp_path, choice, count):
    words = {3: "3", 4: "four"}  # the sample draft writes figures
    case = make_case(tmp_path, "Pull out the 3 circlips.\nThose 4 circlips must be renewed.\n")
    draft = case.recompute()
    draft = decided(case, answers.take(draft, flag(draft, "quantity_conflict").id, choice, "Ada"))
    assert draft.steps[0].objects[0].quantity == draft.renewals[0].quantity == count
    assert draft.steps[0].text == f"Remove the {words[count]} circlips."
    assert not [f for f in draft.flags if f.state == "open"]


# --------------------------------------------------------------------------- when the talk changes


def redrafted(tmp_path, text):
    return update([write_talk(tmp_path, text)], tmp_path / "case", engine=ENGINE)


def test_decisions_survive_a_longer_cut(case, tmp_path):
    draft = case.recompute()
    second = flag(draft, "ambiguous_reference", 1)
    case.decide(answers.words(draft, second.id, "Take the cover plate off.", "Ada"))
    draft, change = redrafted(tmp_path, "Welcome back.\nTake that off.\nLet me say hello first.\n" + TALK)
    assert change.kept == 1 and not change.unplaced and change.transcript_changed
    at = [s.text for s in draft.segments].index("Lift the end cover away.")
    assert draft.segments[at + 1].corrected == "Take the cover plate off."
    assert [s.corrected for s in draft.segments if s.corrected] == ["Take the cover plate off."]


def test_correction_that_the_better_transcript_already_has_is_fulfilled(case, tmp_path):
    draft = case.recompute()
    case.decide(answers.take(draft, flag(draft, "misheard_term").id, 1, "Ada"))
    draft, change = redrafted(tmp_path, TALK.replace("pistol", "piston"))
    assert (change.kept, change.fulfilled, change.unplaced) == (0, 1, ())
    assert not any(s.corrected for s in draft.segments)


def test_correction_touches_only_the_words_it_was_about(case, tmp_path):
    draft = case.recompute()
    case.decide(answers.take(draft, flag(draft, "misheard_term").id, 1, "Ada"))
    changed = TALK.replace("Take off the calliper pistol.", "Then take off the calliper pistol gently.")
    draft, change = redrafted(tmp_path, changed)
    assert not change.unplaced
    assert "Then take off the calliper piston gently." in [s.corrected for s in draft.segments]


@pytest.mark.parametrize(
    "now",
    [
        "Remove three wheel nuts and the trim.",
        "",
        "Take off the calliper pistol and 2 pads.",
    ],
)
def test_decision_without_its_words_is_reported_and_changes_nothing(case, tmp_path, now):
    draft = case.recompute()
    decision = answers.take(draft, flag(draft, "misheard_term").id, 1, "Ada")
    case.decide(decision)
    changed = TALK.replace("Take off the calliper pistol.\n", f"{now}\n" if now else "")
    draft, change = redrafted(tmp_path, changed)
    assert change.unplaced == (decision,)
    assert not any(s.corrected for s in draft.segments)
    assert any(decision.id in line for line in change.lines())
    assert Case.open(tmp_path / "case", ENGINE).log.read().records == (decision,)


def test_count_is_not_carried_to_words_with_another_count(case, tmp_path):
    draft = case.recompute()
    decision = answers.quantity(draft, flag(draft, "vague_quantity").id, "6", "film", "Ada")
    case.decide(decision)
    _, change = redrafted(tmp_path, TALK.replace("the usual bolts", "the 4 bolts"))
    assert change.unplaced == (decision,)


def test_unchanged_looped_sentences_keep_their_decision(tmp_path):
    text = "Shut the inlet valve.\n" * 6
    case = make_case(tmp_path, text)
    target = case.recompute().segments[3].id
    case.decide(answers.words(case.recompute(), target, "Shut the outlet valve.", "Ada"))
    assert [bool(s.corrected) for s in case.recompute().segments] == [False] * 3 + [True] + [False] * 2


# --------------------------------------------------------------------------- two reviewers, signing


def test_second_reviewer_clashes_on_the_same_point_and_nothing_is_written(case, tmp_path):
    other = Case.open(tmp_path / "case" / "draft.json", ENGINE)
    draft = case.recompute()
    point = flag(draft, "misheard_term")
    seen = case.log.read().version
    case.decide(answers.take(draft, point.id, 1, "Ada"), seen=seen)
    with pytest.raises(Clash) as clash:
        other.decide(answers.take(draft, point.id, 2, "Ben"), seen=seen)
    assert [decision.by for decision in clash.value.theirs] == ["Ada"]
    assert len(case.log.read().records) == 1
    elsewhere = answers.accept(draft, flag(draft, "garbled").id, "Aside.", "Ben")
    assert other.decide(elsewhere, seen=seen).draft == case.recompute()


def settle_stops(case):
    for point in case.recompute().flags:
        if point.severity == "stop" and point.state == "open":
            case.decide(answers.accept(case.recompute(), point.id, "Looked at the film.", "Ada"))


def test_sign_off_is_refused_with_an_open_stop_and_granted_without(case):
    with pytest.raises(CaseError, match="must be settled first"):
        sign(case, "Ada")
    settle_stops(case)
    signed = sign(case, "Ada")
    draft = case.recompute()
    assert draft.signed == signed and signed.hash == content_hash(draft)
    assert signature_state(draft, case) == "signed"


def test_signed_procedure_that_changed_says_so_and_back_again(case):
    settle_stops(case)
    sign(case, "Ada")
    edit = answers.edit(case.recompute(), "1", "Isolate the pump set.", "Ben")
    assert signature_state(case.decide(edit).draft, case) == "changed"
    assert signature_state(case.decide(answers.undo(edit, "Ben")).draft, case) == "signed"


def test_sign_off_is_refused_while_a_decision_has_no_place(case, tmp_path):
    draft = case.recompute()
    case.decide(answers.take(draft, flag(draft, "misheard_term").id, 1, "Ada"))
    settle_stops(case)
    redrafted(tmp_path, TALK.replace("Take off the calliper pistol.\n", ""))
    with pytest.raises(CaseError, match="lost their place"):
        sign(Case.open(tmp_path / "case", ENGINE), "Ada")


def test_no_decision_gives_the_draft_of_the_stages(tmp_path):
    talk = read([write_talk(tmp_path)])
    base = build(talk, (), Settings(), {}, {})
    assert reviewed(base, (), lambda corrections, roles: base).draft == base


def test_folder_that_is_no_case_is_refused(tmp_path):
    with pytest.raises(CaseError, match="is not a case"):
        Case.open(tmp_path, ENGINE)


def test_case_record_cannot_point_outside_its_folder(case):
    record = case.folder / "case.json"
    record.write_text(record.read_text().replace("transcript.talk", "../../secret.talk"))
    with pytest.raises(CaseError, match="is not a record of a case: “recordings.0.copy_name”"):
        Case.open(case.folder, ENGINE)


@pytest.mark.parametrize("text", ["{", '{"talk": "x"}'])
def test_broken_record_of_a_case_is_refused_in_words(case, text):
    (case.folder / "case.json").write_text(text)
    with pytest.raises(CaseError, match="is not a record of a case: (it is not JSON|“recordings” is missing)"):
        Case.open(case.folder, ENGINE)


def test_file_inside_a_case_is_no_case(case):
    with pytest.raises(CaseError, match="is not a case. Name its folder or its draft.json"):
        Case.open(case.folder / "transcript.talk", ENGINE)


def test_points_that_hang_on_a_dropped_step_are_settled_with_it(case):
    draft = case.recompute()
    point = flag(draft, "misheard_term")
    step = next(s for s in draft.steps if set(s.segments) & set(point.segments))
    others = {f.id for f in draft.flags if f.state == "open" and not set(f.segments) & set(step.segments)}
    decision = answers.drop(draft, step.id, "Shown by mistake.", "Ada")
    outcome = case.decide(decision)
    assert next(f for f in outcome.draft.flags if f.id == point.id).state == "settled"
    assert outcome.settled_by[point.id] == decision
    assert {f.id for f in outcome.draft.flags if f.state == "open"} == others
    reopened = case.decide(answers.undo(decision, "Ada")).draft
    assert next(f for f in reopened.flags if f.id == point.id).state == "open"


def test_heading_of_a_part_is_given_anew(case):
    draft = decided(case, answers.edit(case.recompute(), "sec-1", "Pump removal", "Ada"))
    assert draft.sections[0].title == "Pump removal"


def test_words_put_in_place_of_garbled_ones_leave_the_rest(case):
    draft = case.recompute()
    point = flag(draft, "garbled")
    said = answers.segment_of(draft, point).text
    span = point.spans[0]
    assert (
        answers.fill(draft, point.id, "Clip the hose", "Ada").what.now
        == said[: span.start] + "Clip the hose" + said[span.end :]
    )


def test_ends_of_an_open_condition_are_offered(case):
    draft = case.recompute()
    point = flag(draft, "open_scope")
    offered = answers.choices(draft, point)
    assert [entry.why for entry in offered][:1] == ["one step only"] or offered[0].why == "as drafted"
    draft = decided(case, answers.take(draft, point.id, len(offered), "Ada"))
    condition = draft.conditions[0]
    assert condition.steps[-1] == offered[-1].text and condition.ends == "rejoin"
