"""Screw threads: their geometry, and the spanners and keys that fit their bolts and nuts.

Data are `lexicons/threads.csv`. Metric rows are in millimetres, pitch in millimetres (ISO 261/262); inch rows are
in inches, pitch in threads per inch (ASME B1.1). Across flats: ISO 272 and ISO 4014/4032, inch ASME B18.2.1;
`other_flats` are small-series, flanged and older national heads (common practice, no source). Hexagon keys of cap
screws: ISO 4762, inch ASME B18.3. Holes: ISO 273 medium, inch ASME B18.2.8 normal. Bearing faces: least washer face
of ISO 4014. Values of M4, M7, M18, M22, M27, M30 and of the inch sizes are from memory unless a test names a source.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from importlib.resources import files
from math import pi
from typing import Literal

INCH_MM = 25.4
Series = Literal["coarse", "fine", "UNC", "UNF"]


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread of 60° basic profile (ISO 68-1); lengths in millimetres, areas in mm²."""

    name: str
    size: str
    diameter: float
    pitch: float
    series: Series

    @property
    def inch(self) -> bool:
        """Whether it is a unified (inch) thread."""
        return self.series in ("UNC", "UNF")

    @property
    def pitch_diameter(self) -> float:
        """d2 = d − 0.649519 P (ISO 724)."""
        return self.diameter - 0.649519 * self.pitch

    @property
    def minor_diameter(self) -> float:
        """D1 = d − 1.082532 P (ISO 724)."""
        return self.diameter - 1.082532 * self.pitch

    @property
    def root_diameter(self) -> float:
        """d3 = d − 1.226869 P (ISO 898-1, of d1 − H/6)."""
        return self.diameter - 1.226869 * self.pitch

    @property
    def stress_diameter(self) -> float:
        """Diameter of the stress area: (d2 + d3) / 2 (ISO 898-1); inch d − 0.9743 P (ASME B1.1)."""
        if self.inch:
            return self.diameter - 0.9743 * self.pitch
        return (self.pitch_diameter + self.root_diameter) / 2

    @property
    def stress_area(self) -> float:
        """Nominal stress area As = π/4 · (stress diameter)²."""
        return pi / 4 * self.stress_diameter**2


@dataclass(frozen=True, slots=True)
class Size:
    """What belongs to a nominal diameter; lengths in millimetres, inch widths as fractions in their names."""

    name: str
    threads: tuple[Thread, ...]
    across_flats: tuple[float, ...]
    hexagon_key: float
    clearance_hole: float
    bearing_face: float


@cache
def sizes() -> dict[str, Size]:
    """All sizes by name ("M8", "3/8"), thinnest first, metric before inch."""
    text = files("lexicons").joinpath("threads.csv").read_text(encoding="utf-8")
    return {row["size"]: _size(row) for row in csv.DictReader(text.splitlines())}


def _size(row: dict[str, str]) -> Size:
    inch = not row["size"].startswith("M")

    def length(text: str) -> float:
        whole, _, part = text.rpartition("-")
        value = float(Fraction(part)) + (int(whole) if whole else 0)
        return value * INCH_MM if inch else value

    name, diameter = row["size"], length(row["diameter"])
    threads = []
    for series, text in [("coarse", row["coarse"]), *(("fine", one) for one in row["fine"].split("|") if one)]:
        if inch:
            full, pitch, series = f"{name}-{text}", INCH_MM / float(text), "UNC" if series == "coarse" else "UNF"
        else:
            full, pitch = name if series == "coarse" else f"{name}x{text}", float(text)
        threads.append(Thread(full, name, diameter, pitch, series))
    flats = [length(one) for one in [row["across_flats"], *row["other_flats"].split("|")] if one]
    # a washer face is at least 95 % of the width across flats (ISO 4759-1); used where no table value is at hand
    face = float(row["bearing_face"]) if row["bearing_face"] else 0.95 * flats[0]
    return Size(name, tuple(threads), tuple(flats), length(row["hexagon_key"]), length(row["clearance_hole"]), face)


_METRIC = re.compile(r"\bm ?(\d{1,2})(?![\d.])(?: ?(?:x|×|by) ?(\d(?:\.\d+)?))?")
_METRIC_SPOKEN = re.compile(
    r"\bm (twenty (?:two|four|seven)|four|five|six|seven|eight|ten|twelve|fourteen|sixteen|eighteen|twenty|thirty)\b"
)
_INCH = re.compile(r"(?<![\d/.-])(\d{1,2}/\d{1,2}|1)(?:(?: ?- ?| )(\d{1,2})(?![\d/]))?(.*)")
_WORDS = {
    "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "ten": 10, "twelve": 12, "fourteen": 14, "sixteen": 16,
    "eighteen": 18, "twenty": 20, "twenty two": 22, "twenty four": 24, "twenty seven": 27, "thirty": 30,
}  # fmt: skip
_FRACTIONS = {
    "five sixteenths": "5/16", "seven sixteenths": "7/16", "nine sixteenths": "9/16", "three eighths": "3/8",
    "five eighths": "5/8", "seven eighths": "7/8", "three quarters": "3/4", "three quarter": "3/4", "a quarter": "1/4",
    "quarter": "1/4", "half": "1/2", "one inch": "1 inch",
}  # fmt: skip
#: Signs that a fraction is a thread size or a length, not a share of a turn.
_INCH_SIGN = re.compile(r"\b(?:inch|inches|in|unc|unf)\b|\"")
_UNIFIED_SERIES = re.compile(r"\b(unc|unf|coarse|fine)\b")


@lru_cache(maxsize=4096)
def find_threads(text: str) -> tuple[Thread, ...]:
    """The threads that a designation may stand for, likeliest first; empty where there is none.

    Reads "M8x1.25", "M8", "M eight", "3/8-24", "3/8 UNF", "half inch UNF", "half inch". "M8" alone is the coarse
    thread (ISO 965-1: the pitch is left out for coarse threads only); an inch size alone may be UNC or UNF.
    """
    text = " ".join(text.lower().replace("-inch", " inch").split())
    metric = _METRIC.search(text) or _METRIC_SPOKEN.search(text.replace("-", " "))
    if metric:
        size = sizes().get(f"M{_WORDS.get(metric[1], metric[1])}")
        pitch = metric[2] if metric.re is _METRIC else None
        if size is None or pitch is None:
            return size.threads[:1] if size else ()
        return tuple(thread for thread in size.threads if abs(thread.pitch - float(pitch)) < 1e-6)
    for words, figures in _FRACTIONS.items():
        if words.split(" ")[0] in text:
            text = re.sub(rf"\b{words.replace(' ', '[ -]')}\b", figures, text)
    found = _INCH.search(text)
    size = sizes().get(found[1]) if found else None
    if found is None or size is None:
        return ()
    threads = size.threads
    if found[2]:
        threads = tuple(one for one in threads if round(INCH_MM / one.pitch) == int(found[2]))
    elif not _INCH_SIGN.search(found[3]):
        # "3/8" alone is a size where a size is asked for; followed by other words it may be anything
        threads = threads if text == found[1] and found[1] != "1" else ()
    series = _UNIFIED_SERIES.search(found[3])
    if series:
        wanted = "UNC" if series[1] in ("unc", "coarse") else "UNF"
        threads = tuple(one for one in threads if one.series == wanted)
    return threads


def parse_size(text: str) -> Thread | None:
    """The likeliest thread of a designation (see `find_threads`), or null."""
    return next(iter(find_threads(text)), None)


def across_flats(size: str) -> tuple[float, ...]:
    """Widths across flats (mm) of bolt heads and nuts of a thread size, the standard one first; empty if unknown."""
    thread = parse_size(size)
    return sizes()[thread.size].across_flats if thread else ()


def hexagon_key(size: str) -> float | None:
    """Hexagon key (mm) of cap screws of a thread size."""
    thread = parse_size(size)
    return sizes()[thread.size].hexagon_key if thread else None


def sizes_for_across_flats(width_mm: float) -> tuple[str, ...]:
    """Thread sizes whose heads or nuts have this width across flats; those that have it by standard come first."""
    fitting = [
        (place, name)
        for name, size in sizes().items()
        for place, width in enumerate(size.across_flats)
        if abs(width - width_mm) < 0.05
    ]
    return tuple(name for place, name in sorted(fitting, key=lambda found: found[0] > 0))
