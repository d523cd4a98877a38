"""The law of the places a rig travels in: which regulation files speak of it, and a rule made of each of their entries.

Files are found by their names, which are the places' codes; only those of a rig's own places are ever read. A file that cannot
be read is a failure with its name, line and problem, and the others go on.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources.abc import Traversable
from pathlib import Path
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
from rigmargin.judge.source import Failure
from rigmargin.judge.truth import Lacking, Reckoned, Truth, each_side, paths, reckon, together, truth, words
from rigmargin.loads.facts import Known
from rigmargin.loads.value import nominal
from rigmargin.spec import places
from rigmargin.spec.condition import STRICT, UPPER, Compare, Fact
from rigmargin.spec.problem import FileProblems
from rigmargin.spec.rig import Rig

if TYPE_CHECKING:
    from rigmargin.spec.regulation import Provision, Regulation

#: The dimensions of comparisons that are shown with load, limit and margin.
SHOWN = ("mass", "length", "speed")
LOOKED_AT = "law"  # the id of the note that says which law was looked at
#: What clears a mass that is too large, by the fact it is.
CURES = {
    "trailer.gross": "Take {excess} out of the trailer.",
    "trailer.axle_group": "Take {excess} off the trailer's axles.",
    "tow_vehicle.gross": "Take {excess} off the tow vehicle.",
    "combination.gross": "Take {excess} out of the rig.",
    "coupling.vertical": "Lighten the load on the coupling by {excess}.",
}
#: What distributing bars change: rules that speak of these are held in each state that was weighed.
ON_THE_ROAD = frozenset({"trailer.axle_group", "tow_vehicle.gross", "tow_vehicle.axles.front", "tow_vehicle.axles.rear"})
TOPICS = {"licence": "driving licence", "units": "number of vehicles", "other": "other requirements"}


@dataclass(frozen=True, slots=True)
class Shelf:
    """One regulation file, not yet read."""

    place: str  # by the file's name
    file: Path | Traversable
    prefix: str  # of the ids of its rules; "law" for ours
    origin: str  # where it came from


@dataclass(frozen=True, slots=True)
class Law:
    """The rules of law that speak of a rig, and the files that could not be read."""

    rules: tuple[Rule, ...]
    failures: tuple[Failure, ...]


def shelves(source: str | Path | Traversable, prefix: str, origin: str) -> list[Shelf]:
    """The regulation files of a folder, or the one file. Raises FileNotFoundError when there is no such thing."""
    source = Path(source) if isinstance(source, str) else source
    if source.is_dir():
        files = sorted((each for each in source.iterdir() if each.name.endswith(".yaml")), key=lambda each: each.name)
    elif source.is_file():
        files = [source]
    else:
        raise FileNotFoundError(f"there is no regulation file or folder {source.name!r}")
    return [Shelf(file.name.removesuffix(".yaml"), file, prefix, origin) for file in files]


def travels(rig: Rig) -> tuple[str, ...]:
    """Every place a rig travels in, with what each lies in, the widest first."""
    return _widest_first(rig.places)


@lru_cache(maxsize=256)
def _widest_first(named: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(sorted({each for place in named for each in places.within(place)}, key=lambda p: (p.count("-"), p != "eu", p)))


def holds_there(rule: Rule, rig: Rig) -> bool:
    """Whether a rule holds in a place the rig travels in; one without places holds everywhere."""
    return not rule.places or not set(rule.places).isdisjoint(travels(rig))


def of(found: Iterable[Shelf], rig: Rig) -> Law:
    """The rules of law that speak of this rig by place, use and date, and a note on what was looked at; nothing where no law
    is held at all."""
    found = tuple(found)
    if not found:
        return Law((), ())
    there = travels(rig)
    return _law(tuple(shelf for shelf in found if shelf.place in there), there, rig.word("date"), rig.word("use"))


@lru_cache(maxsize=256)
def _law(found: tuple[Shelf, ...], there: tuple[str, ...], date: str, use: str) -> Law:
    """The rules of law of these files that speak of a rig of this use on this date, made once for all such rigs."""
    made: dict[str, Rule] = {}
    failures: list[Failure] = []
    looked: dict[str, str] = {}
    for shelf in found:
        try:
            regulation, rules = read(shelf)
        except FileProblems as broken:
            failures.append(_failure(shelf, broken))
            continue
        except Exception as error:  # whatever a stranger's file or folder does, the others go on
            reason = f"the regulation file {shelf.file.name} of {shelf.origin} failed: {type(error).__name__}: {error}"
            failures.append(Failure(f"{shelf.prefix}/{shelf.place}", reason))
            continue
        looked[shelf.place] = regulation.name
        for provision, rule in zip(regulation.provisions, rules, strict=True):
            if rule.id in made:
                reason = (
                    f"the rule id {rule.id!r} is used twice: by {made[rule.id].origin}, which was used, and by {rule.origin}"
                )
                failures.append(Failure(rule.id, reason))
            elif _concerns(provision, date, use):
                made[rule.id] = rule
    kept = [made[name] for name in sorted(made)]
    return Law((*kept, _note(there, looked, len(kept))), tuple(failures))


def rule_called(found: Iterable[Shelf], name: str) -> Rule | None:
    """The rule of law of that id; None when no file that can be read has it."""
    for shelf in found:
        if name.startswith(f"{shelf.prefix}/{shelf.place}/"):
            try:
                return next((rule for rule in read(shelf)[1] if rule.id == name), None)
            except FileProblems:
                return None
    return None


@lru_cache(maxsize=512)
def read(shelf: Shelf) -> tuple[Regulation, tuple[Rule, ...]]:
    """A regulation file and the rules of its entries, in their order. Raises FileProblems."""
    from rigmargin.spec.regulation import load  # only for a rig that travels there

    regulation = load(shelf.file)
    return regulation, tuple(rule_of(regulation, provision, shelf.prefix, shelf.origin) for provision in regulation.provisions)


def _failure(shelf: Shelf, broken: FileProblems) -> Failure:
    first, more = broken.problems[0], len(broken.problems) - 1
    others = f"; and {more} more problem{'s' if more > 1 else ''}" if more else ""
    reason = f"the regulation file {shelf.file.name} of {shelf.origin} could not be read: {first}{others}"
    return Failure(f"{shelf.prefix}/{shelf.place}", reason)


def _concerns(provision: Provision, date: str, use: str) -> bool:
    """Whether use and date let the rule speak of a rig, or are not known (empty)."""
    early = bool(date and provision.first and date < provision.first)
    late = bool(date and provision.last and date > provision.last)
    return not early and not late and (not use or provision.use in ("", use))


def _note(there: tuple[str, ...], looked: Mapping[str, str], number: int) -> Rule:
    """A note that says which law was looked at."""
    if not there:
        reason = "the rig file names no place, so no law was looked at; name the places it travels in under places"
    else:
        names = [f"{name} ({place})" for place, name in sorted(looked.items(), key=lambda pair: there.index(pair[0]))]
        absent = [place for place in there if place not in looked]
        seen = f"that of {_listed(names)} was looked at ({number} rule{'s' if number != 1 else ''})" if names else ""
        none = f"nothing is held for {_listed(absent)}" if absent else ""
        reason = "; ".join(filter(None, (seen, none))) + ". Not legal advice; may be out of date"

    def check() -> Remark:
        """Which places' law was looked at."""
        return remark(None, reason)

    return Rule(
        id=LOOKED_AT,
        title="Which law was looked at",
        check=check,
        each={"combination": {}},
        needs={},
        basis="The regulation files, each with its citation and the day it was read.",
        quantity="The law of the places",
        limit_name="",
        why="A place that is not named was not looked at, and what is not held is not checked.",
        unless="It always applies.",
        example="A rig that travels in Florida: the law of the United States and of Florida is looked at.",
        origin="rigmargin",
    )


def _listed(names: list[str]) -> str:
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))


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
        quantity=f"{topic[:1].upper()}{topic[1:]} ({regulation.name})",
        limit_name=f"what {provision.citation} asks",
        why=provision.why or f"The law of {regulation.name} asks it.",
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
        limit_name=f"what {provision.citation} {'allows' if upper else 'asks for'}",
        cures=(cure,) if cure else (),
        notes=() if not isinstance(binding.other, Fact) else (f"That is {words(binding.other)}.",),
        quantity=f"{quantity[:1].upper()}{quantity[1:]} ({regulation.name})",
        strict=compare.operator in STRICT,
        dimension=binding.this.dimension,
        rests_on=frozenset("load" if path == _load(compare) else path for path in paths(binding)),
    )


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
    reason = f"check locally: {provision.citation} ({source}{apart}) asks {provision.asks}; by it this rig {would}"
    left = speaks if speaks.holds is None else truth(provision.require, facts)
    unknown = (f"Not known: {', '.join(left.missing)}.",) if left.holds is None and left.missing else ()
    return remark(None, reason, notes=(*unknown, f"Ask {regulation.authority}."))


def meets(provision: Provision, facts: Mapping[str, Known]) -> bool | None:
    """Whether a rig would meet the requirement if the rule's source counted; None when that is not known."""
    return truth(provision.require, facts).holds
