"""D, Dc and V of UN Regulation No. 55: the reference forces that a vehicle and a trailer ask of every coupling part.

They are forces of a fatigue test, made of the two vehicles' greatest masses, and no pulling limits: 7.0 kN is not a trailer of
714 kg. Masses in kg, forces in N. The static load S on the coupling, and U on a fifth wheel, are limits in kg like any other
and judged with them.
"""

from __future__ import annotations

import math
from dataclasses import replace

from rigmargin.judge.rule import Answer, Value, at_most, nominal, not_applicable, rule, undecided

G = 9.81  # m/s2, as the regulation computes
HEAVY = 3500.0  # kg: centre-axle trailers above it are held against Dc and V
AIR, OTHER = 1.8, 2.4  # m/s2: the amplitude of the road behind air suspension (or its equal), and behind any other
#: The parts of a European ball that have a type plate with D, or with Dc and V.
PLATED = ("towbar", "ball", "coupling_head", "drawbar")
DESIGN = "Whether the parts suit the two vehicles, by their greatest masses; how they are loaded today is judged apart."


def d_value(vehicle: Value, trailer: Value) -> Value:
    """D in N of a vehicle and a trailer that does not rest on it, by their greatest masses in kg. UN R55: g T R / (T + R)."""
    return G * vehicle * trailer / (vehicle + trailer)


def d_fifth_wheel(vehicle: Value, trailer: Value, imposed: Value) -> Value:
    """D in N of a fifth wheel; ``imposed`` is U in kg, and part of both masses. UN R55: 0.6 g T R / (T + R - U)."""
    return 0.6 * G * vehicle * trailer / (vehicle + trailer - imposed)


def v_value(on_axles: Value, body: Value, reach: Value, amplitude: float) -> Value:
    """V in N of a centre-axle trailer: kg on its axles, m of its body and from coupling to axle centre, m/s2.

    UN R55: a (X^2 / l^2) C, the ratio never taken as less than 1.
    """
    ratio = (body / reach) ** 2
    return amplitude * (ratio if nominal(ratio) > 1 else 1.0) * on_axles


def largest_trailer(vehicle: float, force: float) -> float:
    """The greatest trailer in kg that a D in N allows behind a vehicle in kg; infinite where D limits none.

    Algebra of UN R55's D: R = T D / (g T - D). D(T, R) stays below g T whatever R is.
    """
    return math.inf if force >= G * vehicle else vehicle * force / (G * vehicle - force)


def largest_semitrailer(vehicle: float, force: float, imposed: float) -> float:
    """The same of a fifth wheel: R = D (T - U) / (0.6 g T - D)."""
    return math.inf if force >= 0.6 * G * vehicle else force * (vehicle - imposed) / (0.6 * G * vehicle - force)


def _allowed(mass: float, imposed: float = 0.0) -> tuple[str, ...]:
    """What a D allows in words; nothing where the trailer would weigh no more than it rests on the fifth wheel with."""
    if math.isinf(mass):
        return ("Behind this vehicle this D limits no trailer.",)
    if mass <= imposed:
        return ()
    return (f"Behind this vehicle this D allows a trailer of up to {{mass_down:{mass}}} ({{word:trailer_max_mass}}).",)


BASIS = "UN Regulation No. 55, annex on characteristic values; the type plate of each part."
CURES = ("Fit a part with a higher value, or choose a lighter trailer.",)


@rule(
    "coupling-d-value",
    title="Every part's D is enough for the two vehicles",
    each="coupling.parts.*",
    where="coupling.parts",
    needs={
        "limit": ".d_value",
        "vehicle": "tow_vehicle.max_mass",
        "trailer": "trailer.max_mass",
        "on_axles": "trailer.max_axle_group_load",
        "own_load": ".max_vertical_load",
        "dc": ".dc_value",
        "v": ".v_value",
        "kind": "coupling.kind",
        "drawbar": "trailer.drawbar",
        "vertical": "coupling.vertical",
        "role": ".role",
    },
    quantity="The D that the two vehicles' maximum masses make",
    limit_name="the {subject}'s D value",
    why=f"{DESIGN} The weakest of ball, head and drawbar decides. D is the force of a fatigue test and no {{word:towed_mass}}.",
    unless="Centre-axle trailers of more than 3500 kg are held against Dc and V; goosenecks have no D, and other parts than "
    "those of a European ball are asked for none.",
    example="Vehicle 3500 kg, trailer 2000 kg: 9.81 x 3.5 x 2 / 5.5 = 12.49 kN; a ball of 12.5 kN bears it.",
    basis=BASIS,
    chain=True,
    cures=CURES,
)
def coupling_d_value(
    kind: str,
    limit: Value | None = None,
    vehicle: Value | None = None,
    trailer: Value | None = None,
    on_axles: Value | None = None,
    own_load: Value | None = None,
    dc: Value | None = None,
    v: Value | None = None,
    drawbar: str | None = None,
    vertical: Value | None = None,
    role: str | None = None,
) -> Answer:
    """D of the two vehicles' maximum masses, against the D on the part's plate; of a fifth wheel with the load U upon it."""
    if kind == "gooseneck":
        return not_applicable("UN R55 gives goosenecks no D")
    if limit is None and (kind != "european_ball" or role not in PLATED):
        return not_applicable("no D is stated, and only the ball and the head of a European ball always have one")
    if vehicle is None or trailer is None:
        absent = [p for p, v in (("tow_vehicle.max_mass", vehicle), ("trailer.max_mass", trailer)) if v is None]
        return undecided(*absent, reason="D is made of the two maximum masses")
    if kind == "fifth_wheel" and limit is not None:
        return _fifth_wheel(limit, vehicle, trailer, on_axles, own_load, vertical)
    if nominal(trailer) > HEAVY and drawbar != "hinged":
        if drawbar is None:
            return undecided("trailer.drawbar", reason="above 3500 kg a rigid drawbar is held against Dc and V instead")
        absent = [path for path, value in ((".dc_value", dc), (".v_value", v)) if value is None]
        if absent:
            return undecided(*absent, reason="a {word:centre}-axle trailer of more than 3500 kg is held against Dc and V")
        return not_applicable("a {word:centre}-axle trailer of more than 3500 kg is held against Dc and V")
    if limit is None:
        return undecided(".d_value", reason="the D on its type plate is not stated")
    notes = _allowed(largest_trailer(nominal(vehicle), nominal(limit)))
    return replace(at_most(d_value(vehicle, trailer), limit, notes=notes, dimension="force"), rests_on=frozenset())


def _fifth_wheel(
    limit: Value, vehicle: Value, trailer: Value, on_axles: Value | None, own_load: Value | None, vertical: Value | None
) -> Answer:
    """D of a fifth wheel. It rises with U, which is at least what the trailer's axles do not carry at its maximum mass and what
    is known to rest there today, and at most what the fifth wheel's plate allows."""
    by_axles = on_axles is not None and nominal(on_axles) < nominal(trailer)
    least: Value = trailer - on_axles if by_axles and on_axles is not None else 0.0
    if vertical is not None and nominal(vertical) > nominal(least):
        least = vertical
    lighter = min(nominal(vehicle), nominal(trailer))
    if nominal(least) >= lighter:
        reason = "the load found on the fifth wheel is no less than one of the two maximum masses, which cannot be"
        return undecided("trailer.max_axle_group_load", reason=reason)
    over = nominal(d_fifth_wheel(vehicle, trailer, least)) > nominal(limit)
    more = own_load is not None and nominal(own_load) > nominal(least)
    imposed = least
    if own_load is not None and more and not over:
        if nominal(own_load) >= lighter and not by_axles:
            reason = "the fifth wheel's plate allows more upon it than one of the two maximum masses, which tells no U"
            return undecided("trailer.max_axle_group_load", reason=reason)
        if nominal(own_load) >= lighter or nominal(d_fifth_wheel(vehicle, trailer, own_load)) > nominal(limit):
            reason = (
                "D is enough for the least load that the trailer puts on the fifth wheel, and too small for the most that the "
                "fifth wheel's plate allows upon it; which of them counts is not known"
            )
            return undecided("trailer.max_axle_group_load", reason=reason)
        imposed = least if by_axles else own_load
    elif not by_axles and not over and not more:
        reason = "the greatest load on the fifth wheel is not known"
        return undecided("trailer.max_axle_group_load", ".max_vertical_load", reason=reason)
    notes = _allowed(largest_semitrailer(nominal(vehicle), nominal(limit), nominal(imposed)), nominal(imposed))
    if imposed is own_load:
        notes = (*notes, "The load on it is taken as the most its plate allows.")
    elif imposed is vertical:
        notes = (*notes, "The load on it is taken as what rests there today, which is more than the axles' plate tells.")
    answer = at_most(d_fifth_wheel(vehicle, trailer, imposed), limit, notes=notes, dimension="force")
    return replace(answer, rests_on=frozenset({"vertical"} if imposed is vertical else ()))


UNLESS = (
    "It speaks of {word:centre}-axle trailers (rigid drawbars) of more than 3500 kg; up to that, D and the static load count."
)
WHY = f"{DESIGN} A rigid drawbar passes the trailer's pitching on to the coupling."


def _light(trailer: Value, drawbar: str | None, kind: str) -> Answer | None:
    """What is answered of a trailer that Dc and V do not speak of."""
    if kind in ("fifth_wheel", "gooseneck"):
        return not_applicable("the trailer is no {word:centre}-axle trailer")
    if nominal(trailer) <= HEAVY:
        return not_applicable("up to 3500 kg, D and the static load count")
    if drawbar is None:
        return undecided("trailer.drawbar", reason="it turns on whether the drawbar is rigid")
    return not_applicable("the drawbar is hinged, so that D counts") if drawbar == "hinged" else None


def _carried(trailer: Value, on_axles: Value | None) -> tuple[Value, tuple[str, ...]]:
    """C, what the trailer's axles carry at its maximum mass: the whole of it where the plate does not say, which is more."""
    if on_axles is not None:
        return on_axles, ()
    return trailer, (
        "The axles' part of the trailer's {word:trailer_max_mass} is not stated, so that the whole was taken, which is more.",
    )


@rule(
    "coupling-dc-value",
    title="Every part's Dc is enough for a heavy {word:centre}-axle trailer",
    each="coupling.parts.*",
    where=".dc_value",
    needs={
        "limit": ".dc_value",
        "vehicle": "tow_vehicle.max_mass",
        "trailer": "trailer.max_mass",
        "on_axles": "trailer.max_axle_group_load",
        "drawbar": "trailer.drawbar",
        "kind": "coupling.kind",
    },
    quantity="The Dc that the two vehicles' maximum masses make",
    limit_name="the {subject}'s Dc value",
    example="Vehicle 18 t, 12 t on the trailer's axles: 9.81 x 18 x 12 / 30 = 70.63 kN.",
    basis=BASIS,
    why=WHY,
    unless=UNLESS,
    chain=True,
    cures=CURES,
)
def coupling_dc_value(
    limit: Value, vehicle: Value, trailer: Value, kind: str, on_axles: Value | None = None, drawbar: str | None = None
) -> Answer:
    """Dc = g T C / (T + C), C being the most on the trailer's axles, against the Dc on the part's plate."""
    spared = _light(trailer, drawbar, kind)
    if spared is not None:
        return spared
    carried, notes = _carried(trailer, on_axles)
    force = d_value(vehicle, carried)
    if on_axles is None and nominal(force) > nominal(limit):
        return undecided(
            "trailer.max_axle_group_load", reason="what the trailer's axles carry at its {word:trailer_max_mass} decides"
        )
    return at_most(force, limit, notes=notes, dimension="force")


@rule(
    "coupling-v-value",
    title="Every part's V is enough for a heavy {word:centre}-axle trailer",
    each="coupling.parts.*",
    where=".v_value",
    needs={
        "limit": ".v_value",
        "trailer": "trailer.max_mass",
        "on_axles": "trailer.max_axle_group_load",
        "body": "trailer.body_length",
        "reach": "trailer.coupling_to_axle_centre",
        "air": "tow_vehicle.air_suspension",
        "drawbar": "trailer.drawbar",
        "kind": "coupling.kind",
    },
    quantity="The V that the trailer makes",
    limit_name="the {subject}'s V value",
    example="Air suspension, 12 t on the axles, body 7.3 m, drawbar 5.2 m: 1.8 x (7.3 / 5.2)^2 x 12 = 42.57 kN.",
    basis=BASIS,
    why=WHY,
    unless=UNLESS,
    chain=True,
    cures=CURES,
)
def coupling_v_value(
    limit: Value,
    trailer: Value,
    kind: str,
    on_axles: Value | None = None,
    body: Value | None = None,
    reach: Value | None = None,
    air: str | None = None,
    drawbar: str | None = None,
) -> Answer:
    """V = a (X / l)^2 C, against the V on the part's plate: a by the tow vehicle's rear suspension, X the body's length, l from
    coupling to axle centre, the ratio at least 1."""
    spared = _light(trailer, drawbar, kind)
    if spared is not None:
        return spared
    if body is None or reach is None:
        absent = [p for p, v in (("trailer.body_length", body), ("trailer.coupling_to_axle_centre", reach)) if v is None]
        return undecided(*absent, reason="the trailer's lengths are not known")
    carried, notes = _carried(trailer, on_axles)
    force = v_value(carried, body, reach, AIR if air == "yes" else OTHER)
    if air is None:
        notes = (*notes, "Whether the rear axle has air suspension is not stated, so that none was taken, which asks for more.")
    open_ = [p for p, v in (("trailer.max_axle_group_load", on_axles), ("tow_vehicle.air_suspension", air)) if v is None]
    if open_ and nominal(force) > nominal(limit):
        return undecided(*open_, reason="what was taken for it asks for more than the plate has, and may be too much")
    notes = (*notes, "The formula is made for a static load of up to 10 % of the trailer and 1000 kg.")
    return at_most(force, limit, notes=notes, dimension="force")
