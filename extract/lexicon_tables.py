"""The records of the lexicon, and the tables that hold them.

Kinds of a term: part, fastener, seal, fluid, material, tool, ppe, machine, assembly, place (a spot on a part),
person, abstract (a noun that looks like a part and is none: pressure, play, job). A second kind after "|" is what
the bare name means behind a size: the key of a shaft goes by its place, "a four-mil key" is a tool (ISO 2936).

Senses of a verb, and the state in which they leave what they are done to:

    remove, destroy, discard            off its place (destroy: unusable afterwards; discard: gone for good)
    cut                                 in two
    loosen, disconnect, unclip, open    in place but loose, parted, unfastened, open
    uncover, release                    bare; let go
    drain, vent, collect                empty; without pressure; the fluid caught or recovered
    move, raise, lower, support, bend   moved aside, up, down, held from outside, bent
    isolate, wear                       without energy; the worker protected
    fit, connect, tighten, close        on, joined, tight, shut
    cover, fill, restore, secure        covered, full, live again, tied or clamped
    place, straighten                   put down, in shape again
    renew, replace                      a new one stands in its place, or one that nobody said is new
    mark, note, clean, inspect, measure, apply, adjust, prepare
                                        in place: marked, recorded, clean, looked at, coated, set, worked on
    turn, hold, operate, run, wait, pull_test
                                        as before, once it is over
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import chain

from extract.errors import LexiconError
from extract.wordforms import plural_by_rule, regular_inflections

TERM_KINDS = (
    "part", "fastener", "seal", "fluid", "material", "tool", "ppe", "machine", "assembly", "place", "person",
    "abstract",
)  # fmt: skip
MODIFIER_KINDS = ("material", "position", "function", "shape", "size", "state")
OBJECT_KINDS = ("part", "fastener", "seal", "fluid", "material", "tool", "machine", "any")
UNDONE = ("yes", "no", "never")
SENSES = (
    "remove", "destroy", "cut", "discard", "loosen", "disconnect", "unclip", "open", "uncover", "release", "drain",
    "vent", "collect", "move", "raise", "lower", "support", "bend", "isolate", "wear", "fit", "connect", "tighten",
    "close", "cover", "fill", "restore", "secure", "place", "straighten", "renew", "replace", "mark", "note", "clean",
    "inspect", "measure", "apply", "adjust", "prepare", "turn", "hold", "operate", "run", "wait", "pull_test",
)  # fmt: skip

TERM_COLUMNS = ("id", "term", "us", "others", "plural", "kind", "remarks")
VERB_COLUMNS = (
    "id", "base", "particles", "past", "participle", "ing", "third", "sense", "plain", "inverse", "undone", "objects",
    "remarks",
)  # fmt: skip
MODIFIER_COLUMNS = ("word", "kind", "remarks")

SHIPPED = "shipped"
#: Stands in the column `plural` of a thing that is not counted ("grease"); an empty cell means the regular plural.
NO_PLURAL = "-"
#: A spelling as it stands in the tables: lower case, single spaces.
_SPELLING = re.compile(r"[a-z0-9][a-z0-9'&/+.-]*(?: [a-z0-9'&/+.-]+)*")


@dataclass(frozen=True, slots=True)
class Term:
    """A name for a thing: UK spelling, US spelling, further spellings, plural ("" if it has none).

    `sized_kind` is its kind where a size stands before it; empty if that makes no difference.
    """

    id: str
    term: str
    us: str
    others: tuple[str, ...]
    plural: str
    kind: str
    source: str = SHIPPED
    sized_kind: str = ""

    def spellings(self) -> tuple[str, ...]:
        """Singular spellings, the UK one first."""
        return (self.term, self.us, *self.others) if self.us else (self.term, *self.others)


@dataclass(frozen=True, slots=True)
class VerbSense:
    """One meaning of a work verb with one of `particles` ("" is: without any).

    `plain` is the verb of the written instruction, `inverse` the one that undoes it on refit ("" if nothing
    does). `undone`: "yes" leaves a state that the refit must undo, "no" leaves none, "never" cannot be undone.
    `further_forms` are other accepted inflections with their letter: ("fit", "d") beside "fitted".
    """

    id: str
    base: str
    particles: tuple[str, ...]
    past: str
    participle: str
    ing: str
    third: str
    sense: str
    plain: str
    inverse: str
    undone: str
    objects: tuple[str, ...]
    source: str = SHIPPED
    further_forms: tuple[tuple[str, str], ...] = ()


@cache
def _tidy_parts(cell: str) -> tuple[str, ...]:
    """The spellings of a cell that needs no tidying, else nothing. Verb tables repeat most of their cells."""
    parts = tuple(cell.split("|"))
    return parts if cell and all([not part or _SPELLING.fullmatch(part) for part in parts]) else ()


class _Row:
    """A row of a table with the place where it stands."""

    __slots__ = ("cells", "columns", "file", "line")

    def __init__(self, file: str, line: int, columns: dict[str, int], cells: list[str]) -> None:
        self.file = file
        self.line = line
        self.columns = columns
        self.cells = cells

    def get(self, column: str) -> str:
        """The cell in this column; empty where the table lacks the column."""
        index = self.columns.get(column)
        return "" if index is None else self.cells[index]

    def wrong(self, what: str, remedy: str) -> LexiconError:
        return LexiconError(what, file=self.file, line=self.line, remedy=remedy)

    def one_of(self, column: str, allowed: tuple[str, ...], missing: str = "") -> str:
        value = self.get(column) or missing
        self.check(column, value, allowed)
        return value

    def check(self, column: str, value: str, allowed: tuple[str, ...]) -> None:
        if value not in allowed:
            raise self.wrong(f'{column} "{value}" is unknown.', f"Use one of: {', '.join(allowed)}.")

    def spelling(self, column: str) -> str:
        """The cell as a spelling: lower case, single spaces."""
        return self._spelling(column, self.get(column))

    def spellings(self, column: str) -> tuple[str, ...]:
        """The spellings of a cell that separates them with |; an empty one stands for an empty alternative."""
        value = self.get(column)
        if not value:
            return ()
        return _tidy_parts(value) or tuple([self._spelling(column, part) for part in value.split("|")])

    def _spelling(self, column: str, value: str) -> str:
        if not value or _SPELLING.fullmatch(value):
            return value
        spelling = " ".join(value.lower().replace("’", "'").split())
        if spelling and not _SPELLING.fullmatch(spelling):
            raise self.wrong(
                f'"{value}" in the column {column} is no word or name.',
                "Use letters, digits, spaces, hyphens and apostrophes; separate several spellings with |.",
            )
        return spelling


def decode(data: bytes, file: str) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise LexiconError(
            "the text is not UTF-8.", file=file, line=line, remedy='Save the table as "CSV UTF-8".'
        ) from None


def _rows(text: str, file: str, needed: tuple[str, ...], known: tuple[str, ...]) -> Iterator[_Row]:
    """Rows of a table; checks header, number of cells and quotes."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    start = 1
    try:
        header = [cell.strip().lower() for cell in next(reader, [])]
        for name in needed:
            if name not in header:
                hint = " Separate the cells with commas." if len(header) == 1 and re.search("[;\t]", header[0]) else ""
                raise LexiconError(
                    f'the column "{name}" is missing.',
                    file=file,
                    line=1,
                    remedy=f"Begin the table with the header {','.join(known)}.{hint}",
                )
        for name in header:
            if name not in known:
                raise LexiconError(
                    f'the column "{name}" is unknown.', file=file, line=1, remedy=f"Known columns: {', '.join(known)}."
                )
        if len(set(header)) < len(header):
            raise LexiconError("a column stands there twice.", file=file, line=1, remedy="Keep one of them.")
        start = reader.line_num + 1
        columns = {name: index for index, name in enumerate(header)}
        for raw in reader:
            cells = [cell.strip() for cell in raw]
            if any(cells):
                if len(cells) > len(header):
                    raise LexiconError(
                        f"{len(cells)} cells in a table of {len(header)} columns.",
                        file=file,
                        line=start,
                        remedy='Put text with a comma in quotes: "…".',
                    )
                cells += [""] * (len(header) - len(cells))
                yield _Row(file, start, columns, cells)
            start = reader.line_num + 1
    except csv.Error as error:
        raise LexiconError(
            f"the table is broken ({error}).", file=file, line=start, remedy='Close every quote: "…".'
        ) from None


def slug(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text).strip("-")


def read_terms(text: str, file: str, source: str) -> tuple[Term, ...]:
    terms: list[Term] = []
    rows: list[_Row] = []
    for row in _rows(text, file, ("term", "kind"), TERM_COLUMNS):
        name = row.spelling("term")
        if not name:
            raise row.wrong("the term is empty.", "Write its name in the column term, or delete the row.")
        us = row.spelling("us")
        plural = row.get("plural")
        terms.append(
            Term(
                row.get("id") or slug(name),
                name,
                "" if us == name else us,
                tuple(filter(None, row.spellings("others"))),
                "" if plural == NO_PLURAL else row.spelling("plural") or plural_by_rule(name),
                *_kinds(row, source),
            )
        )
        rows.append(row)
    _once(rows, [(term.id,) for term in terms], 'the id "{}"', "Give each term an id of its own.")
    _once(rows, [term.spellings() for term in terms], 'the spelling "{}"', "Keep it with one term only.")
    return tuple(terms)


def _kinds(row: _Row, source: str) -> tuple[str, str, str]:
    """Kind, source and sized kind of a term."""
    kind, bar, sized = row.get("kind").partition("|")
    for given in (kind, sized) if bar else (kind,):
        row.check("kind", given, TERM_KINDS)
    return kind, source, sized


def read_verbs(text: str, file: str, source: str, known: tuple[VerbSense, ...] = ()) -> tuple[VerbSense, ...]:
    inflections = {verb.base: (verb.past, verb.participle, verb.ing, verb.third) for verb in known}
    verbs: list[VerbSense] = []
    rows: list[_Row] = []
    for row in _rows(text, file, ("base", "sense", "plain"), VERB_COLUMNS):
        base = row.spelling("base")
        if not base or not row.get("plain"):
            column = "plain" if base else "base"
            raise row.wrong(f"the column {column} is empty.", "Write a verb there, or delete the row.")
        inflected = [row.spellings(column) for column in ("past", "participle", "ing", "third")]
        if not all(inflected):
            forms = inflections.get(base) or regular_inflections(base)
            inflected = [cell or (form,) for cell, form in zip(inflected, forms, strict=True)]
        objects = row.spellings("objects") or ("any",)
        for kind in objects:
            row.check("objects", kind, OBJECT_KINDS)
        verbs.append(
            VerbSense(
                id=row.get("id") or slug(f"own {base} {row.get('particles')}"),
                base=base,
                particles=row.spellings("particles") or ("",),
                past=inflected[0][0],
                participle=inflected[1][0],
                ing=inflected[2][0],
                third=inflected[3][0],
                sense=row.one_of("sense", SENSES),
                plain=row.spelling("plain"),
                inverse=row.spelling("inverse"),
                undone=row.one_of("undone", UNDONE, missing="no"),
                objects=objects,
                source=source,
                further_forms=_further(inflected),
            )
        )
        rows.append(row)
    _once(rows, [(verb.id,) for verb in verbs], 'the id "{}"', "Give each sense an id of its own.")
    done_to = [[f"{verb.base} {p} for {kind}" for p in verb.particles for kind in verb.objects] for verb in verbs]
    _once(rows, done_to, 'the verb "{}"', "Keep one of the two, or tell them apart by objects.")
    return tuple(verbs)


def _once(rows: Sequence[_Row], told: Sequence[Sequence[str]], what: str, remedy: str) -> None:
    """Make sure that no two rows (or cells of a row) tell the same; `told` has what each row tells."""
    if len(set(chain.from_iterable(told))) == sum(map(len, told)):
        return
    lines: dict[str, int] = {}
    for row, names in zip(rows, told, strict=True):
        for name in names:
            if name in lines:
                raise row.wrong(f"{what.format(name)} stands on line {lines[name]} already.", remedy)
            lines[name] = row.line


def _further(inflected: list[tuple[str, ...]]) -> tuple[tuple[str, str], ...]:
    """The forms beside the first of past, participle, -ing and third person, each with its letter."""
    if all([len(forms) == 1 for forms in inflected]):
        return ()
    return tuple((form, letter) for letter, forms in zip("dngs", inflected, strict=True) for form in forms[1:])


def read_modifiers(text: str, file: str) -> dict[str, str]:
    modifiers: dict[str, str] = {}
    for row in _rows(text, file, ("word", "kind"), MODIFIER_COLUMNS):
        word = row.spelling("word")
        if not word or word in modifiers:
            what = f'the word "{word}" stands there twice.' if word else "the word is empty."
            raise row.wrong(what, "Keep one row for each word.")
        modifiers[word] = row.one_of("kind", MODIFIER_KINDS)
    return modifiers
