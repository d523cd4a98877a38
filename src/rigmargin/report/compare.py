"""A comparison in words: today's rig beside the rig with each option, and the cheapest that clears what is passed.

Laid out here once as plain text; the terminal, Markdown, HTML and JSON forms only place it.
"""

from __future__ import annotations

import string
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rigmargin import __version__
from rigmargin.advice.compare import Decision, Scenario, by_key
from rigmargin.judge.finding import VERDICTS, Finding
from rigmargin.report import by_settings, words
from rigmargin.report import compare_words as said
from rigmargin.report.compare_json import document
from rigmargin.report.display import UP, Display, display, file_name
from rigmargin.report.forms import forms
from rigmargin.report.regional import spoken
from rigmargin.spec.problem import printable

if TYPE_CHECKING:
    from rich.console import Console

SHOWN = 6  # scenarios beside today in the table of margins
CAUTIONS = (
    "An option is judged just as it is written: what its change does not say is taken to stay as it is. A thing that is "
    "fitted has a mass; list it where it sits, or it is not in the sums.",
    "Costs are the owner's own figures.",
    words.CAUTIONS[0],
    words.CAUTIONS[1],
    words.CAUTIONS[2],
)


@dataclass(frozen=True, slots=True)
class OptionRow:
    """One option of the file."""

    letter: str
    name: str
    cost: str
    note: str


@dataclass(frozen=True, slots=True)
class Cell:
    """One check in one scenario."""

    mark: str
    word: str
    verdict: str
    margin: str


@dataclass(frozen=True, slots=True)
class LimitRow:
    """One check, today and in each scenario shown."""

    name: str
    cells: tuple[Cell, ...]

    @property
    def kept(self) -> bool:
        """Whether it is kept today and with every choice shown."""
        return all(cell.verdict in ("within", "at_limit") for cell in self.cells)


@dataclass(frozen=True, slots=True)
class ScenarioRow:
    """One scenario in words."""

    label: str  # letters of its options
    shown: bool  # whether it has a column in the table of margins
    names: str
    mark: str
    word: str
    verdict: str
    cost: str
    each: str  # cost for each thing it clears; empty when it clears nothing or the cost is not known
    effects: tuple[tuple[str, tuple[str, ...]], ...]  # what it does, under plain headings


@dataclass(frozen=True, slots=True)
class CompareView:
    """The whole comparison."""

    name: str
    file: str
    headline: str  # of today's rig
    answers: tuple[str, ...]
    options: tuple[OptionRow, ...]
    columns: tuple[str, ...]  # labels of the scenarios in the table of margins; "today" goes before them
    limits: tuple[LimitRow, ...]
    legend: str  # what the marks in that table mean
    scenarios: tuple[ScenarioRow, ...]
    remarks: tuple[str, ...]  # what was tried, what cannot come together
    settings: tuple[str, ...]  # what settings change; none where they change nothing
    cautions: tuple[str, ...]
    version: str


@spoken(lambda decision: decision.today.rig)
def view(decision: Decision, system: str = "rig") -> CompareView:
    """The comparison, its figures as ``display.display`` gives them."""
    rig = decision.today.rig
    shown, letters = display(rig, system), _letters(decision)
    columns = _columns(decision)
    limits = _limits(decision, columns, shown)
    return CompareView(
        name=printable(rig.name),
        file=printable(file_name(rig)),
        headline=printable(words.headline(decision.today, shown)),
        answers=tuple(map(printable, said.answers(decision, shown, letters))),
        options=tuple(
            OptionRow(letters[o.name], printable(o.name), said.money(o.currency, o.cost), printable(o.note))
            for o in decision.considered.options
        ),
        columns=tuple(said.label(s, letters) for s in columns),
        limits=limits,
        legend=_legend(limits),
        scenarios=tuple(_scenario(s, shown, letters, any(s is c for c in columns)) for s in decision.scenarios),
        remarks=tuple(map(printable, said.remarks(decision, letters))),
        settings=by_settings.remarks(decision.today),
        cautions=CAUTIONS,
        version=__version__,
    )


def _letters(decision: Decision) -> dict[str, str]:
    """A letter for each option; after the alphabet, numbered ones."""
    letters = string.ascii_uppercase
    return {o.name: letters[i % 26] + (str(i // 26) if i >= 26 else "") for i, o in enumerate(decision.considered.options)}


def _columns(decision: Decision) -> tuple[Scenario, ...]:
    """The scenarios in the table of margins: the answers, then those of the fewest options, in their own order."""
    answers = [s for c in (decision.clears_failing, decision.clears_all) for s in (*c.priced, *c.unpriced)]
    chosen = list({id(s): s for s in (*answers, *decision.scenarios)}.values())[:SHOWN]
    return tuple(s for s in decision.scenarios if any(s is c for c in chosen))


# --- the answers -------------------------------------------------------------------------------------------------------


# --- the table of margins ----------------------------------------------------------------------------------------------


def _limits(decision: Decision, columns: tuple[Scenario, ...], shown: Display) -> tuple[LimitRow, ...]:
    """Every check that is made today or in a scenario shown, the worst of today first."""
    reports = [by_key(report) for report in (decision.today, *(s.report for s in columns))]
    rows = []
    for check in dict.fromkeys(check for report in reports for check in report):
        findings = [report.get(check) for report in reports]
        absent = "not_checked" if findings[0] else "not_applicable"  # what was made today is unknown where it cannot be made
        judged = [f for f in findings if f and (f.margin is not None or f.expected) and f.verdict != "note"]
        if judged and any(f.verdict != "not_checked" for f in judged):
            name = words.compared_words(judged[0], decision.today.rig)
            rows.append(LimitRow(printable(name), tuple(_cell(f, absent, shown) for f in findings)))
    return tuple(rows)


def _cell(finding: Finding | None, absent: str, shown: Display) -> Cell:
    verdict = finding.verdict if finding else absent
    word, mark = words.VERDICT_WORDS[verdict]
    return Cell(mark, word, verdict, words.margin_number(finding, shown) if finding else "")


def _legend(rows: tuple[LimitRow, ...]) -> str:
    marks = {cell.mark: cell.word for row in rows for cell in row.cells}
    order = {words.VERDICT_WORDS[v][1]: i for i, v in enumerate(VERDICTS)}
    return "  ".join(f"{mark} {marks[mark]}" for mark in sorted(marks, key=lambda m: order[m]))


# --- one scenario ------------------------------------------------------------------------------------------------------


def _scenario(scenario: Scenario, shown: Display, letters: dict[str, str], column: bool) -> ScenarioRow:
    word, mark = words.VERDICT_WORDS[scenario.report.overall]
    rig = scenario.report.rig

    def sentences(findings: tuple[Finding, ...]) -> tuple[str, ...]:
        return tuple(printable(words.sentence(f, rig, shown)) for f in findings)

    effects = {
        "clears": sentences(scenario.cleared),
        "still passed": sentences(scenario.still_failing),
        "newly passed": sentences(scenario.newly_failing),
        "settles": sentences(scenario.newly_settled),
        "stays open": sentences(scenario.still_doubtful),
        "leaves open": (*sentences(scenario.newly_unsettled), *_not_made(scenario)),
        "also changes": tuple(map(printable, _remarked(scenario, shown))),
        "mind": tuple(map(printable, said.mind(scenario))),
    }
    return ScenarioRow(
        label=said.label(scenario, letters),
        shown=column,
        names=printable(" and ".join(scenario.names)),
        mark=mark,
        word=word,
        verdict=scenario.report.overall,
        cost=said.cost_of(scenario.cost),
        each=said.for_each(scenario),
        effects=tuple((heading, said) for heading, said in effects.items() if said)
        or (("changes", ("no verdict, and nothing that is told beside them",)),),
    )


def _remarked(scenario: Scenario, shown: Display) -> list[str]:
    """What is held against no limit and changes: squat, shares, whatever a rule remarks."""
    before, said = by_key(scenario.today), []
    for check, finding in by_key(scenario.report).items():
        old = before.get(check)
        if finding.verdict != "note" or (old and old.verdict == "note" and _told(old, shown) == _told(finding, shown)):
            continue
        now = words.sentence(finding, scenario.report.rig, shown)
        was = f" Today: {_figure(old, shown)}." if old and old.verdict == "note" and old.load is not None else ""
        said.append(f"{now}{was}")
    return said


def _told(finding: Finding, shown: Display) -> tuple[str, str]:
    """What a reader is told: a change that no digit shows is none."""
    return finding.reason, "" if finding.load is None else _figure(finding, shown)


def _figure(finding: Finding, shown: Display) -> str:
    spread = f" ± {shown.number(finding.uncertainty, finding.dimension, UP)}" if finding.uncertainty else ""
    return f"{shown.number(finding.load or 0.0, finding.dimension)}{spread}"


def _not_made(scenario: Scenario) -> tuple[str, ...]:
    why = "not known then; no weighing speaks of it, or there is no such part."
    return tuple(printable(f"{words.compared_words(f, scenario.today.rig)}: {why}") for f in scenario.not_made)


# --- the forms ---------------------------------------------------------------------------------------------------------


def show(view_: CompareView, console: Console) -> None:
    """Print it on a terminal."""
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    def line(text: str, indent: int = 2) -> None:
        console.print(Padding(Text(text), (0, 0, 0, indent)))

    console.print(Text(view_.name, style="bold"))
    console.print(Text(f"Today: {view_.headline}"))
    for answer in view_.answers:
        console.print(Text(answer, style="bold"))
    for option in view_.options:
        line(f"{option.letter}  {option.name}, {option.cost}{f' ({option.note})' if option.note else ''}")
    if view_.limits and view_.columns:
        grid = Table(box=None, padding=(0, 1, 0, 0), header_style="bold")
        grid.add_column("margin", overflow="fold")
        for column in ("today", *view_.columns):
            grid.add_column(column, justify="right", overflow="fold")
        for row in view_.limits:
            grid.add_row(Text(row.name), *(Text(f"{cell.mark} {cell.margin}".rstrip()) for cell in row.cells))
        console.print(grid)
        console.print(Text(view_.legend, style="dim"))
    for scenario in (s for s in view_.scenarios if s.shown):
        each = f", {scenario.each}" if scenario.each else ""
        console.print(Text(f"{scenario.label}: {scenario.mark} {scenario.word} ({scenario.cost}{each})", style="bold"))
        for heading, texts in scenario.effects:
            for text in texts:
                line(f"{heading}: {text}")
    if len(view_.scenarios) > SHOWN:
        line(f"{len(view_.scenarios)} combinations in all; rigmargin compare FILE --to PATH writes every one.", 0)
    for remark in view_.remarks:
        console.print(Text(remark))
    by_settings.show(view_.settings, console)
    for caution in view_.cautions[:1]:
        console.print(Text(caution, style="dim"))
    console.print()


html, markdown, json = forms("compare", view, document)
