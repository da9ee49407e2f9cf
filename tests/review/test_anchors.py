from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from extract.model import Draft, Segment, Source
from extract.review.anchors import alike, decisive, find_segment, find_words, spot
from extract.review.wording import carry_over

SENTENCES = [
    "Take that off.",
    "Undo the bolt.",
    "Put it in the tray.",
    "Slide the cover to the left until the pegs come out.",
    "Slide the cover to the right until the pegs come out.",
    "Pull the shaft seal out of its seat with the hook.",
    "Now the three long bolts come out of the flange.",
    "Now the two long bolts come out of the flange.",
    "Mind your fingers.",
]


def draft_of(texts: list[str]) -> Draft:
    segments = tuple(
        Segment(id=f"s{index}", start_s=None, end_s=None, text=text, role="instruction", trust=1.0)
        for index, text in enumerate(texts)
    )
    source = Source(name="t", format="t", sha256="", duration_s=None, language=None, times="none")
    return Draft(made_by="t", title=None, source=source, segments=segments)


talks = st.lists(st.integers(0, len(SENTENCES) - 1), min_size=4, max_size=20)


@given(talks, st.data())
@settings(max_examples=400, deadline=None)
def test_place_is_never_found_at_other_words_of_the_talk(numbered, data):
    """Sentences are cut out and put in anywhere; each remembers which one it was."""
    texts = [SENTENCES[number] for number in numbered]
    draft = draft_of(texts)
    cut = data.draw(st.sets(st.integers(0, len(texts) - 1), max_size=len(texts) // 2))
    added = data.draw(st.dictionaries(st.integers(0, len(texts)), st.integers(0, len(SENTENCES) - 1), max_size=3))
    now: list[tuple[str, int | None]] = []
    for origin, text in enumerate(texts):
        if origin in added:
            now.append((SENTENCES[added[origin]], None))
        if origin not in cut:
            now.append((text, origin))
    changed = draft_of([text for text, _ in now])
    for origin, text in enumerate(texts):
        home = find_segment(spot(draft, f"s{origin}"), changed.segments)
        if home is None:
            continue
        found, was = now[int(home[1:])]
        assert found == text
        lookalike = texts.count(text) > 1 or any(SENTENCES[number] == text for number in added.values())
        assert was == origin or lookalike
        if was is not None and was != origin:
            # Only where a twin stands in the same surroundings can one be taken for the other.
            at = int(home[1:])
            around = {now[at - 1][0] if at else "", now[at + 1][0] if at + 1 < len(now) else ""}
            mine = {texts[origin - 1] if origin else "", texts[origin + 1] if origin + 1 < len(texts) else ""}
            assert around & mine


@given(talks)
@settings(deadline=None)
def test_every_place_of_an_unchanged_talk_is_found(numbered):
    draft = draft_of([SENTENCES[number] for number in numbered])
    for segment in draft.segments:
        assert find_segment(spot(draft, segment.id), draft.segments) == segment.id


def test_sentence_that_was_cut_otherwise_is_found_in_the_longer_one():
    draft = draft_of(["Undo the bolt.", "Pull the shaft seal out of its seat.", "Mind your fingers."])
    changed = draft_of(["Undo the bolt and pull the shaft seal out of its seat, right.", "Mind your fingers."])
    assert find_segment(spot(draft, "s1"), changed.segments) == "s0"


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Undo the three bolts.", "Undo the two bolts."),
        ("Tighten it to 22 newton metres.", "Tighten it to 220 newton metres."),
        ("Fill in 1.5 litres.", "Fill in 15 litres."),
        ("Pull the left lever.", "Pull the right lever."),
        ("Take both off.", "Take them off."),
    ],
)
def test_likeness_never_covers_a_number_or_a_direction(one, other):
    assert alike(one, other) == 0
    assert decisive(one) != decisive(other)


@pytest.mark.parametrize(
    ("was", "now", "present", "result"),
    [
        ("Take off the pistol.", "Take off the piston.", "Take off the pistol.", "Take off the piston."),
        (
            "take off the pistol",
            "take off the piston",
            "then take off the pistol gently",
            "then take off the piston gently",
        ),
        ("take off the pistol", "take off the piston", "take off the piston", "take off the piston"),
        ("take off the pistol", "take off the piston", "take off the pump", None),
        ("the pistol and the pistol", "the piston and the pistol", "the pistol", None),
        ("undo it", "undo the bolt", "undo it and undo it again", None),
        ("So the wotsit goes frumble", "Clip the hose on", "So the wotsit goes frumble", "Clip the hose on"),
    ],
)
def test_correction_is_carried_over_to_the_words_it_was_about(was, now, present, result):
    assert carry_over(was, now, present) == result


@given(st.text(max_size=40), st.text(max_size=40), st.text(max_size=40))
def test_carrying_over_takes_any_text(was, now, present):
    carry_over(was, now, present)


def test_words_that_occur_twice_are_not_found():
    assert find_words("the bolt", "The bolt, yes the bolt!") is None
    assert find_words("the bolt", "Yes: THE BOLT!") == (5, 13)
