"""The tow vehicle maker's limit on the trailer."""

from __future__ import annotations

from rigmargin.judge.rule import Answer, Value, at_most, nominal, rule, undecided

from .region import regions

#: Where a maker's trailer limit speaks of the whole loaded trailer: North America, Australia and New Zealand, and the
#: United Kingdom's towing limit. A European registration figure (O.1, O.2) speaks of the axles of a centre-axle trailer.
WHOLE_TRAILER = frozenset({"us", "ca", "au", "nz", "gb"})


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
