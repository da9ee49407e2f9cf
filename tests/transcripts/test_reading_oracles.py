"""Independent checks: what `webvtt-py`, `srt` and `ttconv` read in good files."""

from __future__ import annotations

import html
import re
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest
import srt
import webvtt
from ttconv.imsc.reader import to_model
from ttconv.isd import ISD
from ttconv.model import Br, Text

from extract.transcripts import read

GOOD = Path(__file__).parent / "data" / "good"


def words(text: str) -> list[str]:
    """The words of a text whose tags and escapes are still in it."""
    return html.unescape(re.sub(r"<[^>]*>|\{\\[^}]*\}", "", text)).split()


@pytest.mark.parametrize("name", ["vtt_spec_voices_and_settings.vtt", "vtt_spec_blocks_bom_crlf.vtt"])
def test_webvtt_py_reads_the_same_words_and_times(name):
    theirs = list(webvtt.read(str(GOOD / name)))
    ours = read(GOOD / name)
    assert [word.text for word in ours.words] == [word for cue in theirs for word in words(cue.text)]
    # One of their cues may be two of ours: one a speaker.
    assert {cue.start_s for cue in ours.cues} >= {_seconds(cue.start) for cue in theirs}
    assert {cue.end_s for cue in ours.cues} >= {_seconds(cue.end) for cue in theirs}


def _seconds(stamp: str) -> float:
    hours, minutes, seconds = stamp.split(":")
    return int(hours) * 3600 + int(minutes) * 60 + float(seconds)


@pytest.mark.parametrize("name", ["srt_tags_and_decimals.srt", "srt_without_numbers.srt"])
def test_srt_reads_the_same_words_and_times(name):
    text = (GOOD / name).read_text(encoding="utf-8")
    theirs = [cue for cue in srt.parse(text) if cue.content.strip()]
    ours = read(GOOD / name)
    assert [(cue.start_s, cue.end_s) for cue in ours.cues] == [
        (cue.start.total_seconds(), cue.end.total_seconds()) for cue in theirs
    ]
    assert [word.text for word in ours.words] == [word for cue in theirs for word in words(cue.content)]


@pytest.mark.parametrize("name", ["ttml_division_offsets.ttml", "ttml_sequence.ttml"])
def test_ttconv_shows_the_same_words_at_the_same_times(name):
    # `ttconv` 1.2 forgets the start of a division when it works out the end of the body: both have an end here.
    document = to_model(ElementTree.parse(GOOD / name))
    scenes = [(float(start), _shown(scene)) for start, scene in ISD.generate_isd_sequence(document)]
    ours = read(GOOD / name)
    assert [(start, shown) for start, shown in scenes if shown] == [
        (pytest.approx(cue.start_s), cue.text.split()) for cue in ours.cues
    ]
    changes = {round(start, 3) for start, _ in scenes}
    assert {cue.end_s for cue in ours.cues} <= changes


def _shown(scene: ISD) -> list[str]:
    """The words on the screen, in order."""
    parts: list[str] = []
    for region in scene.iter_regions():
        for element in region.dfs_iterator():
            if isinstance(element, Text):
                parts.append(element.get_text())
            elif isinstance(element, Br):
                parts.append(" ")
    return "".join(parts).split()
