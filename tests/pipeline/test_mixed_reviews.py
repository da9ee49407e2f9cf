"""Whatever a reviewer decides on whatever talk: it is refused in words, or the draft stays sound."""

from __future__ import annotations

import random

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from mixed_talks import mixed
from soundness import faults

import reports
from extract import pipeline
from extract.errors import BenchtalkError
from extract.model import Draft
from extract.review import answers
from extract.review.anchors import things
from extract.review.apply import reviewed
from extract.review.decisions import Decision

#: Words that a careless or hostile reviewer may type anywhere.
TYPED = (
    "x", "<b>&amp; ]]> -->", "\u202ea\x07", "=cmd|' /C calc'!A0", "  ", "", "é" * 300, "0", "12", "9999", "{0} %s \\1",
    "Undo the 3 bolts and lift the cover off.", "Fit a new gasket.", "If it is the old type, undo it.", "the", "right",
    "25 Nm", "25 Nm + 90° + 90°", "nan Nm", "30-20 Nm", "1e999 Nm", "٣ bolts", "2", "undo the two bolts. lift it off",
)  # fmt: skip


def decision(dice: random.Random, draft: Draft, log: list[Decision]) -> Decision:
    """One decision out of all kinds, on anything; raises BenchtalkError where it is refused."""
    flags = [flag.id for flag in draft.flags] or ["none"]
    steps = [step.id for step in (*draft.steps, *draft.refit)] or ["none"]
    said = [segment.id for segment in draft.segments]
    anything = [*things(draft), "title", "5", "r2", "none"]
    typed = lambda: dice.choice((*TYPED, dice.choice(draft.segments).text))  # noqa: E731
    torques, renewals = [entry.id for entry in draft.torques], [entry.id for entry in draft.renewals]
    names = [part.text for step in draft.steps for part in step.objects] or ["bolt"]
    one, by = dice.choice, "R. Eviewer"
    kinds = (
        lambda: answers.take(draft, one(flags), dice.randint(0, 4), by),
        lambda: answers.words(draft, one(said + flags), typed(), by),
        lambda: answers.fill(draft, one(flags), typed(), by),
        lambda: answers.role(draft, one(said + flags), one((*answers.ROLES, "none")), by),
        lambda: answers.accept(draft, one(flags), typed(), by),
        lambda: answers.put_back(draft, one(flags + steps), typed(), by, reason=typed()),
        lambda: answers.quantity(draft, one(anything), one(("1", "2", "four", "0", "x")), typed(), by),
        lambda: answers.tightening(draft, one(torques + flags), typed(), typed(), by),
        lambda: answers.scope(draft, one([entry.id for entry in draft.conditions] + flags), one((None, "", "3", one(steps))), by),
        lambda: answers.part_number(draft, one([*renewals, "none"]), typed(), typed(), by),
        lambda: answers.part_name(draft, one(names), typed(), by),
        lambda: answers.edit(draft, one([*steps, "title", *(entry.id for entry in draft.sections)]), typed(), by),
        lambda: answers.split(draft, one(steps), typed(), typed(), by),
        lambda: answers.merge(draft, one(steps), one((None, typed())), by),
        lambda: answers.move(draft, one(steps), one((None, one(steps))), by),
        lambda: answers.add(draft, one(steps), typed(), one((None, typed())), by),
        lambda: answers.drop(draft, one(steps), typed(), by),
        lambda: answers.document(draft, one(("title", "machine", "english", "none")), typed(), by),
        lambda: answers.take_back(log, one([entry.id for entry in log] or ["none"]), by),
    )  # fmt: skip
    return one(kinds)()


@settings(
    max_examples=25, deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.explicit, Phase.generate]
)
@given(talk=mixed(20), dice=st.randoms(use_true_random=False))
def test_a_reviewed_talk_of_pieces_stays_sound(talk, dice):
    base = pipeline.draft(talk.talk())
    draft, log = base, []
    for _ in range(6):
        try:
            made = decision(dice, draft, log)
        except BenchtalkError:
            continue
        assert Decision.model_validate_json(made.model_dump_json()) == made
        log.append(made)
        draft = reviewed(
            base, log, lambda words, roles: pipeline.draft(talk.talk(), corrections=words, roles=roles)
        ).draft
        assert faults(draft) == [], made.what
    assert all(reports.write_case_files(draft).values())
    assert all(reports.publish(draft, ["docx", "dita", "docbook", "xlsx", "chapters", "captions"]).values())
