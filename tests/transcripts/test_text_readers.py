"""Text with time marks, and plain text."""

from __future__ import annotations

import pytest

from extract.transcripts import read


def test_marks_at_blocks_and_on_their_own_line(data):
    talk = read(data / "good" / "marked_title_and_breaks.md")
    assert talk.format == "marked"
    assert talk.title == "Drum mixer, belt change"
    assert [(cue.start_s, cue.end_s) for cue in talk.cues] == [(2.0, 11.0), (11.0, 3605.0), (3605.0, 3607.4)]
    assert talk.cues[0].text.endswith("Now the guard is")
    assert talk.times == "interpolated"
    assert all(word.interpolated for word in talk.words)
    assert talk.warnings == ()


def test_words_are_spread_by_letters_over_their_block(write):
    talk = read(write("a.txt", "[0:10] undo the bolts\n[0:26] done\n"))
    assert [(word.text, word.start_s, word.end_s) for word in talk.words[:3]] == [
        ("undo", 10.0, 14.571),
        ("the", 15.714, 19.143),
        ("bolts", 20.286, 26.0),
    ]
    assert talk.words[3].end_s == pytest.approx(26.4)  # one word at 2.5 words a second


def test_a_last_mark_without_words_ends_the_block_before(write):
    talk = read(write("a.txt", "[0:10]\nundo the bolts\n[0:30]\n"))
    assert [(cue.start_s, cue.end_s) for cue in talk.cues] == [(10.0, 30.0)]


def test_square_marks_inside_a_line_are_no_words_and_times_in_speech_are(write):
    talk = read(write("a.txt", "[0:10] undo it [0:12] wait until 2:30 or (2:45)\n"))
    assert [cue.text for cue in talk.cues] == ["undo it", "wait until 2:30 or (2:45)"]


def test_bullets_and_bold_print_belong_to_the_mark(write):
    talk = read(write("a.md", "- [0:10] undo it\n- **[0:12]** lift it\n"))
    assert [(cue.start_s, cue.text) for cue in talk.cues] == [(10.0, "undo it"), (12.0, "lift it")]


@pytest.mark.parametrize("head", ["# Belt change\n\n", "Belt change\n\n", "Title: Belt change\n"])
def test_the_title_is_not_speech(write, head):
    talk = read(write("a.txt", head + "[0:01] undo it\n"))
    assert talk.title == "Belt change"
    assert [word.text for word in talk.words] == ["undo", "it"]


def test_notes_and_marks_out_of_order_are_reported(data):
    talk = read(data / "broken" / "marked_notes_and_order.txt")
    assert [cue.text for cue in talk.cues] == ["then the hose", "undo the clamp", "and the stub"]
    assert {warning.line for warning in talk.warnings} == {1, 2, 4, 5, 6, 7, 8}


def test_plain_text_has_paragraphs_and_no_times(data):
    talk = read(data / "good" / "plain_title_and_paragraphs.md")
    assert (talk.format, talk.times, talk.title) == ("plain", "none", "Drum mixer, belt change")
    assert [cue.text for cue in talk.cues] == ["Slacken the tensioner and slip the belt off.", "Lift the guard away."]
    assert talk.duration_s is None
    assert {word.start_s for word in talk.words} == {None}


def test_control_characters_become_spaces(data):
    talk = read(data / "broken" / "plain_control_characters.txt")
    assert [cue.text for cue in talk.cues] == ["Slacken the tensioner.", "Lift the café guard away."]
    assert [warning.line for warning in talk.warnings] == [1, 3, 5]
