"""The loads of a report: each in every way in which it is known, and what moves it most."""

from __future__ import annotations

from typing import NamedTuple

from rigmargin.judge.finding import Report
from rigmargin.loads.estimate import Estimate, Load
from rigmargin.loads.facts import DISTRIBUTING
from rigmargin.loads.value import Influence, expanded, influences, nominal
from rigmargin.report import names, words
from rigmargin.report.display import NEAR, UP, Display
from rigmargin.spec import units
from rigmargin.spec.problem import printable
from rigmargin.spec.rig import Rig

#: The step of an input whose effect on a load is shown, by system of units and dimension.
STEPS = {"us": {"mass": "100 lb", "length": "1 in"}, "metric": {"mass": "100 kg", "length": "1 cm"}}
MOST_INPUTS = 6  # inputs listed under a load: the ones with the largest share of its uncertainty


class LoadRow(NamedTuple):
    """One load and every way in which it is known."""

    name: str
    value: str
    how: str
    others: tuple[str, ...]
    inputs: tuple[str, ...]


def row(load: Load, report: Report, shown: Display) -> LoadRow:
    """What a report says of one load."""
    rig = report.rig
    several = load.state == "alone" or (load.name, DISTRIBUTING) in report.facts.loads
    name = printable(names.load(load.name, load.state if several else "", rig))
    if load.best is None:
        lacking = "; or ".join(", ".join(way) for way in (load.tickets, load.items) if way)
        return LoadRow(name, "not known", printable(f"missing: {lacking or 'nothing in the file leads to it'}"), (), ())
    first, *rest = (_estimate(e, load, shown) for e in load.estimates)
    then = load.best.as_read
    if then is not None:
        spread = shown.number(expanded(then), load.dimension, UP)
        first = (first[0], f"{first[1]}; on the ticket: {shown.number(nominal(then), load.dimension, UP)} ± {spread}")
    inputs = []
    for influence in influences(load.best.value)[:MOST_INPUTS]:
        part = f"{100 * influence.share:.0f} % of the uncertainty" if influence.share >= 0.005 else ""
        texts = [_rate(influence, load, rig, shown), part]
        inputs.append(printable(f"{words.path_words(influence.path, rig)}: {'; '.join(filter(None, texts))}"))
    return LoadRow(name, first[0], first[1], tuple(f"{value}: {how}" for value, how in rest), tuple(inputs))


def _rate(influence: Influence, load: Load, rig: Rig, shown: Display) -> str:
    """What a step of one input does to a load, such as ``100 lb more: +145 lb``."""
    stated = rig.get(influence.path)
    if stated is None or stated.dimension not in STEPS[shown.systems[0]]:
        return ""
    step = units.parse(STEPS[shown.systems[0]][stated.dimension]).si
    change = influence.slope * step
    sign = "+" if change > 0 else ""
    return f"{shown.number(step, stated.dimension)} more: {sign}{shown.number(change, load.dimension)}"


def _estimate(estimate: Estimate, load: Load, shown: Display) -> tuple[str, str]:
    bound = "at least " if estimate.at_least else ""
    spread = expanded(estimate.value)
    known = f" ± {shown.number(spread, load.dimension, UP)}" if spread else ""
    towards = NEAR if load.dimension == "length" else UP  # how a vehicle stands is no load
    return f"{bound}{shown.number(nominal(estimate.value), load.dimension, towards)}{known}", printable(how(estimate, shown))


def how(estimate: Estimate, shown: Display) -> str:
    """How an estimate was made, and on what it mainly rests."""
    return f"{shown.words.fill(estimate.how)} ({estimate.origin})"
