"""The case folder: the transcript as read, the decisions on it, and the documents made from both.

case.json        where the talk came from and how it is read
transcript.*     the input, byte for byte (several where recordings were joined)
lexicon-*.csv    the user's own terms that the draft was made with
decisions.jsonl  what reviewers decided, one decision a line
sign-off.jsonl   who signed what, the last line counts
draft.json, …    made anew from the above whenever one of them changes
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from difflib import SequenceMatcher
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Annotated

from pydantic import Field, ValidationError

from extract.errors import CaseError
from extract.model import Draft, Frozen, Role, SignOff, Talk
from extract.review.apply import Outcome, reviewed
from extract.review.decisions import Decision
from extract.review.log import Lines, Log, remove_stale_parts, write_atomically
from extract.review.signoff import SignatureState, signature_state
from extract.settings import Settings

RECORD, DRAFT, DECISIONS, SIGNATURES = "case.json", "draft.json", "decisions.jsonl", "sign-off.jsonl"


class Recording(Frozen):
    """One transcript file of the case: its copy here, what it was called, and its bytes' hash."""

    copy_name: str = Field(pattern=r"^transcript[A-Za-z0-9.-]*$")
    name: str
    sha256: str


class Record(Frozen):
    """`case.json`."""

    talk: str
    format: str | None = None
    recordings: tuple[Recording, ...] = Field(min_length=1)
    lexicons: tuple[Annotated[str, Field(pattern=r"^lexicon-\d+\.csv$")], ...] = ()
    settings: dict[str, float | bool] = Field(default_factory=dict)

    @property
    def copies(self) -> set[str]:
        """Names of the input files in the folder."""
        return {recording.copy_name for recording in self.recordings} | set(self.lexicons)


class Clash(CaseError):
    """Somebody else decided on the same thing in the meantime; nothing was written."""

    def __init__(self, theirs: tuple[Decision, ...]) -> None:
        self.theirs = theirs
        names = " and ".join(dict.fromkeys(decision.by for decision in theirs))
        super().__init__(f"{names} decided on this in the meantime.", remedy="Look at it and decide again.")


@dataclass(frozen=True, slots=True)
class Engine:
    """The stages that a case needs: reading talks, making drafts, writing the documents.

    `read` takes the transcript files in order and a format or null; `draft` the talk, the user's lexicon
    files, settings, corrected words and roles by segment id; `write` gives bytes by file name.
    """

    read: Callable[[Sequence[Path], str | None], Talk]
    draft: Callable[[Talk, Sequence[Path], Settings, Mapping[str, str], Mapping[str, Role]], Draft]
    write: Callable[[Draft], Mapping[str, bytes]]


@dataclass(frozen=True, slots=True)
class CaseChange:
    """What drafting an existing case anew did to it. Steps are written instructions; changed ones as (was, now)."""

    created: bool
    transcript_changed: bool
    kept: int
    fulfilled: int
    unplaced: tuple[Decision, ...]
    steps_changed: tuple[tuple[str, str], ...]
    steps_new: tuple[str, ...]
    steps_gone: tuple[str, ...]
    signature: SignatureState

    def lines(self) -> list[str]:
        """The change in words, a line each; empty where there is nothing to say."""
        said = []
        if self.created:
            return said
        said.append("The transcript changed." if self.transcript_changed else "The transcript is the same.")
        if self.kept:
            said.append(f"{_count(self.kept, 'decision')} of the review applied again.")
        if self.fulfilled:
            said.append(f"{_count(self.fulfilled, 'correction')} no longer needed: the talk now reads so.")
        for decision in self.unplaced:
            said.append(f"No place found for decision {decision.id} ({decision.by}): “{_short(decision)}”.")
        said += [f"Step now reads: {now} Before: {was}" for was, now in self.steps_changed]
        said += [f"New step: {text}" for text in self.steps_new]
        said += [f"Step gone: {text}" for text in self.steps_gone]
        if self.signature == "changed":
            said.append("The procedure was signed and has changed since: sign it again.")
        return said


class Case:
    """A case folder, opened."""

    def __init__(self, folder: Path, record: Record, engine: Engine) -> None:
        self.folder = folder
        self.record = record
        self.engine = engine
        self.log = Log(folder / DECISIONS, Decision)
        self._signatures = Log(folder / SIGNATURES, SignOff)
        self._latest: tuple[int, Outcome] | None = None

    # ------------------------------------------------------------------ opening and making

    @classmethod
    def open(cls, path: Path, engine: Engine | None = None) -> Case:
        """Open a case by its folder or its `draft.json`. Errors: `CaseError` where it isn't one."""
        folder = path.parent if path.name in (DRAFT, RECORD) else path
        if folder.exists() and not folder.is_dir():
            raise CaseError("is not a case.", file=path, remedy=f"Name its folder or its {DRAFT}.")
        try:
            record = Record.model_validate_json((folder / RECORD).read_bytes())
        except FileNotFoundError:
            raise CaseError(
                f"is not a case: {RECORD} is missing.",
                file=path,
                remedy="Make one with: benchtalk draft TALK -o FOLDER",
            ) from None
        except OSError as error:
            why = error.strerror or str(error)
            raise CaseError(f"can't be read: {why}.", file=folder / RECORD, remedy="Check its rights.") from error
        except ValidationError as error:
            raise CaseError(
                f"is not a record of a case: {_fault(error)}.", file=folder / RECORD, remedy="Draft the talk again."
            ) from error
        return cls(folder, record, engine or shipped_engine())

    @classmethod
    def create(
        cls,
        folder: Path,
        talk_files: Sequence[Path],
        *,
        lexicons: Sequence[Path] = (),
        settings: Settings | None = None,
        format: str | None = None,
        engine: Engine | None = None,
    ) -> Case:
        """Copy the talk into the folder and open it; decisions that are there already stay.

        Errors: those of reading the talk, before anything is written.
        """
        engine = engine or shipped_engine()
        talk = engine.read(talk_files, format)
        recordings = []
        folder.mkdir(parents=True, exist_ok=True)
        for number, file in enumerate(talk_files, start=1):
            data = file.read_bytes()
            suffix = "".join(
                letter for letter in file.suffix.lower() if letter.isascii() and (letter.isalnum() or letter == ".")
            )
            copy_name = f"transcript{'' if len(talk_files) == 1 else f'-{number}'}{suffix}"
            write_atomically(folder / copy_name, data)
            recordings.append(Recording(copy_name=copy_name, name=file.name, sha256=hashlib.sha256(data).hexdigest()))
        names = []
        for number, file in enumerate(lexicons, start=1):
            write_atomically(folder / f"lexicon-{number}.csv", file.read_bytes())
            names.append(f"lexicon-{number}.csv")
        record = Record(
            talk=talk.name,
            format=format,
            recordings=tuple(recordings),
            lexicons=tuple(names),
            settings=asdict(settings or Settings()),
        )
        before = _record(folder)
        write_atomically(folder / RECORD, record.model_dump_json(indent=1).encode() + b"\n")
        if before is not None:
            for name in before.copies - record.copies:
                (folder / name).unlink(missing_ok=True)
        return cls(folder, record, engine)

    # ------------------------------------------------------------------ the draft

    @cached_property
    def talk(self) -> Talk:
        """The talk as read from the copies in the folder, under its own name."""
        files = [self.folder / recording.copy_name for recording in self.record.recordings]
        for file in (*files, *self.lexicons):
            if file.is_symlink():
                raise CaseError("is a link out of the case.", file=file, remedy="Draft the talk again.")
        talk = self.engine.read(files, self.record.format)
        names = {
            name: recording.name
            for file, recording in zip(files, self.record.recordings, strict=True)
            for name in (str(file), file.name)
        }
        warnings = tuple(
            entry.model_copy(update={"file": names.get(entry.file, entry.file)}) for entry in talk.warnings
        )
        return talk.model_copy(update={"name": self.record.talk, "warnings": warnings})

    def drafted_at(self) -> int:
        """When the talk was last drafted into the folder (nanoseconds, for comparing only)."""
        return (self.folder / RECORD).stat().st_mtime_ns

    @property
    def lexicons(self) -> list[Path]:
        """The user's own tables that the case was drafted with."""
        return [self.folder / name for name in self.record.lexicons]

    @cached_property
    def base(self) -> Draft:
        """The draft without any decision."""
        return self._make({}, {})

    def outcome(self, lines: Lines[Decision] | None = None) -> Outcome:
        """The draft with all decisions applied, and what became of each."""
        lines = lines or self.log.read()
        if self._latest is None or self._latest[0] != lines.version:
            outcome = reviewed(self.base, lines.records, self._make)
            self._latest = (lines.version, outcome)
        outcome = self._latest[1]
        signed = self.signature()
        if signed != outcome.draft.signed:
            outcome = replace(outcome, draft=outcome.draft.model_copy(update={"signed": signed}))
            self._latest = (lines.version, outcome)
        return outcome

    def recompute(self) -> Draft:
        """The draft as it is now, from the transcript and the decisions."""
        return self.outcome().draft

    def draft_at(self, version: int) -> Draft:
        """The draft as it was when the log had `version` lines; as it is now for any later number."""
        lines = self.log.read()
        if version >= lines.version:
            return self.outcome(lines).draft
        newer = len(lines.since(version))
        return reviewed(self.base, lines.records[: len(lines.records) - newer], self._make).draft

    def _make(self, corrections: Mapping[str, str], roles: Mapping[str, Role]) -> Draft:
        return self.engine.draft(self.talk, self.lexicons, Settings(**self.record.settings), corrections, roles)

    # ------------------------------------------------------------------ deciding

    def decide(self, decision: Decision, *, seen: int | None = None) -> Outcome:
        """Confirm a decision, then write the documents anew.

        `seen` is the version of the log that the reviewer had before the eyes. Errors: `Clash` where
        somebody else decided on the same thing since; `CaseError` where the disk refuses.
        """

        def check(lines: Lines[Decision]) -> None:
            theirs = tuple(other for other in lines.since(seen or 0) if other.subjects & decision.subjects)
            if seen is not None and theirs:
                raise Clash(theirs)

        lines = self.log.read()
        trial = reviewed(self.base, (*lines.records, decision), self._make)
        if decision in trial.unplaced and (seen is None or seen == lines.version):
            raise CaseError("that does not fit what it was decided on.", remedy="Look at the place and decide again.")
        version = self.log.append(decision, check=check)
        if version == lines.version + 1:
            self._latest = (version, trial)
        return self.write()

    def write(self) -> Outcome:
        """Write the draft and its documents as they are now."""
        while True:
            lines = self.log.read()
            outcome = self.outcome(lines)
            documents = self.engine.write(outcome.draft)
            with self.log.locked():
                # Where another process has confirmed more meanwhile, older documents must not cover its.
                if self.log.read().version == lines.version:
                    remove_stale_parts(self.folder)
                    for name, data in documents.items():
                        write_atomically(self.folder / name, data)
                    return outcome

    # ------------------------------------------------------------------ signing

    def signature(self) -> SignOff | None:
        """The last signature, or null."""
        return next(reversed(self._signatures.read().records), None)

    def keep_signature(self, signed: SignOff, version: int) -> None:
        """Keep a signature on the decisions up to `version`. Errors: `Clash` if there are newer ones."""

        def check(lines: Lines[SignOff]) -> None:
            newer = self.log.read().since(version)
            if newer:
                raise Clash(newer)

        self._signatures.append(signed, check=check)
        self.write()


def update(
    talk_files: Sequence[Path],
    folder: Path,
    *,
    lexicons: Sequence[Path] = (),
    settings: Settings | None = None,
    format: str | None = None,
    engine: Engine | None = None,
) -> tuple[Draft, CaseChange]:
    """Draft a talk into its case folder. An existing case keeps its decisions, applied to the talk as it is now.

    Errors: those of reading the talk; the case is then untouched.
    """
    before, old_hashes = _drafted(folder)
    case = Case.create(folder, talk_files, lexicons=lexicons, settings=settings, format=format, engine=engine)
    outcome = case.write()
    old, new = _step_texts(before), _step_texts(outcome.draft)
    reworded = _reworded(old, new)
    states = [entry.state for entry in outcome.placed]
    change = CaseChange(
        created=before is None,
        transcript_changed=old_hashes != [recording.sha256 for recording in case.record.recordings],
        kept=states.count("placed"),
        fulfilled=states.count("fulfilled"),
        unplaced=outcome.unplaced,
        steps_changed=reworded,
        steps_new=tuple(text for text in new if text not in {*old, *(now for _, now in reworded)}) if before else (),
        steps_gone=tuple(text for text in old if text not in {*new, *(was for was, _ in reworded)}),
        signature=signature_state(outcome.draft, case),
    )
    return outcome.draft, change


def _step_texts(draft: Draft | None) -> list[str]:
    return [step.text for step in (*draft.steps, *draft.refit)] if draft else []


def _reworded(old: Sequence[str], new: Sequence[str]) -> tuple[tuple[str, str], ...]:
    """Steps that stand at the same place in other words, as (was, now)."""
    pairs: list[tuple[str, str]] = []
    for tag, first, last, start, end in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if tag == "replace" and last - first == end - start:
            pairs += zip(old[first:last], new[start:end], strict=True)
    return tuple((was, now) for was, now in pairs if was not in new and now not in old)


def catch_up(folder: Path) -> None:
    """Write the documents anew where a decision or signature was kept and the program ended before it could.

    Does nothing in a folder that is no case.
    """
    try:
        drafted = (folder / DRAFT).stat().st_mtime_ns
    except OSError:
        return
    logs = [folder / name for name in (DECISIONS, SIGNATURES)]
    if (folder / RECORD).exists() and any(log.exists() and log.stat().st_mtime_ns >= drafted for log in logs):
        Case.open(folder).write()


def shipped_engine() -> Engine:
    """The program's own stages, imported only now because they are heavy."""
    import reports
    from extract import lexicon, pipeline, transcripts

    def read(files: Sequence[Path], format: str | None) -> Talk:
        return transcripts.read_joined(files, format=format)

    @lru_cache(maxsize=2)
    def words(*tables: tuple[Path, int]) -> lexicon.Lexicon:
        return lexicon.load(*(path for path, _ in tables))

    def draft(
        talk: Talk,
        lexicons: Sequence[Path],
        settings: Settings,
        corrections: Mapping[str, str],
        roles: Mapping[str, Role],
    ) -> Draft:
        known = words(*((path, path.stat().st_mtime_ns) for path in lexicons))
        return pipeline.draft(talk, lexicon=known, settings=settings, corrections=corrections, roles=roles)

    def write(draft: Draft) -> Mapping[str, bytes]:
        return reports.write_case_files(draft, signature=signature_state(draft))

    return Engine(read=read, draft=draft, write=write)


def _record(folder: Path) -> Record | None:
    try:
        return Record.model_validate_json((folder / RECORD).read_bytes())
    except (OSError, ValidationError):
        return None


def _drafted(folder: Path) -> tuple[Draft | None, list[str]]:
    """The draft that the folder holds and the hashes of its recordings; null and none for a new case."""
    record = _record(folder)
    try:
        draft = Draft.model_validate_json((folder / DRAFT).read_bytes())
    except (OSError, ValidationError):
        return None, []
    return (draft, [recording.sha256 for recording in record.recordings]) if record else (None, [])


def _fault(error: ValidationError) -> str:
    first = error.errors(include_url=False, include_input=False)[0]
    if first["type"] == "json_invalid":
        return "it is not JSON"
    where = ".".join(str(part) for part in first["loc"])
    return f"“{where}” is missing" if first["type"] == "missing" else f"“{where}”: {first['msg']}"


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def _short(decision: Decision) -> str:
    words = decision.about.label or decision.about.message or decision.about.id
    return words if len(words) <= 80 else words[:79] + "…"
