"""Conversion factors of tightening values.

First source: NIST Special Publication 811 (2008), Appendix B.8 (factors from memory, to its seven figures).
Second: MIL/NAVFAC design manual 1004.6, Appendix B, read at http://navalfacilities.tpub.com/1004_6/1004_60046.htm
(1 lbf·in = 0.112 985 N·m, 1 ft = 0.3048 m, 1 in = 25.4 mm, 1 lbf = 4.448 22 N).
Third: the unit library `pint`, whose units are named explicitly because its "ft*lb" is a mass times a length.
"""

from __future__ import annotations

import pint
import pytest

from extract.language.units import INCH_MM, KGF_M_NM, LBF_FT_NM, LBF_IN_NM, TORQUE_UNITS, read_torque_unit

NIST_SP_811 = {"lbf·ft": 1.355818, "lbf·in": 0.1129848, "kgf·m": 9.80665, "Nm": 1.0}
PINT_UNITS = {"lbf·ft": "lbf * foot", "lbf·in": "lbf * inch", "kgf·m": "kgf * meter", "Nm": "newton * meter"}
SPOKEN = {
    "lbf·ft": ["foot pounds", "pound feet", "pounds feet", "ft lbs", "lb-ft", "foot-pounds"],
    "lbf·in": ["inch pounds", "inch-pounds", "pound inches", "lb-in"],
    "kgf·m": ["kilogram metres", "kilopond metres", "kgf m"],
    "Nm": ["newton metres", "newton meters", "newton metre", "nm"],
}


@pytest.mark.parametrize("symbol", NIST_SP_811)
def test_factors_are_those_of_nist_sp_811(symbol):
    factors = {factor for unit, factor in TORQUE_UNITS.values() if unit == symbol}
    assert len(factors) == 1
    assert factors.pop() == pytest.approx(NIST_SP_811[symbol], rel=5e-7)


@pytest.mark.parametrize("symbol", PINT_UNITS)
def test_factors_are_those_of_pint(symbol):
    registry = pint.UnitRegistry()
    theirs = registry.Quantity(1, PINT_UNITS[symbol]).to("newton * meter").magnitude
    for unit, factor in TORQUE_UNITS.values():
        if unit == symbol:
            assert factor == pytest.approx(theirs, rel=1e-12)


def test_factors_of_the_naval_design_manual():
    assert pytest.approx(0.112985, abs=5e-7) == LBF_IN_NM
    assert pytest.approx(4.44822 * 0.3048, rel=2e-6) == LBF_FT_NM
    assert INCH_MM == 25.4
    assert KGF_M_NM == 9.80665


@pytest.mark.parametrize(("symbol", "spoken"), [(symbol, words) for symbol, all_ in SPOKEN.items() for words in all_])
def test_units_are_read_as_people_say_and_manuals_print_them(symbol, spoken):
    found = read_torque_unit(spoken.split(), 0)
    assert found is not None
    assert (found[0], found[2]) == (symbol, len(spoken.split()))


def test_every_unit_with_a_factor_has_a_source():
    assert {symbol for symbol, _ in TORQUE_UNITS.values()} == set(NIST_SP_811)
