"""Tightening requirements in sentences as people tell them (`torques_told.txt`, made up for the project)."""

from __future__ import annotations

from pathlib import Path

import pytest
from spoken_sentences import hear_sentences

from extract.findings.torques import find_torques
from extract.speech import StageFound, TorqueFound

TOLD = [
    line.split("=>")
    for line in Path(__file__).with_name("torques_told.txt").read_text(encoding="utf-8").splitlines()
    if line.strip() and not line.startswith("#")
]


def stage(one: StageFound) -> str:
    return f"{one.value_nm:g}" if one.value_nm is not None else f"{one.angle_deg:g}°"


def written(torque: TorqueFound) -> str:
    parts = [f"{torque.joint}:", *map(stage, torque.stages), torque.reference or ""]
    return " ".join(part for part in [*parts, "" if torque.scope == "step" else torque.scope] if part)


@pytest.mark.parametrize(("told", "expected"), TOLD, ids=[told.strip() for told, _ in TOLD])
def test_how_tight(told, expected):
    heard, _, _ = hear_sentences([sentence.strip() for sentence in told.split(" / ")])
    found = [written(torque).lower() for torque in find_torques(heard, frozenset())]
    assert found == [part.strip().lower() for part in expected.split(";") if part.strip()]
