"""WebVTT. The files named `vtt_spec_…` are ours, built after the examples of the W3C specification."""

from __future__ import annotations

import pytest

from extract.transcripts import read


def texts(talk):
    return [cue.text for cue in talk.cues]


def messages(talk):
    return [(warning.line, warning.message) for warning in talk.warnings]


def test_voice_spans_become_speakers_and_settings_are_no_speech(data):
    talk = read(data / "good" / "vtt_spec_voices_and_settings.vtt")
    assert [(cue.speaker, cue.text) for cue in talk.cues] == [
        ("Trainer", "We start at the back of the mixer."),
        ("Trainer", "Undo the two bolts,"),
        ("Helper", "both of them?"),
        ("Trainer", "Both, and keep the washers."),
    ]
    assert talk.cues[1].start_s == 13.0
    assert talk.cues[1].end_s == talk.cues[2].start_s
    assert talk.cues[2].end_s == 16.0
    assert talk.warnings == ()


def test_blocks_header_bom_and_crlf_are_no_speech(data):
    talk = read(data / "good" / "vtt_spec_blocks_bom_crlf.vtt")
    assert texts(talk) == ["Slacken the tensioner and slip the belt off.", "Hook R&D says: torque < 30 Nm."]
    assert (talk.title, talk.language) == ("Drum mixer, belt", "en-GB")
    assert talk.cues[0].line == 19
    assert talk.warnings == ()


def test_stamps_inside_the_text_are_word_times(data):
    talk = read(data / "good" / "vtt_spec_timestamps_ruby_lang.vtt")
    times = [(word.text, word.start_s, word.end_s, word.interpolated) for word in talk.words[:4]]
    assert times == [
        ("Lift", 5.2, 5.6, False),
        ("the", 5.6, 6.0, False),
        ("guard", 6.0, 7.1, False),
        ("off", 7.1, 8.0, False),
    ]
    assert talk.times == "given"
    assert talk.cues[1].text == "guard goes aside"
    assert [line for line, _ in messages(talk)] == [6]


def test_words_between_stamps_share_the_time(write):
    talk = read(write("a.vtt", "WEBVTT\n\n00:01.000 --> 00:05.000\nnow <00:02.000>undo it <00:04.000>all\n"))
    assert [(word.text, word.start_s, word.end_s, word.interpolated) for word in talk.words] == [
        ("now", 1.0, 2.0, True),
        ("undo", 2.0, 3.143, True),
        ("it", 3.429, 4.0, True),
        ("all", 4.0, 5.0, False),
    ]


def test_rolling_lines_are_said_once(data):
    talk = read(data / "good" / "vtt_rolling_lines.vtt")
    said = "today we take the pump off the old mixer so undo the four bolts no no not that one"
    assert " ".join(word.text for word in talk.words) == said
    assert talk.cues[1].start_s == 2.0
    assert talk.warnings == ()


def test_rolling_lines_with_word_times_are_said_once(data):
    talk = read(data / "good" / "vtt_rolling_word_times.vtt")
    assert [word.text for word in talk.words] == ["undo", "the", "drain", "plug", "and", "let", "it", "run"]
    assert talk.words[2] == ("drain", 0.7, 1.2, None, False, 0)
    assert talk.words[7] == ("run", 3.2, 4.0, None, False, 1)


def test_somebody_who_repeats_himself_is_kept(write):
    talk = read(
        write(
            "a.vtt",
            "WEBVTT\n\n00:01.000 --> 00:02.000\nundo it\n\n00:02.000 --> 00:03.000\nundo it\n\n"
            "00:03.000 --> 00:04.000\nundo it\nand lift\n\n00:05.500 --> 00:06.000\nand so on\n\n"
            "00:06.000 --> 00:07.000\nthe next one\n\n00:07.000 --> 00:08.000\nand the last\n",
        )
    )
    assert len(talk.words) == 2 + 2 + 4 + 3 + 3 + 3


def test_broken_file_is_read_with_a_warning_for_every_problem(data):
    talk = read(data / "broken" / "vtt_bad_times_and_cut_off.vtt")
    assert texts(talk) == [
        "First of all, goggles on.",
        "Undo the clamp.",
        "Slide the hose off its stub.",
        "Drain what is left.",
        "Hang it",
    ]
    lines = {line for line, _ in messages(talk)}
    assert lines == {2, 4, 7, 9, 12, 14, 17, 20}
    assert [cue.start_s for cue in talk.cues] == [0.0, 1.0, 3.0, 5.0, 12.0]
    assert talk.cues[3].end_s == 12.0


def test_missing_header_and_misplaced_cue_are_mended(data):
    talk = read(data / "broken" / "vtt_no_header_out_of_order.vtt")
    assert texts(talk) == ["undo the clamp", "and slide the hose off", "then the bracket", "last of all the stub"]
    assert [line for line, _ in messages(talk)] == [1, 1, 9]


@pytest.mark.parametrize(
    ("line", "text"),
    [
        ("a &lt;b&gt; &amp; c&#46; d &unknown; &amp", "a <b> & c. d &unknown; &amp"),
        ("under 3 < 4 and 5 > 2 and <25 Nm>", "under 3 < 4 and 5 > 2 and <25 Nm>"),
        ("<b.loud>undo</b> <c.red.big>it</c> <u>now</u></>", "undo it now"),
        ("un<b>do</b>ing it", "undoing it"),
        ("left\u200e side", "left side"),
    ],
)
def test_only_tags_and_escapes_leave_the_text(write, line, text):
    talk = read(write("a.vtt", f"WEBVTT\n\n00:01.000 --> 00:02.000\n{line}\n"))
    assert talk.cues[0].text == text


def test_a_note_ends_at_the_next_cue_even_without_a_blank_line(write):
    talk = read(write("a.vtt", "WEBVTT\n\nNOTE filmed indoors\n00:01.000 --> 00:02.000\nundo it\n"))
    assert texts(talk) == ["undo it"]


def test_many_problems_of_one_kind_are_summed_up(write):
    cues = "".join(f"00:{n:02}.000 --> 00:{n:02},900\nundo number {n}\n\n" for n in range(10, 50))
    talk = read(write("a.vtt", "WEBVTT\n\n" + cues))
    assert len(talk.cues) == 40
    assert len(talk.warnings) == 6
    assert talk.warnings[-1].message.endswith("The same in 35 more places, up to line 120.")


def test_a_clock_that_starts_anew_keeps_the_order_of_the_file(write):
    cues = "".join(f"00:{n:02}.000 --> 00:{n:02}.900\nundo number {n}\n\n" for n in range(10, 20))
    talk = read(write("a.vtt", "WEBVTT\n\n" + cues + cues))
    assert [word.text for word in talk.words][2::3] == [str(n) for n in [*range(10, 20), *range(10, 20)]]
    assert any("start anew" in warning.message and warning.line == 33 for warning in talk.warnings)
