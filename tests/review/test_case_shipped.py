"""Cases with the program's own stages, on a talk that ships with it."""

from __future__ import annotations

import shutil
from importlib.resources import files
from pathlib import Path

import pytest

from extract import pipeline, transcripts
from extract.model import Draft
from extract.review import answers
from extract.review.case import Case, update
from extract.review.decisions import in_force

TALK = Path(str(files("corpora_demo") / "bike_bottom_bracket.vtt"))


@pytest.fixture
def drafted(tmp_path):
    draft, change = update([TALK], tmp_path / "case")
    assert change.created and change.lines() == []
    return draft, Case.open(tmp_path / "case")


def test_case_gives_the_draft_of_the_stages(drafted):
    draft, case = drafted
    assert draft == pipeline.draft(transcripts.read(TALK)) == case.recompute()
    assert Draft.model_validate_json((case.folder / "draft.json").read_bytes()) == draft
    assert (case.folder / "transcript.vtt").read_bytes() == TALK.read_bytes()
    assert {"draft.md", "draft.html", "renewals.csv", "torques.csv"} <= {file.name for file in case.folder.iterdir()}


def test_drafting_again_changes_no_byte(drafted, tmp_path):
    _, case = drafted
    before = {file.name: file.read_bytes() for file in case.folder.iterdir()}
    _, change = update([TALK], case.folder)
    assert not change.transcript_changed and not change.steps_new and not change.steps_gone
    assert {file.name: file.read_bytes() for file in case.folder.iterdir()} == before


def test_a_step_in_other_words_is_told_as_such(tmp_path):
    talk = tmp_path / "hub.txt"
    told = "Today the hub comes off. Undo the {} bolts. Pull the hub off. Lift the drum away.\n"
    talk.write_text(told.format("six"), encoding="utf-8")
    update([talk], tmp_path / "hub")
    talk.write_text(told.format("eight"), encoding="utf-8")
    _, change = update([talk], tmp_path / "hub")
    assert "Step now reads: Undo the eight bolts. Before: Undo the six bolts." in change.lines()
    assert not change.steps_new and not change.steps_gone


def test_corrected_words_run_through_all_stages(drafted):
    draft, case = drafted
    step = next(step for step in draft.steps if step.objects and step.segments)
    segment = next(s for s in draft.segments if s.id == step.segments[0])
    now = case.decide(answers.words(draft, segment.id, "Remove the two lock rings.", "Ada")).draft
    changed = next(s for s in now.segments if s.id == segment.id)
    assert (changed.text, changed.corrected) == (segment.text, "Remove the two lock rings.")
    made = [s for s in now.steps if segment.id in s.segments]
    assert [(s.action, s.objects[0].quantity) for s in made] == [("remove", 2)]


def test_every_decision_keeps_its_place_when_the_start_of_the_film_is_cut_off(drafted, tmp_path):
    draft, case = drafted
    for segment in draft.segments[8:16]:
        case.decide(answers.words(case.recompute(), segment.id, f"{segment.text.rstrip('.')} slowly.", "Ada"))
    shorter = tmp_path / TALK.name
    cues = TALK.read_text(encoding="utf-8").split("\n\n")
    shorter.write_text("\n\n".join([cues[0], *cues[6:]]), encoding="utf-8")
    now, change = update([shorter], case.folder)
    assert change.transcript_changed
    placed = [s for s in now.segments if s.corrected is not None]
    held = in_force(case.log.read().records)
    assert len(placed) + len(change.unplaced) == len(held) == 8
    for segment in placed:
        decision = next(entry for entry in held if entry.what.now == segment.corrected)
        assert decision.about.spots[0].words == segment.text
    assert len(placed) >= 6


def test_own_terms_are_kept_with_the_case(tmp_path):
    table = tmp_path / "own.csv"
    table.write_text("term,kind\nzorbel,part\n", encoding="utf-8")
    update([TALK], tmp_path / "case", lexicons=[table])
    table.unlink()
    case = Case.open(tmp_path / "case")
    assert case.lexicons[0].read_text(encoding="utf-8") == "term,kind\nzorbel,part\n"
    assert case.recompute().made_by == Draft.model_validate_json((case.folder / "draft.json").read_bytes()).made_by


def test_joined_recordings_are_one_case(tmp_path):
    second = tmp_path / "second.vtt"
    shutil.copy(TALK, second)
    draft, _ = update([TALK, second], tmp_path / "case")
    case = Case.open(tmp_path / "case")
    assert sorted(file.name for file in case.folder.glob("transcript*")) == ["transcript-1.vtt", "transcript-2.vtt"]
    assert case.recompute() == draft
    update([TALK], tmp_path / "case")
    assert sorted(file.name for file in case.folder.glob("transcript*")) == ["transcript.vtt"]
