"""What settings change in an answer, in sentences: places, evidence, reserves, exceptions. Silent where they change nothing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from rigmargin.judge.by_settings import KEPT, asks, unused
from rigmargin.judge.finding import Finding, Report
from rigmargin.report import names, words
from rigmargin.report.standing import accepted, place
from rigmargin.spec import schema
from rigmargin.spec.problem import printable
from rigmargin.spec.rig import Rig
from rigmargin.spec.settings import Acceptance
from rigmargin.spec.stated import STEPS, conventions

if TYPE_CHECKING:
    from rich.console import Console


TO_THE_LIMIT = "What is advised here goes to the limits themselves: no reserve is taken off it."


def remarks(report: Report, *, advice: bool = False) -> tuple[str, ...]:
    """Everything that settings change in what is said of a rig, a sentence each; none when they change nothing.

    Of ``advice`` it is said that it leaves no reserve.
    """
    blunt = (TO_THE_LIMIT,) if advice and report.rig.settings.reserve else ()
    return (*_said(report.rig, report.findings), *blunt, *map(printable, _unused(unused(report))))


def remarks_on(rig: Rig, findings: Sequence[Finding]) -> tuple[str, ...]:
    """The same of some of its findings."""
    return _said(rig, findings, every=False)


def _said(rig: Rig, findings: Sequence[Finding], *, every: bool = True) -> tuple[str, ...]:
    return tuple(map(printable, (*_read_by(rig), *_reserves(rig, findings, every), *_accepted(rig, findings))))


def _read_by(rig: Rig) -> Iterable[str]:
    settings, stated = rig.settings, rig.get("places")
    if stated and stated.file and stated.value == rig.places == settings.places:
        where = place(settings.origin("places"))
        yield f"The places {', '.join(rig.places)} come from the settings ({where}): the rig's own file states none."
    for name, figure in settings.evidence.items():
        how = "is taken to be rounded to" if name in STEPS else "is taken to be known within"
        yield f"{_title(name)} {how} {figure.text} ({place(figure.origin)}), and not {usual(name)} as by convention."


def _title(name: str) -> str:
    """What a convention is about, in plain words."""
    return str(schema.load(schema.SETTINGS)["properties"]["evidence"]["properties"][name]["title"])


def usual(name: str) -> str:
    """The figure of a convention, as it holds where nothing else is settled."""
    row = conventions()[name]
    return row["increment"] or f"{row['plus_or_minus_percent']} %"


def _reserves(rig: Rig, findings: Sequence[Finding], every: bool) -> Iterable[str]:
    for key, figure in rig.settings.reserve.items():
        short = [words.compared_words(f, rig) for f in findings if f.reserve == figure]
        asked = f"A reserve of {figure.text} is asked for {key} ({place(figure.origin)})"
        if short:
            yield f"{asked}: {len(short)} {'is' if len(short) == 1 else 'are'} within by less: {'; '.join(short)}."
        elif every:
            kept = any(f.verdict in KEPT and asks(key, f) for f in findings)
            yield f"{asked}: {'nothing is within by less' if kept else 'nothing that it is asked for is within'}."


def _accepted(rig: Rig, findings: Sequence[Finding]) -> Iterable[str]:
    for finding in findings:
        if finding.accepted:
            word = words.VERDICT_WORDS[finding.verdict][0]
            yield f"{words.compared_words(finding, rig)} ({word}): {names.uncapital(accepted(finding.accepted))}"


def _unused(exceptions: Iterable[Acceptance]) -> Iterable[str]:
    for each in exceptions:
        what = " ".join(filter(None, (each.rule, each.subject, each.state)))
        yield (
            f"The exception for {what} until {each.until} by {each.by} ({place(each.origin)}) was not used: nothing that is "
            "open fits it, or another goes on for longer. Delete or correct it."
        )


def counts(report: Report) -> tuple[tuple[str, str, int], ...]:
    """What is counted beside the verdicts: mark, words, how many. All of these stay counted by their verdicts too."""
    held = _held(report)
    rows = (
        ("i", "of them within by less than a reserve", held["less_than_reserve"]),
        ("i", "of them open and accepted for a time", held["accepted"]),
        ("i", "of them open and accepted, and whether that day is past cannot be told", held["undated"]),
        ("i", "of them open and no longer accepted", held["expired"]),
    )
    return tuple(row for row in rows if row[2])


def _held(report: Report) -> dict[str, int]:
    standings = [f.accepted.standing for f in report.findings if f.accepted]
    return {
        "less_than_reserve": sum(f.reserve is not None for f in report.findings),
        "accepted": standings.count("in_force"),
        "undated": standings.count("undated"),
        "expired": standings.count("expired"),
        "unused": len(unused(report)),
    }


def fields(report: Report, *, advice: bool = False) -> dict[str, Any]:
    """The same for machines: nothing, or the one field ``settings``."""
    said = remarks(report, advice=advice)
    return {"settings": {"remarks": list(said), **_held(report)}} if said else {}


def fields_on(rig: Rig, findings: Sequence[Finding]) -> dict[str, Any]:
    """The same of some findings."""
    said = remarks_on(rig, findings)
    return {"settings": {"remarks": list(said)}} if said else {}


def show(said: Iterable[str], console: Console) -> None:
    """Print what settings change, where they change anything."""
    from rich.text import Text

    for line in said:
        console.print(Text(f"Settings: {line}"))
