from __future__ import annotations

import json
from importlib.resources import files

import jsonschema
import pytest

from extract.model import Draft
from reports.draft_json import dumps, schema


def test_the_schema_in_the_repo_is_current() -> None:
    assert (files("reports") / "draft.schema.json").read_bytes() == schema()


def test_the_schema_is_a_json_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(json.loads(schema()))


def test_a_draft_keeps_to_the_schema(draft: Draft) -> None:
    jsonschema.validate(json.loads(dumps(draft)), json.loads(schema()))


@pytest.mark.parametrize(
    "entry", ["steps", "refit", "renewals", "torques", "conditions", "cautions", "flags", "segments"]
)
def test_every_key_of_an_entry_is_required(draft: Draft, entry: str) -> None:
    data = json.loads(dumps(draft))
    for key in list(data[entry][0]):
        broken = json.loads(dumps(draft))
        del broken[entry][0][key]
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(broken, json.loads(schema()))


def test_a_draft_reads_back_the_same(draft: Draft) -> None:
    assert Draft.model_validate_json(dumps(draft)) == draft
