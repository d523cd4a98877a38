"""The tow vehicle maker's limit on the trailer."""

from __future__ import annotations

import math

from rigmargin.judge.rule import Answer, Value, at_most, nominal, not_applicable, remark, rule, undecided

from .region import regions

#: Where a maker's trailer limit speaks of the whole loaded trailer: North America, Australia and New Zealand, and the
#: United Kingdom's towing limit. A European registration figure (O.1, O.2) speaks of the axles of a centre-axle trailer.
WHOLE_TRAILER = frozenset({"us", "ca", "au", "nz", "gb"})

#: What owner's manuals print of height, second-hand: up to HOLDS a towing figure is whole, each STEP above takes SHARE of it;
#: some count a step that is begun, others a whole one only. m, m, 1
HOLDS, STEP, SHARE = 1000.0, 1000.0, 0.1
FOOT = 0.3048 / STEP  # a height that a map gives in whole feet is no step of its own


@rule(
    "towing-limit",
    title="The trailer is no heavier than the {word:tow_vehicle}'s maker allows",
    each="tow_vehicle",
    needs={
        "load": "trailer.gross",
        "on_axles": "trailer.axle_group",
        "limit": ".max_trailer_mass",
        "speaks_of": ".max_trailer_mass.speaks_of",
        "places": "places",
    },
    basis="The vehicle maker's towing table, or the registration paper.",
    quantity="The loaded trailer",
    limit_name="the {word:tow_vehicle}'s {word:max_trailer_mass}",
    why="It is a ceiling set with a lightly loaded vehicle: people and cargo beyond the maker's allowance come off it, which "
    "the combination limit shows. It is one limit among many and seldom the first to bind.",
    unless="It always applies. The row for this coupling and these brakes is used; a European registration figure speaks of "
    "the load on the trailer's own axles, a North American or Australian one of the whole loaded trailer.",
    cures=("Take {excess} out of the trailer.",),
    example="Limit 14,800 lb with a fifth wheel; trailer 12,580 lb loaded: 2,220 lb remain.",
)
def towing_limit(
    load: Value,
    limit: Value,
    on_axles: Value | None = None,
    speaks_of: str | None = None,
    places: tuple[str, ...] | None = None,
) -> Answer:
    """The loaded trailer (or, where the figure speaks of that, the load on its own axles) against the maker's trailer limit."""
    name, what = (
        "the {word:tow_vehicle}'s {word:max_trailer_mass} for the trailer's own axles",
        "The load on the trailer's own axles",
    )
    if speaks_of == "whole_trailer" or (speaks_of is None and places and regions(places) <= WHOLE_TRAILER and regions(places)):
        return at_most(load, limit)
    if speaks_of == "axles":
        if on_axles is None:
            return undecided("weighings.coupled.trailer_axles", reason="the load on the trailer's own axles is not known")
        return at_most(on_axles, limit, limit_name=name, quantity=what)
    if nominal(load) <= nominal(limit):
        return at_most(load, limit, notes=("It holds whether the figure means the whole trailer or the load on its axles.",))
    if on_axles is not None and nominal(on_axles) > nominal(limit):
        notes = ("The load on the axles alone already passes it.",)
        return at_most(on_axles, limit, limit_name=name, quantity=what, notes=notes)
    return undecided(
        ".max_trailer_mass.speaks_of", reason="whether the figure means the whole trailer or the load on its axles decides"
    )


@rule(
    "towing-figures-at-height",
    title="What height takes off the maker's towing figures",
    each="tow_vehicle",
    needs={
        "highest": "trip.highest_point",
        "load": "trailer.gross",
        "limit": ".max_trailer_mass",
        "together": "combination.gross",
        "combination": ".max_combination_mass",
    },
    basis="Owner's manuals of several makers, read second-hand: towing figures hold up to 1000 m, and are 10 % less for each "
    "further 1000 m, by some for each that is begun; some take it off the trailer, some off the combination. The "
    "{word:handbook} of this vehicle rules.",
    quantity="The maker's towing figures at the trip's highest point",
    limit_name="",
    why="An engine breathes thinner air higher up, and a figure that was tried near the sea does not hold on a pass.",
    unless="The file gives no highest point of the trip, or one of up to 1000 m.",
    example="A limit of 1600 kg at 2500 m: 1280 kg where a step that is begun counts, 1440 kg where a whole one does.",
)
def towing_figures_at_height(
    highest: Value | None = None,
    load: Value | None = None,
    limit: Value | None = None,
    together: Value | None = None,
    combination: Value | None = None,
) -> Answer:
    """What is left of the maker's limits on trailer and combination at a height, by either way to count; no verdict."""
    if highest is None:
        return not_applicable("the file gives no highest point of the trip")
    above = (nominal(highest) - HOLDS) / STEP
    if above < FOOT:
        return not_applicable("the trip goes no higher than 1000 m (3281 ft)")
    least, most = (1 - SHARE * steps for steps in (math.ceil(above - FOOT), math.floor(above + FOOT)))
    notes = []
    for name, figure, what, found in (
        ("{word:max_trailer_mass}", limit, "the loaded trailer", load),
        ("{word:max_combination_mass}", combination, "the combination", together),
    ):
        if figure is not None:
            left = f"{{mass:{least * nominal(figure)}}}" + ("" if least == most else f" to {{mass:{most * nominal(figure)}}}")
            now = "" if found is None else f"; {what} is {{mass:{nominal(found)}}}"
            notes.append(f"Of the {name}, {{mass:{nominal(figure)}}}, {left} would be left{now}.")
    off = f"{100 * (1 - least):.0f} %" if least == most else f"{100 * (1 - most):.0f} to {100 * (1 - least):.0f} %"
    reason = (
        f"makers commonly take {off} of them off there; the {{word:handbook}} tells, and the limits are held here without that"
    )
    return remark(None, reason, notes=tuple(notes))
