"""Words of a right-to-left script inside our left-to-right sentences: set apart, so that no figure beside them moves.

What a rig file may hold of direction marks is shown as escapes (``spec/problem.py``); these are ours, and made last.
"""

from __future__ import annotations

import re

#: The blocks of the scripts that run from right to left, Unicode 15.1 (bidirectional classes R and AL).
_LETTERS = "\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc\U00010800-\U00010fff\U0001e800-\U0001efff"
#: One such word or several; a digit ends them, so that figures stay where they were written.
_WORDS = re.compile(rf"[{_LETTERS}]+(?:[ '’-]+[{_LETTERS}]+)*")
_ASCII = bytes(range(128))
#: The same outside tags, and outside of what holds no element of HTML.
_IN_HTML = re.compile(rf"<(title|style|script|svg)\b.*?</\1>|<[^>]*>|({_WORDS.pattern})", re.DOTALL)


def isolated(text: str) -> str:
    """A text with such words between the characters that set them apart (U+2068 and U+2069)."""
    return _WORDS.sub("\u2068\\g<0>\u2069", text)


def elements(page: str) -> str:
    """An HTML page with such words in ``bdi`` elements."""
    foreign = page.encode("utf-8", "replace").translate(None, _ASCII).decode("utf-8")  # few of a page's letters, quickly found
    return _IN_HTML.sub(lambda m: f"<bdi>{m[2]}</bdi>" if m[2] else m[0], page) if _WORDS.search(foreign) else page
