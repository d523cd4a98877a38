"""A trailer of which only two figures are known: how heavy it is, and which share of it rests on the coupling.

The rig on file is put before such a trailer and judged in full, so that nothing is computed here that the rules compute. It is
described by one exact ticket of its own. What the file says of the tow vehicle stays, tickets taken alone included; coupled
tickets are of another trailer and are left out.
"""

from __future__ import annotations

import dataclasses

from rigmargin.advice.carried import OF_THE_WHOLE
from rigmargin.judge.finding import Report
from rigmargin.loads.facts import Missing, how_to_learn, to_weigh
from rigmargin.loads.value import expanded, nominal
from rigmargin.spec import schema, units
from rigmargin.spec.problem import shown
from rigmargin.spec.rig import Rig, Unloaded, Weighing
from rigmargin.spec.stated import Stated

#: The links of the coupling's chain that belong to the trailer and come with it.
TRAILER_SIDE = frozenset({"coupler", "coupling head", "king pin", "gooseneck coupler", "lunette eye"})
#: What is asked of a trailer that is not bought yet: of which kind and with which brakes its buyer will look for it.
KIND, ACTUATION = "trailer.kind", "trailer.brakes.actuation"
MAX_MASS = "trailer.max_mass"
_ALONE = "trailer_alone"


@dataclasses.dataclass(frozen=True, slots=True)
class Share:
    """Which share of the loaded trailer rests on the coupling."""

    ratio: float  # of 1
    how: str = ""  # how the rig's own share is known; empty when it was asked for
    spread: float = 0.0  # expanded uncertainty of the rig's own share; it is not carried on


def stated_share(text: str) -> Share:
    """The share a person asks for, such as ``12 %``. Raises units.NotAQuantity when it is none that a trailer can have."""
    share = units.parse(text, "ratio").si
    node = schema.at(("tow_vehicle", "coupling_share_band", "high")) or {}
    most = units.parse(node["x-range"][1], "ratio")
    if not 0 < share <= most.si:
        expected = f"more than 0 %, and no more than {units.from_si(most.si, '%'):.0f} %"
        raise units.NotAQuantity(shown(text), expected, "write the coupling load as a share of the loaded trailer's mass")
    return Share(share)


def own_share(report: Report) -> Share | tuple[Missing, ...]:
    """The share of the rig as it is, or what is missing for it; a mere bound is none."""
    found = report.facts.find("coupling.share")
    if isinstance(found, tuple):
        return found
    if found.load and found.estimate and found.estimate.at_least:
        return to_weigh(found.load)
    if nominal(found.number) <= 0:
        return (Missing("coupling_load", how_to_learn("coupling_load")),)
    return Share(nominal(found.number), found.estimate.how if found.estimate else "", expanded(found.number))


def on_trailer(rig: Rig, part: str) -> bool:
    """Whether a part of the coupling is the trailer's, by its name or its role."""
    return not {part, rig.word(f"coupling.parts.{part}.role").replace("_", " ")}.isdisjoint(TRAILER_SIDE)


def behind(rig: Rig, mass: float, share: float, *, own_limits: bool = False) -> Rig:
    """The rig's tow vehicle before a trailer of ``mass`` (kg) that presses on the coupling with ``share`` of it.

    The trailer has no limits but its maximum mass, to which it is loaded; with ``own_limits`` it has those of the trailer on
    file instead, and its parts of the coupling.
    """
    tickets = [w for w in rig.weighings if w.state == "alone"]
    path = f"weighings[{len(rig.weighings)}]"
    readings = {
        name: Stated(f"{path}.{name}", kilograms, 0, "mass", "kg")
        for name, kilograms in (("coupling", share * mass), ("trailer_axles", (1 - share) * mass))
    }
    ticket = Weighing(len(rig.weighings), _ALONE, "", readings, None, True)
    parts = rig.names["coupling.parts"]
    names = {**rig.names, "coupling.parts": tuple(p for p in parts if own_limits or not on_trailer(rig, p))}
    if not own_limits:
        names["trailer.axles"] = ()
    stated = {p: s for p, s in rig.stated.items() if _stays(p, own_limits)}
    if not own_limits:
        stated[MAX_MASS] = Stated(MAX_MASS, mass, 0, "mass", "kg")
    return dataclasses.replace(
        rig,
        stated=stated,
        trailer_items=(),
        trailer_unloaded=Unloaded(None, None, None, ()),
        trailer_axles=rig.trailer_axles if own_limits else (),
        weighings=(*tickets, ticket),
        names=names,
    )


def _stays(path: str, own_limits: bool) -> bool:
    if path.startswith(("coupling_load", *OF_THE_WHOLE)):
        return False
    return own_limits or not path.startswith("trailer.") or path in (ACTUATION, KIND)
