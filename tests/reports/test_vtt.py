from __future__ import annotations

import io

import webvtt

from extract.model import Draft
from reports import Options
from reports.vtt import write_captions, write_chapters


def cues(data: bytes) -> list[tuple[str, str, str]]:
    # webvtt-py is the outside reader.
    return [(c.start, c.end, c.text) for c in webvtt.from_buffer(io.StringIO(data.decode()))]


def test_chapters_by_section(draft: Draft, golden) -> None:
    golden("chapters.vtt", write_chapters(draft, Options())["chapters.vtt"])


def test_chapters_by_step_do_not_overlap(draft: Draft) -> None:
    found = cues(write_chapters(draft, Options(chapters="step"))["chapters.vtt"])
    assert found[0] == ("00:00:09.500", "00:00:20.000", "1 Remove the two crank bolts.")
    assert [end for _, end, _ in found][:-1] == [start for start, _, _ in found][1:]


def test_steps_told_in_one_breath_share_a_chapter(draft: Draft) -> None:
    steps = tuple(s.model_copy(update={"start_s": 20.0}) if s.id == "s3" else s for s in draft.steps)
    found = cues(write_chapters(draft.model_copy(update={"steps": steps}), Options(chapters="step"))["chapters.vtt"])
    assert "2 Screw in the extractor. 3 Pull off both cranks." in [text for _, _, text in found]


def test_captions_hold_the_whole_talk(draft: Draft, golden) -> None:
    data = write_captions(draft, Options())["talk.vtt"]
    golden("talk.vtt", data)
    assert [text for _, _, text in cues(data)] == [s.text for s in draft.segments]


def test_the_reviewer_s_words_replace_those_heard(draft: Draft) -> None:
    segments = tuple(
        s.model_copy(update={"corrected": "then the sprocket sits on the boss"}) if s.id == "u13" else s
        for s in draft.segments
    )
    texts = [
        text
        for _, _, text in cues(write_captions(draft.model_copy(update={"segments": segments}), Options())["talk.vtt"])
    ]
    assert "then the sprocket sits on the boss" in texts
    assert not [text for text in texts if "locket" in text]


def test_a_talk_without_times_has_no_cues(draft: Draft) -> None:
    segments = tuple(s.model_copy(update={"start_s": None, "end_s": None}) for s in draft.segments)
    steps = tuple(s.model_copy(update={"start_s": None, "end_s": None}) for s in draft.steps)
    sections = tuple(s.model_copy(update={"start_s": None}) for s in draft.sections)
    timeless = draft.model_copy(update={"segments": segments, "steps": steps, "sections": sections})
    assert cues(write_captions(timeless, Options())["talk.vtt"]) == []
    assert cues(write_chapters(timeless, Options())["chapters.vtt"]) == []
