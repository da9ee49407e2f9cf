"""A small talk of our own and stages that are simple enough to foresee: one cue is one utterance.

`build` understands just the sentences that occur here, and runs anew on corrected words as the real stages do.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping, Sequence
from pathlib import Path

from extract.ids import IdMaker
from extract.model import (
    Because,
    Caution,
    Condition,
    Cue,
    Draft,
    Flag,
    FlagSpan,
    NotUndone,
    Part,
    RefitStep,
    Renewal,
    Role,
    Section,
    Segment,
    Source,
    Step,
    Suggestion,
    Talk,
    Torque,
    TorqueCheck,
    Word,
)
from extract.review.case import Case, Engine
from extract.settings import Settings

TALK = """\
Right, this is the lift pump on the glasshouse watering skid.
First of all, isolate the pump and lock the switch off.
Shut the inlet valve.
Take off the calliper pistol.
Undo the usual bolts.
Take that off.
Lift the end cover away.
Take that off.
If you have the tall version, unclip the float arm.
Pull out the shaft seal.
Always fit a new shaft seal.
So the wotsit goes frumble under there.
Tighten the cover bolts to 220 newton metres.
Two gaskets sit behind the cover and both must be renewed.
That's it, thanks for watching.
"""

VERBS = {
    "isolate": ("isolate", "Put {0} back in service."),
    "shut": ("close", "Open {0}."),
    "take off": ("remove", "Fit {0}."),
    "undo": ("undo", "Fit and tighten {0}."),
    "lift the": ("remove", "Fit the {0}."),
    "unclip": ("unclip", "Clip in {0}."),
    "pull out": ("remove", "Fit {0}."),
    "saw off": ("saw", "Settle how {0} is put back."),
}


def write_talk(folder: Path, text: str = TALK, name: str = "lift-pump.talk") -> Path:
    """Write the talk as a file, a line an utterance."""
    file = folder / name
    file.write_text(text, encoding="utf-8")
    return file


def read(files: Sequence[Path], format: str | None = None) -> Talk:
    """A line is a cue of four seconds."""
    lines = [line for file in files for line in file.read_text(encoding="utf-8").splitlines() if line]
    cues, words = [], []
    for index, line in enumerate(lines):
        start = index * 4.0
        cues.append(Cue(start, start + 3.5, line, None, None, index + 1, 0))
        words.extend(Word(word, start, start + 3.5, None, True, index) for word in line.split())
    return Talk(
        name=files[0].stem,
        title=None,
        format="lines",
        sha256=hashlib.sha256("\n".join(lines).encode()).hexdigest(),
        duration_s=len(lines) * 4.0,
        language="en",
        times="given",
        cues=tuple(cues),
        words=tuple(words),
    )


def build(
    talk: Talk,
    lexicons: Sequence[Path],
    settings: Settings,
    corrections: Mapping[str, str],
    roles: Mapping[str, Role],
) -> Draft:
    """Draft the sample talk."""
    ids = IdMaker()
    segments, steps, renewals, torques, conditions, flags = [], [], [], [], [], []
    scope: list[str] = []
    for cue in talk.cues:
        sid = ids.make("seg", cue.text)
        corrected = corrections.get(sid)
        text = corrected or cue.text
        low = text.lower().rstrip(".")
        why = (Because(segment=sid, span=(0, len(text)), rule="sample"),)
        role: Role = "chatter"
        verb = next((verb for verb in VERBS if re.search(rf"\b{verb}\b", low)), None)
        taken = re.search(r"^take (.+) off$", low)

        def flag(code, severity, message, words, *suggestions, text=text, sid=sid, **evidence):
            at = text.lower().find(words.lower())
            span = (FlagSpan(segment=sid, start=at, end=at + len(words)),) if at >= 0 else ()
            made = tuple(Suggestion(text=new, why=because, score=0.8) for new, because in suggestions)
            flags.append(
                Flag(
                    id=ids.make("flag", code, sid, words),
                    code=code,
                    severity=severity,
                    message=message,
                    segments=(sid,),
                    steps=(steps[-1].id,) if steps and sid in steps[-1].segments else (),
                    spans=span,
                    suggestions=made,
                    evidence=evidence,
                )
            )

        condition = None
        if low.startswith("if "):
            condition = Condition(
                id=ids.make("cond", text),
                kind="variant",
                axis="version",
                value="tall",
                values=("tall",),
                text="on the tall version",
                ends="never",
                segments=(sid,),
                because=why,
            )
            role = "condition"
        if (verb or taken) and roles.get(sid, "instruction") == "instruction":
            role = "instruction"
            thing = taken.group(1) if taken else low.split(verb)[-1].strip()
            thing = thing.replace("away", "").split(" and ")[0].strip()
            action, back = VERBS[verb] if verb else ("remove", "Fit {0}.")
            counted = re.match(r"the (usual|\d+) ", thing)
            part = Part(
                id=ids.make("part", thing),
                text=re.sub(r"^the (usual |\d+ )?", "", thing),
                quantity=int(counted[1]) if counted and counted[1].isdigit() else None,
                quantity_text=counted[1] if counted else None,
            )
            step = Step(
                id=ids.make("step", text),
                number=len(steps) + 1,
                section="sec-1",
                action=action,
                spoken_action=verb or "take off",
                objects=(part,),
                text=f"{action.capitalize()} {thing}.",
                start_s=cue.start_s,
                end_s=cue.end_s,
                segments=(sid,),
                confidence=0.9,
                because=why,
                applies_when=(condition.id,) if condition else tuple(scope),
            )
            steps.append(step)
            if condition:
                condition = condition.model_copy(update={"steps": (step.id,)})
                scope = [condition.id]
        if condition:
            conditions.append(condition)
            flag(
                "open_scope",
                "stop",
                "It is not said where the tall version's part of the job ends.",
                "If you have",
                condition=condition.id,
            )
        if "pistol" in low:
            flag(
                "misheard_term",
                "check",
                "“calliper pistol” sounds like a part that exists.",
                "calliper pistol",
                ("calliper piston", "a part of this assembly"),
                ("calliper pin", "sounds alike"),
            )
        if "the usual" in low:
            flag("vague_quantity", "check", "How many bolts?", "the usual", ("6", "counted later in the talk"))
        if low == "take that off":
            flag(
                "ambiguous_reference", "check", "“that” can be the cover or the arm.", "that", ("the float arm", "near")
            )
        if "frumble" in low:
            role = "unclear"
            flag("garbled", "stop", "These words are probably not what was said.", text.rstrip("."))
        if "saw off" in low:
            flag("no_refit", "stop", "It is not said how this is put back.", "")
        if "wiggle" in low:
            flag("unread", "check", "An act that no step came of.", "wiggle")
        if "4 circlips" in low:
            flag("quantity_conflict", "stop", "Counts differ.", "4 circlips", removed=3, said=4)
            told = next(s for s in segments if "3 circlips" in s.text)
            flags[-1] = flags[-1].model_copy(update={"segments": (told.id, sid), "steps": told.steps})
        if "220" in low:
            flag(
                "torque_implausible",
                "stop",
                "220 Nm does not fit a bolt of this size.",
                "220",
                ("22", "one digit less"),
            )
        if "newton" in low:
            role = "torque_note"
            value = float(re.search(r"\d+", low).group())
            torques.append(
                Torque(
                    id=ids.make("torque", text),
                    joint="cover bolts",
                    value_nm=value,
                    spoken=(f"{value} Nm",),
                    segments=(sid,),
                    check=TorqueCheck(status="not_checked"),
                    because=why,
                )
            )
        if "new" in low.split() or "renewed" in low:
            role = "refit_note"
            item = next((name for name in ("gasket", "circlip") if name in low), "shaft seal")
            renewals.append(
                Renewal(
                    id=ids.make("renewal", item),
                    item=item,
                    kind="renew",
                    count_from="spoken",
                    quantity=4 if "4" in low else 2 if "two" in low else None,
                    segments=(sid,),
                    because=why,
                )
            )
        segments.append(
            Segment(
                id=sid,
                start_s=cue.start_s,
                end_s=cue.end_s,
                text=cue.text,
                corrected=corrected,
                trust=0.9,
                role=roles.get(sid, role),
                steps=tuple(step.id for step in steps if sid in step.segments),
            )
        )
    refit = []
    for step in reversed(steps):
        back = next((back for action, back in VERBS.values() if action == step.action), "Fit {0}.")
        thing = step.text.split(" ", 1)[1].rstrip(".")
        refit.append(
            RefitStep(
                id=ids.make("refit", step.text),
                number=len(refit) + 1,
                origin="derived",
                undoes=(step.id,),
                action="fit",
                objects=step.objects,
                text=back.format(thing),
                applies_when=step.applies_when,
                because=(Because(segment=None, span=None, rule="sample", step=step.id),),
            )
        )
    caution = Caution(
        id="caution-1",
        hazard="rotating parts",
        signal_word="WARNING",
        origin="usual",
        text="Isolate the supply and lock it off. The manufacturer's data and local codes decide.",
        because=(Because(segment=None, span=None, rule="sample"),),
        segments=(),
    )
    return Draft(
        made_by="sample",
        title="Lift pump: removal and refit",
        segments=tuple(segments),
        steps=tuple(steps),
        refit=tuple(refit),
        renewals=tuple(renewals),
        torques=tuple(torques),
        conditions=tuple(conditions),
        cautions=(caution,),
        flags=tuple(flags),
        sections=(Section(id="sec-1", title="Taking the pump out", start_s=0.0, segments=(segments[0].id,)),),
        not_undone=(NotUndone(step="", reason=""),)[:0],
        source=Source(
            name=talk.name,
            format=talk.format,
            sha256=talk.sha256,
            duration_s=talk.duration_s,
            language="en",
            times="given",
        ),
    )


def write(draft: Draft) -> dict[str, bytes]:
    """`draft.json` alone."""
    return {"draft.json": json.dumps(draft.model_dump(mode="json"), indent=1).encode()}


ENGINE = Engine(read=read, draft=build, write=write)


def make_case(folder: Path, text: str = TALK) -> Case:
    """A new case of the sample talk in `folder`/case."""
    case = Case.create(folder / "case", [write_talk(folder, text)], engine=ENGINE)
    case.write()
    return case
