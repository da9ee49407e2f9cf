"""Threads and widths, checked against the tables of bd_warehouse (Apache-2.0), a general library of CAD parts.

Its data files are read as they lie in the installed package, the package itself is not imported:
`pip install --no-deps bd_warehouse`.
"""

from __future__ import annotations

import csv
from fractions import Fraction
from importlib.util import find_spec
from pathlib import Path

import pytest

from extract.procedure.threads import (
    INCH_MM,
    across_flats,
    find_threads,
    hexagon_key,
    parse_size,
    sizes,
    sizes_for_across_flats,
)


def library_table(name: str) -> list[dict[str, str]]:
    spec = find_spec("bd_warehouse")
    if spec is None or not spec.submodule_search_locations:
        pytest.skip("bd_warehouse is not installed")
    file = Path(spec.submodule_search_locations[0]) / "data" / f"{name}.csv"
    return [{key.strip(): value for key, value in row.items()} for row in csv.DictReader(file.open(encoding="utf-8"))]


def ours(designation: str):
    """Our thread of a library's designation ("M8-1.25", "3/8-16"); null where we have no such size."""
    name, _, pitch = designation.rpartition("-")
    return parse_size(f"{name}x{pitch}" if name.startswith("M") else designation) if name in sizes() else None


def inches(text: str) -> float:
    """Millimetres of an inch measure: "0.5937", "3/8", "1-3/32" or "1 3/32"."""
    return sum(float(Fraction(part)) for part in text.replace("-", " ").split()) * INCH_MM


def test_pitches_of_hexagon_bolts_are_our_coarse_threads() -> None:
    compared = [row["Size"] for row in library_table("hex_head_parameters") if row["Size"].split("-")[0] in sizes()]
    assert len(compared) >= 12
    for designation in compared:
        found = ours(designation)
        assert found is not None, designation
        assert found.series == "coarse", designation


def test_widths_across_flats_of_bolts_and_nuts() -> None:
    compared = 0
    for table, column in (
        ("hex_head_parameters", "iso4014:s"),
        ("hex_head_parameters", "iso4017:s"),
        ("hex_nut_parameters", "iso4032:s"),
    ):
        for row in library_table(table):
            size = row["Size"].split("-")[0]
            if size in sizes() and row[column]:
                compared += 1
                assert across_flats(size)[0] == float(row[column]), (size, table)
    assert compared >= 36


def test_other_widths_hold_the_older_and_flanged_heads() -> None:
    compared = 0
    for table, columns in (
        ("hex_head_parameters", ["din931:s"]),
        ("hex_head_with_flange_parameters", ["din1662:s", "din1665:s"]),
        ("hex_nut_with_flange_parameters", ["din1665:s"]),
    ):
        for row in library_table(table):
            size = row["Size"].split("-")[0]
            for column in columns:
                if size in sizes() and row[column]:
                    compared += 1
                    assert float(row[column]) in across_flats(size), (size, column)
    assert compared >= 25


def test_hexagon_keys() -> None:
    compared = 0
    for row in library_table("socket_head_cap_parameters"):
        found = ours(row["Size"])
        if found is None:
            continue
        compared += 1
        wanted = inches(row["asme_b18.3:s"]) if found.inch else float(row["iso4762:s"])
        assert hexagon_key(found.name) == pytest.approx(wanted), row["Size"]
    assert compared >= 25


def test_tapping_drills_leave_the_pitch() -> None:
    # a tapping drill is the diameter less the pitch, rounded to a drill that is sold
    compared = 0
    for row in library_table("tap_hole_sizes"):
        found = ours(row["Size"]) if row["Size"].startswith("M") else None
        # its drill for M22 is 1 mm below its own for M21 and M23, and below every other table
        if found is not None and row["Size"] != "M22-2.5":
            compared += 1
            assert float(row["Soft"]) == pytest.approx(found.diameter - found.pitch, abs=0.26), row["Size"]
    assert compared >= 20


def test_clearance_holes() -> None:
    # the library gives M12, M14 and M16 the holes of another edition of ISO 273
    compared = 0
    for row in library_table("clearance_hole_sizes"):
        if row["Size"] in sizes() and row["Size"] not in ("M12", "M14", "M16"):
            compared += 1
            wanted = float(row["Normal"]) if row["Size"].startswith("M") else inches(row["Normal"])
            assert sizes()[row["Size"]].clearance_hole == pytest.approx(wanted, abs=0.002), row["Size"]
    assert compared >= 10


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("M8", ["M8"]),
        ("m8x1.25", ["M8"]),
        ("M8 x 1", ["M8x1"]),
        ("M10×1.25", ["M10x1.25"]),
        ("M 12", ["M12"]),
        ("M8 cap nuts", ["M8"]),
        ("M eight", ["M8"]),
        ("M twenty-four", ["M24"]),
        ("3/8-24", ["3/8-24"]),
        ("3/8-16", ["3/8-16"]),
        ("3/8 UNF", ["3/8-24"]),
        ("3/8", ["3/8-16", "3/8-24"]),
        ("half inch UNF", ["1/2-20"]),
        ("half inch", ["1/2-13", "1/2-20"]),
        ("five sixteenths UNC", ["5/16-18"]),
        ("three-quarter inch fine", ["3/4-16"]),
        ("one inch", ["1-8", "1-12", "1-14"]),
        ("1-8", ["1-8"]),
        ("M8x9", []),
        ("M9", []),
        ("M100", []),
        ("3/8-17", []),
        ("half a turn", []),
        ("3/8 drive ratchet", []),
        ("the one bolt", []),
        ("19 mm", []),
        ("", []),
    ],
)
def test_designations_are_read(text: str, names: list[str]) -> None:
    assert [thread.name for thread in find_threads(text)] == names


def test_spanner_and_thread_lead_to_each_other() -> None:
    assert sizes_for_across_flats(13)[0] == "M8"
    assert sizes_for_across_flats(19)[0] == "1/2"  # 3/4 inch is 19.05 mm; M12 has 19 as its older head
    assert "M12" in sizes_for_across_flats(19)
    assert sizes_for_across_flats(30)[0] == "M20"
    assert sizes_for_across_flats(31) == ()
    for name in sizes():
        text = name if name != "1" else "1 inch"
        assert name in sizes_for_across_flats(across_flats(text)[0])
    assert across_flats("M9") == ()


def test_larger_sizes_have_larger_everything() -> None:
    for metric in (True, False):
        series = [size for name, size in sizes().items() if name.startswith("M") is metric]
        for small, large in zip(series, series[1:], strict=False):
            assert small.across_flats[0] < large.across_flats[0]
            assert small.clearance_hole < large.clearance_hole
            assert small.bearing_face < large.bearing_face
            assert small.hexagon_key <= large.hexagon_key
            assert small.threads[0].stress_area < large.threads[0].stress_area
