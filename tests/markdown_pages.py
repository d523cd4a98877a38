"""Markdown for generated pages: tables, cells and the frame of a page."""

from __future__ import annotations

import textwrap

MADE_BY = "Generated from {} by `python tests/generate.py`."
_CELL = str.maketrans({"|": "\\|", "<": "&lt;", ">": "&gt;", "*": "\\*", "\n": " "})


def cell(text: str) -> str:
    """Text as it may stand in a table."""
    return text.translate(_CELL)


def table(heads: tuple[str, ...], rows: list[tuple[str, ...]]) -> list[str]:
    """A table; what stands in a cell is escaped already."""
    return [_row(heads), "|" + "---|" * len(heads), *map(_row, rows)]


def _row(cells: tuple[str, ...]) -> str:
    return f"| {' | '.join(cells)} |"


def page(title: str, source: str, intro: str, *lines: str) -> str:
    """A whole page: its title, what it is, the rest line by line, and at its end what it was generated from."""
    prose = textwrap.fill(intro, 120, break_long_words=False, break_on_hyphens=False)
    return "\n\n".join((f"# {title}", prose, "\n".join(lines), MADE_BY.format(source))) + "\n"
