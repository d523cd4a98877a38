"""The two things that templates rely on to keep text as text; that it stays so everywhere is held in a browser."""

from types import SimpleNamespace

import pytest

from rigmargin.report import live, rendering
from rigmargin.report.view import view


def test_the_items_of_a_list_are_escaped_and_stay_apart():
    assert rendering.items(["a < b", "</li><li>", "{0} & 'c'"]) == (
        "<li>a &lt; b</li><li>&lt;/li&gt;&lt;li&gt;</li><li>{0} &amp; &#39;c&#39;</li>"
    )


def test_a_name_without_a_blank_is_shortened_in_the_head_of_a_sheet_of_paper():
    head = str(rendering.css_text(f"{'W' * 80} of {'M' * 60}: over"))
    assert head == f"{'W' * 59}\\002026\\000020of\\000020{'M' * 59}\\002026\\000020over"
    assert str(rendering.css_text("M" * 60)) == "M" * 60


@pytest.mark.parametrize("template", ["report.html", "report.md"])
def test_a_template_that_asks_for_what_there_is_not_fails(template, hostile):
    shown = view(hostile)
    known = ("name", "about", "overall", "overall_mark", "overall_word", "version")
    half = SimpleNamespace(**{name: getattr(shown, name) for name in known})
    with pytest.raises(AttributeError, match="headline"):
        rendering.page(template, half, script=live.script("report.js"))
