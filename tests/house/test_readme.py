"""README and DEVELOPERS are true: examples, Python blocks, job file, pictures, paths."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import extract

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
TALK = ROOT / "corpora_demo" / "bike_bottom_bracket.vtt"


def block(language: str, page: str = README) -> str:
    return re.search(rf"^```{language}\n(.*?)^```$", page, re.M | re.S).group(1)


def indented(start: str) -> str:
    """The block of DEVELOPERS.md, set in by four blanks, that starts with `start`."""
    found = re.search(rf"^    {re.escape(start)}.*?(?=^\S)", DEVELOPERS, re.M | re.S).group(0)
    return "".join(f"{line[4:]}\n" for line in found.splitlines())


def quoted(heading: str) -> list[str]:
    """The lines of the quotation behind the line that starts with `heading`."""
    behind = README[README.index(heading) :].splitlines()[1:]
    while not behind[0].startswith(">"):
        behind.pop(0)
    lines = []
    for line in behind:
        if not line.startswith(">"):
            break
        lines.append(line.removeprefix(">").strip())
    return [line for line in lines if line]


@pytest.fixture(scope="module")
def draft():
    return extract.draft(TALK)


def test_the_python_block_runs_and_prints_the_steps(draft):
    done = subprocess.run(
        [sys.executable, "-c", block("python")], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines() == [f"{step.number} {step.text}" for step in draft.steps]


def test_what_the_example_says_goes_in_is_in_the_demo_talk(draft):
    said = {f"[{int(s.start_s) // 60}:{int(s.start_s) % 60:02}] {s.text}" for s in draft.segments}
    lines = quoted("What goes in")
    assert len(lines) == 2 and set(lines) <= said


def test_what_the_example_says_comes_out_comes_out(draft):
    made = extract.publish(draft, ["markdown"], edition="review")["procedure.md"].decode().splitlines()
    lines = quoted("What comes out")
    assert len(lines) >= 5
    assert [line for line in lines if line not in made] == []


def test_the_job_file_is_one_that_publish_takes(tmp_path):
    from extract.cli.publish import read_job

    job = tmp_path / "job.toml"
    job.write_text(block("toml"), encoding="utf-8")
    assert read_job(job).model_dump(exclude_none=True) == tomllib.loads(block("toml"))


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md"])
def test_every_picture_link_and_path_leads_somewhere(page):
    text = (ROOT / page).read_text(encoding="utf-8")
    targets = re.findall(r"\]\((?!https?:)([^)#]+)\)", text)
    targets += re.findall(
        r"`((?:extract|reports|lexicons|tests|corpora_demo|language|findings|procedure)/[\w./]*)`", text
    )
    missing = [name for name in targets if not (ROOT / name).exists() and not (ROOT / "extract" / name).exists()]
    assert targets and missing == []


def test_every_extra_of_the_package_is_named():
    extras = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["optional-dependencies"]
    assert all(f"'.[{name}]'" in README for name in extras)


def test_the_parse_that_developers_are_told_of_is_printed():
    code = block("python", DEVELOPERS)
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "('undo', 'VERB')" in done.stdout


def test_the_example_of_a_term_is_one_that_the_lexicon_takes(tmp_path):
    from extract.lexicon import load

    table = tmp_path / "terms.csv"
    table.write_text(indented("id,term"), encoding="utf-8")
    assert [term.kind for term in load(table).terms if term.source == str(table)] == ["fastener"]


def test_the_example_of_a_rule_hits_and_misses_what_it_says():
    from extract.rules import parse_rules

    (rule,) = parse_rules(indented("[[rule]]"), "DEVELOPERS.md")
    assert all(re.search(rule.pattern, sentence.lower()) for sentence in rule.hits)
    assert not any(re.search(rule.pattern, sentence.lower()) for sentence in rule.misses)
