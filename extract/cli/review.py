"""`benchtalk review`, `points`, `settle`, `sign-off`: going through the open points of a case."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

CasePath = Annotated[Path, typer.Argument(metavar="CASE", help="Case folder or its draft.json.")]
By = Annotated[str | None, typer.Option("--by", help="Who decides; default: the name of the account.")]


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command(name="review")(review)
    app.command(name="points")(points)
    app.command(name="settle")(settle)
    app.command(name="sign-off")(sign_off)


def review(
    case: CasePath,
    film: Annotated[
        Path | None, typer.Option("--film", help="The film or its sound; default: film.* in the case folder.")
    ] = None,
    by: By = None,
    port: Annotated[int, typer.Option("--port", min=0, max=65535, help="0 takes a free one.")] = 0,
    host: Annotated[
        str, typer.Option("--host", help="Address to answer on. Any but the default opens the case to the network.")
    ] = "127.0.0.1",
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open the page in the browser.")] = True,
) -> None:
    """Go through the open points in the browser. The procedure and the film stand beside them."""
    import webbrowser

    from extract.errors import MissingExtraError
    from extract.review.case import Case

    try:
        from extract.review.serve import serve
    except ModuleNotFoundError as error:
        if (error.name or "").partition(".")[0] not in ("starlette", "uvicorn"):
            raise
        raise MissingExtraError("The review page", "review") from error
    opened = Case.open(case)
    opened.write()

    def ready(address: str) -> None:
        typer.echo(f"The review is open at {address}\nStop it with Ctrl+C; everything decided is kept at once.")
        if host != "127.0.0.1":
            typer.echo("Everybody on the network who has this address can decide and read the talk.", err=True)
        if browser:
            webbrowser.open(address)

    serve(opened, reviewer=_name(by), film=film, host=host, port=port, ready=ready)


#: How many points are open, in words, by severity.
_LEFT = {"stop": "to settle before sign-off", "check": "to check", "info": "for information"}


def points(
    case: CasePath,
    severity: Annotated[
        str | None, typer.Option("--severity", help="Only stop (settle before sign-off), check, or info (remark).")
    ] = None,
    every: Annotated[bool, typer.Option("--all", help="Settled points too.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document instead of text.")] = False,
) -> None:
    """List the open points. Each says what is asked, where, and what to choose from."""
    import json

    from extract.errors import CaseError
    from extract.review.case import Case
    from extract.review.describe import SEVERITIES, describe
    from extract.review.desk import lay_out

    if severity is not None and severity not in SEVERITIES:
        raise CaseError(f"--severity {severity!r} is not known.", remedy=f"Choose one of {', '.join(SEVERITIES)}.")
    opened = Case.open(case)
    lines = opened.log.read()
    desk = lay_out(opened.outcome(lines), lines)
    chosen = [p for p in desk.points if (every or p.open) and severity in (None, p.severity)]
    labels = {step.id: f"step {step.number}" for step in desk.draft.steps}
    labels |= {step.id: f"step R{step.number}" for step in desk.draft.refit}
    if as_json:
        found = [
            {
                "id": p.id,
                "code": p.code,
                "severity": p.severity,
                "state": "open" if p.open else "settled",
                "message": p.message,
                "place": labels.get(p.place),
                "time": p.said.time if p.said else None,
                "words": p.said.words if p.said else None,
                "suggestions": [{"number": n, "text": text, "why": why} for n, text, why in p.suggestions],
                "decision": p.decision.text if p.decision else None,
            }
            for p in chosen
        ]
        lost = [{"id": d.id, "by": d.by, "decision": d.text} for d in desk.unplaced]
        bad = [{"line": entry.line, "why": entry.why} for entry in desk.bad_lines]
        typer.echo(json.dumps({"points": found, "unplaced": lost, "unreadable": bad}, ensure_ascii=False, indent=1))
    else:
        for p in chosen:
            where = ", ".join(filter(None, (labels.get(p.place, "before the first step"), p.said and p.said.time)))
            typer.echo(f"{p.id}  {p.severity_word}  {where}\n    {p.message}")
            if p.said:
                typer.echo(f"    Said: {p.said.words}")
            for number, text, why in p.suggestions:
                typer.echo(f"    {number}  {text}" + (f" ({why})" if why else ""))
            if p.decision:
                typer.echo(f"    Settled: {p.decision.text} ({p.decision.by}, {p.decision.id})")
        shown = {p.decision.id for p in chosen if p.decision} | {d.id for d in desk.unplaced}
        for record in lines.records if every else ():
            if record.id not in shown:
                typer.echo(f"{record.id}  decided: {record.about.label}: {describe(record)} ({record.by})")
        for d in desk.unplaced:
            typer.echo(f"{d.id}  has lost its place: {d.text} ({d.by})")
        for entry in desk.bad_lines:
            typer.echo(f"{opened.log.path}, line {entry.line} {entry.why}. It has no effect.", err=True)
        typer.echo("Open: " + ", ".join(f"{n} {_LEFT[key]}" for key, n in desk.left.items()))


def settle(
    case: CasePath,
    thing: Annotated[
        str,
        typer.Argument(
            metavar="ID",
            help="A point; or a step (its id or number: 5, R5), part, joint, utterance, section, decision, or title.",
        ),
    ],
    take: Annotated[int | None, typer.Option("--take", help="Take this suggestion of the point.")] = None,
    words: Annotated[str | None, typer.Option("--words", help="How the whole utterance should read.")] = None,
    accept: Annotated[str | None, typer.Option("--accept", help="Fine as it is, for this reason.")] = None,
    role: Annotated[str | None, typer.Option("--role", help="What the utterance is for.")] = None,
    quantity: Annotated[str | None, typer.Option("--quantity", help="How many; needs --source.")] = None,
    tightening: Annotated[
        str | None, typer.Option("--tightening", help='Such as "25 Nm + 90°"; needs --source.')
    ] = None,
    part_number: Annotated[str | None, typer.Option("--part-number", help="To order by; needs --source.")] = None,
    source: Annotated[str, typer.Option("--source", help="Who or which document says so.")] = "",
    ends_with: Annotated[str | None, typer.Option("--ends-with", help="Last step of a condition; empty: none.")] = None,
    put_back: Annotated[str | None, typer.Option("--put-back", help="How the refit undoes the step.")] = None,
    text: Annotated[
        str | None, typer.Option("--text", help="How the step, the section's heading or the title should read.")
    ] = None,
    drop: Annotated[str | None, typer.Option("--drop", help="Take the step out, for this reason.")] = None,
    undo: Annotated[bool, typer.Option("--undo", help="Take the decision of this ID back.")] = False,
    by: By = None,
) -> None:
    """Settle one point, or correct one thing."""
    from extract.cli.explain import step_id
    from extract.errors import CaseError
    from extract.review import answers
    from extract.review.case import Case
    from extract.review.describe import describe

    opened = Case.open(case)
    draft, who = opened.recompute(), _name(by)
    thing = step_id(draft, thing)

    ways = {
        "--take": (take, lambda: answers.take(draft, thing, take or 0, who)),
        "--words": (words, lambda: answers.words(draft, thing, words or "", who)),
        "--accept": (accept, lambda: answers.accept(draft, thing, accept or "", who)),
        "--role": (role, lambda: answers.role(draft, thing, role or "", who)),
        "--quantity": (quantity, lambda: answers.quantity(draft, thing, quantity or "", source, who)),
        "--tightening": (tightening, lambda: answers.tightening(draft, thing, tightening or "", source, who)),
        "--part-number": (part_number, lambda: answers.part_number(draft, thing, part_number or "", source, who)),
        "--ends-with": (ends_with, lambda: answers.scope(draft, thing, ends_with, who)),
        "--put-back": (put_back, lambda: answers.put_back(draft, thing, put_back or "", who)),
        "--text": (text, lambda: answers.edit(draft, thing, text or "", who)),
        "--drop": (drop, lambda: answers.drop(draft, thing, drop or "", who)),
        "--undo": (undo or None, lambda: answers.take_back(opened.log.read().records, thing, who)),
    }
    chosen = [make for value, make in ways.values() if value is not None]
    if len(chosen) != 1:
        raise CaseError(
            "one way of settling is needed." if not chosen else "only one way of settling at a time.",
            remedy=f"Give one of {', '.join(ways)}.",
        )
    decision = chosen[0]()
    outcome = opened.decide(decision)
    left = sum(flag.state == "open" for flag in outcome.draft.flags)
    typer.echo(f"{decision.id}  {describe(decision)}\n{left} open")


def sign_off(
    case: CasePath, by: Annotated[str, typer.Option("--by", help="Name of the one who compared it with the film.")]
) -> None:
    """Sign a procedure in which nothing must be settled any more."""
    from extract.review.case import Case
    from extract.review.signoff import sign

    signed = sign(Case.open(case), by)
    typer.echo(f"Signed by {signed.by}, {signed.at}\n{signed.hash}")


def _name(by: str | None) -> str:
    import getpass

    name = " ".join((by or "").split())[:80]
    if name:
        return name
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return "reviewer"
