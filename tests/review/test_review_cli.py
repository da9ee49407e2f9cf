from __future__ import annotations

import json

import pytest
from sample_case import ENGINE, make_case
from typer.testing import CliRunner

from extract.cli import make_app
from extract.cli.publish import load_draft
from extract.errors import CaseError
from extract.review import answers
from extract.review import case as case_module


@pytest.fixture
def run(tmp_path, monkeypatch):
    monkeypatch.setattr(case_module, "shipped_engine", lambda: ENGINE)
    folder = make_case(tmp_path).folder

    def call(command, *arguments):
        result = CliRunner().invoke(make_app(), [command, str(folder), *arguments])
        if isinstance(result.exception, CaseError):
            raise result.exception
        assert result.exit_code == 0, result.output
        return result.output

    return call


def listed(run, *options):
    return json.loads(run("points", "--json", *options))["points"]


def test_points_tell_what_to_choose_from(run):
    out = run("points")
    assert "“calliper pistol” sounds like a part that exists." in out
    assert "1  calliper piston (a part of this assembly)" in out and "step 3, 0:12" in out
    assert out.endswith("Open: 3 to settle before sign-off, 4 to check, 0 for information\n")


def test_points_as_json_are_filtered_by_severity(run):
    assert {point["severity"] for point in listed(run, "--severity", "stop")} == {"stop"}
    with pytest.raises(CaseError, match="not known"):
        run("points", "--severity", "grave")


@pytest.mark.parametrize(
    ("code", "options", "said"),
    [
        ("misheard_term", ["--take", "1"], "The words are: “Take off the calliper piston.”"),
        ("garbled", ["--words", "Clip the hose."], "The words are: “Clip the hose.”"),
        ("garbled", ["--accept", "Aside."], "Fine as it is: Aside."),
        ("garbled", ["--role", "chatter"], "This is chatter, not unclear"),
        ("vague_quantity", ["--quantity", "6", "--source", "film"], "bolts: 6 (film)"),
        (
            "torque_implausible",
            ["--tightening", "16 lbf ft", "--source", "sheet 2"],
            "cover bolts: 21.693 Nm (sheet 2)",
        ),
        ("open_scope", ["--ends-with", "8"], "Ends with “Unclip the float arm.”"),
    ],
)
def test_every_way_of_settling(run, code, options, said):
    point = next(point for point in listed(run) if point["code"] == code)
    assert said in run("settle", point["id"], *options, "--by", "Ada")
    settled = next(entry for entry in listed(run, "--all") if entry["id"] == point["id"])
    assert settled["state"] == "settled" and said in settled["decision"]


def test_decision_is_taken_back_by_its_id(run):
    point = next(point for point in listed(run) if point["code"] == "garbled")
    decision = run("settle", point["id"], "--accept", "Aside.").split()[0]
    run("settle", decision, "--undo")
    assert point["id"] in [entry["id"] for entry in listed(run)]
    with pytest.raises(CaseError, match=f"decision {decision} has been taken back already"):
        run("settle", decision, "--undo")


def test_step_is_written_anew_and_taken_out(run):
    assert "The step reads: “Isolate the pump set.”" in run("settle", "1", "--text", "Isolate the pump set.")
    assert "Step taken out: Shown twice." in run("settle", "r3", "--drop", "Shown twice.")


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ([], "one way of settling is needed"),
        (["--take", "1", "--accept", "x"], "only one way"),
        (["--take", "77"], "has no suggestion 77"),
        (["--role", "boss"], "is not a role"),
        (["--quantity", "6"], "the source of the count is missing"),
        (["--accept", "  "], "the reason is missing"),
    ],
)
def test_unfit_settling_is_refused_in_words(run, options, message):
    point = next(point for point in listed(run) if point["code"] in ("misheard_term",))
    if "--quantity" in options:
        point = next(point for point in listed(run) if point["code"] == "vague_quantity")
    with pytest.raises(CaseError, match=message):
        run("settle", point["id"], *options)


def test_counts_and_refit_texts_are_asked_for_where_they_belong(run):
    assert "inlet valve: 5 (film)" in run("settle", "2", "--quantity", "5", "--source", "film")
    with pytest.raises(CaseError, match="--put-back is for a removal step. Use --text for a refit step"):
        run("settle", "r1", "--put-back", "Fit it.")


def test_title_and_headings_are_corrected(run):
    assert "Title: Feed pump" in run("settle", "title", "--text", "Feed pump")
    assert "The heading reads: “Pump off”" in run("settle", "sec-1", "--text", "Pump off")


def test_unknown_point_is_refused_in_words(run):
    with pytest.raises(CaseError, match="there is no point flag-x"):
        run("settle", "flag-x", "--take", "1")


def test_unreadable_line_is_named_with_the_path_of_its_case(tmp_path, monkeypatch):
    monkeypatch.setattr(case_module, "shipped_engine", lambda: ENGINE)
    folder = make_case(tmp_path).folder
    (folder / "decisions.jsonl").write_text("{}\nseven\n")
    out = CliRunner().invoke(make_app(), ["points", str(folder)]).output
    assert f"{folder / 'decisions.jsonl'}, line 1 is no decision (id: Field required). It has no effect." in out
    assert f"{folder / 'decisions.jsonl'}, line 2 is no decision (not JSON). It has no effect." in out


def test_sign_off_from_the_terminal(run):
    with pytest.raises(CaseError, match="3 points must be settled first"):
        run("sign-off", "--by", "Ada")
    for point in listed(run, "--severity", "stop"):
        run("settle", point["id"], "--accept", "Seen in the film.")
    assert run("sign-off", "--by", "Ada").startswith("Signed by Ada, 20")


def test_documents_catch_up_with_a_decision_that_was_kept_last(tmp_path, monkeypatch):
    """The program was killed after a decision was confirmed and before its documents were written."""
    monkeypatch.setattr(case_module, "shipped_engine", lambda: ENGINE)
    case = make_case(tmp_path)
    case.log.append(answers.edit(case.recompute(), "1", "Isolate the pump set.", "Ada"))
    assert load_draft(case.folder).steps[0].text == "Isolate the pump set."
    assert load_draft(case.folder / "draft.json").steps[0].text == "Isolate the pump set."
