"""The demo talks are drafted as well as ever: floors for every score, which only go up."""

from __future__ import annotations

from pathlib import Path

import pytest

from extract.evaluate import check_floors, evaluate_folder, load_floors

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def report():
    return evaluate_folder(ROOT / "corpora_demo")


def test_no_score_falls_below_its_floor(report):
    assert check_floors(report, load_floors(ROOT / "tests" / "floors.json")) == []


def test_every_word_of_every_talk_is_in_the_draft(report):
    assert report.scores["text_agreement"] == 1.0
