"""A small invented talk with annotations, as the tests of the evaluation use it."""

from __future__ import annotations

from typing import Any


def utterance(text: str, role: str = "instruction", start_s: float | None = None, **entries: Any) -> dict[str, Any]:
    """One row of a gold file."""
    row = {"start_s": start_s, "text": text, "role": role}
    return row | {key: [] for key in ("steps", "renewals", "torques", "when", "flags")} | entries


def act(action: str, *objects: str, quantity: int | None = None, **more: Any) -> dict[str, Any]:
    """One step of a gold row."""
    return {
        "action": action,
        "objects": [{"text": one, "quantity": quantity, "position": None} for one in objects],
    } | more


def torque(joint: str, value_nm: float | None = None, angle_deg: float | None = None, **more: Any) -> dict[str, Any]:
    """One torque of a gold row."""
    return {
        "joint": joint,
        "value_nm": value_nm,
        "angle_deg": angle_deg,
        "reference": None,
        "scope": "step",
    } | more


def gold_rows() -> list[dict[str, Any]]:
    """Ten utterances with every kind of entry; fresh copies each time."""
    return [
        utterance("Today we do the bearing of the bench grinder.", "heading", 0.0),
        utterance("I unplugged it already.", start_s=4.0, steps=[act("unplug", "grinder", done=True)]),
        utterance(
            "Undo the four screws and take off the cover.",
            start_s=6.0,
            steps=[act("undo", "screws", quantity=4), act("take off", "cover")],
        ),
        utterance("Mind the edge, it is sharp.", "caution", 10.0),
        utterance(
            "On the long shaft pull off the collar.",
            start_s=13.0,
            steps=[act("pull off", "collar")],
            when=["shaft=long"],
        ),
        utterance("The cheese in the marble wanders.", "unclear", 17.0, flags=["garbled"]),
        utterance(
            "Press out both bearings.",
            start_s=20.0,
            steps=[act("press out", "bearings", quantity=2)],
            flags=["repeated"],
        ),
        utterance(
            "Fit two new bearings.",
            "refit_note",
            23.0,
            renewals=[{"item": "bearing", "quantity": 2, "kind": "renew", "replaced_by": None}],
        ),
        utterance(
            "The screws take ten newton metres first, then thirty degrees.",
            "torque_note",
            26.0,
            torques=[
                torque(
                    "screws",
                    10,
                    30,
                    stages=[{"value_nm": 10, "angle_deg": None}, {"value_nm": None, "angle_deg": 30}],
                )
            ],
        ),
        utterance("That is all, thank you.", "chatter", 31.0),
    ]


def refit_rows() -> list[dict[str, Any]]:
    """The refit of the same talk."""

    def line(action: str, text: str, undoes: list[str], **more: Any) -> dict[str, Any]:
        row = {"action": action, "objects": [{"text": text, "quantity": None}], "origin": "derived", "undoes": undoes}
        return row | {"renewals": [], "torques": [], "notes": [], "when": []} | more

    return [
        line("press in", "bearings", ["press out bearings"], renewals=["bearing"], origin="spoken"),
        line("fit", "collar", ["pull off collar"]),
        line("fit", "cover", ["take off cover"], notes=["sharp edge outwards"]),
        line("tighten", "screws", ["undo screws"], torques=["10 Nm"]),
        {"not_undone": []},
    ]
