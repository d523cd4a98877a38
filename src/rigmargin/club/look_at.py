"""What to look at in a ticket that goes into a rig file: it may well be right, but it does other than one may think."""

from __future__ import annotations

from collections.abc import Iterator

from rigmargin.loads.weighing import left_out
from rigmargin.spec.problem import shown
from rigmargin.spec.rig import Rig, Weighing


def remarks(rig: Rig, ticket: Weighing) -> Iterator[str]:
    """Sentences about one of the rig's tickets."""
    off = ", ".join(shown(item.name) + " (a tank, as empty)" * bool(item.tank) for item in left_out(rig, ticket))
    if off:
        yield f"'aboard' leaves out {off}: taken as off the scale, and added to the readings at its place. Name what was on it."
