"""The words that depend on the whole draft: step labels, places, variant marks, cautions of a list line."""

from __future__ import annotations

import re
from collections.abc import Iterable

from extract.model import Condition, Draft, Renewal
from reports.base import Options
from reports.select import decided
from reports.text import clean, join_words, number, number_runs, sentence, spell, time_code

NOT_SAID = "not said"


class Context:
    """A draft and what it is printed for; knows how each step is called in this document."""

    def __init__(self, draft: Draft, options: Options) -> None:
        self.draft = draft
        self.options = options
        given = options.document.model_dump(exclude_none=True)
        self.document = draft.document.model_copy(update=given)
        self.english = self.document.english
        self.labels = {step.id: str(index) for index, step in enumerate(draft.steps, 1)}
        self.labels |= {step.id: f"R{index}" for index, step in enumerate(draft.refit, 1)}
        self.order = list(self.labels.values())
        self.conditions = {condition.id: condition for condition in draft.conditions}
        self.decided = decided(draft, options.only)
        self.applies = {step.id: step.applies_when for step in (*draft.steps, *draft.refit)}
        self.segments = {segment.id: segment for segment in draft.segments}
        self.renewals = {renewal.id: renewal for renewal in draft.renewals}
        self.torques = {torque.id: torque for torque in draft.torques}
        self.review = options.edition == "review"

    def say(self, text: str | None) -> str:
        return spell(clean(text), self.english)

    def say_sentence(self, text: str | None) -> str:
        return spell(sentence(text), self.english)

    def where(self, *ids: str | None) -> str:
        """Return "steps 4 and R2", "step 4", or nothing."""
        labels = [self.labels[i] for i in ids if i in self.labels]
        if not labels:
            return ""
        return f"{'step' if len(set(labels)) == 1 else 'steps'} {number_runs(labels, self.order)}"

    def marks(self, ids: tuple[str, ...], shown: tuple[str, ...] = ()) -> tuple[str, ...]:
        """The variants that something holds for, without those that are decided or shown already."""
        found = [self.conditions[i] for i in ids if i in self.conditions and i not in self.decided]
        labels = [self.say(condition_label(c)) for c in found if c.kind != "skip"]
        return tuple(label for label in dict.fromkeys(labels) if label not in shown)

    def governing(self, ids: tuple[str, ...], places: Iterable[str | None]) -> tuple[str, ...]:
        """The conditions of an entry: its own, and those that all its steps share."""
        shared: list[set[str]] = [set(self.applies[i]) for i in places if i in self.applies]
        common = set.intersection(*shared) if shared else set()
        return (*ids, *(c for c in self.conditions if c in common and c not in ids))

    def time_of(self, segments: tuple[str, ...]) -> str:
        return time_code(self.start_of(segments))

    def start_of(self, segments: tuple[str, ...]) -> float | None:
        starts = [self.segments[i].start_s for i in segments if i in self.segments]
        return min((s for s in starts if s is not None), default=None)

    def cautions_for(self, ids: list[str]) -> str:
        """The cautions that concern these steps, as one cell of a list."""
        wanted = set(ids)
        found = [c for c in self.draft.cautions if wanted & {*c.steps, *c.refit}]
        return " ".join(dict.fromkeys(f"{c.signal_word}: {self.say_sentence(c.text)}" for c in found))


def condition_values(condition: Condition) -> list[str]:
    """Return the values of which one must hold; none where the talk has only words for it."""
    return [clean(value) for value in (condition.values or ((condition.value,) if condition.value else ()))]


# "If it's just the motor that you've come for | , miss out the next part".
_CLAUSE = re.compile(
    r"\s*(?:,|\byou can\b|\bthen\b|\bmiss out\b|\bskip\b|\bleave (?:out|the)\b).*", re.IGNORECASE | re.DOTALL
)
_SHORT = {"it's": "it is", "that's": "that is", "there's": "there is", "you're": "you are", "you've": "you have"}
_SHORT_WORDS = re.compile(rf"\b(?:{'|'.join(_SHORT)}|(?:has|have|is|are|do|does|was)n't)\b", re.IGNORECASE)


def skip_clause(condition: Condition) -> str:
    """Return the condition of a skip as written: "if it is just the motor that you have come for"."""
    text = clean(condition.text).replace("’", "'").rstrip(".,;")
    clause = _CLAUSE.sub("", text)
    if not clause.casefold().startswith(("if ", "when ", "unless ", "where ", "on ", "for ")):
        return f"where this holds: “{text}”" if text else "where that is not needed"
    clause = clause[:1].lower() + clause[1:]
    return _SHORT_WORDS.sub(lambda found: _SHORT.get(found[0].lower()) or f"{found[0][:-3]} not", clause)


def condition_label(condition: Condition) -> str:
    """Return what a mark says: "Only for gearbox: automated", "Not for …", "Option: with heater", "Only if …"."""
    values = condition_values(condition)
    if condition.kind == "skip":
        return f"May be left out: {skip_clause(condition)}"
    if condition.kind == "variant" and values:
        what = join_words(values, "or")
        if condition.axis:
            what = f"{clean(condition.axis)}: {what}"
        return f"{'Not' if condition.negated else 'Only'} for {what}"
    text = clean(condition.text).rstrip(".,;")
    if condition.kind == "option" and values:
        return f"Option: {'without' if condition.negated else 'with'} {join_words(values, 'or')}"
    lead = "Option" if condition.kind == "option" else "Only"
    return f"{lead}: {text}" if text else lead


def part_count(renewal: Renewal) -> str:
    """Return the count for the list: a figure, the speaker's vague words, or that it was not said."""
    if renewal.quantity is not None:
        return str(renewal.quantity)
    if renewal.quantity_text:
        return f"“{clean(renewal.quantity_text)}”: count at the machine"
    return "not said: count at the machine"


def amount_text(renewal: Renewal) -> str:
    """Return a consumable's amount, or that none was said."""
    if renewal.amount_value is not None:
        return f"{number(renewal.amount_value)} {clean(renewal.amount_unit)}".strip()
    return clean(renewal.amount_text) or (str(renewal.quantity) if renewal.quantity is not None else NOT_SAID)


def only_if(renewal: Renewal) -> str:
    """Return the finding that makes a part necessary, without its "if"."""
    return clean(renewal.only_if).removeprefix("if ")
