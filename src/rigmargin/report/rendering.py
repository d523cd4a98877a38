"""Pages and Markdown from Jinja templates, for every kind of answer.

Everything from a rig file is text here: HTML is escaped by Jinja, Markdown by a filter that leaves no character with a
meaning. A field misspelt in a template is an error, not a hole.
"""

from __future__ import annotations

import builtins
import re
from collections.abc import Iterable, Iterator
from functools import cache, lru_cache

import jinja2
from jinja2.utils import htmlsafe_json_dumps
from markupsafe import Markup, escape

from rigmargin.report import bidi

#: What means something in Markdown or HTML anywhere in a line: markup, table edges, mentions, and what code hosts turn into
#: links and pictures (``://``, ``www.``, ``:word:``). A character reference never opens markup.
_SPECIAL = re.compile(r"[\\`*_\[\]<>#|~&@!{}$]|:(?=\S)|(?<=www)\.|^(?:[-+=]|[0-9]+(?=[.)](?:\s|$)))", re.IGNORECASE)

LONGEST_WORD = 60  # letters without a blank that fit on a sheet of paper, in the type of its head
_UNBROKEN = re.compile(rf"\S{{{LONGEST_WORD + 1},}}")


@lru_cache(maxsize=2048)  # labels and authorities come again, in this report and in the next
def markdown_text(text: object) -> str:
    """``text`` as Markdown that renders as itself on a code host: no markup, no link, no table edge, no mention."""
    line = " ".join(str(text).split())
    return bidi.isolated(_SPECIAL.sub(lambda m: "".join(f"&#{ord(c)};" for c in m.group()), line))


def css_text(text: str) -> Markup:
    """A text, or a piece of a page, as the inside of a CSS string: all but letters and digits by their numbers.

    A head of a page breaks its line at blanks only, so what has none is shortened to what fits.
    """
    plain = _UNBROKEN.sub(lambda m: f"{m[0][: LONGEST_WORD - 1]}…", text.unescape() if isinstance(text, Markup) else text)
    return Markup("".join(c if c.isalnum() else f"\\{ord(c):06x}" for c in plain))


def items(lines: Iterable[str]) -> Markup:
    """Texts of one line each as the items of a list, escaped in one go."""
    escaped = str(escape("\n".join(lines))).replace("\n", "</li><li>")
    return Markup(f"<li>{escaped}</li>")


def in_script(data: object) -> Markup:
    """Data as JSON inside a script element: no character of it opens or ends an element."""
    return htmlsafe_json_dumps(data, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


class _Environment(jinja2.Environment):
    """Templates in which a dot means an attribute and nothing else; a misspelt one raises AttributeError."""

    getattr = staticmethod(builtins.getattr)  # type: ignore[assignment]  # in C: a page asks for two thousand


@cache
def _environment(escape: bool) -> jinja2.Environment:
    environment = _Environment(
        loader=jinja2.PackageLoader("rigmargin.report", "templates"),
        autoescape=escape,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters.update(text=markdown_text, items=items, json=in_script, css=css_text)
    return environment


def page(template: str, view_: object, **more: object) -> str:
    """A view rendered by one of the templates, with ``more`` under their names; its ending decides how text is escaped."""
    is_html = template.endswith(".html")
    made = _environment(is_html).get_template(template).render(view=view_, **more)
    return bidi.elements(made) if is_html else made


def stream(template: str, view_: object) -> Iterator[str]:
    """The same in pieces, for pages of many rows."""
    return _environment(template.endswith(".html")).get_template(template).generate(view=view_)
