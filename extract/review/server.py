"""The review page: one case, served on the loopback address.

Every view is a whole page made here, every decision a plain form; the script only saves the reloading and
adds keys and the film. So what a browser shows is what the case holds, and nothing is kept in the browser.
"""

from __future__ import annotations

import html
import threading
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from urllib.parse import parse_qsl, urlencode

import jinja2
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route

from extract.errors import BenchtalkError, CaseError
from extract.model import Draft
from extract.review import answers
from extract.review.anchors import analysed
from extract.review.case import Case, Clash
from extract.review.decisions import Decision, Undo, in_force
from extract.review.describe import QUESTIONS, SEVERITIES, SEVERITY_HELP, describe
from extract.review.desk import Desk, lay_out, passages, view_of
from extract.review.guard import Guard
from extract.review.signoff import sign

FILM_TYPES = {
    ".mp4": "video/mp4", ".m4v": "video/mp4", ".mov": "video/mp4", ".webm": "video/webm", ".mkv": "video/x-matroska",
    ".ogv": "video/ogg", ".mp3": "audio/mpeg", ".m4a": "audio/mp4", ".wav": "audio/wav", ".ogg": "audio/ogg",
    ".oga": "audio/ogg", ".opus": "audio/ogg", ".flac": "audio/flac", ".aac": "audio/aac",
}  # fmt: skip
STATIC = {"desk.css": "text/css", "desk.js": "text/javascript", "mark.svg": "image/svg+xml"}
MAX_NAME = 80


@dataclass(frozen=True, slots=True)
class Form:
    """Fields of a posted form, all text, each at most 4,000 letters."""

    fields: dict[str, str]

    def get(self, name: str) -> str:
        """A field's text, empty where it is missing."""
        return self.fields.get(name, "")


class Review:
    """The state of one served case. All work on the case happens under one lock."""

    def __init__(self, case: Case, *, reviewer: str, film: Path | None = None) -> None:
        self.case = case
        self.reviewer = reviewer
        self.film = film
        self._lock = threading.Lock()
        self._drafted = case.drafted_at()
        self._shown: tuple[int, Draft] | None = None
        self._before: Draft | None = None

    def desk(self) -> Desk:
        """The page's content as the case is now."""
        with self._lock:
            return self._desk()

    def stamp(self) -> str:
        """Changes whenever anybody decides, signs, or drafts the talk anew."""
        signed = self.case.signature()
        return f"{self.case.log.read().version}.{self.case.drafted_at()}.{signed.at if signed else ''}"

    def decide(self, form: Form, by: str) -> Decision:
        """Confirm what a form asks for, understood on the draft that its page showed. Errors: `CaseError`, `Clash`.

        `over` lists decisions of others that the reviewer has seen (at version `known`) and takes back by this.
        """
        with self._lock:
            self._reopen()
            lines = self.case.log.read()
            seen = _number(form.get("version"), lines.version)
            decision = decision_of(self.case.draft_at(seen), lines.records, form, by)
            theirs = [entry for entry in in_force(lines.records) if entry.id in form.get("over").split()]
            if not theirs:
                self.case.decide(decision, seen=seen)
                return decision
            known = _number(form.get("known"), 0)
            for entry in theirs:
                self.case.decide(answers.undo(entry, by), seen=known)
                known = self.case.log.read().version
            self.case.decide(decision, seen=known)
            return decision

    def sign(self, by: str) -> None:
        """Sign the case. Errors: `CaseError` where it can't be signed yet."""
        with self._lock:
            self._reopen()
            sign(self.case, by)

    def _reopen(self) -> None:
        """Take over the talk where it was drafted anew while the page is open."""
        drafted = self.case.drafted_at()
        if drafted != self._drafted:
            self.case = Case.open(self.case.folder, self.case.engine)
            self._drafted, self._shown = drafted, None

    def _desk(self) -> Desk:
        self._reopen()
        lines = self.case.log.read()
        outcome = self.case.outcome(lines)
        if self._shown is None or self._shown[0] != lines.version:
            self._before = self._shown[1] if self._shown else None
            self._shown = (lines.version, outcome.draft)
        return lay_out(outcome, lines, self._before)


def decision_of(draft: Draft, decisions: tuple[Decision, ...], form: Form, by: str) -> Decision:
    """The decision that a form asks for; its `point` is the flag that it answers besides.

    Errors: `CaseError` in words for the reviewer.
    """
    decision = _asked(draft, decisions, form, by)
    return answers.settling(draft, decision, form.get("point")) if form.get("point") else decision


def _asked(draft: Draft, decisions: tuple[Decision, ...], form: Form, by: str) -> Decision:
    thing, get = form.get("thing"), form.get
    match get("action"):
        case "take":
            return answers.take(draft, thing, int(get("number")) if get("number").isdecimal() else 0, by)
        case "words":
            return answers.words(draft, thing, get("words"), by)
        case "fill":
            return answers.fill(draft, thing, get("words"), by)
        case "accept":
            return answers.accept(draft, thing, get("reason"), by)
        case "role":
            return answers.role(draft, thing, get("role"), by)
        case "quantity":
            return answers.quantity(draft, thing, get("quantity"), get("source"), by)
        case "tightening":
            return answers.tightening(draft, thing, get("value"), get("source"), by)
        case "scope":
            return answers.scope(draft, thing, get("last"), by)
        case "put_back":
            return answers.put_back(draft, thing, get("text"), by, reason=get("reason"))
        case "part_number":
            return answers.part_number(draft, thing, get("number"), get("source"), by)
        case "part_name":
            return answers.part_name(draft, get("was"), get("now"), by)
        case "edit":
            return answers.edit(draft, thing, get("text"), by)
        case "split":
            return answers.split(draft, thing, get("first"), get("second"), by)
        case "merge":
            return answers.merge(draft, thing, get("text"), by)
        case "move":
            return answers.move(draft, thing, get("before"), by)
        case "add":
            return answers.add(draft, thing, get("text"), get("put_back"), by)
        case "drop":
            return answers.drop(draft, thing, get("reason"), by)
        case "document":
            return answers.document(draft, get("field"), get("value"), by)
        case "undo":
            return answers.take_back(decisions, get("decision"), by)
    raise CaseError("the page does not know this answer.", remedy="Reload it.")


def make_app(case: Case, *, reviewer: str, hosts: frozenset[str], film: Path | None = None) -> tuple[Guard, str]:
    """The ASGI app of a case, and the secret that its opening address carries."""
    review = Review(case, reviewer=reviewer, film=film)
    pages = Pages(review)
    app = Starlette(
        routes=[
            Route("/", pages.sheet),
            Route("/points", pages.points),
            Route("/talk", pages.talk),
            Route("/decide", pages.decide, methods=["POST"]),
            Route("/sign", pages.sign, methods=["POST"]),
            Route("/name", pages.name, methods=["POST"]),
            Route("/state", pages.state),
            Route("/film", pages.film),
            Route("/words.vtt", pages.track),
            Route("/static/{name}", pages.static),
        ],
        exception_handlers={404: pages.missing, Exception: pages.failed},
    )
    guard = Guard(app, hosts=hosts)
    return guard, guard.secret


class Pages:
    """The routes. Those that work on the case are plain functions, which Starlette runs in a thread."""

    def __init__(self, review: Review) -> None:
        self.review = review
        self._templates = jinja2.Environment(
            loader=jinja2.PackageLoader("extract.review"),
            autoescape=True,
            trim_blocks=True,
            lstrip_blocks=True,
            undefined=jinja2.StrictUndefined,
        )
        self._templates.globals.update(
            severities=SEVERITIES, severity_help=SEVERITY_HELP, questions=QUESTIONS, roles=answers.ROLES
        )

    # ------------------------------------------------------------------ views

    def sheet(self, request: Request) -> Response:
        """The procedure with its open points."""
        return self._page("sheet.html", request)

    def points(self, request: Request) -> Response:
        """All points, by severity, question and state."""
        query = request.query_params
        chosen = {
            "severity": query.get("severity", "") if query.get("severity") in SEVERITIES else "",
            "code": query.get("code", "")[:MAX_NAME],
            "state": query.get("state") if query.get("state") in ("open", "settled", "all") else "open",
        }
        return self._page("points.html", request, chosen=chosen)

    def talk(self, request: Request) -> Response:
        """The whole talk with search."""
        wanted = " ".join(request.query_params.get("find", "")[:200].split())
        draft = self.review.desk().draft
        hits = [s.id for s in draft.segments if wanted and wanted.casefold() in analysed(s).casefold()]
        return self._page("talk.html", request, find=wanted, hits=hits)

    def state(self, request: Request) -> Response:
        """The stamp of the case, for pages that are open."""
        return JSONResponse({"stamp": self.review.stamp()})

    def missing(self, request: Request, error: Exception) -> Response:
        return PlainTextResponse("There is no such page.\n", 404)

    def failed(self, request: Request, error: Exception) -> Response:
        """A fault of the program: decisions are tried before they are kept, so nothing is lost or half done."""
        return PlainTextResponse("The program failed on this; nothing was kept. Its terminal says more.\n", 500)

    # ------------------------------------------------------------------ decisions

    async def decide(self, request: Request) -> Response:
        """Confirm a decision and go back to where it was made."""
        form = await _form(request)
        return await run_in_threadpool(self._decided, request, form)

    def _decided(self, request: Request, form: Form) -> Response:
        here = _here(form)
        try:
            decision = self.review.decide(form, self._who(request))
        except Clash as clash:
            theirs = [view_of(entry) for entry in clash.theirs if not isinstance(entry.what, Undo)]
            mine = {name: value for name, value in form.fields.items() if name not in ("over", "known")}
            return self._page(
                here["view"] + ".html",
                request,
                status=409,
                open_id=here["open"],
                clash={"theirs": theirs, "mine": mine},
            )
        except BenchtalkError as error:
            return self._page(here["view"] + ".html", request, status=422, open_id=here["open"], problem=str(error))
        said = {"open": here["open"], "done": decision.id, **here["query"]}
        return RedirectResponse(_address(here["view"], said), 303)

    async def sign(self, request: Request) -> Response:
        """Sign the procedure, or say why not."""
        form = await _form(request)

        def signed() -> Response:
            try:
                self.review.sign(form.get("by"))
            except BenchtalkError as error:
                return self._page("sheet.html", request, status=422, problem=str(error), open_id="sign-off")
            return RedirectResponse("/?open=sign-off", 303)

        return await run_in_threadpool(signed)

    async def name(self, request: Request) -> Response:
        """Take the reviewer's name for this browser."""
        form = await _form(request)
        response = RedirectResponse("/", 303)
        name = " ".join(form.get("name").split())[:MAX_NAME]
        if name:
            response.set_cookie("reviewer", name.encode().hex(), httponly=True, samesite="strict", path="/")
        return response

    # ------------------------------------------------------------------ files

    def film(self, request: Request) -> Response:
        """The film or sound, any part of it."""
        film = self.review.film
        if film is None or not film.is_file():
            return PlainTextResponse("There is no film.\n", 404)
        return FileResponse(film, media_type=FILM_TYPES.get(film.suffix.lower(), "application/octet-stream"))

    def track(self, request: Request) -> Response:
        """The talk as captions of the film (WebVTT)."""
        lines = ["WEBVTT", ""]
        for segment in self.review.desk().draft.segments:
            if segment.start_s is None or segment.end_s is None or segment.end_s <= segment.start_s:
                continue
            lines += [f"{_vtt_time(segment.start_s)} --> {_vtt_time(segment.end_s)}"]
            lines += [html.escape(" ".join(analysed(segment).split()), quote=False), ""]
        return PlainTextResponse("\n".join(lines), media_type="text/vtt")

    def static(self, request: Request) -> Response:
        """The page's own script, style and mark."""
        name = request.path_params["name"]
        if name not in STATIC:
            return PlainTextResponse("There is no such file.\n", 404)
        data = (files("extract.review") / "static" / name).read_bytes()
        return Response(data, media_type=STATIC[name], headers={"Cache-Control": "no-cache"})

    # ------------------------------------------------------------------ inside

    def _who(self, request: Request) -> str:
        try:
            name = bytes.fromhex(request.cookies.get("reviewer", "")).decode()
        except ValueError:
            name = ""
        return " ".join(name.split())[:MAX_NAME] or self.review.reviewer

    def _page(
        self,
        template: str,
        request: Request,
        *,
        status: int = 200,
        open_id: str | None = None,
        problem: str = "",
        clash: dict | None = None,
        **more: object,
    ) -> Response:
        stamp = self.review.stamp()
        desk = self.review.desk()
        query = request.query_params
        open_id = open_id if open_id is not None else query.get("open", "")[:200]
        who = self._who(request)
        held = in_force(self.review.case.log.read().records)
        mine = next((entry for entry in reversed(held) if entry.by == who), None)
        done = next((entry for entry in held if entry.id == query.get("done")), None) if status == 200 else None
        defaults = {"chosen": {"severity": "", "code": "", "state": "open"}, "find": "", "hits": []}
        film = self.review.film
        steps = [*desk.paper.steps(), *desk.paper.refit]
        page = self._templates.get_template(template).render(
            **(defaults | more),
            view=template.removesuffix(".html"),
            desk=desk,
            stamp=stamp,
            draft=desk.draft,
            paper=desk.paper,
            open_id=open_id,
            point=desk.point(open_id),
            next=desk.neighbour(open_id or None, 1),
            previous=desk.neighbour(open_id or None, -1),
            who=who,
            last=view_of(mine) if mine else None,
            done=describe(done) if done else "",
            done_id=done.id if done else "",
            step_ids={step.id for step in steps},
            fresh_steps=[
                (step.id, step.label) for step in steps if step.id in desk.changes and desk.changes[step.id].fresh
            ],
            held_on=lambda thing: [view_of(entry) for entry in held if thing in entry.subjects],
            passages=passages(desk) if template == "talk.html" else [],
            problem=problem,
            clash=clash,
            film="" if film is None else ("sound" if _is_sound(film) else "film"),
            case_name=self.review.case.record.talk,
        )
        return HTMLResponse(page, status)


async def _form(request: Request) -> Form:
    try:
        pairs = parse_qsl((await request.body()).decode(), keep_blank_values=True, max_num_fields=40)
    except (UnicodeDecodeError, ValueError):
        return Form({})
    return Form({name: value[:4000] for name, value in pairs})


def _number(text: str, otherwise: int) -> int:
    return int(text) if text.isdecimal() and len(text) < 10 else otherwise


def _here(form: Form) -> dict:
    view = form.get("view") if form.get("view") in ("sheet", "points", "talk") else "sheet"
    query = {name: form.get(name) for name in ("find",) if form.get(name)}
    return {"view": view, "open": form.get("open")[:200], "query": query}


def _address(view: str, query: dict[str, str]) -> str:
    return ("/" if view == "sheet" else f"/{view}") + "?" + urlencode({k: v for k, v in query.items() if v})


def _is_sound(film: Path) -> bool:
    return FILM_TYPES.get(film.suffix.lower(), "").startswith("audio/")


def _vtt_time(seconds: float) -> str:
    whole = round(seconds * 1000)
    return f"{whole // 3600000:02}:{whole // 60000 % 60:02}:{whole // 1000 % 60:02}.{whole % 1000:03}"
