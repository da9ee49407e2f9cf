"""Materials that the refit uses up: grease, sealant, thread lock, fresh fluids, with their amount as said."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from extract.language.complements import Parsed
from extract.language.heard import Heard
from extract.language.named import objects, subjects, token_at
from extract.language.phrases import Chunk
from extract.language.quantities import find_quantities
from extract.rules import Rule, select_rules
from extract.speech import RenewalFound

_rules = partial(select_rules, "renewals", "kind")
_AMOUNT_UNITS = frozenset({"l", "ml", "qt", "pt", "gal", "oz", "fl oz", "g", "kg"})
_HOLDS = re.compile(r"^\W*(?:and |so )?(?:it|she|that|the \w+(?: \w+)?) (?:takes?|holds?|needs?|wants?)\b")
_FRESH = frozenset({"fresh", "new", "clean", "brand-new"})
_KINDS = frozenset({"fluid", "material"})
#: Water out of the tap is no part of the stores; water that was made ready is.
_WATER = re.compile(
    r"\b(?:treated|distilled|deioni[sz]ed|demineralised|demineralized|purified|softened|inhibited|soapy|de-?mineral\w+)\b"
)
_COLOURS = frozenset("white blue red green black clear pink yellow orange silver purple".split())
#: Tags of words that may stand inside the name of a material which the phrases cut ("high | temp grease").
_INSIDE = frozenset({"NOUN", "ADJ", "VERB", "NUM"})
#: Nouns behind "with" or "in" that are no material ("stick it in the vice").
_NEVER = frozenset({
    "spanner", "socket", "vice", "freezer", "oven", "hand", "finger", "thumb", "water", "place", "hole", "groove",
    "bore", "time", "order", "way", "position", "direction", "cloth", "rag", "paper", "brush", "hammer", "end",
    "kit", "box",
})  # fmt: skip


def find_consumables(heard: Heard, index: int, refit: bool, working: bool) -> list[RenewalFound]:
    """Materials used up in an utterance; `refit` and `working` say what else is known of it.

    Outside the refit only what is fresh or made for joining counts: oil on a seized nut is part of the work.
    """
    text = heard.searched(index)
    if not _rules("gate-consumable")[0].pattern.search(text):
        return []
    on = _with_next(heard, index, text)
    refit = refit or any(rule.pattern.search(on) for rule in _rules("refit"))
    found: dict[str, RenewalFound] = {}
    for rule, match in _matches(text):
        if (
            rule.fields.get("verb")
            and heard.parsed[index].tagged.tag[token_at(heard.parsed[index], match.start())] != "VERB"
        ):
            continue
        for chunk in _chunks(heard, index, rule, match):
            if rule.fields.get("bare") and any(
                chunk in (verb.subject, *verb.objects) for verb in heard.parsed[index].verbs
            ):
                continue
            name = _name(heard, index, chunk)
            if not _used_up(chunk, name, bool(rule.fields.get("loose")) or rule.id == "consumable.amount-of"):
                continue
            if not (
                refit
                or rule.fields.get("always")
                or (rule.fields.get("idle") and not working)
                or _joins(name)
                or (_fresh(heard, index, chunk) and chunk.kind in _KINDS)
            ):
                continue
            if working and not (refit or rule.fields.get("always") or _joins(name) or _fresh(heard, index, chunk)):
                continue
            if _denied(text, heard, index, chunk, match):
                continue
            key = chunk.noun
            if key not in found:
                found[key] = _consumable(heard, index, chunk, name, rule)
    if len(found) == 1:
        return [_with_amount(heard, index, next(iter(found.values())))]
    return list(found.values())


def _with_next(heard: Heard, index: int, text: str) -> str:
    """The utterance, and the time clause that was cut off it ("wet the lip with oil | before you tap it in")."""
    if index + 1 >= len(heard.utterances) or text.rstrip().endswith((".", "?", "!", ";")):
        return text
    behind = heard.searched(index + 1)
    return f"{text} {behind}" if behind.startswith(("before ", "when ", "as you ", "while ")) else text


def _matches(text: str) -> Iterator[tuple[Rule, re.Match[str]]]:
    for rule in _rules("consumable"):
        for match in rule.pattern.finditer(text):
            yield rule, match


def _chunks(heard: Heard, index: int, rule: Rule, match: re.Match[str]) -> list[Chunk]:
    parsed = heard.parsed[index]
    if rule.text("item") == "before":
        return subjects(heard, index, token_at(parsed, match.start()))
    at = token_at(parsed, match.end() - 1)
    if rule.text("item") == "here":
        return [chunk for chunk in parsed.chunks if chunk.first <= at < chunk.last]
    # The words found may reach into the noun phrase ("put blue | thread locker").
    inside = [chunk for chunk in parsed.chunks if chunk.first <= at < chunk.head]
    start = inside[0].first if inside else at + 1
    return [_whole(parsed, chunk) for chunk in objects(heard, index, start, gap=1)]


def _whole(parsed: Parsed, chunk: Chunk) -> Chunk:
    """A material named by words that may be taken for a phrase or verb of their own ("high temp | grease")."""
    t = parsed.tagged
    if chunk.kind in _KINDS or chunk.pronoun is not None or chunk.determiner is not None:
        return chunk
    behind = next((c for c in parsed.chunks if chunk.last <= c.first <= chunk.last + 2), None)
    if behind is None or behind.kind not in _KINDS or behind.determiner is not None:
        return chunk
    if not set(t.tag[chunk.last : behind.first]) <= _INSIDE:
        return chunk
    return replace(behind, first=chunk.first, text=t.phrase(chunk.first, behind.last))


def _name(heard: Heard, index: int, chunk: Chunk) -> str:
    """The material without "fresh" and what stands before it ("during assembly | fresh oil")."""
    words = chunk.text.split()
    written = heard.parsed[index].tagged.low[chunk.first : chunk.last]
    fresh = max((i for i, word in enumerate(written) if word in _FRESH), default=-1)
    kept = [word for word in words if word.lower() in written[fresh + 1 :]] or words
    first = written.index(kept[0].lower()) if kept[0].lower() in written else 0
    if first and written[first - 1] in _COLOURS and chunk.noun in ("grease", "oil"):
        kept = [written[first - 1], *kept]  # "white grease" is another product than "red grease"
    return re.sub(r"^(?:fresh|new|clean|good|old|proper|usual)\s+", "", " ".join(kept), flags=re.IGNORECASE)


def _used_up(chunk: Chunk, name: str, loose: bool) -> bool:
    if chunk.noun == "water" and _WATER.search(name.lower()):
        return True
    if chunk.pronoun is not None or chunk.noun in _NEVER:
        return False
    if chunk.kind == "fluid":
        return chunk.noun not in ("air", "sludge", "steam", "condensate")
    stays = any(rule.pattern.search(name.lower()) for rule in _rules("staying"))
    return stays and (chunk.kind in ("material", "unknown") or (loose and chunk.kind in ("part", "tool")))


def _joins(name: str) -> bool:
    return any(rule.pattern.search(name.lower()) for rule in _rules("joining"))


def _fresh(heard: Heard, index: int, chunk: Chunk) -> bool:
    low = heard.parsed[index].tagged.low
    return bool(_FRESH & set(low[chunk.first : chunk.last])) and chunk.noun not in (
        "water",
        "air",
    )


def _denied(text: str, heard: Heard, index: int, chunk: Chunk, match: re.Match[str]) -> bool:
    """Words before the material, in its clause, that keep it away or tell of the old one."""
    t = heard.parsed[index].tagged
    end = t.end[chunk.last - 1]
    start = max((text.rfind(mark, 0, t.start[chunk.first]) for mark in (",", ";", ".", " and ", " but ")), default=0)
    clause = text[max(0, start, match.start() - 12) : max(end, match.end())]
    parts = ((clause, "veto-consumable"), (text[end:], "comes-out"), (text[: t.start[chunk.first]], "till"))
    return any(rule.pattern.search(words) for words, kind in parts for rule in _rules(kind))


def _consumable(heard: Heard, index: int, chunk: Chunk, name: str, rule: Rule) -> RenewalFound:
    parsed = heard.parsed[index]
    t = parsed.tagged
    amount_text = amount_value = amount_unit = None
    # "a smear of grease": the noun phrase before "of" is the amount.
    before = next(
        (c for c in parsed.chunks if c.last == chunk.first - 1 and t.low[c.last : c.last + 1] == ["of"]), None
    )
    first = before.first if before is not None else chunk.first
    if before is not None:
        while first and (t.tag[first - 1] == "NUM" or t.low[first - 1] in ("about", "roughly", "a", "or")):
            first -= 1
        amount_text = t.phrase(first, before.last)
        quantity = next(
            (
                q
                for q in find_quantities(t)
                if q.first < before.last and before.first < q.last and q.unit in _AMOUNT_UNITS
            ),
            None,
        )
        if quantity is not None:
            amount_value, amount_unit = quantity.value, quantity.unit
            amount_text = quantity.text
    elif "of" in t.low[chunk.first : chunk.head]:
        amount_text = t.phrase(chunk.first, chunk.first + t.low[chunk.first : chunk.head].index("of"))
    place = heard.place(index, first, chunk.last, rule.id)
    return RenewalFound(
        place, name, chunk.noun, chunk.component, "consumable", amount_text=amount_text, amount_value=amount_value, amount_unit=amount_unit
    )  # fmt: skip


def _with_amount(heard: Heard, index: int, found: RenewalFound) -> RenewalFound:
    """An amount told elsewhere in the utterance, or in the next one ("it takes three litres")."""
    if found.amount_text is not None:
        return found
    places = [index]
    if index + 1 < len(heard.parsed) and _HOLDS.match(heard.searched(index + 1)):
        places.append(index + 1)
    for place in places:
        for quantity in find_quantities(heard.parsed[place].tagged):
            if quantity.unit in _AMOUNT_UNITS or (quantity.unit == "mm" and "mil" in quantity.text.lower()):
                unit = "ml" if quantity.unit == "mm" else quantity.unit
                return replace(found, amount_value=quantity.value, amount_unit=unit, amount_text=quantity.text)
    return found
