"""What holds for every talk, whatever is said: no word lost, every entry explained, the same bytes again."""

from __future__ import annotations

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import extract
from extract.model import Cue, Talk, Word

#: Words of the bench, of grammar, and nonsense: put together at random they make every kind of broken talk.
WORDS = (
    "undo the two bolts and lift cover off it them that one no sorry three if yours has a turbo skip bit about pump torque "
    "to ten newton metres when goes back new gasket replace always fit renew both all don't never mind your fingers "
    "now then so right next first before after by with spanner half turn litres of oil drain plug out of behind at rear "
    "i've already we're going you want is are was were taken tightened loosened reverse order back together camera "
    "thanks for watching zzyzx 25Nm M8 10mm 3/8-24 0.3 ' -- … ; , . ? ! (note) [Music] \u200f <b> & é"
).split()


def talk_of(words: list[str], times: bool) -> Talk:
    spoken = tuple(
        Word(word, index * 0.4 if times else None, index * 0.4 + 0.3 if times else None, None, False, 0)
        for index, word in enumerate(words)
    )
    cue = Cue(spoken[0].start_s, spoken[-1].end_s, " ".join(words), None, None, 1, 0)
    return Talk(
        name="random", title=None, format="plain", sha256="0" * 64, duration_s=None, language=None,
        times="given" if times else "none", cues=(cue,), words=spoken,
    )  # fmt: skip


def references(draft: dict) -> set[str]:
    """Every id that one entry uses to point at another."""
    used: set[str] = set()
    for kind in ("steps", "refit", "renewals", "torques", "conditions", "cautions", "tools", "flags", "sections"):
        for entry in draft[kind]:
            for key in ("segments", "steps", "refit", "undoes", "applies_when", "renewals", "torques", "flags"):
                value = entry.get(key)
                used.update(value if isinstance(value, (list, tuple)) else [value] if value else [])
            for key in ("step", "section", "resumes_at", "same_as"):
                if entry.get(key):
                    used.add(entry[key])
    used.update(entry["step"] for entry in draft["not_undone"])
    return used


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(words=st.lists(st.sampled_from(WORDS), min_size=1, max_size=90), times=st.booleans())
def test_any_words_make_a_sound_draft(words, times):
    draft = extract.draft(talk_of(words, times)).model_dump(mode="json")
    assert " ".join(segment["text"] for segment in draft["segments"]).split() == words
    segments = {segment["id"]: segment for segment in draft["segments"]}
    known = set(segments)
    for kind in ("steps", "refit", "renewals", "torques", "conditions", "cautions", "tools"):
        for entry in draft[kind]:
            assert entry["id"] not in known
            known.add(entry["id"])
            assert entry["because"], (kind, entry)
            for because in entry["because"]:
                if because["segment"] is not None and because["span"] is not None:
                    first, last = because["span"]
                    assert 0 <= first <= last <= len(segments[because["segment"]]["text"])
    known.update(entry["id"] for kind in ("flags", "sections") for entry in draft[kind])
    assert references(draft) <= known
    for flag in draft["flags"]:
        for span in flag["spans"]:
            assert 0 <= span["start"] <= span["end"] <= len(segments[span["segment"]]["text"])


@pytest.mark.parametrize("talk", ["bike_bottom_bracket.vtt", "truck_brake_chamber.ctm", "washer_tub_bearing.md"])
def test_the_same_talk_gives_the_same_bytes(talk):
    first = extract.draft(f"corpora_demo/{talk}").model_dump(mode="json")
    second = extract.draft(f"corpora_demo/{talk}").model_dump(mode="json")
    assert json.dumps(first) == json.dumps(second)


def test_corrected_words_run_through_the_whole_pipeline():
    from extract import pipeline

    talk = talk_of("undo the banned bolt . lift the cover off .".split(), False)
    before = pipeline.draft(talk)
    first = before.segments[0].id
    after = pipeline.draft(talk, corrections={first: "undo the banjo bolt ."})
    assert [step.objects[0].text for step in after.steps] == ["banjo bolt", "cover"]
    assert after.segments[0].text == "undo the banned bolt ."
    assert after.segments[0].corrected == "undo the banjo bolt ."


def test_a_role_set_by_the_reviewer_stands():
    from extract import pipeline

    talk = talk_of("undo the banjo bolt . lift the cover off .".split(), False)
    draft = pipeline.draft(talk)
    after = pipeline.draft(talk, roles={draft.segments[0].id: "unclear"})
    assert after.segments[0].role == "unclear"
    assert [step.objects[0].text for step in after.steps] == ["cover"]


def test_an_echo_of_the_recogniser_has_one_point_not_two(tmp_path):
    lines = ["Take the guard off.", *["Slide the drum up the long spindle."] * 2, "Wipe the spindle with a rag."]
    talk = tmp_path / "echo.jsonl"
    cues = [
        {"start": 3.0 * at, "end": 3.0 * at + 2.9, "text": line, "confidence": 0.2 if at == 2 else 0.95}
        for at, line in enumerate(lines)
    ]
    talk.write_text("".join(f"{json.dumps(cue)}\n" for cue in cues), encoding="utf-8")
    draft = extract.draft(talk)
    assert [flag.code for flag in draft.flags] == ["repeated"]
    assert sum("drum" in step.text for step in draft.steps) == 1
