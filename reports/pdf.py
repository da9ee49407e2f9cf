"""The procedure as PDF for A4, printed from the HTML: tagged (PDF/UA-1), with bookmarks and page numbers."""

from __future__ import annotations

import hashlib

import weasyprint

from extract.model import Draft
from reports import html
from reports.base import Options
from reports.view import view


def write(draft: Draft, options: Options) -> dict[str, bytes]:
    """Write `procedure.pdf`."""
    page = html.render(view(draft, options))
    document = weasyprint.HTML(string=page.decode(), url_fetcher=_only_data)
    return {
        "procedure.pdf": document.write_pdf(pdf_variant="pdf/ua-1", pdf_identifier=hashlib.sha256(page).digest()[:16])
    }


def _only_data(url: str, *args: object, **more: object) -> object:
    """Pictures inside the page, and nothing from the network or the disk."""
    if not url.startswith("data:"):
        raise ValueError(f"not part of the page: {url[:80]}")
    return weasyprint.default_url_fetcher(url, *args, **more)
