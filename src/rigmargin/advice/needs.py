"""Which tow vehicle a trailer needs: the least figures it must have for the trailer on file at its maximum mass.

The loads are those that the engine derives for the people, cargo and hardware of the file. What depends on the vehicle's own
mass, which another vehicle does not share, is told as the room that must be left.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from rigmargin.advice.any_trailer import MAX_MASS, behind, on_trailer
from rigmargin.judge import plugins
from rigmargin.judge.finding import Finding
from rigmargin.judge.run import judge
from rigmargin.loads import hitch, statics
from rigmargin.loads.facts import Facts, Known, Missing, how_to_learn
from rigmargin.loads.value import Value, expanded, nominal
from rigmargin.spec.rig import Rig
from rigmargin.spec.stated import Stated

PASSED = ("over", "unmet", "conflict", "too_close")
NOUGHT = 1e-6  # kg: less than this is what is left of rounding
CONTROLLER = "tow_vehicle.brake_controller.fitted"


@dataclass(frozen=True, slots=True)
class Need:
    """One figure of a tow vehicle."""

    name: str  # one of NAMES
    path: str  # the field of the rig file whose description says where it is printed
    least: float  # kg, the least it must be
    sure: float  # kg, the same with its uncertainty
    has: float | None  # kg, what the file's tow vehicle has of it, its uncertainty taken off; None when that is not known
    by_scale: bool = False  # whether the vehicle's ticket shows more aboard than is listed, and that was taken


@dataclass(frozen=True, slots=True)
class Needs:
    """What one trailer at its maximum mass needs."""

    mass: float | None  # kg, the trailer's maximum mass; None when it is not known
    coupling: float | None  # kg on the coupling at the share asked for
    least: tuple[Need, ...]
    unknown: tuple[tuple[str, tuple[Missing, ...]], ...]  # the figures that could not be told, by name
    required: tuple[Finding, ...]  # what must be fitted, as rules say it
    remarks: tuple[Finding, ...]  # limits of the trailer itself that it would pass


@dataclass(frozen=True, slots=True)
class _Of:
    """How one figure is told."""

    path: str
    least: Callable[[Facts], Value | tuple[Missing, ...]]
    has: Callable[[Facts], Value | None]


def needs(rig: Rig, share: float, ruleset: plugins.Ruleset) -> Needs:
    """The least figures of a tow vehicle for the file's trailer at its maximum mass and ``share`` on the coupling."""
    limit = rig.get(MAX_MASS)
    if limit is None:
        return Needs(None, None, (), ((MAX_MASS, (Missing(MAX_MASS, how_to_learn(MAX_MASS)),)),), (), ())
    mass = limit.number
    report = judge(_without_controller(behind(rig, mass, share, own_limits=True)), ruleset)
    least, unknown = [], []
    for name, of in NAMES.items():
        value = of.least(report.facts)
        if isinstance(value, tuple):
            unknown.append((name, value))
        elif nominal(value) > 0:
            has = of.has(report.facts)
            sure = None if has is None else nominal(has) - expanded(has)
            by_scale = name == "payload" and _more_by_scale(report.facts)
            least.append(Need(name, of.path, nominal(value), nominal(value) + expanded(value), sure, by_scale))
    return Needs(
        mass,
        share * mass,
        tuple(least),
        tuple(unknown),
        tuple(f for f in report.findings if f.verdict == "unmet" and _asked_by_trailer(f)),
        tuple(_passed(rig, report.findings)),
    )


def _without_controller(rig: Rig) -> Rig:
    """The rig with no brake controller in its vehicle, so that the rules say which one they want."""
    return dataclasses.replace(rig, stated={**rig.stated, CONTROLLER: Stated(CONTROLLER, "no", 0)})


def _asked_by_trailer(finding: Finding) -> bool:
    """Whether a trailer asks it of a tow vehicle; a rule that looks at no trailer speaks of this vehicle's own state."""
    asked = finding.source.needs.values() if finding.source else ()
    return finding.subject.startswith("tow_vehicle") and any(fact.startswith(("trailer", "combination")) for fact in asked)


def _passed(rig: Rig, findings: tuple[Finding, ...]) -> Iterator[Finding]:
    """Limits of the trailer itself, its part of the coupling included, that are not kept at its maximum mass.

    How sure that mass itself is, which the trailer has by definition here, is no such limit.
    """
    for finding in findings:
        name = finding.subject.removeprefix("coupling.parts.")
        own = finding.subject.startswith("trailer") or (name != finding.subject and on_trailer(rig, name))
        by_itself = finding.limit is not None and finding.limit.path == MAX_MASS
        if own and finding.verdict in PASSED and finding.dimension != "ratio" and not by_itself:
            yield finding


def _fact(path: str) -> Callable[[Facts], Value | tuple[Missing, ...]]:
    """A fact by its path, or what is missing for it; a mere lower bound is not known."""

    def find(facts: Facts) -> Value | tuple[Missing, ...]:
        found = facts.find(path)
        if isinstance(found, tuple):
            return found
        if found.estimate and found.estimate.at_least:
            lacks = found.estimate.lists or path
            return (Missing(lacks, how_to_learn(lacks)),)
        return _number(found)

    return find


def _number(found: Known) -> Value:
    assert not isinstance(found.value, (str, tuple)), "only numbers are asked for"
    return found.value


def _known(path: str) -> Callable[[Facts], Value | None]:
    def find(facts: Facts) -> Value | None:
        value = _fact(path)(facts)
        return None if isinstance(value, tuple) else value

    return find


def _room(limit: str, load: str) -> Callable[[Facts], Value | None]:
    """What a limit leaves above a load of the tow vehicle alone."""

    def left(facts: Facts) -> Value | None:
        above, below = _known(limit)(facts), _known(f"{load}@alone")(facts)
        return None if above is None or below is None else above - below

    return left


def _by_lever(part: str) -> Callable[[Facts], Value | tuple[Missing, ...]]:
    """What the coupling load adds to one axle, by the wheelbase and overhang of the file's vehicle."""

    def gain(facts: Facts) -> Value | tuple[Missing, ...]:
        load = _fact("coupling.vertical")(facts)
        if isinstance(load, tuple):
            return load
        overhang, wheelbase = (_fact(path)(facts) for path in (statics.OVERHANG, statics.WHEELBASE))
        lacks = [m for found in (overhang, wheelbase) if isinstance(found, tuple) for m in found]
        if isinstance(overhang, tuple) or isinstance(wheelbase, tuple):
            return tuple(lacks)
        lever = overhang / wheelbase
        return -load * lever if part == "front" else load * (1 + lever)

    return gain


def _weakest(limit: str) -> Callable[[Facts], Value | None]:
    """The lowest of what the hitch parts on the file's vehicle leave a trailer of one limit; None unless each is known."""

    def lowest(facts: Facts) -> Value | None:
        parts = [part for part in facts.rig.names["coupling.parts"] if not on_trailer(facts.rig, part)]
        found = [_left(facts, part, limit) for part in parts]
        known = [value for value in found if value is not None]
        return min(known, key=nominal) if known and len(known) == len(found) else None

    return lowest


def _left(facts: Facts, part: str, limit: str) -> Value | None:
    """What a part leaves a trailer of its limit: behind an extension its share, less what hangs there beside the trailer."""
    own = _known(f"coupling.parts.{part}.{limit}")(facts)
    roles = [hitch.role(facts.rig, each) for each in facts.rig.names["coupling.parts"]]
    if hitch.role(facts.rig, part) in hitch.LINKS["coupling.receiver"] and "extension" in roles:
        share = _known("coupling.extension.reduces_to")(facts) if roles.count("extension") == 1 else None
        own = None if own is None or share is None else own * share
    if own is None or limit != "max_vertical_load":
        return own
    bears, trailer = _known(f"coupling.parts.{part}.vertical")(facts), _known("coupling.vertical")(facts)
    return None if bears is None or trailer is None else own - (bears - trailer)


def _by_scale(facts: Facts) -> Value | None:
    """What is charged to the payload by the vehicle's mass loaded, less its unloaded mass; None when that is not known."""
    found = (_known(f"{_USED}@{method}")(facts) for method in ("weighed", "stated"))
    return next((value for value in found if value is not None), None)


def _more_by_scale(facts: Facts) -> bool:
    """Whether more is aboard by the scale than is listed, or nothing is listed."""
    listed, weighed = _known(f"{_USED}@computed")(facts), _by_scale(facts)
    return weighed is not None and (listed is None or nominal(weighed) > nominal(listed) + NOUGHT)


def _used(facts: Facts) -> Value | tuple[Missing, ...]:
    """What is charged to the payload: by the list or by the scale, whichever is more."""
    weighed = _by_scale(facts)
    return weighed if weighed is not None and _more_by_scale(facts) else _fact(f"{_USED}@computed")(facts)


def _payload(facts: Facts) -> Value | None:
    """The lower of the placard's figure and maximum mass less unloaded mass."""
    found = (_known(path)(facts) for path in ("tow_vehicle.payload", "tow_vehicle.payload_by_difference"))
    return min((value for value in found if value is not None), key=nominal, default=None)


_FRONT, _REAR = "tow_vehicle.axles.front", "tow_vehicle.axles.rear"
_USED = "tow_vehicle.payload_used"
_PART = "coupling.parts.part"
#: The figures, in the order in which a shopper meets them.
NAMES = {
    "payload": _Of("tow_vehicle.payload", _used, _payload),
    "gross_room": _Of("tow_vehicle.max_mass", _fact("coupling.vertical"), _room("tow_vehicle.max_mass", "tow_vehicle.gross")),
    "rear_room": _Of(f"{_REAR}.max_load", _by_lever("rear"), _room(f"{_REAR}.max_load", _REAR)),
    "front_room": _Of(f"{_FRONT}.max_load", _by_lever("front"), _room(f"{_FRONT}.max_load", _FRONT)),
    "coupling": _Of("tow_vehicle.max_coupling_load", _fact("coupling.vertical"), _known("tow_vehicle.max_coupling_load")),
    "parts_vertical": _Of(f"{_PART}.max_vertical_load", _fact("coupling.vertical"), _weakest("max_vertical_load")),
    "parts_towed": _Of(f"{_PART}.max_towed_mass", _fact("trailer.gross"), _weakest("max_towed_mass")),
    "trailer": _Of("tow_vehicle.max_trailer_mass", _fact("trailer.gross"), _known("tow_vehicle.max_trailer_mass")),
    "combination_room": _Of(
        "tow_vehicle.max_combination_mass",
        _fact("trailer.gross"),
        _room("tow_vehicle.max_combination_mass", "tow_vehicle.gross"),
    ),
}
