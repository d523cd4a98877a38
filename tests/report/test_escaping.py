"""What a rig file says stays text in every report."""

import re
from types import SimpleNamespace

import html5lib
import pytest
from markdown_it import MarkdownIt
from markup import without_own_scripts

from rigmargin.report import live, pages
from rigmargin.report.view import view

ALLOWED = {
    "html", "head", "meta", "title", "style", "body", "header", "main", "section", "footer", "h1", "h2", "p", "ul", "ol", "li",
    "dl", "dt", "dd", "div", "span", "strong", "code", "br", "details", "summary", "svg", "rect", "line", "h3", "b", "figure",
    "figcaption", "path", "circle", "text", "data", "form", "label", "select", "option",
}  # fmt: skip


def _elements(text, strict=True):
    parser = html5lib.HTMLParser(namespaceHTMLElements=False, strict=strict)
    return list(parser.parse(text).iter())


def test_html_holds_only_our_own_elements_and_no_script_or_handler(hostile):
    for element in _elements(without_own_scripts(pages.html(hostile))):
        tag = element.tag.rpartition("}")[2] if isinstance(element.tag, str) else "comment"
        assert tag in ALLOWED, tag
        assert not any(name.startswith("on") or name in ("href", "src") for name in element.attrib), element.attrib


def test_html_shows_the_name_as_it_was_written(hostile):
    page = html5lib.parse(pages.html(hostile), namespaceHTMLElements=False)
    assert page.find(".//h1").text == view(hostile).name


def test_the_items_of_a_list_are_escaped_and_stay_apart():
    assert pages.items(["a < b", "</li><li>", "{0} & 'c'"]) == (
        "<li>a &lt; b</li><li>&lt;/li&gt;&lt;li&gt;</li><li>{0} &amp; &#39;c&#39;</li>"
    )


@pytest.mark.parametrize("template", ["report.html", "report.md"])
def test_a_template_that_asks_for_what_there_is_not_fails(template, hostile):
    shown = view(hostile)
    half = SimpleNamespace(**{name: getattr(shown, name) for name in ("name", "overall", "overall_mark", "overall_word")})
    with pytest.raises(AttributeError, match="headline"):
        pages.page(template, half, script=live.script("report.js"))


def test_html_asks_the_network_for_nothing(hostile):
    text = pages.html(hostile)
    styles = text[text.index("<style>") : text.index("</style>")]
    assert "url(" not in styles
    assert "@import" not in styles
    assert "default-src 'none'" in text


def test_markdown_renders_the_name_as_text_on_a_code_host(hostile):
    rendered = MarkdownIt("gfm-like", {"html": True, "linkify": False}).render(pages.markdown(hostile))
    elements = _elements(f"<!doctype html><title>x</title>{rendered}", strict=False)
    tags = {element.tag for element in elements}
    assert tags <= {
        "html",
        "head",
        "title",
        "body",
        "h1",
        "h2",
        "p",
        "strong",
        "em",
        "ul",
        "ol",
        "li",
        "table",
        "thead",
        "tbody",
        "tr",
        "th",
        "td",
    }
    heading = next(element for element in elements if element.tag == "h1")
    assert "".join(heading.itertext()) == " ".join(view(hostile).name.split())


def test_markdown_leaves_nothing_that_a_code_host_turns_into_a_link_or_a_mention(hostile):
    text = re.sub(r"&#[0-9]+;", "", pages.markdown(hostile))  # a character reference opens nothing
    for opening in ("http://", "www.example", "@someone", "#12", ":smile:", "<script", "<img", "<svg"):
        assert opening not in text


def test_every_table_row_keeps_its_number_of_cells(hostile):
    tables = [line for line in pages.markdown(hostile).splitlines() if line.startswith("|")]
    margins = [line.count("|") for line in tables if line.count("|") != 5]
    assert set(margins) == {7}
