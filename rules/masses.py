"""Whole masses of the tow vehicle, the trailer and the combination, against what their makers allow."""

from __future__ import annotations

from rigmargin.judge.rule import Answer, Value, agree, at_most, nominal, not_applicable, rule, undecided


@rule(
    "tow-vehicle-gross",
    title="The loaded {word:tow_vehicle} stays within its {word:tow_max_mass}",
    each="tow_vehicle",
    needs={"load": ".gross", "limit": ".max_mass"},
    states=True,
    basis="The vehicle maker's certification label or plate (49 CFR 567 in the United States).",
    quantity="The loaded {word:tow_vehicle}",
    limit_name="its {word:tow_max_mass}",
    why="The {word:tow_max_mass} covers frame, brakes, axles, wheels and {words:tyre} together. It counts the "
    "{word:coupling_load}, and no "
    "spring, air bag or {word:tyre} raises it.",
    cures=("Take {excess} off the {word:tow_vehicle}: people, cargo, hitch hardware and the {word:coupling_load} all count.",),
    example="Maximum mass 10,000 lb; both axles together weigh 10,480 lb coupled: over by 480 lb, whatever the axle and "
    "towing limits say.",
)
def tow_vehicle_gross(load: Value, limit: Value) -> Answer:
    """The tow vehicle's mass on its own wheels while coupled, people, cargo and coupling load included, against its maximum."""
    return at_most(load, limit)


@rule(
    "payload",
    title="People, cargo, hardware and {word:coupling_load} stay within the payload",
    each="tow_vehicle",
    needs={"load": ".payload_used", "placard": ".payload", "difference": ".payload_by_difference"},
    basis="The {word:tyre} and loading placard (in the United States FMVSS 110, load-limit steps of 49 CFR 575.6), or "
    "{word:tow_max_mass} less {word:tow_unloaded}.",
    quantity="The sum of people, cargo, hitch hardware and {word:coupling_load}",
    limit_name="the payload",
    why="The placard's figure holds for this very vehicle as built. The {word:coupling_load} is charged to it in full: "
    "distributing bars move load between axles and give no payload back.",
    cures=("Take {excess} off the {word:tow_vehicle}: people, cargo, hitch hardware and the {word:coupling_load} all count.",),
    example="Placard 1,400 lb; five people of 150 lb: 1,400 - 750 = 650 lb is left for cargo and the coupling load.",
)
def payload(load: Value, placard: Value | None = None, difference: Value | None = None) -> Answer:
    """People, cargo, fittings, hitch hardware and the static coupling load, against the smaller of the placard's capacity and
    the maximum mass less the unloaded mass."""
    names = {"the placard's payload": placard, "{word:tow_max_mass} less {word:tow_unloaded}": difference}
    known = {name: value for name, value in names.items() if value is not None}
    if not known:
        return undecided(
            ".payload", reason="neither the placard's payload nor both {word:tow_max_mass} and {word:tow_unloaded} are given"
        )
    name = min(known, key=lambda n: nominal(known[n]))
    return at_most(load, known[name], limit_name=name)


@rule(
    "payload-agreement",
    title="The placard's payload agrees with {word:tow_max_mass} less {word:tow_unloaded}",
    each="tow_vehicle",
    needs={"placard": ".payload", "difference": ".payload_by_difference"},
    basis="Arithmetic between two labels: capacity cannot exceed {word:tow_max_mass} less {word:tow_unloaded} (in the "
    "United States FMVSS 110).",
    quantity="The placard's payload",
    limit_name="{word:tow_max_mass} less {word:tow_unloaded}",
    why="When the two disagree, one of the labels, the empty weight or a fitting added later is wrong, and so is every payload "
    "worked out from it.",
    unless="It needs both figures; with one of them only there is nothing to compare.",
    example="Placard 2,710 lb; maximum mass 10,000 lb less 7,290 lb empty = 2,710 lb: they agree.",
)
def payload_agreement(placard: Value | None = None, difference: Value | None = None) -> Answer:
    """The two ways of knowing what the vehicle may carry, against each other."""
    if placard is None or difference is None:
        return not_applicable("there is only one figure, or none")
    smaller = "the placard's figure" if nominal(placard) <= nominal(difference) else "the difference"
    return agree(
        placard,
        difference,
        one_name="the placard's payload",
        other_name="{word:tow_max_mass} less {word:tow_unloaded}",
        used=f"{smaller} was used because it is the smaller",
    )


@rule(
    "combination-gross",
    title="Vehicle and trailer together stay within the {word:max_combination_mass}",
    each="tow_vehicle",
    needs={"load": "combination.gross", "limit": ".max_combination_mass"},
    basis="The vehicle maker's figure: manual, label or plate.",
    quantity="The combination of vehicle and trailer",
    limit_name="the {word:max_combination_mass}",
    why="Drive line, cooling and brakes are proved up to this mass. The {word:coupling_load} is counted once: it is already in "
    "the trailer's mass when the vehicle is weighed alone, and on the vehicle's wheels when the rig is weighed coupled.",
    cures=("Take {excess} out of the rig; moving it between vehicle and trailer does not help.",),
    example="Coupled on the scale 4,760 + 5,720 + 10,100 = 20,580 lb against 24,000 lb: 3,420 lb remain.",
)
def combination_gross(load: Value, limit: Value) -> Answer:
    """Everything on all wheels, the coupling load counted once, against the maximum combination mass."""
    return at_most(load, limit)


@rule(
    "trailer-gross",
    title="The loaded trailer stays within its {word:trailer_max_mass}",
    each="trailer",
    needs={"load": ".gross", "limit": ".max_mass"},
    basis="The trailer maker's certification label or plate.",
    quantity="The loaded trailer",
    limit_name="its {word:trailer_max_mass}",
    why="The trailer's {word:trailer_max_mass} includes what rests on the coupling: a trailer whose wheels carry "
    "exactly their limit "
    "while coupled is already over by the {word:coupling_load} if both limits are the same figure.",
    cures=("Take {excess} out of the trailer.",),
    example="12,580 lb loaded against 14,000 lb: 1,420 lb remain.",
)
def trailer_gross(load: Value, limit: Value) -> Answer:
    """The trailer's whole mass, coupling load included, against its maximum mass."""
    return at_most(load, limit)
