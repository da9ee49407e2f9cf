"""Renewals in sentences as people of several countries tell them (`renewals_told.txt`, made up for the project)."""

from __future__ import annotations

from pathlib import Path

import pytest
from spoken_sentences import hear_sentences

from extract.findings.renewals import find_renewals

KINDS = {"renew": "n", "consumable": "c", "substitute": "s"}
TOLD = [
    line.split("=>")
    for line in Path(__file__).with_name("renewals_told.txt").read_text(encoding="utf-8").splitlines()
    if line.strip() and not line.startswith("#")
]


@pytest.mark.parametrize(("told", "expected"), TOLD, ids=[told.strip() for told, _ in TOLD])
def test_what_must_be_new(told, expected):
    heard, phases, actions = hear_sentences([sentence.strip() for sentence in told.split(" / ")])
    found = []
    for one in find_renewals(heard, phases, actions, frozenset()):
        count = f" {one.quantity}" if one.quantity not in (None, 1) else ""
        found.append(f"{KINDS[one.kind]} {one.item}{count}" + (f" > {one.replaced_by}" if one.replaced_by else ""))
    assert sorted(found) == sorted(part.strip() for part in expected.split(";") if part.strip())
