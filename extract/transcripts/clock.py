"""Times of day on the film's clock, read with tolerance."""

from __future__ import annotations

import re

_CLOCK = re.compile(r"([-−])?(?:(\d{1,6}):)?(\d{1,6}):(\d{1,2})(?:([.,])(\d{1,9}))?")


def read_clock(text: str, marks: str = ".,", digits: int | None = None) -> tuple[float | None, str | None]:
    """Seconds of `[hh:]mm:ss[.fff]`, and in what way it breaks the format's rules.

    `marks` are the decimal marks that the format allows, `digits` the decimals that it demands. Seconds are
    null where the text is no time at all.
    """
    found = _CLOCK.fullmatch(text)
    if not found:
        return None, "The time cannot be read."
    sign, hours, minutes, seconds, mark, fraction = found.groups()
    value = int(hours or 0) * 3600 + int(minutes) * 60 + int(seconds)
    if fraction:
        value += int(fraction) / 10 ** len(fraction)
    if sign:
        return -value, None
    if mark and mark not in marks:
        return value, f"The decimal mark of the time is “{mark}”."
    if digits and len(fraction or "") != digits:
        return value, f"The time does not have {digits} decimals."
    if int(seconds) > 59 or (hours and int(minutes) > 59):
        return value, "The minutes or seconds of the time are above 59."
    return value, None
