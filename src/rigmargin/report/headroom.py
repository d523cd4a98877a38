"""Headroom in words: what may still be added where, the heaviest trailer under each limit, and what clears a finding.

Laid out here once as plain text; the terminal, Markdown, HTML and JSON forms only place it.
"""

from __future__ import annotations

import json as json_text
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from rigmargin import __version__
from rigmargin.advice.headroom import Clearing, Headroom, Room
from rigmargin.advice.trial import Change, Spot
from rigmargin.judge.finding import Finding
from rigmargin.report import words
from rigmargin.report.display import DOWN, UP, Display, display, file_name
from rigmargin.spec.problem import printable
from rigmargin.spec.rig import Rig

if TYPE_CHECKING:
    from rich.console import Console

LINES = 6  # of the heaviest trailers, those a terminal shows
VEHICLES = {"tow_vehicle": "tow vehicle", "trailer": "trailer"}


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
    cures: tuple[CureRow, ...]
    cautions: tuple[str, ...]
    version: str


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
        cures=tuple(
            CureRow(
                printable(words.sentence(c.finding, rig, shown)),
                tuple((printable(_change(w.changes, shown)), printable(_others(w, rig))) for w in (*c.removals, *c.moves)),
            )
            for c in room.cures
        ),
        cautions=(
            "Each row stands by itself: what is added at one place is no longer free at another. Only limits that are known "
            "can stop anything; what the report lists as not checked is not in these figures.",
            words.CAUTIONS[1],
            words.CAUTIONS[3],
        ),
        version=__version__,
    )


def _where(spot: Spot) -> str:
    return f"{spot.name} ({VEHICLES[spot.vehicle]})"


def _room(room: Room, rig: Rig, shown: Display) -> RoomRow:
    where = printable(_where(room.spot))
    if room.mass is None or room.stops is None:
        return RoomRow(where, "not known", "no limit that is known stops it", "")
    stops = printable(words.compared_words(room.stops, rig))
    if room.mass == 0:
        return RoomRow(where, shown.number(0.0, "mass"), stops, "nothing is left")
    note = "the tank is full before that" if room.most is not None and room.most < room.mass else ""
    return RoomRow(where, shown.number(room.mass, "mass", DOWN), stops, note)


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
    parts = []
    if way.newly_within:
        parts.append("also clears " + "; ".join(_short(f, rig) for f in way.newly_within))
    if way.newly_failing:
        parts.append("but passes " + "; ".join(_short(f, rig) for f in way.newly_failing))
    return ", ".join(parts) or "nothing else changes its verdict"


def _short(finding: Finding, rig: Rig) -> str:
    text = words.compared_words(finding, rig)
    return f"{text[:1].lower()}{text[1:]}"


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
    console.print(grid)
    if view_.ceilings:
        console.print(Text("Heaviest trailer at the present share on the coupling, the lowest first:", style="bold"))
        for mass, limit in view_.ceilings[:LINES]:
            console.print(Padding(Text(f"{mass}: {limit}"), (0, 0, 0, 2)))
    for cure in view_.cures:
        console.print(Text(f"To clear: {cure.finding}", style="bold"))
        for change, other in cure.ways or (("no single removal or move clears it", "see what may be combined"),):
            console.print(Padding(Text(f"{change} ({other})"), (0, 0, 0, 2)))
    console.print(Text(view_.cautions[0], style="dim"))
    console.print()


def html(room: Headroom, system: str) -> str:
    """One self-contained HTML page."""
    from rigmargin.report import pages

    return pages.page("headroom.html", view(room, system))


def markdown(room: Headroom, system: str) -> str:
    """Markdown for a code host."""
    from rigmargin.report import pages

    return pages.page("headroom.md", view(room, system))


def json(room: Headroom, system: str) -> str:
    """For machines: kg, rounded like the report."""
    return json_text.dumps(_document(room), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _document(room: Headroom) -> dict[str, Any]:
    rig = room.report.rig
    return {
        "headroom": 1,
        "rigmargin": __version__,
        "rig": {"name": rig.name, "file": file_name(rig)},
        "unit": "kg",
        "rooms": [
            {
                "vehicle": r.spot.vehicle,
                "at": r.spot.name,
                "may_add": _kg(r.mass),
                "stops": _id(r.stops),
                "tank_takes": _kg(r.most),
            }
            for r in room.rooms
        ],
        "heaviest_trailer": [{"mass": _kg(c.mass), "limit": _id(c.stops)} for c in room.ceilings],
        "cures": [{"finding": _id(c.finding), "ways": [_way(w) for w in (*c.removals, *c.moves)]} for c in room.cures],
    }


def _kg(value: float | None) -> float | None:
    return None if value is None else round(value, 1) + 0.0


def _id(finding: Finding | None) -> dict[str, str] | None:
    return None if finding is None else {"rule": finding.rule, "subject": finding.subject, "state": finding.state}


def _way(way: Clearing) -> dict[str, Any]:
    return {
        "changes": [{"vehicle": c.spot.vehicle, "at": c.spot.name, "mass": _kg(c.mass)} for c in way.changes],
        "newly_within": [_id(f) for f in way.newly_within],
        "newly_failing": [_id(f) for f in way.newly_failing],
    }
