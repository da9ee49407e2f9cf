"""Conditions: what opens, reverses, resumes and ends one, and which sentences it governs."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from spoken_sentences import hear_sentences, parser

from extract.findings.condition_cues import Cue, read_cues
from extract.findings.condition_text import Sentence
from extract.findings.conditions import find_conditions, find_scope_flags, without_utterances
from extract.rules import Rule, load_rules
from extract.speech import ConditionFound

RULES = load_rules("conditions")
#: Rules that are searched in a noun phrase or behind other words, by their pattern alone.
_PLAIN = ("guard", "axis", "land")


def cues_of(text: str) -> list[Cue]:
    """All cues of the sentences of `text`, each read with the conditions told before it."""
    found: list[Cue] = []
    for sentence in re.split(r"(?<=[.!?])\s+", text):
        known = [cue.meaning for cue in found if cue.meaning is not None]
        found += read_cues(Sentence(parser().parse(sentence), parser().lexicon), known)
    return found


def fires(rule: Rule, sentence: str) -> bool:
    if rule.text("cue") in _PLAIN:
        return rule.pattern.search(sentence) is not None
    return rule.id in {cue.rule for cue in cues_of(sentence)}


def conditions_of(sentences: list[str]) -> tuple[ConditionFound, ...]:
    heard, phases, actions = hear_sentences(sentences)
    return find_conditions(heard, phases, actions, frozenset())


def governing(found: tuple[ConditionFound, ...], index: int) -> set[str]:
    """The conditions over a sentence with the enclosing ones: the value, "!" before a negated one, or "skip"."""
    held: set[str] = set()
    for condition in found:
        if index not in condition.governed:
            continue
        at: ConditionFound | None = condition
        while at is not None:
            held.add("skip" if at.kind == "skip" else f"{'!' * at.negated}{at.value}")
            at = None if at.parent is None else found[at.parent]
    return held


@cache
def told_talks() -> tuple[tuple[tuple[str, ...], str], ...]:
    """The talks of `conditions_told.txt`: blocks of lines "[conditions] sentence"."""
    text = (Path(__file__).parent / "conditions_told.txt").read_text(encoding="utf-8")
    blocks = [block for block in text.split("\n\n") if not block.startswith("#")]
    return tuple((tuple(block.strip().splitlines()), block.strip().splitlines()[0][-40:]) for block in blocks)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_rule_finds_its_hits_and_leaves_its_misses(rule: Rule) -> None:
    assert [sentence for sentence in rule.hits if not fires(rule, sentence)] == []
    assert [sentence for sentence in rule.misses if fires(rule, sentence)] == []


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_rule_has_five_hits_and_five_misses(rule: Rule) -> None:
    assert len(set(rule.hits)) >= 5
    assert len(set(rule.misses)) >= 5


@pytest.mark.parametrize("lines", [lines for lines, _ in told_talks()], ids=[name for _, name in told_talks()])
def test_each_sentence_knows_the_conditions_that_govern_it(lines: tuple[str, ...]) -> None:
    wanted, sentences = [], []
    for line in lines:
        match = re.fullmatch(r"\[(.*?)\] (.*)", line)
        assert match is not None, line
        wanted.append({one.strip() for one in match.group(1).split("&") if one.strip()})
        sentences.append(match.group(2))
    found = conditions_of(sentences)
    assert [governing(found, index) for index in range(len(sentences))] == wanted


def test_a_condition_names_its_axis_and_its_value_with_numbers_in_digits() -> None:
    found = conditions_of(
        [
            "On gates wider than eight hundred millimetres, loosen the nut.",
            "On hoists made before two thousand and three, snip the wires.",
            "For the three-cylinder engine, loosen the strap.",
            "If yours has the curved handle, undo the bracket.",
            "If your mower has a roll bar, unpin it.",
        ]
    )
    assert [(one.kind, one.axis, one.value) for one in found] == [
        ("variant", "gate width", "wider than 800 mm"),
        ("variant", "year", "before 2003"),
        ("variant", "cylinders", "3"),
        ("variant", "handle", "curved"),
        ("option", None, "roll bar"),
    ]


def test_the_text_of_a_condition_is_what_was_said() -> None:
    (found,) = conditions_of(["Now if yours is the one with the drip tray, pull the plug."])
    assert found.text == "if yours is the one with the drip tray"


def test_either_of_two_variants_may_hold() -> None:
    (found,) = conditions_of(["On the diesel or the hybrid, unplug the heater."])
    assert found.values == ("diesel", "hybrid")


def test_a_condition_ends_as_it_is_told() -> None:
    found = conditions_of(
        [
            "If yours has a roll bar, unpin it.",
            "If it hasn't got one, lift the hood.",
            "Either way, pull the grille.",
            "If you're leaving the tank in, skip the next part.",
            "Undo the tank straps.",
            "Now, reassembly.",
        ]
    )
    assert [one.ends for one in found] == ["else", "rejoin", "never"]


def test_a_skip_lands_at_the_place_that_it_names() -> None:
    (found,) = conditions_of(
        [
            "If the tensioner stays on you can skip ahead to the bit about the water pump.",
            "Undo the tensioner bolt.",
            "Right, the water pump.",
            "Undo the eight bolts.",
        ]
    )
    assert (found.governed, found.ends, found.resumes_at) == ((0, 1), "spoken", 2)
    assert find_scope_flags([found]) == ()


def test_a_skip_without_an_end_is_flagged_once() -> None:
    found = conditions_of(
        ["If you only want the belt you can leave the next part alone.", "Undo the hub nut.", "Draw the hub off."]
    )
    (flag,) = find_scope_flags(found)
    assert (flag.code, flag.severity, flag.place.utterance) == ("open_scope", "stop", 0)
    assert "leave the next part alone" in flag.message


#: Talks whose condition or skip begins and is never told to end.
OPEN_SCOPES = (
    "If you only want the belt you can leave the next part alone. Undo the hub nut. Draw the hub off.",
    "If you only came for the rear rollers you can leave out the next part. Pull the two pins up. Now, reassembly.",
    "This bit is only for the diesel. Unplug the relay. Undo the fuel line.",
    "If the pump stays on, the following part of the job is omitted. Undo the four bolts. Take the pump off.",
    "Undo the lid. If your seal is good, skip the next part. Pull the seal out. Clean the bore.",
    "The following applies only to machines from 2019 on. Unplug the switch. Undo the bracket.",
    "If you've done that already, jump over the next section. Undo the strap. Drop the tank.",
    "If it's just the lamp you can skip the following section. Undo the two screws. Lift the frame out.",
    "If you're in here for the seal only, leave the next bit out. Take the gear off. Refitting is the reverse.",
    "The next part is just for the automatics. Undo the cooler lines. Plug the lines.",
)
#: Talks that tell the end: by a count, a re-join, a landing place, a heading, the other variant, or the sentence itself.
CLOSED_SCOPES = (
    "If you only want the belt you can leave the next two steps out. Undo the hub nut. Draw the hub off. Pull the belt off.",
    "If you only came for the rollers you can leave out the next part. Pull the two pins up. Everybody joins in again here.",
    "This bit is only for the diesel. Unplug the relay. Either way, undo the fuel line.",
    "If the pump stays on you can skip ahead to the bit about the seal. Take the pump off. Now the seal.",
    "Undo the lid. If your seal is good, skip the next part. Pull the seal out. Right, clearances next.",
    "On machines from 2019 on, unplug the switch. Undo the bracket.",
    "If yours has a roll bar, unpin it. Undo the strap.",
    "The following two steps are for gates up to 700 mm. Undo the clip. Pull the belt off. Lift the lid.",
    "If it's stiff, tap it. Undo the two screws.",
    "The next part is just for the automatics. Undo the cooler lines. From here on it's the same for everyone.",
)


def scope_flags(talk: str) -> tuple[str, ...]:
    return tuple(flag.code for flag in find_scope_flags(conditions_of(re.split(r"(?<=\.)\s+", talk))))


@pytest.mark.parametrize("talk", OPEN_SCOPES)
def test_an_end_that_is_never_told_is_flagged(talk: str) -> None:
    assert scope_flags(talk) == ("open_scope",)


@pytest.mark.parametrize("talk", CLOSED_SCOPES)
def test_an_end_that_is_told_is_not_flagged(talk: str) -> None:
    assert scope_flags(talk) == ()


def test_in_its_own_sentence_a_condition_holds_behind_and_only() -> None:
    text = "Undo the three bolts, and on the four-cylinder take the weight off."
    (found,) = conditions_of([text])
    assert found.governs_from == text.index("on the four-cylinder")


def test_if_fitted_governs_the_act_on_that_part_only() -> None:
    text = "Lift the lid and unplug the rain sensor, if fitted."
    (found,) = conditions_of([text])
    assert (found.kind, found.value, found.governs_from) == ("option", "rain sensor", text.index("unplug"))


def test_words_that_cannot_be_trusted_open_nothing() -> None:
    heard, phases, actions = hear_sentences(["If yours has a roll bar, unpin it."])
    assert find_conditions(heard, phases, actions, frozenset({0})) == ()


def test_what_stands_inside_a_condition_left_out_moves_outwards() -> None:
    petrol, turbo, manual = (
        replace(found, parent=parent)
        for found, parent in zip(
            conditions_of(
                ["On the petrol one, undo the clip.", "If yours has a fan, unplug it.", "On the manual, stop."]
            ),
            (None, 0, 1),
            strict=True,
        )
    )
    kept = without_utterances((petrol, turbo, manual), {turbo.place.utterance})
    assert [(found.value, found.parent) for found in kept] == [(petrol.value, None), (manual.value, 0)]
    assert without_utterances((petrol, turbo), {petrol.place.utterance})[0].parent is None
