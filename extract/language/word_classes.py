"""What a single word can be: classes, verb forms, whether it is a term of the trade."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from extract.lexicon import Lexicon


@dataclass(slots=True)
class WordClass:
    """Classes that a word can have: `tags` most usual first, `forms` its verb forms, `base` its verb, `work` if it
    is a verb of the work lexicon, `thing` if it is a term of the trade, `modifier` its modifier kind."""

    tags: tuple[str, ...]
    forms: str = ""
    base: str = ""
    work: bool = False
    thing: bool = False
    modifier: str = ""


class Words:
    """The words of one lexicon; `of` tells what a lower-case word can be, and remembers it."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self.terms = lexicon.term_forms()
        self.of = lru_cache(maxsize=50_000)(self._classify)

    def _classify(self, low: str) -> WordClass:
        tags: list[str] = []
        forms = ""
        base = ""
        verb_forms = self.lexicon.verb_forms.get(low, ())
        work = bool(verb_forms)
        for verb, form in verb_forms:
            base = base or verb
            if form not in forms:
                forms += form
        thing = low in self.terms
        modifier = self.lexicon.modifiers.get(low, "")
        english = self.lexicon.english.get(low)
        if english is not None:
            for group in english.classes:
                tag = {"N": "NOUN", "V": "VERB", "J": "ADJ", "R": "ADV"}[group[0]]
                if tag not in tags:
                    tags.append(tag)
                forms += "".join(form for form in group[1:] if form not in forms)
            base = base or english.lemma_verb or low
        if work and "VERB" not in tags:
            tags.append("VERB")
        if thing and "NOUN" not in tags:
            tags.insert(0, "NOUN")
        if modifier and not tags or modifier and "ADJ" not in tags and "NOUN" not in tags:
            tags.append("ADJ")
        if not tags:
            tags, forms, base = self._by_shape(low)
        return WordClass(tuple(tags), forms, base, work, thing, modifier)

    def _by_shape(self, low: str) -> tuple[list[str], str, str]:
        if "-" in low:
            last = low.rsplit("-", 1)[1]
            if last in self.terms and last not in ("hand", "side"):
                return ["NOUN"], "", ""
            return ["ADJ"], "", ""
        if low.endswith("ly") and len(low) > 4:
            return ["ADV"], "", ""
        for prefix in ("re", "un", "de", "dis"):
            stem = low[len(prefix) :]
            if low.startswith(prefix) and stem in self.lexicon.verb_forms:
                verb, form = self.lexicon.verb_forms[stem][0]
                return ["VERB"], form, prefix + verb
        if low.endswith("ing") and len(low) > 5:
            return ["NOUN", "VERB"], "g", low[:-3]
        if low.endswith("ed") and len(low) > 4:
            return ["ADJ", "VERB"], "dn", low[:-1] if low.endswith(("ised", "ized", "ated")) else low[:-2]
        return ["NOUN"], "", ""
