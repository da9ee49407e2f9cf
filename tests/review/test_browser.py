"""The page in a real browser."""

from __future__ import annotations

import os
import re
import time
from pathlib import Path

import pytest
from sample_case import ENGINE, TALK, write_talk

from extract.review import answers
from extract.review.case import Case, update

pytestmark = pytest.mark.programs

HOSTILE = "<script>alert(1)</script><img src=x onerror=alert(2)>"


def node_module(path: str) -> Path:
    """A file of an npm package, from the folder that BENCHTALK_NODE_MODULES names."""
    return Path(os.environ.get("BENCHTALK_NODE_MODULES", "node_modules")) / path


class Keyboard:
    """Presses keys and counts them; waits until the page has taken each in."""

    def __init__(self, page):
        self.page = page
        self.pressed = 0

    def press(self, key: str) -> None:
        self.page.keyboard.press(key)
        self.pressed += 1
        self.page.wait_for_selector("body:not([aria-busy])")

    def write(self, text: str) -> None:
        self.page.keyboard.type(text)
        self.pressed += len(text)


def open_points(case) -> list:
    return [flag for flag in Case.open(case.folder, ENGINE).recompute().flags if flag.state == "open"]


def kept(page) -> None:
    page.wait_for_selector("#strip .decided")


def until(page, expression: str, seconds: float = 10) -> None:
    """Wait for a script expression to hold; asked from outside, since the page itself may not evaluate text."""
    end = time.monotonic() + seconds
    while not page.evaluate(expression):
        assert time.monotonic() < end, f"never came true: {expression}"
        time.sleep(0.05)


def left(page) -> int:
    return sum(int(n) for n in re.findall(r"\d+", page.locator("#left").inner_text()))


def test_all_points_are_settled_by_keyboard_alone(serve, tab):
    case, address, _ = serve()
    page = tab(address)
    keys = Keyboard(page)
    taking: list[int] = []
    total = left(page)
    assert total == len(open_points(case)) == 7
    for done in range(total):
        before = keys.pressed
        keys.press(".")
        strip = page.locator("#strip")
        question = strip.locator("h2").inner_text()
        if strip.locator(".take").count():
            keys.press("1")
            taking.append(keys.pressed - before)
        elif question == "Up to where?":
            keys.press("a")
            keys.press("ArrowDown")
            keys.press("Enter")
        elif question == "What was said?":
            keys.press("w")
            keys.write("Clip the hose under there.")
            keys.press("Enter")
        else:
            keys.press("f")
            keys.write("seen")
            keys.press("Enter")
        kept(page)
        assert left(page) == total - done - 1
    assert page.locator("#left").inner_text() == "No point left"
    assert not open_points(case)
    assert taking and max(taking) <= 3
    keys.press("s")
    keys.press("Enter")
    page.wait_for_selector("text=Signed by Ada")
    assert Case.open(case.folder, ENGINE).recompute().signed.by == "Ada"


def test_keys_pressed_ahead_of_the_page_are_meant_for_the_page_to_come(serve, tab):
    case, address, _ = serve()
    page = tab(address)
    for key in ".1.1":
        page.keyboard.press(key)
    page.wait_for_selector("#strip .decided:has-text('bolts: 6')")
    codes = [flag.code for flag in Case.open(case.folder, ENGINE).recompute().flags if flag.state == "settled"]
    assert sorted(codes) == ["misheard_term", "vague_quantity"]


def test_words_field_has_the_words_in_question_selected(serve, tab):
    _, address, _ = serve()
    page = tab(address)
    keys = Keyboard(page)
    keys.press(".")
    keys.press("w")
    keys.write("brake piston")
    keys.press("Enter")
    kept(page)
    assert "Take off the brake piston." in page.locator(".decided").inner_text()
    assert page.locator(".row.fresh .text").first.inner_text() == "Remove the brake piston."


def test_reload_in_the_middle_keeps_everything(serve, tab):
    _, address, _ = serve()
    page = tab(address)
    keys = Keyboard(page)
    for _ in range(2):
        keys.press(".")
        keys.press("1")
        kept(page)
    page.reload()
    assert left(page) == 5
    assert page.locator("text=Remove the calliper piston.").count()
    page.close()
    assert left(tab(address)) == 5


def test_program_that_was_killed_has_everything_on_its_next_start(serve, tab):
    case, address, process = serve()
    page = tab(address)
    keys = Keyboard(page)
    keys.press(".")
    keys.press("1")
    kept(page)
    process.kill()
    process.wait()
    keys.press(".")
    page.wait_for_selector("text=can't reach its program")
    _, address, _ = serve(case=case)
    assert left(tab(address)) == 6


def test_change_of_a_second_reviewer_appears(serve, tab):
    case, address, _ = serve()
    page = tab(address)
    other = Case.open(case.folder, ENGINE)
    point = next(f for f in other.recompute().flags if f.code == "garbled")
    other.decide(answers.accept(other.recompute(), point.id, "Aside.", "Ben"))
    page.wait_for_selector("text=Something was decided elsewhere", timeout=6000)
    assert left(page) == 6


def test_talk_that_is_drafted_anew_appears(serve, tab, tmp_path):
    case, address, _ = serve()
    page = tab(address)
    update(
        [write_talk(tmp_path, TALK.replace("Shut the inlet valve.", "Shut the outlet valve."))],
        case.folder,
        engine=ENGINE,
    )
    page.wait_for_selector("text=Close the outlet valve.", timeout=6000)


def test_what_is_being_written_survives_the_change_of_another(serve, tab):
    case, address, _ = serve()
    page = tab(address)
    keys = Keyboard(page)
    keys.press(".")
    keys.press("f")
    keys.write("half a rea")
    other = Case.open(case.folder, ENGINE)
    point = next(f for f in other.recompute().flags if f.code == "garbled")
    other.decide(answers.accept(other.recompute(), point.id, "Aside.", "Ben"))
    page.wait_for_selector("text=Something was decided elsewhere", timeout=6000)
    keys.write("son")
    keys.press("Enter")
    kept(page)
    assert "half a reason" in page.locator(".decided").inner_text()


def test_two_tabs_clash_in_the_open(serve, tab):
    case, address, _ = serve()
    one, two = tab(address), tab(address)
    for page in (one, two):
        Keyboard(page).press(".")
    Keyboard(two).press("f")
    Keyboard(two).write("looks right")
    Keyboard(one).press("1")
    kept(one)
    Keyboard(two).press("Enter")
    two.wait_for_selector(".clash")
    assert "calliper piston" in two.locator(".clash").inner_text()
    assert len(case.log.read().records) == 1
    two.locator("text=Put mine in its place").click()
    two.wait_for_selector(".decided:has-text('looks right')")
    assert two.locator(".clash").count() == 0
    assert len(case.log.read().records) == 3


def test_undo_by_key_opens_the_point_again(serve, tab):
    _, address, _ = serve()
    page = tab(address)
    keys = Keyboard(page)
    keys.press(".")
    keys.press("1")
    kept(page)
    keys.press("u")
    page.wait_for_selector("#strip .take")
    assert left(page) == 7


def test_film_plays_from_two_seconds_before_the_words(serve, tab, film):
    _, address, _ = serve(film=film)
    page = tab(address)
    parts = []
    page.on("response", lambda answer: parts.append(answer.status) if answer.url.endswith("/film") else None)
    page.reload()
    keys = Keyboard(page)
    keys.press(".")
    page.wait_for_selector("#strip video")
    until(page, "document.getElementById('film').currentTime > 10.05")
    at = page.evaluate("document.getElementById('film').currentTime")
    assert 10 <= at < 13, "the words begin at 12 s"
    keys.press(" ")
    until(page, "document.getElementById('film').paused")
    stopped = page.evaluate("document.getElementById('film').currentTime")
    keys.press("b")
    back = page.evaluate("document.getElementById('film').currentTime")
    assert stopped - back == pytest.approx(2, abs=0.2)
    # A far place is reached by asking for a part of the file only.
    for _ in range(5):
        keys.press(".")
    until(page, "Math.abs(document.getElementById('film').currentTime - 42.2) < 2.4")
    assert 206 in parts
    cues = page.evaluate("document.getElementById('film').textTracks[0].cues.length")
    assert cues == 15


def test_film_keeps_still_on_opening_where_the_reviewer_wants_it(serve, tab, film):
    _, address, _ = serve(film=film)
    page = tab(address)
    keys = Keyboard(page)
    keys.press("?")
    page.locator("#play-on-open").uncheck()
    page.locator("#desk").focus()
    keys.press(".")
    until(page, "document.getElementById('film').currentTime >= 10")
    assert page.evaluate("document.getElementById('film').paused")


def test_single_keys_can_be_switched_off(serve, tab):
    """WCAG 2.2, success criterion 2.1.4."""
    _, address, _ = serve()
    page = tab(address)
    Keyboard(page).press("?")
    page.locator("#single-keys").uncheck()
    page.locator("#desk").focus()
    Keyboard(page).press(".")
    assert page.locator("#strip").count() == 0


def test_sign_off_is_refused_in_words_while_a_stop_is_open(serve, tab):
    _, address, _ = serve()
    page = tab(address)
    assert "3 points must be settled" in page.locator("#sign-off").inner_text()
    assert page.locator("#sign-off button").count() == 0


def test_steps_are_written_anew_split_and_taken_out_by_keyboard(serve, tab):
    case, address, _ = serve()
    page = tab(address)
    keys = Keyboard(page)
    page.locator("a.no").first.focus()
    keys.press("Enter")
    page.wait_for_selector("#strip.step")
    keys.press("w")
    keys.write("Isolate the pump set.")
    keys.press("Enter")
    page.wait_for_selector("text=The step reads: “Isolate the pump set.”")
    assert Case.open(case.folder, ENGINE).recompute().steps[0].text == "Isolate the pump set."


def test_page_works_without_script(serve, chromium):
    case, address, _ = serve()
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(address)
    page.locator("a.tag").first.click()
    page.locator(".take").first.click()
    assert "Take off the calliper piston." in page.locator(".decided").inner_text()
    assert len(open_points(case)) == 6
    context.close()


def test_script_in_the_talk_does_not_run(serve, tab):
    text = f"Shut the {HOSTILE} valve.\nTake off the calliper pistol {HOSTILE}.\nUndo the usual {HOSTILE} bolts.\n"
    case, address, _ = serve(text)
    page = tab(address)
    keys = Keyboard(page)
    for _ in range(2):
        keys.press(".")
        keys.press("f")
        keys.write(HOSTILE)
        keys.press("Enter")
        kept(page)
    for key in ("l", "k"):
        keys.press(key)
        assert page.locator("img, #desk script").count() == 0
    keys.press("/")
    keys.write(HOSTILE)
    keys.press("Enter")
    page.wait_for_selector("text=places with")
    assert page.locator("img, #desk script").count() == 0


@pytest.mark.parametrize("width", [1280, 1920, 820])
def test_page_is_accessible(serve, tab, film, width):
    """WCAG 2.2 A and AA as far as axe-core can tell; and nothing is cut off at the side."""
    axe = node_module("axe-core/axe.min.js").read_text()
    case, address, _ = serve(film=film)
    page = tab(address, width=width, height=1100)
    draft = case.recompute()
    home = page.url
    other = Case.open(case.folder, ENGINE)
    other.decide(answers.take(draft, draft.flags[0].id, 1, "Ben"))
    opened = [
        draft.flags[0],
        draft.flags[1],
        draft.flags[4],
        draft.flags[5],
        draft.flags[6],
        draft.steps[2],
        draft.torques[0],
    ]
    views = ["", "points?state=all", "talk?find=take", f"talk?open={draft.segments[4].id}", "?open=document"]
    views += [f"?open={entry.id}" for entry in (*opened, draft.renewals[0], draft.refit[1])]
    for view in views:
        page.goto(home + view)
        page.evaluate(axe)
        tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
        result = page.evaluate("tags => axe.run({runOnly: {type: 'tag', values: tags}})", tags)
        found = [(v["id"], v["nodes"][0]["html"][:200], v["nodes"][0]["failureSummary"]) for v in result["violations"]]
        assert not found, (view, found)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), view
