"""The page as a browser's requests see it: who is let in, what is reachable, what a decision does."""

from __future__ import annotations

import re

import pytest
from sample_case import ENGINE, TALK, make_case
from starlette.testclient import TestClient

from extract.errors import CaseError
from extract.review import answers
from extract.review.case import Case
from extract.review.serve import film_in, serve
from extract.review.server import make_app

HOST = "127.0.0.1:4711"
HOME = f"http://{HOST}"
HOSTILE = "<script>alert(1)</script><img src=x onerror=alert(2)>"


class Browser:
    """A client that opened the page, on a case of the sample talk."""

    def __init__(self, folder, text=TALK, film=None):
        self.case = make_case(folder, text)
        self.app, self.secret = make_app(self.case, reviewer="Ada", hosts=frozenset({HOST}), film=film)
        self.client = TestClient(self.app, base_url=HOME)

    def open(self):
        self.client.get("/open", params={"key": self.secret})
        return self

    def post(self, path="/decide", **fields):
        return self.client.post(path, data=fields, headers={"origin": HOME}, follow_redirects=False)

    def flag(self, code):
        return next(f for f in self.case.recompute().flags if f.code == code and f.state == "open")


@pytest.fixture
def browser(tmp_path):
    return Browser(tmp_path).open()


# --------------------------------------------------------------------------- who is let in


def test_secret_opens_the_page_with_a_strict_cookie(tmp_path):
    browser = Browser(tmp_path)
    answer = browser.client.get("/open", params={"key": browser.secret}, follow_redirects=False)
    cookie = answer.headers["set-cookie"].lower()
    assert answer.status_code == 303 and answer.headers["location"] == "/"
    assert "httponly" in cookie and "samesite=strict" in cookie and browser.secret.lower() not in cookie
    assert browser.client.get("/").status_code == 200


@pytest.mark.parametrize("path", ["/", "/points", "/talk", "/state", "/film", "/words.vtt", "/static/desk.js", "/x"])
def test_nothing_is_reachable_without_the_cookie(tmp_path, path):
    assert Browser(tmp_path).client.get(path).status_code == 403


@pytest.mark.parametrize("key", ["", "x", "0" * 43])
def test_wrong_secret_is_refused(tmp_path, key):
    answer = Browser(tmp_path).client.get("/open", params={"key": key}, follow_redirects=False)
    assert answer.status_code == 403 and "set-cookie" not in answer.headers


@pytest.mark.parametrize("host", ["evil.example", "evil.example:4711", "127.0.0.1", "127.0.0.1:80", ""])
def test_other_host_names_are_refused(browser, host):
    assert browser.client.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", "https://127.0.0.1:4711", "http://127.0.0.1:80", None]
)
def test_posts_from_other_origins_are_refused(browser, origin):
    headers = {} if origin is None else {"origin": origin}
    point = browser.flag("garbled")
    data = {"action": "accept", "thing": point.id, "reason": "x"}
    assert browser.client.post("/decide", data=data, headers=headers).status_code == 403
    assert browser.case.log.read().version == 0


def test_requests_that_the_browser_marks_as_cross_site_are_refused(browser):
    assert browser.client.get("/", headers={"sec-fetch-site": "cross-site"}).status_code == 403


def test_bodies_are_bounded(browser):
    assert browser.post(action="words", words="x" * 70_000).status_code == 413

    def endless():
        while True:
            yield b"a" * 1024

    answer = browser.client.post("/decide", content=endless(), headers={"origin": HOME})
    assert answer.status_code == 413


def test_page_runs_only_its_own_script(browser):
    for path in ("/", "/points", "/talk", "/?open=document", "/x", "/static/desk.js"):
        policy = browser.client.get(path).headers["content-security-policy"]
        assert "default-src 'none'" in policy and "unsafe" not in policy and "data:" not in policy
    page = browser.client.get("/").text
    assert not re.search(r"<style|\son\w+=|\sstyle=|javascript:", page)
    assert re.findall(r"<script[^>]*>", page) == ['<script src="/static/desk.js" defer>']


@pytest.mark.parametrize(
    "path",
    [
        "/static/../server.py",
        "/static/%2e%2e/server.py",
        "/static/..%2fserver.py",
        "/static/desk.css/../../case.py",
        "/film/../decisions.jsonl",
        "/decisions.jsonl",
        "/transcript.talk",
        "//etc/passwd",
    ],
)
def test_no_other_file_is_reachable(browser, path):
    assert browser.client.get(path).status_code in (404, 405)


# --------------------------------------------------------------------------- film


def test_film_is_served_in_ranges(tmp_path):
    film = tmp_path / "demo.mp4"
    film.write_bytes(bytes(range(256)) * 40)
    browser = Browser(tmp_path, film=film).open()
    part = browser.client.get("/film", headers={"range": "bytes=256-259"})
    assert (part.status_code, part.content) == (206, b"\x00\x01\x02\x03")
    assert part.headers["content-range"] == "bytes 256-259/10240"
    assert browser.client.get("/film", headers={"range": "bytes=99999-"}).status_code == 416


def test_page_works_without_film(browser):
    assert browser.client.get("/film").status_code == 404
    page = browser.client.get(f"/?open={browser.flag('garbled').id}").text
    assert "<video" not in page and "Play the" not in page


def test_link_in_the_case_folder_is_not_taken_for_the_film(tmp_path):
    (tmp_path / "secret.mp4").write_bytes(b"x")
    (tmp_path / "film.mp4").symlink_to(tmp_path / "secret.mp4")
    assert film_in(tmp_path) is None


@pytest.mark.parametrize("name", ["transcript.talk", "decisions.jsonl"])
def test_links_in_the_case_folder_are_not_followed(tmp_path, name):
    case = make_case(tmp_path)
    secret = tmp_path / "secret"
    secret.write_text("Shut the inlet valve.\n")
    (case.folder / name).unlink(missing_ok=True)
    (case.folder / name).symlink_to(secret)
    opened = Case.open(case.folder, ENGINE)
    with pytest.raises(CaseError):
        opened.decide(answers.edit(case.recompute(), "1", "Isolate the pump set.", "Ada"))
    assert secret.read_text() == "Shut the inlet valve.\n"


def test_page_answers_only_on_one_address(tmp_path):
    with pytest.raises(CaseError, match="names no single address"):
        serve(make_case(tmp_path), reviewer="Ada", host="0.0.0.0", ready=print)


def test_talk_is_a_track_of_the_film_and_its_words_cannot_break_it(tmp_path):
    text = "Shut the inlet valve.\n00:01.000 --> 00:02.000 <b>&amp;\nPull out the shaft seal.\n"
    track = Browser(tmp_path, text).open().client.get("/words.vtt").text
    assert track.startswith("WEBVTT\n\n00:00:00.000 --> 00:00:03.500\nShut the inlet valve.\n")
    assert "00:01.000 --&gt; 00:02.000 &lt;b&gt;&amp;amp;" in track


# --------------------------------------------------------------------------- decisions


def test_decision_is_kept_and_the_page_shows_it_in_the_document(browser):
    point = browser.flag("misheard_term")
    answer = browser.post(action="take", thing=point.id, number="1", version="0", open=point.id)
    assert answer.status_code == 303
    page = browser.client.get(answer.headers["location"]).text
    assert "Remove the calliper piston." in page and "Read before: <s>Remove the calliper pistol.</s>" in page
    assert re.search(r'class="row changed fresh', page)
    # A browser that is opened anew finds it too.
    assert "calliper piston" in browser.client.get("/").text
    assert Case.open(browser.case.folder, ENGINE).log.read().version == 1


def test_decision_on_an_old_page_clashes_and_can_be_put_in_place(browser):
    point = browser.flag("misheard_term")
    browser.case.decide(answers.take(browser.case.recompute(), point.id, 1, "Ben"))
    answer = browser.post(action="take", thing=point.id, number="2", version="0", open=point.id)
    assert answer.status_code == 409
    assert "Ben: The words are: “Take off the calliper piston.”" in answer.text
    assert browser.case.log.read().version == 1
    form = answer.text.split('class="clash"')[1].split("</form>")[0]
    fields = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
    assert browser.post(**fields).status_code == 303
    corrected = [s.corrected for s in browser.case.recompute().segments if s.corrected]
    assert corrected == ["Take off the calliper pin."]
    assert len(browser.case.log.read().records) == 3


def test_unfit_answer_is_refused_in_words(browser):
    answer = browser.post(action="quantity", thing=browser.flag("vague_quantity").id, quantity="lots", source="me")
    assert answer.status_code == 422 and "“lots” is not a count." in answer.text


@pytest.mark.parametrize("fields", [{}, {"action": "?"}, {"action": "take", "thing": "x", "number": "9" * 400}])
def test_nonsense_is_refused_in_words(browser, fields):
    answer = browser.post(**fields)
    assert answer.status_code == 422 and "Traceback" not in answer.text


def test_undo_takes_the_reviewers_own_last_decision_back(browser):
    point = browser.flag("garbled")
    browser.post(action="accept", thing=point.id, reason="Aside.")
    page = browser.client.get("/").text
    decision = re.search(r'name="decision" value="(d-\w+)"', page)[1]
    browser.post(action="undo", decision=decision)
    assert browser.flag("garbled").id == point.id


def test_name_of_the_reviewer_is_kept_for_the_browser(browser):
    browser.post("/name", name="Çelik Öz")
    browser.post(action="accept", thing=browser.flag("garbled").id, reason="Aside.")
    assert browser.case.log.read().records[0].by == "Çelik Öz"


def test_sign_off_is_refused_with_words_and_granted(browser):
    assert browser.post("/sign", by="Ada").status_code == 422
    for point in [f for f in browser.case.recompute().flags if f.severity == "stop"]:
        browser.post(action="accept", thing=point.id, reason="Seen.")
    assert browser.post("/sign", by="Ada").status_code == 303
    page = browser.client.get("/").text
    assert (
        "Reviewed and signed by Ada, " in page and "Reviewed and signed by Ada" in page and "not reviewed" not in page
    )
    browser.post(action="edit", thing=browser.case.recompute().steps[0].id, text="Isolate the pump set.")
    page = browser.client.get("/").text
    assert "It was signed by Ada, and has changed since." in page and "Changed after sign-off" in page


def test_points_are_filtered(browser):
    browser.post(action="accept", thing=browser.flag("garbled").id, reason="Aside.")
    shown = browser.client.get("/points", params={"severity": "stop"}).text
    assert "Up to where?" in shown and 'class="entry"><a href="/?open=flag' in shown
    assert "What was said?</a>" not in shown
    assert "What was said?</a>" in browser.client.get("/points", params={"state": "settled"}).text
    assert "How many?</a>" not in browser.client.get("/points", params={"code": "open_scope"}).text


def test_talk_is_searched(browser):
    page = browser.client.get("/talk", params={"find": "TAKE that"}).text
    assert "2 places with" in page and page.count(" hit") == 2


@pytest.mark.parametrize("view", ["/", "/points?state=all", "/talk?find=<script>alert(1)</script>"])
def test_script_in_talk_names_and_answers_stays_text(tmp_path, view):
    text = f"Shut the {HOSTILE}.\nTake off the calliper pistol {HOSTILE}.\nUndo the usual {HOSTILE} bolts.\n"
    browser = Browser(tmp_path, text).open()
    browser.post("/name", name=HOSTILE)
    browser.post(action="accept", thing=browser.flag("vague_quantity").id, reason=HOSTILE)
    browser.post(action="document", thing="document", field="machine", value=HOSTILE)
    browser.post(action="edit", thing=browser.case.recompute().steps[0].id, text=HOSTILE)
    for path in (view, *(f"/?open={f.id}" for f in browser.case.recompute().flags)):
        page = browser.client.get(path).text
        assert "<script>alert" not in page and "<img src=x" not in page
    assert "alert(1)" in browser.client.get("/").text


def test_every_thing_of_the_draft_can_be_opened(browser):
    draft = browser.case.recompute()
    things = [entry.id for entry in (*draft.steps, *draft.refit, *draft.flags, *draft.renewals, *draft.torques)]
    for thing in [*things, "document"]:
        assert f'data-id="{thing}"' in browser.client.get("/", params={"open": thing}).text, thing
    for segment in draft.segments:
        assert f'data-id="{segment.id}"' in browser.client.get("/talk", params={"open": segment.id}).text


def test_step_taken_out_is_marked_where_it_stood(browser):
    """The first of two equal steps is reworded after the second was taken out."""
    draft = browser.case.recompute()
    second = [s for s in draft.steps if s.text == "Remove that."][1]
    browser.post(action="drop", thing=second.id, reason="Shown twice.")
    browser.post(action="words", thing=browser.flag("ambiguous_reference").id, words="Take the float arm off.")
    page = browser.client.get("/").text
    rows = page.split('<div class="row')
    row = next(part for part in rows if "Step taken out: Shown twice." in part)
    assert "Remove end cover." in row


def test_step_added_for_what_was_left_out_settles_the_point(tmp_path):
    browser = Browser(tmp_path, "Shut the inlet valve.\nGive that a wiggle.\n").open()
    point, step = browser.flag("unread"), browser.case.recompute().steps[0]
    assert "The step that is missing here" in browser.client.get("/", params={"open": point.id}).text
    browser.post(action="add", thing=step.id, point=point.id, text="Loosen the union.", put_back="Tighten the union.")
    draft = browser.case.recompute()
    assert [s.text for s in draft.steps] == ["Close the inlet valve.", "Loosen the union."]
    assert [s.text for s in draft.refit] == ["Tighten the union.", "Open the inlet valve."]
    assert [f.state for f in draft.flags] == ["settled"]


def test_fault_of_a_stage_is_told_and_keeps_nothing(browser, monkeypatch):
    def fail(*_):
        raise RuntimeError("stage")

    point = browser.flag("misheard_term")
    monkeypatch.setattr(browser.case, "_make", fail)
    browser.client = TestClient(browser.app, base_url=HOME, raise_server_exceptions=False)
    browser.open()
    answer = browser.post(action="take", thing=point.id, number="1")
    assert answer.status_code == 500 and "nothing was kept" in answer.text and "Traceback" not in answer.text
    assert browser.case.log.read().version == 0


def test_torn_line_of_the_log_is_shown(browser):
    browser.post(action="accept", thing=browser.flag("garbled").id, reason="Aside.")
    with open(browser.case.folder / "decisions.jsonl", "ab") as log:
        log.write(b'{"id": "d-')
    assert "Line 2 of decisions.jsonl is broken off" in browser.client.get("/").text


def test_heading_is_changed_on_the_page(browser):
    assert "Change the heading: Taking the pump out" in browser.client.get("/").text
    assert 'id="head-sec-1"' in browser.client.get("/", params={"open": "sec-1"}).text
    browser.post(action="edit", thing="sec-1", text="Pump removal")
    assert "Pump removal" in browser.client.get("/").text


def test_garbled_words_are_asked_for_in_an_empty_field_between_their_neighbours(browser):
    point = browser.flag("garbled")
    page = browser.client.get("/", params={"open": point.id}).text
    assert re.search(r'id="fill-[^>]*></textarea>', page) and "What was said here" in page
    browser.post(action="fill", thing=point.id, words="Clip the hose")
    assert any(s.corrected and "Clip the hose" in s.corrected for s in browser.case.recompute().segments)


def test_weights_have_the_words_of_the_documents(browser):
    page = browser.client.get("/").text
    assert "settle before sign-off" in page and "Settle before sign-off</span>" in page
