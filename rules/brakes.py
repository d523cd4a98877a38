"""Trailer brakes as their makers fit them, and the controller that works them. What the law asks is for regulations."""

from __future__ import annotations

from rigmargin.judge.rule import Answer, Value, nominal, not_applicable, requires, rule, undecided

ELECTRIC = frozenset({"electric", "electric_over_hydraulic"})


@rule(
    "brake-controller",
    title="Electric trailer brakes have a controller that drives them",
    each="tow_vehicle",
    needs={"actuation": "trailer.brakes.actuation", "fitted": ".brake_controller.fitted", "drives": ".brake_controller.drives"},
    basis="Function: electric trailer brakes do nothing without a controller of their kind in the {word:tow_vehicle}.",
    quantity="The brake controller",
    limit_name="a controller for the trailer's brakes",
    why="Without it the trailer is unbraked, whatever is fitted behind its wheels.",
    unless="It speaks only of electric and electric-over-hydraulic brakes.",
    example="Electric-over-hydraulic brakes with a controller that drives electric brakes only: not met.",
)
def brake_controller(actuation: str, fitted: str | None = None, drives: str | None = None) -> Answer:
    """Whether the tow vehicle has a controller, and whether it drives this kind of trailer brake."""
    if actuation not in ELECTRIC:
        return not_applicable(f"the trailer's brakes are not electric ({actuation.replace('_', ' ')})")
    kind = actuation.replace("_", " ")
    expected = f"a controller that drives {kind} brakes"
    if fitted == "no":
        return requires(False, found="no controller is fitted", expected=expected, cures=(f"Fit {expected}.",))
    if fitted is None or drives is None:
        return undecided(*_absent(fitted, drives), reason="whether a fitting controller is there is not stated")
    met = drives in (actuation, "both")
    return requires(
        met, found=f"the controller drives {drives.replace('_', ' ')} brakes", expected=expected, cures=(f"Fit {expected}.",)
    )


def _absent(fitted: str | None, drives: str | None) -> tuple[str, ...]:
    values = {".brake_controller.fitted": fitted, ".brake_controller.drives": drives}
    return tuple(path for path, value in values.items() if value is None)


@rule(
    "trailer-brakes",
    title="The trailer has the brakes its maker fits",
    each="trailer",
    needs={"braked": ".brakes.braked_axles", "fits": ".maker_fits.braked_axles", "actuation": ".brakes.actuation"},
    basis="The trailer maker's specification.",
    quantity="The number of axles with working brakes",
    limit_name="the brakes the maker fits",
    why="The {word:tow_vehicle}'s brakes are sized for its own {word:tow_max_mass}, not for the combination.",
    example="The maker brakes both axles; one axle's wires are cut: one braked axle of two.",
)
def trailer_brakes(fits: Value, actuation: str, braked: Value | None = None) -> Answer:
    """The number of axles with working brakes, against the number the trailer's maker brakes."""
    if actuation == "none":
        braked = 0.0
    if braked is None:
        return undecided(".brakes.braked_axles", reason="how many axles have working brakes is not stated")
    have, want = int(nominal(braked)), int(nominal(fits))
    return requires(
        have >= want,
        found=f"{_axles(have)} with working brakes",
        expected=f"{_axles(want)} with brakes, as the maker fits",
        cures=("Have the missing brakes repaired or fitted.",),
    )


def _axles(number: int) -> str:
    return f"{number or 'no'} axle{'' if number == 1 else 's'}"


@rule(
    "breakaway",
    title="The trailer has the breakaway device its maker fits",
    each="trailer",
    needs={"fitted": ".breakaway.fitted", "fits": ".maker_fits.breakaway"},
    basis="The trailer maker's specification.",
    quantity="The breakaway device",
    limit_name="the device the maker fits",
    why="It is the last thing that stops a trailer which has come loose.",
    unless="It does not apply where the maker fits none; what the law asks is another matter.",
    example="The maker fits a breakaway switch; it was removed with the old battery: not met.",
)
def breakaway(fits: str, fitted: str | None = None) -> Answer:
    """Whether the breakaway device that the maker fits is there."""
    if fits == "no":
        return not_applicable("the trailer's maker fits none")
    if fitted is None:
        return undecided(".breakaway.fitted", reason="whether it is there and works is not stated")
    return requires(
        fitted == "yes",
        found="it is fitted" if fitted == "yes" else "it is not fitted",
        expected="a breakaway device, as the maker fits",
        cures=("Have the breakaway device fitted and tested.",),
    )
