"""The demo talks against the annotation format: same words, valid roles and codes, refit steps that name told steps.

The transcripts are read here by general libraries (webvtt-py, srt, lxml) or a few lines of our own, not by the
program's readers, so that this check does not share their mistakes.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from pathlib import Path
from typing import get_args

import pytest
import srt
import webvtt
from lxml import etree

import corpora_demo
from extract.evaluate.gold import FlagCode
from extract.model import Role

FOLDER = Path(corpora_demo.__file__).parent
NAMES = sorted(p.name.removesuffix(".gold.jsonl") for p in FOLDER.glob("*.gold.jsonl"))
SUFFIXES = (".vtt", ".srt", ".txt", ".ctm", ".jsonl", ".md", ".ttml")
MARK = re.compile(r"^[\[(](\d+:)?\d+:\d\d[\])]", re.MULTILINE)
ROLES = set(get_args(Role))
KINDS = {"renew", "substitute", "consumable"}
SCOPES = {"step", "onward", "all"}
#: What an author can want flagged; the other two are about the reading.
CODES = set(get_args(FlagCode)) - {"unread", "weak_reading"}
CONDITION = re.compile(r"skip|!?[A-Za-z][A-Za-z ]*=\S.*")


def lines(path: Path) -> list[dict]:
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines() if line.strip()]


def gold(name: str) -> list[dict]:
    return lines(FOLDER / f"{name}.gold.jsonl")


def refit(name: str) -> list[dict]:
    return lines(FOLDER / f"{name}.refit.jsonl")


def transcript(name: str) -> Path:
    found = [FOLDER / f"{name}{suffix}" for suffix in SUFFIXES if (FOLDER / f"{name}{suffix}").exists()]
    assert len(found) == 1, f"{name}: {len(found)} transcripts"
    return found[0]


def spoken(path: Path) -> list[str]:
    """The words of a transcript, without times, titles and mark-up."""
    raw = path.read_text(encoding="utf-8")
    if path.suffix == ".vtt":
        text = " ".join(caption.text for caption in webvtt.from_string(raw))
    elif path.suffix == ".srt":
        text = " ".join(caption.content for caption in srt.parse(raw))
    elif path.suffix == ".ttml":
        cues = etree.fromstring(raw.encode()).iter("{http://www.w3.org/ns/ttml}p")
        text = " ".join(" ".join(cue.itertext()) for cue in cues)
    elif path.suffix == ".ctm":
        text = " ".join(line.split()[4] for line in raw.splitlines() if line and not line.startswith(";;"))
    elif path.suffix == ".jsonl":
        text = " ".join(json.loads(line)["text"] for line in raw.splitlines())
    elif path.suffix == ".txt":
        text = MARK.sub(" ", raw[MARK.search(raw).start() :])
    else:
        text = re.sub(r"^#.*$", "", raw, flags=re.MULTILINE)
    return text.split()


def told(name: str) -> Counter[str]:
    """The removal steps of a talk as "action object", one for each object."""
    steps = (step for utterance in gold(name) for step in utterance["steps"])
    return Counter(f"{step['action']} {thing['text']}" for step in steps for thing in step["objects"])


def whole(number: object) -> bool:
    return number is None or (isinstance(number, int) and not isinstance(number, bool) and number > 0)


def test_there_are_talks_in_every_format() -> None:
    assert {transcript(name).suffix for name in NAMES} == set(SUFFIXES)


@pytest.mark.parametrize("name", NAMES)
def test_gold_holds_every_word_of_the_transcript(name: str) -> None:
    assert " ".join(utterance["text"] for utterance in gold(name)).split() == spoken(transcript(name))


@pytest.mark.parametrize("name", NAMES)
def test_roles_codes_and_kinds_are_those_of_the_contract(name: str) -> None:
    for utterance in gold(name):
        assert utterance["role"] in ROLES
        assert set(utterance["flags"]) <= CODES and len(set(utterance["flags"])) == len(utterance["flags"])
        assert {renewal["kind"] for renewal in utterance["renewals"]} <= KINDS
        assert {torque["scope"] for torque in utterance["torques"]} <= SCOPES
        assert all(CONDITION.fullmatch(condition) for condition in utterance["when"])
        for renewal in utterance["renewals"]:
            assert (renewal["kind"] == "substitute") == (renewal["replaced_by"] is not None)


@pytest.mark.parametrize("name", NAMES)
def test_only_instructions_carry_steps(name: str) -> None:
    for utterance in gold(name):
        if utterance["role"] == "instruction":
            assert utterance["steps"] or "repeated" in utterance["flags"], utterance["text"]
        else:
            assert not utterance["steps"] or all(step.get("done") for step in utterance["steps"]), utterance["text"]


@pytest.mark.parametrize("name", NAMES)
def test_times_rise(name: str) -> None:
    times = [utterance["start_s"] for utterance in gold(name)]
    if transcript(name).suffix == ".md":
        assert set(times) == {None}
    else:
        assert times == sorted(times) and len(set(times)) == len(times)


@pytest.mark.parametrize("name", NAMES)
def test_quantities_are_whole_numbers(name: str) -> None:
    for utterance in gold(name):
        assert all(whole(renewal["quantity"]) for renewal in utterance["renewals"])
        assert all(whole(thing["quantity"]) for step in utterance["steps"] for thing in step["objects"])
    assert all(whole(thing["quantity"]) for step in refit(name)[:-1] for thing in step["objects"])


@pytest.mark.parametrize("name", NAMES)
def test_torque_stages_agree_with_their_sum(name: str) -> None:
    for torque in (torque for utterance in gold(name) for torque in utterance["torques"]):
        stages = torque.get("stages", [])
        if stages:
            assert len(stages) > 1
            assert torque["value_nm"] == next((s["value_nm"] for s in reversed(stages) if s["value_nm"]), None)
            assert (torque["angle_deg"] or 0) == sum(stage["angle_deg"] or 0 for stage in stages)


@pytest.mark.parametrize("name", NAMES)
def test_every_step_is_undone_or_listed_as_not_undone(name: str) -> None:
    *refit_steps, last = refit(name)
    covered = Counter(step for refit_step in refit_steps for step in refit_step["undoes"])
    covered.update(last["not_undone"])
    assert covered == told(name)


@pytest.mark.parametrize("name", NAMES)
def test_every_renewal_has_its_place_in_the_refit(name: str) -> None:
    items = {renewal["item"] for utterance in gold(name) for renewal in utterance["renewals"]}
    assert items == {item for step in refit(name)[:-1] for item in step["renewals"]}


@pytest.mark.parametrize("name", NAMES)
def test_derived_refit_steps_carry_conditions_of_the_talk(name: str) -> None:
    spoken_conditions = {condition for utterance in gold(name) for condition in utterance["when"]}
    for step in refit(name)[:-1]:
        assert step["origin"] in {"spoken", "derived"}
        assert step["undoes"] or step["origin"] == "spoken" or step["renewals"]
        assert set(step["when"]) <= spoken_conditions
