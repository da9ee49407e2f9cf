"""A new kind of part that the talk names again and again."""

from __future__ import annotations

import pytest

import extract
from extract.procedure import belongings


def test_a_substitute_named_again_is_one_name_of_its_step(tmp_path, monkeypatch: pytest.MonkeyPatch) -> None:
    talk = tmp_path / "talk.txt"
    again = "The rivet is replaced by a screw. " * 6
    talk.write_text(f"Drill out the rivet and take the plate off. {again}Refitting is the reverse of removal.\n")
    seen = []
    placed = belongings.place_torques

    def look(attached, units, told):
        seen.extend(unit for unit in units if unit.substitutes)
        return placed(attached, units, told)

    monkeypatch.setattr(belongings, "place_torques", look)
    extract.draft(talk)
    assert [[name.head for name in unit.substitutes] for unit in seen] == [["screw"]]
