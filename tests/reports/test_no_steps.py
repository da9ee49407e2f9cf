"""A talk in which nothing was found: the documents say so instead of leaving a heading bare."""

from __future__ import annotations

import pytest
from bottom_bracket import bottom_bracket
from every_writer import all_words, outputs

from reports import Options


@pytest.mark.parametrize("edition", ["review", "published"])
@pytest.mark.parametrize("name", ["html", "markdown", "docx", "docbook", "pdf"])
def test_no_steps_is_said_in_words(name: str, edition: str) -> None:
    draft = bottom_bracket().model_copy(
        update={
            "steps": (), "refit": (), "sections": (), "renewals": (), "torques": (), "conditions": (), "cautions": (),
            "tools": (), "flags": (), "not_undone": (), "close_out": (),
        }
    )  # fmt: skip
    words = "".join(all_words(file, data) for file, data in outputs(name, draft, Options(edition=edition)).items())
    assert "No steps." in words
    assert "No refit steps." in words
