"""The documents in the programs that people open them with: a browser and an office suite.

axe-core (npm, WCAG 2.2 rules that a program can check): folder in BENCHTALK_NODE_MODULES.
"""

from __future__ import annotations

import io
import os
import shutil
import subprocess
from pathlib import Path

import pytest
from bottom_bracket import bottom_bracket
from every_writer import mapped, outputs
from pypdf import PdfReader

from extract.model import Draft
from reports import Options, write_case_files

pytestmark = pytest.mark.programs

AXE = Path(os.environ.get("BENCHTALK_NODE_MODULES", "node_modules")) / "axe-core" / "axe.min.js"
CHROMIUM = os.environ.get("BENCHTALK_CHROMIUM", "/usr/bin/chromium")


@pytest.fixture(scope="module")
def browser():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as tools:
        found = tools.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield found
        found.close()


def pages() -> dict[str, bytes]:
    return {
        "review": write_case_files(bottom_bracket())["draft.html"],
        "published": outputs("html", bottom_bracket(), Options())["procedure.html"],
        "long words": write_case_files(mapped(bottom_bracket(), lambda text: f"{'w' * 300} {text}"))["draft.html"],
    }


@pytest.mark.parametrize("name", ["review", "published", "long words"])
@pytest.mark.parametrize("width", [360, 1280])
def test_a_page_is_accessible_and_fits_its_window(browser, tmp_path: Path, name: str, width: int) -> None:
    file = tmp_path / "page.html"
    file.write_bytes(pages()[name])
    context = browser.new_context(viewport={"width": width, "height": 800}, bypass_csp=True)
    asked: list[str] = []
    page = context.new_page()
    page.on("request", lambda request: asked.append(request.url))
    page.goto(file.as_uri())
    assert asked == [file.as_uri()]
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    page.evaluate(AXE.read_text())
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    found = page.evaluate("tags => axe.run({runOnly: {type: 'tag', values: tags}})", tags)
    assert [(v["id"], [n["html"][:120] for n in v["nodes"]]) for v in found["violations"]] == []
    context.close()


def test_a_page_prints_on_a4(browser, tmp_path: Path) -> None:
    file = tmp_path / "page.html"
    file.write_bytes(pages()["review"])
    page = browser.new_page()
    page.goto(file.as_uri())
    printed = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True, print_background=False)))
    assert all(p.mediabox.width == pytest.approx(595.3, abs=2) for p in printed.pages)
    words = " ".join(p.extract_text() for p in printed.pages).replace("\n", " ")
    for step in (*bottom_bracket().steps, *bottom_bracket().refit):
        assert step.text in words
    page.close()


def opened_by_office(name: str, data: bytes, folder: Path) -> PdfReader:
    program = shutil.which("soffice")
    assert program, "install libreoffice"
    file = folder / name
    file.write_bytes(data)
    profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    command = [program, profile, "--headless", "--convert-to", "pdf", "--outdir", str(folder), str(file)]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    return PdfReader(file.with_suffix(".pdf"))


def test_the_word_processor_document_opens(draft: Draft, tmp_path: Path) -> None:
    pages = opened_by_office("p.docx", outputs("docx", draft, Options())["procedure.docx"], tmp_path).pages
    words = " ".join(page.extract_text() for page in pages).replace("\n", " ")
    for step in (*draft.steps, *draft.refit):
        assert step.text in words
    assert "R1" in words and "R3" in words  # the list's own numbers
    assert f"Page 1 of {len(pages)}" in words
    assert all("Draft, not reviewed" in page.extract_text() for page in pages)


def test_the_workbook_opens_with_a_page_for_each_sheet(draft: Draft, tmp_path: Path) -> None:
    pages = opened_by_office("l.xlsx", outputs("xlsx", draft, Options())["lists.xlsx"], tmp_path).pages
    assert len(pages) == 5
    assert "crank bolt" in pages[1].extract_text()
    assert "40 N·m" in pages[3].extract_text()
