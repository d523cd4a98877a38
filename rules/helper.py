"""Helper springs: what they carry, what their maker asks of them, and what they do not do.

The maker's figures for a kit are limits of the kit. None of them is a limit of the axle, and none raises one.
"""

from __future__ import annotations

from rigmargin.judge.rule import (
    Answer,
    Value,
    agree,
    at_least,
    at_most,
    nominal,
    not_applicable,
    remark,
    requires,
    rule,
    undecided,
)

PART = ".suspension.helper"
KIT = "The kit maker's own figure."
ONLY = "It speaks only of axles on which the file describes helper springs."


@rule(
    "helper-changes-no-limit",
    title="Helper springs change how the vehicle stands, and no limit",
    each="tow_vehicle.axles.*",
    where=PART,
    needs={"rating": ".suspension.helper.max_load", "limit": ".max_load", "coupling": "coupling.kind"},
    basis="United States: an axle's rating is as measured where the {words:tyre} meet the ground, so that it takes in "
    "{words:tyre}, wheels, "
    "brakes and springs, and its maker sets it (NHTSA interpretations nht74-3.36 and nht76-5.17); only the original, the "
    "final-stage manufacturer or, before the first sale, an alterer assigns or changes a vehicle's rating (49 CFR 567; NHTSA "
    "interpretations baker2.crs and nht92-5.31). In some countries an approved engineer can re-rate a vehicle (from memory).",
    quantity="What the helper springs on the {subject} change",
    limit_name="",
    why="A truck that stands level looks as if it carried less. The scale reads the same, and every limit stands where it "
    "stood; only a certificate changes a certified rating.",
    unless=ONLY,
    example="A kit rated 5,000 lb on an axle of 3,900 lb: the axle's {word:axle_limit} is 3,900 lb.",
)
def helper_changes_no_limit(coupling: str, rating: Value | None = None, limit: Value | None = None) -> Answer:
    """What is told of every kit: ratings stay, its own mass counts, and in which order things are set."""
    notes = ["No rating of vehicle, axle, {word:tyre}, wheel or hitch changes, and the kit's own mass is part of the load."]
    if rating is not None and limit is not None and nominal(rating) > nominal(limit):
        notes.append(
            f"The kit's own rating, {{mass:{nominal(rating)}}}, is above the axle's {{word:axle_limit}}, "
            f"{{mass:{nominal(limit)}}}, "
            "and does not raise it."
        )
    if coupling == "weight_distributing":
        notes.append(
            "Set the helper springs first, then the distributing bars, then weigh: a vehicle that sinks less bends the bars "
            "less, and they move less load than they did at the same setting."
        )
    return remark(None, "how the vehicle stands, and no limit", notes=tuple(notes))


@rule(
    "helper-mass",
    title="The helper springs' own mass is counted",
    each="tow_vehicle.axles.*",
    where=PART,
    needs={"counted_as": ".suspension.helper.counted_as"},
    basis="Arithmetic: what is bolted to the vehicle is carried by it.",
    quantity="The own mass of the helper springs on the {subject}",
    limit_name="a load item",
    why="A kit of 20 kg is 20 kg less to carry. It is charged to payload, gross mass and axle like any later fitting.",
    unless=ONLY,
    example="Kit of 42 lb, listed as a load item at the axle: 42 lb less payload.",
)
def helper_mass(counted_as: str | None = None) -> Answer:
    """Whether the file names the load item that stands for the kit."""
    if counted_as is None:
        return undecided(".suspension.helper.counted_as", reason="no load item is named for it, so it may be in no sum")
    return requires(True, found=f"counted as the load item '{counted_as}'", expected="a load item")


@rule(
    "helper-share",
    title="What the helper springs carry, and whether they touch without the trailer, is told",
    each="tow_vehicle.axles.*",
    where=PART,
    needs={
        "load": ".suspension.helper.share",
        "carried": ".suspension.helper.load",
        "alone": ".suspension.helper.share@alone",
        "clearance": ".suspension.helper.clearance_unloaded",
        "pressed": ".suspension.helper.compression",
        "curve_end": ".suspension.helper.hard.compression",
        "kind": ".suspension.helper.kind",
        "travel": ".suspension.travel_left",
        "pressure": ".suspension.helper.pressure",
        "uncoupled": ".suspension.helper.pressure_uncoupled",
        "axle": ".",
    },
    states=True,
    basis="Derived: air carries pressure times effective area, other helpers follow their maker's curve; known to about 25 %.",
    quantity="The share of the {subject}'s load that rests on the helper springs",
    limit_name="",
    why="What the helper takes, the axle's own springs do not; {words:tyre}, wheels, bearings and axle carry all of "
    "it as before.",
    unless=ONLY,
    example="Two air springs of 25 in2 at 30 psi carry 1,500 lb of an axle's 4,020 lb: 37.3 %.",
)
def helper_share(
    kind: str,
    load: Value | None = None,
    carried: Value | None = None,
    alone: Value | None = None,
    clearance: Value | None = None,
    pressed: Value | None = None,
    curve_end: Value | None = None,
    travel: Value | None = None,
    pressure: Value | None = None,
    uncoupled: Value | None = None,
    axle: Value | None = None,
) -> Answer:
    """What the helper springs carry over the axle's load, coupled; and whether they touch without the trailer and unloaded.
    More than the axle has they cannot carry: then one figure contradicts another, and nothing is made of them."""
    if carried is not None and axle is not None and nominal(carried) > nominal(axle):
        return agree(
            carried,
            axle,
            one_name="what the helper springs carry by what is stated of them",
            other_name="the load on the {subject}",
            used="they cannot carry more than the axle has, so that no sinking, lamp or share was made of it: is the pressure "
            "right, and is the effective area that of one spring?",
            coverage=0.0,
        )
    if load is None or carried is None:
        takes = "pressure and effective area" if kind == "air" else "gap, two points of its curve, the axle's own springs"
        return remark(None, f"not known, because it takes {takes} and the axle's load")
    notes = [f"They carry {{mass:{nominal(carried)}}}, both sides together."]
    if kind == "air":
        notes.append("More air takes load off the axle's own springs, and none off the axle.")
    if pressure is not None and uncoupled is not None and nominal(pressure) < nominal(uncoupled):
        notes.append("The pressure as towed is below that without the trailer: were the two exchanged?")
    if travel is not None and nominal(travel) < 0:
        notes.append("The axle stands on its stop, which carries what the springs do not: this share does not hold.")
    if pressed is not None and curve_end is not None and nominal(pressed) > nominal(curve_end):
        ends = f"{{length:{nominal(pressed)}}}, past the {{length:{nominal(curve_end)}}}"
        notes.append(f"They are pressed in by {ends} to which their curve is given: what they carry there is a guess.")
    if alone is not None:
        share = nominal(alone)
        notes.append(
            f"Without the trailer they carry {{ratio:{share}}}." if share > 0 else "Without the trailer they stand clear."
        )
    if clearance is not None:
        clear = nominal(clearance)
        notes.append(
            f"On the unloaded vehicle they stand clear by {{length:{clear}}}."
            if clear > 0
            else "They touch on the unloaded vehicle too, so that it rides harder."
        )
    return remark(load, "the axle itself carries what it did", notes=tuple(notes))


@rule(
    "helper-load",
    title="The helper springs carry no more than they may",
    each="tow_vehicle.axles.*",
    where=PART,
    needs={
        "load": ".suspension.helper.load",
        "limit": ".suspension.helper.max_load",
        "kind": ".suspension.helper.kind",
        "pressed": ".suspension.helper.compression",
        "curve_end": ".suspension.helper.hard.compression",
    },
    states=True,
    basis=f"{KIT} It is a limit of the kit and none of the axle. The load is derived and known to about 25 %.",
    quantity="What the helper springs on the {subject} carry",
    limit_name="their own maximum load",
    why="A helper that carries more than it was made for tears its mounts or bursts, all at once and while driving.",
    unless=ONLY,
    example="1,500 lb on a kit of 5,000 lb: 3,500 lb remain, of the kit's limit and of no other.",
)
def helper_load(
    load: Value, limit: Value, kind: str = "", pressed: Value | None = None, curve_end: Value | None = None
) -> Answer:
    """What both helper springs of an axle carry together, against what their maker allows. Past the end of their curve what
    they carry is a guess, which clears nothing."""
    guess = pressed is not None and curve_end is not None and nominal(pressed) > nominal(curve_end)
    if guess and nominal(load) <= nominal(limit):
        return undecided(
            ".suspension.helper.hard.compression",
            reason="they are pressed in past the end of their curve, so that what they carry is a guess",
        )
    air = "; letting air out moves it to the axle's own springs and takes none off the axle" if kind == "air" else ""
    return at_most(load, limit, cures=(f"Lighten the {{subject}} until the helper springs carry {{excess}} less{air}.",))


@rule(
    "helper-minimum-pressure",
    title="Air helper springs keep their least pressure without the trailer",
    each="tow_vehicle.axles.*",
    where=PART,
    needs={
        "kind": ".suspension.helper.kind",
        "load": ".suspension.helper.pressure_uncoupled",
        "limit": ".suspension.helper.min_pressure",
    },
    basis=f"{KIT} 5 psi is the usual one (common practice), and nothing is judged by it.",
    quantity="The pressure of the helper springs on the {subject} without the trailer",
    limit_name="their least pressure",
    why="An air spring run empty folds and is pinched or rubbed through on the next bump.",
    unless="It speaks only of air springs.",
    cures=("Let air in until the least pressure holds with the trailer off and the vehicle empty.",),
    example="10 psi uncoupled, at least 5 psi: 5 psi remain.",
)
def helper_minimum_pressure(kind: str, load: Value | None = None, limit: Value | None = None) -> Answer:
    """The gauge pressure with the vehicle uncoupled, against the least that the kit's maker allows."""
    if kind != "air":
        return not_applicable("they are no air springs")
    if load is None or limit is None:
        return _asks({".suspension.helper.pressure_uncoupled": load, ".suspension.helper.min_pressure": limit})
    return at_least(load, limit)


@rule(
    "helper-maximum-pressure",
    title="Air helper springs keep below their greatest pressure",
    each="tow_vehicle.axles.*",
    where=PART,
    needs={
        "kind": ".suspension.helper.kind",
        "load": ".suspension.helper.pressure",
        "limit": ".suspension.helper.max_pressure",
    },
    basis=KIT,
    quantity="The pressure of the helper springs on the {subject} as towed",
    limit_name="their greatest pressure",
    why="Pressure rises further on every bump; past its limit the air spring or its fittings let go.",
    unless="It speaks only of air springs.",
    cures=("Let air out down to the greatest pressure: the axle's own springs take what the air no longer carries.",),
    example="30 psi as towed, at most 100 psi: 70 psi remain.",
)
def helper_maximum_pressure(kind: str, load: Value | None = None, limit: Value | None = None) -> Answer:
    """The gauge pressure coupled and loaded, against the most that the kit's maker allows."""
    if kind != "air":
        return not_applicable("they are no air springs")
    if load is None or limit is None:
        return _asks({".suspension.helper.pressure": load, ".suspension.helper.max_pressure": limit})
    return at_most(load, limit)


def _asks(figures: dict[str, Value | None]) -> Answer:
    """Which of these figures the file does not give."""
    return undecided(*(path for path, value in figures.items() if value is None), reason="the file does not give all it takes")


@rule(
    "helper-roll-stiffness",
    title="What the helper springs add against leaning is told",
    each="tow_vehicle.axles.*",
    where=PART,
    needs={"load": ".suspension.helper.roll_moment", "own": ".suspension.roll_moment"},
    states=True,
    basis="Derived for a beam axle: half the pair's rate times half the square of the spacing; known to about 25 %. It says "
    "nothing of stability.",
    quantity="The moment with which the helper springs on the {subject} resist one degree of lean",
    limit_name="",
    why="Less lean feels steadier. It does not make an overloaded axle lighter nor a swaying trailer steady, and it moves load "
    "between the axles' outer wheels in a bend.",
    unless=ONLY,
    example="260 lb/in for the pair, 38 in apart: 130 x 38^2 / 2 = 93,860 lb in for each radian, 137 lb ft for each degree.",
)
def helper_roll_stiffness(load: Value | None = None, own: Value | None = None) -> Answer:
    """What a pair of helper springs adds to the axle's resistance to leaning, beside that of the axle's own springs."""
    if load is None:
        return remark(None, "not known, because it takes the helpers' rate as they stand and their spacing")
    notes = [] if own is None else [f"The axle's own springs resist it with {{moment:{nominal(own)}}}."]
    return remark(load, "only while they touch; spacing counts squared", notes=tuple(notes))
