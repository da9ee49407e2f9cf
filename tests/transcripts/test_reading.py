"""What holds for all formats: telling them apart, joining recordings, and files that are no talk."""

from __future__ import annotations

import hashlib
import os

import pytest

from extract.errors import TranscriptError
from extract.transcripts import FORMATS, read, read_joined
from extract.transcripts import source as source_module

VTT = "WEBVTT\n\n00:01.000 --> 00:03.000\nundo the bolts\n"
SRT = "1\n00:00:01,000 --> 00:00:03,000\nundo the bolts\n"
CTM = "t 1 1.0 0.5 undo\nt 1 1.5 0.5 the\nt 1 2.0 1.0 bolts\n"
TTML = '<tt xmlns="http://www.w3.org/ns/ttml"><body><p begin="1s" end="3s">undo the bolts</p></body></tt>'
JSONL = '{"start": 1.0, "end": 3.0, "text": "undo the bolts"}\n'
MARKED = "[0:01] undo the bolts\n[0:03]\n"
PLAIN = "undo the bolts\n"
SAMPLES = {"vtt": VTT, "srt": SRT, "ctm": CTM, "ttml": TTML, "jsonl": JSONL, "marked": MARKED, "plain": PLAIN}


def test_every_format_has_a_sample():
    assert set(SAMPLES) == set(FORMATS)


@pytest.mark.parametrize("name", SAMPLES)
def test_same_words_from_every_format(write, name):
    path = write("bolts" + FORMATS[name].suffixes[0], SAMPLES[name])
    talk = read(path)
    assert (talk.format, talk.name) == (name, "bolts")
    assert [word.text for word in talk.words] == ["undo", "the", "bolts"]
    assert [cue.text for cue in talk.cues] == ["undo the bolts"]
    assert talk.duration_s == (None if name == "plain" else 3.0)
    assert talk.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert talk.warnings == ()


@pytest.mark.parametrize("name", [name for name in SAMPLES if name != "plain"])
def test_content_tells_the_format_without_a_suffix(write, name):
    assert read(write("bolts", SAMPLES[name])).format == name


@pytest.mark.parametrize("name", SAMPLES)
def test_content_wins_over_a_wrong_suffix_and_says_so(write, name):
    suffix = ".srt" if name != "srt" else ".vtt"
    talk = read(write("bolts" + suffix, SAMPLES[name]))
    assert talk.format == name
    assert any(suffix in warning.message for warning in talk.warnings)


def test_a_named_format_is_used(write):
    assert read(write("bolts.vtt", PLAIN), format="plain").format == "plain"


def test_unknown_formats_are_listed(write):
    for path, name in ((write("bolts.xyz", PLAIN), None), (write("bolts.txt", PLAIN), "xyz")):
        with pytest.raises(TranscriptError) as caught:
            read(path, format=name)
        assert all(known in str(caught.value) for known in FORMATS)


@pytest.mark.parametrize("name", SAMPLES)
@pytest.mark.parametrize("content", ["", " \n\n", "\ufeff"])
def test_an_empty_talk_is_an_error(write, name, content):
    with pytest.raises(TranscriptError, match="no words"):
        read(write("empty" + FORMATS[name].suffixes[0], content), format=name)


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (b"%PDF-1.7 and so on", "PDF"),
        (b"\x00\x00\x00\x20ftypisom\x00\x00", "film"),
        (b"PK\x03\x04rest", "archive"),
        (bytes(range(256)) * 40, "binary"),
        (b"\xff\xfe\x00\xd8", "UTF-16"),
    ],
)
def test_files_that_are_no_text_are_refused(write, content, what):
    for suffix in (".vtt", ".txt", ".jsonl"):
        with pytest.raises(TranscriptError, match=what) as caught:
            read(write("film" + suffix, content))
        assert caught.value.remedy


def test_a_huge_file_is_refused_before_it_is_read(tmp_path):
    path = tmp_path / "long.vtt"
    with path.open("wb") as stream:
        stream.truncate(200_000_000)
    with pytest.raises(TranscriptError, match="larger than 50 MB"):
        read(path)


def test_folders_missing_files_and_pipes_are_refused(tmp_path):
    with pytest.raises(TranscriptError, match="folder"):
        read(tmp_path)
    with pytest.raises(TranscriptError, match="no such file"):
        read(tmp_path / "none.vtt")
    with pytest.raises(TranscriptError, match="no such file|cannot be read"):
        read(tmp_path / ("n" * 3000))
    with pytest.raises(TranscriptError):
        read("null\x00byte.vtt")
    os.mkfifo(tmp_path / "pipe.vtt")
    with pytest.raises(TranscriptError, match="not a regular file"):
        read(tmp_path / "pipe.vtt")


def test_a_file_without_permission_is_an_error(write, monkeypatch):
    path = write("bolts.vtt", VTT)

    def refuse(*_args, **_kwargs):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(source_module.Path, "open", refuse)
    with pytest.raises(TranscriptError, match="may not be read"):
        read(path)


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-8-sig", "cp1252"])
def test_encodings(write, encoding):
    talk = read(write("cafe.txt", "[0:01] the café side of the pump\n".encode(encoding)))
    assert talk.words[1].text == "café"
    assert bool(talk.warnings) == (encoding in ("utf-16-le", "cp1252"))


def test_a_file_cut_off_in_a_letter_is_read_up_to_it(write):
    talk = read(write("cut.txt", "[0:01] undo it é".encode()[:-1]))
    assert [word.text for word in talk.words] == ["undo", "it"]
    assert "cut off" in talk.warnings[0].message


def test_joined_recordings_go_on_where_the_one_before_ended(write):
    paths = [write("a.vtt", VTT), write("b.srt", SRT)]
    talk = read_joined(paths)
    assert [(cue.recording, cue.start_s, cue.end_s) for cue in talk.cues] == [(0, 1.0, 3.0), (1, 4.0, 6.0)]
    assert [word.cue for word in talk.words] == [0, 0, 0, 1, 1, 1]
    assert (talk.name, talk.format, talk.duration_s) == ("a", "vtt+srt", 6.0)
    assert talk.sha256 == hashlib.sha256((VTT + SRT).encode()).hexdigest()


def test_a_joined_recording_without_times_is_spread_and_reported(write):
    talk = read_joined([write("a.vtt", VTT), write("b.txt", PLAIN)])
    assert talk.cues[1][:2] == (3.0, 4.2)
    assert [warning.file for warning in talk.warnings] == ["b.txt"]


def test_joining_nothing_is_an_error():
    with pytest.raises(TranscriptError):
        read_joined([])


def test_warnings_name_the_file_without_its_folder(write):
    talk = read(write("a.vtt", VTT.replace("WEBVTT\n", "")))
    assert [warning.file for warning in talk.warnings] == ["a.vtt"]
