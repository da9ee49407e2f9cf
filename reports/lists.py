"""`renewals.csv` and `torques.csv`: the lists that the stores and the workshop take into a spreadsheet.

The cautions stand at the end of each list as rows of their own, told apart by the column `kind`.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable

from extract.model import Draft
from reports.base import Options
from reports.text import harmless, number
from reports.view import Paper, view

RENEWALS = (
    "kind",
    "item",
    "quantity",
    "count",
    "amount",
    "amount_value",
    "amount_unit",
    "part_number",
    "fit_instead",
    "only_if",
    "applies_to",
    "where",
    "film_time",
    "cautions",
    "id",
)
TORQUES = (
    "kind",
    "joint",
    "fastener",
    "tighten",
    "value_nm",
    "angle_deg",
    "order",
    "document",
    "as_said",
    "holds_for",
    "applies_to",
    "where",
    "film_time",
    "check",
    "cautions",
    "id",
)


def write(draft: Draft, options: Options) -> dict[str, bytes]:
    """Write both lists as CSV: UTF-8 with a byte order mark (spreadsheets need it), CRLF, comma."""
    paper = view(draft, options)
    return {"renewals.csv": renewals_csv(paper), "torques.csv": torques_csv(paper)}


def renewals_csv(paper: Paper) -> bytes:
    """Return the parts to renew and the materials used up."""
    rows = [
        {
            "kind": row.kind,
            "item": row.item,
            "quantity": row.quantity,
            "count": "" if row.kind == "consumable" or row.quantity is not None else row.count,
            "amount": row.amount if row.kind == "consumable" else "",
            "amount_value": row.amount_value,
            "amount_unit": row.amount_unit,
            "part_number": row.part_number,
            "fit_instead": row.instead,
            "only_if": row.only_if,
            "applies_to": "; ".join(row.marks) or paper.variant,
            "where": row.where,
            "film_time": row.time,
            "cautions": row.cautions,
            "id": row.id,
        }
        for row in (*paper.parts, *paper.materials)
    ]
    return _csv(RENEWALS, [*rows, *_safety(paper, "item")])


def torques_csv(paper: Paper) -> bytes:
    """Return the tightening sheet."""
    rows = [
        {
            "kind": "tighten",
            "joint": row.joint,
            "fastener": row.fastener,
            "tighten": row.value or ("see document" if row.reference else "no value said"),
            "value_nm": row.value_nm,
            "angle_deg": row.angle_deg,
            "order": row.order,
            "document": row.reference,
            "as_said": row.spoken,
            "holds_for": row.scope,
            "applies_to": "; ".join(row.marks) or paper.variant,
            "where": row.where,
            "film_time": row.time,
            "check": row.check,
            "cautions": row.cautions,
            "id": row.id,
        }
        for row in paper.torques
    ]
    return _csv(TORQUES, [*rows, *_safety(paper, "joint")])


def _safety(paper: Paper, column: str) -> list[dict[str, object]]:
    rows: list[dict[str, object]] = [
        {
            "kind": caution.signal.lower(),
            column: caution.text,
            "applies_to": "; ".join(caution.marks),
            "where": caution.where,
            "id": caution.id,
        }
        for caution in paper.cautions
    ]
    return [*rows, {"kind": "remark", column: paper.defers}]


def _csv(columns: tuple[str, ...], rows: Iterable[dict[str, object]]) -> bytes:
    out = io.StringIO(newline="")
    sheet = csv.writer(out)
    sheet.writerow(columns)
    for row in rows:
        sheet.writerow([_cell(row.get(column)) for column in columns])
    return ("\ufeff" + out.getvalue()).encode("utf-8")


def _cell(value: object) -> str:
    if value is None:
        return ""
    return number(value) if isinstance(value, int | float) else harmless(str(value))
