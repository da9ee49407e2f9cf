"""The words of the workshop: names of things, work verbs, and the classes of English words.

The shipped tables lie in `lexicons/` (terms.csv, modifiers.csv, verbs.csv, english.csv); a user's own terms
and verbs are layered over them by `load`. Every mistake in a table is a `LexiconError` with file and line.
Kinds and senses are told in `extract.lexicon_tables`.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache, cached_property, lru_cache
from importlib.resources import files
from pathlib import Path
from typing import NamedTuple

from extract.errors import LexiconError
from extract.lexicon_tables import SHIPPED, Term, VerbSense, decode, read_modifiers, read_terms, read_verbs
from extract.wordforms import INVARIABLE, IRREGULAR_SINGULARS, plural_by_rule, singular_by_rule

__all__ = ["English", "EnglishWord", "Lexicon", "Term", "VerbSense", "load"]


class EnglishWord(NamedTuple):
    """Classes of a word, the usual one first (N, J, R, or V with its form letters: "Vbdn"), and its base forms."""

    classes: tuple[str, ...]
    lemma_noun: str | None
    lemma_verb: str | None

    def can_be(self, letter: str) -> bool:
        """True if the word can be of the class N, V, J or R."""
        return any(found[0] == letter for found in self.classes)


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
        # The same few words are asked for again and again.
        self.verb_sense = lru_cache(maxsize=20_000)(self.verb_sense)
        self.singular = lru_cache(maxsize=20_000)(self.singular)
        self.plural = lru_cache(maxsize=20_000)(self.plural)

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


@cache
def _shipped() -> Lexicon:
    folder = files("lexicons")

    def text(name: str) -> str:
        return decode((folder / name).read_bytes(), f"lexicons/{name}")

    return Lexicon(
        read_terms(text("terms.csv"), "lexicons/terms.csv", SHIPPED),
        read_verbs(text("verbs.csv"), "lexicons/verbs.csv", SHIPPED),
        read_modifiers(text("modifiers.csv"), "lexicons/modifiers.csv"),
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
            text = decode(Path(path).read_bytes(), str(path))
        except OSError as error:
            raise LexiconError(
                f"the table cannot be read ({error.strerror}).", file=path, remedy="Check its name and place."
            ) from None
        header = {cell.strip().lower() for cell in text.partition("\n")[0].split(",")}
        if "base" in header:
            own = read_verbs(text, str(path), str(path), verbs)
            verbs = (*own, *_without_replaced(verbs, own))
        else:
            added = read_terms(text, str(path), str(path))
            replaced = {term.id for term in added}
            terms = tuple(term for term in terms if term.id not in replaced) + added
    if not user_files:
        return shipped
    return Lexicon(terms, verbs, shipped.modifiers)


def _without_replaced(verbs: tuple[VerbSense, ...], own: tuple[VerbSense, ...]) -> list[VerbSense]:
    """The senses of `verbs` without those that `own` replaces: same id, or same particle and kind of object."""
    ids = {verb.id for verb in own}
    claimed: dict[tuple[str, str], set[str]] = {}
    for verb in own:
        for particle in verb.particles:
            claimed.setdefault((verb.base, particle), set()).update(verb.objects)
    kept = []
    for verb in verbs:
        if verb.id in ids:
            continue
        particles = tuple(
            particle
            for particle in verb.particles
            if not claimed.get((verb.base, particle), set()) & {"any", *verb.objects}
        )
        if particles:
            kept.append(verb if particles == verb.particles else replace(verb, particles=particles))
    return kept
