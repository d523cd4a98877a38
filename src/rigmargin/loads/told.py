"""What a rig file as a whole tells, as tuples of words: which figures are no label's, and what its tickets leave open."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from rigmargin.loads.value import Figures
from rigmargin.loads.weighing import latest
from rigmargin.spec import schema
from rigmargin.spec.rig import Rig, Weighing

CLAIMS = ("brochure", "owner_estimate")
#: Ratings of a whole vehicle or axle: a fitted part's label, or a measurement, says nothing of them.
RATINGS = frozenset(
    {
        "tow_vehicle.max_mass", "tow_vehicle.max_combination_mass", "tow_vehicle.payload", "tow_vehicle.axles.front.max_load",
        "tow_vehicle.axles.rear.max_load", "trailer.max_mass",
    }
)  # fmt: skip
MAKERS = ("certification_label", "placard", "manual", "certificate")


def claimed(rig: Rig) -> tuple[str, ...]:
    """The paths of the limits that rest on a brochure or a guess, and of the vehicles' ratings on no maker's word."""
    masses = [s for s in rig.stated.values() if s.source and s.dimension == "mass"]
    limits = [s for s in masses if "x-unsourced" not in (schema.at(schema.key(s.path)) or {"x-unsourced": ""})]
    return tuple(s.path for s in limits if s.source in CLAIMS or (s.path in RATINGS and s.source not in MAKERS))


def unused(rig: Rig) -> tuple[str, ...]:
    """The paths of the tickets that gave way to a newer one of their state."""
    used = _used(rig)
    return tuple(t.path for t in rig.weighings if t not in used)


def as_listed(rig: Rig) -> tuple[str, ...]:
    """The paths of the tickets that do not say what was aboard, so that all that is listed is taken to have been."""
    carried = {"alone": rig.tow_items, "trailer_alone": rig.trailer_items, "trailer_on_jack": rig.trailer_items}
    both = (*rig.tow_items, *rig.trailer_items)
    return tuple(t.path for t in _used(rig) if t.as_listed and carried.get(t.state, both))


def days(rig: Rig) -> tuple[str, ...]:
    """The days of the tickets that are used together, in order, "" for one that states none; nothing where they are of one."""
    used = _used(rig)
    found = sorted({ticket.on for ticket in used})
    return tuple(found) if len(found) > 1 or (len(used) > 1 and found == [""]) else ()


def _used(rig: Rig) -> list[Weighing]:
    """The tickets that are read, of two of one day both."""
    read = {reading.path for ticket in latest(rig, Figures()).latest.values() for reading in ticket.readings.values()}
    return [t for t in rig.weighings if not read.isdisjoint(reading.path for reading in t.readings.values())]


#: Each by the name under which a rule asks for it.
TOLD: Mapping[str, Callable[[Rig], tuple[str, ...]]] = {
    "claimed_limits": claimed,
    "unused_weighings": unused,
    "refused_ratings": lambda rig: rig.refused,
    "weighings_as_listed": as_listed,
    "weighing_days": days,
}
