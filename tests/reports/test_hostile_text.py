"""Words of a talk that try to break out of their place, in every format."""

from __future__ import annotations

import csv
import io
import itertools
import re
import zipfile

import openpyxl
import pytest
from bottom_bracket import bottom_bracket
from docx import Document
from every_writer import NAMES, all_words, mapped, outputs
from lxml import etree
from lxml import html as lxml_html
from markdown_it import MarkdownIt
from pypdf import PdfReader

from reports import Options

HOSTILE = {
    "markup": "<script>alert(1)</script> <img src=x onerror=alert(1)> & &amp; ]]> {{ 7*7 }} {% raw %}",
    "markdown": "[a](javascript:alert(1)) ![b](http://x.invalid/) `c` **d** | e | # f\n- g",
    "formula": '=HYPERLINK("http://x.invalid","y")',
    "control": "a\x00b\x07c\x1bd\x85e\u2028f\ufffeg\ufdd0h",
    "right to left": "bolt \u202egnp.exe\u202c \u2067 \u05d0\u05d1 \u200f nut",
    "one long word": "x" * 10_000,
    "subtitle": "WEBVTT --> 00:00:01.000 --> 00:00:02.000\n\nNOTE <v X>",
    "style": '"; } </style><style>body { display: none } /*',
    "empty": "",
}


@pytest.fixture(params=HOSTILE, scope="module")
def written(request: pytest.FixtureRequest) -> dict[str, bytes]:
    hostile = HOSTILE[request.param]
    every = 12 if len(hostile) > 1000 else 1  # a hundred pages of one word would test nothing more
    count = itertools.count()

    def change(text: str) -> str:
        if next(count) % every:
            return text
        return f"{hostile} {text}" if hostile else ""

    draft = mapped(bottom_bracket(), change)
    files: dict[str, bytes] = {}
    for edition in ("review", "published"):
        for name in NAMES:
            if name == "pdf" and edition == "review":
                continue
            found = outputs(name, draft, Options(edition=edition))
            files |= {f"{edition}/{file}": data for file, data in found.items()}
    return files


def picked(files: dict[str, bytes], suffix: str) -> list[bytes]:
    found = [data for name, data in files.items() if name.endswith(suffix)]
    assert found
    return found


def test_html_holds_no_foreign_element(written: dict[str, bytes]) -> None:
    for data in picked(written, ".html"):
        tree = lxml_html.fromstring(data.decode())
        assert not tree.xpath("//script | //img | //iframe | //@onerror | //@href | //@src")
        assert len(tree.xpath("//style")) == 1
        assert tree.xpath("//main//section")
        assert "}" in tree.xpath("string(//style)") and "49" not in tree.xpath("string(//h1)")


def test_markdown_holds_no_html_link_or_picture(written: dict[str, bytes]) -> None:
    for data in picked(written, ".md"):
        tokens = MarkdownIt("commonmark").enable("table").parse(data.decode())
        inline = {child.type for token in tokens for child in token.children or ()}
        assert not inline & {"link_open", "image", "html_inline"}
        assert "html_block" not in {token.type for token in tokens}


def test_xml_is_well_formed(written: dict[str, bytes]) -> None:
    for suffix in (".dita", ".ditamap", "procedure.xml"):
        for data in picked(written, suffix):
            tree = etree.fromstring(data)
            assert not tree.xpath("//*[local-name()='script' or local-name()='img']")


def test_spreadsheet_cells_are_text(written: dict[str, bytes]) -> None:
    for data in picked(written, ".xlsx"):
        book = openpyxl.load_workbook(io.BytesIO(data))
        cells = [cell for sheet in book for row in sheet for cell in row]
        assert not [cell.coordinate for cell in cells if cell.data_type == "f" or cell.hyperlink]


def test_csv_cells_run_nothing(written: dict[str, bytes]) -> None:
    for data in picked(written, ".csv"):
        for row in csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")):
            assert not [cell for cell in row if re.match(r"\s*[=+\-@]\D", cell)]


def test_word_processor_document_opens(written: dict[str, bytes]) -> None:
    for data in picked(written, ".docx"):
        document = Document(io.BytesIO(data))
        assert [p for p in document.paragraphs if p.style.name == "Step"]
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            for name in archive.namelist():
                if name.endswith((".xml", ".rels")):
                    etree.fromstring(archive.read(name))


def test_pdf_opens_and_stays_on_its_pages(written: dict[str, bytes]) -> None:
    for data in picked(written, ".pdf"):
        reader = PdfReader(io.BytesIO(data))
        assert all(page.mediabox.width == pytest.approx(595.28, abs=1) for page in reader.pages)
        assert "/URI" not in "".join(str(page.get("/Annots", "")) for page in reader.pages)


def test_captions_keep_one_cue_a_line(written: dict[str, bytes]) -> None:
    for data in picked(written, ".vtt"):
        lines = data.decode().splitlines()
        for number, line in enumerate(lines):
            if "-->" in line:
                assert re.fullmatch(r"\d\d:\d\d:\d\d\.\d{3} --> \d\d:\d\d:\d\d\.\d{3}", line)
                assert lines[number - 1].isdigit()


def test_no_control_and_no_reordering_character_in_a_document(written: dict[str, bytes]) -> None:
    for name, data in written.items():
        if name.endswith(".json"):
            continue  # the draft keeps every character of the talk, escaped by JSON
        assert not re.search("[\x00-\x08\x0b\x0e-\x1f\x7f\u202a-\u202e\u2066-\u2069]", all_words(name, data)), name
