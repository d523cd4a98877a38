"""The report of one rig as an HTML page and as Markdown."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rigmargin.advice.what_if import WhatIf
from rigmargin.judge.finding import Report
from rigmargin.report import compare
from rigmargin.report.display import display
from rigmargin.report.drawing import drawing
from rigmargin.report.live import VOCABULARIES, script, units, vocabularies
from rigmargin.report.marks import elements, wanted
from rigmargin.report.regional import explained
from rigmargin.report.rendering import page
from rigmargin.report.view import view
from rigmargin.report.what_if import board

if TYPE_CHECKING:
    from rigmargin.advice.compare import Decision


def html(report: Report, system: str = "rig", what_if: WhatIf | None = None, options: Decision | None = None) -> str:
    """The report as one self-contained HTML page: no network, and everything that is judged can be read without its script.

    With ``what_if`` the script lets its reader set otherwise what is aboard; ``options`` are those of its file, compared.
    """
    with wanted():
        shown = display(report.rig, system)
        made = page(
            "report.html",
            view(report, system),
            drawing=drawing(report, system),
            board=board(what_if, report.rig, shown, report.findings) if what_if else None,
            options=compare.view(options, system) if options else None,
            units=units(shown),
            vocabularies=vocabularies(shown.words),
            regions=VOCABULARIES,
            explained=explained(),
            script=script("report.js"),
        )
    return elements(made)


def markdown(report: Report, system: str = "rig") -> str:
    """The report as Markdown for a code host."""
    return page("report.md", view(report, system))
