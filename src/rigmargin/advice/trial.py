"""A rig as it would be with something added or taken away, judged by the full engine.

Nothing is approximated: the changed rig goes through the same derivations and rules as the one on file. What is added was on
no ticket, so that every weighing is brought up to date with it at its station.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass

from rigmargin.judge import plugins
from rigmargin.judge.finding import Finding, Report
from rigmargin.judge.run import judge
from rigmargin.spec.rig import Item, Rig
from rigmargin.spec.stated import Stated

NO_LIMIT = ("not_checked", "not_applicable", "note")
Key = tuple[str, str, str, str]  # rule, subject, state and limit of a finding: the same check on two versions of a rig


@dataclass(frozen=True, slots=True)
class Spot:
    """A place where mass can be put."""

    vehicle: str  # "tow_vehicle" or "trailer"
    name: str  # the station's, item's or tank's name
    station: Stated  # m ahead of the rear axle, or behind the coupling
    tank: bool = False  # whether it is a tank, which takes and gives only its own contents


@dataclass(frozen=True, slots=True)
class Change:
    """Mass put somewhere, in kg; negative when it is taken away."""

    spot: Spot
    mass: float


def spots(rig: Rig) -> tuple[Spot, ...]:
    """Every named station of the rig, then every other place where something stands, in the file's order."""
    found: dict[tuple[str, float], Spot] = {}
    for vehicle, items in (("tow_vehicle", rig.tow_items), ("trailer", rig.trailer_items)):
        prefix = f"{vehicle}.stations."
        named = [Spot(vehicle, path.removeprefix(prefix), s) for path, s in rig.stated.items() if path.startswith(prefix)]
        placed = [Spot(vehicle, item.name, item.station) for item in items if item.station and not item.tank]
        for spot in (*named, *placed):
            found.setdefault((vehicle, round(spot.station.number, 4)), spot)
    return tuple(found.values())


def tank_spots(rig: Rig) -> tuple[Spot, ...]:
    """Every tank whose place is known: contents can be added there, or drained."""
    return tuple(
        Spot(vehicle, item.name, item.station, tank=True)
        for vehicle, items in (("tow_vehicle", rig.tow_items), ("trailer", rig.trailer_items))
        for item in items
        if item.tank and item.station
    )


def changed(rig: Rig, changes: Sequence[Change]) -> Rig:
    """The rig with masses added or taken away; every ticket keeps saying what it said."""
    names = tuple(item.name for item in (*rig.tow_items, *rig.trailer_items))
    aboard = tuple(item.name for item in rig.trailer_items if item.aboard) if rig.listed is None else rig.listed
    tickets = tuple(dataclasses.replace(w, aboard=names) if w.aboard is None else w for w in rig.weighings)
    added = {"tow_vehicle": list(rig.tow_items), "trailer": list(rig.trailer_items)}
    for i, change in enumerate(changes):
        path = f"trial.{i}"
        mass = Stated(f"{path}.mass", change.mass, change.spot.station.line, "mass", "kg")
        added[change.spot.vehicle].append(Item(path, path, mass, change.spot.station))
    return dataclasses.replace(
        rig, weighings=tickets, listed=aboard, tow_items=tuple(added["tow_vehicle"]), trailer_items=tuple(added["trailer"])
    )


def judged(rig: Rig, changes: Sequence[Change], ruleset: plugins.Ruleset | None = None) -> Report:
    """The changed rig, judged."""
    return judge(changed(rig, changes), ruleset)


def key(finding: Finding) -> Key:
    """What makes a finding the same check on two versions of a rig."""
    return finding.rule, finding.subject, finding.state, finding.limit_name


def margins(report: Report) -> dict[Key, Finding]:
    """The findings that compare a load with a limit, by their key; whether two figures agree is no limit."""
    compared = [f for f in report.findings if f.margin is not None and not f.other[0] and f.verdict not in NO_LIMIT]
    return {key(side): side for f in compared for side in _sides(f)}


def _sides(finding: Finding) -> tuple[Finding, ...]:
    """A band as its two ends, each with a margin of its own; any other comparison as it is."""
    load, low, high = finding.load, finding.low, finding.high
    if load is None or low is None or high is None:
        return (finding,)
    ends = (("lower", load - low), ("upper", high - load))
    return tuple(
        dataclasses.replace(
            finding,
            margin=margin,
            limit_name=f"{finding.limit_name}, {end} end",
            verdict=finding.verdict if margin == finding.margin else "within",
        )
        for end, margin in ends
    )
