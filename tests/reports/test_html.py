from __future__ import annotations

import re

import pytest
from lxml import html as lxml_html

from extract.model import Draft
from reports import Options, write_case_files
from reports.html import css_string, write


def page(draft: Draft, options: Options) -> str:
    return write(draft, options)["procedure.html"].decode()


def without_style(text: str) -> bytes:
    return re.sub(r"<style>.*?</style>", "<style></style>", text, flags=re.S).encode()


def test_review_edition(draft: Draft, golden) -> None:
    golden("review.html", without_style(page(draft, Options(edition="review"))))


def test_published_edition(draft: Draft, golden) -> None:
    golden("published.html", without_style(page(draft, Options())))


def test_one_file_without_network(draft: Draft) -> None:
    text = page(draft, Options(edition="review"))
    tree = lxml_html.fromstring(text)
    assert not tree.xpath("//script | //link | //iframe | //*[@src] | //*[@href]")
    assert "url(" not in text and "@import" not in text


def test_headings_do_not_skip_a_level(draft: Draft) -> None:
    tree = lxml_html.fromstring(page(draft, Options(edition="review")))
    levels = [int(node.tag[1]) for node in tree.iter("h1", "h2", "h3", "h4")]
    assert levels[0] == 1
    assert all(later <= earlier + 1 for earlier, later in zip(levels, levels[1:], strict=False))


def test_open_points_stand_beside_their_step(draft: Draft) -> None:
    tree = lxml_html.fromstring(page(draft, Options(edition="review")))
    step = tree.xpath("//li[@id='s3']")[0].text_content()
    assert "what the extractor pushes against" in step


def test_nothing_said_is_missing_from_the_review_edition(draft: Draft) -> None:
    words = lxml_html.fromstring(page(draft, Options(edition="review"))).text_content()
    assert [s.id for s in draft.segments if s.text not in words] == []


@pytest.mark.parametrize("text", ['"; } body { display: none', "</style><script>", "a\nb", "\\"])
def test_a_title_cannot_end_its_css_string(text: str) -> None:
    inner = str(css_string(text))[1:-1]
    assert not re.search(r'["\n<>;{}]', inner)


def test_case_files(draft: Draft) -> None:
    files = write_case_files(draft)
    assert list(files) == ["draft.json", "draft.md", "draft.html", "renewals.csv", "torques.csv"]


def test_a_point_without_a_step_stands_beside_the_step_told_before_it(draft: Draft) -> None:
    moved = draft.flags[0].model_copy(update={"segments": ("u6",)})
    tree = lxml_html.fromstring(page(draft.model_copy(update={"flags": (moved,)}), Options(edition="review")))
    assert "(film 0:27) The words" in tree.xpath("//li[@id='s3']")[0].text_content()
    assert not tree.xpath("//section[@id='open-points']")
