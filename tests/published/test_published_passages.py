"""The main job on passages of US government manuals (`passages.toml` names document, paragraph and address).

The program reads them as a plain text talk. The floors are what is reached, not what is wished for.
"""

from __future__ import annotations

from collections import Counter

import pytest
from published_passages import acts_of, draft_of, entries, measure_passage, share, singular

from extract.lexicon import load

PASSAGES = entries("passages.toml", "passage")
FLOORS = {"acts": 0.9, "counts": 0.95, "renewals": 0.9, "values": 0.6}


@pytest.fixture(scope="module")
def counts(tmp_path_factory) -> Counter:
    folder = tmp_path_factory.mktemp("passages")
    total: Counter = Counter()
    for passage in PASSAGES:
        total += measure_passage(passage, draft_of(passage["text"], folder))
    return total


def test_there_are_passages_of_several_documents():
    assert len(PASSAGES) >= 12
    assert len({passage["document"] for passage in PASSAGES}) >= 10
    assert len({passage["id"] for passage in PASSAGES}) == len(PASSAGES)


def test_every_expected_part_and_mark_stands_in_its_passage():
    for passage in PASSAGES:
        text = " ".join(passage["text"].lower().split())
        names = [act[1] for act in passage["acts"]] + passage.get("discard", []) + passage.get("new", [])
        for name in names:
            assert name.split()[-1].rstrip("s") in text, (passage["id"], name)


@pytest.mark.parametrize("name", FLOORS)
def test_what_is_found_reaches_its_floor(counts, name):
    assert share(counts, name) >= FLOORS[name], dict(counts)


def test_acts_that_the_manuals_do_not_have_are_few(counts):
    assert counts["acts found"] / counts["acts made"] >= 0.94, dict(counts)


def test_nine_in_ten_part_names_are_known_to_the_lexicon():
    lexicon = load()
    names = sorted({singular(act[1]) for passage in PASSAGES for act in passage["acts"]})
    unknown = [name for name in names if not _known(lexicon, name)]
    assert len(unknown) <= 0.1 * len(names), unknown


def _known(lexicon, name: str) -> bool:
    """The whole name, or its head with modifiers in front, is a term of the lexicon."""
    words = name.split()
    return any(lexicon.term(" ".join(words[start:])) for start in range(len(words)))


def test_no_passage_is_read_without_any_act(tmp_path):
    silent = [passage["id"] for passage in PASSAGES if not acts_of(draft_of(passage["text"], tmp_path))]
    assert silent == []
