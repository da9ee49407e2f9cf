"""Bolt mechanics against published values; the sources stand in each row of published_fastener_values.csv."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from extract.procedure.bolts import (
    PSI_MPA,
    assembly_preload,
    check_torque,
    find_grade,
    nut_factor_torque,
    proof_torque,
    tightening_torque,
    torque_band,
)
from extract.procedure.threads import parse_size, sizes

LBF_N = 4.4482216152605
ROWS = list(csv.DictReader((Path(__file__).parent / "published_fastener_values.csv").open(encoding="utf-8")))


def rows(*quantities: str) -> list:
    chosen = [row for row in ROWS if row["quantity"] in quantities]
    assert chosen
    return [
        pytest.param(
            row, id=" ".join([row["quantity"], row["fastener"], row["class_or_grade"], row["mu_or_K"]]).strip()
        )
        for row in chosen
    ]


def last_digit(text: str) -> float:
    """One unit of the last digit that a table prints."""
    decimals = len(text.partition(".")[2])
    return 10.0**-decimals


def thread(row: dict):
    found = parse_size(row["fastener"])
    assert found is not None
    return found


def grade(row: dict):
    found = find_grade(row["class_or_grade"].partition(" (")[0], thread(row))
    assert found is not None
    return found


@pytest.mark.parametrize("row", rows("As", "At"))
def test_stress_areas(row: dict) -> None:
    unit = 25.4**2 if row["unit"] == "in2" else 1.0
    assert thread(row).stress_area / unit == pytest.approx(float(row["value"]), rel=0.005)


@pytest.mark.parametrize("row", rows("d2 pitch diameter", "d3 minor diameter (root)", "D1 minor diameter (nut)"))
def test_diameters(row: dict) -> None:
    name = {"d2": "pitch_diameter", "d3": "root_diameter", "D1": "minor_diameter"}[row["quantity"].split()[0]]
    assert getattr(thread(row), name) == pytest.approx(float(row["value"]), abs=0.0006)


@pytest.mark.parametrize("row", rows("proof load Fp", "proof load"))
def test_proof_loads(row: dict) -> None:
    unit = LBF_N if row["unit"] == "lbf" else 1.0
    load = thread(row).stress_area * grade(row).proof_mpa / unit
    # the tables multiply the area rounded to three digits, and round the load to three digits
    third_digit = 10.0 ** (len(row["value"]) - 3)
    assert abs(load - float(row["value"])) <= max(0.005 * float(row["value"]), third_digit)


@pytest.mark.parametrize("row", rows("min ultimate load Fm"))
def test_ultimate_loads(row: dict) -> None:
    assert thread(row).stress_area * grade(row).tensile_mpa == pytest.approx(float(row["value"]), rel=0.005)


@pytest.mark.parametrize("row", rows("Rp0.2 min", "Sp nom", "Rm min"))
def test_strengths_of_iso_898_classes(row: dict) -> None:
    name, _, limit = row["class_or_grade"].partition(" ")
    bolt = parse_size("M20" if ">" in limit else "M10")
    found = find_grade(name, bolt)
    attribute = {"Rp0.2 min": "yield_mpa", "Sp nom": "proof_mpa", "Rm min": "tensile_mpa"}[row["quantity"]]
    assert getattr(found, attribute) == float(row["value"])


@pytest.mark.parametrize("row", rows("proof stress", "yield min"))
def test_strengths_of_sae_grades(row: dict) -> None:
    found = find_grade(row["class_or_grade"].partition(" (")[0], parse_size("1/2-13"))
    value = found.proof_mpa if row["quantity"] == "proof stress" else found.yield_mpa
    assert value / PSI_MPA == pytest.approx(float(row["value"]))


@pytest.mark.parametrize("row", rows("VDI FM"))
def test_assembly_preloads(row: dict) -> None:
    friction = float(row["mu_or_K"].removeprefix("mu="))
    force = assembly_preload(thread(row), grade(row).yield_mpa, friction) / 1000
    assert abs(force - float(row["value"])) <= max(0.005 * float(row["value"]), last_digit(row["value"]))


@pytest.mark.parametrize("row", rows("VDI MA"))
def test_tightening_torques(row: dict) -> None:
    friction = float(row["mu_or_K"].removeprefix("mu="))
    bolt = thread(row)
    torque = tightening_torque(bolt, assembly_preload(bolt, grade(row).yield_mpa, friction), friction)
    assert abs(torque - float(row["value"])) <= max(0.015 * float(row["value"]), last_digit(row["value"]))


@pytest.mark.parametrize("row", rows("clearance hole medium", "dw min (bearing face)"))
def test_holes_and_bearing_faces(row: dict) -> None:
    size = sizes()[row["fastener"]]
    value = size.clearance_hole if "hole" in row["quantity"] else size.bearing_face
    assert value == float(row["value"])


@pytest.mark.parametrize("row", rows("VDI MA"))
def test_published_torques_are_plausible_with_and_without_their_class(row: dict) -> None:
    name = row["class_or_grade"].partition(" (")[0]
    assert check_torque(row["fastener"], name, float(row["value"])).status == "ok"
    assert check_torque(row["fastener"], None, float(row["value"])).status == "ok"


@pytest.mark.parametrize("row", rows("torque limit low", "torque limit high", "max allowable torque"))
def test_aircraft_torques_are_plausible(row: dict) -> None:
    if row["fastener"].startswith("10-"):
        assert check_torque(row["fastener"], None, 4.0).status == "not_checked"  # number sizes are not in the table
        return
    value_nm = float(row["value"]) * LBF_N * 0.0254
    assert check_torque(row["fastener"], None, value_nm).status == "ok"


# Number sizes ("10-32") are not in the table of threads.
@pytest.mark.parametrize("row", [row for row in rows("torque limit high") if parse_size(row.values[0]["fastener"])])
def test_nut_factor_formula_gives_the_computed_column(row: dict) -> None:
    bolt = parse_size(row["fastener"])
    torque = nut_factor_torque(bolt, 40_000 * PSI_MPA * bolt.stress_area, 0.15)
    assert torque / (LBF_N * 0.0254) == pytest.approx(float(row["computed"]), rel=0.002)


def test_nut_factor_of_the_band_stays_inside_published_ranges() -> None:
    # zipfastener.com engineering data, in the table: K 0.10 (oil, low) to 0.35 (zinc, high)
    low = min(float(row["value"]) for row in ROWS if row["quantity"] == "nut factor K range low")
    high = max(float(row["value"]) for row in ROWS if row["quantity"] == "nut factor K range high")
    for name in sizes():
        bolt = parse_size(name if name != "1" else "1 inch")
        for friction in (0.08, 0.20):
            factor = tightening_torque(bolt, 1000, friction) / (bolt.diameter * 1000 / 1000)
            assert low <= factor <= high, (name, friction, factor)


def test_too_high_is_implausible_and_low_is_normal() -> None:
    assert check_torque("M8", "8.8", 25).status == "ok"
    assert check_torque("M8", "8.8", 3).status == "ok"
    checked = check_torque("M8", "8.8", 67.8)
    assert checked.status == "implausible"
    assert checked.low_nm < 25 < checked.high_nm < 67.8
    assert "8.8" in checked.basis


def test_a_grade_narrows_the_band() -> None:
    wide, narrow = torque_band("M10"), torque_band("M10", "10.9")
    assert wide.low_nm < narrow.low_nm < narrow.high_nm < wide.high_nm
    assert "unknown" in wide.basis
    assert torque_band("M10", "some steel") == wide


def test_an_open_pitch_covers_both_series() -> None:
    coarse, fine, either = torque_band("3/8-16", "8"), torque_band("3/8-24", "8"), torque_band("3/8", "8")
    assert (either.low_nm, either.high_nm) == (coarse.low_nm, fine.high_nm)


def test_proof_torque_lies_above_the_band_but_under_twice_it() -> None:
    for name in ("M6", "M12", "M30", "1/4-20", "3/4-16"):
        band = torque_band(name)
        assert band.high_nm < proof_torque(name) < 2 * band.high_nm


@pytest.mark.parametrize("size", [None, "", "M9", "M100", "big", "10-32"])
def test_unknown_size_is_not_checked(size: str | None) -> None:
    assert check_torque(size, "8.8", 500).status == "not_checked"
    assert proof_torque(size or "") is None


def test_no_value_is_said_so() -> None:
    assert check_torque("M8", "8.8", None).status == "no_value"


@pytest.mark.parametrize(
    ("text", "size", "name"),
    [
        ("8.8", "M10", "8.8"),
        ("class 10.9", "M10", "10.9"),
        ("12,9", "M10", "12.9"),
        ("A4-70", "M10", "A2-70"),
        ("grade 8", "3/8-16", "SAE 8"),
        ("5", "3/8-16", "SAE 5"),
        ("grade 8", "M10", None),
        ("8.8 or so", "M10", "8.8"),
        ("soft", "M10", None),
        (None, "M10", None),
    ],
)
def test_grades_are_read(text: str | None, size: str, name: str | None) -> None:
    found = find_grade(text, parse_size(size))
    assert (found.name if found else None) == name


def test_strength_of_thick_bolts_differs() -> None:
    assert find_grade("8.8", parse_size("M16")).yield_mpa == 640
    assert find_grade("8.8", parse_size("M18")).yield_mpa == 660
    assert find_grade("2", parse_size("1-8")).yield_mpa < find_grade("2", parse_size("3/4-10")).yield_mpa
