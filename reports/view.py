"""What is printed: the draft turned into numbered, worded, ordered pieces that every document writer lays out.

A writer decides how a thing looks, never what it says; so that all formats say the same.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from operator import itemgetter

from extract.model import Caution, Draft, Flag, Measure, Note, RefitStep, Renewal, Segment, Step, Tool, Torque
from reports.base import Options
from reports.context import NOT_SAID, Context, amount_text, condition_values, only_if, skip_clause
from reports.select import only_variant, variant_words
from reports.text import (
    DEFERS,
    NO_CAUTION,
    UNTITLED,
    capital,
    clean,
    count_words,
    date_words,
    join_words,
    range_text,
    shortened,
    time_code,
    torque_value,
)
from reports.view_lists import condition_views, renewal_rows, torque_row, transcript_lines
from reports.view_model import (
    CautionView,
    FlagView,
    LineView,
    Paper,
    SectionView,
    SegmentView,
    StepView,
    ToolRow,
)

SIGNAL_ORDER = ("DANGER", "WARNING", "CAUTION", "NOTICE")
SEVERITY_WORDS = {"stop": "Settle before sign-off", "check": "Check", "info": "Remark"}
ROLE_WORDS = {
    "instruction": "instruction",
    "refit_note": "refit note",
    "torque_note": "tightening",
    "condition": "condition",
    "caution": "caution",
    "reason": "reason",
    "heading": "heading",
    "presentation": "about the film",
    "chatter": "chatter",
    "unclear": "unclear",
}
#: A note is a sentence of its own; only a reason has a label, so that nobody takes it for an order.
NOTE_WORDS = {"reason": "Why:"}


def measure_text(measure: Measure) -> str:
    """Return "clearance: 0.2 to 0.3 mm", or the measure's own words where it has no number."""
    value = range_text(measure.value, measure.low, measure.high)
    what = clean(measure.what)
    if not value:
        return clean(measure.text) or what
    unit = clean(measure.unit)
    if unit == "turn" and measure.value is not None:
        whole, part = divmod(Fraction(measure.value).limit_denominator(8), 1)
        value = " ".join(str(number) for number in (whole, part) if number) or "0"
        unit = "turn" if measure.value <= 1 else "turns"
    value += ("" if unit == "°" else " ") + unit if unit else ""
    return f"{what}: {value}" if what else value


def _says_use(step: RefitStep, renewal: Renewal) -> bool:
    """Whether the step or a note of it says which material is used and how much, so that a line would repeat it."""
    if renewal.kind != "consumable" or renewal.only_if:
        return False
    amount = amount_text(renewal)
    wanted = [clean(renewal.item).casefold()] + ([amount.casefold()] if amount != NOT_SAID else [])
    texts = [clean(text).casefold() for text in (step.text, *(note.text for note in step.notes))]
    return any(all(part in text for part in wanted) for text in texts)


def view(draft: Draft, options: Options) -> Paper:
    """Return what a document of this draft prints, for the variant and edition that the options ask for."""
    if options.only:
        draft = only_variant(draft, options.only)
    return _Builder(draft, options).paper()


class _Builder(Context):
    def __init__(self, draft: Draft, options: Options) -> None:
        super().__init__(draft, options)
        self.flags = {flag.id: flag for flag in draft.flags if flag.state == "open"}
        self.step_flags = self._flags_by_step()
        self.skippable = {i for c in draft.conditions if c.kind == "skip" for i in c.steps}

    # ----------------------------------------------------------------- cautions and flags

    def caution(self, caution: Caution) -> CautionView:
        return CautionView(
            id=caution.id,
            hazard=self.say(caution.hazard.replace("_", " ")),
            signal=caution.signal_word,
            text=self.say_sentence(caution.text),
            where=self.where(*caution.steps, *caution.refit),
            marks=self.marks(self.governing(caution.applies_when, (*caution.steps, *caution.refit))),
            added=caution.origin == "usual",
        )

    def all_cautions(self) -> tuple[CautionView, ...]:
        """The cautions of the whole job, gravest first; the same words for several places are one caution."""
        merged: dict[tuple, Caution] = {}
        for caution in self.draft.cautions:
            key = (caution.signal_word, clean(caution.text).casefold(), caution.applies_when)
            if key in merged:
                first = merged[key]
                merged[key] = first.model_copy(
                    update={"steps": first.steps + caution.steps, "refit": first.refit + caution.refit}
                )
            else:
                merged[key] = caution
        ordered = sorted(merged.values(), key=lambda c: SIGNAL_ORDER.index(c.signal_word))
        return tuple(self.caution(c) for c in ordered)

    def cautions_at(self) -> dict[str, list[CautionView]]:
        """Each caution once before the first work step and once before the first refit step that it concerns."""
        at: dict[str, list[CautionView]] = {}
        for caution in sorted(self.draft.cautions, key=lambda c: SIGNAL_ORDER.index(c.signal_word)):
            for ids in (caution.steps, caution.refit):
                known = sorted((i for i in ids if i in self.labels), key=lambda i: self.order.index(self.labels[i]))
                if known:
                    at.setdefault(known[0], []).append(self.caution(caution))
        return at

    def flag(self, flag: Flag) -> FlagView:
        text = self.say_sentence(flag.message)
        if flag.code == "garbled" and "“" not in text and flag.segments and flag.segments[0] in self.segments:
            text = f"“{shortened(clean(self.segments[flag.segments[0]].text), 80)}” {text}"
        first = [self.labels[i] for i in flag.steps if i in self.labels]
        return FlagView(
            id=flag.id,
            severity=flag.severity,
            label=SEVERITY_WORDS[flag.severity],
            text=text,
            suggestions=tuple(self.say(s.text) for s in flag.suggestions),
            where=self.where(*flag.steps) if first else "",
            time=self.time_of(flag.segments),
            marks=self.marks(self.governing((), flag.steps)),
        )

    def _flags_by_step(self) -> dict[str, list[Flag]]:
        """Open points stand beside the step that they name, or that was told with or just before their words."""
        by_step: dict[str, list[Flag]] = {}
        own = {flag_id: step.id for step in (*self.draft.refit, *self.draft.steps) for flag_id in step.flags}
        for flag in self.flags.values():
            home = next((i for i in flag.steps if i in self.labels), own.get(flag.id))
            if home is None and flag.segments:
                home = self._told_near(flag.segments[0])
            if home is not None:
                by_step.setdefault(home, []).append(flag)
        return by_step

    def _told_near(self, segment: str) -> str | None:
        """The step that stands on this utterance, or the last one told before it, between the first and last step."""
        for step in (*self.draft.steps, *self.draft.refit):
            if segment in step.segments:
                return step.id
        order = {known.id: index for index, known in enumerate(self.draft.segments)}
        at = order.get(segment, -1)
        told = [(max(order.get(i, -1) for i in step.segments), step.id) for step in self.draft.steps if step.segments]
        before = sorted((pair for pair in told if pair[0] <= at), key=itemgetter(0))
        return before[-1][1] if before and any(place > at for place, _ in told) else None

    def flags_at(self, step: str) -> tuple[FlagView, ...]:
        """The points beside a step; one that only stands near it says when its words were spoken."""
        views = []
        for flag in self.step_flags.get(step, ()):
            if flag.severity != "info":
                found = self.flag(flag)
                near = not found.where and found.time
                views.append(replace(found, text=f"(film {found.time}) {found.text}") if near else found)
        return tuple(views)

    # ----------------------------------------------------------------- steps

    def note(self, note: Note, shown: tuple[str, ...]) -> LineView:
        return LineView(
            note.kind, NOTE_WORDS.get(note.kind, ""), self.say_sentence(note.text), self.marks(note.applies_when, shown)
        )

    def renewal_line(self, renewal: Renewal, shown: tuple[str, ...]) -> LineView:
        item = clean(renewal.item) + (f" {clean(renewal.position)}" if renewal.position else "")
        if renewal.quantity and renewal.quantity > 1:
            item += f" (quantity {renewal.quantity})"
        if renewal.kind == "consumable":
            amount = amount_text(renewal)
            item += f" ({amount})" if amount != NOT_SAID else ""
        elif renewal.kind == "substitute":
            item += f", fit {clean(renewal.replaced_by) or 'the new kind'} instead"
        if renewal.only_if:
            item += f", only if {only_if(renewal)}"
        label = "Use" if renewal.kind == "consumable" else "Renew"
        return LineView(label.lower(), label, self.say(item), self.marks(renewal.applies_when, shown))

    def torque_line(self, torque: Torque, shown: tuple[str, ...]) -> LineView:
        value = torque_value(torque, self.english)
        if not value and torque.reference:
            value = f"the value in {clean(torque.reference)}"
        if value and torque.scope != "step":  # said of every joint: the step names its own
            text = f"to {value}"
        else:
            text = f"{clean(torque.joint)} {f'to {value}' if value else '(no value was said)'}"
        if torque.order:
            text += f", {clean(torque.order)}"
        return LineView("tighten", "Tighten", self.say(text), self.marks(torque.applies_when, shown))

    def measure_lines(self, step: Step | RefitStep) -> list[LineView]:
        """The values that the instruction itself does not say."""
        lines = []
        for measure in step.measures:
            what, _, value = measure_text(measure).rpartition(": ")
            if not any(said in clean(step.text) for said in (value, clean(measure.text)) if said):
                lines.append(LineView("measure", capital(self.say(f"{what}:")) if what else "", self.say(value)))
        return lines

    def skips(self) -> dict[str, str]:
        """What stands before the first step that may be left out."""
        lines: dict[str, str] = {}
        for condition in self.draft.conditions:
            known = [i for i in condition.steps if i in self.labels]
            if condition.kind != "skip" or not known:
                continue
            line = f"{capital(skip_clause(condition))}, leave out {self.where(*known)}"
            if condition.ends == "never":
                line += " (where that ends is not said)"
            elif condition.resumes_at in self.labels:
                line += f" and go on at step {self.labels[condition.resumes_at]}"
            line += "."
            first = min(known, key=lambda i: self.order.index(self.labels[i]))
            lines[first] = " ".join(filter(None, (lines.get(first), self.say(line))))
        return lines

    def on_refit(self, step: Step, shown: tuple[str, ...]) -> tuple[LineView, ...]:
        """What the refit will ask of this step's part, shown where the part comes off.

        A published procedure shows only what must be ordered in time; the rest stands at the refit step.
        """
        wanted = [r for r in self.draft.renewals if r.step == step.id and r.same_as is None]
        if not self.review:
            return tuple(dict.fromkeys(self.renewal_line(r, shown) for r in wanted))
        back = [refit for refit in self.draft.refit if step.id in refit.undoes]
        lines = [self.renewal_line(r, shown) for r in wanted if not any(_says_use(refit, r) for refit in back)]
        lines += [self.torque_line(t, shown) for t in self.draft.torques if step.id in t.steps]
        lines += [self.note(n, shown) for refit in back for n in refit.notes if n.kind != "reason"]
        return tuple(dict.fromkeys(lines))

    def work_step(self, step: Step, cautions: dict, skips: dict) -> StepView:
        marks = self.marks(step.applies_when)
        lines = self.measure_lines(step)
        written = clean(step.text).casefold()
        tools = [clean(t) for t in step.tools if clean(t).casefold() not in written]
        if tools:
            lines.append(LineView("tool", "Tool:" if len(tools) == 1 else "Tools:", self.say(join_words(tools))))
        lines += [self.note(n, marks) for n in step.notes]
        if step.done_before_camera:
            lines.append(LineView("fact", "", "The film does not show it: reported as already done."))
        if self.review and step.confidence < 0.5:
            lines.append(LineView("fact", "", f"Uncertain reading ({round(step.confidence * 100)} %)."))
        return self._step(step, step.start_s, step.end_s, marks, lines, cautions, skips, self.on_refit(step, marks))

    def refit_step(self, step: RefitStep, cautions: dict) -> StepView:
        marks = self.marks(step.applies_when)
        lines = self.measure_lines(step)
        renewals = [self.renewals[i] for i in step.renewals if i in self.renewals]
        lines += [self.renewal_line(r, marks) for r in renewals if not _says_use(step, r)]
        torques = [self.torques[i] for i in step.torques if i in self.torques]
        lines += [self.torque_line(t, marks) for t in torques if not self._says_value(step, t)]
        lines += [self.note(n, marks) for n in step.notes]
        undone = self.where(*step.undoes)
        if step.origin == "derived":
            told = f"Reverse of {undone}" if undone else "Not told in the film"
            told += "; not told in the film." if undone and self.review else "."
            lines.append(LineView("fact", "", told))
        elif undone and self.review:
            lines.append(LineView("fact", "", f"Puts back {undone}."))
        start = self.start_of(step.segments) if step.origin == "spoken" else None
        ends = [self.segments[i].end_s for i in step.segments if i in self.segments and start is not None]
        end = max((e for e in ends if e is not None), default=None)
        return self._step(step, start, end, marks, lines, cautions, {}, ())

    def instruction(self, step: Step | RefitStep) -> str:
        """The written instruction without the condition before it, which the mark says or the edition has decided."""
        text = self.say_sentence(step.text)
        condition, comma, act = text.partition(", ")
        if comma and condition.startswith(("If ", "On ", "For ")) and self._marked(step.applies_when, condition):
            return capital(act)
        return text

    def _marked(self, conditions: tuple[str, ...], clause: str) -> bool:
        """Whether a clause says no more than the marks of these conditions do."""
        found = [self.conditions[i] for i in conditions if i in self.conditions]
        values = [self.say(v).casefold() for c in found for v in condition_values(c)]
        return bool(values) and all("," not in value and value in clause.casefold() for value in values)

    def _says_value(self, step: RefitStep, torque: Torque) -> bool:
        """Whether the instruction itself says how tight, so that a line of its own would only repeat it."""
        value = torque_value(torque)
        text = clean(step.text)
        if not value and torque.reference:
            return clean(torque.reference) in text
        return bool(value) and all(part in text for part in value.split(", then "))

    def _step(self, step, start, end, marks, lines, cautions, skips, on_refit) -> StepView:
        return StepView(
            id=step.id,
            label=self.labels[step.id],
            text=self.instruction(step),
            time=time_code(start),
            start_s=start,
            end_s=end,
            marks=marks,
            applies_when=tuple(i for i in step.applies_when if i in self.conditions),
            cautions=tuple(cautions.get(step.id, ())),
            skip=skips.get(step.id, ""),
            optional=step.id in self.skippable,
            lines=tuple(dict.fromkeys(lines)),
            on_refit=on_refit,
            flags=self.flags_at(step.id),
            picture=self.options.pictures.get(step.id),
        )

    def work(self, cautions: dict) -> tuple[SectionView, ...]:
        skips = self.skips()
        titles = {section.id: section for section in self.draft.sections}
        groups: list[tuple[str | None, list[StepView]]] = []
        for step in self.draft.steps:
            if not groups or groups[-1][0] != step.section:
                groups.append((step.section, []))
            groups[-1][1].append(self.work_step(step, cautions, skips))
        views = []
        for index, (section_id, steps) in enumerate(groups, 1):
            section = titles.get(section_id or "")
            title = self.say(section.title) if section else ""
            start = section.start_s if section and section.start_s is not None else steps[0].start_s
            views.append(SectionView(f"part-{index}", capital(title), start, tuple(steps)))
        return tuple(views)

    # ----------------------------------------------------------------- the talk

    def went_to(self, segment: Segment) -> str:
        """The steps and lists that an utterance led to: "steps 3 and R11; parts list"."""
        refit = [
            step.id
            for step in self.draft.refit
            if segment.id in step.segments or any(segment.id in note.segments for note in step.notes)
        ]
        lists = {
            "parts list": self.draft.renewals,
            "tightening": self.draft.torques,
            "variants": self.draft.conditions,
            "cautions": self.draft.cautions,
            "tools": self.draft.tools,
        }
        named = [name for name, entries in lists.items() if any(segment.id in entry.segments for entry in entries)]
        return "; ".join(filter(None, (self.where(*segment.steps, *refit), *named)))

    def segment_view(self, segment: Segment, flags: dict[str, list[Flag]]) -> SegmentView:
        said = clean(segment.text)
        corrected = clean(segment.corrected)
        return SegmentView(
            id=segment.id,
            time=time_code(segment.start_s),
            start_s=segment.start_s,
            end_s=segment.end_s,
            text=corrected or said,
            as_spoken=said if corrected and corrected != said else "",
            speaker=clean(segment.speaker),
            role=ROLE_WORDS[segment.role],
            trust=f"{round(segment.trust * 100)} %" if segment.trust < 0.8 else "",
            where=self.went_to(segment),
            flags=tuple(self.flag(f) for f in flags.get(segment.id, ())),
        )

    # ----------------------------------------------------------------- the whole

    def status(self) -> tuple[tuple[str, ...], str]:
        signed = self.draft.signed
        if self.options.signature == "changed":
            by = f" by {clean(signed.by)}" if signed else ""
            return (f"Changed after sign-off{by}: not valid until it is signed again.",), "Changed after sign-off"
        if self.options.signature == "signed" and signed:
            return (f"Reviewed and signed by {clean(signed.by)}, {date_words(clean(signed.at), self.english)}.",), ""
        return ("Draft: not reviewed. Do not work from it.",), "Draft, not reviewed"

    def tool(self, tool: Tool) -> ToolRow:
        item, size = self.say(tool.item), self.say(tool.size)
        bare = " ".join(item.replace(size, " ").split()) if size else item
        marks = self.marks(self.governing((), tool.steps))
        return ToolRow(tool.id, capital(bare or item), size, self.where(*tool.steps), marks)

    def close_out(self) -> tuple[str, ...]:
        """What closes the job: only what the draft holds, counted, never invented work."""
        lines = []
        if self.draft.refit:
            lines.append(f"All refit steps, R1 to R{len(self.draft.refit)}, are done and ticked.")
        rows = [r for r in renewal_rows(self, False) if not r.only_if]
        if rows:
            lines.append(f"Renewed parts fitted: {count_words(rows, 'line')} of the parts list.")
        if self.draft.torques:
            lines.append(f"Tightened and recorded: {count_words(self.draft.torques, 'line')} of the tightening sheet.")
        if lines:
            lines.append("No tool, rag or removed part is left in or on the machine.")
        return tuple(lines)

    def not_undone(self) -> tuple[tuple[str, str], ...]:
        """Steps that the refit need not undo, those with the same reason on one line."""
        by_reason: dict[str, list[str]] = {}
        for entry in self.draft.not_undone:
            by_reason.setdefault(self.say_sentence(entry.reason), []).append(entry.step)
        lines = ((capital(self.where(*steps)), reason) for reason, steps in by_reason.items())
        return tuple(line for line in lines if line[0])

    def paper(self) -> Paper:
        draft, document = self.draft, self.document
        cautions = self.cautions_at()
        flags = sorted(self.flags.values(), key=lambda f: ("stop", "check", "info").index(f.severity))
        placed = {flag.id for found in self.step_flags.values() for flag in found}
        loose = [f for f in flags if f.id not in placed and f.severity != "info"]
        by_segment: dict[str, list[Flag]] = {}
        for flag in flags:
            if flag.segments and not flag.steps and flag.severity != "info":
                by_segment.setdefault(flag.segments[0], []).append(flag)
        open_points = [f for f in flags if f.severity != "info"]
        stops = sum(1 for f in open_points if f.severity == "stop")
        summary = count_words(open_points, "open point")
        if stops:
            summary += f", {stops} to settle before sign-off"
        title = self.say(draft.title) or UNTITLED
        status, running = self.status()
        length = time_code(draft.source.duration_s)
        machine = " ".join(filter(None, (clean(document.machine), clean(document.type))))
        fields = (
            ("Machine", machine),
            ("Document number", clean(document.number)),
            ("Revision", clean(document.revision)),
            ("Author", clean(document.author)),
            ("Film", f"{clean(draft.source.name)} ({length})" if length else clean(draft.source.name)),
        )
        revision = f"Revision {clean(document.revision)}" if document.revision else ""
        us = self.english == "us"
        return Paper(
            title=capital(title),
            kind="Workshop procedure",
            edition=self.options.edition,
            language="en-US" if us else "en-GB",
            fields=tuple(pair for pair in fields if pair[1]),
            status=status,
            running_status=running,
            running_title=" · ".join(filter(None, (shortened(capital(title)), clean(document.number), revision))),
            running_right=" · ".join(filter(None, (running, variant_words(self.options.only)))),
            variant=variant_words(self.options.only),
            source=clean(draft.source.name),
            transcript=transcript_lines(draft),
            duration_s=draft.source.duration_s,
            cautions=self.all_cautions(),
            no_caution=NO_CAUTION,
            defers=DEFERS,
            conditions=condition_views(self),
            tools=tuple(self.tool(t) for t in draft.tools),
            parts=renewal_rows(self, False),
            materials=renewal_rows(self, True),
            work=self.work(cautions),
            refit=tuple(self.refit_step(s, cautions) for s in draft.refit),
            not_undone=self.not_undone(),
            torques=tuple(torque_row(self, t) for t in draft.torques),
            close_out=self.close_out(),
            open_points=tuple(self.flag(f) for f in open_points),
            open_summary=summary if open_points else "",
            loose_points=tuple(self.flag(f) for f in loose),
            remarks=tuple(self.flag(f) for f in flags if f.severity == "info"),
            talk=tuple(self.segment_view(s, by_segment) for s in draft.segments),
            made_by=clean(draft.made_by),
            work_title="Removal" if draft.refit else "Work",
            refit_title="Refit",
        )
