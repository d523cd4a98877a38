"""Wheels and valve stems against what they are rated for, and the cold pressure against every limit from above and below."""

from __future__ import annotations

from rigmargin.judge.rule import Answer, Value, at_most, in_si, nominal, requires, rule, undecided

from .table import rows as table_rows
from .tyre_load import PRESSURE_STEP
from .tyres import EACH, SPECIAL_UNKNOWN, Vehicle, heavier, special_trailer

ONLY = "It speaks only of axles whose {words:tyre} the file describes; of the others tyre-capacity asks."
#: No number of a standard: a kind, of which each maker's has a pressure of its own.
CLAMPED = "metal_clamp_in"
_AXLES = ("tow_vehicle.axles.*", "trailer.axles.*")


@rule(
    "wheel-load",
    title="No wheel carries more than it is rated for",
    each={axle: {"left": own["left"]} for axle, own in EACH.items()},
    where=".tyres",
    needs={"load": ".", "count": ".tyres.count", "limit": ".wheels.max_load"},
    states=True,
    basis="The wheel's own stamp; a wheel maker's page: the rating of a wheel is to be at least its share of the axle's.",
    quantity="The load on the {subject}",
    limit_name="what its wheels are rated for",
    why="A stronger {word:tyre} on a wheel that is not rated for it makes the wheel the weakest link, and it breaks "
    "without warning.",
    unless=ONLY,
    example="Two wheels of 3,200 lb: 6,400 lb on the axle, and 3,200 lb on either side.",
)
def wheel_load(load: Value, count: Value, limit: Value, left: Value | None = None) -> Answer:
    """The load on each axle against the rating of its wheels together; where a ticket read each side, the heavier side's
    load against that side's wheels."""
    side_load, side = heavier(load, left)
    number = nominal(count) / 2 if side else nominal(count)
    where = f"the {side} wheels of the {{subject}}" if side else "the {subject}"
    return at_most(
        side_load,
        limit * number,
        quantity=f"The load on {where}",
        notes=(f"{number:.0f} wheel{'s' if number > 1 else ''} of {{mass:{nominal(limit)}}}{' each' if number > 1 else ''}.",),
        cures=(f"Take {{excess}} off {where}, or fit wheels that are rated for it.",),
    )


@rule(
    "tyre-pressure-least",
    title="The {words:tyre} are set to no less than the placard's pressure",
    each={"tow_vehicle.axles.*": {"vehicle": "tow_vehicle.kind"}, "trailer.axles.*": {"vehicle": "trailer.axles"}},
    where=".tyres",
    needs={
        "cold": ".tyres.cold_pressure",
        "placard": ".tyres.placard_pressure",
        "reference": ".tyres.pressure_at_max_load",
        "kind": ".tyres.type",
        "speed": "trip.top_speed",
    },
    basis="The vehicle maker's placard or certification label; trade guidance in the United States: never below it, whatever "
    "the load. For special-trailer {words:tyre} above 65 mph (104 km/h) a table of the Tire and Rim Association, read "
    "second-hand. Pressures "
    "within 1 psi (7 kPa) count as equal.",
    quantity="The cold pressure of the {words:tyre} on the {subject}",
    limit_name="the least pressure",
    why="The maker chose the pressure for handling and heat as well as for load, and load tables are minimums.",
    unless=ONLY,
    example="Placard 65 psi, set to 60 psi: not met. A special-trailer tyre rated at 80 psi on a trip at 70 mph: 90 psi.",
)
def tyre_pressure_least(
    cold: Value, placard: Value | None = None, reference: Value | None = None, kind: str | None = None,
    speed: Value | None = None, vehicle: Vehicle | None = None,
) -> Answer:  # fmt: skip
    """The cold pressure against the placard's, and for special-trailer tyres above 65 mph against 10 psi more than that of
    their rating."""
    more = special_trailer(speed)[0] if speed is not None else 0.0
    fast = more > 0 and kind == "special_trailer"
    least = {"the placard asks for": placard}
    if fast and reference is not None:
        least["a special-trailer {word:tyre} above 65 mph (104 km/h) takes"] = reference + more
    asked = {words: value for words, value in least.items() if value is not None}
    words, limit = max(asked.items(), key=lambda one: nominal(one[1]), default=("", 0.0))
    if nominal(cold) < nominal(limit) - PRESSURE_STEP:
        to_that = f"Inflate to {{inflation:{nominal(limit)}}}"
        return requires(
            False,
            found=f"set to {{pressure:{nominal(cold)}}}, while {words} {{inflation:{nominal(limit)}}}",
            expected="at least that",
            cures=(f"{to_that}, cold, if {{word:tyre}}, wheel and valve are made for it; else drive slower, or carry less.",)
            if fast
            else (f"{to_that}, cold.",),
        )
    if placard is None:
        return undecided(".tyres.placard_pressure", reason="the pressure that the vehicle's maker prescribes is not given")
    if fast and reference is None:
        return undecided(
            ".tyres.pressure_at_max_load",
            reason="above 65 mph (104 km/h) a special-trailer {word:tyre} takes 10 psi (69 kPa) more than that",
        )
    enough = reference is not None and nominal(cold) >= nominal(reference) + more - PRESSURE_STEP
    if more > 0 and kind is None and isinstance(vehicle, tuple) and not enough:
        return undecided(".tyres.size", ".tyres.type", reason=SPECIAL_UNKNOWN)
    return requires(
        True, found=f"set to {{pressure:{nominal(cold)}}}; {words} {{inflation:{nominal(limit)}}}", expected="at least that"
    )


@rule(
    "tyre-pressure-most",
    title="The {words:tyre} are set to no more than {word:tyre}, wheel and valve are made for",
    each={axle: {} for axle in _AXLES},
    where=".tyres",
    needs={
        "cold": ".tyres.cold_pressure",
        "reference": ".tyres.pressure_at_max_load",
        "most": ".tyres.max_cold_pressure",
        "kind": ".tyres.type",
        "wheel": ".wheels.max_pressure",
        "valve": ".valves.max_pressure",
        "stem": ".valves.kind",
    },
    basis="The sidewall, the wheel's stamp and the valve's own data; for standard valve numbers the figures of the Tire and "
    "Rim Association as a commercial {word:tyre} data book prints them. Pressures within 1 psi (7 kPa) count as equal.",
    quantity="The cold pressure of the {words:tyre} on the {subject}",
    limit_name="the greatest pressure",
    why="A snap-in valve or a wheel made for a car's pressure lets go at a truck's, all at once and while driving.",
    unless=ONLY,
    example="Load-range-E tyres at 80 psi on TR413 valves, made for 65 psi: not met.",
)
def tyre_pressure_most(
    cold: Value, reference: Value | None = None, most: Value | None = None, kind: str | None = None,
    wheel: Value | None = None, valve: Value | None = None, stem: str | None = None,
) -> Answer:  # fmt: skip
    """The cold pressure against the most that the tyre, the wheel and the valve stem are made for."""
    if valve is None and stem is not None and stem != CLAMPED:
        valve = in_si(next(f"{row['psi']} psi" for row in table_rows("valve_pressure") if row["kind"] == stem))
    limits = {"the {word:tyre}": most, "the wheel": wheel, f"the valve{f' ({stem})' if stem else ''}": valve}
    passed = {
        what: limit for what, limit in limits.items() if limit is not None and nominal(cold) > nominal(limit) + PRESSURE_STEP
    }
    if passed:
        what, limit = min(passed.items(), key=lambda one: nominal(one[1]))
        return requires(
            False,
            found=f"set to {{pressure:{nominal(cold)}}}, while {what} is made for {{pressure_down:{nominal(limit)}}}",
            expected="at most that",
            cures=(f"Fit a part that is made for it in the place of {what}, or carry what a lower pressure allows.",),
        )
    missing = [path for path, value in ((".wheels.max_pressure", wheel), (".valves.max_pressure", valve)) if value is None]
    if most is None and not _is_rated_for(cold, reference, kind):
        missing.insert(0, ".tyres.max_cold_pressure")
    if missing:
        return undecided(*missing, reason="how much pressure each of {word:tyre}, wheel and valve is made for is not known")
    return requires(
        True,
        found=f"set to {{pressure:{nominal(cold)}}}, for which {{word:tyre}}, wheel and valve are made",
        expected="no more",
    )


def _is_rated_for(cold: Value, reference: Value | None, kind: str | None) -> bool:
    """Whether the pressure is that of the rating or less; a special-trailer tyre at speed may have 10 psi more."""
    more = in_si("10 psi") if kind == "special_trailer" else 0.0
    return reference is not None and nominal(cold) <= nominal(reference) + more + PRESSURE_STEP
