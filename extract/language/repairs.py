"""Self-corrections: what a speaker took back, and where the words go on that are meant."""

from __future__ import annotations

from dataclasses import dataclass

from extract.language.numbers import read_number

_FILLERS = frozenset({"uh", "um", "er", "erm", "ah", ","})
#: "No wait, I got it wrong": a stop and the mistake in one editing term.
_STOPS = ("no hang on", "hang on", "no hold on", "hold on", "no wait", "wait", "no sorry", "sorry", "no")
_MISTAKEN = tuple(
    f"got {what} {how}" for what in ("that", "it") for how in ("wrong", "backwards", "the wrong way round")
)
#: Editing terms, longest first, as tokens; `sure` ones speak of a correction by themselves.
_EDITING: tuple[tuple[tuple[str, ...], bool], ...] = tuple(
    sorted(
        (
            (tuple(term.split()), sure)
            for term, sure in (
                *((f"{stop} i {got}", True) for stop in _STOPS for got in _MISTAKEN), ("no wait a minute", True),
                ("no hang on", True), ("no hold on", True), ("no sorry", True), ("sorry no", True), ("no wait", True), ("wait no", True),
                ("no i mean", True), ("no i tell a lie", True), ("i tell a lie", True), ("tell a lie", True), ("no that 's wrong", True),
                ("sorry i mean", True), ("sorry i meant", True), ("i mean", True), ("i meant", True), ("correction", True),
                ("no i 'm wrong", True), ("scratch that", True), ("no scratch that", True), ("no stop", True), ("no , no", True), ("no hold on a second", True),
                ("no , hold on", True), ("wait a minute no", True), ("no , before that", True), ("no before that", True), ("no , scratch that", True), ("make that", True), ("or rather", True), ("rather", False),
                ("my mistake", True), ("no my mistake", True), ("sorry", False), ("no", False), ("well no", True), ("no no", True),
                ("hang on no", True), ("hang on", False), ("hold on ,", False), ("wait ,", False), ("not the", False), ("no not", True), ("oops", True), ("i should say", True),
                ("excuse me", False), ("what am i saying", True), ("no , sorry", True), ("no , wait", True), ("no , hang on", True),
            )
        ),
        key=lambda item: -len(item[0]),
    )
)  # fmt: skip
_BY_FIRST: dict[str, tuple[tuple[tuple[str, ...], bool], ...]] = {
    first: tuple(entry for entry in _EDITING if entry[0][0] == first) for first in {entry[0][0] for entry in _EDITING}
}
_LOOK_BACK = 12
#: "no" that corrects nothing.
_NO_CORRECTION = frozenset(
    {("no", "two"), ("no", "matter"), ("no", "need"), ("no", "more"), ("no", "less"), ("no", "longer"), ("no", "problem"), ("no", "idea"),
     ("no", "point"), ("no", "good"), ("no", "one"), ("sorry", "about"), ("sorry", "for"), ("no", "other"), ("no", "doubt"), ("no", "chance")}
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Repair:
    """Tokens `first` up to `edit` were taken back, `edit` up to `goes_on` say so, the right words go on there."""

    first: int
    edit: int
    goes_on: int


def find_repairs(low: list[str]) -> list[Repair]:
    """Find the self-corrections of an utterance, given as lower-case tokens."""
    found: list[Repair] = []
    if _BY_FIRST.keys().isdisjoint(low):
        return found
    at = 1
    while at < len(low) - 1:
        repair = _repair_at(low, at)
        if repair is None:
            at += 1
        else:
            found.append(repair)
            at = repair.goes_on
    return found


def _repair_at(low: list[str], at: int) -> Repair | None:
    for term, sure in _BY_FIRST.get(low[at], ()):
        if tuple(low[at : at + len(term)]) != term or tuple(low[at : at + 2]) in _NO_CORRECTION:
            continue
        if term[-1] == "," and low[at - 1] != ",":
            continue  # "and wait, four minutes will do"
        edit = at
        while edit > 0 and low[edit - 1] in _FILLERS:
            edit -= 1
        goes_on = at + len(term)
        while goes_on < len(low) and (low[goes_on] in _FILLERS or low[goes_on] in ("-", "–", "it 's")):
            goes_on += 1
        if goes_on < len(low) and low[goes_on] == "not":
            goes_on = _skip_negated(low, goes_on)
        if edit == 0 or goes_on >= len(low):
            continue
        first = _taken_back(low, edit, goes_on, sure)
        if first is not None and low[goes_on] in ("it", "they") and low[first] not in ("it", "they"):
            goes_on += (
                1  # "… must sit against the lever, no, it must sit against the plate": the subject stands already
            )
        if first is not None:
            anew = low[goes_on] in ("a", "an", "the") or read_number(low, first) is not None
            if first > 0 and low[first - 1] in ("a", "an", "the") and anew:
                first -= 1
            return Repair(first, edit, goes_on)
    return None


def _skip_negated(low: list[str], at: int) -> int:
    """ "… no wait, not two clicks, just one click": what is denied belongs to the correction's words."""
    index = at + 1
    while index < len(low) and index < at + 6:
        if low[index] in {"just", "only", "but", ","}:
            index += 1
            while index < len(low) and low[index] in {"just", "only", "but", ","}:
                index += 1
            return index
        index += 1
    return at


def _taken_back(low: list[str], edit: int, goes_on: int, sure: bool) -> int | None:
    """First token that is taken back: where the words that go on start in the same way, or a number meets a number."""
    start = max(0, edit - _LOOK_BACK)
    ahead = low[goes_on : goes_on + 3]
    number = read_number(low, goes_on)
    # Three, two, then one word alike: "must sit against the lever no … it must sit against the plate".
    for skip in (0, 1) if ahead[:1] and ahead[0] in {"it", "they", "that", "you", "we", "i"} else (0,):
        for length in (3, 2):
            key = low[goes_on + skip : goes_on + skip + length]
            if len(key) < length:
                continue
            for index in range(edit - length, start - 1, -1):
                if low[index : index + length] == key:
                    return index if skip == 0 else (index - 1 if index and low[index - 1] == low[goes_on] else index)
    if number is not None:
        for index in range(edit - 1, start - 1, -1):
            before = read_number(low, index)
            if before is not None and (
                index == 0 or read_number(low, index - 1) is None or index + before.used >= edit
            ):
                while (
                    index > start
                    and (wider := read_number(low, index - 1)) is not None
                    and index - 1 + wider.used > index
                ):
                    index -= 1
                return index
    if ahead and ahead[0] in {
        "the",
        "a",
        "an",
        "with",
        "on",
        "to",
        "at",
        "in",
        "from",
        "two",
        "your",
        "that",
        "those",
        "this",
        "it",
    }:
        for index in range(edit - 1, start - 1, -1):
            if low[index] == ahead[0]:
                return index
    if not sure:
        return None
    if ahead and ahead[0] in ("the", "a", "an"):
        for index in range(edit - 1, start - 1, -1):
            if low[index] in {"the", "a", "an", "this", "that"}:
                return index
    return _clause_before(low, edit)


def _clause_before(low: list[str], edit: int) -> int | None:
    """Start of the clause that ends at token `edit`, for corrections that take back a whole act."""
    index = edit - 1
    while index >= 0 and low[index] not in {",", ";", ".", "and", "then", "so", "but", "next", "now"}:
        index -= 1
    return index + 1 if edit - index - 1 <= _LOOK_BACK else None
