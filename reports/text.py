"""Small words and marks that all writers share: cleaning, time codes, numbers, lists of numbers, spelling."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence

from extract.model import Stage, Torque

# Characters that XML 1.0 forbids, and those that reorder the text around them (Unicode UAX 9 controls).
_FORBIDDEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]")
_REORDERING = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")

NM_PER_LBF_FT = 1.3558179483314  # NIST SP 811, appendix B.8

DEFERS = "The manufacturer's data, local codes and licensed trades decide."

NO_CAUTION = "The film names no danger. That does not mean that there is none."

UNTITLED = "Untitled procedure"

# A spreadsheet runs a cell that begins so as a formula; the full-width forms count in some of them.
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\uff1d", "\uff0b", "\uff0d", "\uff20")

_US_SPELLING = {
    "aluminium": "aluminum",
    "armour": "armor",
    "calliper": "caliper",
    "carburettor": "carburetor",
    "centre": "center",
    "centred": "centered",
    "centring": "centering",
    "colour": "color",
    "fibre": "fiber",
    "grey": "gray",
    "litre": "liter",
    "metre": "meter",
    "mould": "mold",
    "odour": "odor",
    "plough": "plow",
    "pressurise": "pressurize",
    "prise": "pry",
    "prised": "pried",
    "prises": "pries",
    "prising": "prying",
    "sulphur": "sulfur",
    "tyre": "tire",
    "vapour": "vapor",
    "vice": "vise",
}


def clean(text: str | None) -> str:
    """Return one line of text that no format trips over: no control or reordering characters, single spaces."""
    if not text:
        return ""
    text = _REORDERING.sub("", _FORBIDDEN.sub("", text))
    return " ".join(text.split())


def sentence(text: str | None) -> str:
    """Return cleaned text that begins with a capital and ends with a full stop."""
    text = capital(clean(text))
    return text if not text or text[-1] in ".!?:" else text + "."


def capital(text: str) -> str:
    """Raise the first letter, unless the first word is a size or a symbol such as "mm" or "pH"."""
    first = text.split(" ", 1)[0]
    return text if not first[:1].islower() or any(c.isupper() for c in first) else text[:1].upper() + text[1:]


def shortened(text: str, most: int = 60) -> str:
    """Return text for a running header, cut at a word."""
    return text if len(text) <= most else text[:most].rsplit(" ", 1)[0].rstrip(",;:–") + " …"


def time_code(seconds: float | None) -> str:
    """Return the place in the film as `m:ss` or `h:mm:ss`; empty where the talk has no times."""
    if seconds is None:
        return ""
    whole = int(seconds)
    hours, minutes = divmod(whole // 60, 60)
    return f"{hours}:{minutes:02}:{whole % 60:02}" if hours else f"{minutes}:{whole % 60:02}"


_MONTHS = "January February March April May June July August September October November December".split()
_STAMP = re.compile(r"(\d{4})-(\d\d)-(\d\d)T(\d\d:\d\d)(?::\d\d(?:\.\d+)?)?(?:Z|\+00:00)")


def date_words(stamp: str, english: str | None = None) -> str:
    """Return a time stamp (ISO 8601, UTC) as people write it: "25 November 2026, 11:52 UTC"; others stay."""
    found = _STAMP.fullmatch(stamp.strip())
    if found is None or not 1 <= int(found[2]) <= 12:
        return stamp
    month, day = _MONTHS[int(found[2]) - 1], int(found[3])
    date = f"{month} {day}, {found[1]}" if english == "us" else f"{day} {month} {found[1]}"
    return f"{date}, {found[4]} UTC"


def number(value: float) -> str:
    """Return a value without a needless fraction: `25`, `4.5`, `0.05`."""
    return f"{value:.10g}" if abs(value) < 1e10 else f"{value:g}"


def join_words(words: Sequence[str], last: str = "and") -> str:
    """Return "a", "a and b" or "a, b and c"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def number_runs(labels: Sequence[str], order: Sequence[str]) -> str:
    """Return step labels as a reader says them: "4", "4 and 5", "4 to 9 and R2"; `order` is all labels in order."""
    place = {label: index for index, label in enumerate(order)}
    wanted = sorted({label for label in labels if label in place}, key=place.__getitem__)
    runs: list[list[str]] = []
    for label in wanted:
        if runs and place[label] == place[runs[-1][-1]] + 1 and label[:1].isalpha() == runs[-1][-1][:1].isalpha():
            runs[-1].append(label)
        else:
            runs.append([label])
    parts: list[str] = []
    for run in runs:
        parts.extend([f"{run[0]} to {run[-1]}"] if len(run) > 2 else run)
    return join_words(parts)


def slug(text: str, fallback: str = "x") -> str:
    """Return lower-case ASCII letters, digits and hyphens, fit for a file name or an XML id."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:60].strip("-") or fallback


def spell(text: str, english: str | None) -> str:
    """Return text in US spelling where the document asks for it; a small table of fixed words."""
    if english != "us":
        return text
    return _US_WORDS.sub(_respelt, text)


def _respelt(found: re.Match[str]) -> str:
    before, word, ending = found.groups()
    us = _US_SPELLING[word.lower()]
    return before + (us.capitalize() if word[:1].isupper() else us) + ending


_US_WORDS = re.compile(
    rf"\b((?:milli|centi|kilo)?)({'|'.join(sorted(_US_SPELLING, key=len, reverse=True))})(s|d|ed|ing|)\b(?! versa)",
    re.IGNORECASE,
)


def range_text(value: float | None, low: float | None, high: float | None) -> str:
    """Return "25", "20 to 25", "at least 20", "at most 25" or nothing."""
    if value is not None:
        return number(value)
    if low is not None and high is not None:
        return f"{number(low)} to {number(high)}"
    if low is not None:
        return f"at least {number(low)}"
    return f"at most {number(high)}" if high is not None else ""


def torque_value(torque: Torque, english: str | None = None) -> str:
    """Return the stages as written: "25 N·m, then 90°"; with pound-feet beside for US documents; or nothing."""
    parts = []
    for stage in torque.stages:
        value = range_text(stage.value_nm, stage.low_nm, stage.high_nm)
        if value:
            value += " N·m" + (f" ({_pound_feet(stage)} lb-ft)" if english == "us" else "")
        angle = f"{number(stage.angle_deg)}°" if stage.angle_deg is not None else ""
        parts.extend(part for part in (value, angle) if part)
    if not parts and torque.value_nm is not None:
        parts.append(f"{number(torque.value_nm)} N·m")
    return ", then ".join(parts)


def _pound_feet(stage: Stage) -> str:
    values = (stage.value_nm, stage.low_nm, stage.high_nm)
    scaled = [None if nm is None else float(f"{nm / NM_PER_LBF_FT:.3g}") for nm in values]
    return range_text(*scaled)


def with_marks(marks: tuple[str, ...], text: str) -> str:
    """Return the text behind the variants that it holds for."""
    return f"{'; '.join(marks)} – {text}" if marks else text


def count_words(items: Iterable[object], singular: str, plural: str | None = None) -> str:
    """Return "1 open point", "3 open points"."""
    count = sum(1 for _ in items)
    return f"{count} {singular if count == 1 else plural or singular + 's'}"


def harmless(text: str) -> str:
    """Return the text of a cell, with an apostrophe before what a spreadsheet would run as a formula."""
    return f"'{text}" if text.startswith(_FORMULA) or text.lstrip().startswith(_FORMULA) else text
