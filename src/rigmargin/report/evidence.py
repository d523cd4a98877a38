"""Where figures were read, in words, and what a report's findings rest on."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from rigmargin.judge.finding import Report
from rigmargin.spec.stated import Stated, conventions


def rests_on(report: Report) -> Mapping[str, Stated]:
    """Every figure and word that a finding which speaks of this rig rests on, once, by its path."""
    return {e.stated.path: e.stated for f in report.findings if f.verdict != "not_applicable" for e in f.evidence}


def source_words(stated: Stated, fill: Callable[[str], str] = str) -> str:
    """Where a figure came from and where it stands, such as ``certification label, line 12``; ``fill`` fills its marks."""
    ref = f", {stated.ref}" if stated.ref else ""
    return f"{fill(source_name(stated.source))}{ref}, {place_words(stated)}"


def source_name(source: str) -> str:
    """Where a figure with such a ``source`` came from, such as ``certification label``."""
    return conventions().get(source, {}).get("in words", "source not stated").removeprefix("the ").removeprefix("a ")


def source_rank(stated: Stated) -> int:
    """How well such a source is known beside the others, 1 for the best."""
    rank = conventions().get(stated.source, {}).get("rank")
    return int(rank) if rank else len(conventions())


def place_words(stated: Stated) -> str:
    """Where a figure stands, such as ``line 12``."""
    if not stated.line:
        return stated.file
    return f"line {stated.line} of {stated.file}" if stated.file else f"line {stated.line}"
