"""Rules of the house that a reader can break without noticing."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
import typer.main

from extract.cli import make_app

ROOT = Path(__file__).parents[2]


def commands() -> list[tuple[str, object]]:
    app = typer.main.get_command(make_app())
    found = []
    for name, command in app.commands.items():
        found.append((name, command))
        found.extend((f"{name} {sub}", inner) for sub, inner in getattr(command, "commands", {}).items())
    return found


@pytest.mark.parametrize(("name", "command"), commands(), ids=[name for name, _ in commands()])
def test_every_command_has_help_and_stands_in_the_readme(name, command):
    assert command.help and command.help.strip()
    assert f"benchtalk {name}" in (ROOT / "README.md").read_text(encoding="utf-8")


def test_stages_do_not_import_each_other():
    checked = subprocess.run(
        [str(Path(sys.executable).with_name("lint-imports"))], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert checked.returncode == 0, checked.stdout


def test_help_imports_nothing_heavy():
    code = "import sys, extract.cli; extract.cli.make_app(); print(sorted({'spacy', 'numpy', 'starlette'} & set(sys.modules)))"
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert shown.stdout.strip() == "[]"


def test_a_draft_is_made_without_loading_spacy():
    code = "import sys, extract; extract.draft(sys.argv[1]); print('spacy' in sys.modules)"
    talk = ROOT / "corpora_demo" / "bike_bottom_bracket.vtt"
    told = subprocess.run([sys.executable, "-c", code, str(talk)], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "False"


def test_no_module_has_grown_past_five_hundred_lines():
    long = {
        str(path.relative_to(ROOT)): lines
        for room in ("extract", "reports")
        for path in (ROOT / room).rglob("*.py")
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > 500
    }
    assert long == {}
