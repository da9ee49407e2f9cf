"""SubRip, which has no formal specification."""

from __future__ import annotations

from extract.transcripts import read


def test_tags_settings_and_both_decimal_marks(data):
    talk = read(data / "good" / "srt_tags_and_decimals.srt")
    assert [(cue.start_s, cue.end_s, cue.text) for cue in talk.cues] == [
        (1.0, 3.5, "Undo the two screws."),
        (3.5, 5.25, "Lift the lid and set it down."),
        (6.0, 8.0, "That & the seal."),
    ]
    assert talk.warnings == ()
    assert talk.times == "interpolated"


def test_numbers_may_be_missing(data):
    talk = read(data / "good" / "srt_without_numbers.srt")
    assert [cue.text for cue in talk.cues] == ["Undo the screws.", "Lift the lid."]
    assert talk.warnings == ()


def test_broken_file_is_read_with_warnings(data):
    talk = read(data / "broken" / "srt_latin1_missing_blank_lines.srt")
    assert [cue.text for cue in talk.cues] == [
        "Undo the screws.",
        "Lift the lid and set it down.",
        "The café side first.",
    ]
    assert [warning.line for warning in talk.warnings] == [2, 2, 4, 8, 11, 12, 14]


def test_a_number_that_was_spoken_is_kept(write):
    talk = read(write("a.srt", "1\n00:00:01,000 --> 00:00:02,000\ngive it\n25\nnewton metres\n"))
    assert talk.cues[0].text == "give it 25 newton metres"


def test_text_before_a_time_line_is_no_name_of_a_cue(write):
    talk = read(write("a.srt", "off the bracket\n00:00:01,000 --> 00:00:02,000\nand away\n"))
    assert [word.text for word in talk.words] == ["off", "the", "bracket", "and", "away"]
    assert talk.warnings[0].line == 1


def test_rolling_captions_are_said_once(write):
    talk = read(
        write(
            "a.srt",
            "1\n00:00:01,000 --> 00:00:02,000\nundo the four bolts\n\n2\n00:00:02,000 --> 00:00:03,000\n"
            "undo the four bolts\nand lift it off\n\n3\n00:00:03,000 --> 00:00:04,000\nand lift it off\nthe bench\n",
        )
    )
    assert " ".join(cue.text for cue in talk.cues) == "undo the four bolts and lift it off the bench"
