"""Units as they are spoken, and exact conversion factors.

Factors are those of NIST Special Publication 811 (2008), Appendix B: 1 lbf·ft = 1.355 817 948 331 4 N·m,
1 lbf·in = 0.112 984 829 027 6 N·m, 1 kgf·m = 9.806 65 N·m, 1 in = 25.4 mm.
"""

from __future__ import annotations

LBF_FT_NM = 0.45359237 * 9.80665 * 0.3048
LBF_IN_NM = 0.45359237 * 9.80665 * 0.0254
KGF_M_NM = 9.80665
INCH_MM = 25.4

#: Torque units: spoken words (lower case, hyphens read as spaces) → newton metres for one of them.
TORQUE_UNITS: dict[tuple[str, ...], tuple[str, float]] = {}


def _torque(symbol: str, factor: float, *spoken: str) -> None:
    for words in spoken:
        TORQUE_UNITS[tuple(words.split())] = (symbol, factor)


_torque(
    "Nm", 1.0, "newton metre", "newton metres", "newton meter", "newton meters", "newtonmetres", "newton-metres",
    "nm", "n·m", "n m", "newtons", "newton", "newton metre s", "n.m", "n.m.", "new ton metres", "new ton meters",
    "newton-meters", "newton-metre", "newton-meter", "newtonmeters", "newton mieters",
)  # fmt: skip
_torque(
    "lbf·ft", LBF_FT_NM, "foot pounds", "foot pound", "foot-pounds", "foot-pound", "ft lb", "ft-lb", "ft lbs", "ft-lbs",
    "pound feet", "pounds feet", "pound foot", "lb ft", "lb-ft", "lbf ft", "lbf·ft", "foot lbs", "pound-feet", "ft.lb",
    "ftlb", "ftlbs", "pounds foot",
)  # fmt: skip
_torque(
    "lbf·in", LBF_IN_NM, "inch pounds", "inch pound", "inch-pounds", "inch-pound", "in lb", "in-lb", "in lbs", "in-lbs",
    "pound inches", "pound inch", "lb in", "lb-in", "lbf in", "inch lbs", "pound-inches",
)  # fmt: skip
_torque(
    "kgf·m", KGF_M_NM, "kilopond metres", "kilopond metre", "kilopond meters", "kilopond meter", "kilogram metres",
    "kilogram metre", "kilogram meters", "kgf m", "kg m", "kgm", "kp m", "kpm", "kilo metres force", "kilograms metre",
    "kilogramme metres", "kilopondmetres",
)  # fmt: skip

#: Other units: spoken words → symbol.
UNITS: dict[tuple[str, ...], str] = {}


def _unit(symbol: str, *spoken: str) -> None:
    for words in spoken:
        UNITS[tuple(words.split())] = symbol


_unit("mm", "mm", "mil", "mill", "mils", "millimetre", "millimetres", "millimeter", "millimeters", "of a millimetre",
      "of a millimeter", "mil s")  # fmt: skip
_unit("cm", "cm", "centimetre", "centimetres", "centimeter", "centimeters")
_unit("m", "metre", "metres", "meter", "meters")
_unit("µm", "micron", "microns", "micrometre", "micrometres", "µm")
_unit("thou", "thou", "thousandths", "thousandth", "thousandths of an inch", "thousands of an inch")
_unit("in", "inch", "inches", "in", "of an inch")
_unit("ft", "foot", "feet", "ft")
_unit("turn", "turn", "turns", "of a turn", "revolution", "revolutions")
_unit("°", "degrees", "degree", "deg", "°")
_unit("°C", "degrees celsius", "degrees centigrade", "°c", "degrees c", "celsius", "centigrade")
_unit("°F", "degrees fahrenheit", "°f", "degrees f", "fahrenheit")
_unit("s", "second", "seconds", "secs", "sec")
_unit("min", "minute", "minutes", "mins", "min")
_unit("h", "hour", "hours", "hrs", "hr")
_unit("d", "day", "days")
_unit("l", "litre", "litres", "liter", "liters", "l")
_unit("ml", "millilitre", "millilitres", "milliliter", "milliliters", "ml", "mils of oil", "cc", "ccs")
_unit("qt", "quart", "quarts")
_unit("pt", "pint", "pints")
_unit("gal", "gallon", "gallons")
_unit("oz", "ounce", "ounces", "oz")
_unit("fl oz", "fluid ounce", "fluid ounces")
_unit("g", "gram", "grams", "gramme", "grammes", "g")
_unit("kg", "kg", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes")
_unit("lb", "pound", "pounds", "lb", "lbs")
_unit("t", "tonne", "tonnes", "ton", "tons")
_unit("bar", "bar", "bars")
_unit("psi", "psi", "pounds per square inch", "p s i")
_unit("kPa", "kpa", "kilopascal", "kilopascals")
_unit("N", "n", "newtons of force")
_unit("V", "volt", "volts", "v")
_unit("A", "amp", "amps", "ampere", "amperes")
_unit("Ω", "ohm", "ohms")
_unit("Hz", "hertz")
_unit("rpm", "rpm", "revs per minute", "revs a minute", "revs")
_unit("%", "percent", "per cent", "%")
_unit("click", "click", "clicks", "notch", "notches", "flat", "flats", "thread", "threads")

_LONGEST = max(len(words) for words in (*TORQUE_UNITS, *UNITS))
_TORQUE_OPENERS = frozenset(words[0] for words in TORQUE_UNITS)
_OPENERS = frozenset(words[0] for words in UNITS)


def read_torque_unit(words: list[str], at: int) -> tuple[str, float, int] | None:
    """Read a torque unit that starts at token `at`: (symbol, newton metres of one unit, tokens used) or null."""
    if at >= len(words) or words[at] not in _TORQUE_OPENERS:
        return None
    for length in range(min(_LONGEST, len(words) - at), 0, -1):
        found = TORQUE_UNITS.get(tuple(words[at : at + length]))
        if found:
            return found[0], found[1], length
    return None


def read_unit(words: list[str], at: int) -> tuple[str, int] | None:
    """Read any other unit that starts at token `at`: (symbol, tokens used) or null."""
    if at >= len(words) or words[at] not in _OPENERS:
        return None
    for length in range(min(_LONGEST, len(words) - at), 0, -1):
        found = UNITS.get(tuple(words[at : at + length]))
        if found:
            return found, length
    return None
