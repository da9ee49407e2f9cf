"""The pieces of a printed document: what `reports.view` makes and every document writer lays out."""

from __future__ import annotations

from dataclasses import dataclass

from reports.base import Picture


@dataclass(frozen=True, slots=True)
class CautionView:
    """A caution: its signal word, its text, where it applies, and whether the program added it."""

    id: str
    hazard: str
    signal: str
    text: str
    where: str
    marks: tuple[str, ...]
    added: bool


@dataclass(frozen=True, slots=True)
class LineView:
    """One line under a step: a label such as "Renew", "Tighten" or "Align", and what it says.

    `kind` is `measure`, `tool`, `renew`, `use`, `tighten`, `fact` or the kind of a note. `marks` are only those
    that the step itself does not carry.
    """

    kind: str
    label: str
    text: str
    marks: tuple[str, ...] = ()

    def words(self) -> str:
        """The line as plain text, the variant first."""
        lead = "; ".join(self.marks)
        return (f"{lead} – " if lead else "") + f"{self.label} {self.text}".strip()


@dataclass(frozen=True, slots=True)
class FlagView:
    """An open point: what a reviewer must settle or check, and where."""

    id: str
    severity: str
    label: str
    text: str
    suggestions: tuple[str, ...]
    where: str
    time: str
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StepView:
    """A step as printed. `label` is "4", or "R4" in the refit; `marks` name the variants it holds for."""

    id: str
    label: str
    text: str
    time: str
    start_s: float | None
    end_s: float | None
    marks: tuple[str, ...]
    applies_when: tuple[str, ...]
    cautions: tuple[CautionView, ...]
    skip: str
    optional: bool
    lines: tuple[LineView, ...]
    on_refit: tuple[LineView, ...]
    flags: tuple[FlagView, ...]
    picture: Picture | None


@dataclass(frozen=True, slots=True)
class SectionView:
    """A group of steps under one title (empty where the talk gives none)."""

    id: str
    title: str
    start_s: float | None
    steps: tuple[StepView, ...]


@dataclass(frozen=True, slots=True)
class RenewalRow:
    """One line of the parts and materials list; mentions of the same part are one line."""

    id: str
    kind: str
    item: str
    count: str
    quantity: int | None
    amount: str
    amount_value: float | None
    amount_unit: str
    part_number: str
    instead: str
    only_if: str
    where: str
    marks: tuple[str, ...]
    time: str
    cautions: str

    @property
    def text(self) -> str:
        """The item, what is fitted instead, and on what condition."""
        text = self.item + (f", fit {self.instead} instead" if self.instead else "")
        return text + (f", only if {self.only_if}" if self.only_if else "")


@dataclass(frozen=True, slots=True)
class TorqueRow:
    """One line of the tightening sheet."""

    id: str
    joint: str
    fastener: str
    value: str
    value_nm: float | None
    angle_deg: float | None
    order: str
    reference: str
    spoken: str
    scope: str
    where: str
    marks: tuple[str, ...]
    time: str
    check: str
    cautions: str


@dataclass(frozen=True, slots=True)
class ToolRow:
    """A tool or piece of equipment and the steps that need it."""

    id: str
    item: str
    size: str
    where: str
    marks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ConditionView:
    """A variant, option or skip and the steps that it governs."""

    id: str
    kind: str
    axis: str
    values: tuple[str, ...]
    negated: bool
    label: str
    where: str
    text: str


@dataclass(frozen=True, slots=True)
class SegmentView:
    """One utterance of the talk with its role and where it went."""

    id: str
    time: str
    start_s: float | None
    end_s: float | None
    text: str
    as_spoken: str
    speaker: str
    role: str
    trust: str
    where: str
    flags: tuple[FlagView, ...]


@dataclass(frozen=True, slots=True)
class Paper:
    """A whole document, ready to be laid out."""

    title: str
    kind: str
    edition: str
    language: str
    fields: tuple[tuple[str, str], ...]
    status: tuple[str, ...]
    running_status: str
    running_title: str
    running_right: str
    variant: str
    source: str
    transcript: tuple[str, ...]
    duration_s: float | None
    cautions: tuple[CautionView, ...]
    no_caution: str
    defers: str
    conditions: tuple[ConditionView, ...]
    tools: tuple[ToolRow, ...]
    parts: tuple[RenewalRow, ...]
    materials: tuple[RenewalRow, ...]
    work: tuple[SectionView, ...]
    refit: tuple[StepView, ...]
    not_undone: tuple[tuple[str, str], ...]
    torques: tuple[TorqueRow, ...]
    close_out: tuple[str, ...]
    open_points: tuple[FlagView, ...]
    open_summary: str
    loose_points: tuple[FlagView, ...]
    remarks: tuple[FlagView, ...]
    talk: tuple[SegmentView, ...]
    made_by: str
    work_title: str
    refit_title: str

    def steps(self) -> list[StepView]:
        """All steps of the work, in order, whatever their section."""
        return [step for section in self.work for step in section.steps]
