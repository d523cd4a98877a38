"""Labels that cannot all be right, and figures that are no label's. Arithmetic between what is printed."""

from __future__ import annotations

from rigmargin.judge.rule import Answer, Value, agree, contradicted, nominal, not_applicable, requires, rule, undecided


def _no_less(larger: Value | None, smaller: Value | None, larger_name: str, smaller_name: str, cure: str) -> Answer:
    """One printed figure may not be smaller than another."""
    if larger is None or smaller is None:
        return not_applicable("it needs both figures")
    if nominal(larger) >= nominal(smaller):
        return requires(True, found=f"no less than {smaller_name}", expected="figures that can be right together")
    return agree(larger, smaller, one_name=larger_name, other_name=smaller_name, used=cure)


@rule(
    "labels-axles",
    title="The axle limits together reach the {word:tow_max_mass}",
    each="tow_vehicle",
    needs={"front": ".axles.front.max_load", "rear": ".axles.rear.max_load", "mass": ".max_mass"},
    basis="Arithmetic between labels: axle limits together are never less than the vehicle's {word:tow_max_mass}.",
    quantity="The sum of the axle limits",
    limit_name="the {word:tow_max_mass}",
    why="When they do not, one of the three was misread: most often the rear axle's limit or the line of another label.",
    unless="It needs all three figures.",
    example="Axles 5,200 + 6,600 = 11,800 lb, maximum mass 10,000 lb: they can be right together.",
)
def labels_axles(front: Value | None = None, rear: Value | None = None, mass: Value | None = None) -> Answer:
    """The sum of the axle limits, against the maximum mass."""
    total = None if front is None or rear is None else front + rear
    return _no_less(
        total, mass, "the sum of the axle limits", "the {word:tow_max_mass}", "each was used as it stands: read the label again"
    )


@rule(
    "labels-combination",
    title="The combination limit exceeds the vehicle's {word:tow_max_mass}",
    each="tow_vehicle",
    needs={"combination": ".max_combination_mass", "mass": ".max_mass"},
    basis="Arithmetic between labels: what vehicle and trailer may weigh together is no less than the vehicle alone.",
    quantity="The combination limit",
    limit_name="the {word:tow_max_mass}",
    why="A combination limit below the vehicle's own is a trailer limit or an axle limit that was copied into the wrong line.",
    unless="It needs both figures.",
    example="Combination 24,000 lb, maximum mass 10,000 lb: they can be right together.",
)
def labels_combination(combination: Value | None = None, mass: Value | None = None) -> Answer:
    """The combination limit, against the vehicle's own maximum mass."""
    return _no_less(
        combination,
        mass,
        "the combination limit",
        "the {word:tow_max_mass}",
        "each was used as it stands: read manual and label again",
    )


@rule(
    "labels-trailer",
    title="The trailer limit fits into the combination limit beside the empty vehicle",
    each="tow_vehicle",
    needs={"combination": ".max_combination_mass", "trailer": ".max_trailer_mass", "unloaded": ".unloaded.total"},
    basis="Arithmetic between labels: a trailer at its limit behind the empty vehicle cannot pass the combination limit.",
    quantity="The combination limit",
    limit_name="the sum of trailer limit and empty vehicle",
    why="When it does, the figures are of different rows, engines or axle ratios of the towing table.",
    unless="It needs all three figures.",
    example="Combination 15,000 lb; trailer 11,300 + empty vehicle 5,060 = 16,360 lb: one row was misread.",
)
def labels_trailer(combination: Value | None = None, trailer: Value | None = None, unloaded: Value | None = None) -> Answer:
    """The combination limit, against the trailer limit plus the empty vehicle."""
    both = None if trailer is None or unloaded is None else trailer + unloaded
    return _no_less(
        combination,
        both,
        "the combination limit",
        "the sum of trailer limit and empty vehicle",
        "each was used as it stands: read the towing table's row again",
    )


@rule(
    "labels-payload",
    title="The payload is less than the {word:tow_max_mass}",
    each="tow_vehicle",
    needs={"mass": ".max_mass", "payload": ".payload"},
    basis="Arithmetic between labels: what a vehicle may carry is a part of what it may weigh.",
    quantity="The {word:tow_max_mass}",
    limit_name="the payload",
    why="A payload that is no less was copied from another line, most often that of the vehicle's own mass.",
    unless="It needs both figures.",
    example="Payload 1,650 lb, maximum mass 7,200 lb: they can be right together.",
)
def labels_payload(mass: Value | None = None, payload: Value | None = None) -> Answer:
    """The vehicle's maximum mass, against its payload, which is less."""
    if mass is not None and payload is not None and nominal(mass) == nominal(payload):
        return contradicted(found="the placard's payload is the same", expected="less", cures=("Read both labels again.",))
    return _no_less(
        mass, payload, "the {word:tow_max_mass}", "the placard's payload", "each was used as it stands: read both labels again"
    )


@rule(
    "labels-axle-group",
    title="The limit on the trailer's own wheels is no more than its {word:trailer_max_mass}",
    each="trailer",
    needs={"mass": ".max_mass", "wheels": ".max_axle_group_load"},
    basis="Arithmetic between labels: the wheels carry a part of the loaded trailer, the coupling the rest.",
    quantity="The {word:trailer_max_mass}",
    limit_name="the limit on its wheels",
    why="When it is more, the two lines of the plate were exchanged, and both limits are then wrong.",
    unless="It needs both figures.",
    example="Wheels 2,500 kg, trailer 2,800 kg: they can be right together.",
)
def labels_axle_group(mass: Value | None = None, wheels: Value | None = None) -> Answer:
    """The trailer's maximum mass, against the limit on its own wheels."""
    return _no_less(
        mass,
        wheels,
        "the {word:trailer_max_mass}",
        "the limit on its wheels",
        "each was used as it stands: read the plate again",
    )


@rule(
    "limits-from-labels",
    title="Every limit comes from a label or a manual",
    each="tow_vehicle",
    needs={"claimed": "claimed_limits"},
    basis="Evidence ranks: a brochure or a guess never stands in for the label of this very vehicle.",
    quantity="The source of every limit",
    limit_name="a label or a manual",
    why="Brochures show the lightest build, and a limit does not rise because an accessory was fitted: only the maker's "
    "label, or a certificate for that rating, says what holds.",
    unless="It speaks of limits whose source is a brochure or an estimate; one whose source is not stated is taken as read "
    "from its label.",
    example="A maximum trailer mass from a brochure: the manual's row for this engine and axle ratio may be far less.",
)
def limits_from_labels(claimed: tuple[str, ...]) -> Answer:
    """Whether any limit rests on a brochure or an estimate, or a vehicle's own rating on the label of a part fitted to it."""
    if not claimed:
        return not_applicable("no limit of the file rests on a brochure or a guess")
    return undecided(*claimed, reason="a brochure, a guess or a fitted part's label stands where the maker's own should")


@rule(
    "rating-certificate",
    title="A rating is changed by a certificate for that rating, and by nothing else",
    each="tow_vehicle",
    needs={"refused": "refused_ratings"},
    basis="The maker assigns the ratings (United States: 49 CFR 567); where the law lets another body change one, its "
    "certificate names the rating it changes.",
    quantity="The change of a rating",
    limit_name="a certificate for that rating",
    why="A stiffer spring, a stronger axle or a bigger {word:tyre} has a rating of its own and leaves the vehicle's "
    "as it is. A "
    "certificate for one rating leaves the others: the combination, the {words:tyre} and the hitch keep theirs.",
    unless="It speaks of options that state another rating than the file does.",
    example="An option states a maximum mass of 10,500 lb for a vehicle labelled 10,000 lb: without certificate the vehicle is "
    "still judged at 10,000 lb.",
)
def rating_certificate(refused: tuple[str, ...]) -> Answer:
    """Whether an option states another rating for a vehicle without a certificate; the old rating is then used."""
    if not refused:
        return not_applicable("no option changes a rating")
    return requires(
        False,
        found=f"the option states {'; '.join(refused)} without a certificate: it was not used",
        expected="a certificate for each rating that it changes",
        cures=(
            "State the certificate (kind, number, authority, date) beside the rating, or take the rating out of the option.",
        ),
    )
