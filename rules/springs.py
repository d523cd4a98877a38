"""The tow vehicle's springs: whether they are sound, how far it sinks on them, where its lamps then point, what travel is left.

How a vehicle stands is no limit and is judged against none but what a maker states; it is told because it is what people see.
"""

from __future__ import annotations

import math

from rigmargin.judge.rule import Answer, Value, agree, at_least, nominal, not_applicable, remark, requires, rule, undecided

MODEL = "Derived from equilibrium on the springs described; known to about 25 %, which is what such a model supports."
STOPPED = "The axle stands on its stop, which carries what the springs do not: this does not hold."
SCREEN = 7.62  # m: 25 ft, the usual distance of a screen for aiming lamps in the United States; elsewhere it is 10 m


@rule(
    "springs-sound",
    title="The springs are sound before anything is added to them",
    each="tow_vehicle.axles.*",
    where=".suspension",
    needs={"condition": ".suspension.condition"},
    basis="An axle's rating takes the springs it was built with, in sound state, for granted.",
    quantity="The {subject}'s springs",
    limit_name="sound springs",
    why="A helper hides a sagging or broken spring and does not replace it: the axle's rating rests on the spring that is no "
    "longer there, and the helper's mounts carry what they were not made for.",
    unless="It speaks only of axles whose suspension the file describes.",
    example="Leaves cracked on one side: not met. They are replaced first; then it is seen whether a helper is wanted at all.",
)
def springs_sound(condition: str | None = None) -> Answer:
    """The stated condition of each axle's springs."""
    if condition is None:
        return undecided(".suspension.condition", reason="nothing is said of their state")
    return requires(
        condition == "sound",
        found=condition,
        expected="sound springs",
        cures=("Replace the {subject}'s springs first; a helper is no repair. Then measure heights again.",),
    )


@rule(
    "spring-rate-agrees",
    title="The stated spring rate agrees with the heights measured",
    each="tow_vehicle.axles.*",
    where=".suspension",
    needs={"measured": ".suspension.rate@computed", "stated": ".suspension.rate@stated"},
    basis="Measured on this vehicle beats printed for its pattern; a disagreement is itself a finding.",
    quantity="The rate of the {subject}'s main springs",
    limit_name="the stated rate",
    why="A spring that is softer than its maker says is tired, or is not the spring that was looked up.",
    unless="It needs both a stated rate and heights at two loads.",
    example="Stated 600 lb/in; 730 lb more lower the fender by 1.5 in: 487 lb/in.",
)
def spring_rate_agrees(measured: Value | None = None, stated: Value | None = None) -> Answer:
    """The main springs' rate from the heights at two loads, against the stated one."""
    if measured is None or stated is None:
        return not_applicable("the rate is known in one way only, or not at all")
    return agree(
        measured,
        stated,
        one_name="the rate of the {subject}'s springs by the heights",
        other_name="the stated one",
        used="the measured one was used: look at the springs' state, and measure again",
    )


@rule(
    "squat",
    title="How far each axle sinks under the trailer is told",
    each="tow_vehicle.axles.*",
    where=".suspension",
    needs={
        "load": ".suspension.squat",
        "without": ".suspension.squat_without_helper",
        "rate": ".suspension.rate",
        "travel": ".suspension.travel_left",
    },
    states=True,
    basis=MODEL,
    quantity="The height lost at the {subject} when the trailer is coupled",
    limit_name="",
    why="Sinking is what people see, and what springs cure. It is no limit: an axle may be past its limit on a level truck, "
    "and within it on one that sags.",
    unless="It speaks only of axles whose suspension the file describes.",
    example="730 lb used 1.5 in of springs of 487 lb/in; 1,180 lb more, with an overload stage of 600 lb/in after 2.4 in, "
    "lower it by 1.6 in. The axle carries 1,180 lb more with any springs.",
)
def squat(
    load: Value | None = None, rate: Value | None = None, without: Value | None = None, travel: Value | None = None
) -> Answer:
    """How far each axle of the tow vehicle goes down from how it stands loaded without the trailer, with the helper springs as
    they are and, beside it, without them; negative where it rises."""
    if rate is None:
        return remark(None, "not known, because neither a spring rate is given nor heights at two known loads")
    if load is None and without is not None:
        bare = f"Without them it is {{length:{nominal(without)}}}."
        return remark(
            None,
            "not known, because the file does not describe the helper springs wholly, or not as they can be",
            notes=(bare,),
        )
    if load is None:
        return undecided(".suspension.squat", reason="it takes the axle's load with and without the trailer, and its springs")
    notes = ["It is negative: the axle rises."] if nominal(load) < 0 else []
    if travel is not None and nominal(travel) < 0:
        notes.append(STOPPED)
    if without is not None:
        notes.append(
            f"Without the helper springs it would be {{length:{nominal(without)}}}, and the load on the axle the same."
        )
    reason = "counted from how it stands loaded without the trailer; no spring changes what the axle carries"
    return remark(load, reason, notes=tuple(notes))


@rule(
    "headlamp-aim",
    title="How far the headlamps' beam rises under the trailer is told",
    each="tow_vehicle",
    where=".axles.rear.suspension",
    needs={
        "load": ".pitch",
        "without": ".pitch_without_helper",
        "front": ".axles.front.suspension.travel_left",
        "rear": ".axles.rear.suspension.travel_left",
    },
    states=True,
    basis="Derived: the beam rises with the nose, by the tangent of the pitch; known to about 25 % of each axle's travel. A "
    "European text on dipped beams that was read wants 0.5 to 2.5 % down under all loads; another that was found differs, so "
    "nothing is judged by it.",
    quantity="The share of distance by which the headlamps' beam rises",
    limit_name="",
    why="A beam that points above level blinds those who come towards it and lights less of the road.",
    unless="It speaks only of tow vehicles whose rear suspension the file describes.",
    example="Rear 1.6 in down, front 0.36 in up, wheelbase 145 in: 1.35 %, 4.1 in higher at 25 ft. A lamp set 1 % down then "
    "points above level.",
)
def headlamp_aim(
    load: Value | None = None, without: Value | None = None, front: Value | None = None, rear: Value | None = None
) -> Answer:
    """The tangent of the pitch, nose up, from how the vehicle stands loaded without the trailer."""
    if load is None:
        return remark(None, "not known, because it takes the wheelbase and the sinking of both axles")
    tangent = nominal(load)
    angle, way = math.degrees(math.atan(tangent)), "lower" if tangent < 0 else "higher"
    notes = [
        f"That is {abs(angle):.2f} degrees: the beam strikes {{length:{abs(tangent) * SCREEN}}} {way} at {{length:{SCREEN}}} "
        f"and {{length:{abs(tangent) * 10}}} {way} at {{length:10}}.",
        "How far down a beam must point when loaded differs by rule and by the lamps' height: look up the one that applies.",
    ]
    if tangent > 0.01:
        notes.insert(1, "A lamp set 1 % down without the trailer then points above level.")
    if any(travel is not None and nominal(travel) < 0 for travel in (front, rear)):
        notes.append(STOPPED)
    if without is not None:
        notes.append(f"Without the helper springs it would be {{ratio:{nominal(without)}}}.")
    return remark(load, "counted from how the vehicle stands loaded without the trailer", notes=tuple(notes))


@rule(
    "bump-travel",
    title="As much bump travel is left as the maker wants",
    each="tow_vehicle.axles.*",
    where=".suspension",
    needs={
        "load": ".suspension.travel_left",
        "travel": ".suspension.bump_travel",
        "least": ".suspension.min_bump_travel",
    },
    states=True,
    basis=f"The figure of the vehicle's or the kit's maker, if the file gives one; else that a stop is a stop. {MODEL}",
    quantity="The bump travel left at the {subject}",
    limit_name="what the maker wants left",
    why="An axle that meets its stop on every bump hammers frame and mounts, and has no springs when it does.",
    unless="It needs the bump travel measured at a known load.",
    cures=("Lighten the load on the {subject}.",),
    example="4.5 in when empty, 3.1 in used by the load: 1.4 in are left.",
)
def bump_travel(load: Value | None = None, travel: Value | None = None, least: Value | None = None) -> Answer:
    """How far each axle can still rise before it meets its bump stop, against what its maker wants left; where no maker's
    figure is given, against nothing, at which it stands on the stop."""
    if travel is None:
        return not_applicable("no bump travel is stated for this axle")
    if load is None:
        return undecided(".suspension.travel_left", reason="it takes the axle's load now and when the travel was measured")
    notes = (STOPPED.replace("this does", "sinking, lamps and share do"),) if nominal(load) < 0 else ()
    if least is None:
        return at_least(load, 0.0, limit_name="the point of standing on its stop", notes=notes)
    return at_least(load, least, notes=notes)
