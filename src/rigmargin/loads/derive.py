"""Every load of a rig, by every way in which the file lets it be known, best first.

The names are those of the JSON report. ``coupled`` is the static state: no distributing bars, or bars slack;
``coupled_distributing`` exists only where a ticket was taken with the bars tensioned; ``alone`` is the tow vehicle uncoupled.
"""

from __future__ import annotations

from rigmargin.loads import distribution, hitch, stance, tow_vehicle, trailer
from rigmargin.loads.value import Figures
from rigmargin.loads.ways import ALONE, COUPLED, DISTRIBUTING, Loads, Ways
from rigmargin.spec.rig import Rig

__all__ = ["ALONE", "COUPLED", "DISTRIBUTING", "NAMES", "Loads", "loads"]

#: The loads there can be, with ``*`` for the name of an axle, and their dimension.
NAMES = {
    "tow_vehicle.gross": "mass",
    "tow_vehicle.axles.*": "mass",
    "tow_vehicle.payload_used": "mass",
    "tow_vehicle.payload_by_difference": "mass",
    "trailer.gross": "mass",
    "trailer.axle_group": "mass",
    "trailer.axles.*": "mass",
    "combination.gross": "mass",
    "coupling.vertical": "mass",
    "coupling.share": "ratio",
    "front_axle.left_share": "ratio",
    "rear_axle.left_share": "ratio",
    "trailer.left_share": "ratio",
    **distribution.NAMES,
    **hitch.NAMES,
    **stance.NAMES,
}


def loads(rig: Rig, figures: Figures | None = None) -> Loads:
    """All loads of ``rig`` by name and state, each with its estimates or with what is missing for one.

    ``figures`` lets the caller share the rig's variables, so that limits and loads that rest on one figure stay correlated.
    """
    ways = Ways(rig, figures or Figures())
    trailer.derive(ways)
    hitch.derive(ways)
    tow_vehicle.derive(ways)
    distribution.derive(ways)
    stance.derive(ways)
    return ways.made
