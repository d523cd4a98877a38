"""Reports, sheets and records as a browser prints them: the summary first, nothing cut, what is folded unfolded."""

from functools import cache

import pytest
from club_repository import EXAMPLES
from printed import page_texts, squashed

from rigmargin.judge.run import judge
from rigmargin.report import pages, record, sheet
from rigmargin.report.view import view
from rigmargin.spec.rig import load

RIGS = sorted(EXAMPLES.glob("*.yaml"))
#: Every third example, on one of the two papers by turns: to print is slow.
ON_PAPER = [pytest.param(file, ("A4", "Letter")[i % 2], id=file.stem) for i, file in enumerate(RIGS[::3])]


@cache
def _judged(example):
    return judge(load(example))


def _printed(shown, paper, **asked):
    """The text of each page that the browser prints, without blanks."""
    return page_texts(shown.pdf(format=paper, **asked))


@pytest.mark.parametrize(("example", "paper"), ON_PAPER)
def test_a_report_prints_as_a_summary_and_pages_on_which_nothing_is_cut(example, paper, opened):
    report = _judged(example)
    shown, text = view(report), _printed(opened(pages.html(report)), paper)
    summary = [shown.name, shown.headline, "The rig, to scale", *(cure for row in shown.cures[:5] for cure in row.cures)]
    summary += [row.label for row, _ in shown.chart[:3]]
    for said in summary:
        assert squashed(said) in text[0], said
    assert "Findings" not in text[0]
    for row in shown.judged:
        pieces = [row.text, row.how, row.source, *row.notes, *row.cures, *row.evidence, row.basis]
        wanted = [squashed(piece) for piece in pieces]
        assert any(all(piece in page for piece in wanted) for page in text), row.text
    for row, _ in shown.chart:
        assert any(squashed(row.label) in page for page in text)
    for number, page in enumerate(text, 1):
        assert f"page{number}of{len(text)}" in page
        assert squashed(f"{shown.name}: {shown.overall_word}") in page


@pytest.mark.parametrize(("example", "paper"), ON_PAPER)
def test_the_sheet_and_the_record_are_one_page_each(example, paper, opened):
    for page in (sheet.html, record.html):
        assert len(_printed(opened(page(_judged(example))), paper)) == 1, page.__module__


def test_in_a_dark_browser_too_the_paper_is_white(opened):
    page = opened(record.html(_judged(RIGS[0])), scheme="dark")
    page.emulate_media(media="print", color_scheme="dark")
    colours = page.evaluate("[getComputedStyle(document.body).backgroundColor, getComputedStyle(document.body).color]")
    assert colours == ["rgb(255, 255, 255)", "rgb(0, 0, 0)"]
