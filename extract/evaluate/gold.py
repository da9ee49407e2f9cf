"""Reads the annotation of a talk: utterances (`NAME.gold.jsonl`) and refit (`NAME.refit.jsonl`).

Both files are JSON Lines. Joined with single spaces, the texts of the utterances are the transcript.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from extract.errors import GoldError
from extract.model import Role

FlagCode = Literal[
    "garbled",
    "misheard_term",
    "misheard_number",
    "repeated",
    "missing_object",
    "ambiguous_reference",
    "vague_quantity",
    "quantity_conflict",
    "replace_sense",
    "unusual_action",
    "open_scope",
    "torque_no_value",
    "torque_implausible",
    "state_conflict",
    "no_refit",
    "self_correction",
    "silent_gap",
    "missing_precaution",
    "unread",
    "weak_reading",
]

GOLD_SUFFIX = ".gold.jsonl"
REFIT_SUFFIX = ".refit.jsonl"
#: Files that describe a talk where they stand beside its transcript.
_NOTES = {".md"}


class _Gold(BaseModel):
    model_config = ConfigDict(frozen=True, extra="ignore")


class GoldObject(_Gold):
    """A part that an act is done to."""

    text: str = Field(min_length=1)
    quantity: int | None = None
    position: str | None = None
    direction: str | None = None


class GoldStep(_Gold):
    """An act and its parts."""

    action: str = Field(min_length=1)
    objects: tuple[GoldObject, ...] = ()
    done: bool = False


class GoldRenewal(_Gold):
    """A part or material that must be new."""

    item: str = Field(min_length=1)
    quantity: int | None = None
    kind: Literal["renew", "substitute", "consumable"]
    replaced_by: str | None = None


class GoldStage(_Gold):
    """One stage of tightening: newton metres, degrees, or both."""

    value_nm: float | None = None
    angle_deg: float | None = None


class GoldTorque(_Gold):
    """A tightening requirement."""

    joint: str | None = None
    value_nm: float | None = None
    angle_deg: float | None = None
    reference: str | None = None
    scope: Literal["step", "onward", "all"] = "step"
    stages: tuple[GoldStage, ...] = ()
    when: tuple[str, ...] = ()


class GoldUtterance(_Gold):
    """One line of the gold file. `said` is there only where a recogniser wrote the text."""

    start_s: float | None = None
    text: str = Field(min_length=1)
    said: str | None = None
    role: Role
    steps: tuple[GoldStep, ...]
    renewals: tuple[GoldRenewal, ...]
    torques: tuple[GoldTorque, ...]
    when: tuple[str, ...]
    flags: tuple[FlagCode, ...]


class GoldRefitStep(_Gold):
    """One line of the refit file."""

    action: str = Field(min_length=1)
    objects: tuple[GoldObject, ...]
    origin: Literal["spoken", "derived"]
    undoes: tuple[str, ...]
    renewals: tuple[str, ...]
    torques: tuple[str, ...]
    notes: tuple[str, ...]
    when: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class GoldRefit:
    """The refit in working order, and the removal steps that need no undoing ("action object")."""

    steps: tuple[GoldRefitStep, ...]
    not_undone: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class GoldTalk:
    """A transcript file with its annotations; `refit` is null where nobody wrote one."""

    name: str
    path: Path
    utterances: tuple[GoldUtterance, ...]
    refit: GoldRefit | None


def parse_gold(rows: Iterable[tuple[int, Any]], file: str | Path | None = None) -> tuple[GoldUtterance, ...]:
    """Check numbered rows of a gold file. Raises GoldError naming file and line."""
    utterances = tuple(_checked(GoldUtterance, row, file, line) for line, row in rows)
    if not utterances:
        raise GoldError("There is no utterance in it.", file=file, remedy="Write one line per utterance, in order.")
    return utterances


def parse_refit(rows: Iterable[tuple[int, Any]], file: str | Path | None = None) -> GoldRefit:
    """Check numbered rows of a refit file; a row with `not_undone` may stand anywhere. Raises GoldError."""
    steps: list[GoldRefitStep] = []
    not_undone: list[str] = []
    for line, row in rows:
        if isinstance(row, dict) and "not_undone" in row:
            names = row["not_undone"]
            if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
                raise GoldError('"not_undone" must be a list of "action object" strings.', file=file, line=line)
            not_undone += names
        else:
            steps.append(_checked(GoldRefitStep, row, file, line))
    return GoldRefit(tuple(steps), tuple(not_undone))


def read_gold_talks(folder: str | Path, only: str | None = None) -> list[GoldTalk]:
    """Read every annotated talk of a folder, by name; `only` keeps the talks whose name contains it."""
    folder = Path(folder)
    if not folder.is_dir():
        raise GoldError("There is no such folder.", file=folder, remedy="Name the folder that holds the talks.")
    files = sorted(folder.glob(f"*{GOLD_SUFFIX}"))
    if not files:
        raise GoldError(
            "The folder has no annotated talk.",
            file=folder,
            remedy=f"Put NAME{GOLD_SUFFIX} beside each transcript that is to be measured.",
        )
    names = [file.name.removesuffix(GOLD_SUFFIX) for file in files]
    chosen = [(name, file) for name, file in zip(names, files, strict=True) if only is None or only in name]
    if not chosen:
        raise GoldError(f'No annotated talk is named like "{only}".', file=folder, remedy=f"Talks: {', '.join(names)}.")
    return [_read_talk(name, file) for name, file in chosen]


def _read_talk(name: str, gold_file: Path) -> GoldTalk:
    refit_file = gold_file.with_name(name + REFIT_SUFFIX)
    return GoldTalk(
        name=name,
        path=_transcript(name, gold_file),
        utterances=parse_gold(_rows(gold_file), gold_file),
        refit=parse_refit(_rows(refit_file), refit_file) if refit_file.exists() else None,
    )


def _transcript(name: str, gold_file: Path) -> Path:
    found = [
        file for file in sorted(gold_file.parent.iterdir()) if file.is_file() and file.stem == name and file.suffix
    ]
    # Notes beside a transcript describe it; alone they are the transcript.
    found = [file for file in found if file.suffix not in _NOTES] or found
    if len(found) != 1:
        listed = ", ".join(file.name for file in found) or "none"
        raise GoldError(
            f"There must be exactly one transcript beside it; found: {listed}.",
            file=gold_file,
            remedy=f"Name the transcript {name} with the suffix of its format.",
        )
    return found[0]


def _rows(file: Path) -> list[tuple[int, Any]]:
    rows: list[tuple[int, Any]] = []
    try:
        text = file.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        raise GoldError("It is not UTF-8 text.", file=file, remedy="Save it as UTF-8.") from error
    # split on line feeds only: JSON strings may hold other line separators
    for number, line in enumerate(text.split("\n"), start=1):
        if not line.strip():
            continue
        try:
            rows.append((number, json.loads(line)))
        except json.JSONDecodeError as error:
            raise GoldError(
                f"This line is no JSON object: {error.msg} at character {error.pos}.",
                file=file,
                line=number,
                remedy="Write one JSON object a line.",
            ) from error
    return rows


def _checked(kind: type[_Gold], row: Any, file: str | Path | None, line: int) -> Any:
    try:
        return kind.model_validate(row)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"]) or "the line"
        value = "" if first["type"] == "missing" else f" (it is {first['input']!r:.60})"
        raise GoldError(
            f"{where}: {first['msg']}{value}.", file=file, line=line, remedy="Mend the annotation."
        ) from error
