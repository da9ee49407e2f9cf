"""From the transcript to the signed procedure with the program's own commands, by keyboard alone."""

from __future__ import annotations

import re
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pytest

from extract.review.case import Case

pytestmark = pytest.mark.programs

TALKS = ("conveyor_gearbox.vtt", "outboard_impeller.jsonl", "boom_cylinder_reseal.txt", "truck_brake_chamber.ctm")


def benchtalk(*arguments: str) -> list[str]:
    return [sys.executable, "-c", "from extract.cli import main; main()", *arguments]


@pytest.mark.parametrize("name", TALKS)
def test_demo_talk_is_settled_and_signed_by_keyboard(tmp_path, tab, name):
    talk = Path(str(files("corpora_demo") / name))
    subprocess.run(benchtalk("draft", str(talk), "-o", str(tmp_path)), check=True, capture_output=True)
    folder = tmp_path / talk.stem
    total = sum(flag.state == "open" for flag in Case.open(folder).recompute().flags)
    command = benchtalk("review", str(folder), "--no-browser", "--by", "Ada")
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=None) as process:
        try:
            address = re.search(r"http://\S+", process.stdout.readline())[0]
            page = tab(address)
            pressed = 0
            for _ in range(3 * total):
                if page.locator("#left").inner_text() == "No point left":
                    break
                page.keyboard.press(".")
                page.wait_for_selector("body:not([aria-busy])")
                strip = page.locator("#strip")
                assert strip.locator(".said").count() or strip.locator("text=Nothing was said").count()
                if strip.locator(".take").count():
                    page.keyboard.press("1")
                    pressed += 2
                else:
                    page.keyboard.press("f")
                    page.keyboard.type("seen in the film")
                    page.keyboard.press("Enter")
                    pressed += 19
                page.wait_for_selector("#strip .decided")
            assert page.locator("#left").inner_text() == "No point left"
            print(f"{name}: {total} points, {pressed} keys")
            page.keyboard.press("s")
            page.wait_for_selector("body:not([aria-busy])")
            page.keyboard.press("Enter")
            page.wait_for_selector("text=Signed by Ada")
        finally:
            process.terminate()
    draft = Case.open(folder).recompute()
    assert draft.signed.by == "Ada" and not [flag for flag in draft.flags if flag.state == "open"]
