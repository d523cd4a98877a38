"""Weight-distributing hitches: whether what the bars do was weighed, and how much of the front axle's load they bring back."""

from __future__ import annotations

from rigmargin.judge.rule import Answer, Value, band, not_applicable, remark, requires, rule, undecided


@rule(
    "distribution-weighed",
    title="With a distributing hitch, the rig is weighed with its bars tensioned",
    each="tow_vehicle",
    needs={"kind": "coupling.kind", "weighed": ".gross@coupled_distributing"},
    basis="Statics: what the bars move between the axles cannot be told from their settings.",
    quantity="The rig with its bars tensioned",
    limit_name="a weighing",
    why="The bars load the front axle and the trailer's axles. How much depends on how they are set, so only a weighing with "
    "the bars tensioned shows the axle loads as travelled.",
    unless="It speaks only of weight-distributing hitches.",
    example="Bars slack: front 2,900 lb, rear 4,700 lb. Bars tensioned: 3,050 lb and 4,480 lb, and 70 lb more on the trailer's "
    "axles.",
)
def distribution_weighed(kind: str, weighed: Value | None = None) -> Answer:
    """Whether the axle loads with the distributing bars tensioned are known at all."""
    if kind != "weight_distributing":
        return not_applicable("the coupling has no distributing bars")
    if weighed is None:
        return undecided(
            "weighings.coupled_distributing.front",
            "weighings.coupled_distributing.rear",
            "weighings.coupled_distributing.trailer_axles",
            reason="the axle loads as travelled, with the bars tensioned, were not weighed",
        )
    return requires(True, found="weighed with the bars tensioned", expected="a weighing with the bars tensioned")


@rule(
    "front-axle-restoration",
    title="The distributing bars bring back as much of the front axle's load as the maker wants",
    each="tow_vehicle",
    needs={
        "load": "front_axle.restored",
        "kind": "coupling.kind",
        "low": ".front_axle_restoration.low",
        "high": ".front_axle_restoration.high",
    },
    basis="The vehicle maker's target, if the file gives one. Makers differ, and so do the years of one maker.",
    quantity="The share of its lost load that the front axle gets back",
    limit_name="the maker's target",
    why="Too little and the steering stays light; too much loads the trailer's axles and takes understeer away. The target is "
    "the maker's, not a rule of thumb.",
    unless="It speaks only of weight-distributing hitches.",
    example="Front axle 3,200 lb alone, 2,900 lb coupled, 3,050 lb with the bars tensioned: 150 lb of 300 lb came back, 50 %.",
)
def front_axle_restoration(kind: str, load: Value | None = None, low: Value | None = None, high: Value | None = None) -> Answer:
    """What the bars brought back to the front axle over what the coupling load took from it, by three tickets."""
    if kind != "weight_distributing":
        return not_applicable("the coupling has no distributing bars")
    if load is None:
        return undecided(
            "weighings.alone.front",
            "weighings.coupled.front",
            "weighings.coupled_distributing.front",
            reason="it takes the front axle alone, coupled with the bars slack, and with the bars tensioned, of one loading",
        )
    if low is None or high is None:
        return remark(load, "no target is given, and makers differ: look for yours in the manual's towing chapter")
    return band(load, low, high, limit_name="the maker's target")
