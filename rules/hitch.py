"""Parts of the hitch held against each other and against the class they are marked with, and how the trailer stands.

A class says what its standard asks of the least part of it. It stands in only where a part's own figure is not known, and never
makes that figure known.
"""

from __future__ import annotations

from functools import cache

from rigmargin.judge.rule import (
    Answer,
    Value,
    at_least,
    at_most,
    nominal,
    not_applicable,
    remark,
    requires,
    rule,
    undecided,
)

from .table import rows

POUND = 0.45359237  # kg, by definition
INCH = 0.0254  # m, by definition
CARRYING = ("weight_carrying", "pintle")
CLASSED = (*CARRYING, "weight_distributing")
#: Diameters nearer than this are the same ball: 2 5/16 in written as 2.31 in is 0.06 mm off, 2 in and 50 mm are 0.8 mm apart. m
SAME_BALL = 0.0004
#: Heights nearer than this are level: two steps of a tape (our convention), and what unit conversion leaves. m
LEVEL = 0.01 + 1e-9


@cache
def classes() -> dict[int, dict[str, str]]:
    """What SAE J684 gives each class, by its number: the rows of ``tables/coupling_class.csv``, in pounds."""
    return {int(row["class"]): row for row in rows("coupling_class")}


def _named(number: int) -> str:
    return f"the figure of class {number} of SAE J684, not the part's own"


_OWN = "It is what the standard gives the class; this part's own label may say less. Copy its figure."
_OTHER_ROW = "the file gives the part's own figure for another use only, and its class is no stand-in for the row of this one"
_BASIS = (
    "SAE J684, as Maryland adopted it (COMAR 11.13.08.04 to .10): the standard of the industry for trailers of up to 10,000 lb."
)


@rule(
    "coupling-class-vertical",
    title="No part of which only a class is known carries more than its class",
    each="coupling.parts.*",
    where=".class",
    needs={
        "load": ".vertical",
        "number": ".class",
        "own": ".max_vertical_load",
        "carrying": ".max_vertical_load.weight_carrying",
        "distributing": ".max_vertical_load.weight_distributing",
        "kind": "coupling.kind",
        "role": ".role",
        "parts": "coupling.parts",
        "weighed": "trailer.gross@weighed",
        "listed": "trailer.gross@computed",
    },
    chain=True,
    basis=_BASIS,
    quantity="The load on the {subject}",
    limit_name="the figure of its class",
    why="A class is a family of parts. It shows what is certainly too much; what this part may carry stands on its own label.",
    unless="The part's own figure is given, for this use or another, or the coupling is no ball or pintle.",
    cures=("Lighten the {word:coupling_load} by {excess}, or read the part's own label.",),
    example="A class 2 ball mount, carrying: the class has 300 lb. A tongue weight of 340 lb passes it by 40 lb.",
)
def coupling_class_vertical(
    number: Value,
    kind: str,
    load: Value | None = None,
    own: Value | None = None,
    carrying: Value | None = None,
    distributing: Value | None = None,
    role: str | None = None,
    parts: tuple[str, ...] | None = None,
    weighed: Value | None = None,
    listed: Value | None = None,
) -> Answer:
    """The load on a part against the tongue weight of its class, for carrying or for distributing, where its own figure is
    not known."""
    spared = _spared(kind, own)
    if spared:
        return not_applicable(spared)
    if carrying is not None or distributing is not None:
        return undecided(".max_vertical_load", reason=_OTHER_ROW)
    if load is None:
        return undecided(".vertical", reason="the {word:coupling_load} is not known")
    row, name = classes()[int(nominal(number))], _named(int(nominal(number)))
    fixed = row["carrying_lb" if kind in CARRYING else "distributing_lb"]
    if fixed:
        return _by_class(load, float(fixed) * POUND, name, ".max_vertical_load", role, parts)
    if kind in CARRYING:
        reason = f"the standard gives class {row['class']} a tongue weight for distributing hitches only"
        return undecided(".max_vertical_load", reason=reason)
    gross = listed if weighed is None else weighed  # never a mere lower bound: of a heavier trailer the share is larger
    if gross is None:
        return undecided("trailer.gross", reason="the class allows a share of the loaded trailer, which is not known")
    share, most = float(row["distributing_share"]), float(row["up_to_lb"]) * POUND
    heavier = nominal(gross) > most  # the class has no such trailer to take a share of
    of = "the heaviest trailer of the class" if heavier else "the loaded trailer"
    return _by_class(
        load, share * (most if heavier else gross), f"{name} ({share * 100:.0f} % of {of})", ".max_vertical_load", role, parts
    )


@rule(
    "coupling-class-towed-mass",
    title="No part of which only a class is known pulls more than its class",
    each="coupling.parts.*",
    where=".class",
    needs={
        "load": "trailer.gross",
        "number": ".class",
        "own": ".max_towed_mass",
        "carrying": ".max_towed_mass.weight_carrying",
        "distributing": ".max_towed_mass.weight_distributing",
        "kind": "coupling.kind",
        "role": ".role",
        "parts": "coupling.parts",
    },
    chain=True,
    basis=_BASIS,
    quantity="The loaded trailer",
    limit_name="the figure of its class",
    why="A class is a family of parts. It shows what is certainly too much; what this part may pull stands on its own label.",
    unless="The part's own figure is given, for this use or another, or the coupling is no ball or pintle.",
    cures=("Take {excess} out of the trailer, or read the part's own label.",),
    example="A class 3 receiver: the class has 5,000 lb. A trailer of 5,400 lb passes it by 400 lb.",
)
def coupling_class_towed_mass(
    number: Value,
    kind: str,
    load: Value | None = None,
    own: Value | None = None,
    carrying: Value | None = None,
    distributing: Value | None = None,
    role: str | None = None,
    parts: tuple[str, ...] | None = None,
) -> Answer:
    """The loaded trailer against the greatest trailer of a part's class, where its own figure is not known."""
    spared = _spared(kind, own)
    if spared:
        return not_applicable(spared)
    if carrying is not None or distributing is not None:
        return undecided(".max_towed_mass", reason=_OTHER_ROW)
    if load is None:
        return undecided("trailer.gross", reason="the loaded trailer's mass is not known")
    row, name = classes()[int(nominal(number))], _named(int(nominal(number)))
    return _by_class(load, float(row["up_to_lb"]) * POUND, name, ".max_towed_mass", role, parts)


def _by_class(load: Value, limit: Value, name: str, own: str, role: str | None, parts: tuple[str, ...] | None) -> Answer:
    """A load against a figure of a class; of a receiver behind which an extension is, only what passes it in any case."""
    if role in ("receiver", "towbar") and "extension" in (parts or ()) and nominal(load) <= nominal(limit):
        return undecided(own, reason="the extension leaves only a share of the receiver's own figure, which is not known")
    return at_most(load, limit, limit_name=name, notes=(_OWN,))


def _spared(kind: str, own: Value | None) -> str:
    if own is not None:
        return "the part's own figure is given, and counts"
    return "" if kind in CLASSED else "the standard speaks of balls and pintles behind a hitch"


@rule(
    "ball-fits",
    title="The ball is the one the coupler is made for",
    each="coupling",
    needs={"kind": ".kind", "ball": "coupling.ball.ball_diameter", "socket": "coupling.socket.ball_diameter"},
    basis="Function: a coupler holds the ball it is made for. The road authority of New Zealand warns that a 50 mm coupling "
    "on a 1 7/8 in ball comes off.",
    quantity="The ball in its coupler",
    limit_name="the ball the coupler is made for",
    why="A ball that is a little too small lets the coupler close and lifts out on the road. 2 in is 50.8 mm, and 50 mm is "
    "another ball.",
    unless="Fifth wheels and pintles have no ball; European balls and heads are all of 50 mm (UN R55, classes A and B), so "
    "that they are compared only where both are stated.",
    example="A 1 7/8 in ball in a coupler for 2 in: not met.",
)
def ball_fits(kind: str, ball: Value | None = None, socket: Value | None = None) -> Answer:
    """The diameter of the ball, against that of the ball which the coupler or coupling head is made for."""
    if kind in ("fifth_wheel", "pintle"):
        return not_applicable("the coupling has no ball")
    absent = [path for path, given in (("ball", ball), ("socket", socket)) if given is None]
    if absent and kind == "european_ball":
        return not_applicable("European balls and heads are of one size, and no other is stated")
    if ball is None or socket is None:
        reason = "the diameter of the ball, or that of the ball the coupler is made for, is not stated"
        return undecided(*(f"coupling.{path}.ball_diameter" for path in absent), reason=reason)
    has, wants = nominal(ball), nominal(socket)
    expected = f"one of {_size(wants)}, for which the coupler is made"
    cure = f"Fit a ball of {_size(wants)} whose own stamp bears the load."
    return requires(abs(has - wants) <= SAME_BALL, found=f"a ball of {_size(has)}", expected=expected, cures=(cure,))


def _size(metres: float) -> str:
    """A diameter in both units, for the difference that matters is lost in rounding one."""
    return f"{metres * 1000:.1f} mm ({metres / INCH:.4g} in)"


@rule(
    "spring-bars-least",
    title="The {word:coupling_load} is enough for the distributing bars",
    each="coupling.parts.*",
    where=".min_vertical_load",
    needs={"load": "coupling.vertical", "limit": ".min_vertical_load"},
    basis="The bars' own label or leaflet. Their greatest load is checked as that of every part.",
    quantity="The {word:coupling_load}",
    limit_name="the least load the {subject} are made for",
    why="Bars made for a heavier coupling hardly bend: they knock, and move load with every bump. The static load counts, bars "
    "slack.",
    cures=("Fit bars made for this {word:coupling_load}.",),
    example="Bars for 600 to 1,000 lb; coupling load 480 lb: 120 lb too little.",
)
def spring_bars_least(load: Value, limit: Value) -> Answer:
    """The static coupling load, against the least that the distributing bars are made for."""
    return at_least(load, limit)


LABEL = "The extension's own label: the share of the receiver's figures that it leaves."
LEVER = (
    "An extension lengthens the lever on the receiver. Its own strength does not help the receiver, and a share that is not on "
    "its label is not known."
)


def _left_behind(load: Value, limit: Value, parts: tuple[str, ...]) -> Answer:
    """A load against what one extension leaves; behind two in a row, only what passes even that."""
    if parts.count("extension") > 1 and nominal(load) <= nominal(limit):
        return undecided(".reduces_to", reason="extensions stand in a row, and no label says what they leave together")
    return at_most(load, limit)


@rule(
    "extension-vertical",
    title="Behind an extension the receiver carries only what is left of its figure",
    each="coupling.parts.*",
    needs={
        "load": "coupling.receiver.vertical",
        "limit": "coupling.receiver.max_vertical_load",
        "share": ".reduces_to",
        "parts": "coupling.parts",
    },
    quantity="The load on the receiver",
    limit_name="what the {subject} leaves of the receiver's maximum vertical load",
    cures=("Lighten the {word:coupling_load} by {excess}, or do without the extension.",),
    example="Receiver 500 lb, an extension that halves it: a tongue weight of 300 lb passes the 250 lb left by 50 lb.",
    where=".reduces_to",
    basis=LABEL,
    why=LEVER,
)
def extension_vertical(load: Value, limit: Value, share: Value, parts: tuple[str, ...]) -> Answer:
    """The load on the receiver, what hangs on it beside the trailer included, against its figure times the share that the
    extension leaves."""
    return _left_behind(load, share * limit, parts)


@rule(
    "extension-towed-mass",
    title="Behind an extension the receiver pulls only what is left of its figure",
    each="coupling.parts.*",
    needs={
        "load": "trailer.gross",
        "limit": "coupling.receiver.max_towed_mass",
        "share": ".reduces_to",
        "parts": "coupling.parts",
    },
    quantity="The loaded trailer",
    limit_name="what the {subject} leaves of the receiver's maximum {word:towed_mass}",
    cures=("Take {excess} out of the trailer, or do without the extension.",),
    example="Receiver 5,000 lb, an extension that halves it: a trailer of 2,700 lb passes the 2,500 lb left by 200 lb.",
    where=".reduces_to",
    basis=LABEL,
    why=LEVER,
)
def extension_towed_mass(load: Value, limit: Value, share: Value, parts: tuple[str, ...]) -> Answer:
    """The loaded trailer, against the receiver's figure times the share that the extension leaves."""
    return _left_behind(load, share * limit, parts)


@rule(
    "trailer-level",
    title="How the trailer stands",
    each="trailer",
    where=".level_height",
    needs={"load": ".nose_up", "reach": ".coupling_to_axle_centre"},
    basis="Statics of two heights. Makers ask for a level trailer; how far from it is too far no source says.",
    quantity="The rise of the trailer's frame towards the coupling",
    limit_name="level",
    why="Nose up loads the rear one of axles that are not equalized, nose down the front one, and either shifts load to or "
    "from the coupling. Measure the {word:coupling_load} at the height it travels at.",
    example="Coupling 450 mm high as it travels, 420 mm when the trailer is level: the nose is up by 30 mm.",
)
def trailer_level(load: Value, reach: Value) -> Answer:
    """The coupling's height as it travels less its height when the trailer is level, over the distance to the axles: level,
    nose up or nose down."""
    lifted = nominal(load) * nominal(reach)
    if abs(lifted) <= LEVEL:
        return remark(load, "it stands level, as nearly as a tape tells")
    way, other = ("up", "rear") if lifted > 0 else ("down", "front")
    notes = (
        f"At the coupling that is {{length:{abs(lifted)}}}.",
        f"Of axles that are not equalized the {other} one then carries more.",
    )
    return remark(load, f"its nose is {way}", notes=notes)
