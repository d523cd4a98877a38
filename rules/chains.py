"""Safety chains by both readings of what they must hold, and where the breakaway cable is fixed.

What the law of a place asks of chains is for regulations; these are what an industry's standard and a federal reading say.
"""

from __future__ import annotations

from rigmargin.judge.rule import Answer, Value, at_most, expanded, nominal, not_applicable, requires, rule, undecided

from .hitch import POUND
from .region import regions

NORTH_AMERICA = frozenset({"us", "ca"})
#: Couplings behind which a trailer has chains as a matter of course; many places ask none of fifth wheels.
CHAINED = ("weight_carrying", "weight_distributing", "pintle", "gooseneck")
SCOPE = 10000 * POUND  # kg: SAE J684 speaks of trailers of up to 10,000 lb
FIT = ("Fit two safety chains, crossed.",)
CURE = ("Take {excess} out of the trailer, or fit chains and attachments that bear it.",)


def _silent(kind: str, places: tuple[str, ...] | None) -> Answer | None:
    """What is answered of a rig that is not asked for chains in North America's way, or of which that cannot be told."""
    if kind not in CHAINED:
        return not_applicable("it speaks of balls, pintles and goosenecks behind a hitch")
    if places is None:
        return undecided("places", reason="it speaks of North America, and the file names no place")
    return None if regions(places) & NORTH_AMERICA else not_applicable("it speaks of North America")


@rule(
    "safety-chains-each",
    title="Each safety chain alone holds the trailer",
    each="coupling",
    needs={
        "load": "trailer.gross",
        "kind": ".kind",
        "places": "places",
        "fitted": ".safety_chains.fitted",
        "number": ".safety_chains.number",
        "strength": ".safety_chains.strength",
        "attachment": ".safety_chains.attachment_strength",
    },
    basis="SAE J684, the standard of the industry for trailers of up to 10,000 lb, as Maryland adopted it (COMAR 11.13.08): "
    "each chain, and each point it hangs on, by itself. It is law only where a place says so.",
    quantity="The loaded trailer",
    limit_name="what one safety chain bears",
    why="When a coupling lets go, one chain takes the jerk first. The strength is the chain's breaking load; hooks, links and "
    "the points they hang on count like the chain.",
    unless="It speaks of balls, pintles and goosenecks in the United States and Canada, and of trailers of up to 10,000 lb.",
    cures=CURE,
    example="Trailer 7,000 lb, two chains of 4,000 lb: by this reading each must bear 7,000 lb: each is 3,000 lb short.",
)
def safety_chains_each(
    kind: str,
    load: Value | None = None,
    places: tuple[str, ...] | None = None,
    fitted: str | None = None,
    number: Value | None = None,
    strength: Value | None = None,
    attachment: Value | None = None,
) -> Answer:
    """The loaded trailer, against the strength of one chain, or of the point it hangs on where that is stated and less."""
    silent = _silent(kind, places)
    if silent:
        return silent
    if load is None:
        return undecided("trailer.gross", reason="the loaded trailer's mass is not known")
    if nominal(load) + expanded(load) > SCOPE:
        beyond = f"the standard speaks of trailers of up to {{mass:{SCOPE}}}"
        if nominal(load) - expanded(load) > SCOPE:
            return not_applicable(beyond)
        return undecided("trailer.gross", reason=f"{beyond}, too close to this one to tell")
    if fitted == "no" or (number is not None and nominal(number) < 2):
        found = "no safety chain" if fitted == "no" or nominal(number or 0.0) < 1 else "one safety chain"
        return requires(False, found=found, expected="two safety chains", cures=FIT)
    if strength is None:
        return undecided(".safety_chains.strength", reason="the strength of a safety chain is not stated")
    if attachment is not None and nominal(attachment) < nominal(strength):
        return at_most(load, attachment, limit_name="what the point one safety chain hangs on bears")
    return at_most(load, strength)


@rule(
    "safety-chains-together",
    title="The safety chains together hold the trailer",
    each="coupling",
    needs={
        "load": "trailer.gross",
        "kind": ".kind",
        "places": "places",
        "fitted": ".safety_chains.fitted",
        "number": ".safety_chains.number",
        "strength": ".safety_chains.strength",
        "attachment": ".safety_chains.attachment_strength",
    },
    basis="49 CFR 393.70(d) as its agency reads it (guidance, question 2): two chains that together break at no less than the "
    "trailer's gross weight will do. It binds commercial towing; elsewhere it is the milder of two readings.",
    quantity="The loaded trailer",
    limit_name="what the safety chains bear together",
    why="Less than this holds the trailer by no reading.",
    unless="It speaks of balls, pintles and goosenecks in the United States and Canada; other places ask for chains in their "
    "own way, or for none.",
    cures=CURE,
    example="Trailer 7,000 lb, two chains of 4,000 lb: 8,000 lb together, 1,000 lb to spare.",
)
def safety_chains_together(
    kind: str,
    load: Value | None = None,
    places: tuple[str, ...] | None = None,
    fitted: str | None = None,
    number: Value | None = None,
    strength: Value | None = None,
    attachment: Value | None = None,
) -> Answer:
    """The loaded trailer, against their number times the strength of one chain, or of the point it hangs on where that is
    stated and less."""
    silent = _silent(kind, places)
    if silent:
        return silent
    if fitted == "no" or (number is not None and nominal(number) < 1):
        return requires(False, found="no safety chain", expected="safety chains that hold the trailer", cures=FIT)
    if strength is None:
        return undecided(".safety_chains.strength", reason="the strength of a safety chain is not stated")
    if number is None:
        return undecided(".safety_chains.number", reason="how many chains there are is not stated")
    if load is None:
        return undecided("trailer.gross", reason="the loaded trailer's mass is not known")
    weaker = attachment is not None and nominal(attachment) < nominal(strength)
    each = attachment if weaker and attachment is not None else strength
    name = "what the points the safety chains hang on bear together" if weaker else ""
    count = int(nominal(number))
    notes = (f"{count} times {{mass:{nominal(each)}}}.",) if count != 1 else ("There is one chain.",)
    return at_most(load, count * each, limit_name=name, notes=notes)


ATTACHED = {
    "vehicle": "it is fixed to a point of its own on the vehicle",
    "safety_chain": "it is fixed to a safety chain",
    "ball": "it is looped over the ball or the ball mount",
    "hitch_hardware": "it is fixed to hitch hardware that can come off",
}


@rule(
    "breakaway-cable",
    title="The breakaway cable has a point of its own on the vehicle",
    each="trailer",
    where=".breakaway",
    needs={"attached": ".breakaway.attached_to", "fitted": ".breakaway.fitted"},
    basis="Function, and handbooks of makers and clubs (common practice): what comes off with the trailer pulls no cable.",
    quantity="The breakaway cable",
    limit_name="a point of its own",
    why="A cable fixed to the part that fails goes with it, and the trailer's brakes are never applied.",
    unless="It speaks of rigs whose file says that a breakaway device is fitted, or where its cable is.",
    example="The cable is looped over the ball: not met.",
)
def breakaway_cable(attached: str | None = None, fitted: str | None = None) -> Answer:
    """What the breakaway cable is fixed to."""
    if attached is None and fitted != "yes":
        return not_applicable("the file names no breakaway device that is fitted")
    if attached is None:
        return undecided(".breakaway.attached_to", reason="where it is fixed is not stated")
    met = attached == "vehicle"
    cures = ("Fix the cable to the vehicle itself, slack enough to turn, apart from chains and ball.",)
    return requires(met, found=ATTACHED[attached], expected="a point of its own on the vehicle", cures=cures)
