"""What a comparison comes to, in sentences: what clears what is passed, at what cost, and what to mind."""

from __future__ import annotations

from decimal import ROUND_UP, Decimal

from rigmargin.advice.compare import DOUBTFUL, MOVED, OPEN, UNMOVED, UNSETTLED, Cheapest, Cost, Decision, Scenario, by_key
from rigmargin.judge.finding import Finding, Report
from rigmargin.report import words
from rigmargin.report.display import Display
from rigmargin.spec.rig import Rig

OUTCOMES = {  # of what no option clears: the most that any does for it
    UNMOVED: "No option moves this one:",
    MOVED: "Some move this one, and none far enough:",
    OPEN: "With some it would have to be weighed or looked up anew, and none clears it for certain:",
}


def label(scenario: Scenario, letters: dict[str, str]) -> str:
    """Its options, by letter."""
    return " + ".join(letters[name] for name in scenario.names)


def named(scenario: Scenario, letters: dict[str, str]) -> str:
    """Its options, by letter and name."""
    return " and ".join(f"{letters[name]} ({name})" for name in scenario.names)


def money(currency: str, amount: Decimal | None) -> str:
    """An amount in its currency, or that none is given."""
    return "cost not given" if amount is None else f"{amount} {currency}".rstrip()


def cost_of(cost: Cost) -> str:
    """A cost in each of its currencies, and whether it is all."""
    known = " + ".join(money(currency, amount) for currency, amount in cost.sums)
    if not cost.unknown:
        return known or "no cost"
    return f"{known} + cost not given" if known else "cost not given"


def for_each(scenario: Scenario) -> str:
    """The cost for each thing cleared, rounded up to a hundredth."""
    single, number = scenario.cost.single, len(scenario.cleared)
    if single is None or not number or not single[0]:
        return ""
    each = str((single[1] / number).quantize(Decimal("0.01"), ROUND_UP)).removesuffix(".00")
    return f"{each} {single[0]} for each of {number} cleared" if number > 1 else ""


def answers(decision: Decision, shown: Display, letters: dict[str, str]) -> list[str]:
    """What clears what is passed and what settles what is open, the cheapest first."""
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
    always = [f for f in unknown if all(still_open(s.report, f) for s in decision.scenarios)]
    if always:
        lacking = words.counted(len(always), "check lacks", "checks lack")
        found.append(
            f"{lacking} a figure today and with every option: what passes here may still fail there. The report lists them and "
            "says where each figure is printed."
        )
    return found


def still_open(report: Report, finding: Finding) -> bool:
    """Whether a check of today is made in a report, and cannot be settled there."""
    now = by_key(report).get(finding.key)
    return now is not None and now.verdict in UNSETTLED


def _cheapest(cheapest: Cheapest, what: str, letters: dict[str, str]) -> list[str]:
    said = [f"The cheapest that {what}: {named(s, letters)}, {cost_of(s.cost)}." for s in cheapest.priced]
    if len(cheapest.priced) > 1:
        said.append("Costs in different currencies were not compared with each other.")
    for s in cheapest.unpriced:
        also = "also " if cheapest.priced else ""
        said.append(f"{named(s, letters)} {also}{what}; {cost_of(s.cost)}, so it was not ranked.")
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


def remarks(decision: Decision, letters: dict[str, str]) -> list[str]:
    """What was tried, what was not, and what does not come together."""
    if not decision.considered.options:
        return []
    most = min(decision.together, len(decision.considered.options))
    tried = len(decision.scenarios) + len(decision.unusable)
    said = [f"Tried: every permitted combination of up to {words.counted(most, 'option', 'options')}, {tried} in all."]
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


def mind(scenario: Scenario) -> list[str]:
    """What an owner may overlook."""
    said = []
    if scenario.nobody:
        said.append(
            "Nobody is listed aboard the {word:tow_vehicle} then. It goes nowhere without a driver, and so clears nothing."
        )
    if scenario.left_behind:
        said.append(f"It leaves behind what travels today: {', '.join(scenario.left_behind)}.")
    if scenario.set_aside:
        said.append(
            f"{', '.join(scenario.set_aside)} weighed a vehicle or a hitch that is no longer there, so that the loads are "
            "less well known: weigh again before you travel."
        )
    return said
