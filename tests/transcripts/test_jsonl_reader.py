"""JSON Lines: a cue a line."""

from __future__ import annotations

import json

from extract.transcripts import read


def test_cues_words_speakers_and_confidences(data):
    talk = read(data / "good" / "jsonl_cues_and_words.jsonl")
    assert (talk.title, talk.language) == ("Drum mixer, belt", "en-GB")
    assert talk.cues[0] == (0.5, 2.0, "Undo the clamp.", "Trainer", 0.81, 2, 0)
    assert talk.words[3] == ("Twenty-five", 2.0, 2.8, 0.7, False, 1)
    assert talk.words[6] == ("Lift", 4.1, 4.4, 0.9, False, 2)
    assert [cue.text for cue in talk.cues] == ["Undo the clamp.", "Twenty-five of them.", "Lift it off"]
    assert talk.warnings == ()


def test_wrong_types_are_read_with_warnings(data):
    talk = read(data / "broken" / "jsonl_types_and_cut_off.jsonl")
    assert [cue.text for cue in talk.cues] == ["Undo the clamp.", "Lift it off.", "Set it down.", "Wipe that."]
    assert {warning.line for warning in talk.warnings} == {1, 2, 3, 4, 5, 6, 7}


def test_words_lead_where_text_differs(write):
    cue = {"start": 1, "end": 2, "text": "undo it", "words": [{"word": "undo", "start": 1, "end": 1.5}]}
    talk = read(write("a.jsonl", json.dumps(cue)))
    assert talk.cues[0].text == "undo"
    assert talk.warnings[0].line == 1


def test_times_of_words_never_run_backwards(write):
    words = [{"word": w, "start": s, "end": s + 0.2} for w, s in [("undo", 1.0), ("the", 0.5), ("clamp", 1.6)]]
    talk = read(write("a.jsonl", json.dumps({"start": 1, "end": 2, "words": words})))
    assert [word.start_s for word in talk.words] == [1.0, 1.0, 1.6]
    assert talk.words[1].interpolated
    assert talk.warnings


def test_lone_surrogates_and_deep_nesting_do_no_harm(write):
    lines = ['{"start": 1, "end": 2, "text": "undo \\ud83d it"}', "[" * 100_000, '{"start": 1' + "0" * 5000 + "}"]
    talk = read(write("a.jsonl", "\n".join([lines[0], lines[0], lines[0], *lines[1:]])), format="jsonl")
    assert talk.cues[0].text == "undo it"
    assert {warning.line for warning in talk.warnings} >= {4, 5}
    talk.model_dump_json()
