"""Points and decisions in words for people; used by the page and the command line."""

from __future__ import annotations

from extract.model import Severity, Stage
from extract.review import decisions as say
from extract.review.decisions import Decision
from reports.view import SEVERITY_WORDS

#: A flag's question in a few words.
QUESTIONS = {
    "garbled": "What was said?",
    "misheard_term": "Right word?",
    "misheard_number": "Right number?",
    "repeated": "Said twice?",
    "missing_object": "Done to what?",
    "ambiguous_reference": "Which one?",
    "vague_quantity": "How many?",
    "quantity_conflict": "Which count?",
    "replace_sense": "Put back, or new?",
    "unusual_action": "Really done?",
    "open_scope": "Up to where?",
    "torque_no_value": "How tight?",
    "torque_implausible": "That tight?",
    "state_conflict": "In or out?",
    "no_refit": "How put back?",
    "self_correction": "Which version?",
    "silent_gap": "Shown, not told?",
    "missing_precaution": "Made safe first?",
    "unread": "Left out?",
    "weak_reading": "Read rightly?",
}
#: The words of the documents for how much a point weighs.
SEVERITIES: dict[Severity, str] = SEVERITY_WORDS
SEVERITY_HELP: dict[Severity, str] = {
    "stop": "must be settled before signing",
    "check": "should be looked at",
    "info": "for your information",
}


def question(code: str) -> str:
    """The question that a flag of this code asks."""
    return QUESTIONS.get(code, code.replace("_", " ").capitalize())


def stages_text(stages: tuple[Stage, ...]) -> str:
    """Tightening stages as "25 Nm + 90°"."""
    parts = []
    for stage in stages:
        if stage.angle_deg is not None:
            parts.append(f"{stage.angle_deg:g}°")
        elif stage.value_nm is not None:
            parts.append(f"{stage.value_nm:g} Nm")
        else:
            parts.append(f"{stage.low_nm:g} to {stage.high_nm:g} Nm")
    return " + ".join(parts)


def describe(decision: Decision) -> str:
    """What was decided, without who and when."""
    what = decision.what
    match what:
        case say.Words():
            return f"The words are: “{what.now}”"
        case say.RoleSet():
            return f"This is {what.now.replace('_', ' ')}, not {what.was.replace('_', ' ')}"
        case say.Edit():
            return f"The step reads: “{what.now}”"
        case say.Split():
            return f"Two steps: “{what.first}” and “{what.second}”"
        case say.Merge():
            return f"Joined with the next step: “{what.now}”"
        case say.Move():
            return f"Moved before “{what.before.label}”" if what.before else "Moved to the end"
        case say.Add():
            return f"Step added: “{what.text}”"
        case say.PutBack():
            return f"Put back: “{what.text}”" if what.text else f"Nothing to put back: {what.reason}"
        case say.Drop():
            return f"Step taken out: {what.reason}"
        case say.Quantity():
            return f"{decision.about.label}: {what.now} ({what.source})"
        case say.PartNumber():
            return f"{decision.about.label}: number {what.now} ({what.source})"
        case say.Tightening():
            return f"{decision.about.label}: {stages_text(what.stages)} ({what.source})"
        case say.PartName():
            return f"“{what.was}” is called “{what.now}”"
        case say.ScopeEnd():
            return f"Ends with “{what.last.label}”" if what.last else "Governs no step"
        case say.Accept():
            return f"Fine as it is: {what.reason}"
        case say.Heading():
            return f"The heading reads: “{what.now}”"
        case say.DocumentData():
            return f"{what.field.capitalize()}: {what.now or '(empty)'}"
    return f"Decision {what.of} taken back"
