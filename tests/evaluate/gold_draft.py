"""Turns the annotation of a talk into the draft that says the same: a trial draft without the pipeline."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from extract.model import Draft, Talk

SEVERITY = {
    code: "stop"
    for code in (
        "garbled",
        "misheard_number",
        "quantity_conflict",
        "replace_sense",
        "open_scope",
        "torque_implausible",
        "no_refit",
    )
}


def gold_draft(folder: Path, name: str) -> dict[str, Any]:
    """The draft (as the dict of draft.json) that the gold of a talk asks for."""
    gold = _rows(folder / f"{name}.gold.jsonl")
    refit_file = folder / f"{name}.refit.jsonl"
    return draft_of(gold, _rows(refit_file) if refit_file.exists() else None, name)


def drafts_from_gold(folder: Path) -> Callable[[Talk], dict[str, Any]]:
    """What makes the draft that the gold in this folder asks for, of each of its talks."""
    return lambda talk: gold_draft(folder, talk.name)


def draft_of(gold: list[dict[str, Any]], refit: list[dict[str, Any]] | None = None, name: str = "talk") -> dict:
    """The draft that says what these rows of gold and refit say; it is checked against the model."""
    maker = _Maker(gold, name)
    draft = maker.draft()
    if refit is not None:
        maker.add_refit(draft, refit)
    return Draft.model_validate(draft).model_dump(mode="json")


class _Maker:
    def __init__(self, gold: list[dict], name: str) -> None:
        self.gold, self.name = gold, name
        self.conditions: dict[str, dict] = {}
        self.steps: list[dict] = []
        self.renewals: list[dict] = []
        self.torques: list[dict] = []
        self.flags: list[dict] = []

    def draft(self) -> dict[str, Any]:
        segments = []
        for number, row in enumerate(self.gold):
            segment = f"u-{number}"
            begin = row.get("start_s")
            following = [later.get("start_s") for later in self.gold[number + 1 : number + 2]]
            end = row.get("end_s") or (following[0] if following and following[0] is not None else begin)
            times = {"start_s": begin, "end_s": end}
            because = [{"segment": segment, "span": [0, len(row["text"])], "rule": "annotation"}]
            governing = [self._condition(when, segment, because) for when in row["when"]]
            here = [self._step(step, segment, times, because, governing) for step in row["steps"]]
            self._entries(row, segment, because, governing)
            segments.append(
                times
                | {"id": segment, "text": row["text"], "role": row["role"], "steps": [step["id"] for step in here]}
                | {"trust": 0.0 if row["role"] == "unclear" else 1.0}
            )
        return {
            "schema": "benchtalk.draft/1",
            "made_by": "annotation",
            "title": next((row["text"] for row in self.gold if row["role"] == "heading"), None),
            "source": {
                "name": self.name,
                "format": "annotation",
                "sha256": "0" * 64,
                "duration_s": segments[-1]["end_s"],
                "language": "en",
                "times": "none" if segments[0]["start_s"] is None else "given",
            },
            "segments": segments,
            "steps": self.steps,
            "renewals": self.renewals,
            "torques": self.torques,
            "conditions": list(self.conditions.values()),
            "flags": self.flags,
        }

    def add_refit(self, draft: dict[str, Any], refit: list[dict]) -> None:
        accounted: set[str] = set()
        lines = []
        for number, row in enumerate(row for row in refit if "not_undone" not in row):
            undoes = [step["id"] for step in self.steps if _named(step, row["undoes"])]
            accounted |= set(undoes)
            because = [{"segment": None, "span": None, "rule": "annotation", "step": undoes[0] if undoes else None}]
            lines.append(
                {
                    "id": f"refit-{number}",
                    "number": number + 1,
                    "origin": row["origin"],
                    "undoes": undoes,
                    "action": row["action"],
                    "objects": [_part(one, f"refit-{number}.{at}") for at, one in enumerate(row["objects"])],
                    "text": _sentence(row),
                    "renewals": [one["id"] for one in self.renewals if one["item"] in row["renewals"]],
                    "torques": [one["id"] for one in self.torques if _torque_named(one, row["torques"])],
                    "notes": [
                        {"id": f"note-{number}.{at}", "kind": "handle", "text": text[:1].upper() + text[1:] + "."}
                        for at, text in enumerate(row["notes"])
                    ],
                    "segments": self._notes_on(row) if row["origin"] == "spoken" else [],
                    "because": because,
                }
            )
        draft["refit"] = lines
        names = [name for row in refit if "not_undone" in row for name in row["not_undone"]]
        draft["not_undone"] = [
            {"step": step["id"], "reason": "nothing to undo"}
            for step in self.steps
            if _named(step, names) and step["id"] not in accounted
        ]

    def _notes_on(self, refit_step: dict) -> list[str]:
        """Refit notes that name the part."""
        heads = [one["text"].split()[-1] for one in refit_step["objects"]]
        return [
            f"u-{number}"
            for number, row in enumerate(self.gold)
            if row["role"] == "refit_note" and any(head in row["text"] for head in heads)
        ]

    def _condition(self, when: str, segment: str, because: list[dict]) -> str:
        plain = when.lstrip("!")
        axis, _, value = plain.partition("=")
        kind = "skip" if plain == "skip" else "option" if axis == "option" else "variant"
        entry = self.conditions.setdefault(
            when,
            {
                "id": f"condition-{len(self.conditions)}",
                "kind": kind,
                "axis": axis if kind == "variant" else None,
                "value": value or None,
                "values": [],
                "negated": when.startswith("!"),
                "text": when,
                "steps": [],
                "ends": "spoken",
                "segments": [],
                "because": because,
            },
        )
        entry["segments"].append(segment)
        return entry["id"]

    def _own(self, entry: dict, segment: str, because: list[dict], governing: list[str]) -> list[str]:
        """Conditions of an entry: its own where it has some, else those of its utterance."""
        own = entry.get("when")
        return governing if own is None else [self._condition(when, segment, because) for when in own]

    def _step(self, row: dict, segment: str, times: dict, because: list[dict], governing: list[str]) -> dict:
        step = f"step-{len(self.steps)}"
        for entry in self.conditions.values():
            if entry["id"] in governing:
                entry["steps"].append(step)
        self.steps.append(
            times
            | {
                "id": step,
                "number": len(self.steps) + 1,
                "section": None,
                "action": row["action"],
                "spoken_action": row["action"],
                "objects": [_part(one, f"{step}.{at}") for at, one in enumerate(row["objects"])],
                "text": _sentence(row),
                "segments": [segment],
                "applies_when": governing,
                "confidence": 1.0,
                "done_before_camera": row.get("done", False),
                "because": because,
            }
        )
        return self.steps[-1]

    def _entries(self, row: dict, segment: str, because: list[dict], governing: list[str]) -> None:
        common = {"segments": [segment], "because": because}
        for one in row["renewals"]:
            origin = "unknown" if one["quantity"] is None else "spoken"
            self.renewals.append(
                common
                | {key: one.get(key) for key in ("item", "quantity", "kind", "replaced_by")}
                | {"id": f"renewal-{len(self.renewals)}", "count_from": origin}
                | {"applies_when": self._own(one, segment, because, governing)}
            )
        for one in row["torques"]:
            stages = one.get("stages") or [{"value_nm": one["value_nm"], "angle_deg": one["angle_deg"]}]
            has_value = one["value_nm"] is not None or one["angle_deg"] is not None
            self.torques.append(
                common
                | {key: one[key] for key in ("joint", "value_nm", "angle_deg", "reference", "scope")}
                | {
                    "id": f"torque-{len(self.torques)}",
                    "stages": stages if has_value else [],
                    "applies_when": self._own(one, segment, because, governing),
                    "check": {"status": "not_checked" if has_value else "no_value"},
                }
            )
        for code in row["flags"]:
            self.flags.append(
                {
                    "id": f"flag-{len(self.flags)}",
                    "code": code,
                    "severity": SEVERITY.get(code, "check"),
                    "message": f"Annotated: {code.replace('_', ' ')}.",
                    "segments": [segment],
                    "steps": [step["id"] for step in self.steps if segment in step["segments"]],
                    "spans": [{"segment": segment, "start": 0, "end": len(row["text"])}],
                }
            )


def _part(row: dict, part: str) -> dict:
    return {"id": part} | {key: row.get(key) for key in ("text", "quantity", "position", "direction")}


def _sentence(row: dict) -> str:
    parts = [" ".join(str(w) for w in (o.get("quantity"), o["text"], o.get("position")) if w) for o in row["objects"]]
    text = f"{row['action']} {' and '.join(f'the {part}' for part in parts)}".strip()
    return text[:1].upper() + text[1:] + "."


def _named(step: dict, names: list[str]) -> bool:
    """Whether one of "action object" is this step; particles may stand apart, objects may be shortened."""
    words = set(step["action"].split()) | {w for one in step["objects"] for w in one["text"].split()}
    return any(set(name.split()) <= words for name in names)


def _torque_named(torque: dict, names: list[str]) -> bool:
    """Whether one of "25 Nm", "90 degrees", a document or a requirement in words is this torque."""
    value = re.compile(r"(\d+(?:\.\d+)?) ?(Nm|°|deg)")
    for name in names:
        found = value.search(name)
        if found:
            key = "value_nm" if found[2] == "Nm" else "angle_deg"
            if any(stage[key] == float(found[1]) for stage in torque["stages"]):
                return True
        elif not torque["stages"] and (torque["reference"] or name) == name.strip("()"):
            return True
    return False


def _rows(file: Path) -> list[dict]:
    return [json.loads(line) for line in file.read_text(encoding="utf-8").split("\n") if line.strip()]
