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

from rigmargin.judge.provision import rule_of
from rigmargin.judge.rule import (
    Remark,
    Rule,
    remark,
)
from rigmargin.judge.source import Failure
from rigmargin.spec import places
from rigmargin.spec.problem import FileProblems
from rigmargin.spec.rig import Rig

if TYPE_CHECKING:
    from rigmargin.spec.regulation import Provision, Regulation

LOOKED_AT = "law"  # the id of the note that says which law was looked at


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
        were = "were" if len(names) > 1 else "was"
        seen = f"{_listed(names)} {were} looked at ({number} rule{'s' if number != 1 else ''})" if names else ""
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
