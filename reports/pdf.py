"""The procedure as PDF for A4, printed from the HTML: tagged (PDF/UA-1), with bookmarks and page numbers."""

from __future__ import annotations

import hashlib
import logging

import weasyprint
from weasyprint.urls import URLFetcher

from extract.model import Draft
from reports import html
from reports.base import Options
from reports.view import view

# It reports each style rule for screens that paper does not need.
logging.getLogger("weasyprint").setLevel(logging.ERROR)


def write(draft: Draft, options: Options) -> dict[str, bytes]:
    """Write `procedure.pdf`."""
    page = html.render(view(draft, options))
    # Pictures are inside the page; nothing may come from the network or the disk.
    document = weasyprint.HTML(string=page.decode(), url_fetcher=URLFetcher(allowed_protocols={"data"}))
    identifier = hashlib.sha256(page).digest()[:16]
    return {"procedure.pdf": document.write_pdf(pdf_variant="pdf/ua-1", pdf_identifier=identifier)}
