"""Cells of CSV files that a spreadsheet would compute, and what keeps it from that: an apostrophe before them."""

from __future__ import annotations

#: How such a cell begins (OWASP, "CSV Injection"); the signs of full width are taken for the others in some languages.
_BEGINS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def guarded(text: str) -> str:
    """A text to go into a CSV file that spreadsheets open: none begins like a formula."""
    return f"'{text}" if text.startswith(_BEGINS) else text


def unguarded(cell: str) -> str:
    """The text of a cell, without the apostrophe that guards it."""
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(_BEGINS) else cell
