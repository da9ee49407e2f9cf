from __future__ import annotations

import json
import re

import pytest
from bottom_bracket import bottom_bracket
from every_writer import NAMES, all_words, outputs
from lxml import etree

from extract.errors import CaseError
from extract.model import Draft
from reports import Options
from reports.draft_json import schema
from reports.select import axes, only_variant, parse_only

SIGN = "Zzyzx"
# Everything in the sample that holds for the press-fit shell only.
PRESS_FIT = {"s5", "r2", "n-bearing", "w2", "c2", "k2", "u9", "f3"}


@pytest.fixture(scope="module")
def marked() -> Draft:
    """The sample with a sign in every text that belongs to the press-fit shell."""

    def mark(node: object, inside: bool = False) -> object:
        if isinstance(node, dict):
            inside = inside or node.get("id") in PRESS_FIT
            words = ("text", "item", "message", "note", "spoken_action")
            return {
                key: f"{value} {SIGN}" if inside and key in words and isinstance(value, str) else mark(value, inside)
                for key, value in node.items()
            }
        return [mark(entry, inside) for entry in node] if isinstance(node, list) else node

    return Draft.model_validate(mark(bottom_bracket().model_dump(mode="json")))


@pytest.mark.parametrize("name", NAMES)
def test_no_word_of_another_variant_survives(marked: Draft, name: str) -> None:
    files = outputs(name, marked, Options(only=(("shell", "threaded"),)))
    words = "\n".join(all_words(file, data) for file, data in files.items())
    assert SIGN not in words
    assert "press-fit" not in words.casefold()


@pytest.mark.parametrize("name", [n for n in NAMES if n not in ("captions", "chapters")])
def test_the_variant_s_own_words_stay(marked: Draft, name: str) -> None:
    files = outputs(name, marked, Options(only=(("shell", "press-fit"),)))
    assert SIGN in "\n".join(all_words(file, data) for file, data in files.items())


def test_steps_are_numbered_anew_and_keep_their_ids(marked: Draft) -> None:
    found = only_variant(marked, (("shell", "press-fit"),))
    assert [(s.number, s.id) for s in found.steps] == [(1, "s1"), (2, "s2"), (3, "s3"), (4, "s5")]
    assert [(s.number, s.id) for s in found.refit] == [(1, "r2"), (2, "r3")]


def test_one_variant_keeps_to_the_schema_and_points_nowhere_else(marked: Draft) -> None:
    import jsonschema

    data = only_variant(marked, (("shell", "threaded"),)).model_dump(mode="json")
    jsonschema.validate(data, json.loads(schema()))
    text = json.dumps(data)
    assert not [gone for gone in PRESS_FIT if f'"{gone}"' in text]


def test_a_decided_variant_needs_no_mark(marked: Draft) -> None:
    page = outputs("markdown", marked, Options(only=(("shell", "threaded"),)))["procedure.md"].decode()
    assert "Edition for shell: threaded" in page
    assert "Only for" not in page


def test_the_other_branch_is_chosen_with_not(marked: Draft) -> None:
    found = only_variant(marked, (("shell", "not press-fit"),))
    assert [s.id for s in found.steps] == ["s1", "s2", "s3", "s4"]


def with_year(text: str, negated: bool = False) -> Draft:
    draft = bottom_bracket()
    first = draft.conditions[0].model_copy(update={"axis": "year", "value": text, "negated": negated})
    return draft.model_copy(update={"conditions": (first, *draft.conditions[1:])})


@pytest.mark.parametrize(
    ("value", "year", "kept"),
    [
        ("from 2019", "2019", True),
        ("from 2019 on", "2018", False),
        ("2019 on", "2021", True),
        ("before 2019", "2019", False),
        ("up to 2019", "2019", True),
        ("2015 to 2018", "2017", True),
        ("2015 to 2018", "2019", False),
        ("after 2019", "2019", False),
        ("2019", "2019", True),
    ],
)
def test_a_year_falls_into_its_range(value: str, year: str, kept: bool) -> None:
    assert ("s4" in [s.id for s in only_variant(with_year(value), (("year", year),)).steps]) is kept
    opposite = only_variant(with_year(value, negated=True), (("year", year),))
    assert ("s4" in [s.id for s in opposite.steps]) is not kept


@pytest.mark.parametrize(
    ("choice", "words"),
    [
        (("gearbox", "manual"), "knows: shell"),
        (("shell", "thread"), "threaded, press-fit"),
    ],
)
def test_an_unknown_variant_names_the_known_ones(draft: Draft, choice: tuple[str, str], words: str) -> None:
    with pytest.raises(CaseError, match=words):
        only_variant(draft, (choice,))


def test_two_values_for_one_axis(draft: Draft) -> None:
    with pytest.raises(CaseError, match="Two values"):
        only_variant(draft, (("shell", "threaded"), ("shell", "press-fit")))


@pytest.mark.parametrize("choice", ["shell", "=x", "shell=", ""])
def test_a_choice_that_is_no_pair(choice: str) -> None:
    with pytest.raises(CaseError, match="axis=value"):
        parse_only([choice])


def test_axes_of_the_talk(draft: Draft) -> None:
    assert axes(draft) == {"shell": ["threaded", "press-fit"]}


def filtered(topic: bytes, ditaval: bytes) -> str:
    """What a DITA processor leaves: an element goes when all values of one of its groups are excluded (DITA 1.3)."""
    tree = etree.fromstring(topic)
    out = {(prop.get("att"), prop.get("val")) for prop in etree.fromstring(ditaval).iter("prop")}
    for element in list(tree.iter("*")):
        groups = re.findall(r"(\S+)\(([^)]*)\)", element.get("product", ""))
        if any(all((axis, value) in out for value in values.split()) for axis, values in groups):
            element.getparent().remove(element)
    return etree.tostring(tree, encoding="unicode")


@pytest.mark.parametrize("topic", ["removal.dita", "refit.dita", "lists.dita"])
def test_a_dita_filter_leaves_no_word_of_another_variant(marked: Draft, topic: str) -> None:
    files = outputs("dita", marked, Options())
    text = files[f"dita/{topic}"]
    assert SIGN in text.decode()
    assert SIGN not in filtered(text, files["dita/variant-shell-threaded.ditaval"])
    assert SIGN in filtered(text, files["dita/variant-shell-press-fit.ditaval"])


@pytest.mark.parametrize("variant", ["threaded", "press-fit"])
def test_docbook_profiles_leave_no_word_of_another_variant(marked: Draft, variant: str) -> None:
    tree = etree.fromstring(outputs("docbook", marked, Options())["docbook/procedure.xml"])
    for element in tree.xpath("//*[@condition]"):
        if f"only-for-shell-{variant}" not in element.get("condition").split(";"):
            element.getparent().remove(element)
    assert (SIGN in etree.tostring(tree, encoding="unicode")) is (variant == "press-fit")
