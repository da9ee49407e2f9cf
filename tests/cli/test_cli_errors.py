"""What goes wrong is one clear line, and stops nothing else."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from extract.cli import EXIT_OWN_FAULT, make_app, own_fault, told
from extract.errors import CaseError

TALK = "[0:01] Undo the two bolts with a 13 mm spanner.\n[0:06] Lift the cover off.\n"


@pytest.fixture
def talk(tmp_path):
    file = tmp_path / "cover.txt"
    file.write_text(TALK, encoding="utf-8")
    return file


def run(*words):
    return CliRunner().invoke(make_app(), [str(word) for word in words])


def shell(*words):
    command = [sys.executable, "-c", "from extract.cli import main; main()", *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_two_talks_of_one_name_do_not_overwrite_each_other(talk, tmp_path):
    other = tmp_path / "elsewhere" / "cover.srt"
    other.parent.mkdir()
    other.write_text("1\n00:00:01,000 --> 00:00:03,000\nUndo the clamp.\n", encoding="utf-8")
    result = run("draft", talk, other, "-o", tmp_path / "cases")
    assert result.exit_code == 2
    assert "cover.srt: would overwrite the case 'cover'" in result.output
    assert (tmp_path / "cases" / "cover" / "transcript.txt").read_text(encoding="utf-8") == TALK
    assert "clamp" not in (tmp_path / "cases" / "cover" / "draft.md").read_text(encoding="utf-8")


def test_an_output_that_is_a_file_is_one_line(talk, tmp_path):
    taken = tmp_path / "taken"
    taken.write_text("", encoding="utf-8")
    done = shell("draft", talk, "-o", taken)
    assert done.returncode == 2
    assert len(done.stderr.splitlines()) == 1 and str(taken) in done.stderr


def test_a_fault_of_the_program_stops_no_other_talk(talk, tmp_path, monkeypatch):
    from extract.review import case

    drafted = case.update

    def update(files, *rest, **named):
        if files[0] == talk:
            raise KeyError("nothing of this name")
        return drafted(files, *rest, **named)

    monkeypatch.setattr(case, "update", update)
    second = tmp_path / "second.txt"
    second.write_text(TALK, encoding="utf-8")
    result = run("draft", talk, second, "-o", tmp_path / "cases")
    assert result.exit_code == EXIT_OWN_FAULT
    assert "cover.txt: a fault of benchtalk itself" in result.output and "KeyError" in result.output
    assert (tmp_path / "cases" / "second" / "draft.json").exists()


def test_a_fault_names_its_place_in_one_line():
    try:
        {}["first\nsecond"]
    except KeyError as error:
        line = own_fault(error)
    assert "\n" not in line and f"{Path(__file__).name}, line " in line


def test_an_error_with_line_breaks_stays_one_line():
    assert told(CaseError("is\nbroken.", file="a.json", remedy="Draft\nagain.")) == "a.json: is broken. Draft again."


def test_a_talk_without_steps_says_so(tmp_path):
    empty = tmp_path / "hello.txt"
    empty.write_text("Hi there.\n", encoding="utf-8")
    result = run("draft", empty, "-o", tmp_path / "cases")
    assert result.exit_code == 0
    assert "hello: No step was found." in result.output


@pytest.mark.parametrize(
    ("content", "told_words"),
    [
        ('maschine = "press"\n', "maschine is no key of a job file"),
        ("machine = 3\n", "machine has a value of the wrong kind"),
        ('english = "fr"\n', "english has a value of the wrong kind"),
        ("machine =\n", "is not TOML"),
    ],
)
def test_a_mistake_in_a_job_file_is_told_with_its_key(talk, tmp_path, content, told_words):
    run("draft", talk, "-o", tmp_path)
    job = tmp_path / "job.toml"
    job.write_text(content, encoding="utf-8")
    done = shell("publish", tmp_path / "cover", "--as", "html", "--job", job)
    assert done.returncode == 2
    assert told_words in done.stderr and len(done.stderr.splitlines()) == 1
    assert not (tmp_path / "cover" / "published").exists()


def test_steps_are_found_by_the_number_that_the_documents_show(talk, tmp_path):
    run("draft", talk, "-o", tmp_path)
    assert "step 2 (step-" in run("explain", tmp_path / "cover", "2").output
    assert "Fit the cover." in run("explain", tmp_path / "cover", "R1").output
    settled = run("settle", tmp_path / "cover", "R1", "--text", "Refit the cover.", "--by", "Kim")
    assert settled.exit_code == 0, settled.output
    assert "Refit the cover." in (tmp_path / "cover" / "draft.md").read_text(encoding="utf-8")


def test_explaining_a_step_names_what_hangs_on_it(tmp_path):
    talk = tmp_path / "cover.txt"
    talk.write_text(TALK + "[0:12] The bolts go up to twenty newton metres.\n", encoding="utf-8")
    run("draft", talk, "-o", tmp_path)
    told_of = run("explain", tmp_path / "cover", "1").output
    assert "torque torque-" in told_of and "tool tool-" in told_of
    assert "torque torque-" in run("explain", tmp_path / "cover", "R2").output


def test_every_decision_is_listed_with_the_id_that_takes_it_back(talk, tmp_path):
    run("draft", talk, "-o", tmp_path)
    case = tmp_path / "cover"
    decision = run("settle", case, "2", "--text", "Take the cover off.", "--by", "Kim").output.split()[0]
    assert decision in run("points", case, "--all").output
    assert decision not in run("points", case).output
    assert run("settle", case, decision, "--undo", "--by", "Kim").exit_code == 0
    assert "Take the cover off." not in (case / "draft.md").read_text(encoding="utf-8")


def test_the_list_of_commands_cuts_no_sentence():
    assert "..." not in run("--help").output.split("Commands:")[1]
