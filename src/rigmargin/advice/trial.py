"""A rig as it would be with something added, taken away or put elsewhere, judged by the full engine.

Nothing is approximated: the changed rig goes through the same derivations and rules as the one on file. What is added was on
no ticket, so that every weighing is brought up to date with it at its station. What is put elsewhere keeps its own mass and
the doubt about it, so that both cancel wherever only the whole counts.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass

from rigmargin.judge import plugins
from rigmargin.judge.finding import Finding, Report
from rigmargin.judge.run import judge
from rigmargin.spec.rig import Item, Place, Rig, fill_to
from rigmargin.spec.stated import Stated

NO_LIMIT = ("not_checked", "not_applicable", "note")
LimitKey = tuple[str, str, str, str]  # rule, subject, state and limit of a finding: the same check on two versions of a rig


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


@dataclass(frozen=True, slots=True)
class Step:
    """One thing put elsewhere, left behind, or made more or less; a tank brought to another filling."""

    item: Item
    to: Place | None = None  # where it goes; None when it stays behind, and for a tank
    share: float | None = None  # how full a tank then is, of its volume; of anything else, how much of its mass is there


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


def _since_weighed(rig: Rig, tow_items: Sequence[Item], trailer_items: Sequence[Item]) -> Rig:
    """The rig with other things aboard; every ticket and the stated coupling load keep speaking of what they spoke of."""
    items = (*rig.tow_items, *rig.trailer_items)
    names = tuple(item.name for item in items)
    tickets = tuple(dataclasses.replace(w, aboard=names) if w.aboard is None else w for w in rig.weighings)
    listed = tuple(item.name for item in items if item.aboard) if rig.listed is None else rig.listed
    return dataclasses.replace(
        rig, weighings=tickets, listed=listed, tow_items=tuple(tow_items), trailer_items=tuple(trailer_items)
    )


def changed(rig: Rig, changes: Sequence[Change]) -> Rig:
    """The rig with masses added or taken away; every ticket keeps saying what it said."""
    added = {"tow_vehicle": list(rig.tow_items), "trailer": list(rig.trailer_items)}
    for i, change in enumerate(changes):
        path = f"trial.{i}"
        mass = Stated(f"{path}.mass", change.mass, change.spot.station.line, "mass", "kg")
        added[change.spot.vehicle].append(Item(path, path, mass, change.spot.station))
    return _since_weighed(rig, added["tow_vehicle"], added["trailer"])


def rearranged(rig: Rig, steps: Sequence[Step]) -> Rig:
    """The rig with things elsewhere, left behind or filled otherwise; every ticket keeps saying what it said.

    What a step touches is taken off where it was and, unless it stays behind, put back as it then is.
    """
    gone = {step.item.path for step in steps}
    items = {
        "tow_vehicle": [dataclasses.replace(i, aboard=False) if i.path in gone else i for i in rig.tow_items],
        "trailer": [dataclasses.replace(i, aboard=False) if i.path in gone else i for i in rig.trailer_items],
    }
    for step in steps:
        # no name in a file has brackets, so that this one is on no ticket; the path, and with it the mass, is the item's own
        name = f"{step.item.name}[then]"
        if step.to:
            items[step.to.vehicle].append(dataclasses.replace(step.item, name=name, station=step.to.station))
        if step.share is not None and step.item.tank:
            tank, vehicle = step.item.tank, step.item.path.partition(".")[0]
            text = dataclasses.replace(tank.filled, path=f"{tank.filled.path}[then]")
            tank = dataclasses.replace(tank, filled=fill_to(text, step.share, tank.filled.source, rig.settings.evidence))
            items[vehicle].append(dataclasses.replace(step.item, name=name, tank=tank))
        elif step.share is not None:
            items[step.item.path.partition(".")[0]].append(dataclasses.replace(step.item, name=name, part=step.share))
    return _since_weighed(rig, items["tow_vehicle"], items["trailer"])


def judged(rig: Rig, changes: Sequence[Change], ruleset: plugins.Ruleset | None = None) -> Report:
    """The changed rig, judged."""
    return judge(changed(rig, changes), ruleset)


def limit_key(finding: Finding) -> LimitKey:
    """What makes a finding the same check against the same limit on two versions of a rig."""
    return *finding.key, finding.limit_name


def margins(report: Report) -> dict[LimitKey, Finding]:
    """The findings that compare a load with a limit, by their key; whether two figures agree is no limit."""
    compared = [f for f in report.findings if f.margin is not None and not f.other[0] and f.verdict not in NO_LIMIT]
    return {limit_key(side): side for f in compared for side in _sides(f)}


def _sides(finding: Finding) -> tuple[Finding, ...]:
    """A band as its two ends, each with its own margin, uncertainty and verdict; any other comparison as it is.

    A conflict of figures is one at both ends: which of them another figure would pass is not known.
    """
    if not finding.sides:
        return (finding,)
    return tuple(
        finding._replace(
            verdict=finding.verdict if finding.verdict == "conflict" else side.verdict,
            margin=side.margin,
            uncertainty=side.uncertainty,
            inputs=side.inputs,
            doubt=side.inputs[0] if side.inputs and side.inputs[0].share > 0 else None,
            excess=side.uncertainty - side.margin if side.verdict == "outside_band" else None,
            limit_name=f"{finding.limit_name}, {side.end} end",
        )
        for side in finding.sides
    )
