from __future__ import annotations

import csv
import io

from bottom_bracket import bottom_bracket

from extract.model import Draft
from reports import Options
from reports.lists import write

REVIEW = Options(edition="review")


def rows(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def test_renewals_list(draft: Draft, golden) -> None:
    golden("renewals.csv", write(draft, REVIEW)["renewals.csv"])


def test_torques_list(draft: Draft, golden) -> None:
    golden("torques.csv", write(draft, REVIEW)["torques.csv"])


def test_mentions_of_one_part_are_one_line() -> None:
    draft = bottom_bracket()
    again = draft.renewals[0].model_copy(update={"id": "n-bolts-2", "same_as": "n-bolts", "part_number": "PN 4"})
    found = rows(write(draft.model_copy(update={"renewals": (*draft.renewals, again)}), REVIEW)["renewals.csv"])
    bolts = [row for row in found if row["item"] == "crank bolt"]
    assert [(row["quantity"], row["part_number"]) for row in bolts] == [("2", "PN 4")]


def test_a_count_that_nobody_said_is_not_invented(draft: Draft) -> None:
    bearing = next(row for row in rows(write(draft, REVIEW)["renewals.csv"]) if row["item"] == "bearing")
    assert bearing["quantity"] == ""
    assert "count at the machine" in bearing["count"]


def test_cautions_stand_in_the_lists(draft: Draft) -> None:
    for data in write(draft, REVIEW).values():
        kinds = [row["kind"] for row in rows(data)]
        assert kinds[-3:] == ["warning", "caution", "remark"]
        assert "manufacturer's data, local codes and licensed trades decide" in data.decode()


def test_a_published_sheet_shows_no_number_that_nobody_said(draft: Draft) -> None:
    assert "36" in write(draft, REVIEW)["torques.csv"].decode()
    assert "36" not in write(draft, Options())["torques.csv"].decode().replace("0:36", "")
