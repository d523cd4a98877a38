"""Each axle, and the trailer's axles together, against what their makers allow."""

from __future__ import annotations

from rigmargin.judge.rule import Answer, Value, at_least, at_most, nominal, not_applicable, rule, undecided

from .region import regions


@rule(
    "axle-load",
    title="No axle carries more than its maximum load",
    each={"tow_vehicle.axles.*": {}, "trailer.axles.*": {}},
    needs={"load": ".", "limit": ".max_load"},
    states=True,
    basis="The maker's certification label or plate: the axle's limit as measured where the {words:tyre} meet the ground.",
    quantity="The load on the {subject}",
    limit_name="its {word:axle_limit}",
    why="An axle limit is set by its weakest part. Behind the rear axle a {word:coupling_load} weighs more than "
    "itself: the rear axle "
    "gains the load and what the front axle loses.",
    cures=("Take {excess} off the {subject}.",),
    example="Rear axle 5,720 lb coupled against 6,600 lb: 880 lb remain.",
)
def axle_load(load: Value, limit: Value) -> Answer:
    """The load on each axle in every coupled state that was weighed, against that axle's limit. An entry that stands for
    several like axles is judged on one of them; of several equalized axles each is taken to carry an even share within 10 % (a
    convention, the size from memory)."""
    return at_most(load, limit)


@rule(
    "front-axle-lift",
    title="The front axle stays on the ground",
    each="tow_vehicle",
    needs={"load": ".axles.front", "alone": ".axles.front@alone"},
    states=True,
    basis="Statics: a support cannot pull.",
    quantity="The load on the front axle",
    limit_name="the point of lifting off",
    why="A {word:coupling_load} behind the rear axle lifts the front; a computed load below zero means that the wheels "
    "leave the road "
    "and that no other figure of this rig can be believed. Long before that, steering and braking suffer: see how much is "
    "left.",
    cures=("Move load forward in the {word:tow_vehicle}, or lighten the {word:coupling_load}.",),
    example="Front axle alone 3,000 lb; coupling load 700 lb at 65 in behind the rear axle, wheelbase 145 in: it loses 314 lb.",
)
def front_axle_lift(load: Value, alone: Value | None = None) -> Answer:
    """The front axle's load while coupled, against zero; with the share of its load without the trailer that remains."""
    notes: tuple[str, ...] = ()
    if alone is not None and nominal(alone) > 0:
        notes = (f"{100 * nominal(load) / nominal(alone):.0f} % of the front axle's load without the trailer remains.",)
    return at_least(load, 0.0, notes=notes)


@rule(
    "trailer-axle-group",
    title="The trailer's wheels together stay within their limit",
    each="trailer",
    needs={"load": ".axle_group", "limit": ".max_axle_group_load", "places": "places"},
    states=True,
    basis="The trailer maker's plate (GTM in Australia and New Zealand).",
    quantity="The load on the trailer's own wheels",
    limit_name="the {word:axle_group_limit}",
    why="Some plates limit the wheels together as well as the whole trailer. Distributing bars push load back onto the "
    "trailer's wheels and can pass this limit while the trailer's mass has not changed.",
    unless="Outside Australia and New Zealand a plate need not state this limit; where it is not given, each axle is judged by "
    "axle-load instead.",
    cures=("Take {excess} off the trailer's wheels: out of the trailer, or forward onto the coupling if it has room.",),
    example="GTM 3,250 kg; 3,180 kg on the wheels while coupled: 70 kg remain.",
)
def trailer_axle_group(load: Value | None = None, limit: Value | None = None, places: tuple[str, ...] | None = None) -> Answer:
    """The load on all of the trailer's own wheels while coupled, against the plate's limit for them."""
    if limit is not None and load is None:
        return undecided(".axle_group", reason="the load on the trailer's wheels is not known")
    if limit is not None and load is not None:
        return at_most(load, limit)
    if places is None:
        return undecided("places", ".max_axle_group_load", reason="whether a plate states this limit depends on the country")
    if regions(places) & {"au", "nz"}:
        return undecided(".max_axle_group_load", reason="an Australian plate states it as GTM")
    return not_applicable("no separate limit for the wheels together is given; each axle is judged by itself")
