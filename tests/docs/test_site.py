"""The site is built from the pages by the command they show, leads nowhere wrong, and loads nothing from elsewhere.

Here its HTML is read; ``tests/browser/test_site.py`` opens it.
"""

import re
from html.parser import HTMLParser
from urllib.parse import unquote, urldefrag, urlsplit

import pytest
from docblocks import PAGES, TOP
from markdown_it import MarkdownIt

#: Elements that load what their attribute names, and links in the head that do.
LOADS = {
    "script": "src",
    "img": "src",
    "iframe": "src",
    "source": "src",
    "video": "src",
    "audio": "src",
    "embed": "src",
    "object": "data",
}
LINKS = {"stylesheet", "icon", "preload", "prefetch", "modulepreload", "manifest", "preconnect", "dns-prefetch"}
#: What a page of the site may hold beside the pages: Sphinx's own.
OWN = {"index.html", "search.html", "genindex.html"}


class _Page(HTMLParser):
    """What one page of HTML has and asks for."""

    def __init__(self, text):
        super().__init__()
        self.ids, self.links, self.loaded, self.title = set(), [], [], ""
        self.navigation, self._depth = [], 0
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        found = dict(attributes)
        if "id" in found:
            self.ids.add(found["id"])
        if tag == "a" and "href" in found:
            self.links.append(found["href"])
            if "internal" in (found.get("class") or ""):
                self.navigation.append(found["href"])
        if tag in LOADS and LOADS[tag] in found:
            self.loaded.append(found[LOADS[tag]])
        if tag == "link" and set((found.get("rel") or "").split()) & LINKS:
            self.loaded.append(found["href"])
        self.loaded += re.findall(r"url\(([^)]+)\)", found.get("style") or "")


@pytest.fixture(scope="module")
def html(site):
    """Every page of the site by its path."""
    return {path.relative_to(site).as_posix(): _Page(path.read_text("utf-8")) for path in sorted(site.rglob("*.html"))}


def _page_of(path):
    return path.relative_to(TOP).with_suffix(".html").as_posix()


def test_every_page_is_on_the_site_and_nothing_else(html):
    reports = (TOP / "docs" / "examples").rglob("*.md")
    assert set(html) == {_page_of(path) for path in (*PAGES, *reports)} | OWN


def test_every_page_is_in_the_navigation_of_the_first(site):
    """From the sidebar alone one comes to each page: nothing is found by search only."""
    text = (site / "docs" / "index.html").read_text("utf-8")
    sidebar = text[text.index('class="sidebar-tree"') : text.index('class="main"')]
    listed = {(site / "docs" / urldefrag(unquote(link))[0]).resolve() for link in re.findall(r'href="([^"]+)"', sidebar)}
    expected = {site / _page_of(path) for path in (*PAGES, *(TOP / "docs" / "examples").rglob("*.md"))}
    assert {path.resolve() for path in expected} - listed == {(site / "docs" / "index.html").resolve()}  # the page itself


def test_navigation_has_the_sections_of_the_index_in_order(site):
    index = (TOP / "docs" / "index.md").read_text("utf-8")
    sections = [part.splitlines()[0] for part in index.split("\n## ")[1:] if "](" in part and ".md)" in part]
    captions = re.findall(r'class="caption-text">([^<]+)<', (site / "docs" / "index.html").read_text("utf-8"))
    assert list(dict.fromkeys(captions)) == sections
    assert sections[0] == "Begin" and sections[-1] == "Contributing" and len(sections) == 6


def test_every_link_inside_the_site_leads_to_a_page_and_an_anchor(site, html):
    wrong = []
    for name, page in html.items():
        for link in page.links:
            address, anchor = urldefrag(link)
            if urlsplit(address).scheme or name in OWN:
                continue
            target = (site / name).parent / unquote(address) if address else site / name
            inside = target.resolve().relative_to(site.resolve()).as_posix()
            if not target.exists() or (anchor and inside in html and anchor not in html[inside].ids):
                wrong.append(f"{name}: {link}")
    assert wrong == []


def test_the_first_file_leads_to_the_index(site):
    assert 'url=docs/index.html"' in (site / "index.html").read_text("utf-8")


def test_no_page_loads_anything_from_elsewhere(site, html):
    asked = {address for page in html.values() for address in page.loaded}
    assert asked, "the pages load their own style at least"
    assert [address for address in asked if urlsplit(address).scheme not in ("", "data") or address.startswith("//")] == []
    styles = "\n".join(path.read_text("utf-8") for path in site.rglob("*.css"))
    assert re.findall(r"@import[^;]*;|url\([\"']?(?:https?:)?//[^)]*\)", styles) == []
    scripts = {path.name: path.read_text("utf-8") for path in site.rglob("*.js") if "searchindex" not in path.name}
    assert {
        name for name, text in scripts.items() if re.search(r"(?:fetch|open|importScripts)\([^)]*[\"'](?:https?:)?//", text)
    } == set()


def test_what_would_be_loaded_from_elsewhere_is_seen():
    page = _Page(
        '<script src="https://example.org/a.js"></script><link rel="icon stylesheet" href="//example.org/b.css">'
        '<p style="background: url(c)">'
    )
    assert page.loaded == ["https://example.org/a.js", "//example.org/b.css", "c"]


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.relative_to(TOP).as_posix())
def test_a_page_is_plain_markdown(page):
    """A code host shows the same: no directive or role, no raw HTML but comments, tables whose rows are all alike."""
    text = page.read_text("utf-8")
    assert re.findall(r"^ *(?:```+|~~~+|:::+)\{.*", text, re.MULTILINE) == []
    assert re.findall(r"(?<!`)\{[a-z:]+\}`", text) == []
    tokens = MarkdownIt("commonmark").enable("table").parse(text)
    raw = [token.content for token in tokens if token.type == "html_block"]
    raw += [child.content for token in tokens for child in token.children or () if child.type == "html_inline"]
    assert [part for part in raw if not part.strip().startswith("<!--")] == []
    assert [token.tag for token in tokens if token.type == "heading_open"].count("h1") == 1
    widths = []
    for token in tokens:
        if token.type == "tr_open":
            widths.append(0)
        elif token.type in ("td_open", "th_open"):
            widths[-1] += 1
    rows = [line for line in _outside_fences(text) if line.startswith("|") and not re.fullmatch(r"[|:-]+", line)]
    assert len(widths) == len(rows), "a table begins in the middle of a paragraph, or a row is lost"
    assert [line for line, width in zip(rows, widths, strict=True) if len(re.findall(r"(?<!\\)\|", line)) != width + 1] == []


def _outside_fences(text):
    """The lines that are in no fenced block."""
    inside, lines = False, []
    for line in text.splitlines():
        if line.startswith("```"):
            inside = not inside
        elif not inside:
            lines.append(line)
    return lines
