"""A comparison in words: today's rig beside the rig with each option, and the cheapest that clears what is passed.

Laid out here once as plain text; the terminal, Markdown, HTML and JSON forms only place it.
"""

from __future__ import annotations

import string
from dataclasses import dataclass
from decimal import ROUND_UP, Decimal
from typing import TYPE_CHECKING, Any

from rigmargin import __version__
from rigmargin.advice.compare import DOUBTFUL, MOVED, OPEN, UNMOVED, UNSETTLED, Cheapest, Cost, Decision, Scenario, by_key
from rigmargin.judge.finding import VERDICTS, Finding, Report
from rigmargin.report import by_settings, words
from rigmargin.report.display import UP, Display, display, file_name
from rigmargin.report.forms import forms
from rigmargin.report.json import numbers
from rigmargin.spec.problem import printable
from rigmargin.spec.rig import Rig

if TYPE_CHECKING:
    from rich.console import Console

SHOWN = 6  # scenarios beside today in the table of margins
OUTCOMES = {  # of what no option clears: the most that any does for it
    UNMOVED: "No option moves this one:",
    MOVED: "Some move this one, and none far enough:",
    OPEN: "With some it would have to be weighed or looked up anew, and none clears it for certain:",
}
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


def view(decision: Decision, system: str = "rig") -> CompareView:
    """The comparison in the units of ``system``."""
    rig = decision.today.rig
    shown, letters = display(rig, system), _letters(decision)
    columns = _columns(decision)
    limits = _limits(decision, columns, shown)
    return CompareView(
        name=printable(rig.name),
        file=printable(file_name(rig)),
        headline=printable(words.headline(decision.today, shown)),
        answers=tuple(map(printable, _answers(decision, shown, letters))),
        options=tuple(
            OptionRow(letters[o.name], printable(o.name), _money(o.currency, o.cost), printable(o.note))
            for o in decision.considered.options
        ),
        columns=tuple(_label(s, letters) for s in columns),
        limits=limits,
        legend=_legend(limits),
        scenarios=tuple(_scenario(s, shown, letters, any(s is c for c in columns)) for s in decision.scenarios),
        remarks=tuple(map(printable, _remarks(decision, letters))),
        settings=by_settings.remarks(decision.today),
        cautions=CAUTIONS,
        version=__version__,
    )


def _letters(decision: Decision) -> dict[str, str]:
    """A letter for each option; after the alphabet, numbered ones."""
    letters = string.ascii_uppercase
    return {o.name: letters[i % 26] + (str(i // 26) if i >= 26 else "") for i, o in enumerate(decision.considered.options)}


def _label(scenario: Scenario, letters: dict[str, str]) -> str:
    return " + ".join(letters[name] for name in scenario.names)


def _named(scenario: Scenario, letters: dict[str, str]) -> str:
    return " and ".join(f"{letters[name]} ({name})" for name in scenario.names)


def _columns(decision: Decision) -> tuple[Scenario, ...]:
    """The scenarios in the table of margins: the answers, then those of the fewest options, in their own order."""
    answers = [s for c in (decision.clears_failing, decision.clears_all) for s in (*c.priced, *c.unpriced)]
    chosen = list({id(s): s for s in (*answers, *decision.scenarios)}.values())[:SHOWN]
    return tuple(s for s in decision.scenarios if any(s is c for c in chosen))


def _money(currency: str, amount: Decimal | None) -> str:
    return "cost not given" if amount is None else f"{amount} {currency}".rstrip()


def _cost(cost: Cost) -> str:
    known = " + ".join(_money(currency, amount) for currency, amount in cost.sums)
    if not cost.unknown:
        return known or "no cost"
    return f"{known} + cost not given" if known else "cost not given"


def _each(scenario: Scenario) -> str:
    """The cost for each thing cleared, rounded up to a hundredth."""
    single, number = scenario.cost.single, len(scenario.cleared)
    if single is None or not number or not single[0]:
        return ""
    each = str((single[1] / number).quantize(Decimal("0.01"), ROUND_UP)).removesuffix(".00")
    return f"{each} {single[0]} for each of {number} cleared" if number > 1 else ""


# --- the answers -------------------------------------------------------------------------------------------------------


def _answers(decision: Decision, shown: Display, letters: dict[str, str]) -> list[str]:
    rig = decision.today.rig
    if not decision.considered.options:
        return ["The file names no options. Write what you consider under options, each with a change."]
    failing = not decision.nothing_fails
    found: list[str] = []
    if failing:
        found += _cheapest(decision.clears_failing, "clears what is passed today", letters) or _none_clears(
            decision, rig, shown
        )
    else:
        found.append("Nothing is passed today; the options are compared by what they settle and what they pass.")
    if failing or any(f.verdict in DOUBTFUL for f in decision.today.findings):
        found += _cheapest(decision.clears_all, "brings all that can be checked within its limits", letters) or _none_settles(
            decision
        )
    unknown = [f for f in decision.today.findings if f.verdict == "not_checked"]
    always = [f for f in unknown if all(_still_open(s.report, f) for s in decision.scenarios)]
    if always:
        found.append(
            f"{_count(len(always), 'check lacks', 'checks lack')} a figure today and with every option: what passes here may "
            "still fail there. The report lists them and says where each figure is printed."
        )
    return found


def _still_open(report: Report, finding: Finding) -> bool:
    now = by_key(report).get(finding.key)
    return now is not None and now.verdict in UNSETTLED


def _cheapest(cheapest: Cheapest, what: str, letters: dict[str, str]) -> list[str]:
    said = [f"The cheapest that {what}: {_named(s, letters)}, {_cost(s.cost)}." for s in cheapest.priced]
    if len(cheapest.priced) > 1:
        said.append("Costs in different currencies were not compared with each other.")
    for s in cheapest.unpriced:
        also = "also " if cheapest.priced else ""
        said.append(f"{_named(s, letters)} {also}{what}; {_cost(s.cost)}, so it was not ranked.")
    return said


def _none_clears(decision: Decision, rig: Rig, shown: Display) -> list[str]:
    """That nothing clears it, and the limits that say so."""
    said = ["None of these clears what is passed today."]
    said += [f"{OUTCOMES[outcome]} {words.sentence(f, rig, shown)}" for f, outcome in decision.outcomes]
    if not decision.outcomes:
        said.append("Each limit is cleared by some option, but none of those tried clears all without passing another.")
    return said


def _none_settles(decision: Decision) -> list[str]:
    if any(s.clears_failing for s in decision.scenarios):
        return [
            "None brings all that can be checked within its limits: what stays too close, in conflict or open is listed below."
        ]
    return []


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"


def _remarks(decision: Decision, letters: dict[str, str]) -> list[str]:
    if not decision.considered.options:
        return []
    most = min(decision.together, len(decision.considered.options))
    tried = len(decision.scenarios) + len(decision.unusable)
    said = [f"Tried: every permitted combination of up to {_count(most, 'option', 'options')}, {tried} in all."]
    if decision.cut_off:
        said = [
            f"Cut off: the {tried} combinations of the fewest options were tried, and there are more of up to {most}. What is "
            "called the cheapest here is the cheapest of those tried."
        ]
    elif most < len(decision.considered.options):
        said.append("Larger combinations were not tried; --together says how large they may be.")
    said += [f"{letters[a]} and {letters[b]} do not come together: {why}." for a, b, why in decision.apart]
    said += [f"{' + '.join(letters[n] for n in names)} makes no sound rig: {why}" for names, why in decision.unusable]
    return said


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
        "mind": tuple(map(printable, _mind(scenario))),
    }
    return ScenarioRow(
        label=_label(scenario, letters),
        shown=column,
        names=printable(" and ".join(scenario.names)),
        mark=mark,
        word=word,
        verdict=scenario.report.overall,
        cost=_cost(scenario.cost),
        each=_each(scenario),
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


def _mind(scenario: Scenario) -> list[str]:
    """What an owner may overlook."""
    said = []
    if scenario.nobody:
        said.append("Nobody is listed aboard the tow vehicle then. It goes nowhere without a driver, and so clears nothing.")
    if scenario.left_behind:
        said.append(f"It leaves behind what travels today: {', '.join(scenario.left_behind)}.")
    if scenario.set_aside:
        said.append(
            f"{', '.join(scenario.set_aside)} weighed a vehicle or a hitch that is no longer there, so that the loads are "
            "less well known: weigh again before you travel."
        )
    return said


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
        for heading, said in scenario.effects:
            for text in said:
                line(f"{heading}: {text}")
    if len(view_.scenarios) > SHOWN:
        line(f"{len(view_.scenarios)} combinations in all; rigmargin compare FILE --to PATH writes every one.", 0)
    for remark in view_.remarks:
        console.print(Text(remark))
    by_settings.show(view_.settings, console)
    for caution in view_.cautions[:1]:
        console.print(Text(caution, style="dim"))
    console.print()


def _document(decision: Decision) -> dict[str, Any]:
    """The verdict and margin of every check in every scenario, SI."""
    rig = decision.today.rig
    return {
        "compare": 1,
        "rigmargin": __version__,
        "rig": {"name": rig.name, "file": file_name(rig)},
        "options": [
            {"name": o.name, "cost": None if o.cost is None else str(o.cost), "currency": o.currency}
            for o in decision.considered.options
        ],
        "today": {"overall": decision.today.overall, "checks": _checks(decision.today)},
        "scenarios": [
            {
                "options": list(s.names),
                "cost": None if s.cost.unknown else {currency: str(amount) for currency, amount in s.cost.sums},
                "overall": s.report.overall,
                "clears_what_is_passed": s.clears_failing,
                "leaves_all_within": s.clears_all,
                "cleared": [_id(f) for f in s.cleared],
                "newly_passed": [_id(f) for f in s.newly_failing],
                "newly_open": [_id(f) for f in s.newly_unsettled],
                "left_behind": list(s.left_behind),
                "tickets_set_aside": list(s.set_aside),
                "checks": _checks(s.report),
            }
            for s in decision.scenarios
        ],
        "cheapest": {
            "clears_what_is_passed": [list(s.names) for s in decision.clears_failing.priced],
            "leaves_all_within": [list(s.names) for s in decision.clears_all.priced],
        },
        "not_cleared": [{**_id(f), "best": outcome} for f, outcome in decision.outcomes],
        **by_settings.fields(decision.today),
        "together": decision.together,
        "cut_off": decision.cut_off,
        "apart": [{"options": [a, b], "why": why} for a, b, why in decision.apart],
        "unusable": [{"options": list(names), "why": why} for names, why in decision.unusable],
    }


def _id(finding: Finding) -> dict[str, str]:
    return {"rule": finding.rule, "subject": finding.subject, "state": finding.state}


def _checks(report: Report) -> list[dict[str, Any]]:
    return [{**_id(f), "verdict": f.verdict, **numbers(f)} for f in by_key(report).values() if f.verdict != "not_applicable"]


html, markdown, json = forms("compare", view, _document)
