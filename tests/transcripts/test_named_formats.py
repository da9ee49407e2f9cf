"""A named format with a bad line is still that format; what is no transcript is refused in words."""

from __future__ import annotations

import pytest

from extract.errors import TranscriptError
from extract.transcripts import read


def test_one_bad_line_leaves_a_named_format_what_it_is(write):
    talk = read(write("a.ctm", "t 1 0.0 0.3 slacken\nt 1 x 0.3 the\n"))
    assert talk.format == "ctm" and talk.words[0].text == "slacken"
    assert [(warning.line, warning.message) for warning in talk.warnings] == [
        (2, "The start time cannot be read. Here it is “x”.")
    ]


@pytest.mark.parametrize("name", ["a.json", "a.jsonl", "a.txt"])
@pytest.mark.parametrize("text", ['[{"start": 1, "text": "Lift it."}]', '[{"text": "Lift it."},\n{"text": "Turn it."}'])
def test_a_json_list_is_refused_with_what_is_expected(write, name, text):
    with pytest.raises(TranscriptError, match="a list. Write one object a line"):
        read(write(name, text))


@pytest.mark.parametrize("text", ['{\n "cues": [1]\n}', '"Lift it."', "42"])
def test_other_json_is_refused(write, text):
    with pytest.raises(TranscriptError, match="not JSON Lines"):
        read(write("a.json", text))


@pytest.mark.parametrize(("name", "text"), [("a.txt", ""), ("b.txt", " \n\n"), ("a.vtt", "")])
def test_an_empty_file_has_no_words(write, name, text):
    with pytest.raises(TranscriptError, match="The file has no words"):
        read(write(name, text))


def test_ttml_from_which_nothing_could_be_read_is_an_error(write):
    with pytest.raises(TranscriptError, match="XML is broken here"):
        read(write("a.ttml", "<tt><body><p begin="))


def test_a_talk_in_another_language_is_doubted(write):
    said = (
        "Zuerst lösen wir die vier Schrauben am Deckel und nehmen ihn vorsichtig ab. Danach ziehen wir den alten "
        "Riemen von der Scheibe herunter, prüfen beide Lager auf Spiel und setzen einen neuen Riemen auf."
    )
    assert any("few English words" in warning.message for warning in read(write("a.txt", said)).warnings)


def test_a_terse_talk_in_english_is_not_doubted(write):
    said = "Slacken the four bolts and lift the lid. Pull the old belt off the pulley. Check both bearings for play. "
    said += "Slide a new belt on, press the tensioner back, then close the lid with two clips and wipe everything dry."
    assert read(write("a.txt", said)).warnings == ()
