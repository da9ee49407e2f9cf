from __future__ import annotations

import json
from pathlib import Path

import pytest
import typer
from gold_draft import drafts_from_gold, gold_draft
from typer.testing import CliRunner
from workbench_talk import gold_rows, refit_rows

import extract.evaluate as evaluation
from extract.cli.evaluate import register
from extract.errors import GoldError
from extract.evaluate import check_floors, evaluate_folder, load_floors
from extract.model import Talk


def write_talk(folder: Path, name: str, gold: list | None = None, refit: list | None = None) -> None:
    gold = gold or gold_rows()
    (folder / f"{name}.txt").write_text(" ".join(row["text"] for row in gold))
    (folder / f"{name}.md").write_text("About this talk.")
    (folder / f"{name}.gold.jsonl").write_text("".join(json.dumps(row) + "\n" for row in gold))
    if refit:
        (folder / f"{name}.refit.jsonl").write_text("".join(json.dumps(row) + "\n" for row in refit))


@pytest.fixture
def talks(tmp_path: Path) -> Path:
    write_talk(tmp_path, "grinder", refit=refit_rows())
    bare = [row | {"text": row["text"].rstrip(".").lower()} for row in gold_rows()]
    write_talk(tmp_path, "grinder_bare", gold=bare)
    return tmp_path


def test_scores_are_pooled_over_talks(talks: Path) -> None:
    def draft(talk: Talk) -> dict:
        made = gold_draft(talks, talk.name)
        if talk.name == "grinder":
            made["steps"] = made["steps"][:1]
            made["refit"] = []
        return made

    report = evaluate_folder(talks, draft)
    assert [talk.name for talk in report.talks] == ["grinder", "grinder_bare"]
    assert report.talks[0].scores["step_recall"] == pytest.approx(1 / 5)
    assert report.scores["step_recall"] == pytest.approx(6 / 10)
    assert report.scores["boundary_punctuated_f1"] == report.scores["boundary_unpunctuated_f1"] == 1.0
    assert report.talks[1].scores["boundary_punctuated_f1"] is None
    missed = [error for error in report.errors if error.kind == "missed_step"]
    assert [(error.talk, error.time_s, error.gold) for error in missed][0] == ("grinder", 6.0, "undo 4 screws")
    assert missed[0].text == "Undo the four screws and take off the cover."


def test_report_is_written_as_the_same_json_each_time(talks: Path) -> None:
    one, two = (evaluate_folder(talks, drafts_from_gold(talks)).to_json() for _ in range(2))
    assert one == two
    document = json.loads(one)
    assert document["scores"]["step_f1"] == 1.0
    assert document["talks"][1]["name"] == "grinder_bare"


def test_only_picks_talks_by_name(talks: Path) -> None:
    assert [talk.name for talk in evaluate_folder(talks, drafts_from_gold(talks), only="bare").talks] == [
        "grinder_bare"
    ]
    with pytest.raises(GoldError, match="named like"):
        evaluate_folder(talks, drafts_from_gold(talks), only="lathe")


def test_verb_groups_beside_the_talks_come_first(talks: Path) -> None:
    def draft(talk: Talk) -> dict:
        made = gold_draft(talks, talk.name)
        made["steps"][1]["action"] = made["steps"][1]["spoken_action"] = "frobnicate"
        return made

    assert evaluate_folder(talks, draft).scores["step_f1"] == pytest.approx(0.8)
    (talks / "verb-groups.txt").write_text("# ours\nundo, frobnicate\n")
    assert evaluate_folder(talks, draft).scores["step_f1"] == 1.0


@pytest.mark.parametrize(
    ("line", "complaint"),
    [
        ("{oops", "no JSON object"),
        ('{"text": "x"}', "role: Field required"),
        ("[1]", "the line: "),
    ],
)
def test_bad_gold_names_file_and_line(talks: Path, line: str, complaint: str) -> None:
    file = talks / "grinder.gold.jsonl"
    rows = file.read_text().splitlines()
    rows[2] = line
    file.write_text("\n".join(rows))
    with pytest.raises(GoldError, match=complaint) as caught:
        evaluate_folder(talks, drafts_from_gold(talks))
    assert (caught.value.file, caught.value.line) == (str(file), 3)


@pytest.mark.parametrize(
    "change", [{"role": "jester"}, {"flags": ["bogus"]}, {"text": ""}, {"steps": [{"objects": []}]}, {"when": "skip"}]
)
def test_bad_values_in_gold_are_refused(talks: Path, change: dict) -> None:
    rows = gold_rows()
    rows[4] |= change
    (talks / "grinder.gold.jsonl").write_text("".join(json.dumps(row) + "\n" for row in rows))
    with pytest.raises(GoldError, match=next(iter(change))) as caught:
        evaluate_folder(talks, drafts_from_gold(talks))
    assert caught.value.line == 5


def test_a_talk_without_transcript_or_with_two_is_refused(talks: Path) -> None:
    (talks / "grinder.srt").write_text("x")
    with pytest.raises(GoldError, match=r"grinder\.srt, grinder\.txt"):
        evaluate_folder(talks, drafts_from_gold(talks))
    (talks / "grinder.srt").unlink()
    (talks / "grinder.txt").unlink()
    for notes in talks.glob("grinder.md"):
        notes.unlink()
    with pytest.raises(GoldError, match="found: none"):
        evaluate_folder(talks, drafts_from_gold(talks))


def test_empty_and_missing_folders_are_refused(tmp_path: Path) -> None:
    with pytest.raises(GoldError, match="no annotated talk"):
        evaluate_folder(tmp_path, drafts_from_gold(tmp_path))
    with pytest.raises(GoldError, match="no such folder"):
        evaluate_folder(tmp_path / "nowhere", drafts_from_gold(tmp_path))


def test_gold_of_another_talk_names_the_talk(talks: Path) -> None:
    draft = gold_draft(talks, "grinder")
    for segment in draft["segments"]:
        segment["text"] = "horses and hay"
    with pytest.raises(GoldError, match=r"grinder\.txt: Only"):
        evaluate_folder(talks, lambda talk: draft)


def test_floors_hold_scores_and_ceilings_hold_burdens(talks: Path, tmp_path: Path) -> None:
    report = evaluate_folder(talks, drafts_from_gold(talks))
    floors = tmp_path / "floors.json"
    floors.write_text('{"step_f1": 1.0, "burden": 3.08}')
    assert check_floors(report, load_floors(floors)) == []
    failed = check_floors(report, {"step_f1": 1.01, "burden": 3.07, "suggestion_first": 0.5})
    assert [sentence.split()[0] for sentence in failed] == ["step_f1", "burden", "suggestion_first"]


@pytest.mark.parametrize("text", ["{", "[]", '{"step_f1": "high"}', '{"stepp_f1": 0.9}', '{"step_f1": true}'])
def test_bad_floors_are_refused(tmp_path: Path, text: str) -> None:
    file = tmp_path / "floors.json"
    file.write_text(text)
    with pytest.raises(GoldError, match="floors.json"):
        load_floors(file)
    with pytest.raises(GoldError, match="read"):
        load_floors(tmp_path / "none.json")


def test_command_prints_scores_errors_and_fails_under_a_floor(
    talks: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def draft(talk: Talk) -> dict:
        made = gold_draft(talks, talk.name)
        made["steps"] = made["steps"][1:]
        return made

    monkeypatch.setattr(evaluation, "_own_draft", draft)
    written, floors = tmp_path / "scores.json", tmp_path / "floors.json"
    floors.write_text('{"step_f1": 1.0, "boundary_f1": 1.0}')
    app = typer.Typer()
    register(app)
    run = CliRunner().invoke(app, [str(talks), "--errors", "--json", str(written), "--floors", str(floors)])
    assert run.exit_code == 1, run.output
    assert "missed_step (2)" in run.output
    assert "I unplugged it already." in run.output
    assert "step_f1 is 0.8889, under its floor of 1." in run.output
    assert json.loads(written.read_text())["scores"]["step_recall"] == 0.8
    floors.write_text('{"boundary_f1": 1.0}')
    assert CliRunner().invoke(app, [str(talks), "--floors", str(floors)]).exit_code == 0
