"""Whether the evidence holds together: tickets of one loading, readings that fit the levers, figures known in several ways."""

from __future__ import annotations

from rigmargin.judge.rule import Answer, Value, agree, at_least, nominal, not_applicable, remark, requires, rule

CLOSURE = 3.0  # standard uncertainties: beyond this two tickets are not of one loading


@rule(
    "tickets-one-loading",
    title="The tickets with the bars slack and tensioned are of one loading",
    each="combination",
    needs={"slack": ".bars_slack", "tensioned": ".bars_tensioned"},
    basis="Statics: bars move load between axles and take none off the road, so both totals are the same.",
    quantity="The total with the bars slack",
    limit_name="the total with the bars tensioned",
    why="Tickets of two different loadings cannot be subtracted from each other. When they do not agree, nothing is derived "
    "from a coupled ticket together with another, and each is used only for what it shows by itself.",
    unless="It needs both tickets.",
    example="2,800 + 3,960 + 5,560 = 12,320 lb slack; 2,980 + 3,680 + 5,660 = 12,320 lb tensioned: they agree.",
)
def tickets_one_loading(slack: Value | None = None, tensioned: Value | None = None) -> Answer:
    """All axles with the bars slack against all axles with the bars tensioned, within three standard uncertainties."""
    if slack is None or tensioned is None:
        return not_applicable("the rig was not weighed both with the bars slack and with the bars tensioned")
    return agree(
        slack,
        tensioned,
        one_name="the total with the bars slack",
        other_name="the total with the bars tensioned",
        used="the tickets are not of one loading, so nothing was derived from the two together: weigh again in one go",
        coverage=CLOSURE,
    )


@rule(
    "tickets-fit-levers",
    title="The axle readings fit the wheelbase and the overhang",
    each="tow_vehicle",
    needs={"weighed": "front_axle.lost", "lever": "front_axle.lost_by_lever"},
    basis="Statics: the front axle loses the {word:coupling_load} times overhang over wheelbase.",
    quantity="What the front axle lost by the scale",
    limit_name="what it loses by the lever",
    why="Readings that cannot come from this vehicle mean an axle that stood on two platforms, front and rear exchanged, "
    "another loading, or a wrong tape measure; axle verdicts built on them are worth nothing.",
    unless="It needs the tow vehicle weighed alone and coupled, axle by axle, and the tape measures.",
    example="Coupling load 820 lb, overhang 65 in, wheelbase 145 in: 368 lb by the lever; 3,180 - 2,800 = 380 lb by the scale.",
)
def tickets_fit_levers(weighed: Value | None = None, lever: Value | None = None) -> Answer:
    """The front axle's loss by two tickets, against the coupling load from the same tickets by its lever."""
    if weighed is None or lever is None:
        return not_applicable(
            "the {word:tow_vehicle} was not weighed both alone and coupled, axle by axle, with its measures known"
        )
    return agree(
        weighed,
        lever,
        one_name="what the front axle lost by the scale",
        other_name="what it loses by the lever",
        used="the readings were used as they stand: check that no axle stood on two platforms, and measure wheelbase and "
        "overhang again",
        coverage=CLOSURE,
    )


@rule(
    "tickets-axle-order",
    title="Front and rear were not exchanged on the ticket",
    each="tow_vehicle",
    needs={
        "front": ".axles.front@alone:weighed",
        "rear": ".axles.rear@alone:weighed",
        "front_computed": ".axles.front@alone:computed",
        "rear_computed": ".axles.rear@alone:computed",
    },
    basis="Arithmetic: the readings are held against what the items lead one to expect, as they stand and exchanged.",
    quantity="The order of the axle readings",
    limit_name="front, then rear",
    why="Scale tickets print steer and drive axle in an order of their own; exchanged, every axle verdict is wrong.",
    unless="It needs the tow vehicle weighed alone and the axle loads computed from its items.",
    example="Expected 4,740 and 3,260 lb; the ticket as copied says front 3,260 and rear 4,740: it fits exchanged.",
)
def tickets_axle_order(
    front: Value | None = None,
    rear: Value | None = None,
    front_computed: Value | None = None,
    rear_computed: Value | None = None,
) -> Answer:
    """The axle readings of the tow vehicle alone, against what its items lead one to expect."""
    if front is None or rear is None or front_computed is None or rear_computed is None:
        return not_applicable("the axles were not both weighed alone and computed")
    straight = abs(nominal(front - front_computed)) + abs(nominal(rear - rear_computed))
    exchanged = abs(nominal(front - rear_computed)) + abs(nominal(rear - front_computed))
    return requires(
        straight <= 2 * exchanged,
        found="front and rear stand as expected"
        if straight <= 2 * exchanged
        else "the readings fit far better with front and rear exchanged",
        expected="the front axle's reading as front and the rear axle's as rear",
        cures=("Look at the ticket again, and exchange front and rear in the file if they were copied the wrong way round.",),
    )


@rule(
    "coupling-positive",
    title="The trailer presses on the coupling",
    each="coupling",
    needs={"load": ".vertical"},
    basis="Statics. A weighed {word:coupling_load} below zero means a tail-heavy trailer, or tickets of different loadings.",
    quantity="The {word:coupling_load}",
    limit_name="zero",
    why="A trailer that lifts the coupling unloads the rear axle and sways; more often the tickets are not of one loading.",
    cures=("Check that both tickets are of one loading; if they are, move cargo forward in the trailer before travelling.",),
    example="Coupled 5,900 lb, alone 5,980 lb: -80 lb on the coupling.",
)
def coupling_positive(load: Value) -> Answer:
    """The static coupling load, against zero."""
    return at_least(load, 0.0)


_KNOWN_TWICE = {
    subject: {"weighed": f"{fact}@weighed", "computed": f"{fact}@computed"}
    for subject, fact in {
        "coupling": ".vertical",
        "trailer": ".gross",
        "tow_vehicle": ".gross",
        "tow_vehicle.axles.*": ".",
    }.items()
}


@rule(
    "weighed-agrees-computed",
    title="What was weighed agrees with what the items add up to",
    each=_KNOWN_TWICE,
    needs={},
    basis="Measured beats computed; a disagreement between them is itself a finding.",
    quantity="What was weighed on the {subject}",
    limit_name="what the items add up to",
    why="When the scale and the list disagree by more than both are known to, something aboard is not listed, stands "
    "elsewhere, or weighs something else: what the list says of moving things cannot be trusted either.",
    unless="It needs the load both weighed and computed.",
    example="Trailer 6,380 lb by the scale, 5,600 ± 260 lb by the list: 780 lb are unaccounted for.",
)
def weighed_agrees_computed(weighed: Value | None = None, computed: Value | None = None) -> Answer:
    """Each load that is both weighed and computed, the one against the other."""
    if weighed is None or computed is None:
        return not_applicable("it is known in one way only, or not at all")
    came = "look for what came after the weighing (leave it out of the ticket's aboard) or is listed in the wrong place"
    missed = "look for what is aboard and not listed, or listed in the wrong place"
    return agree(
        weighed,
        computed,
        one_name="the {subject} as weighed",
        other_name="the same from the list of items",
        used=f"the weighed figure was used; {came if nominal(computed) > nominal(weighed) else missed}",
    )


_WEIGHED_TWICE = {
    subject: {"weighed": f"{fact}@{state}weighed", "other": f"{fact}@{state}rival"}
    for subject, fact, state in (
        ("coupling", ".vertical", ""),
        ("trailer", ".gross", ""),
        ("combination", ".gross", ""),
        ("tow_vehicle.axles.*", ".", ""),
        ("tow_vehicle", ".gross", ""),
    )
}


def _contradicted(weighed: Value | None, other: Value | None) -> Answer:
    if weighed is None or other is None:
        return not_applicable("no two weighings of it contradict each other")
    return agree(
        weighed,
        other,
        one_name="the {subject} as weighed one way",
        other_name="as weighed another way",
        used="both cannot be right: copy the tickets again, and weigh again if they are of different loadings",
        coverage=CLOSURE,
    )


@rule(
    "weighings-agree",
    title="Two weighings of one load do not contradict each other",
    each=_WEIGHED_TWICE,
    needs={},
    basis="Arithmetic: parts and totals of one ticket, and the ways from several tickets to one load, must agree within three "
    "standard uncertainties.",
    quantity="What was weighed on the {subject}",
    limit_name="another weighing of it",
    why="A verdict that rests on one of two weighings which contradict each other is worth nothing: where they would give "
    "different verdicts, none is given.",
    unless="It needs the load weighed in two ways.",
    example="Front 3,000 and rear 4,000 lb on a ticket that prints 9,000 lb for the tow vehicle: 2,000 lb apart.",
)
def weighings_agree(weighed: Value | None = None, other: Value | None = None) -> Answer:
    """Each load that was weighed in two ways, the one against the other."""
    return _contradicted(weighed, other)


@rule(
    "weighings-agree-alone",
    title="Two weighings of the {word:tow_vehicle} alone do not contradict each other",
    each="tow_vehicle",
    needs={"weighed": ".gross@alone:weighed", "other": ".gross@alone:rival"},
    basis="Arithmetic: parts and totals of one ticket must agree within three standard uncertainties.",
    quantity="What was weighed on the {word:tow_vehicle} alone",
    limit_name="another weighing of it",
    why="The {word:coupling_load} and the whole trailer are differences to this weighing.",
    unless="It needs the tow vehicle alone weighed in two ways.",
    example="Front 3,000 and rear 3,000 lb on a ticket that prints 6,900 lb in all: 900 lb apart.",
)
def weighings_agree_alone(weighed: Value | None = None, other: Value | None = None) -> Answer:
    """The tow vehicle alone, weighed in two ways, the one against the other."""
    return _contradicted(weighed, other)


@rule(
    "weighings-used",
    title="No ticket was left aside without saying so",
    each="tow_vehicle",
    needs={"unused": "unused_weighings"},
    basis="The newest ticket of each state is used; two of one day and one loading with different readings are read as one.",
    quantity="Tickets that were not used",
    limit_name="every ticket",
    why="An older ticket may show what the newer does not.",
    unless="It speaks only of tickets that gave way to a newer one.",
    example="Coupled on 1 May and on 4 July: the ticket of 1 May is not used.",
)
def weighings_used(unused: tuple[str, ...]) -> Answer:
    """The tickets that gave way to a newer one of the same state."""
    if not unused:
        return not_applicable("every ticket is used")
    return remark(None, f"{', '.join(unused)} gave way to a later one of the same state")


@rule(
    "weighings-loading",
    title="What was on the scale is said",
    each="tow_vehicle",
    needs={"listed": "weighings_as_listed"},
    basis="A ticket tells a mass and not what made it; what it was is for the ticket's own field aboard.",
    quantity="What was on the scale",
    limit_name="",
    why="A thing put in after the weighing is in no reading: what was weighed stays within while the rig gets heavier.",
    unless="It speaks of tickets without the field aboard, of a vehicle for which something is listed.",
    example="Weighed in May, a generator listed in June: write on the ticket who and what was aboard, without the generator.",
)
def weighings_loading(listed: tuple[str, ...]) -> Answer:
    """The tickets that do not say what was aboard, and how they are read."""
    if not listed:
        return not_applicable("no ticket leaves open what of the things listed was aboard")
    return remark(
        None,
        f"not said by {', '.join(listed)}, so that all that is listed is taken to have been aboard; write under aboard "
        "what was, if something has come or gone since",
    )


@rule(
    "weighings-days",
    title="Tickets that are read together are of one day",
    each="tow_vehicle",
    needs={"days": "weighing_days"},
    basis="Arithmetic: a difference of two tickets is the trailer's only if the rest was the same on both.",
    quantity="Tickets read together",
    limit_name="",
    why="Fuel, people, cargo and water change from day to day, and what changed is taken for the trailer's.",
    unless="It speaks of tickets of several days.",
    example="Coupled in August, alone in May: a full tank more is 60 lb more on the coupling.",
)
def weighings_days(days: tuple[str, ...]) -> Answer:
    """The days of the tickets that are used together."""
    if not days:
        return not_applicable("the tickets that are used are of one day")
    told = "days that are not stated" if days == ("",) else ", ".join(day or "a day that is not stated" for day in days)
    return remark(None, f"they are of {told}; whatever aboard does not tell is taken to have been the same")


@rule(
    "side-balance",
    title="What each side of an axle carries is known",
    each={"front_axle": {}, "rear_axle": {}, "trailer": {}},
    needs={"load": ".left_share"},
    basis="Common practice: half an axle's limit for each side is a guide and no maker's limit, so nothing is judged.",
    quantity="The left wheels' share of the {subject}",
    limit_name="half",
    why="Axle verdicts take the load to be even from side to side. {Words:tyre} and wheels are held against the heavier side.",
    unless="It needs a ticket that reads each wheel.",
    example="Left 800 kg, right 700 kg: the left wheels carry 53.3 %.",
)
def side_balance(load: Value | None = None) -> Answer:
    """The left wheels' share of each axle of the tow vehicle, and of the trailer's axles together, as a note."""
    if load is None:
        return not_applicable("its sides were not weighed one by one")
    return remark(load, "half of an axle's limit is what each side may be held against; its {words:tyre} and wheels are")


@rule(
    "coupling-load-agrees",
    title="The {word:coupling_load} stated in the file agrees with what was found",
    each="coupling",
    needs={"stated": "coupling_load", "found": ".vertical"},
    basis="Measured beats computed beats claimed; a disagreement is itself a finding.",
    quantity="The {word:coupling_load} stated in the file",
    limit_name="the {word:coupling_load} found",
    why="A stated {word:coupling_load} is often that of another day or another load.",
    unless="It needs a coupling load stated on its own and one found in another way.",
    example="Stated 560 lb by estimate; 820 lb by the scale.",
)
def coupling_load_agrees(stated: Value | None = None, found: Value | None = None) -> Answer:
    """The stated coupling load, against the one that is used."""
    if stated is None or found is None or stated is found:
        return not_applicable("there is no stated {word:coupling_load} beside one found in another way")
    return agree(
        stated,
        found,
        one_name="the {word:coupling_load} stated in the file",
        other_name="the one found",
        used="the one found was used",
    )
