"""Headroom in words: what may still be added where, the heaviest trailer under each limit, and what clears a finding.

Laid out here once as plain text; the terminal, Markdown, HTML and JSON forms only place it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from rigmargin import __version__
from rigmargin.advice.headroom import FAILING, Clearing, Headroom, Room
from rigmargin.advice.learn import act_of
from rigmargin.advice.trial import Change, Spot
from rigmargin.judge.finding import Finding
from rigmargin.report import by_settings, names, words
from rigmargin.report.display import DOWN, UP, Display, display, file_name
from rigmargin.report.forms import forms
from rigmargin.report.json import identity
from rigmargin.report.regional import spoken
from rigmargin.spec.problem import printable
from rigmargin.spec.rig import Rig

if TYPE_CHECKING:
    from rich.console import Console

LINES = 6  # of the heaviest trailers, those a terminal shows
EFFECTS = {  # of a change on another finding, by the verdict after it
    "within": "also settles",
    "at_limit": "brings to its limit",
    "too_close": "but leaves too close to tell",
    "not_checked": "but leaves not checked",
}
USED_UP = {"too_close": "already too close to tell", "at_limit": "nothing remains"}
VEHICLES = {"tow_vehicle": "{word:tow_vehicle}", "trailer": "trailer"}


@dataclass(frozen=True, slots=True)
class RoomRow:
    """One spot."""

    where: str
    may_add: str
    stops: str  # what stops it, in words
    note: str


@dataclass(frozen=True, slots=True)
class CureRow:
    """One finding and every change that clears it."""

    finding: str
    ways: tuple[tuple[str, str], ...]  # the change, and what else it does


@dataclass(frozen=True, slots=True)
class HeadroomView:
    """The whole answer."""

    name: str
    file: str
    headline: str
    rooms: tuple[RoomRow, ...]
    ceilings: tuple[tuple[str, str], ...]  # heaviest trailer, and the limit that says so
    no_spot: str  # said where there are no rooms
    no_ceiling: str  # said where there are no ceilings
    no_way: str  # said of a cure without ways
    cures: tuple[CureRow, ...]
    settings: tuple[str, ...]  # what settings change; none where they change nothing
    cautions: tuple[str, ...]
    version: str


@spoken(lambda room: room.report.rig)
def view(room: Headroom, system: str = "rig") -> HeadroomView:
    """The answer in the units of ``system``."""
    rig, shown = room.report.rig, display(room.report.rig, system)
    return HeadroomView(
        name=printable(rig.name),
        file=printable(file_name(rig)),
        headline=printable(words.headline(room.report, shown)),
        rooms=_grouped([_room(r, rig, shown) for r in room.rooms]),
        ceilings=tuple(
            (shown.number(c.mass, "mass", DOWN), printable(words.compared_words(c.stops, rig))) for c in room.ceilings
        ),
        no_spot="The file names no station, and nothing in it has a place: there is no spot to add to.",
        no_ceiling=_lack(room.ceilings_lack),
        no_way="No single removal or move of what is listed clears it.",
        cures=tuple(
            CureRow(
                printable(words.sentence(c.finding, rig, shown)),
                tuple((printable(_change(w.changes, shown)), printable(_others(w, rig))) for w in (*c.removals, *c.moves)),
            )
            for c in room.cures
        ),
        settings=by_settings.remarks(room.report, advice=True),
        cautions=(
            "Each row stands by itself: what is added at one place is no longer free at another. Only limits that are known "
            "can stop anything; what the report lists as not checked is not in these figures.",
            "What may be added goes to the limit itself. Loads are known only to within their uncertainty, so stop short of it "
            "by at least as much as the report shows beside the load, and weigh again.",
            words.CAUTIONS[1],
            words.CAUTIONS[3],
        ),
        version=__version__,
    )


def _lack(paths: tuple[str, ...]) -> str:
    return (
        f"Not known yet: {', '.join(dict.fromkeys(act_of(path)[0] for path in paths))}."
        if paths
        else "No limit that is known stops it."
    )


def _where(spot: Spot) -> str:
    return f"{spot.name} ({VEHICLES[spot.vehicle]})"


def _room(room: Room, rig: Rig, shown: Display) -> RoomRow:
    where = printable(_where(room.spot))
    if room.mass is None or room.stops is None:
        return RoomRow(where, "not known", "no limit that is known stops it", "")
    stops = printable(words.compared_words(room.stops, rig))
    if room.mass == 0:
        return RoomRow(where, shown.number(0.0, "mass"), stops, USED_UP.get(room.stops.verdict, "already passed"))
    if room.most is not None and room.full_first:
        return RoomRow(where, shown.number(room.most, "mass", DOWN), "The tank is full; no limit that is known is reached", "")
    return RoomRow(where, shown.number(room.mass, "mass", DOWN), stops, "")


def _grouped(rows: list[RoomRow]) -> tuple[RoomRow, ...]:
    """Rows that say the same of several places, as one."""
    groups: dict[tuple[str, str, str], list[str]] = {}
    for row in rows:
        groups.setdefault((row.may_add, row.stops, row.note), []).append(row.where)
    return tuple(RoomRow(", ".join(places), *same) for same, places in groups.items())


def _change(changes: tuple[Change, ...], shown: Display) -> str:
    mass = shown.number(abs(changes[0].mass), "mass", UP)
    if len(changes) == 1:
        return f"Take {mass} away at {_where(changes[0].spot)}"
    return f"Move {mass} from {_where(changes[0].spot)} to {_where(changes[1].spot)}"


def _others(way: Clearing, rig: Rig) -> str:
    """What else a change does."""
    by_effect: dict[str, list[str]] = {}
    for before, after in way.others:
        by_effect.setdefault(_effect(before, after), []).append(_short(after, rig))
    return (
        ", ".join(f"{effect} {'; '.join(names)}" for effect, names in by_effect.items()) or "nothing else changes its verdict"
    )


def _effect(before: Finding, after: Finding) -> str:
    if after.verdict in FAILING:
        return "but passes"
    return "also clears" if before.verdict in FAILING and after.verdict == "within" else EFFECTS[after.verdict]


def _short(finding: Finding, rig: Rig) -> str:
    text = words.compared_words(finding, rig)
    return names.uncapital(text)


def show(view_: HeadroomView, console: Console) -> None:
    """Print it on a terminal."""
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    console.print(Text(view_.name, style="bold"))
    console.print(Text(view_.headline))
    grid = Table(box=None, padding=(0, 1, 0, 0), header_style="bold")
    grid.add_column("at", overflow="fold")
    grid.add_column("may still be added", justify="right", overflow="fold")
    grid.add_column("then this stops it", overflow="fold")
    for row in view_.rooms:
        grid.add_row(Text(row.where), Text(row.may_add), Text(f"{row.stops}{f' ({row.note})' if row.note else ''}"))
    console.print(grid if view_.rooms else Text(view_.no_spot))
    console.print(Text("Heaviest trailer at the present share on the coupling, the lowest first:", style="bold"))
    lines = [f"{mass}: {limit}" for mass, limit in view_.ceilings[:LINES]]
    for line in lines or [view_.no_ceiling]:
        console.print(Padding(Text(line), (0, 0, 0, 2)))
    for cure in view_.cures:
        console.print(Text(f"To clear: {cure.finding}", style="bold"))
        for line in [f"{change} ({other})" for change, other in cure.ways] or [view_.no_way]:
            console.print(Padding(Text(line), (0, 0, 0, 2)))
    by_settings.show(view_.settings, console)
    for caution in view_.cautions[:2]:
        console.print(Text(caution, style="dim"))
    console.print()


@spoken(lambda room: room.report.rig)
def _document(room: Headroom) -> dict[str, Any]:
    """kg, to a tenth; room is rounded down, what must go is rounded up."""
    rig = room.report.rig
    return {
        "headroom": 1,
        "rigmargin": __version__,
        "rig": {"name": rig.name, "file": file_name(rig)},
        "unit": "kg",
        "overall": room.report.overall,
        "rooms": [
            {
                "vehicle": r.spot.vehicle,
                "at": r.spot.name,
                "may_add": _down(r.may_add),
                "stops": None if r.stops is None or r.full_first else identity(r.stops, rig),
                "tank_takes": _down(r.most),
            }
            for r in room.rooms
        ],
        "heaviest_trailer": [{"mass": _down(c.mass), "limit": identity(c.stops, rig)} for c in room.ceilings],
        "heaviest_trailer_needs": list(room.ceilings_lack),
        **by_settings.fields(room.report, advice=True),
        "cures": [
            {"finding": identity(c.finding, rig), "ways": [_way(w, rig) for w in (*c.removals, *c.moves)]} for c in room.cures
        ],
    }


def _down(value: float | None) -> float | None:
    return None if value is None else math.floor(round(value * 10, 6)) / 10 + 0.0


def _way(way: Clearing, rig: Rig) -> dict[str, Any]:
    mass = math.ceil(round(way.mass * 10, 6)) / 10
    return {
        "changes": [{"vehicle": c.spot.vehicle, "at": c.spot.name, "mass": math.copysign(mass, c.mass)} for c in way.changes],
        "other_verdicts": [
            {**identity(after, rig), "from": before.verdict, "to": after.verdict} for before, after in way.others
        ],
    }


html, markdown, json = forms("headroom", view, _document)
