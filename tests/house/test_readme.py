"""The README is true: its example, its Python block, its job file and its pictures."""

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
TALK = ROOT / "corpora_demo" / "bike_bottom_bracket.vtt"


def block(language: str) -> str:
    return re.search(rf"^```{language}\n(.*?)^```$", README, re.M | re.S).group(1)


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
