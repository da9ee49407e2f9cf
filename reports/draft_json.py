"""`draft.json` and its published JSON Schema."""

from __future__ import annotations

import json

from extract.model import SCHEMA, Draft
from reports.base import Options
from reports.select import only_variant


def dumps(draft: Draft) -> bytes:
    """Return `draft.json`: UTF-8, two spaces, the model's key order."""
    return (json.dumps(draft.model_dump(mode="json"), ensure_ascii=False, indent=2) + "\n").encode("utf-8", "replace")


def write(draft: Draft, options: Options) -> dict[str, bytes]:
    """Write the draft itself, of one variant where the options say so."""
    return {"draft.json": dumps(only_variant(draft, options.only) if options.only else draft)}


def schema() -> bytes:
    """Return the JSON Schema (draft 2020-12) of `draft.json`, every contract key required."""
    found = Draft.model_json_schema(mode="serialization", by_alias=True)
    head = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:{SCHEMA.replace('/', ':')}",
        "title": "Draft procedure",
    }
    return (json.dumps(head | _strict({k: v for k, v in found.items() if k != "title"}), indent=2) + "\n").encode()


def _strict(node: object) -> object:
    """Require every key, since the contract has every key present; a default then says nothing."""
    if isinstance(node, list):
        return [_strict(entry) for entry in node]
    if not isinstance(node, dict):
        return node
    properties = node.get("properties")
    is_model = isinstance(properties, dict) and node.get("type") == "object"
    kept = {key: _strict(entry) for key, entry in node.items() if key != "default" or is_model}
    return kept | {"required": sorted(properties)} if is_model else kept


def write_schema(draft: Draft, options: Options) -> dict[str, bytes]:
    """Write the schema that `draft.json` keeps to."""
    return {"draft.schema.json": schema()}
