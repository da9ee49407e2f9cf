"""What an answer to a point means: from a flag and what the reviewer gave to the decision that settles it.

The page and the command line both decide through these functions. All raise `CaseError` with words for the
reviewer where the answer doesn't fit.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal, get_args

from extract.errors import CaseError
from extract.model import Condition, Draft, Flag, Role, Segment, Stage, Suggestion, Torque
from extract.number_words import BELOW_TWENTY
from extract.review import decisions as say
from extract.review.anchors import analysed, remember, things
from extract.review.decisions import Decision, decide

AnswerKind = Literal["words", "quantity", "tightening", "scope", "put_back", "step"]

ROLES: tuple[str, ...] = get_args(Role)
MAX_TEXT = 2000

_COUNTED = frozenset({"vague_quantity", "quantity_conflict"})
_LEFT_OUT = frozenset({"unread", "silent_gap", "missing_precaution"})
_TIGHTENED = frozenset({"torque_no_value", "torque_implausible"})
#: Said of a choice that changes nothing.
FINE = "fine as it is"
#: The reason for which a point of this kind is most often fine.
_FINE = {
    "self_correction": "the corrected version is right",
    "misheard_term": "right as heard",
    "state_conflict": "right as told",
    "repeated": "done twice on purpose",
    "unread": "not part of the job",
    "silent_gap": "nothing of the job happens there",
    "unusual_action": "right as told",
}
_COUNTS = (("removed", "as taken off"), ("said", "as said here"))
_POINTERS = frozenset({"it", "them", "that", "those", "this", "these", "that one", "this one"})
#: Newton metres of one unit: lbf·ft, lbf·in and kgf·m from exact definitions (NIST SP 811, appendix B.8).
_NM = {"nm": 1.0, "lbfft": 1.3558179483314004, "lbfin": 0.11298482902761670, "kgfm": 9.80665}
_UNIT_NAMES = {
    "nm": "nm", "n·m": "nm", "n.m": "nm", "newton metres": "nm", "newton metre": "nm",
    "lbf·ft": "lbfft", "lbf ft": "lbfft", "lb ft": "lbfft", "lb-ft": "lbfft", "ft lb": "lbfft", "ft-lb": "lbfft",
    "ft lbs": "lbfft", "foot pounds": "lbfft",
    "lbf·in": "lbfin", "lbf in": "lbfin", "lb in": "lbfin", "in lb": "lbfin", "in-lb": "lbfin", "inch pounds": "lbfin",
    "kgf·m": "kgfm", "kgf m": "kgfm", "kpm": "kgfm", "mkp": "kgfm",
    "°": "deg", "deg": "deg", "degree": "deg", "degrees": "deg",
}  # fmt: skip
_STAGE = re.compile(r"(?P<low>\d+(?:[.,]\d+)?)(?:\s*(?:-|–|to)\s*(?P<high>\d+(?:[.,]\d+)?))?\s*(?P<unit>[^\d+,;]+)")
_SMALL = {word: number for number, word in enumerate(BELOW_TWENTY) if 1 <= number <= 12}


def kind_of(flag: Flag) -> AnswerKind:
    """The answer that a flag asks for besides being accepted."""
    if flag.code in _COUNTED:
        return "quantity"
    if flag.code in _TIGHTENED:
        return "tightening"
    if flag.code in _LEFT_OUT:
        return "step"
    return {"open_scope": "scope", "no_refit": "put_back"}.get(flag.code, "words")


def choices(draft: Draft, flag: Flag) -> tuple[Suggestion, ...]:
    """The suggestions of a flag, the readings between which its evidence leaves the choice, the usual reason
    why it is fine."""
    offered: list[tuple[str, str]] = []
    if flag.code == "quantity_conflict":
        offered = [(str(flag.evidence.get(key, "")), why) for key, why in _COUNTS if flag.evidence.get(key)]
    elif flag.code == "weak_reading" and {flag.evidence.get("role"), flag.evidence.get("other")} <= set(ROLES):
        offered = [(str(flag.evidence["role"]), "as it was read"), (str(flag.evidence["other"]), "the other reading")]
    elif flag.code == "open_scope":
        offered = _ends(draft, condition_of(draft, flag))
    made = [] if flag.suggestions else [Suggestion(text=text, why=why, score=0.5) for text, why in offered]
    usual = [Suggestion(text=_FINE[flag.code], why=FINE, score=0.0)] if flag.code in _FINE else []
    return (*flag.suggestions[: 9 - len(usual)], *made, *usual)


def _ends(draft: Draft, condition: Condition | None) -> list[tuple[str, str]]:
    """Steps with which a condition may end: the first that it governs, the last as drafted, the last of that part."""
    governed = [step for step in draft.steps if condition is not None and step.id in condition.steps]
    if not governed:
        return []
    part = [step for step in draft.steps if step.section == governed[0].section and step.number >= governed[0].number]
    ends = [(governed[-1].id, "as drafted"), (governed[0].id, "one step only"), (part[-1].id, "the rest of this part")]
    return list({step: (step, why) for step, why in reversed(ends)}.values())[::-1]


def flag_of(draft: Draft, flag_id: str) -> Flag:
    """The flag of that id."""
    for flag in draft.flags:
        if flag.id == flag_id:
            return flag
    raise CaseError(f"there is no point {flag_id}.", remedy="List them with: benchtalk points CASE")


def condition_of(draft: Draft, flag: Flag) -> Condition | None:
    """The condition that a flag is about: named by its evidence, else the one told in its words."""
    named = _evidence(flag, "condition")
    return next(
        (entry for entry in draft.conditions if entry.id == named),
        next((entry for entry in draft.conditions if set(entry.segments) & set(flag.segments)), None),
    )


def torque_of(draft: Draft, flag: Flag) -> Torque | None:
    """The tightening requirement that a flag is about: named by its evidence, else by its message and words."""
    named = _evidence(flag, "torque")
    told = [entry for entry in draft.torques if entry.id == named or set(entry.segments) & set(flag.segments)]
    told.sort(key=lambda entry: (entry.id != named, entry.joint not in flag.message, bool(entry.stages)))
    return told[0] if told else None


def told_in(flag: Flag) -> str | None:
    """Id of the utterance that a flag is about."""
    return flag.spans[0].segment if flag.spans else next(iter(flag.segments), None)


def segment_of(draft: Draft, flag: Flag) -> Segment | None:
    """The utterance that a flag is about."""
    wanted = told_in(flag)
    return next((segment for segment in draft.segments if segment.id == wanted), None)


def take(draft: Draft, flag_id: str, number: int, by: str) -> Decision:
    """Take suggestion `number` (from 1) of a flag."""
    flag = flag_of(draft, flag_id)
    offered = choices(draft, flag)
    if not 1 <= number <= len(offered):
        count = len(offered)
        raise CaseError(
            f"point {flag_id} has no suggestion {number}.",
            remedy=f"It has {count}." if count else "It has none: give the words, or accept it with a reason.",
        )
    text, why = offered[number - 1].text, offered[number - 1].why
    if why == FINE:
        return accept(draft, flag_id, text, by)
    segment = segment_of(draft, flag)
    kind = kind_of(flag)
    if kind == "quantity" and _whole(text) is not None:
        return quantity(draft, flag_id, text, f"suggestion: {why}" if why else "suggestion", by)
    if kind == "scope" and text in {step.id for step in draft.steps}:
        return scope(draft, flag_id, text, by)
    if segment is not None and text in ROLES:
        return accept(draft, flag_id, why, by) if text == segment.role else role(draft, flag_id, text, by)
    if segment is not None and flag.spans:
        spoken, span = analysed(segment), flag.spans[0]
        if spoken[span.start : span.end].lower() in _POINTERS and not text.lower().startswith(("the ", "a ", "both ")):
            text = f"the {text}"
        return _words(draft, segment, spoken[: span.start] + text + spoken[span.end :], by, flag, suggestion=text)
    if segment is not None and flag.code == "garbled":
        return _words(draft, segment, text, by, flag, suggestion=text)
    return accept(draft, flag_id, f"{text} ({why})" if why else text, by)


def words(draft: Draft, thing_id: str, text: str, by: str) -> Decision:
    """Give the right words of a whole utterance, named by its id or by a flag's."""
    flag = next((flag for flag in draft.flags if flag.id == thing_id), None)
    wanted = segment_of(draft, flag) if flag else next((s for s in draft.segments if s.id == thing_id), None)
    if wanted is None:
        raise CaseError(f"{thing_id} has no words to correct.", remedy="Give the id of a point or of an utterance.")
    return _words(draft, wanted, _clean(text, "the right words"), by, flag)


def fill(draft: Draft, flag_id: str, text: str, by: str) -> Decision:
    """Give what was said in place of a flag's words; the rest of the utterance stays."""
    flag = flag_of(draft, flag_id)
    segment, new = segment_of(draft, flag), _clean(text, "the right words")
    if segment is None:
        raise CaseError(f"{flag_id} has no words to correct.", remedy="Give the id of a point or of an utterance.")
    if flag.spans:
        spoken, span = analysed(segment), flag.spans[0]
        new = spoken[: span.start] + new + spoken[span.end :]
    return _words(draft, segment, new, by, flag)


def role(draft: Draft, thing_id: str, name: str, by: str) -> Decision:
    """Say what an utterance is for."""
    flag = next((flag for flag in draft.flags if flag.id == thing_id), None)
    segment = segment_of(draft, flag) if flag else next((s for s in draft.segments if s.id == thing_id), None)
    if segment is None:
        raise CaseError(f"{thing_id} has no utterance.", remedy="Give the id of a point or of an utterance.")
    if name not in ROLES:
        raise CaseError(f"“{name}” is not a role.", remedy=f"One of: {', '.join(ROLES)}.")
    what = say.RoleSet(was=segment.role, now=name)
    return decide(by, remember(draft, segment.id), what, settles=_settles(draft, flag))


def accept(draft: Draft, flag_id: str, reason: str, by: str) -> Decision:
    """Say that a flagged thing is fine as it stands, and why."""
    flag = flag_of(draft, flag_id)
    if kind_of(flag) == "put_back" and flag.steps:
        return put_back(draft, flag_id, "", by, reason=reason)
    return decide(by, remember(draft, flag.id), say.Accept(reason=_clean(reason, "the reason")))


def put_back(draft: Draft, thing_id: str, text: str, by: str, *, reason: str = "") -> Decision:
    """Say how a step is undone on refit, or with an empty text why it need not be; for a flag or a step."""
    flag = next((flag for flag in draft.flags if flag.id == thing_id), None)
    target = next((name for name in flag.steps if name in {s.id for s in draft.steps}), "") if flag else thing_id
    target = step_id(draft, target)
    if target in {step.id for step in draft.refit}:
        raise CaseError("--put-back is for a removal step.", remedy="Use --text for a refit step.")
    about = remember(draft, target)
    if text.strip():
        what = say.PutBack(text=_clean(text, "the refit step"))
    else:
        what = say.PutBack(reason=_clean(reason, "the refit step, or the reason why there is none,"))
    return decide(by, about, what, settles=_settles(draft, flag))


def quantity(draft: Draft, thing_id: str, count: str, source: str, by: str) -> Decision:
    """Say how many, for a flag, a part of a step, or a part to renew."""
    number = _whole(count)
    if number is None or not 1 <= number <= 9999:
        raise CaseError(f"“{count}” is not a count.", remedy="Give a whole number from 1 to 9999.")
    flag = next((flag for flag in draft.flags if flag.id == thing_id), None)
    target = _counted(draft, flag) if flag else _only_part(draft, thing_id)
    if target is None or target not in things(draft) or things(draft)[target].kind not in ("object", "renewal"):
        raise CaseError(f"{thing_id} is nothing that can be counted.", remedy="Correct the words instead.")
    what = say.Quantity(now=number, source=_clean(source, "the source of the count"))
    return decide(by, remember(draft, target), what, settles=_settles(draft, flag))


def _only_part(draft: Draft, thing_id: str) -> str:
    """The one part of a step, where a step is named; any other id as it is."""
    step = next((step for step in (*draft.steps, *draft.refit) if step.id == thing_id), None)
    if step is None or not step.objects:
        return thing_id
    if len(step.objects) > 1:
        named = ", ".join(f"{part.id} ({part.text})" for part in step.objects)
        raise CaseError("the step has several parts.", remedy=f"Name the part: {named}.")
    return step.objects[0].id


def tightening(draft: Draft, thing_id: str, value: str, source: str, by: str) -> Decision:
    """Give the tightening stages of a joint ("25 Nm + 90° + 90°"), with the document that they are from."""
    flag = next((flag for flag in draft.flags if flag.id == thing_id), None)
    entry = torque_of(draft, flag) if flag else next((e for e in draft.torques if e.id == thing_id), None)
    if entry is None:
        raise CaseError(f"{thing_id} is no tightening requirement.", remedy="Correct the words instead.")
    what = say.Tightening(
        stages=read_stages(value), spoken=value.strip()[:200], source=_clean(source, "the source of the value")
    )
    return decide(by, remember(draft, entry.id), what, settles=_settles(draft, flag))


def scope(draft: Draft, thing_id: str, last_step: str | None, by: str) -> Decision:
    """Say with which step a condition ends (id or number); null or empty: it governs no step."""
    flag = next((flag for flag in draft.flags if flag.id == thing_id), None)
    entry = (
        condition_of(draft, flag) if flag else next((entry for entry in draft.conditions if entry.id == thing_id), None)
    )
    if entry is None:
        raise CaseError(f"{thing_id} is no condition.", remedy="Correct the words instead.")
    last = remember(draft, step_id(draft, last_step)) if last_step else None
    return decide(by, remember(draft, entry.id), say.ScopeEnd(last=last), settles=_settles(draft, flag))


def part_number(draft: Draft, renewal_id: str, number: str, source: str, by: str) -> Decision:
    """Give the number to order a part by."""
    if renewal_id not in {entry.id for entry in draft.renewals}:
        raise CaseError(f"{renewal_id} is no part to renew.")
    what = say.PartNumber(now=_clean(number, "the part number"), source=_clean(source, "the source of the number"))
    return decide(by, remember(draft, renewal_id), what)


def part_name(draft: Draft, was: str, now: str, by: str, *, settles: str | None = None) -> Decision:
    """Call a part by another name throughout."""
    flag = flag_of(draft, settles) if settles else None
    what = say.PartName(was=_clean(was, "the name so far"), now=_clean(now, "the right name"))
    return decide(by, remember(draft, "document"), what, settles=_settles(draft, flag))


def edit(draft: Draft, thing_id: str, text: str, by: str) -> Decision:
    """Write a step anew, a part's heading, or (as `title`) the title of the document."""
    if thing_id in ("title", "document"):
        return document(draft, "title", _clean(text, "the title"), by)
    if thing_id in {section.id for section in draft.sections}:
        about = remember(draft, thing_id)
        return decide(by, about, say.Heading(was=about.label, now=_clean(text, "the heading")[:200]))
    target = step_id(draft, thing_id)
    about = remember(draft, target)
    return decide(by, about, say.Edit(was=about.label, now=_clean(text, "the step")))


def split(draft: Draft, thing_id: str, first: str, second: str, by: str) -> Decision:
    """Make two steps of one."""
    what = say.Split(first=_clean(first, "the first step"), second=_clean(second, "the second step"))
    return decide(by, remember(draft, step_id(draft, thing_id)), what)


def merge(draft: Draft, thing_id: str, text: str | None, by: str) -> Decision:
    """Make one step of a step and the one after it."""
    target = step_id(draft, thing_id)
    for steps in (draft.steps, draft.refit):
        ids = [step.id for step in steps]
        if target in ids and ids.index(target) + 1 < len(ids):
            following = steps[ids.index(target) + 1]
            own = steps[ids.index(target)]
            joined = text or f"{own.text.rstrip('.')}; {following.text[:1].lower()}{following.text[1:]}"
            what = say.Merge(with_=remember(draft, following.id), now=_clean(joined, "the step"))
            return decide(by, remember(draft, target), what)
    raise CaseError("there is no step after this one to join it with.")


def move(draft: Draft, thing_id: str, before: str | None, by: str) -> Decision:
    """Move a step before another (id or number), or to the end."""
    target = step_id(draft, thing_id)
    other = remember(draft, step_id(draft, before, like=target)) if before else None
    if other is not None and other.id == target:
        raise CaseError("a step can't stand before itself.")
    return decide(by, remember(draft, target), say.Move(before=other))


def add(draft: Draft, after: str, text: str, put_back: str | None, by: str) -> Decision:
    """Add a step after another one, with how it is put back (empty: nothing to put back)."""
    what = say.Add(text=_clean(text, "the step"), put_back=_clean(put_back, "the refit step") if put_back else None)
    return decide(by, remember(draft, step_id(draft, after)), what)


def drop(draft: Draft, thing_id: str, reason: str, by: str) -> Decision:
    """Take a step out of the procedure."""
    return decide(by, remember(draft, step_id(draft, thing_id)), say.Drop(reason=_clean(reason, "the reason")))


def document(draft: Draft, field: str, value: str, by: str) -> Decision:
    """Fill in the document's own data."""
    allowed = get_args(say.DocumentData.model_fields["field"].annotation)
    if field not in allowed:
        raise CaseError(f"the document has no “{field}”.", remedy=f"One of: {', '.join(allowed)}.")
    if field == "english" and value not in ("", "uk", "us"):
        raise CaseError(f"“{value}” is no English of ours.", remedy="Give uk or us.")
    now = " ".join(value.split())[:200] or None
    return decide(by, remember(draft, "document"), say.DocumentData(field=field, now=now))


def settling(draft: Draft, decision: Decision, flag_id: str) -> Decision:
    """The decision as the answer to a flag besides what it changes."""
    return decision.model_copy(update={"settles": remember(draft, flag_of(draft, flag_id).id)})


def take_back(decisions: Sequence[Decision], decision_id: str, by: str) -> Decision:
    """Take one of the decisions back. Errors: `CaseError` where there is none or it no longer holds."""
    held = next((entry for entry in decisions if entry.id == decision_id), None)
    if held is None:
        raise CaseError(f"there is no decision {decision_id}.", remedy="`benchtalk points CASE --all` lists them.")
    if held.id in say.taken_back(decisions):
        raise CaseError(f"decision {decision_id} has been taken back already.")
    return undo(held, by)


def undo(decision: Decision, by: str) -> Decision:
    """Take a decision back."""
    return decide(by, decision.about, say.Undo(of=decision.id), settles=decision.settles)


def step_id(draft: Draft, name: str, *, like: str | None = None) -> str:
    """Id of a step given by id, by its number ("12"), or by its refit number ("r12").

    `like` is the id of a step: bare numbers then count in the half where that one stands.
    """
    refit = {step.id for step in draft.refit}
    if name in refit or name in {step.id for step in draft.steps}:
        return name
    match = re.fullmatch(r"(r?)(\d+)", name.strip().lower())
    if match:
        half = draft.refit if match[1] or like in refit else draft.steps
        for step in half:
            if step.number == int(match[2]):
                return step.id
    raise CaseError(f"there is no step {name}.", remedy="Give its number (refit steps as r1, r2 …) or its id.")


def read_stages(text: str) -> tuple[Stage, ...]:
    """Tightening stages from "25 Nm + 90°", "40-45 Nm", "30 lbf ft". Values become newton metres."""
    stages = []
    for piece in re.split(r"\s*(?:\+|;|, then|then|plus)\s*", text.strip().lower()):
        match = _STAGE.fullmatch(piece.strip())
        unit = _UNIT_NAMES.get(" ".join(match["unit"].split()).rstrip(".")) if match else None
        if match is None or unit is None:
            raise CaseError(f"“{text}” is no tightening value.", remedy="Write it like: 25 Nm, 30 lbf ft, 25 Nm + 90°")
        low = float(match["low"].replace(",", "."))
        high = float(match["high"].replace(",", ".")) if match["high"] else None
        if unit == "deg":
            stages.append(Stage(angle_deg=low))
        elif high is None:
            stages.append(Stage(value_nm=round(low * _NM[unit], 3)))
        else:
            stages.append(Stage(low_nm=round(low * _NM[unit], 3), high_nm=round(high * _NM[unit], 3)))
    return tuple(stages)


# --------------------------------------------------------------------------- inside


def _words(
    draft: Draft, segment: Segment, text: str, by: str, flag: Flag | None, suggestion: str | None = None
) -> Decision:
    now = " ".join(text.split())
    if not now:
        raise CaseError("the right words are missing.")
    what = say.Words(was=analysed(segment), now=now, suggestion=suggestion)
    return decide(by, remember(draft, segment.id), what, settles=_settles(draft, flag))


def _settles(draft: Draft, flag: Flag | None) -> say.Anchor | None:
    return remember(draft, flag.id) if flag is not None else None


def _clean(text: str | None, what: str) -> str:
    clean = " ".join((text or "").split())
    if not clean:
        raise CaseError(f"{what} is missing.")
    if len(clean) > MAX_TEXT:
        raise CaseError(f"{what} is longer than {MAX_TEXT} letters.")
    return clean


def _whole(text: str) -> int | None:
    text = text.strip().lower()
    return int(text) if text.isdecimal() and len(text) < 6 else _SMALL.get(text)


def _evidence(flag: Flag, key: str) -> str | None:
    value = flag.evidence.get(key)
    return value if isinstance(value, str) else None


def _counted(draft: Draft, flag: Flag) -> str | None:
    """The part or renewal whose count a flag asks for: named by its evidence, else by the flagged words."""
    named = _evidence(flag, "object") or _evidence(flag, "renewal")
    if named:
        return named
    named_part = flag.evidence.get("part")
    texts = {segment.id: analysed(segment).lower() for segment in draft.segments}
    said = [texts[span.segment][span.start :] for span in flag.spans if span.segment in texts]
    steps = [
        step
        for step in (*draft.steps, *draft.refit)
        if step.id in flag.steps or set(step.segments) & set(flag.segments)
    ]
    parts = [part for step in steps for part in step.objects]
    if isinstance(named_part, str):
        same = [part.id for part in parts if part.text.lower().rstrip("s") == named_part.lower().rstrip("s")]
        if same:
            return same[0]
    named_after = [
        (text.index(part.text.lower()), part.id) for part in parts for text in said if part.text.lower() in text
    ]
    if named_after:
        return min(named_after)[1]
    renewal = next((entry for entry in draft.renewals if set(entry.segments) & set(flag.segments)), None)
    if renewal is not None:
        return renewal.id
    vague = [part.id for part in parts if part.quantity is None]
    return vague[0] if vague else None
