"""Signing a reviewed procedure, and telling whether the signature still holds."""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Literal

from extract.errors import CaseError
from extract.model import Draft, SignOff

if TYPE_CHECKING:
    from extract.review.case import Case

SignatureState = Literal["unsigned", "signed", "changed"]

#: How the draft was come by and how sure the program was; none of it is published as an instruction.
_NOT_SIGNED = frozenset({"signed", "made_by", "source", "because", "confidence", "trust", "evidence", "suggestions"})


def content_hash(draft: Draft) -> str:
    """SHA-256 of what a signature covers: the procedure, its lists, the words of the talk and open points."""
    content = _signed_part(draft.model_dump(mode="json"))
    return hashlib.sha256(json.dumps(content, sort_keys=True, ensure_ascii=False).encode()).hexdigest()


def signature_state(draft: Draft, case: Case | None = None) -> SignatureState:
    """Whether the draft is as it was signed. `case` is asked where the draft itself carries no signature."""
    signed = draft.signed or (case.signature() if case is not None else None)
    if signed is None:
        return "unsigned"
    return "signed" if signed.hash == content_hash(draft) else "changed"


def sign(case: Case, by: str) -> SignOff:
    """Sign the case as it stands. Errors: `CaseError` with an open `stop` point or a decision without place."""
    by = " ".join(by.split())
    if not by or len(by) > 80:
        raise CaseError("a signature needs a name of 1 to 80 letters.", remedy="Give it with --by NAME.")
    version = case.log.read().version
    outcome = case.outcome()
    open_stops = [flag for flag in outcome.draft.flags if flag.severity == "stop" and flag.state == "open"]
    if open_stops:
        count = len(open_stops)
        raise CaseError(
            f"can't be signed: {count} point{'s' if count > 1 else ''} must be settled first: "
            + "; ".join(f"{flag.id} {flag.message}" for flag in open_stops[:5])
            + ("; …" if count > 5 else ""),
            file=case.folder,
            remedy="Settle them in `benchtalk review` or with `benchtalk settle`.",
        )
    if outcome.unplaced:
        count = len(outcome.unplaced)
        raise CaseError(
            f"can't be signed: {count} decision{'s' if count > 1 else ''} lost their place when the talk changed: "
            + ", ".join(decision.id for decision in outcome.unplaced[:5]),
            file=case.folder,
            remedy="Decide them again at their new place, and undo the old ones (`benchtalk points` lists them).",
        )
    at = datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
    signed = SignOff(by=by, at=at, hash=content_hash(outcome.draft))
    case.keep_signature(signed, version)
    return signed


def _signed_part(value: object) -> object:
    if isinstance(value, dict):
        return {key: _signed_part(entry) for key, entry in value.items() if key not in _NOT_SIGNED}
    if isinstance(value, list):
        return [_signed_part(entry) for entry in value]
    return value
