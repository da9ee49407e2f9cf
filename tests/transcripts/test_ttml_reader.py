"""TTML and IMSC: times after W3C TTML2 section 12.3.1, and files that mean harm."""

from __future__ import annotations

import pytest

from extract.errors import TranscriptError
from extract.transcripts import read

TT = '<tt xmlns="http://www.w3.org/ns/ttml" xmlns:ttp="http://www.w3.org/ns/ttml#parameter" {}><body>{}</body></tt>'


def test_offsets_frames_ticks_spans_and_agents(data):
    talk = read(data / "good" / "ttml_times_and_agents.ttml")
    assert [(cue.start_s, cue.end_s, cue.speaker, cue.text) for cue in talk.cues] == [
        (13.0, 14.5, "Trainer", "Slacken the band and lift it off."),
        (14.7, 16.7, None, "Keep the pin."),
        (17.5, 19.5, None, "Wipe the drum"),
    ]
    assert (talk.title, talk.language) == ("Winch, brake band", "en-IE")
    assert talk.words[-3][:5] == ("Wipe", 17.5, 18.0, None, False)
    assert talk.words[-2].start_s == 18.0
    assert talk.warnings == ()


def test_children_of_a_sequence_follow_each_other(data):
    talk = read(data / "good" / "ttml_sequence.ttml")
    assert [(cue.start_s, cue.end_s) for cue in talk.cues] == [(0.0, 2.0), (2.0, 5.0), (6.0, 8.0)]


@pytest.mark.parametrize(
    ("expression", "seconds"),
    [
        ("00:00:04.25", 4.25),
        ("01:02:03", 3723.0),
        ("00:00:02:12", 2.5),
        ("1.5h", 5400.0),
        ("2m", 120.0),
        ("1.5s", 1.5),
        ("250ms", 0.25),
        ("36f", 1.5),
        ("90t", 9.0),
    ],
)
def test_time_expressions(write, expression, seconds):
    rates = 'ttp:frameRate="24" ttp:tickRate="10"'
    talk = read(write("a.ttml", TT.format(rates, f'<div><p begin="{expression}" dur="1s">undo it</p></div>')))
    assert talk.cues[0].start_s == pytest.approx(seconds)
    assert talk.warnings == ()


def test_frame_rate_multiplier(write):
    rates = 'ttp:frameRate="30" ttp:frameRateMultiplier="1000 1001"'
    talk = read(write("a.ttml", TT.format(rates, '<div><p begin="300f" dur="1s">undo it</p></div>')))
    assert talk.cues[0].start_s == pytest.approx(10.01)


def test_what_stands_before_a_break_in_the_xml_is_read(data):
    talk = read(data / "broken" / "ttml_bad_times_and_cut_off.ttml")
    assert [(cue.start_s, cue.end_s, cue.text) for cue in talk.cues] == [
        (1.0, 3.0, "Undo the guard."),
        (3.0, 7.0, "Lift it off."),
        (7.0, 9.0, "Slip the belt"),
    ]
    assert [warning.line for warning in talk.warnings] == [4, 5, 5, 6, 8]


@pytest.mark.parametrize(
    "head",
    [
        '<!DOCTYPE tt [<!ENTITY a "x"><!ENTITY b "&a;&a;&a;&a;&a;">]>',
        '<!DOCTYPE tt SYSTEM "http://localhost/never-fetched.dtd">',
        '<!DOCTYPE tt [<!ENTITY % outside SYSTEM "file:///never-read"> %outside;]>',
    ],
)
def test_document_types_and_entities_are_refused(write, head):
    path = write("a.ttml", f'<?xml version="1.0"?>\n{head}\n<tt><body><div><p>&b;</p></div></body></tt>')
    with pytest.raises(TranscriptError, match="document type") as caught:
        read(path)
    assert caught.value.line == 2
    assert caught.value.remedy


def test_deep_nesting_is_refused(write):
    with pytest.raises(TranscriptError, match="nested more than 100 deep"):
        read(write("a.ttml", TT.format("", "<div>" * 50_000)))


def test_captions_without_times_have_none(write):
    talk = read(write("a.ttml", TT.format("", "<div><p>undo it</p><p>lift it</p></div>")))
    assert talk.times == "none"
    assert [word.start_s for word in talk.words] == [None] * 4


def test_the_encoding_was_settled_before_the_declaration(write):
    xml = '\n<?xml version="1.0" encoding="ISO-8859-1"?>\n' + TT.format("", '<p begin="1s" end="2s">the café side</p>')
    assert read(write("a.ttml", xml.encode("latin-1"))).cues[0].text == "the café side"
