"""Building XML: elements in a line of code, the same bytes each time."""

from __future__ import annotations

import xml.etree.ElementTree as ET

from reports.text import slug

Element = ET.Element


def add(parent: Element, tag: str, text: str | None = None, /, **attributes: str | None) -> Element:
    """Add a child. `id_` and `class_` stand for names that Python keeps; attributes that are None are left out."""
    child = ET.SubElement(parent, tag, {k.rstrip("_"): v for k, v in attributes.items() if v is not None})
    child.text = text
    return child


def serialise(root: Element, doctype: str = "") -> bytes:
    """Return the document as UTF-8, indented, with its document type."""
    ET.indent(root, " ")
    body = ET.tostring(root, encoding="unicode", short_empty_elements=True)
    lead = f"{doctype}\n" if doctype else ""
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{lead}{body}\n'.encode()


def xml_id(label: str) -> str:
    """Return a label as an XML id: "R4" is "step-r4"."""
    return f"step-{slug(label)}"
