from __future__ import annotations

import io

import openpyxl
import pytest

from extract.model import Draft
from reports import Options
from reports.xlsx import write


@pytest.fixture(scope="module")
def book(draft: Draft) -> openpyxl.Workbook:
    return openpyxl.load_workbook(io.BytesIO(write(draft, Options())["lists.xlsx"]))


def rows(book: openpyxl.Workbook, name: str) -> list[dict[str, object]]:
    heads, *found = book[name].iter_rows(values_only=True)
    return [dict(zip(heads, row, strict=True)) for row in found]


def test_a_sheet_for_each_list(book: openpyxl.Workbook) -> None:
    assert book.sheetnames == ["Cautions", "Renew", "Consumables", "Tightening values", "Tools"]


def test_renewals_read_back(book: openpyxl.Workbook) -> None:
    bolts, bearing = rows(book, "Renew")
    assert (bolts["Quantity"], bolts["Renew"], bolts["Where"]) == (2, "crank bolt", "steps 1 and R3")
    assert bearing["Quantity"] == "“a couple”: count at the machine"
    assert bearing["Only if"] == "it turns roughly"
    assert bearing["Applies to"] == "Only for shell: press-fit"


def test_tightening_values_are_numbers(book: openpyxl.Workbook) -> None:
    bolts, cup = rows(book, "Tightening values")
    assert (bolts["N·m"], bolts["Value"], bolts["Check"]) == (40, "40 N·m", "does not fit the fastener")
    assert (cup["Angle °"], cup["Value"]) == (90, "45 to 50 N·m, then 90°")


def test_cautions_come_first_and_defer(book: openpyxl.Workbook) -> None:
    found = rows(book, "Cautions")
    assert [row["Signal word"] for row in found] == ["WARNING", "CAUTION", "Note", "Note"]
    assert found[2]["Text"] == "The manufacturer's data, local codes and licensed trades decide."
    assert "not reviewed" in str(found[3]["Text"])


def test_columns_that_nobody_filled_are_hidden_but_not_the_part_number(book: openpyxl.Workbook) -> None:
    hidden = {page.title: [c for c, d in page.column_dimensions.items() if d.hidden] for page in book}
    heads = {
        page.title: dict(zip("ABCDEFGHIJKLM", next(page.iter_rows(values_only=True)), strict=False)) for page in book
    }
    named = {heads[title][column] for title, columns in hidden.items() for column in columns}
    assert named and "Part number" not in named
    for title, columns in hidden.items():
        assert not any(row[heads[title][column]] for row in rows(book, title) for column in columns)


def test_headers_stay_in_sight_and_filter(book: openpyxl.Workbook) -> None:
    for sheet in book:
        assert sheet.freeze_panes == "A2"
        assert sheet.auto_filter.ref.startswith("A1:")
        assert sheet.print_title_rows == "$1:$1"
        assert "Draft, not reviewed" in sheet.oddHeader.right.text
