"""What must hold in every draft, whatever was said: `faults` names what doesn't."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from functools import cache
from itertools import pairwise

import jsonschema

from extract.model import Draft
from reports.draft_json import dumps, schema

LISTS = ("segments", "sections", "steps", "refit", "renewals", "torques", "conditions", "cautions", "tools", "flags")
#: Key of an entry → the list that its ids are from.
POINTS_TO = {
    "segments": "segments", "segment": "segments", "section": "sections", "step": "steps", "steps": "steps",
    "undoes": "steps", "resumes_at": "steps", "refit": "refit", "renewals": "renewals", "torques": "torques",
    "applies_when": "conditions", "flags": "flags",
}  # fmt: skip


@cache
def _validator() -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(json.loads(schema()))


def faults(draft: Draft) -> list[str]:
    """Everything that is wrong with the draft as a document, in words."""
    data = json.loads(dumps(draft))
    wrong = [f"schema: {error.json_path} {error.message[:80]}" for error in _validator().iter_errors(data)]
    ids = {name: [entry["id"] for entry in data[name]] for name in LISTS}
    ids["notes"] = [note["id"] for step in data["steps"] + data["refit"] for note in step["notes"]]
    ids["parts"] = [part["id"] for step in data["steps"] + data["refit"] for part in step["objects"]]
    twice = Counter(name for names in ids.values() for name in names)
    wrong += [f"id twice: {name}" for name, count in twice.items() if count > 1]
    known = {name: set(names) for name, names in ids.items()}
    for name in (*LISTS, "not_undone"):
        for entry in data[name]:
            wrong += [f"{name} {entry.get('id')}: {fault}" for fault in _loose_ends(entry, name, known)]
    return wrong + list(_order(data)) + list(_put_back(data)) + list(_both_ways(data)) + list(_spans(data))


def _loose_ends(node: object, home: str, known: dict[str, set[str]]) -> Iterator[str]:
    """References of an entry that point at nothing."""
    if isinstance(node, list):
        for entry in node:
            yield from _loose_ends(entry, home, known)
    if not isinstance(node, dict):
        return
    for key, value in node.items():
        if key == "evidence":
            continue
        target = "parts" if key == "same_as" and home in ("steps", "refit") else home if key == "same_as" else None
        target = POINTS_TO.get(key, target)
        used = value if isinstance(value, list) else [value] if value is not None else []
        if target is not None and all(isinstance(name, str) for name in used):
            anywhere = (
                known["steps"] | known["refit"] if (home, key) in (("flags", "steps"), ("tools", "steps")) else set()
            )
            yield from (f"{key} → {name}" for name in used if name not in known[target] | anywhere)
        else:
            yield from _loose_ends(value, home, known)


def _order(data: dict) -> Iterator[str]:
    for name in ("steps", "refit"):
        if [step["number"] for step in data[name]] != list(range(1, len(data[name]) + 1)):
            yield f"{name} are not numbered in order"
    for name in ("segments", "steps"):
        for entry in data[name]:
            if entry["start_s"] is not None and entry["end_s"] is not None and entry["start_s"] > entry["end_s"]:
                yield f"{entry['id']} ends before it starts"
    starts = [entry["start_s"] for entry in data["segments"] if entry["start_s"] is not None]
    if any(one > other for one, other in pairwise(starts)):
        yield "times of segments run backwards"
    place = {segment["id"]: index for index, segment in enumerate(data["segments"])}
    told_at = [place[step["segments"][0]] for step in data["steps"] if step["segments"]]
    if told_at != sorted(told_at) and not any(_decided(step["because"]) for step in data["steps"]):
        yield "steps are not in the order of the talk"
    told = [name for section in data["sections"] for name in section["segments"]]
    if len(set(told)) != len(told) or [place[name] for name in told] != sorted(place[name] for name in told):
        yield "sections overlap or are out of order"
    for step in data["steps"] + data["refit"]:
        if not step["text"].strip():
            yield f"{step['id']} has no text"
        if not step["segments"] and step in data["steps"] and not _decided(step["because"]):
            yield f"{step['id']} cites nothing that was said"


def _decided(because: list[dict]) -> bool:
    """Whether a reviewer made the entry what it is: that needs no words of the talk."""
    return any(why["rule"].startswith("review.") for why in because)


def _put_back(data: dict) -> Iterator[str]:
    """Each step is undone once, or it is said why not, or somebody is asked."""
    undone = Counter(name for step in data["refit"] for name in step["undoes"])
    not_undone = Counter(entry["step"] for entry in data["not_undone"])
    asked = {name for flag in data["flags"] for name in flag["steps"]}
    for step in data["steps"]:
        count = undone[step["id"]] + not_undone[step["id"]]
        if count == 0 and step["id"] not in asked:
            yield f"{step['id']} ({step['text']}) is neither put back nor listed nor asked about"
        if undone[step["id"]] and not_undone[step["id"]]:
            yield f"{step['id']} ({step['text']}) is put back and listed as not put back"
        if not_undone[step["id"]] > 1:
            yield f"{step['id']} ({step['text']}) is listed twice as not put back"


def _both_ways(data: dict) -> Iterator[str]:
    """What is told at both ends of a link agrees."""
    pairs = (
        ("steps", "segments", "segments", "steps"),
        ("steps", "applies_when", "conditions", "steps"),
        ("refit", "torques", "torques", "refit"),
    )
    for one, key, other, back in pairs:
        forth = {(entry["id"], name) for entry in data[one] for name in entry[key]}
        home = {(name, entry["id"]) for entry in data[other] for name in entry[back]}
        yield from (f"{one} {a} names {b}, which does not name it" for a, b in sorted(forth - home))
        yield from (f"{other} {b} names {a}, which does not name it" for a, b in sorted(home - forth))
    fitted = {entry["id"]: entry["refit"] for entry in data["renewals"]}
    for step in data["refit"]:
        yield from (
            f"refit {step['id']} has {name}, which names {fitted[name]}"
            for name in step["renewals"]
            if fitted.get(name) != step["id"]
        )
    held = {step["id"]: step["renewals"] for step in data["refit"]}
    yield from (
        f"{name} names refit {step}, which has it not"
        for name, step in fitted.items()
        if step and name not in held[step]
    )
    flagged = {flag["id"]: flag["steps"] for flag in data["flags"]}
    for step in data["steps"]:
        yield from (
            f"{step['id']} has flag {name} of others" for name in step["flags"] if step["id"] not in flagged[name]
        )


def _spans(data: dict) -> Iterator[str]:
    texts = {entry["id"]: entry["corrected"] or entry["text"] for entry in data["segments"]}
    for flag in data["flags"]:
        for span in flag["spans"]:
            if not 0 <= span["start"] < span["end"] <= len(texts[span["segment"]]):
                yield f"flag {flag['id']} points outside its words"
    for name in ("steps", "refit", "renewals", "torques", "conditions", "cautions", "tools"):
        for entry in data[name]:
            if not entry["because"]:
                yield f"{entry['id']} has no reason"
            for why in entry["because"]:
                if why["segment"] is None and why["step"] is None and not _decided(entry["because"]):
                    yield f"{entry['id']}: a reason without words or a step"
                if why["span"] is not None and why["segment"] is not None:
                    start, end = why["span"]
                    if not 0 <= start <= end <= len(texts[why["segment"]]):
                        yield f"{entry['id']}: reason outside its words"
