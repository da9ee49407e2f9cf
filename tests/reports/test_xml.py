from __future__ import annotations

from lxml import etree

from extract.model import Draft
from reports import Options
from reports.dita import Filters, write
from reports.docbook import write as write_docbook
from reports.view_model import ConditionView


def condition(value: str, axis: str = "shell", negated: bool = False) -> ConditionView:
    label = f"{'Not' if negated else 'Only'} for {axis}: {value}"
    return ConditionView(f"c-{label}", "variant", axis, (value,), negated, label, "", "")


def test_dita_files(draft: Draft, golden) -> None:
    files = write(draft, Options())
    assert sorted(files) == [
        "dita/lists.dita",
        "dita/procedure.ditamap",
        "dita/refit.dita",
        "dita/removal.dita",
        "dita/variant-shell-press-fit.ditaval",
        "dita/variant-shell-threaded.ditaval",
    ]
    for name in ("removal.dita", "refit.dita", "lists.dita", "procedure.ditamap", "variant-shell-threaded.ditaval"):
        golden(name, files[f"dita/{name}"])


def test_docbook_file(draft: Draft, golden) -> None:
    golden("docbook.xml", write_docbook(draft, Options())["docbook/procedure.xml"])


def test_a_filter_leaves_out_the_other_variant_and_keeps_its_own(draft: Draft) -> None:
    files = write(draft, Options())
    steps = etree.fromstring(files["dita/removal.dita"]).iter("step")
    excluded = etree.fromstring(files["dita/variant-shell-threaded.ditaval"]).xpath("//prop[@action='exclude']")
    out = {f"{prop.get('att')}({prop.get('val')})" for prop in excluded}
    left = [step.get("id") for step in steps if step.get("product") not in out]
    assert left == ["step-1", "step-2", "step-3", "step-4"]


def test_axes_hold_together_and_values_are_alternatives() -> None:
    filters = Filters([condition("threaded"), condition("press-fit"), condition("aluminium", "frame")])
    marks = ("Only for shell: threaded", "Only for frame: aluminium", "Only for shell: press-fit")
    assert filters.product(marks) == "shell(threaded press-fit) frame(aluminium)"
    assert filters.product(("Only if it sticks",)) is None


def test_a_negated_condition_holds_for_every_other_value() -> None:
    filters = Filters([condition("threaded"), condition("threaded", negated=True)])
    assert filters.product(("Not for shell: threaded",)) == "shell(not-threaded)"
    out = {name: etree.fromstring(data).xpath("//prop/@val") for name, data in filters.ditaval().items()}
    assert out == {"shell-threaded": ["not-threaded"], "shell-not-threaded": ["threaded"]}
