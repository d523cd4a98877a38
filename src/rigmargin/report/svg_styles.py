"""The styles of a page, written into its drawings: WeasyPrint draws an SVG by what stands inside it and no more.

A small cascade over the page's own style sheet, for the few properties our drawings use. What the page says for print
counts, and so do its custom properties; what it says for screens of a width or a colour scheme does not.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

#: What our drawings are painted with.
PAINT = ("fill", "stroke", "stroke-width", "stroke-dasharray", "font", "font-size", "text-anchor", "opacity", "display")
_SVG = "{http://www.w3.org/2000/svg}svg"
_VARIABLE = re.compile(r"var\(\s*(--[\w-]+)\s*\)")


def inline(page: Any) -> None:
    """Give every element within an SVG of ``page``, a cssselect2 element, the paint that the page's styles give it.

    The page's ``style`` elements are read in order, and are left as they are.
    """
    import cssselect2

    matcher, variables = cssselect2.Matcher(), dict[str, str]()
    for selectors, declared in _rules(page):
        variables.update({name: value for name, value in declared.items() if name.startswith("--")})
        paint = {name: value for name, value in declared.items() if name in PAINT}
        for selector in _compiled(selectors) if paint else ():
            if selector.pseudo_element is None:
                matcher.add_selector(selector, paint)
    for drawing in page.iter_subtree():
        if drawing.etree_element.tag == _SVG:
            for element in drawing.iter_subtree():
                _paint(element, matcher, variables)


def _paint(element: Any, matcher: Any, variables: dict[str, str]) -> None:
    painted: dict[str, str] = {}
    for *_, paint in matcher.match(element):  # weakest first
        painted |= paint
    if painted:
        styles = (f"{name}:{_VARIABLE.sub(lambda m: variables.get(m[1], m[0]), value)}" for name, value in painted.items())
        element.etree_element.set("style", ";".join(styles))


def _compiled(selectors: Any) -> Any:
    import cssselect2

    try:
        return cssselect2.compile_selector_list(selectors)
    except cssselect2.SelectorError:  # a newer selector than the library knows, and none of a drawing's
        return ()


def _rules(page: Any) -> Iterator[tuple[Any, dict[str, str]]]:
    """The rules of every style element: a selector's tokens, and what is declared."""
    import tinycss2

    for element in page.query_all("style"):
        yield from _of(tinycss2.parse_stylesheet(element.etree_element.text or "", skip_comments=True, skip_whitespace=True))


def _of(rules: Any) -> Iterator[tuple[Any, dict[str, str]]]:
    import tinycss2

    for rule in rules:
        if rule.type == "at-rule" and rule.lower_at_keyword == "media" and tinycss2.serialize(rule.prelude).strip() == "print":
            yield from _of(tinycss2.parse_rule_list(rule.content, skip_comments=True, skip_whitespace=True))
        elif rule.type == "qualified-rule":
            declared = tinycss2.parse_blocks_contents(rule.content, skip_comments=True, skip_whitespace=True)
            yield rule.prelude, {d.name: tinycss2.serialize(d.value).strip() for d in declared if d.type == "declaration"}
