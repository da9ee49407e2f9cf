"""Properties of all readers: no word lost, times in order, every line accounted for, no other exception."""

from __future__ import annotations

import json
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from extract.errors import TranscriptError
from extract.transcripts import FORMATS, read
from extract.transcripts.formats import choose
from extract.transcripts.source import load

DATA = Path(__file__).parent / "data"
WORD = st.text("abcdefghijklmnopqrstuvwxyzé'-25,.", min_size=1, max_size=9).filter(
    lambda word: any(map(str.isalpha, word))  # "-" and "25." open an item of a list
)
CUES = st.lists(st.lists(WORD, min_size=1, max_size=8), min_size=1, max_size=12)
SNIPPETS = st.sampled_from(
    [
        *("WEBVTT\n\n", "00:01.000 --> 00:02.000\n", "00:03,5 --> x\n", "undo it\n", "\n", " \n", "7\n", "NOTE x\n"),
        *("<v Ann>", "<00:01.500>", "<c", "</v>", "<rt>", "&amp;", "&#0;", "{\\an8}", "STYLE\n", "Kind: x\n"),
        *("[0:0", "3]", "[0:03]", "[9:99]\n", "(1:02:03) ", "# t\n", "-5:00", "-->", "\x00", "\ufeff", "é", "\x85"),
        *("f 1 0.5 0.2 word 0.9\n", "f 1 0.1 -1 w 7 x y\n", ";; c\n", "f 1 * * <ALT_BEGIN>\n", "f 1 * * <ALT>\n"),
        *('{"start": 1, "end": 2, "text": "x y"}\n', '{"words": [{"word": "a", "start": 1e999}], "text": 3}\n'),
        *('{"text": "a", "start": "b", "confidence": true}\n', '{"text": "\\ud83d"}\n', "[[", "{}\n"),
        *('<tt xmlns="http://www.w3.org/ns/ttml">', "<body>", '<div begin="1s" timeContainer="seq">', "</p>", "<br/>"),
        *('<p begin="1s" end="2s">', '<span begin="0.5s">', "</span>", "</div></body></tt>", "<!DOCTYPE tt>", "&nbsp;"),
    ]
)


def clock(seconds: float, mark: str = ".") -> str:
    return f"{int(seconds) // 3600:02}:{int(seconds) // 60 % 60:02}:{int(seconds) % 60:02}{mark}500"


def as_vtt(cues):
    blocks = [f"{clock(3 * i)} --> {clock(3 * i + 2)}\n{' '.join(cue)}\n" for i, cue in enumerate(cues)]
    return "WEBVTT\n\n" + "\n".join(blocks)


def as_srt(cues):
    blocks = [
        f"{i + 1}\n{clock(3 * i, ',')} --> {clock(3 * i + 2, ',')}\n{' '.join(cue)}\n" for i, cue in enumerate(cues)
    ]
    return "\n".join(blocks)


def as_ttml(cues):
    paragraphs = [f'<p begin="{3 * i + 0.5}s" dur="2s">{" ".join(cue)}</p>' for i, cue in enumerate(cues)]
    return '<tt xmlns="http://www.w3.org/ns/ttml"><body><div>\n' + "\n".join(paragraphs) + "\n</div></body></tt>"


def as_ctm(cues):
    words = [word for cue in cues for word in cue]
    return "\n".join(f"f 1 {0.4 * i:.2f} 0.30 {word} 0.9" for i, word in enumerate(words))


def as_jsonl(cues):
    return "\n".join(json.dumps({"start": 3 * i, "end": 3 * i + 2, "text": " ".join(c)}) for i, c in enumerate(cues))


def as_marked(cues):
    return "\n\n".join(f"[{3 * i // 60}:{3 * i % 60:02}] {' '.join(cue)}" for i, cue in enumerate(cues))


def as_plain(cues):
    return "\n\n".join(" ".join(cue) for cue in cues)


WRITERS = {
    "vtt": as_vtt,
    "srt": as_srt,
    "ttml": as_ttml,
    "ctm": as_ctm,
    "jsonl": as_jsonl,
    "marked": as_marked,
    "plain": as_plain,
}


def read_bytes(content: bytes, name: str):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / ("talk" + FORMATS[name].suffixes[0])
        path.write_bytes(content)
        return read(path, format=name)


def check_times(talk) -> None:
    """Times of words never run backwards within a cue, and all words have times or none has."""
    before = None
    for word in talk.words:
        assert (word.start_s is None) == (talk.times == "none")
        if word.start_s is not None:
            assert 0 <= word.start_s <= word.end_s <= talk.duration_s
            if before is not None and before.cue == word.cue:
                assert before.start_s <= word.start_s
        before = word


def repeats(cues) -> bool:
    """Whether a cue says the same as its neighbour, which a rolling caption does too."""
    return any(a == b for a, b in zip(cues, cues[1:], strict=False))


@pytest.mark.parametrize("name", WRITERS)
@settings(max_examples=40, deadline=None)
@given(cues=CUES.filter(lambda cues: not repeats(cues)))
def test_no_word_is_lost(name, cues):
    talk = read_bytes(WRITERS[name](cues).encode(), name)
    assert [word.text for word in talk.words] == [word for cue in cues for word in cue]
    assert [word for cue in talk.cues for word in cue.text.split()] == [word.text for word in talk.words]
    assert [talk.cues[word.cue].text.split().count(word.text) > 0 for word in talk.words] == [True] * len(talk.words)
    check_times(talk)


@pytest.mark.parametrize("name", WRITERS)
@settings(max_examples=60, deadline=None)
@given(content=st.one_of(st.binary(max_size=300), st.text(max_size=200).map(lambda t: t.encode("utf-8", "replace"))))
def test_random_bytes_give_a_talk_or_a_clear_error(name, content):
    try:
        talk = read_bytes(content, name)
    except TranscriptError as error:
        assert error.remedy
    else:
        check_times(talk)
        talk.model_dump_json()


@settings(max_examples=300, deadline=None)
@given(snippets=st.lists(SNIPPETS, min_size=1, max_size=25), name=st.sampled_from(sorted(FORMATS)))
def test_every_line_is_accounted_for(snippets, name):
    content = "".join(snippets).encode()
    try:
        check_times(read_bytes(content, name))
    except TranscriptError as error:
        assert error.remedy
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "talk"
        path.write_bytes(content)
        try:
            source = load(path)
            FORMATS[name].reader(source)
        except TranscriptError:
            return
    assert source.unaccounted() == []


@pytest.mark.parametrize("path", sorted(DATA.glob("*/*")), ids=lambda path: path.name)
def test_every_line_of_the_sample_files_is_accounted_for(path):
    source = load(path)
    choose(source).reader(source)
    assert source.unaccounted() == []


def test_the_account_notices_a_line_that_nobody_claimed(tmp_path):
    path = tmp_path / "talk.txt"
    path.write_text("one\n\ntwo\nthree\n")
    source = load(path)
    source.cue(1)
    source.warn(4, "What is this?")
    assert source.unaccounted() == [3]


@pytest.mark.parametrize("path", sorted((DATA / "broken").glob("*")), ids=lambda path: path.name)
def test_every_prefix_of_a_broken_file_is_read_or_refused(path, tmp_path):
    content = path.read_bytes()
    part = tmp_path / path.name
    for end in range(0, len(content), 7):
        part.write_bytes(content[:end])
        try:
            check_times(read(part))
        except TranscriptError as error:
            assert error.remedy
