"""The lists as a workbook: cautions, parts to renew, consumables, tightening values and tools, a sheet each."""

from __future__ import annotations

import io
from dataclasses import dataclass
from datetime import datetime

import xlsxwriter

from extract.model import Draft
from reports.base import Options
from reports.view import Paper, view

LINE_HEIGHT = 13  # points, for text of 10 points
CELL_LIMIT = 32_767  # characters that a cell holds; more is refused by spreadsheets
TO_FILL_IN = ("Part number",)  # stays in sight though empty; other empty columns only make the print small
HEADER_LIMIT = 200  # of the 255 characters of a printed header, room left for its codes

Cell = str | int | float | None


@dataclass(frozen=True, slots=True)
class _Sheet:
    name: str
    heads: tuple[str, ...]
    widths: tuple[float, ...]
    rows: list[tuple[Cell, ...]]
    strong: int


def write(draft: Draft, options: Options) -> dict[str, bytes]:
    """Write `lists.xlsx`."""
    paper = view(draft, options)
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    book.set_properties(
        {
            "title": paper.title[:255],
            "author": dict(paper.fields).get("Author", "")[:255],
            "created": datetime(2000, 1, 1),
        }
    )
    font = {"font_name": "Arial", "font_size": 10, "valign": "top", "text_wrap": True}
    line = {"bottom": 1, "bottom_color": "#B9B7AE"}
    formats = {
        "head": book.add_format(font | {"bold": True, "bottom": 2, "valign": "bottom"}),
        "text": book.add_format(font | line),
        "strong": book.add_format(font | line | {"bold": True}),
        "number": book.add_format(font | line | {"bold": True, "align": "left"}),
    }
    for sheet in _sheets(paper):
        _add(book, sheet, formats, paper)
    book.close()
    return {"lists.xlsx": out.getvalue()}


def _sheets(paper: Paper) -> list[_Sheet]:
    applies = paper.variant

    def marks(row) -> str:
        return "; ".join(row.marks) or applies

    cautions = [(c.signal, c.text, "; ".join(c.marks) or applies, c.where, _origin(c.added)) for c in paper.cautions]
    cautions += [("Note", line, "", "", "") for line in (paper.defers, *paper.status)]
    return [
        _Sheet(
            "Cautions", ("Signal word", "Text", "Applies to", "Before", "Origin"), (12, 60, 22, 18, 16), cautions, 0
        ),
        _Sheet(
            "Renew",
            ("Quantity", "Renew", "Part number", "Fit instead", "Only if", "Applies to", "Where", "Film", "Cautions"),
            (14, 30, 14, 16, 18, 20, 16, 7, 32),
            [
                (
                    r.quantity if r.quantity is not None else r.count,
                    r.item,
                    r.part_number,
                    r.instead,
                    r.only_if,
                    marks(r),
                    r.where,
                    r.time,
                    r.cautions,
                )
                for r in paper.parts
            ],
            1,
        ),
        _Sheet(
            "Consumables",
            ("Amount", "Material", "Part number", "Only if", "Applies to", "Where", "Film", "Cautions"),
            (16, 30, 14, 18, 20, 16, 7, 32),
            [
                (r.amount, r.item, r.part_number, r.only_if, marks(r), r.where, r.time, r.cautions)
                for r in paper.materials
            ],
            1,
        ),
        _Sheet(
            "Tightening values",
            (
                "Tighten",
                "Fastener",
                "Value",
                "N·m",
                "Angle °",
                "Order",
                "Document",
                "As said",
                "Applies to",
                "Where",
                "Film",
                "Check",
                "Cautions",
            ),
            (26, 11, 20, 7, 7, 10, 16, 20, 18, 15, 7, 14, 30),
            [
                (
                    r.joint + (f" ({r.scope})" if r.scope else ""),
                    r.fastener,
                    r.value or ("see document" if r.reference else "no value said"),
                    r.value_nm,
                    r.angle_deg,
                    r.order,
                    r.reference,
                    r.spoken,
                    marks(r),
                    r.where,
                    r.time,
                    r.check,
                    r.cautions,
                )
                for r in paper.torques
            ],
            2,
        ),
        _Sheet(
            "Tools",
            ("Tool", "Size", "Applies to", "Where"),
            (40, 18, 24, 24),
            [(t.item, t.size, marks(t), t.where) for t in paper.tools],
            0,
        ),
    ]


def _origin(added: bool) -> str:
    return "added by the program" if added else "said in the film"


def _add(book: xlsxwriter.Workbook, sheet: _Sheet, formats: dict, paper: Paper) -> None:
    page = book.add_worksheet(sheet.name)
    widths = [_width(sheet, column) for column in range(len(sheet.heads))]
    for column, (head, width) in enumerate(zip(sheet.heads, widths, strict=True)):
        hidden = head not in TO_FILL_IN and not any(row[column] for row in sheet.rows)
        page.set_column(column, column, width, None, {"hidden": hidden and bool(sheet.rows)})
        page.write_string(0, column, head, formats["head"])
    for number, row in enumerate(sheet.rows, 1):
        page.set_row(number, LINE_HEIGHT * max(map(_lines, row, widths)) + 4)
        for column, cell in enumerate(row):
            _cell(page, number, column, cell, formats, strong=column == sheet.strong)
    page.freeze_panes(1, 0)
    page.autofilter(0, 0, max(1, len(sheet.rows)), len(sheet.heads) - 1)
    page.set_landscape()
    page.set_paper(9)
    page.fit_to_pages(1, 0)
    page.repeat_rows(0)
    left, right = (_header(text) for text in (paper.running_title, paper.running_right))
    page.set_header(f"&L{left[: HEADER_LIMIT - len(right)]}&R&B{right}")
    page.set_footer("&L&A&RPage &P of &N")


def _width(sheet: _Sheet, column: int) -> float:
    """A column is as wide as its words need, up to its share; so that a printed page stays readable."""
    longest = max((len(str(row[column] or "")) for row in sheet.rows), default=0)
    return min(sheet.widths[column], max(len(sheet.heads[column]) + 4, longest * 1.15 + 1))


def _lines(cell: Cell, width: float) -> int:
    """How many lines a cell's words take; rows need their height, since not every program finds it."""
    lines, room = 1, width - 1
    for word in str(cell or "").split():
        needed = len(word) + 1
        if needed > room and room < width - 1:
            lines, room = lines + 1, width - 1
        lines += int(needed / width)
        room -= needed % width
    return min(lines, 30)


def _cell(page, row: int, column: int, cell: Cell, formats: dict, *, strong: bool) -> None:
    if isinstance(cell, int | float):
        page.write_number(row, column, cell, formats["number"])
    elif cell:
        text = cell if len(cell) <= CELL_LIMIT else cell[: CELL_LIMIT - 1] + "…"
        page.write_string(row, column, text, formats["strong" if strong else "text"])
    else:
        page.write_blank(row, column, None, formats["text"])


def _header(text: str) -> str:
    """A printed header reads "&" as the start of a code."""
    return text[: HEADER_LIMIT // 2].replace("&", "&&")
