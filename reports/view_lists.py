"""The lists of a document: parts and materials, tightening values, what applies to which variant."""

from __future__ import annotations

from extract.model import Condition, Draft, Renewal, Torque
from reports.context import Context, amount_text, condition_label, condition_values, only_if, part_count
from reports.text import clean, join_words, range_text, torque_value
from reports.view_model import ConditionView, RenewalRow, TorqueRow

_MOST_WARNINGS = 5


def renewal_rows(ctx: Context, consumables: bool) -> tuple[RenewalRow, ...]:
    mentions: dict[str, list[Renewal]] = {}
    for renewal in ctx.draft.renewals:
        root = renewal.same_as if renewal.same_as in ctx.renewals else renewal.id
        mentions.setdefault(root, []).append(renewal)
    rows = [
        _renewal_row(ctx, ctx.renewals[root], group)
        for root, group in mentions.items()
        if (ctx.renewals[root].kind == "consumable") == consumables
    ]
    return tuple(rows)


def _renewal_row(ctx: Context, first: Renewal, group: list[Renewal]) -> RenewalRow:
    def known(name: str):
        return next((v for r in (first, *group) if (v := getattr(r, name)) not in (None, "")), None)

    names = ("quantity", "quantity_text", "position", "replaced_by", "part_number", "only_if")
    amounts = ("amount_value", "amount_unit", "amount_text")
    whole = first.model_copy(update={name: known(name) for name in (*names, *amounts)})
    places = [i for r in group for i in (r.step, r.refit) if i]
    places += [s.id for s in ctx.draft.refit if set(s.renewals) & {r.id for r in group}]
    same_marks = all(r.applies_when == first.applies_when for r in group)
    return RenewalRow(
        id=first.id,
        kind=first.kind,
        item=ctx.say(clean(whole.item) + (f" {clean(whole.position)}" if whole.position else "")),
        count=ctx.say(part_count(whole)),
        quantity=whole.quantity,
        amount=ctx.say(amount_text(whole)),
        amount_value=whole.amount_value,
        amount_unit=ctx.say(whole.amount_unit),
        part_number=clean(whole.part_number),
        instead=ctx.say(whole.replaced_by),
        only_if=ctx.say(only_if(whole)),
        where=ctx.where(*places),
        marks=ctx.marks(ctx.governing(first.applies_when if same_marks else (), places)),
        time=ctx.time_of(first.segments),
        cautions=ctx.cautions_for(places),
    )


def torque_row(ctx: Context, torque: Torque) -> TorqueRow:
    size = clean(torque.fastener.size)
    grade = clean(torque.fastener.grade)
    places = [*torque.steps, *torque.refit]
    places += [s.id for s in ctx.draft.refit if torque.id in s.torques]
    check = ""
    if torque.check.status == "implausible":
        usual = range_text(None, torque.check.low_nm, torque.check.high_nm)
        check = "does not fit the fastener"
        if ctx.review and usual:  # a published sheet never shows a number that nobody said
            check += f" (expected {usual} N·m)"
    scopes = {"step": "", "onward": "every joint from here on", "all": "every joint of the job"}
    return TorqueRow(
        id=torque.id,
        joint=ctx.say(torque.joint),
        fastener=f"{size}, {grade}" if size and grade else size or grade,
        value=ctx.say(torque_value(torque, ctx.english)),
        value_nm=torque.value_nm,
        angle_deg=torque.angle_deg,
        order=ctx.say(torque.order),
        reference=ctx.say(torque.reference),
        spoken=join_words([clean(words) for words in torque.spoken], "then"),
        scope=scopes[torque.scope],
        where=ctx.where(*places),
        marks=ctx.marks(ctx.governing(torque.applies_when, places)),
        time=ctx.time_of(torque.segments),
        check=check,
        cautions=ctx.cautions_for(places),
    )


def _condition_view(ctx: Context, condition: Condition) -> ConditionView:
    return ConditionView(
        id=condition.id,
        kind=condition.kind,
        axis=clean(condition.axis),
        values=tuple(condition_values(condition)),
        negated=condition.negated,
        label=ctx.say(condition_label(condition)),
        where=ctx.where(*condition.steps, *(s.id for s in ctx.draft.refit if condition.id in s.applies_when)),
        text=ctx.say(condition.text),
    )


def condition_views(ctx: Context) -> tuple[ConditionView, ...]:
    """One line for the same condition said several times."""
    merged: dict[tuple, Condition] = {}
    for condition in ctx.draft.conditions:
        if condition.id in ctx.decided:
            continue
        key = (condition.kind, condition_label(condition))
        first = merged.get(key)
        merged[key] = (
            condition
            if first is None
            else first.model_copy(update={"steps": tuple(dict.fromkeys(first.steps + condition.steps))})
        )
    return tuple(_condition_view(ctx, c) for c in merged.values())


def transcript_lines(draft: Draft) -> tuple[str, ...]:
    """What could not be read of the transcript, or was read with care; the first few and how many more."""
    lines = [
        f"{clean(one.file)}{f', line {one.line}' if one.line else ''}: {clean(one.message)}"
        for one in draft.source.warnings
    ]
    more = len(lines) - _MOST_WARNINGS
    return (*lines[:_MOST_WARNINGS], f"and {more} more") if more > 0 else tuple(lines)
