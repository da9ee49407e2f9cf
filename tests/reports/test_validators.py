"""The documents against the published grammars and checkers of their formats.

DITA: the OASIS document types as Debian's `dita-ot` carries them (DITA 1.2; what is written keeps to that part of
1.3, but for the form of filter values). DocBook 5.0: OASIS RELAX NG from Debian's `docbook5-xml`. WebVTT: the npm
package `webvtt-parser`. Folders: BENCHTALK_DITA_DTD, BENCHTALK_DOCBOOK_RNG and BENCHTALK_NODE_MODULES.
"""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest
from bottom_bracket import bottom_bracket
from every_writer import mapped, outputs

from extract.model import Draft
from reports import Options, Picture

pytestmark = pytest.mark.programs

DITA = Path(os.environ.get("BENCHTALK_DITA_DTD", "/usr/share/dita-ot/dtd"))
DOCBOOK = Path(os.environ.get("BENCHTALK_DOCBOOK_RNG", "/usr/share/xml/docbook/schema/rng/5.0/docbook.rng"))
GRAMMARS = {
    "removal.dita": "machineryIndustry/dtd/machineryTask.dtd",
    "refit.dita": "machineryIndustry/dtd/machineryTask.dtd",
    "lists.dita": "technicalContent/dtd/reference.dtd",
    "procedure.ditamap": "technicalContent/dtd/map.dtd",
}
WEBVTT = """
const { WebVTTParser } = require('webvtt-parser');
const text = require('fs').readFileSync(0, 'utf8');
const found = new WebVTTParser().parse(text, process.argv[1]);
console.log(JSON.stringify(found.errors), found.cues.length);
"""


def empty() -> Draft:
    """A talk of chatter: nothing to write down."""
    draft = bottom_bracket()
    lists = (
        "sections",
        "steps",
        "not_undone",
        "refit",
        "renewals",
        "torques",
        "conditions",
        "cautions",
        "tools",
        "flags",
    )
    return draft.model_copy(update={name: () for name in lists} | {"title": None})


DRAFTS = {
    "the sample": bottom_bracket,
    "markup in every text": lambda: mapped(bottom_bracket(), lambda text: f"<b> & ]]> --> {text}"),
    "no text at all": lambda: mapped(bottom_bracket(), lambda text: ""),
    "nothing to write down": empty,
}


@pytest.fixture(params=DRAFTS)
def any_draft(request: pytest.FixtureRequest) -> Draft:
    return DRAFTS[request.param]()


def options(draft: Draft) -> Options:
    picture = Picture(b"\xff\xd8\xff\xd9", 320, 240, 24.5)
    return Options(pictures={step.id: picture for step in draft.steps[:1]})


@pytest.mark.parametrize("name", GRAMMARS)
def test_dita_is_valid(any_draft: Draft, name: str, tmp_path: Path) -> None:
    files = outputs("dita", any_draft, options(any_draft))
    if f"dita/{name}" not in files:
        assert name == "refit.dita" and not any_draft.refit
        return
    file = tmp_path / name
    file.write_bytes(files[f"dita/{name}"])
    grammar = DITA / GRAMMARS[name]
    assert grammar.is_file(), "install dita-ot or set BENCHTALK_DITA_DTD"
    command = ["xmllint", "--nonet", "--noout", "--huge", "--dtdvalid", str(grammar), str(file)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_docbook_is_valid(any_draft: Draft, tmp_path: Path) -> None:
    file = tmp_path / "procedure.xml"
    file.write_bytes(outputs("docbook", any_draft, options(any_draft))["docbook/procedure.xml"])
    assert DOCBOOK.is_file(), "install docbook5-xml or set BENCHTALK_DOCBOOK_RNG"
    command = ["xmllint", "--nonet", "--noout", "--relaxng", str(DOCBOOK), str(file)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize(
    ("name", "kind"),
    [("chapters", "chapters"), ("captions", "metadata"), ("captions", "subtitles/captions/descriptions")],
)
def test_webvtt_is_valid(any_draft: Draft, name: str, kind: str) -> None:
    data = next(iter(outputs(name, any_draft, Options(chapters="step")).values()))
    modules = os.environ.get("BENCHTALK_NODE_MODULES", "node_modules")
    environment = {**os.environ, "NODE_PATH": modules}
    command = ["node", "-e", WEBVTT, kind]
    done = subprocess.run(command, input=data, capture_output=True, check=False, env=environment)
    assert done.returncode == 0, done.stderr.decode()
    errors, count = done.stdout.decode().split()
    assert errors == "[]"
    assert int(count) == data.count(b" --> 0")
