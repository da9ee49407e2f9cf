"""What is printed: lines that the instruction says already, marks that take over its condition, skips, points."""

from __future__ import annotations

import pytest

from extract import model as m
from reports import Options
from reports.context import condition_label, skip_clause
from reports.markdown import write
from reports.view import measure_text, view

REVIEW = Options(edition="review")


def condition(kind: str, text: str = "", value: str | None = None, negated: bool = False) -> m.Condition:
    return m.Condition(
        id="c9", kind=kind, axis=None, value=value, negated=negated, text=text, ends="spoken", segments=(), because=()
    )


def with_step(draft: m.Draft, **changes: object) -> m.Draft:
    steps = (draft.steps[0].model_copy(update=changes), *draft.steps[1:])
    return draft.model_copy(update={"steps": steps})


def lines(draft: m.Draft, options: Options = REVIEW) -> list[str]:
    return [line.words() for line in view(draft, options).steps()[0].lines]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Slide the crank until there is a gap of 2 mm.", []),
        ("Slide the crank until there is two millimetres of gap.", []),
        ("Slide the crank.", ["Gap: 2 mm"]),
    ],
)
def test_a_value_stands_once(draft: m.Draft, text: str, said: list[str]) -> None:
    gap = m.Measure(what="gap", value=2, low=None, high=None, unit="mm", text="two millimetres")
    assert lines(with_step(draft, text=text, measures=(gap,), tools=())) == said


@pytest.mark.parametrize(
    ("value", "written"),
    [(0.25, "turns: 1/4 turn"), (0.6667, "turns: 2/3 turn"), (1.5, "turns: 1 1/2 turns"), (2, "turns: 2 turns")],
)
def test_parts_of_a_turn_are_fractions(value: float, written: str) -> None:
    assert measure_text(m.Measure(what="turns", value=value, unit="turn", text="")) == written


def test_a_note_is_a_sentence_without_label_but_a_reason_is_told_as_one(draft: m.Draft) -> None:
    notes = tuple(
        m.Note(id=f"n-{kind}", kind=kind, text=text, segments=())
        for kind, text in (("handle", "keep it flat"), ("reason", "it bends"))
    )
    assert lines(with_step(draft, notes=notes, tools=())) == ["Keep it flat.", "Why: It bends."]


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("If the shell is threaded, wipe it.", "Wipe it."),
        ("If the thread is torn, renew it.", "If the thread is torn, renew it."),
        ("Wipe it, and dry it.", "Wipe it, and dry it."),
    ],
)
def test_a_mark_takes_over_the_condition_that_it_says(draft: m.Draft, text: str, printed: str) -> None:
    threaded = next(c for c in draft.conditions if "threaded" in (c.value, *c.values))
    step = view(with_step(draft, text=text, applies_when=(threaded.id,)), REVIEW).steps()[0]
    assert step.text == printed and any("threaded" in mark for mark in step.marks)


@pytest.mark.parametrize(
    ("text", "clause"),
    [
        ("If it's just the belt that you've come for, miss out the next part", "if it is just the belt that you have come for"),
        ("if you're only after the pads you can skip the next bit", "if you are only after the pads"),
        ("If the head hasn't been off, skip it.", "if the head has not been off"),
        ("those can stay", "where this holds: “those can stay”"),
    ],
)  # fmt: skip
def test_a_skip_is_told_by_its_condition(text: str, clause: str) -> None:
    assert skip_clause(condition("skip", text)) == clause


@pytest.mark.parametrize(
    ("value", "negated", "label"),
    [
        ("heater", False, "Option: with heater"),
        ("heater", True, "Option: without heater"),
        (None, False, "Option: if so"),
    ],
)
def test_an_option_is_named_by_what_is_there(value: str | None, negated: bool, label: str) -> None:
    assert condition_label(condition("option", "if so", value, negated)) == label


def test_a_garbled_point_quotes_its_words(draft: m.Draft) -> None:
    flag = draft.flags[0].model_copy(
        update={"code": "garbled", "segments": ("u13",), "message": "These words are probably not what was said."}
    )
    point = view(draft.model_copy(update={"flags": (flag,)}), REVIEW).loose_points
    assert [p.text for p in point] == [
        "“then the sperm locket sits on the” These words are probably not what was said."
    ]


def test_a_point_stands_at_the_last_step_of_the_sentence_before_it(draft: m.Draft) -> None:
    steps = [step.model_copy(update={"id": f"s{9 - i}", "segments": ("u5",)}) for i, step in enumerate(draft.steps[:2])]
    later = draft.steps[3].model_copy(update={"segments": ("u8",)})
    flag = draft.flags[0].model_copy(update={"segments": ("u6",), "steps": ()})
    paper = view(draft.model_copy(update={"steps": (*steps, later), "refit": (), "flags": (flag,)}), REVIEW)
    assert [bool(step.flags) for step in paper.steps()] == [False, True, False]


def test_what_was_read_with_care_stands_in_the_review_edition_only(draft: m.Draft) -> None:
    told = tuple(m.SourceWarning(file="talk.ttml", line=n, message=f"Break {n}.") for n in range(1, 8))
    broken = draft.model_copy(update={"source": draft.source.model_copy(update={"warnings": told})})
    assert view(broken, REVIEW).transcript[:1] == ("talk.ttml, line 1: Break 1.",)
    assert view(broken, REVIEW).transcript[-1] == "and 2 more"
    assert "Break 5." in write(broken, REVIEW)["procedure.md"].decode()
    assert "Break" not in write(broken, Options())["procedure.md"].decode()


def test_a_material_stands_once_at_its_step(draft: m.Draft) -> None:
    used = [line.words() for step in view(draft, REVIEW).refit for line in step.lines if line.kind == "use"]
    step = next(step for step in draft.refit if step.renewals)
    grease = next(r for r in draft.renewals if r.kind == "consumable")
    note = m.Note(id="n9", kind="treat", text=f"Put {grease.amount_text} of {grease.item} on it", segments=())
    told = [
        one.model_copy(update={"notes": (note,), "renewals": (grease.id,)}) if one is step else one
        for one in draft.refit
    ]
    paper = view(draft.model_copy(update={"refit": tuple(told)}), REVIEW)
    assert used and not [line for one in paper.refit if one.id == step.id for line in one.lines if line.kind == "use"]
