"""The procedure as a word processor document with real heading and list styles, so that the team can go on in it."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import UTC, datetime

from docx import Document
from docx.document import Document as DocxDocument
from docx.enum.style import WD_STYLE_TYPE
from docx.enum.text import WD_TAB_ALIGNMENT
from docx.opc.constants import RELATIONSHIP_TYPE as RT
from docx.oxml import OxmlElement, parse_xml
from docx.oxml.ns import nsdecls, qn
from docx.shared import Cm, Pt, RGBColor
from docx.table import _Cell
from docx.text.paragraph import Paragraph

from extract.model import Draft
from reports.archive import fixed_zip
from reports.base import Options
from reports.text import time_code, with_marks
from reports.view import Paper, view
from reports.view_model import CautionView, FlagView, LineView, StepView

INK = RGBColor(0x1B, 0x1B, 0x19)
SOFT = RGBColor(0x5B, 0x5A, 0x55)
FONT = "Liberation Sans"
TEXT_WIDTH_CM = 17.0
# Background and text of the signal words: safety colours, always with the word itself.
SIGNALS = {
    "DANGER": ("A30F1E", RGBColor(0xFF, 0xFF, 0xFF)),
    "WARNING": ("F08A1D", RGBColor(0, 0, 0)),
    "CAUTION": ("F7D038", RGBColor(0, 0, 0)),
    "NOTICE": ("20539B", RGBColor(0xFF, 0xFF, 0xFF)),
}


def write(draft: Draft, options: Options) -> dict[str, bytes]:
    """Write `procedure.docx`."""
    paper = view(draft, options)
    out = io.BytesIO()
    _Layout(paper).document().save(out)
    return {"procedure.docx": fixed_zip(out.getvalue())}


class _Layout:
    def __init__(self, paper: Paper) -> None:
        self.paper = paper
        self.doc: DocxDocument = Document()
        self._page()
        self._styles()
        self._properties()

    # ----------------------------------------------------------------- frame

    def _page(self) -> None:
        section = self.doc.sections[0]
        section.page_width, section.page_height = Cm(21.0), Cm(29.7)
        section.left_margin = section.right_margin = Cm(2.0)
        section.top_margin, section.bottom_margin = Cm(2.3), Cm(2.0)
        section.header_distance = section.footer_distance = Cm(1.0)
        head = section.header.paragraphs[0]
        _right_tab(head)
        head.add_run(self.paper.running_title)
        if self.paper.running_right:
            head.add_run("\t" + self.paper.running_right).bold = True
        foot = section.footer.paragraphs[0]
        _right_tab(foot)
        foot.add_run("\tPage ")
        _field(foot, "PAGE")
        foot.add_run(" of ")
        _field(foot, "NUMPAGES")

    def _styles(self) -> None:
        styles = self.doc.styles
        sizes = {"Title": 21, "Heading 1": 15, "Heading 2": 12.5, "Header": 8.5, "Footer": 8.5, "Normal": 10.5}
        for name, size in sizes.items():
            font = styles[name].font
            font.name, font.size, font.color.rgb = FONT, Pt(size), INK
            fonts = styles[name].element.get_or_add_rPr().get_or_add_rFonts()
            for key in list(fonts.attrib):
                if key.endswith("Theme"):
                    del fonts.attrib[key]
            for key in ("w:ascii", "w:hAnsi", "w:cs", "w:eastAsia"):
                fonts.set(qn(key), FONT)
        language = OxmlElement("w:lang")
        language.set(qn("w:val"), self.paper.language)
        styles["Normal"].element.get_or_add_rPr().append(language)
        spacing = {"Title": (0, 6), "Heading 1": (20, 6), "Heading 2": (12, 4), "Normal": (0, 4)}
        for name in ("Header", "Footer"):
            properties = styles[name].element.get_or_add_pPr()
            for tabs in properties.findall(qn("w:tabs")):
                properties.remove(tabs)
        styles["Title"].font.bold = True
        for name, (before, after) in spacing.items():
            form = styles[name].paragraph_format
            form.space_before, form.space_after = Pt(before), Pt(after)
        title = styles["Title"].element.get_or_add_pPr()
        for border in title.findall(qn("w:pBdr")):
            title.remove(border)
        _border(styles["Heading 1"].element.get_or_add_pPr(), "top", 18)
        small = styles.add_style("Small", WD_STYLE_TYPE.PARAGRAPH)
        small.base_style = styles["Normal"]
        small.font.size, small.font.color.rgb = Pt(9), SOFT
        for name, lead, number in (("Step", "%1", 901), ("Refit step", "R%1", 902)):
            self._numbering(number, lead)
            step = styles.add_style(name, WD_STYLE_TYPE.PARAGRAPH)
            step.base_style = styles["List Number"]
            step.font.size = Pt(11.5)
            step.paragraph_format.space_before = Pt(8)
            _no_contextual_spacing(step)
            step.paragraph_format.space_after = Pt(2)
            step.paragraph_format.keep_together = True
            properties = step.element.get_or_add_pPr()
            for old in properties.findall(qn("w:numPr")):
                properties.remove(old)
            properties.insert(0, parse_xml(f'<w:numPr {nsdecls("w")}><w:numId w:val="{number}"/></w:numPr>'))
        detail = styles.add_style("Step detail", WD_STYLE_TYPE.PARAGRAPH)
        detail.base_style = styles["Normal"]
        detail.paragraph_format.left_indent = Cm(1.3)
        detail.paragraph_format.space_after = Pt(1)
        detail.paragraph_format.keep_together = True

    def _numbering(self, number: int, lead: str) -> None:
        """Add a numbered list definition of its own, so that numbers run through all sections."""
        numbering = self.doc.part.numbering_part.element
        abstract = parse_xml(
            f'<w:abstractNum {nsdecls("w")} w:abstractNumId="{number}"><w:multiLevelType w:val="singleLevel"/>'
            f'<w:lvl w:ilvl="0"><w:start w:val="1"/><w:numFmt w:val="decimal"/><w:lvlText w:val="{lead}"/>'
            '<w:lvlJc w:val="left"/><w:pPr><w:tabs><w:tab w:val="num" w:pos="737"/></w:tabs>'
            '<w:ind w:left="737" w:hanging="737"/></w:pPr><w:rPr><w:b/><w:sz w:val="26"/></w:rPr></w:lvl>'
            "</w:abstractNum>"
        )
        first = numbering.find(qn("w:num"))
        if first is not None:
            first.addprevious(abstract)
        else:
            numbering.append(abstract)
        numbering.append(
            parse_xml(f'<w:num {nsdecls("w")} w:numId="{number}"><w:abstractNumId w:val="{number}"/></w:num>')
        )

    def _properties(self) -> None:
        links = self.doc.part.package.rels
        for key in [k for k, link in links.items() if link.reltype == RT.THUMBNAIL]:
            del links[key]  # the template's own picture
        core = self.doc.core_properties
        fields = dict(self.paper.fields)
        core.title = self.paper.title[:255]
        core.author = core.last_modified_by = fields.get("Author", "")[:255]
        core.comments = core.keywords = core.category = ""
        core.subject = self.paper.kind
        core.language = self.paper.language
        core.revision = 1
        core.created = core.modified = datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)

    # ----------------------------------------------------------------- content

    def document(self) -> DocxDocument:
        p, doc = self.paper, self.doc
        doc.add_paragraph(p.title, style="Title")
        doc.add_paragraph(p.kind, style="Small")
        if p.variant:
            _bold(doc.add_paragraph("Edition for "), p.variant)
        for line in p.status:
            _bold(doc.add_paragraph(), line)
        if p.fields:
            self._table((), p.fields, (4.2, 12.8), bold=0)
        if p.open_summary:
            _bold(doc.add_paragraph(), f"{p.open_summary}.")
        if p.conditions:
            doc.add_heading("What applies to what", 1)
            self._table(("Applies", "Where"), [(c.label, c.where) for c in p.conditions], (12.5, 4.5))
        doc.add_heading("Cautions", 1)
        for caution in p.cautions:
            self._caution(caution, place=True)
        if not p.cautions:
            doc.add_paragraph(p.no_caution)
        defers = doc.add_paragraph()
        defers.paragraph_format.space_before = Pt(8)
        _bold(defers, p.defers)
        self._lists()
        doc.add_heading(p.work_title, 1)
        for section in p.work:
            if section.title:
                doc.add_heading(section.title, 2)
            for step in section.steps:
                self._step(step, "Step")
        if not p.work:
            doc.add_paragraph("No steps.")
        if p.not_undone:
            doc.add_heading("Not put back", 2)
            for label, reason in p.not_undone:
                doc.add_paragraph(f"{label}: {reason}")
        doc.add_heading(p.refit_title, 1)
        for step in p.refit:
            self._step(step, "Refit step")
        if not p.refit:
            doc.add_paragraph("No refit steps.")
        self._torques()
        if p.close_out:
            doc.add_heading("Close-out", 1)
            self._table(("", "Done"), [(line, "☐") for line in p.close_out], (15.2, 1.8))
            doc.add_paragraph(
                "Done by ____________________    Date ____________________"
            ).paragraph_format.space_before = Pt(18)
        if p.open_points:
            doc.add_heading("Open points", 1)
            for flag in p.open_points:
                self._flag(doc.add_paragraph(), flag, place=True)
        doc.add_paragraph(f"Made from “{p.source}” by {p.made_by}.", style="Small").paragraph_format.space_before = Pt(
            18
        )
        return doc

    def _step(self, step: StepView, style: str) -> None:
        for caution in step.cautions:
            self._caution(caution, place=False)
        if step.skip:
            paragraph = self.doc.add_paragraph(style="Step detail")
            paragraph.add_run(step.skip).italic = True
            paragraph.paragraph_format.space_before = Pt(8)
            paragraph.paragraph_format.keep_with_next = True
        block = [self.doc.add_paragraph(style=style)]
        if step.marks:
            _bold(block[0], "; ".join(step.marks))
            block[0].runs[-1].add_break()
        block[0].add_run(step.text)
        if step.time:
            run = block[0].add_run(f"  {step.time}")
            run.font.size, run.font.color.rgb = Pt(9), SOFT
        block.extend(self._line(line, "") for line in step.lines)
        block.extend(self._line(line, "On refit: ") for line in step.on_refit)
        for flag in step.flags:
            block.append(self.doc.add_paragraph(style="Step detail"))
            self._flag(block[-1], flag, place=False)
        if step.picture is not None:
            block.append(self.doc.add_paragraph(style="Step detail"))
            shape = block[-1].add_run().add_picture(io.BytesIO(step.picture.jpeg), width=Cm(9))
            shape._inline.docPr.set("descr", f"Film at {time_code(step.picture.time_s)}: {step.text}")
            block.append(self.doc.add_paragraph(f"Film {time_code(step.picture.time_s)}", style="Step detail"))
        for paragraph in block[:-1]:
            paragraph.paragraph_format.keep_with_next = True

    def _line(self, line: LineView, lead: str) -> Paragraph:
        paragraph = self.doc.add_paragraph(style="Step detail")
        if lead:
            paragraph.add_run(lead)
        _marks(paragraph, line.marks)
        if line.label:
            _bold(paragraph, f"{line.label} ")
        paragraph.add_run(line.text)
        return paragraph

    @staticmethod
    def _flag(paragraph: Paragraph, flag: FlagView, place: bool) -> None:
        _bold(paragraph, f"{flag.label}: ")
        paragraph.add_run(flag.text)
        if flag.suggestions:
            paragraph.add_run(f" Perhaps: {'; '.join(flag.suggestions)}.")
        where = ", ".join(filter(None, (flag.where, flag.time and f"film {flag.time}")))
        if place and where:
            paragraph.add_run(f" ({where})")

    def _caution(self, caution: CautionView, place: bool) -> None:
        self._gap()
        table = self.doc.add_table(rows=1, cols=2)
        table.style = "Table Grid"
        _widths(table, (3.0, 14.0))
        signal, said = table.rows[0].cells
        back, front = SIGNALS[caution.signal]
        signal._tc.get_or_add_tcPr().append(parse_xml(f'<w:shd {nsdecls("w")} w:val="clear" w:fill="{back}"/>'))
        run = signal.paragraphs[0].add_run(caution.signal)
        run.bold, run.font.color.rgb = True, front
        _marks(said.paragraphs[0], caution.marks)
        said.paragraphs[0].add_run(caution.text)
        small = []
        if place and caution.where:
            small.append(f"Before {caution.where}.")
        if caution.added:
            small.append("Added by the program, not said in the film.")
        if small:
            said.add_paragraph(" ".join(small), style="Small")
        for cell in (signal, said):
            cell.paragraphs[0].paragraph_format.space_before = Pt(4)
            for paragraph in cell.paragraphs:
                paragraph.paragraph_format.keep_with_next = True

    def _gap(self) -> None:
        gap = self.doc.add_paragraph().paragraph_format
        gap.space_after = Pt(0)
        gap.line_spacing = Pt(6)
        gap.keep_with_next = True

    def _lists(self) -> None:
        p = self.paper
        if p.tools:
            self.doc.add_heading("Tools", 1)
            rows = [(with_marks(t.marks, t.item), t.size, t.where) for t in p.tools]
            if any(t.size for t in p.tools):
                self._table(("Tool", "Size", "Where"), rows, (8.5, 4.0, 4.5))
            else:
                self._table(("Tool", "Where"), [(item, where) for item, _, where in rows], (12.5, 4.5))
        self.doc.add_heading("Parts to renew", 1)
        if p.parts:
            rows = [(r.count, with_marks(r.marks, r.text), r.part_number, r.where) for r in p.parts]
            self._table(("Quantity", "Renew", "Part number", "Where"), rows, (3.2, 7.3, 3.0, 3.5), bold=1)
        else:
            self.doc.add_paragraph("No part to renew was named.")
        if p.materials:
            self.doc.add_heading("Materials used up", 1)
            rows = [(r.amount, with_marks(r.marks, r.text), r.where) for r in p.materials]
            self._table(("Amount", "Material", "Where"), rows, (4.2, 9.3, 3.5), bold=1)

    def _torques(self) -> None:
        p = self.paper
        self.doc.add_heading("Tightening values", 1)
        if not p.torques:
            self.doc.add_paragraph("No tightening value was named.")
            return
        rows = []
        for r in p.torques:
            value = r.value or (f"see {r.reference}" if r.reference else "no value said")
            extra = [r.reference if r.value else "", r.order, f"Check: {r.check}" if r.check else ""]
            joint = with_marks(r.marks, r.joint) + (f" ({r.scope})" if r.scope else "")
            spoken = f"“{r.spoken}”" if r.spoken else ""
            rows.append((joint, r.fastener, "; ".join(filter(None, (value, *extra))), spoken, r.where))
        heads = ("Tighten", "Fastener", "Value", "As said in the film", "Where")
        if any(r.fastener for r in p.torques):
            self._table(heads, rows, (4.4, 2.2, 4.2, 3.4, 2.8), bold=2)
        else:
            self._table((heads[0], *heads[2:]), [(row[0], *row[2:]) for row in rows], (5.2, 4.6, 4.0, 3.2), bold=1)
        self.doc.add_paragraph(p.defers, style="Small")

    def _table(
        self, heads: Sequence[str], rows: Sequence[Sequence[str]], widths: Sequence[float], bold: int | None = None
    ) -> None:
        table = self.doc.add_table(rows=0, cols=len(widths))
        if heads:
            cells = table.add_row().cells
            for cell, head in zip(cells, heads, strict=True):
                _fill(cell, head, bold=True)
            table.rows[0]._tr.get_or_add_trPr().append(OxmlElement("w:tblHeader"))
        for row in rows:
            for index, (cell, text) in enumerate(zip(table.add_row().cells, row, strict=True)):
                _fill(cell, text, bold=index == bold)
        for row in table.rows:
            row._tr.get_or_add_trPr().append(OxmlElement("w:cantSplit"))
            for cell in row.cells:
                _cell_border(cell)
        _widths(table, widths)
        self.doc.add_paragraph().paragraph_format.space_after = Pt(0)


def _bold(paragraph: Paragraph, text: str) -> None:
    paragraph.add_run(text).bold = True


def _marks(paragraph: Paragraph, marks: tuple[str, ...]) -> None:
    for mark in marks:
        _bold(paragraph, f"{mark} – ")


def _fill(cell: _Cell, text: str, bold: bool) -> None:
    paragraph = cell.paragraphs[0]
    paragraph.add_run(text).bold = bold or None
    paragraph.paragraph_format.space_before = paragraph.paragraph_format.space_after = Pt(2)


def _widths(table, widths: Sequence[float]) -> None:
    table.autofit = False
    for column, width in zip(table.columns, widths, strict=True):
        column.width = Cm(width)
        for cell in column.cells:
            cell.width = Cm(width)


def _cell_border(cell: _Cell) -> None:
    cell._tc.get_or_add_tcPr().append(
        parse_xml(f'<w:tcBorders {nsdecls("w")}><w:bottom w:val="single" w:sz="4" w:color="B9B7AE"/></w:tcBorders>')
    )


def _border(properties, side: str, eighths: int) -> None:
    border = f'<w:{side} w:val="single" w:sz="{eighths}" w:space="4" w:color="1B1B19"/>'
    element = parse_xml(f"<w:pBdr {nsdecls('w')}>{border}</w:pBdr>")
    following = [properties.find(qn(name)) for name in ("w:shd", "w:tabs", "w:spacing", "w:ind", "w:outlineLvl")]
    place = next((node for node in following if node is not None), None)
    if place is not None:
        place.addprevious(element)
    else:
        properties.append(element)


def _no_contextual_spacing(style) -> None:
    """The built-in list style closes the gap between items of one style; steps need air."""
    spacing = OxmlElement("w:contextualSpacing")
    spacing.set(qn("w:val"), "0")
    style.element.get_or_add_pPr().append(spacing)


def _right_tab(paragraph: Paragraph) -> None:
    stops = paragraph.paragraph_format.tab_stops
    stops.add_tab_stop(Cm(TEXT_WIDTH_CM), WD_TAB_ALIGNMENT.RIGHT)


def _field(paragraph: Paragraph, code: str) -> None:
    for kind in ("begin", None, "end"):
        run = paragraph.add_run()
        if kind:
            mark = OxmlElement("w:fldChar")
            mark.set(qn("w:fldCharType"), kind)
        else:
            mark = OxmlElement("w:instrText")
            mark.set(qn("xml:space"), "preserve")
            mark.text = code
        run._r.append(mark)
