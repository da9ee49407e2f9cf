"""Units: the factors against NIST SP 811 and pint, the spoken words, and what they must not swallow."""

from __future__ import annotations

import pint
import pytest

from extract.language.units import (
    INCH_MM,
    KGF_M_NM,
    LBF_FT_NM,
    LBF_IN_NM,
    TORQUE_UNITS,
    UNITS,
    read_torque_unit,
    read_unit,
)


# NIST Special Publication 811 (2008), Appendix B.8, as printed there: to seven significant digits, bold if exact.
@pytest.mark.parametrize(
    ("factor", "printed"),
    [(LBF_FT_NM, 1.355818), (LBF_IN_NM, 0.1129848), (KGF_M_NM, 9.80665), (INCH_MM, 25.4)],
)
def test_factors_are_those_of_nist_sp_811(factor, printed):
    assert factor == pytest.approx(printed, rel=5e-7)


# pint (registry: https://pypi.org/project/pint/) computes them from its own definitions.
@pytest.mark.parametrize(
    ("words", "unit"),
    [
        ("newton metres", "newton * meter"),
        ("foot pounds", "force_pound * foot"),
        ("inch pounds", "force_pound * inch"),
        ("kilopond metres", "force_kilogram * meter"),
    ],
)
def test_torque_units_agree_with_pint(words, unit):
    registry = pint.UnitRegistry()
    found = read_torque_unit(words.split(), 0)
    assert found is not None
    assert found[1] == pytest.approx(registry.Quantity(1, unit).to("newton * meter").magnitude, rel=1e-9)


@pytest.mark.parametrize(
    ("text", "symbol"),
    [
        ("newton metres", "Nm"), ("newton meters", "Nm"), ("nm", "Nm"), ("foot pounds", "lbf·ft"), ("ft-lb", "lbf·ft"),
        ("lb-ft", "lbf·ft"), ("pound feet", "lbf·ft"), ("inch pounds", "lbf·in"), ("in-lb", "lbf·in"),
        ("kilopond metres", "kgf·m"),
    ],
)  # fmt: skip
def test_reads_torque_units_in_words_and_symbols(text, symbol):
    found = read_torque_unit(text.split(), 0)
    assert found is not None
    assert (found[0], found[2]) == (symbol, len(text.split()))


@pytest.mark.parametrize(
    ("text", "symbol"),
    [
        ("millimetres", "mm"), ("of a millimetre", "mm"), ("thou", "thou"), ("thousandths of an inch", "thou"),
        ("inches", "in"), ("degrees", "°"), ("degrees celsius", "°C"), ("minutes", "min"), ("hours", "h"),
        ("litres", "l"), ("quarts", "qt"), ("bar", "bar"), ("pounds per square inch", "psi"), ("kilos", "kg"),
        ("of a turn", "turn"), ("per cent", "%"),
    ],
)  # fmt: skip
def test_reads_other_units(text, symbol):
    assert read_unit(text.split(), 0) == (symbol, len(text.split()))


@pytest.mark.parametrize("text", ["bolts", "the", "metal", "foot-well", ""])
def test_leaves_other_words(text):
    assert read_unit(text.split(), 0) is None
    assert read_torque_unit(text.split(), 0) is None


def test_pounds_alone_are_no_torque():
    assert read_torque_unit(["pounds"], 0) is None
    assert read_unit(["pounds"], 0) == ("lb", 1)


def test_no_spoken_unit_stands_for_both_kinds():
    assert not set(TORQUE_UNITS) & set(UNITS)
