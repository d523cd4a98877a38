"""A page of ours as a PDF, by WeasyPrint, which is installed only where somebody asked for it.

Nothing is fetched, and nothing of the clock or the machine is written: the same page gives the same bytes wherever the same
WeasyPrint finds the same fonts. The PDF is tagged, with a title and a language; it claims no standard of accessibility.
"""

from __future__ import annotations

from typing import Any

from rigmargin.report import svg_styles

PAPERS = ("a4", "letter")  # as CSS names them; the first where nothing else is asked for
MISSING = (
    "a PDF needs WeasyPrint, which cannot be used here ({why}): pip install 'rigmargin[pdf]'; it needs the system's Pango too "
    "(Debian and Ubuntu: apt install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0 fonts-dejavu; macOS: brew install "
    "pango). Or write .html and print that"
)


class PrinterMissing(Exception):
    """WeasyPrint or one of the system's libraries under it is not there; says what to install."""


def pdf(html: str, paper: str = PAPERS[0]) -> bytes:
    """One of our HTML pages as a PDF on ``paper``, one of PAPERS. Raises PrinterMissing."""
    printer = _printer()
    closed = printer.urls.URLFetcher(allowed_protocols=())  # its door to files and the network
    page = printer.HTML(string=html, url_fetcher=closed)
    svg_styles.inline(page.wrapper_element)
    size = printer.CSS(string=f"@page {{ size: {paper} }}", url_fetcher=closed)
    written: bytes = page.write_pdf(stylesheets=[size], pdf_tags=True)
    return written


def _printer() -> Any:
    try:
        import weasyprint
    except ImportError:
        raise PrinterMissing(MISSING.format(why="it is not installed")) from None
    except OSError as error:  # its own way to say that a library of the system is not there
        raise PrinterMissing(MISSING.format(why=str(error).partition("\n")[0])) from None
    return weasyprint
