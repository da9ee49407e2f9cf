from __future__ import annotations

import io
import zipfile

import pytest
from docx import Document
from docx.document import Document as DocxDocument

from extract.model import Document as JobDocument
from extract.model import Draft
from reports import Options
from reports.docx import write


@pytest.fixture(scope="module")
def read_back(draft: Draft) -> DocxDocument:
    options = Options(document=JobDocument(author="R. Okafor"))
    return Document(io.BytesIO(write(draft, options)["procedure.docx"]))


def styled(document: DocxDocument, style: str) -> list[str]:
    return [p.text for p in document.paragraphs if p.style.name == style]


def test_headings_are_headings(read_back: DocxDocument) -> None:
    assert styled(read_back, "Title") == ["Bottom bracket: removal and refit"]
    headings = styled(read_back, "Heading 1")
    assert headings[:2] == ["What applies to what", "Cautions"]
    assert [h for h in headings if h in ("Removal", "Refit", "Parts to renew", "Tightening values")] == [
        "Parts to renew",
        "Removal",
        "Refit",
        "Tightening values",
    ]
    assert styled(read_back, "Heading 2")[:2] == ["Cranks", "Bearing unit"]


def test_steps_are_a_numbered_list(read_back: DocxDocument, draft: Draft) -> None:
    steps = styled(read_back, "Step")
    assert len(steps) == len(draft.steps)
    assert steps[3].startswith("Only for shell: threaded\nUnscrew")
    numbering = read_back.styles["Step"].element.pPr.numPr
    assert numbering is not None
    assert read_back.styles["Step"].base_style.name == "List Number"
    assert len(styled(read_back, "Refit step")) == len(draft.refit)


def test_tables_hold_the_lists(read_back: DocxDocument) -> None:
    cells = [[cell.text for cell in row.cells] for table in read_back.tables for row in table.rows]
    assert ["2", "crank bolt", "", "steps 1 and R3"] in cells
    assert any(row[0] == "crank bolts" and "40 N·m" in row[2] for row in cells)
    assert any(row[0] == "WARNING" and "Wear eye protection" in row[1] for row in cells)


def test_a_caution_stands_before_its_step(read_back: DocxDocument) -> None:
    body = read_back.element.body.xpath(".//w:t")
    words = [node.text for node in body]
    work = words.index("Removal")
    caution = next(i for i, text in enumerate(words) if i > work and text.startswith("Keep hands clear"))
    assert caution < words.index("Remove the two crank bolts.")


def test_every_page_names_title_revision_and_state(read_back: DocxDocument) -> None:
    header = read_back.sections[0].header.paragraphs[0].text
    assert header == "Bottom bracket: removal and refit · WP-12 · Revision 2\tDraft, not reviewed"


def test_properties_carry_no_time_and_no_template(draft: Draft, read_back: DocxDocument) -> None:
    core = read_back.core_properties
    assert (core.title, core.author, core.comments) == ("Bottom bracket: removal and refit", "R. Okafor", "")
    assert core.created == core.modified
    with zipfile.ZipFile(io.BytesIO(write(draft, Options())["procedure.docx"])) as archive:
        assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert not [name for name in archive.namelist() if "thumbnail" in name]
