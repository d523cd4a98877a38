"""How the pages become a site: ``sphinx-build -W -q -c docs . site`` in the top folder.

The pages are plain Markdown that a code host shows as well, so nothing of Sphinx stands in them. The navigation is made of
the lists of ``index.md``: its sections and their links are the site's.
"""

from __future__ import annotations

import posixpath
import re

from pygments.lexers.special import TextLexer

project = "rigmargin"
html_title = "rigmargin"
author = "the rigmargin contributors"

extensions = ["myst_parser"]
source_suffix = {".md": "markdown"}
include_patterns = ["README.md", "DEVELOPERS.md", "docs/**.md"]
exclude_patterns = [".*", "site", "build"]
root_doc = "docs/index"
html_additional_pages = {"index": "home.html"}  # so that the site's own index.html leads to the pages
templates_path = ["templates"]

myst_heading_anchors = 6  # the anchors that a code host makes of headings

smartquotes = False  # what is typed is what a code host shows, and what is copied

html_theme = "furo"
html_copy_source = False
html_show_search_summary = False  # it is fetched, which a browser refuses to pages opened from a disk
html_show_copyright = False
html_show_sphinx = False
html_static_path = ["static"]
html_css_files = ["site.css"]

_SECTION = re.compile(r"^## (.+)$", re.MULTILINE)
_LINK = re.compile(r"\[([^\]]+)\]\(([^)#\s]+\.md)\)")


def _navigate(app, docname, source):
    """To each page that lists pages, an index, what Sphinx makes the navigation of: a hidden list for each section."""
    if posixpath.basename(docname) != "index":
        return
    _, *parts = _SECTION.split(source[0])
    home = posixpath.dirname(docname)
    for caption, text in zip(parts[::2], parts[1::2], strict=True):
        pages = {
            "/" + posixpath.normpath(posixpath.join(home, to.removesuffix(".md"))): words for words, to in _LINK.findall(text)
        }
        if pages:
            entries = "\n".join(f"{words} <{page}>" for page, words in pages.items())
            source[0] += f"\n```{{toctree}}\n:hidden:\n:caption: {caption}\n\n{entries}\n```\n"


def setup(app):
    """Called by Sphinx."""
    app.connect("source-read", _navigate)
    app.add_lexer("csv", TextLexer)  # a code host knows how to colour it, Pygments does not
    return {"parallel_read_safe": True}
