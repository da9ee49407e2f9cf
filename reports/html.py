"""The procedure as one HTML file: no network, no script, prints on A4; also what the PDF is made from."""

from __future__ import annotations

import base64
import re
from functools import cache
from importlib.resources import files

from jinja2 import Environment, FunctionLoader, Template
from markupsafe import Markup

from extract.model import Draft
from reports.base import Options, Picture
from reports.text import time_code
from reports.view import Paper, view

_LONG = re.compile(r"[^\s\u200b]{60,}")
_PIECE = re.compile(r".{1,30}", re.DOTALL)


def write(draft: Draft, options: Options) -> dict[str, bytes]:
    """Write `procedure.html`."""
    return {"procedure.html": render(view(draft, options))}


def render(paper: Paper) -> bytes:
    """Lay the document out as HTML."""
    css = Markup(_read("procedure.css"))  # our own file, not the talk's words
    page = _template().render(p=paper, review=paper.edition == "review", css=css)
    return (page + "\n").encode()


def css_string(text: str) -> Markup:
    """Return text as a CSS string in which nothing can end the string or the style element."""
    short = text if len(text) <= 100 else text[:99] + "…"
    safe = "".join(c if c.isalnum() or c == " " else f"\\{ord(c):06x} " for c in short)
    return Markup(f'"{safe}"')


def data_url(picture: Picture) -> str:
    """Return a still as a `data:` address."""
    return "data:image/jpeg;base64," + base64.b64encode(picture.jpeg).decode()


def _read(name: str) -> str:
    return (files("reports") / "templates" / name).read_text(encoding="utf-8")


def _breakable(value: object) -> object:
    """Let very long words break: without a place to break, laying out a page can take minutes."""
    if not isinstance(value, str) or isinstance(value, Markup):
        return value
    return _LONG.sub(lambda word: "\u200b".join(re.findall(_PIECE, word.group())), value)


@cache
def _template() -> Template:
    house = Environment(loader=FunctionLoader(_read), autoescape=True, finalize=_breakable)
    house.filters |= {"css_string": css_string, "data_url": data_url, "time_code": time_code}
    return house.get_template("procedure.html.j2")
