"""Speakers named in the text, and marks of print around words."""

from __future__ import annotations

import pytest

from extract.transcripts import read

TURNS = [("Anna", "Slacken the belt."), ("Ben", "Which one?"), ("Anna", "The short one."), ("Ben", "Right.")]


def spoken(talk):
    return [(cue.speaker, cue.text) for cue in talk.cues]


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("a.txt", "".join(f"[0:{n:02}] {who}: {said}\n" for n, (who, said) in enumerate(TURNS))),
        ("a.txt", "".join(f"{who}: {said}\n\n" for who, said in TURNS)),
        ("a.txt", "".join(f"{who}: {said}\n" for who, said in TURNS)),
        ("a.md", "".join(f"**{who}:** {said}\n\n" for who, said in TURNS)),
        (
            "a.srt",
            "".join(
                f"{n}\n00:00:0{n},000 --> 00:00:0{n},900\n{who}: {said}\n\n" for n, (who, said) in enumerate(TURNS, 1)
            ),
        ),
        (
            "a.vtt",
            "WEBVTT\n\n"
            + "".join(f"00:0{n}.000 --> 00:0{n}.900\n{who}: {said}\n\n" for n, (who, said) in enumerate(TURNS, 1)),
        ),
    ],
)
def test_names_that_open_two_blocks_are_speakers(write, name, text):
    assert spoken(read(write(name, text))) == TURNS


def test_a_caption_in_which_the_name_changes_is_parted(write):
    cues = "1\n00:00:01,000 --> 00:00:03,000\n- Anna: Slacken it.\n- Ben: Which one?\n\n"
    talk = read(
        write(
            "a.srt",
            cues + "2\n00:00:04,000 --> 00:00:05,000\nAnna: This.\n\n3\n00:00:06,000 --> 00:00:07,000\nBen: Aha.\n",
        )
    )
    assert spoken(talk)[:2] == [("Anna", "Slacken it."), ("Ben", "Which one?")]
    assert talk.cues[0].end_s == talk.cues[1].start_s


def test_what_follows_a_name_goes_on_with_the_speaker(write):
    talk = read(write("a.txt", "[0:01] Anna: Slacken\n[0:02] the belt.\n[0:04] Anna: Lift it.\n"))
    assert {cue.speaker for cue in talk.cues} == {"Anna"}


@pytest.mark.parametrize("word", ["Note", "Caution", "Step 2", "Torque", "Next"])
def test_words_before_a_colon_that_name_nobody_stay_words(write, word):
    talk = read(write("a.txt", f"[0:01] {word}: wipe it.\n[0:03] {word}: dry it.\n"))
    assert {cue.speaker for cue in talk.cues} == {None} and talk.words[0].text.startswith(word.split()[0])


def test_a_name_that_opens_one_block_stays_a_word(write):
    talk = read(write("a.txt", "[0:01] Anna: wipe it.\n[0:03] then dry it.\n[0:05] and oil it.\n"))
    assert talk.words[0].text == "Anna:"


@pytest.mark.parametrize(
    ("printed", "words"),
    [
        ("Slip the `collar` off *gently*", "Slip the collar off gently"),
        ("Slip the <b>two</b> __collars__ off<br>now", "Slip the two collars off now"),
        ("* Slip ***both*** ~~rings~~ off [here](http://a.example/b)", "Slip both rings off here"),
        ("Set 2*3*4 mm, part_no_7, a < b and -3 degrees", "Set 2*3*4 mm, part_no_7, a < b and -3 degrees"),
    ],
)
@pytest.mark.parametrize("lead", ["", "[0:01] "])
def test_marks_of_print_are_no_words_and_nothing_else_goes(write, lead, printed, words):
    assert read(write("a.md", lead + printed + "\n")).cues[0].text == words
