from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from extract.cli import make_app
from extract.errors import BenchtalkError, MissingExtraError
from extract.model import Draft, SignOff
from extract.review.signoff import content_hash
from reports.draft_json import dumps, schema


@pytest.fixture
def case(draft: Draft, tmp_path: Path) -> Path:
    folder = tmp_path / "bottom_bracket"
    folder.mkdir()
    (folder / "draft.json").write_bytes(dumps(draft))
    return folder


def run(*arguments: object) -> Result:
    return CliRunner().invoke(make_app(), [str(argument) for argument in arguments])


def error(*arguments: object) -> str:
    result = run(*arguments)
    assert isinstance(result.exception, BenchtalkError), result.output
    return str(result.exception)


def test_documents_land_in_the_case(case: Path) -> None:
    result = run("publish", case, "--as", "html, csv,dita")
    assert result.exit_code == 0
    written = {str(path.relative_to(case)) for path in (case / "published").rglob("*") if path.is_file()}
    assert {"published/procedure.html", "published/renewals.csv", "published/dita/removal.dita"} <= written
    assert sorted(result.output.split()) == sorted(str(case / name) for name in written)


def test_the_draft_json_stands_for_its_case(case: Path) -> None:
    assert run("publish", case / "draft.json", "--as", "markdown").exit_code == 0
    assert (case / "published" / "procedure.md").is_file()


def test_a_folder_of_one_s_own(case: Path, tmp_path: Path) -> None:
    run("publish", case, "--as", "markdown", "-o", tmp_path / "out")
    assert (tmp_path / "out" / "procedure.md").is_file()


def test_an_edition_has_its_own_folder(case: Path) -> None:
    run("publish", case, "--as", "markdown", "--only", "shell=threaded")
    text = (case / "published-shell-threaded" / "procedure.md").read_text()
    assert "Edition for shell: threaded" in text


def test_the_job_file_fills_the_document(case: Path, tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text('machine = "Cargo bicycle"\nrevision = "C"\nenglish = "us"\n')
    run("publish", case, "--as", "html", "--job", job)
    page = (case / "published" / "procedure.html").read_text()
    assert "Cargo bicycle" in page and "<dd>C</dd>" in page
    assert 'lang="en-US"' in page and "40 N·m (29.5 lb-ft)" in page  # 40 / 1.3558179483, NIST SP 811


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("machine = ", "is not TOML"),
        ('colour = "red"', "colour"),
        ("machine = 3", "machine"),
        ('english = "welsh"', "english"),
    ],
)
def test_a_job_file_with_a_mistake(case: Path, tmp_path: Path, content: str, words: str) -> None:
    job = tmp_path / "job.toml"
    job.write_text(content)
    message = error("publish", case, "--as", "html", "--job", job)
    assert "job.toml" in message and words in message
    assert not (case / "published").exists()


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--as", "papyrus"), "Known outputs: html, pdf"),
        (("--as", " , "), "names no output"),
        (("--as", "html", "--only", "shell"), "axis=value"),
        (("--as", "html", "--only", "shell=square"), "threaded, press-fit"),
        (("--as", "chapters", "--chapters", "line"), "section or step"),
        (("--as", "html", "--job", "missing.toml"), "missing.toml"),
        (("--as", "html", "--film", "missing.mp4"), "missing.mp4"),
        (("--as", "html", "--film", "missing.mp4", "--stills", "some"), "none, needed, all"),
    ],
)
def test_what_cannot_be_done_is_said(case: Path, arguments: tuple[str, ...], words: str) -> None:
    assert words in error("publish", case, *arguments)
    assert not (case / "published").exists()


@pytest.mark.parametrize(
    ("content", "words"), [("", "is not a draft"), ("[]", "is not a draft"), ('{"schema": "x"}', "schema")]
)
def test_a_file_that_is_no_draft(tmp_path: Path, content: str, words: str) -> None:
    file = tmp_path / "draft.json"
    file.write_text(content)
    for command in (("publish", file, "--as", "html"), ("lint", file)):
        message = error(*command)
        assert words in message and "draft.json" in message


def test_a_folder_that_is_no_case(tmp_path: Path) -> None:
    assert "benchtalk draft TALK" in error("publish", tmp_path, "--as", "html")


def test_without_outputs_all_are_listed(case: Path) -> None:
    result = run("publish", case)
    assert result.exit_code == 0
    assert "pdf " in result.output and "benchtalk[pdf]" in result.output


@pytest.mark.parametrize(
    ("changed", "words"),
    [(False, "Reviewed and signed by A. Reviewer"), (True, "Changed after sign-off by A. Reviewer")],
)
def test_the_signature_is_checked(case: Path, draft: Draft, changed: bool, words: str) -> None:
    signed = SignOff(by="A. Reviewer", at="2026-01-02T10:00:00Z", hash=content_hash(draft))
    title = "Another title" if changed else draft.title
    (case / "draft.json").write_bytes(dumps(draft.model_copy(update={"signed": signed, "title": title})))
    run("publish", case, "--as", "markdown")
    assert words in (case / "published" / "procedure.md").read_text()


def test_a_missing_package_names_its_extra(case: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import sys

    monkeypatch.setitem(sys.modules, "weasyprint", None)
    monkeypatch.delitem(sys.modules, "reports.pdf", raising=False)
    result = run("publish", case, "--as", "pdf")
    assert isinstance(result.exception, MissingExtraError)
    assert "benchtalk[pdf]" in str(result.exception)


def test_lint_names_step_rule_and_text(case: Path, draft: Draft) -> None:
    worded = draft.steps[0].model_copy(update={"text": "Remove the bolt and lift off the cover."})
    (case / "draft.json").write_bytes(dumps(draft.model_copy(update={"steps": (worded, *draft.steps[1:])})))
    result = run("lint", case, "--rules")
    assert result.exit_code == 1
    assert "step 1: “remove” and “lift” are two instructions. [one-instruction]" in result.output
    assert "ASD-STE100" in result.output
    assert "do not show that a text conforms" in result.output


def test_lint_is_content_with_good_text(case: Path, draft: Draft) -> None:
    worded = draft.model_copy(update={"steps": draft.steps[:2]})
    (case / "draft.json").write_bytes(dumps(worded))
    result = run("lint", case)
    assert "5 of 5 instructions keep to all rules" in result.output
    assert result.exit_code == 0


def test_schema_command(tmp_path: Path) -> None:
    assert json.loads(run("schema").output) == json.loads(schema())
    run("schema", "-o", tmp_path / "s.json")
    assert (tmp_path / "s.json").read_bytes() == schema()


@pytest.mark.parametrize("command", ["publish", "lint", "schema"])
def test_every_command_and_option_has_help(command: str) -> None:
    import typer

    found = typer.main.get_command(make_app()).commands[command]
    assert found.help
    assert [p.name for p in found.params if p.name != "help" and not getattr(p, "help", None)] == []
