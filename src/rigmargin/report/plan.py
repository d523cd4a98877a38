"""A loading plan in words: what to move, leave and drain, what that does to every limit, and what stays unknown.

Laid out here once as plain text; the terminal, Markdown, HTML and JSON forms only place it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rigmargin import __version__
from rigmargin.advice.bench import FAILS, Change
from rigmargin.advice.choices import Option
from rigmargin.advice.every import Hopeless
from rigmargin.advice.influence import checks
from rigmargin.advice.loading_plan import Before, Plan, worst_first
from rigmargin.judge.finding import Finding, Report
from rigmargin.report import by_settings, names, words
from rigmargin.report.display import NEAR, UP, Display, display, file_name
from rigmargin.report.forms import forms
from rigmargin.report.headroom import VEHICLES
from rigmargin.report.plan_json import document
from rigmargin.report.regional import spoken
from rigmargin.spec.problem import printable
from rigmargin.spec.rig import Item, Rig

if TYPE_CHECKING:
    from rich.console import Console

LINES = 8  # of the limits, those a terminal shows
ANSWERS = {
    "as_it_is": "No limit that could be checked is passed or too close to tell: there is nothing to rearrange.",
    "planned": "With these changes every limit that could be checked is kept, its uncertainty included.",
    "impossible": "No loading that the file allows keeps every limit that could be checked.",
    "not_found": "No loading that keeps every limit that could be checked was found. Not every one was tried.",
    "unsettled": "Not settled in the time: no loading that keeps every limit that could be checked was found, and not "
    "every one was tried.",
}
BLIND = "No loading that the file allows is known to keep every limit that could be checked."
STOPPED = "Not settled in the time: with these changes every limit that could be checked is kept, its uncertainty included; a "
STOPPED += "smaller change may do."
SMALLER = " Not every loading was tried: a smaller change may do."
UNMARKED = (
    "The file marks nothing that a plan may change: write may_go_to or may_stay_behind beside a load item, or may_hold beside "
    "a tank."
)
#: What stays open whatever is moved, by verdict: one, and many.
OPEN = {
    "unmet": ("requirement that is not met", "requirements that are not met"),
    "rule_failed": ("check that failed", "checks that failed"),
    "conflict": ("conflict of figures", "conflicts of figures"),
    "not_checked": ("check that could not be made", "checks that could not be made"),
}


@dataclass(frozen=True, slots=True)
class LimitRow:
    """One limit, as it stands and as the plan leaves it."""

    limit: str
    today: str
    then: str


@dataclass(frozen=True, slots=True)
class PlanView:
    """The whole answer."""

    name: str
    file: str
    headline: str  # of the rig as it is
    answer: str
    steps: tuple[str, ...]
    total: str  # empty when nothing is changed
    limits: tuple[LimitRow, ...]
    conflict: str  # what the next lines are; empty when there are none
    obstacles: tuple[str, ...]
    unknown: str
    untried: tuple[str, ...]
    settings: tuple[str, ...]  # what settings change; none where they change nothing
    cautions: tuple[str, ...]
    version: str


@spoken(lambda plan: plan.report.rig)
def view(plan: Plan, system: str = "rig") -> PlanView:
    """The answer in the units of ``system``."""
    rig, shown = plan.report.rig, display(plan.report.rig, system)
    taken, moved = (shown.number(mass, "mass", UP) for mass in (plan.taken, plan.moved))
    return PlanView(
        name=printable(rig.name),
        file=printable(file_name(rig)),
        headline=printable(words.headline(plan.report, shown)),
        answer=_answer(plan),
        steps=tuple(printable(_step(change, rig, shown)) for change in plan.changes),
        total=f"Left behind or drained: {taken}. Moved or filled in: {moved}." if plan.changes else "",
        limits=tuple(_row(both, rig, shown) for both in worst_first(plan.limits)),
        conflict=_conflict(plan),
        obstacles=tuple(
            printable(text)
            for text in (
                *(_hopeless(one, rig, shown) for one in plan.hopeless),
                *_together(plan, shown),
                *(f"{_checked(finding, rig)}." for finding in plan.blind),
            )
        ),
        unknown=_unknown(plan.planned or plan.report),
        untried=tuple(printable(_untried(option, finding, rig)) for option, finding in plan.untried),
        settings=by_settings.remarks(plan.report, advice=True),
        cautions=(
            "A plan knows masses and places, and nothing of whether a thing fits there, can be tied down, or blocks a door. "
            + (
                "Weigh again once it is done: the tickets on file were taken before."
                if rig.weighings
                else "Weigh once it is done."
            ),
            "Keep heavy things low and tie them down. Drain water only where that is allowed.",
            words.CAUTIONS[0],
            words.CAUTIONS[1],
        ),
        version=__version__,
    )


def _answer(plan: Plan) -> str:
    answer = ANSWERS[plan.outcome]
    if plan.outcome == "impossible" and not plan.marked:
        return f"{answer} {UNMARKED}"
    if plan.outcome == "not_found" and plan.every:
        return BLIND
    if plan.outcome == "unsettled" and plan.changes:
        return STOPPED
    return f"{answer}{SMALLER}" if plan.outcome == "planned" and not plan.every else answer


def _together(plan: Plan, shown: Display) -> list[str]:
    """The limits in conflict; where nothing is proved, those that are not kept as the rig stands."""
    today = [f for f in checks(plan.report).values() if f.verdict in FAILS or f in plan.together]
    named = today if _open(plan) else plan.together
    return [
        f"{words.compared_words(f, plan.report.rig)}: {'today' if f in today else 'after a change'} {_margin(f, shown)}."
        for f in named
    ]


def _open(plan: Plan) -> bool:
    """Whether nothing was found and nothing is proved."""
    return plan.outcome in ("not_found", "unsettled") and not plan.every and not plan.changes


def _checked(finding: Finding, rig: Rig) -> str:
    if finding.margin is not None:
        return words.compared_words(finding, rig)
    title = finding.source.title if finding.source else finding.rule
    return f"{title}: {names.subject(finding.subject, rig)}"


def _step(change: Change, rig: Rig, shown: Display) -> str:
    option, item = change.option, change.option.item
    if item.tank:
        verb, mass = ("Drain", option.taken(change.percent)) if option.taken(change.percent) else ("Fill", 0.0)
        mass = mass or option.moved(change.percent)
        to = {0: "until it is empty", 100: "until it is full"}.get(change.percent, f"to {change.percent} % of its volume")
        return f"{verb} {item.name} {to}: {shown.number(mass, 'mass', UP)} {'out' if verb == 'Drain' else 'in'}"
    mass_words = shown.number(option.mass, "mass", NEAR)
    if option.to is None:
        return f"Leave {item.name} behind: {mass_words}"
    to = f"{option.to.name} ({VEHICLES[option.to.vehicle]})"
    return f"Move {item.name} from {_from(item, shown)} to {to}: {mass_words}"


def _from(item: Item, shown: Display) -> str:
    vehicle = item.path.partition(".")[0]
    prefix = f"{vehicle}.stations."
    if item.station is None:
        return f"where it is ({VEHICLES[vehicle]})"
    named = item.station.path.startswith(prefix)
    place = item.station.path.removeprefix(prefix) if named else _distance(item, vehicle, shown)
    return f"{place} ({VEHICLES[vehicle]})"


def _distance(item: Item, vehicle: str, shown: Display) -> str:
    assert item.station is not None
    at = item.station.number
    length = shown.number(abs(at), "length")
    if vehicle == "trailer":
        return f"{length} behind the coupling"
    return f"{length} {'ahead of' if at >= 0 else 'behind'} the rear axle"


def _row(both: Before, rig: Rig, shown: Display) -> LimitRow:
    limit = printable(words.compared_words(both.today, rig))
    other = "" if both.same else f" ({words.compared_words(both.then, rig)})"
    return LimitRow(limit, _margin(both.today, shown), printable(f"{_margin(both.then, shown)}{other}"))


def _margin(finding: Finding, shown: Display) -> str:
    word, mark = words.VERDICT_WORDS[finding.verdict]
    return f"{mark} {word}, {_figures(finding, shown)}"


def _figures(finding: Finding, shown: Display) -> str:
    margin = words.margin_number(finding, shown)
    spread = finding.uncertainty or 0.0
    return f"{margin} ± {shown.number(spread, finding.dimension, UP)}" if spread > 1e-9 else margin


def _conflict(plan: Plan) -> str:
    if plan.hopeless:
        return "Whatever is done with what the file marks, this stays so:"
    if plan.blind:
        return "With some loadings no limit is passed, but this, which is known and holds today, would not any more:"
    if _open(plan):
        return "Not kept as the rig stands:"
    if not plan.together:
        return "Which limits stand in the way was not settled." if plan.outcome == "impossible" else ""
    others = "no smaller set of limits is" if plan.smallest else "without any one of them the others could be; they are"
    return f"These {len(plan.together)} limits cannot all be kept, though each could be by itself; {others} in conflict:"


def _hopeless(one: Hopeless, rig: Rig, shown: Display) -> str:
    said = words.sentence(one.today, rig, shown)
    if one.today.only_a_bound:
        return f"{said} Only a lower bound of the load is known, so that no loading can be shown to keep it."
    if one.at_best is None:
        return f"{said} Nothing that the file marks changes that."
    return f"{said} At best its margin would be {_figures(one.at_best, shown)}."


def _unknown(report: Report) -> str:
    counts = report.counts
    said = [f"{counts[v]} {one if counts[v] == 1 else many}" for v, (one, many) in OPEN.items() if v in counts]
    if not said:
        return "Every check of this rig could be made."
    number = sum(counts[v] for v in OPEN if v in counts)
    return f"Nothing is planned for {', '.join(said)}: the report lists {'it' if number == 1 else 'them'}."


def _untried(option: Option, finding: Finding, rig: Rig) -> str:
    what = f"moving {option.item.name} to {option.to.name}" if option.to else f"leaving {option.item.name} behind"
    what = f"another filling of {option.item.name}" if option.item.tank else what
    lost = words.compared_words(finding, rig)
    return f"Not tried: {what}, because then this could no longer be judged: {names.uncapital(lost)}."


def show(view_: PlanView, console: Console) -> None:
    """Print it on a terminal."""
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    console.print(Text(view_.name, style="bold"))
    console.print(Text(view_.headline))
    console.print(Text(view_.answer, style="bold"))
    for number, step in enumerate(view_.steps, 1):
        console.print(Padding(Text(f"{number}. {step}"), (0, 0, 0, 2)))
    if view_.total:
        console.print(Text(view_.total))
    if view_.limits:
        grid = Table(box=None, padding=(0, 1, 0, 0), header_style="bold")
        for name in ("limit", "margin today", "margin then"):
            grid.add_column(name, overflow="fold")
        for row in view_.limits[:LINES]:
            grid.add_row(Text(row.limit), Text(row.today), Text(row.then))
        console.print(grid)
        if len(view_.limits) > LINES:
            console.print(Text(f"and {len(view_.limits) - LINES} more, kept too."))
    for line in (view_.conflict, *view_.obstacles):
        if line:
            console.print(Padding(Text(line), (0, 0, 0, 0 if line == view_.conflict else 2)))
    for line in (view_.unknown, *view_.untried):
        console.print(Text(line))
    by_settings.show(view_.settings, console)
    for caution in view_.cautions[:2]:
        console.print(Text(caution, style="dim"))
    console.print()


html, markdown, json = forms("plan", view, document)
