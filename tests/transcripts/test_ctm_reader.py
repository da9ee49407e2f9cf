"""CTM, after NIST's description of the formats of its scoring toolkit (SCTK, doc/infmts.htm)."""

from __future__ import annotations

from extract.transcripts import read


def test_comments_alternatives_and_pauses(data):
    talk = read(data / "good" / "ctm_nist_comments_and_alternatives.ctm")
    assert [cue.text for cue in talk.cues] == ["undo the clamp", "lift it off"]
    assert talk.words[2] == ("clamp", 0.6, 1.0, 0.71, False, 0)
    assert talk.words[5] == ("off", 3.0, 3.35, None, False, 1)
    assert talk.times == "given"
    assert [warning.line for warning in talk.warnings] == [8]


def test_broken_columns_are_read_with_warnings(data):
    talk = read(data / "broken" / "ctm_columns_and_numbers.ctm")
    assert [word.text for word in talk.words] == ["undo", "the", "clamp", "now", "lift", "off"]
    assert [word.confidence for word in talk.words] == [0.95, None, 0.71, 0.71, None, 0.9]
    assert talk.words[3].interpolated
    assert {warning.line for warning in talk.warnings} == {1, 2, 3, 4, 5, 6, 7, 9}


def test_two_channels_become_two_speakers(write):
    lines = ["t A 0.0 0.4 undo", "t A 0.4 0.4 it", "t B 2.0 0.4 both", "t A 4.0 0.4 yes"]
    talk = read(write("a.ctm", "\n".join(sorted(lines))))
    assert [(cue.speaker, cue.text) for cue in talk.cues] == [("A", "undo it"), ("B", "both"), ("A", "yes")]


def test_a_second_file_is_a_further_recording(write):
    talk = read(write("a.ctm", "t1 1 1.0 0.5 undo\nt1 1 1.5 0.5 it\nt2 1 0.5 0.5 lift\nt2 1 1.0 0.5 it\n"))
    assert [(cue.recording, cue.start_s) for cue in talk.cues] == [(0, 1.0), (1, 2.5)]


def test_unknown_words_stay_where_they_were(write):
    talk = read(write("a.ctm", "t 1 0.0 0.4 undo 0.9\nt 1 0.4 0.4 <unk> 0.1\nt 1 0.8 0.4 <sil> 1\n"))
    assert [word.text for word in talk.words] == ["undo", "<unk>"]


def test_misplaced_words_are_put_in_order(write):
    talk = read(write("a.ctm", "t 1 0.0 0.4 undo\nt 1 0.8 0.4 clamp\nt 1 0.4 0.4 the\n"))
    assert [word.text for word in talk.words] == ["undo", "the", "clamp"]
    assert talk.warnings[0].line == 3
