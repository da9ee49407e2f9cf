from __future__ import annotations

import io
from collections import Counter

import pytest
from bottom_bracket import bottom_bracket
from pypdf import PdfReader

from extract.model import Draft, Note, SignOff
from reports import Options
from reports.pdf import write


def read(draft: Draft, options: Options) -> PdfReader:
    return PdfReader(io.BytesIO(write(draft, options)["procedure.pdf"]))


@pytest.fixture(scope="module")
def long_one() -> PdfReader:
    """60 steps, each between two signs, with notes that make it high."""
    draft = bottom_bracket()
    steps = []
    for number in range(60):
        notes = tuple(
            Note(id=f"n{number}-{i}", kind="handle", text=f"Keep part {i} of many parts apart from the others")
            for i in range(number % 5)
        )
        steps.append(
            draft.steps[1].model_copy(
                update={
                    "id": f"x{number}",
                    "text": f"Begin{number:03} remove the plate.",
                    "notes": (*notes, Note(id=f"z{number}", kind="handle", text=f"Finish{number:03}")),
                }
            )
        )
    draft = draft.model_copy(update={"steps": tuple(steps), "cautions": (), "conditions": ()})
    return read(draft, Options())


def bookmarks(reader: PdfReader, outline: list | None = None, level: int = 0) -> list[tuple[int, str]]:
    found = []
    for mark in reader.outline if outline is None else outline:
        found += bookmarks(reader, mark, level + 1) if isinstance(mark, list) else [(level, mark.title)]
    return found


def test_bookmarks_follow_the_headings(draft: Draft) -> None:
    marks = bookmarks(read(draft, Options()))
    assert marks[0] == (0, "Bottom bracket: removal and refit")
    assert [(level, name) for level, name in marks if name in ("Removal", "Cranks", "Bearing unit", "Refit")] == [
        (1, "Removal"),
        (2, "Cranks"),
        (2, "Bearing unit"),
        (1, "Refit"),
    ]


def test_the_text_reads_back(draft: Draft) -> None:
    text = " ".join(page.extract_text() for page in read(draft, Options()).pages).replace("\n", " ")
    for step in (*draft.steps, *draft.refit):
        assert step.text in text
    assert "40 N·m" in text and "crank bolt" in text


def test_it_is_tagged(draft: Draft) -> None:
    root = read(draft, Options()).trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en-GB"
    metadata = root["/Metadata"].get_object().get_data().decode()
    assert "pdfuaid" in metadata


def test_every_page_has_its_number_title_and_state(long_one: PdfReader) -> None:
    count = len(long_one.pages)
    assert count > 4
    for number, page in enumerate(long_one.pages, 1):
        text = page.extract_text()
        assert f"Page {number} of {count}" in text
        assert "Bottom bracket: removal and refit · WP-12 · Revision 2" in text
        assert "Draft, not reviewed" in text


def test_no_step_is_broken_over_a_page(long_one: PdfReader) -> None:
    pages = [page.extract_text() for page in long_one.pages]
    for number in range(60):
        first = next(i for i, text in enumerate(pages) if f"Begin{number:03}" in text)
        last = next(i for i, text in enumerate(pages) if f"Finish{number:03}" in text)
        assert first == last


@pytest.mark.parametrize(
    ("state", "head", "words"),
    [
        ("unsigned", "Draft, not reviewed", "Draft: not reviewed. Do not work from it."),
        ("changed", "Changed after sign-off", "Changed after sign-off by A. Reviewer: not valid"),
        ("signed", None, "Reviewed and signed by A. Reviewer, 2026-01-02"),
    ],
)
def test_the_state_of_the_signature_is_said(draft: Draft, state: str, head: str | None, words: str) -> None:
    signed = draft.model_copy(update={"signed": SignOff(by="A. Reviewer", at="2026-01-02", hash="0" * 64)})
    pages = [page.extract_text().replace("\n", " ") for page in read(signed, Options(signature=state)).pages]
    assert words in pages[0]
    for page in pages:
        assert ("Draft, not reviewed" in page) is (head == "Draft, not reviewed")
        assert ("Changed after sign-off" in page) is (head == "Changed after sign-off")


def structure(reader: PdfReader) -> Counter[str]:
    """How often each kind of tag stands in the structure tree."""
    found: Counter[str] = Counter()
    nodes = [reader.trailer["/Root"]["/StructTreeRoot"]]
    while nodes:
        node = nodes.pop()
        node = node.get_object() if hasattr(node, "get_object") else node
        if isinstance(node, list):
            nodes.extend(node)
        elif isinstance(node, dict):
            found.update([node["/S"]] if "/S" in node else [])
            nodes.extend([node["/K"]] if "/K" in node else [])
    return found


def test_headings_lists_and_tables_are_tagged_as_such(draft: Draft) -> None:
    tags = structure(read(draft, Options()))
    assert tags["/H1"] == 1
    assert tags["/H2"] >= 8 and tags["/H3"] == 3
    assert tags["/LI"] >= len(draft.steps) + len(draft.refit)
    assert tags["/Table"] >= 4 and tags["/TH"] >= 12
