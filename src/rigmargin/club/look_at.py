"""What to look at in a ticket that goes into a rig file: it may well be right, but it does other than one may think."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from rigmargin.loads.told import unused
from rigmargin.loads.weighing import left_out
from rigmargin.spec.problem import shown
from rigmargin.spec.rig import Rig, Weighing

FAR = 5  # years between a ticket and every other day that is known, from which its year looks mistyped


def remarks(rig: Rig, ticket: Weighing, days: Iterable[str]) -> Iterator[str]:
    """Sentences about one of the rig's tickets; ``days`` are those of the day's other tickets."""
    off = ", ".join(shown(item.name) + " (a tank, as empty)" * bool(item.tank) for item in left_out(rig, ticket))
    if off:
        yield f"'aboard' leaves out {off}: taken as off the scale, and added to the readings at its place. Name what was on it."
    others = [other for other in rig.weighings if other != ticket]
    if ticket.path in unused(rig):
        newest = max(other.on for other in others if other.state == ticket.state)
        other = f"one of {newest}" if newest > ticket.on else "a later entry of the same day"
        yield f"it will not count: of tickets '{ticket.state}', {other} goes before it. Check the day."
    years = [int(day[:4]) for day in (*days, rig.word("date"), *(other.on for other in others)) if re.match(r"\d{4}-", day)]
    if years and all(abs(int(ticket.on[:4]) - year) > FAR for year in years):
        yield f"its day, {ticket.on}, is more than {FAR} years from every other day in the table and the file. Check the year."
