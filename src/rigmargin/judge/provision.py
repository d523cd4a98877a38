"""One provision of a regulation file as a rule: what it says of itself, and what it answers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from rigmargin.judge.rule import (
    Answer,
    Comparison,
    Remark,
    Rule,
    not_applicable,
    remark,
    requires,
    undecided,
)
from rigmargin.judge.truth import Lacking, Reckoned, Truth, each_side, paths, reckon, together, truth, words
from rigmargin.loads.facts import Known
from rigmargin.loads.value import nominal
from rigmargin.spec.condition import STRICT, UPPER, Compare, Fact
from rigmargin.spec.words import large

if TYPE_CHECKING:
    from rigmargin.spec.regulation import Provision, Regulation


#: The dimensions of comparisons that are shown with load, limit and margin.
SHOWN = ("mass", "length", "speed")


#: What clears a mass that is too large, by the fact it is.
CURES = {
    "trailer.gross": "Take {excess} out of the trailer.",
    "trailer.axle_group": "Take {excess} off the trailer's axles.",
    "tow_vehicle.gross": "Take {excess} off the {word:tow_vehicle}.",
    "combination.gross": "Take {excess} out of the rig.",
    "coupling.vertical": "Lighten the {word:coupling_load} by {excess}.",
}


#: What distributing bars change: rules that speak of these are held in each state that was weighed.
ON_THE_ROAD = frozenset({"trailer.axle_group", "tow_vehicle.gross", "tow_vehicle.axles.front", "tow_vehicle.axles.rear"})


BY_TOPIC = ("licence",)  # what such a law compares is not what it is about
TOPICS = {"licence": "{word:licence}", "units": "number of vehicles", "other": "other requirements"}


def rule_of(regulation: Regulation, provision: Provision, prefix: str, origin: str) -> Rule:
    """The rule that an entry of a regulation file is."""
    from rigmargin.spec.regulation import STATUSES

    topic = TOPICS.get(provision.topic, provision.topic.replace("_", " "))
    source = _source(STATUSES[provision.status], ", " if provision.status == "memory" else " on ", provision)
    needs = {fact.path: fact.path for fact in provision.facts.values()}
    shown = _shown(provision)
    if shown and isinstance(shown.this, Fact):
        needs = {"load": shown.this.path, **{path: path for path in needs if path != shown.this.path}}

    def check(**known: Known) -> Answer:
        return answer(regulation, provision, {needs[name]: fact for name, fact in known.items()})

    check.__doc__ = f"{provision.title} ({provision.citation})."
    conflict = f" Not settled: {provision.conflict}" if provision.conflict else ""
    note = f" {provision.note}" if provision.note else ""
    note += f" It replaces {provision.replaces}." if provision.replaces else ""
    return Rule(
        id=f"{prefix}/{regulation.place}/{provision.name}",
        title=provision.title,
        check=check,
        each={"combination": {}},
        needs=needs,
        basis=f"{provision.citation} ({regulation.name}); {source}.{conflict}{note}",
        quantity=f"{large(topic if not shown or provision.topic in BY_TOPIC else words(shown.this))} ({regulation.name})",
        limit_name=f"what is asked under {_cited(provision)}",
        why=provision.why or f"The law asks it ({regulation.name}).",
        unless=_unless(regulation, provision),
        example="; ".join(f"{case.name}: {case.verdict.replace('_', ' ')}" for case in provision.cases) + ".",
        states=not ON_THE_ROAD.isdisjoint(needs.values()),
        optional=frozenset(needs),
        known=True,
        places=(regulation.place,),
        topic=provision.topic,
        citation=provision.citation,
        status=provision.status,
        read_on=provision.read_on,
        asks=provision.asks,
        replaces=provision.replaces,
        origin=origin,
    )


def _source(how: str, link: str, provision: Provision) -> str:
    """How and when the source was read; that nobody knows the day is said. Memory without a day needs no such words."""
    unknown = "" if provision.status == "memory" else " on a day that is not known"
    return f"{how}{link}{provision.read_on}" if provision.read_on else how + unknown


def _unless(regulation: Regulation, provision: Provision) -> str:
    use = f" in {provision.use} use" if provision.use else ""
    days = "".join(f" {word} {day}" for word, day in (("from", provision.first), ("to", provision.last)) if day)
    return f"It speaks only of rigs that travel in {regulation.name}{use}{days}."


def _shown(provision: Provision) -> Compare | None:
    """The comparison that a requirement is, where it is one that load, limit and margin can be shown of."""
    require = provision.require
    return require if isinstance(require, Compare) and require.this.dimension in SHOWN else None


def answer(regulation: Regulation, provision: Provision, facts: Mapping[str, Known]) -> Answer:
    """What an entry says of a rig of which these facts are known, by path."""
    speaks = truth(provision.speaks, facts) if provision.speaks else Truth(True)
    if speaks.holds is False:
        return not_applicable(" and ".join(speaks.found))
    if not provision.counts:
        return _check_locally(regulation, provision, speaks, facts)
    if speaks.holds is None:
        return _open(speaks)
    shown = _shown(provision)
    compared = shown and _comparison(shown, provision, regulation, facts)
    return compared or _requirement(truth(provision.require, facts), provision)


def _open(what: Truth) -> Answer:
    return undecided(*what.missing, *what.doubtful, reason="; ".join(what.close))


def _requirement(met: Truth, provision: Provision) -> Answer:
    if met.holds is None:
        return _open(met)
    return requires(met.holds, found="; ".join(met.found), expected=provision.asks)


def _comparison(
    compare: Compare, provision: Provision, regulation: Regulation, facts: Mapping[str, Known]
) -> Comparison | None:
    """The requirement with load, limit and margin; None where figures are missing, or the limit is itself a mere bound."""
    others = (facts[path] for path in paths(compare) if path in facts and path != _load(compare))
    if any(fact.load and fact.load.rivals for fact in others) and truth(compare, facts).holds is None:
        return None  # two ways of knowing the limit contradict each other
    binding = _binding(compare, facts)
    if binding is None:
        return None
    this, other = reckon(binding.this, facts), reckon(binding.other, facts)
    if isinstance(this, Lacking) or isinstance(other, Lacking) or other.more or other.less:
        return None
    if (this.more or this.less) and not isinstance(binding.this, Fact):
        return None
    upper = compare.operator in UPPER
    cure = CURES.get(_load(binding)) if upper else None
    quantity = words(binding.this)
    return Comparison(
        this.value,
        low=None if upper else other.value,
        high=other.value if upper else None,
        limit_name=f"what is {'allowed' if upper else 'asked'} under {_cited(provision)}",
        cures=(cure,) if cure else (),
        notes=() if not isinstance(binding.other, Fact) else (f"That is {words(binding.other)}.",),
        quantity=f"{large(quantity)} ({regulation.name})",
        strict=compare.operator in STRICT,
        dimension=binding.this.dimension,
        rests_on=frozenset("load" if path == _load(compare) else path for path in paths(binding)),
    )


def _cited(provision: Provision) -> str:
    """The citation inside a sentence: one that begins with an article begins small there."""
    first = provision.citation.partition(" ")[0]
    return provision.citation[:1].lower() + provision.citation[1:] if first in ("A", "An", "The") else provision.citation


def _load(compare: Compare) -> str:
    return compare.this.path if isinstance(compare.this, Fact) else ""


def _binding(compare: Compare, facts: Mapping[str, Known]) -> Compare | None:
    """Of a comparison with the least or greatest of several amounts, the one with the amount that binds; None when missing
    figures leave that open. Where one alone fails the requirement, the others need not be known."""
    sides = each_side(compare)
    if sides is None:
        return compare
    each, enough = sides
    said = [truth(one, facts) for one in each]
    margins: list[tuple[float, Compare, bool | None]] = []
    for one, own in zip(each, said, strict=True):
        inner = _binding(one, facts)
        ends = inner and (reckon(inner.this, facts), reckon(inner.other, facts))
        if inner and ends and isinstance(ends[0], Reckoned) and isinstance(ends[1], Reckoned):
            gap = nominal(ends[1].value) - nominal(ends[0].value)
            holds = own.holds if inner is one else truth(inner, facts).holds
            margins.append((gap if compare.operator in UPPER else -gap, inner, holds))
    decided = together(said, turning=enough).holds
    if len(margins) < len(each) and decided is not enough:
        return None
    # the nearest by the figures may be well known, and another that is less well known still open
    margins = [margin for margin in margins if margin[2] is decided]
    return (max if enough else min)(margins, key=lambda pair: pair[0])[1] if margins else None


def _check_locally(regulation: Regulation, provision: Provision, speaks: Truth, facts: Mapping[str, Known]) -> Remark:
    """A note that names the citation; never a verdict."""
    met = meets(provision, facts) if speaks.holds else None
    would = {True: "would meet it", False: "would not meet it", None: "may or may not meet it"}[met]
    how = {"statute": "read", "second_hand": "read second-hand", "memory": "from memory"}[provision.status]
    apart = (
        f", and not settled: {provision.conflict[:1].lower()}{provision.conflict[1:].rstrip('.')}" if provision.conflict else ""
    )
    source = _source(how, ", ", provision)
    under = f"under {_cited(provision)} ({source}{apart})"
    reason = f"check locally: {under} this is asked: {provision.asks}; by it this rig {would}"
    left = speaks if speaks.holds is None else truth(provision.require, facts)
    unknown = (f"Not known: {', '.join(left.missing)}.",) if left.holds is None and left.missing else ()
    return remark(None, reason, notes=(*unknown, f"Ask {regulation.authority}."))


def meets(provision: Provision, facts: Mapping[str, Known]) -> bool | None:
    """Whether a rig would meet the requirement if the rule's source counted; None when that is not known."""
    return truth(provision.require, facts).holds
