"""Everything that is known of a rig, by one spelling of names: stated figures, and loads derived from them.

A fact is stated in the file, else derived, else missing; what is missing says what to read or to weigh.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import NamedTuple

from rigmargin.loads import derive, hitch, statics
from rigmargin.loads.estimate import METHODS, Ask, Estimate, Load
from rigmargin.loads.told import TOLD
from rigmargin.loads.value import Figures, Value
from rigmargin.spec import schema, tyres
from rigmargin.spec.rig import Rig
from rigmargin.spec.stated import Stated
from rigmargin.spec.words import marked

COUPLED, DISTRIBUTING = derive.COUPLED, derive.DISTRIBUTING
#: The rows of a limit that hold for each kind of coupling, besides those for brakes.
USES = {
    "weight_carrying": "weight_carrying",
    "weight_distributing": "weight_distributing",
    "fifth_wheel": "fifth_wheel",
    "gooseneck": "gooseneck",
    "pintle": "weight_carrying",
    "european_ball": "weight_carrying",
}
APART = (
    "These axles are not equalized, so one reading under all of them tells nothing of each: give each axle an entry and a "
    "weighing of its own."
)
BRAKES = ("braked", "unbraked")  # the rows of a limit that differ by the trailer's brakes
#: What the law speaks of and is made of stated figures: each empty vehicle as built, and the trailer's axles, their ratings
#: together and their number.
MADE = ("tow_vehicle.empty", "trailer.empty", "trailer.axle_ratings", "trailer.axle_count")
RIVAL = "rival"  # in the place of a method: an estimate that contradicts the one that is used
_STATES = {
    "alone": "Weigh the {word:tow_vehicle} alone, loaded as it travels",
    "coupled": "Weigh the rig coupled and loaded as it travels, with no distributing bars or with the bars slack",
    "coupled_distributing": "Weigh the rig coupled and loaded as it travels, with the distributing bars tensioned",
    "trailer_alone": "Weigh the loaded trailer alone",
    "trailer_on_jack": "Weigh the coupling of the loaded trailer on its own scale, at towing height",
}


@dataclass(frozen=True, slots=True)
class Known:
    """A fact that is known."""

    value: Value | str | tuple[str, ...]  # SI; a word or words for what is not a number
    dimension: str  # "mass", "ratio", ... or empty
    stated: Stated | None = None  # where it stands in the file
    load: Load | None = None  # the load it is

    @property
    def number(self) -> Value:
        """The value of what is a number, SI."""
        assert not isinstance(self.value, (str, tuple))
        return self.value

    @property
    def estimate(self) -> Estimate | None:
        """How it was derived."""
        return self.load.best if self.load else None


class Missing(NamedTuple):
    """A fact that is not known, with what would make it known."""

    path: str
    how: str
    instead: tuple[str, ...] = ()  # the figures that would do in place of a weighing, less surely


@dataclass(slots=True)
class Facts:
    """The facts of one rig."""

    rig: Rig
    loads: derive.Loads = field(init=False)
    told: Mapping[str, tuple[str, ...]] = field(default_factory=dict)  # what to say in the place of TOLD, by name
    _figures: Figures = field(init=False)
    _found: dict[tuple[str, str], Known | tuple[Missing, ...]] = field(init=False, default_factory=dict)
    _described: set[str] = field(init=False, default_factory=set)  # every path that is stated, and every part above one

    def __post_init__(self) -> None:
        self._figures = Figures()
        self.loads = derive.loads(self.rig, self._figures)

    @staticmethod
    @lru_cache(maxsize=4096)
    def parts(path: str, state: str = COUPLED) -> tuple[str, str, str]:
        """A fact's name, the state it asks for (or ``state``), and the method it asks for (or nothing).

        No name in a rig file holds the mark that sets them apart: its schema sees to that.
        """
        name, _, which = path.rpartition("@")
        exact, _, method = which.rpartition(":")
        if method not in (*METHODS, RIVAL):
            exact, method = which, ""
        if not name or exact not in ("", *_STATES):
            return path, state, ""
        return name, exact or state, method

    def states(self, name: str) -> tuple[str, ...]:
        """The states in which a load of that name is known or asked for."""
        return tuple(state for state in (COUPLED, DISTRIBUTING) if (name, state) in self.loads) or (COUPLED,)

    def find(self, path: str, state: str = COUPLED) -> Known | tuple[Missing, ...]:
        """The fact of that name, or what is missing for it.

        A load is that of ``state``; ``tow_vehicle.gross@alone`` is that of one state, ``@computed`` the estimate by
        one method, ``@alone:computed`` both. Those of TOLD are tuples of what the file as a whole tells, those of MADE sums of
        stated figures.
        A mapping of named things, such as ``coupling.parts``, is the tuple of their names (or roles); ``coupling.ball``,
        ``coupling.socket`` and ``coupling.receiver`` are whichever parts have that place in the chain.
        """
        found = self._found.get((path, state))
        if found is None:
            found = self._found[path, state] = self._find(path, state)
        return found

    def _find(self, path: str, state: str) -> Known | tuple[Missing, ...]:
        path, exact, method = self.parts(path, "")
        if path in TOLD:
            return Known(self.told[path] if path in self.told else TOLD[path](self.rig), "")
        if path in MADE:
            return self._made(path)
        if method:
            return self._by_method(path, exact or COUPLED, method)
        if exact and (path, exact) not in self.loads:
            missing = f"weighings.{exact}.tow_vehicle"
            return (Missing(missing, how_to_learn(missing)),)
        load = self.loads.get((path, exact or state)) or self.loads.get((path, COUPLED))
        if load is not None:
            return self._load(load)
        if self.rig.names.get(path):
            return Known(tuple(self._called(path, name) for name in self.rig.names[path]), "")
        stated = self.rig.get(path)
        stated = None if stated and stated.value == () else stated  # an empty list says nothing
        if stated is None and _has_rows(path):
            return self._row(path)
        if stated is None and path.startswith("coupling."):
            return self._of_the_hitch(path)
        if stated is None:
            path = tyres.MADE_OF.get(path, path)
            return (Missing(path, how_to_learn(path)),)
        if isinstance(stated.value, (int, float)):
            return Known(self._figures.of(stated), stated.dimension, stated)
        return Known(stated.value, stated.dimension, stated)

    def describes(self, path: str) -> bool:
        """Whether the file says anything of the part at ``path``."""
        if not self._described:
            for stated in self.rig.stated:
                path_above = stated
                while path_above and path_above not in self._described:
                    self._described.add(path_above)
                    path_above = path_above.rpartition(".")[0]
        return path in self._described

    def _of_the_hitch(self, path: str) -> Known | tuple[Missing, ...]:
        """A fact of a link of the chain by the part that is it; a part's role by its name, where that is one."""
        other = hitch.part_of(path, self.rig)
        if other != path:
            return self.find(other)
        part, _, field = path.rpartition(".")
        name = part.removeprefix("coupling.parts.").replace(" ", "_")
        if field == "role" and name in (schema.at(schema.key(path)) or {"enum": ()})["enum"]:
            return Known(name, "")
        return (Missing(path, how_to_learn(path)),)

    def _made(self, path: str) -> Known | tuple[Missing, ...]:
        """A sum of stated figures, or which of them are missing."""
        ask = Ask(self.rig, self._figures)
        if path == "tow_vehicle.empty":
            value = statics.without_items(ask, self.rig.tow_unloaded, "tow_vehicle.unloaded", self.rig.tow_items)
        elif path == "trailer.empty":
            value = statics.without_items(ask, self.rig.trailer_unloaded, "trailer.unloaded", self.rig.trailer_items)
        else:
            axles = self.rig.trailer_axles
            if not axles:
                return (Missing("trailer.axles", how_to_learn("trailer.axles")),)
            if path == "trailer.axle_count":
                return Known(float(sum(axle.number for axle in axles)), "")
            value = sum(axle.number * ask.at(f"trailer.axles.{axle.name}.max_load") for axle in axles)
        if ask.missing:
            return tuple(Missing(each, how_to_learn(each)) for each in dict.fromkeys(ask.missing))
        return Known(value, "mass")

    def _by_method(self, path: str, state: str, method: str) -> Known | tuple[Missing, ...]:
        """The best estimate of a load by one method, or what would weigh it; a mere bound is not what a method found."""
        load = self.loads[path, state]
        made = load.rivals if method == RIVAL else tuple(e for e in load.estimates if e.method == method)
        found = tuple(e for e in made if not e.lists)
        if not found:
            if made:
                return (Missing(made[0].lists, how_to_learn(made[0].lists)),)
            return to_weigh(load) or (Missing(path, f"It is not known as {method.replace('_', ' ')}."),)
        return Known(found[0].value, load.dimension, load=replace(load, estimates=found))

    def _called(self, path: str, name: str) -> str:
        """The name of an entry, or its role in plain words where the file gives one."""
        return self.rig.word(f"{path}.{name}.role").replace("_", " ") or name

    def _load(self, load: Load) -> Known | tuple[Missing, ...]:
        if load.best is None:
            return to_weigh(load)
        return Known(load.best.value, load.dimension, load=load)

    def _row(self, path: str) -> Known | tuple[Missing, ...]:
        """The row of a limit for this rig's coupling and brakes; the lower of the two when both are given.

        Where rows differ by coupling, the row of this coupling is needed; the same for brakes. Another row never stands in.
        """
        given = {row: self.rig.get(f"{path}.{row}") for row in schema.ROWS}
        if not any(given.values()):
            return (Missing(path, how_to_learn(path)),)
        kind, actuation = self.rig.word("coupling.kind"), self.rig.word("trailer.brakes.actuation")
        wanted = []
        if any(given[row] for row in given if row not in BRAKES):
            wanted.append(USES[kind])
        if any(given[row] for row in BRAKES):
            if not actuation:
                return (Missing("trailer.brakes.actuation", how_to_learn("trailer.brakes.actuation")),)
            wanted.append("unbraked" if actuation == "none" else "braked")
        rows = [row for name in wanted for row in [given[name]] if row]
        if len(rows) == len(wanted):
            lowest = min(rows, key=lambda row: row.number)
            return Known(self._figures.of(lowest), lowest.dimension, lowest)
        rows_given = " and ".join(row for row, figure in given.items() if figure)
        absent = [row for row in wanted if given[row] is None]
        how = f"The file gives the row {rows_given} only; look up the row {' and '.join(absent)}. {how_to_learn(path)}"
        return tuple(Missing(f"{path}.{row}", how) for row in absent)

    def expand(self, pattern: str) -> Iterator[str]:
        """The subjects a pattern such as ``trailer.axles.*`` stands for in this rig; the mapping itself when it is empty."""
        if not pattern.endswith(".*"):
            yield pattern
            return
        base = pattern.removesuffix(".*")
        names = self.rig.names.get(base, ())
        yield from (f"{base}.{name}" for name in names)
        if not names:
            yield base


@lru_cache(maxsize=4096)
def path_of(subject: str, fact: str) -> str:
    """The path of a fact that a rule names; a leading "." is of the subject, a lone one the subject itself."""
    name, at, which = fact.partition("@")
    return subject + name.rstrip(".") + at + which if fact.startswith(".") else fact


def to_weigh(load: Load) -> tuple[Missing, ...]:
    """The readings that would weigh a load, with the figures that would do instead; those figures where no reading would."""
    if not load.tickets:
        return tuple(Missing(path, how_to_learn(path)) for path in load.items)
    return tuple(Missing(path, how_to_learn(path), load.items) for path in load.tickets)


@lru_cache(maxsize=4096)
def _has_rows(path: str) -> bool:
    """Whether it is a limit that may differ by use."""
    return bool((schema.at(schema.key(path)) or {}).get("x-by-use"))


@lru_cache(maxsize=4096)
def how_to_learn(path: str) -> str:
    """Plain words on where a figure is printed or how it is measured."""
    head, _, rest = path.partition(".")
    state, _, reading = rest.partition(".")
    if head == "weighings" and state in _STATES:
        node = schema.at(("weighings", 0, *reading.split("."))) or {}
        what = str(node.get("title", reading)).lower()
        return f"{_STATES[state]}, and copy the ticket (weighings, state: {state}; {reading}: the reading of the {what})."
    if re.fullmatch(r"trailer\.axles\.[^.]+\.number", path):
        return APART
    node = schema.at(schema.key(path)) or {}
    return marked(str(node["description"])) if "description" in node else f"State {path} in the file."
