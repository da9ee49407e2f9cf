"""`benchtalk draft` and `benchtalk explain`, run through the command line's runner."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from extract.cli import make_app

DEMO = Path(__file__).parents[2] / "corpora_demo"


@pytest.fixture
def run():
    app = make_app()
    return lambda *words: CliRunner().invoke(app, [str(word) for word in words])


def test_a_case_holds_the_draft_its_documents_and_lists(run, tmp_path):
    result = run("draft", DEMO / "bike_bottom_bracket.vtt", "-o", tmp_path)
    assert result.exit_code == 0, result.output
    case = tmp_path / "bike_bottom_bracket"
    names = {path.name for path in case.iterdir()}
    assert {"draft.json", "draft.md", "draft.html", "renewals.csv", "torques.csv"} <= names
    draft = json.loads((case / "draft.json").read_text(encoding="utf-8"))
    assert draft["schema"] == "benchtalk.draft/1"
    row = next(line for line in result.output.splitlines() if line.startswith("bike_bottom_bracket"))
    assert row.split()[1] == str(len(draft["steps"]))


def test_one_bad_talk_does_not_stop_the_rest(run, tmp_path):
    bad = tmp_path / "empty.vtt"
    bad.write_text("WEBVTT\n", encoding="utf-8")
    result = run("draft", bad, DEMO / "loader_lift_hose.jsonl", "-o", tmp_path / "cases")
    assert result.exit_code == 2
    assert (tmp_path / "cases" / "loader_lift_hose" / "draft.json").exists()
    assert not (tmp_path / "cases" / "empty").exists()
    assert "empty.vtt" in result.output and "1 of 2 talks drafted." in result.output


def test_several_recordings_make_one_talk(run, tmp_path):
    first, second = tmp_path / "part1.txt", tmp_path / "part2.txt"
    first.write_text("[0:01] Undo the two bolts.\n", encoding="utf-8")
    second.write_text("[0:01] Lift the cover off.\n", encoding="utf-8")
    result = run("draft", first, second, "--join", "-o", tmp_path / "cases")
    assert result.exit_code == 0, result.output
    draft = json.loads((tmp_path / "cases" / "part1" / "draft.json").read_text(encoding="utf-8"))
    assert [step["objects"][0]["text"] for step in draft["steps"]] == ["bolts", "cover"]


def test_a_users_lexicon_is_laid_over_the_shipped_one(run, tmp_path):
    terms = tmp_path / "mine.csv"
    terms.write_text("id,term,us,others,plural,kind,remarks\nflumper,flumper,,,flumpers,part,\n", encoding="utf-8")
    talk = tmp_path / "talk.txt"
    talk.write_text("[0:01] Undo the flumper.\n", encoding="utf-8")
    result = run("draft", talk, "-o", tmp_path / "cases", "--lexicon", terms)
    assert result.exit_code == 0, result.output
    draft = json.loads((tmp_path / "cases" / "talk" / "draft.json").read_text(encoding="utf-8"))
    assert draft["steps"][0]["objects"][0]["component"] == "flumper"


def test_a_mistake_in_a_lexicon_is_told_by_file_and_line(tmp_path):
    terms = tmp_path / "mine.csv"
    terms.write_text("id,term,us,others,plural,kind,remarks\nx,x,,,,nonsense,\n", encoding="utf-8")
    words = ["draft", str(DEMO / "loader_lift_hose.jsonl"), "-o", str(tmp_path), "--lexicon", str(terms)]
    done = subprocess.run(
        [sys.executable, "-c", "from extract.cli import main; main()", *words],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert "mine.csv, line 2" in done.stderr
    assert "Traceback" not in done.stderr


def test_explain_names_words_time_and_rule(run, tmp_path):
    run("draft", DEMO / "bike_bottom_bracket.vtt", "-o", tmp_path)
    case = tmp_path / "bike_bottom_bracket"
    draft = json.loads((case / "draft.json").read_text(encoding="utf-8"))
    step = draft["steps"][2]
    result = run("explain", case, step["id"])
    assert result.exit_code == 0, result.output
    assert step["text"] in result.output
    assert step["because"][0]["rule"] in result.output
    assert "at 0:1" in result.output


def test_every_entry_of_a_draft_can_be_explained(run, tmp_path):
    run("draft", DEMO / "outboard_impeller.jsonl", "-o", tmp_path)
    case = tmp_path / "outboard_impeller"
    draft = json.loads((case / "draft.json").read_text(encoding="utf-8"))
    for kind in ("segments", "steps", "refit", "renewals", "torques", "conditions", "cautions", "tools", "flags"):
        for entry in draft[kind][:3]:
            result = run("explain", case / "draft.json", entry["id"])
            assert result.exit_code == 0, (kind, entry["id"], result.output)


def test_an_unknown_id_is_told_with_the_remedy(run, tmp_path):
    run("draft", DEMO / "loader_lift_hose.jsonl", "-o", tmp_path)
    result = run("explain", tmp_path / "loader_lift_hose", "nothing")
    assert result.exit_code != 0
    assert "nothing" in str(result.exception)
