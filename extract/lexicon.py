"""The words of the workshop: names of things, work verbs, and the classes of English words.

The shipped tables lie in `lexicons/` (terms.csv, modifiers.csv, verbs.csv, english.csv); a user's own terms
and verbs are layered over them by `load`. Every mistake in a table is a `LexiconError` with file and line.

Kinds of a term: part, fastener, seal, fluid, material, tool, ppe, machine, assembly, place (a spot on a part),
person, abstract (a noun that looks like a part and is none: pressure, play, job).

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
import hashlib
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from importlib.resources import files
from pathlib import Path
from typing import NamedTuple

from extract.errors import LexiconError
from extract.wordforms import (
    INVARIABLE,
    IRREGULAR_SINGULARS,
    plural_by_rule,
    regular_inflections,
    singular_by_rule,
)

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
#: A spelling as it stands in the tables: lower case, single spaces.
_SPELLING = re.compile(r"[a-z0-9][a-z0-9'&/+.-]*(?: [a-z0-9'&/+.-]+)*")


class EnglishWord(NamedTuple):
    """Classes of a word, the usual one first (N, J, R, or V with its form letters: "Vbdn"), and its base forms."""

    classes: tuple[str, ...]
    lemma_noun: str | None
    lemma_verb: str | None

    def can_be(self, letter: str) -> bool:
        """True if the word can be of the class N, V, J or R."""
        return any(found[0] == letter for found in self.classes)


@dataclass(frozen=True, slots=True)
class Term:
    """A name for a thing: UK spelling, US spelling, further spellings, plural ("" if it has none)."""

    id: str
    term: str
    us: str
    others: tuple[str, ...]
    plural: str
    kind: str
    source: str = SHIPPED

    def spellings(self) -> tuple[str, ...]:
        """Singular spellings, the UK one first."""
        return tuple(dict.fromkeys(filter(None, (self.term, self.us, *self.others))))


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


class English(Mapping[str, EnglishWord]):
    """The classes of the frequent English words; entries are parsed when they are asked for."""

    def __init__(self, text: str) -> None:
        rows = text.splitlines()
        self._rows = dict(row.split(",", 1) for row in rows[1:])

    def __getitem__(self, word: str) -> EnglishWord:
        classes, noun, verb = self._rows[word].split(",")
        letters = tuple(classes.split("|"))
        return EnglishWord(
            letters,
            (noun or word) if "N" in letters else None,
            (verb or word) if "V" in classes else None,
        )

    def __contains__(self, word: object) -> bool:
        return word in self._rows

    def __iter__(self) -> Iterator[str]:
        return iter(self._rows)

    def __len__(self) -> int:
        return len(self._rows)


class Lexicon:
    """Terms, modifiers and verbs with every spelling and inflection looked up in one step.

    Later rows of `terms` and `verbs` win over earlier ones of the same spelling (the user's over the shipped).
    """

    def __init__(
        self,
        terms: tuple[Term, ...],
        verbs: tuple[VerbSense, ...],
        modifiers: dict[str, str],
        english: str | None = None,
    ) -> None:
        self.terms = terms
        self.verbs = verbs
        self.modifiers = modifiers
        self._english_text = english
        self._forms: dict[str, Term] = {}
        self._singular_forms: dict[str, str] = {}
        self._plural_forms: dict[str, str] = {}
        self._index_terms()
        self._senses: dict[str, list[VerbSense]] = {}
        for verb in verbs:
            self._senses.setdefault(verb.base, []).append(verb)
        self.verb_forms = _verb_forms(verbs)

    def _index_terms(self) -> None:
        # What a table spells out beats what is derived (plurals, hyphens as spaces); the user's rows, which
        # come last, beat the shipped ones.
        listed: dict[str, Term] = {}
        derived: dict[str, Term] = {}
        for term in reversed(self.terms):
            for spelling in term.spellings():
                listed.setdefault(spelling, term)
                plural = "" if not term.plural else term.plural if spelling == term.term else plural_by_rule(spelling)
                pairs = [(spelling, plural)]
                if "-" in spelling:
                    pairs.append((spelling.replace("-", " "), plural.replace("-", " ")))
                for one, many in pairs:
                    derived.setdefault(one, term)
                    self._singular_forms.setdefault(one, one)
                    if many:
                        derived.setdefault(many, term)
                        self._plural_forms.setdefault(one, many)
        self._forms = derived | listed
        for one, many in self._plural_forms.items():
            if many not in listed:
                self._singular_forms.setdefault(many, one)

    @cached_property
    def hash(self) -> str:
        """Hex digest of all that the lexicon says, for the record in a draft."""
        digest = hashlib.sha256()
        for row in (*self.terms, *self.verbs):
            digest.update(repr(row).encode())
        digest.update(repr(sorted(self.modifiers.items())).encode())
        digest.update(self._english_source.encode())
        return digest.hexdigest()[:16]

    @cached_property
    def _english_source(self) -> str:
        if self._english_text is not None:
            return self._english_text
        return (files("lexicons") / "english.csv").read_text("utf-8")

    @cached_property
    def english(self) -> English:
        """Classes of general English words; read at the first use."""
        return English(self._english_source)

    def term(self, surface: str) -> Term | None:
        """The term of this spelling, singular or plural, in lower case."""
        return self._forms.get(surface)

    def term_forms(self) -> dict[str, Term]:
        """Every spelling, singular and plural, in lower case."""
        return self._forms

    def verb_senses(self, base: str) -> tuple[VerbSense, ...]:
        """All senses of a base verb, in the order of the table."""
        return tuple(self._senses.get(base, ()))

    def verb_sense(self, base: str, particle: str | None, kind: str | None = None) -> VerbSense | None:
        """The sense of a verb with this particle, else without one.

        `kind` is what the verb is done to (one of `OBJECT_KINDS`); of several senses with the same particle
        the one that names it comes first, then one for "any", then the first of the table.
        """
        for wanted in (particle or "", "") if particle else ("",):
            found = [sense for sense in self._senses.get(base, ()) if wanted in sense.particles]
            if found:
                named = [sense for sense in found if kind in sense.objects]
                general = [sense for sense in found if "any" in sense.objects]
                return (named or general or found)[0] if kind else found[0]
        return None

    def singular(self, noun: str) -> str:
        """Singular of a noun or noun phrase; one that is singular already comes back as it is."""
        known = self._singular_forms.get(noun)
        if known:
            return known
        before, _, last = noun.rpartition(" ")
        return f"{before} {self._singular_word(last)}" if before else self._singular_word(last)

    def _singular_word(self, word: str) -> str:
        known = self._singular_forms.get(word) or IRREGULAR_SINGULARS.get(word)
        if known:
            return known
        if word in INVARIABLE:
            return word
        listed = self.english.get(word)
        if listed and listed.lemma_noun:
            return listed.lemma_noun
        return singular_by_rule(word)

    def plural(self, noun: str) -> str:
        """Plural of a noun or noun phrase; one that is plural already, or has no plural, comes back as it is."""
        known = self._plural_forms.get(noun)
        if known:
            return known
        if noun in self._forms:
            return noun
        before, _, last = noun.rpartition(" ")
        if before and " of " in noun:
            first, _, rest = noun.partition(" of ")
            return f"{self.plural(first)} of {rest}"
        many = self._plural_forms.get(last) or (last if last in self._forms else None)
        if many is None:
            many = last if self._singular_word(last) != last else plural_by_rule(last)
        return f"{before} {many}" if before else many


def _verb_forms(verbs: tuple[VerbSense, ...]) -> dict[str, tuple[tuple[str, str], ...]]:
    forms: dict[str, dict[tuple[str, str], None]] = {}
    for verb in verbs:
        for letter, cell in (
            ("b", verb.base), ("s", verb.third), ("d", verb.past), ("n", verb.participle), ("g", verb.ing),
            *((letter, form) for form, letter in verb.further_forms),
        ):  # fmt: skip
            forms.setdefault(cell, {})[verb.base, letter] = None
    return {form: tuple(found) for form, found in forms.items()}


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
        if value not in allowed:
            raise self.wrong(f'{column} "{value}" is unknown.', f"Use one of: {', '.join(allowed)}.")
        return value

    def spelling(self, column: str) -> str:
        """The cell as a spelling: lower case, single spaces."""
        return self._spelling(column, self.get(column))

    def spellings(self, column: str) -> tuple[str, ...]:
        """The spellings of a cell that separates them with |; an empty one stands for an empty alternative."""
        value = self.get(column)
        return tuple([self._spelling(column, part) for part in value.split("|")]) if value else ()

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


def _decode(data: bytes, file: str) -> str:
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


def _slug(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text).strip("-")


def _read_terms(text: str, file: str, source: str) -> tuple[Term, ...]:
    terms: list[Term] = []
    ids: dict[str, int] = {}
    spelled: dict[str, int] = {}
    for row in _rows(text, file, ("term", "kind"), TERM_COLUMNS):
        name = row.spelling("term")
        if not name:
            raise row.wrong("the term is empty.", "Write its name in the column term, or delete the row.")
        others = tuple(filter(None, row.spellings("others")))
        plural = row.spelling("plural") if "plural" in row.columns else plural_by_rule(name)
        term = Term(
            id=row.get("id") or _slug(name),
            term=name,
            us=row.spelling("us"),
            others=others,
            plural=plural,
            kind=row.one_of("kind", TERM_KINDS),
            source=source,
        )
        if term.id in ids:
            raise row.wrong(
                f'the id "{term.id}" stands on line {ids[term.id]} already.', "Give each term an id of its own."
            )
        ids[term.id] = row.line
        for spelling in term.spellings():
            if spelling in spelled:
                raise row.wrong(
                    f'the spelling "{spelling}" stands on line {spelled[spelling]} already.',
                    "Keep it with one term only.",
                )
            spelled[spelling] = row.line
        terms.append(term)
    return tuple(terms)


def _read_verbs(text: str, file: str, source: str, known: tuple[VerbSense, ...] = ()) -> tuple[VerbSense, ...]:
    inflections = {verb.base: (verb.past, verb.participle, verb.ing, verb.third) for verb in known}
    verbs: list[VerbSense] = []
    ids: dict[str, int] = {}
    taken: dict[tuple[str, str, str], int] = {}
    for row in _rows(text, file, ("base", "sense", "plain"), VERB_COLUMNS):
        base = row.spelling("base")
        if not base or not row.get("plain"):
            column = "plain" if base else "base"
            raise row.wrong(f"the column {column} is empty.", "Write a verb there, or delete the row.")
        forms = inflections.get(base) or regular_inflections(base)
        inflected = [
            row.spellings(column) or (form,)
            for column, form in zip(("past", "participle", "ing", "third"), forms, strict=True)
        ]
        verb = VerbSense(
            id=row.get("id") or _slug(f"{base} {row.get('particles')}"),
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
            objects=row.spellings("objects") or ("any",),
            source=source,
            further_forms=tuple((form, x) for x, cell in zip("dngs", inflected, strict=True) for form in cell[1:]),
        )
        if verb.id in ids:
            raise row.wrong(
                f'the id "{verb.id}" stands on line {ids[verb.id]} already.', "Give each sense an id of its own."
            )
        ids[verb.id] = row.line
        for kind in verb.objects:
            if kind not in OBJECT_KINDS:
                raise row.wrong(f'objects "{kind}" is unknown.', f"Use one of: {', '.join(OBJECT_KINDS)}.")
            for particle in verb.particles:
                if (base, particle, kind) in taken:
                    phrase = f"{base} {particle}".strip()
                    raise row.wrong(
                        f'"{phrase}" for "{kind}" stands on line {taken[base, particle, kind]} already.',
                        "Keep one of the two, or tell them apart by objects.",
                    )
                taken[base, particle, kind] = row.line
        verbs.append(verb)
    return tuple(verbs)


def _read_modifiers(text: str, file: str) -> dict[str, str]:
    modifiers: dict[str, str] = {}
    for row in _rows(text, file, ("word", "kind"), MODIFIER_COLUMNS):
        word = row.spelling("word")
        if not word or word in modifiers:
            what = f'the word "{word}" stands there twice.' if word else "the word is empty."
            raise row.wrong(what, "Keep one row for each word.")
        modifiers[word] = row.one_of("kind", MODIFIER_KINDS)
    return modifiers


@cache
def _shipped() -> Lexicon:
    folder = files("lexicons")

    def text(name: str) -> str:
        return _decode((folder / name).read_bytes(), f"lexicons/{name}")

    return Lexicon(
        _read_terms(text("terms.csv"), "lexicons/terms.csv", SHIPPED),
        _read_verbs(text("verbs.csv"), "lexicons/verbs.csv", SHIPPED),
        _read_modifiers(text("modifiers.csv"), "lexicons/modifiers.csv"),
    )


def load(*user_files: Path) -> Lexicon:
    """The shipped lexicon with the tables of a user over it, in the order given.

    A table with the column `term` holds terms, one with `base` verbs; only `term,kind` and `base,sense,plain`
    are needed. A user's row replaces shipped rows of the same id, and wins every spelling that it lists; a
    user's verb replaces the shipped senses with the same particles. Raises `LexiconError`.
    """
    shipped = _shipped()
    terms, verbs = shipped.terms, shipped.verbs
    for path in user_files:
        try:
            text = _decode(Path(path).read_bytes(), str(path))
        except OSError as error:
            raise LexiconError(
                f"the table cannot be read ({error.strerror}).", file=path, remedy="Check its name and place."
            ) from None
        header = {cell.strip().lower() for cell in text.partition("\n")[0].split(",")}
        if "base" in header:
            own = _read_verbs(text, str(path), str(path), verbs)
            verbs = own + _without_replaced(verbs, own)
        else:
            added = _read_terms(text, str(path), str(path))
            replaced = {term.id for term in added}
            terms = tuple(term for term in terms if term.id not in replaced) + added
    if not user_files:
        return shipped
    return Lexicon(terms, verbs, shipped.modifiers)


def _without_replaced(shipped: tuple[VerbSense, ...], own: tuple[VerbSense, ...]) -> tuple[VerbSense, ...]:
    """The shipped senses but for those with an id of `own`; own senses stand before them and so win."""
    ids = {verb.id for verb in own}
    return tuple(verb for verb in shipped if verb.id not in ids)
