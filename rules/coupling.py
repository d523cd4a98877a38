"""The coupling: what it carries, what it pulls, every part of it, and the share of the trailer that rests on it."""

from __future__ import annotations

from rigmargin.judge.rule import Answer, Value, at_most, band, nominal, requires, rule, undecided

from .region import regions
from .table import rows

#: The parts a coupling of each kind is made of. Common practice; a towbar may be one piece where another rig has two.
CHAIN = {
    "weight_carrying": ("receiver", "ball mount", "ball", "coupler"),
    "weight_distributing": ("receiver", "ball mount", "ball", "spring bars", "coupler"),
    "fifth_wheel": ("fifth wheel head", "king pin"),
    "gooseneck": ("gooseneck ball", "gooseneck coupler"),
    "pintle": ("receiver", "pintle hook", "lunette eye"),
    "european_ball": ("towbar", "coupling head"),
}
BALL = frozenset({"weight_carrying", "weight_distributing", "pintle", "european_ball"})


@rule(
    "coupling-vertical",
    title="No part of the coupling carries more than it may",
    each={
        "tow_vehicle": {"load": "coupling.vertical", "limit": ".max_coupling_load", "with_hung": "coupling.receiver.vertical"},
        "coupling.parts.*": {"load": ".vertical", "limit": ".max_vertical_load", "with_hung": ".vertical"},
    },
    needs={"alone": "coupling.vertical"},
    chain=True,
    basis="The vehicle maker's figure and each part's own label or stamp.",
    quantity="The {word:coupling_load}",
    limit_name="the {subject}'s {word:max_coupling_load}",
    why="The chain is as strong as its weakest part, and ratings do not add up. Carrying and distributing rows differ, often "
    "by a factor of two; the static load is what counts, not what distributing bars leave of it. A bike rack or a cargo tray "
    "that hangs on a part beside the trailer shares its limit and that of every part nearer the vehicle, by its lever.",
    cures=(
        "Lighten the {word:coupling_load} by {excess}: move cargo back in the trailer, or take it out, keeping the share in "
        "its band.",
    ),
    example="Vehicle 75 kg, towbar 85 kg, coupling head 50 kg: a noseweight of 60 kg passes the head by 10 kg.",
)
def coupling_vertical(load: Value, limit: Value, with_hung: Value | None = None, alone: Value | None = None) -> Answer:
    """The static vertical load on the coupling against the vehicle's own limit and, with what hangs on the part and on those
    farther out, against that of every part, each in the row for this kind of coupling."""
    if alone is not None and nominal(load) > nominal(alone):  # a part on which more than the trailer rests
        cures = ("Take what hangs there off the hitch, or {excess} off the two together.",)
        return at_most(load, limit, quantity="The load on the {subject}, with what hangs there", cures=cures)
    # a receiver's load that is not known although the coupling's is lacks the lever of what hangs there
    hung = with_hung is None or nominal(with_hung) > nominal(load)
    notes = ("What hangs on the hitch beside the trailer is not counted in the vehicle's own limit.",) if hung else ()
    return at_most(load, limit, notes=notes)


@rule(
    "coupling-towed-mass",
    title="No part of the coupling pulls more than it may",
    each="coupling.parts.*",
    needs={"load": "trailer.gross", "limit": ".max_towed_mass"},
    chain=True,
    basis="Each part's own label or stamp.",
    quantity="The loaded trailer",
    limit_name="the {subject}'s maximum {word:towed_mass}",
    why="The lowest rating of receiver, ball mount, ball and coupler decides; a class name on a label is not a rating.",
    cures=("Take {excess} out of the trailer, or fit a part with a higher rating where it alone is the weakest.",),
    example="Receiver 10,000 lb, ball 6,000 lb: a trailer of 6,400 lb passes the ball by 400 lb.",
)
def coupling_towed_mass(load: Value, limit: Value) -> Answer:
    """The loaded trailer against the towed mass each part allows, each in the row for this kind of coupling."""
    return at_most(load, limit)


@rule(
    "coupling-chain",
    title="Every part of the coupling is described",
    each="coupling",
    needs={"kind": ".kind", "parts": ".parts", "share": "coupling.extension.reduces_to"},
    basis="Common practice: the parts a coupling of this kind is made of.",
    quantity="The coupling's list of parts",
    limit_name="the usual parts",
    why="A part that is not listed is not checked, and the part nobody looked at is often the weakest.",
    example="A weight-carrying hitch lists receiver, ball mount and coupler: the ball is missing.",
)
def coupling_chain(kind: str, parts: tuple[str, ...] | None = None, share: Value | None = None) -> Answer:
    """The parts listed (by name or by role), against those that a coupling of this kind is usually made of; of an extension
    also whether it says what it leaves of the receiver."""
    listed = set(parts or ())
    missing = [part for part in CHAIN[kind] if part not in listed]
    paths = [f".parts.{part}" for part in missing]
    reasons = [f"not listed: {', '.join(missing)}"] if missing else []
    if "extension" in listed and share is None:
        paths.append("coupling.extension.reduces_to")
        reasons.append("what the extension leaves of the receiver's figures is not stated")
    if paths:
        return undecided(*paths, reason="; ".join(reasons))
    return requires(True, found=", ".join(CHAIN[kind]), expected="every usual part listed")


def _customs(kind: str, places: tuple[str, ...]) -> list[dict[str, str]]:
    """The customs for a kind of coupling in these places."""
    group, there = "ball" if kind in BALL else "fifth_wheel", regions(places)
    return [row for row in rows("coupling_share") if row["coupling"] == group and row["region"] in there]


@rule(
    "coupling-share",
    title="The coupling carries its proper share of the trailer",
    each="trailer",
    needs={
        "load": "coupling.share",
        "kind": "coupling.kind",
        "places": "places",
        "low": "tow_vehicle.coupling_share_band.low",
        "high": "tow_vehicle.coupling_share_band.high",
        "gross": ".gross",
        "reach": ".coupling_to_axle_centre",
        "trailer": ".kind",
    },
    basis="The maker's band if the file gives one; otherwise common practice by kind and region, which is a custom and no law.",
    quantity="The coupling's share of the loaded trailer",
    limit_name="the band",
    why="Too little on the coupling and the trailer sways; too much overloads coupling and rear axle. Move cargo to correct "
    "it; never add weight at the nose to balance a heavy tail.",
    example="2,480 lb on the coupling of a 12,580 lb fifth wheel: 19.7 %, inside 15 to 25 %.",
)
def coupling_share(
    load: Value,
    kind: str,
    places: tuple[str, ...] | None = None,
    low: Value | None = None,
    high: Value | None = None,
    gross: Value | None = None,
    reach: Value | None = None,
    trailer: str | None = None,
) -> Answer:
    """The static coupling load over the loaded trailer's mass, against the maker's band or the customary one."""
    if low is not None and high is not None:
        return band(
            load, low, high, limit_name="the maker's band", cures=_shift(load, nominal(low), nominal(high), gross, reach)
        )
    if places is None:
        return undecided("places", reason="the customary band differs by region")
    customs = _customs(kind, places)
    if trailer is None and any(row["trailer"] for row in customs):
        return undecided(".kind", reason="the customary band speaks of some kinds of trailer only")
    found = [row for row in customs if not row["trailer"] or trailer in row["trailer"].split("|")]
    if not found:
        reason = "no customary band is on file for such a trailer in these places"
        return undecided("tow_vehicle.coupling_share_band", reason=reason)
    least, most = max(float(row["low"]) / 100 for row in found), min(float(row["high"]) / 100 for row in found)
    if least > most:
        reason = "the customs of these places exclude each other: ask the makers for a band"
        return undecided("tow_vehicle.coupling_share_band", reason=reason)
    notes = tuple(dict.fromkeys(row["basis"] for row in found))
    cures = _shift(load, least, most, gross, reach)
    return band(load, least, most, limit_name="the customary band (common practice)", notes=notes, cures=cures)


def _shift(load: Value, low: float, high: float, gross: Value | None, reach: Value | None) -> tuple[str, ...]:
    """How much to move and how far: the moment by which the share misses the band, as a tenth of the trailer moved."""
    share = nominal(load)
    if gross is None or reach is None or low <= share <= high:
        return ()
    away = low - share if share < low else share - high
    moved = nominal(gross) / 20
    metres = away * nominal(reach) * 20
    way = "forward" if share < low else "back"
    return (
        f"Move cargo {way} inside the trailer: {{mass:{moved}}} moved {{length:{metres}}}, or in proportion (half the mass "
        f"twice as far), reaches the nearer end of the band; every limit on the coupling goes before the band.",
    )
