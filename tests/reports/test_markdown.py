from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from extract.model import Draft
from reports import Options
from reports.markdown import escape, write
from reports.text import clean


def test_review_edition(draft: Draft, golden) -> None:
    golden("review.md", write(draft, Options(edition="review"))["procedure.md"])


def test_published_edition_of_one_variant(draft: Draft, golden) -> None:
    golden("threaded.md", write(draft, Options(only=(("shell", "threaded"),)))["procedure.md"])


@given(st.text(max_size=60))
def test_escaped_text_is_shown_as_it_is(text: str) -> None:
    # markdown-it-py (CommonMark) is the outside reader.
    line = clean(text)
    page = MarkdownIt("commonmark").enable("table").parse(escape(line))
    inline = [token for token in page if token.type == "inline"]
    shown = "".join(c.content for token in inline for c in token.children or () if c.type in ("text", "text_special"))
    assert shown == line
    assert {c.type for token in inline for c in token.children or ()} <= {"text", "text_special"}


def test_a_value_said_of_every_joint_names_no_joint_at_its_steps(draft: Draft) -> None:
    first, *rest = draft.torques
    chart = first.model_copy(update={"scope": "all", "stages": (), "value_nm": None, "reference": "chart B"})
    page = write(draft.model_copy(update={"torques": (chart, *rest)}), Options(edition="review"))[
        "procedure.md"
    ].decode()
    assert "**Tighten** to the value in chart B" in page
    assert "**Tighten** crank bolts" not in page
