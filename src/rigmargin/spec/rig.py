"""The rig as typed, frozen data in SI, built from what its file states.

Every field is a ``Stated`` (a figure with its origin) or None when the file does not give it. ``load`` is the one way from a
file's name to a Rig; it raises with every problem of the file at once.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rigmargin.spec import coherence, movables, own_marks, schema, stated, synonyms, tyres, units, validate
from rigmargin.spec import document as documents
from rigmargin.spec.document import Document
from rigmargin.spec.problem import FileProblems, first_at_each_place
from rigmargin.spec.references import split_included
from rigmargin.spec.settings import NONE, Figure, Settings
from rigmargin.spec.stated import Stated

if TYPE_CHECKING:
    from rigmargin.spec import options


@dataclass(frozen=True, slots=True)
class Item:
    """One thing, person or tank's contents with a place along its vehicle."""

    name: str
    path: str
    mass: Stated | None  # kg; a tank has none and is counted by volume
    station: Stated | None  # m ahead of the rear axle, or behind the coupling
    person: bool = False
    aboard: bool = True  # travels now
    tank: Tank | None = None
    may_go_to: tuple[Place, ...] = ()
    reluctance: int = 0  # 1 to 10 when it may stay behind, or a tank's contents may change; 0 when not
    part: float = 1.0  # how much of the mass stated is there: other than all of it in a trial only


@dataclass(frozen=True, slots=True)
class Tank:
    """A tank's contents."""

    holds: str
    volume: Stated  # m3 when full
    filled: Stated  # share of the volume, or m3 (see ``dimension``)
    may_hold: tuple[float, float] | None = None  # the least and the most that it may be brought to, shares of the volume

    @property
    def share(self) -> float:
        """How full it is, as a share of its volume."""
        return self.filled.number / (self.volume.number if self.filled.dimension == "volume" else 1.0)


@dataclass(frozen=True, slots=True)
class Place:
    """A station by its vehicle and name."""

    vehicle: str  # "tow_vehicle" or "trailer"
    name: str
    station: Stated  # m ahead of the rear axle, or behind the coupling


@dataclass(frozen=True, slots=True)
class Included:
    """A load item that the unloaded mass already holds, wholly or (with ``mass``) in part."""

    item: str
    mass: Stated | None  # kg


@dataclass(frozen=True, slots=True)
class Unloaded:
    """A vehicle as built. ``ahead`` and ``behind`` are the front and rear axle, or the coupling and the axles."""

    total: Stated | None
    ahead: Stated | None
    behind: Stated | None
    includes: tuple[Included, ...]


@dataclass(frozen=True, slots=True)
class TrailerAxle:
    """One entry of the trailer's axles, standing for ``number`` like axles."""

    name: str
    number: int
    equalized: str  # "yes", "no" or "" when not stated


@dataclass(frozen=True, slots=True)
class Weighing:
    """One ticket."""

    index: int  # its position in the file
    state: str
    on: str  # ISO date or empty
    readings: Mapping[str, Stated]  # "front", "rear", "trailer_axles", "trailer_axles.<name>", ...
    aboard: tuple[str, ...] | None  # names of what was on the scale; None when everything was
    hardware: bool  # the hitch hardware was on the vehicle
    label: str = ""  # what it is called when it is not one of the file's own
    as_listed: bool = False  # the ticket does not say what was aboard

    @property
    def path(self) -> str:
        """The ticket's path in the file, or its label."""
        return self.label or f"weighings[{self.index}]"


@dataclass(frozen=True, slots=True)
class Rig:
    """One rig file, read and understood."""

    file: str  # as the user named it
    name: str
    places: tuple[str, ...]
    stated: Mapping[str, Stated]  # every figure and word by path
    words: Mapping[str, str]  # path of a field to the label word its owner used for it
    tow_items: tuple[Item, ...]
    trailer_items: tuple[Item, ...]
    tow_unloaded: Unloaded
    trailer_unloaded: Unloaded
    trailer_axles: tuple[TrailerAxle, ...]
    weighings: tuple[Weighing, ...]
    names: Mapping[str, tuple[str, ...]]  # the names a mapping of the file holds, by the mapping's path
    listed: tuple[str, ...] | None = None  # the trailer items its coupling_load was read with; None: those aboard now
    refused: tuple[str, ...] = ()  # ratings that an option states without a certificate, in words
    settings: Settings = NONE  # what it was read by
    raw: bytes = b""  # the bytes of its file; none where no file is known

    def get(self, path: str) -> Stated | None:
        """The figure or word stated at ``path``, or None."""
        return self.stated.get(path)

    def describes(self, path: str) -> bool:
        """Whether the file says anything of the part or field at ``path``."""
        within = f"{path}."
        return path in self.stated or any(known.startswith(within) for known in self.stated)

    def word(self, path: str) -> str:
        """The word stated at ``path``, or an empty text."""
        found = self.stated.get(path)
        return found.word if found else ""


def load(path: str | Path, settings: Settings = NONE) -> Rig:
    """Read a rig file by what is settled. Raises FileProblems with everything that is wrong with it."""
    return build(replace(documents.read(path), settings=settings))


def parse(text: str, file: str) -> Rig:
    """The same from text, for files that are not on disk. Raises FileProblems."""
    return build(documents.parse(text, file))


def build(document: Document) -> Rig:
    """A Rig from a document. Raises FileProblems."""
    problems = [*document.problems, *validate.check(document), *own_marks.check(document)]
    canonical, words, twice = synonyms.canonical(document)
    figures, implausible = stated.figures(canonical)
    problems += twice + implausible + coherence.check(canonical)
    if "options" in document.data:
        from rigmargin.spec import options  # few rigs have any

        problems += options.check(canonical, words, problems)
    if problems:
        raise FileProblems(first_at_each_place(problems))
    return _model(canonical, figures, words)


def changed(made: options.Patched) -> Rig:
    """The Rig that an owner's options make. Raises FileProblems when they do not go together."""
    from rigmargin.spec import options

    problems = options.unsound(made)
    if problems:
        raise FileProblems(first_at_each_place(problems))
    figures, _ = stated.figures(made.document)
    return replace(_model(made.document, figures, made.words), refused=made.refused)


def _model(document: Document, figures: dict[str, Stated], words: dict[str, str]) -> Rig:
    data: dict[str, Any] = document.data
    settings = document.settings
    if settings.places and "places" not in figures:
        at = settings.origin("places")
        figures = {**figures, "places": Stated("places", settings.places, at.line, file=at.name)}
    figures = {**figures, **tyres.read(document, figures)}
    places = figures.get("places")
    axles = data["trailer"].get("axles", {})
    return Rig(
        file=document.file,
        name=str(data["name"]),
        places=places.value if places and isinstance(places.value, tuple) else (),
        stated=figures,
        words=words,
        tow_items=_items(document, figures, "tow_vehicle"),
        trailer_items=_items(document, figures, "trailer"),
        tow_unloaded=_unloaded(document, figures, "tow_vehicle", "front", "rear"),
        trailer_unloaded=_unloaded(document, figures, "trailer", "coupling", "axles"),
        trailer_axles=tuple(TrailerAxle(n, int(a.get("number", 1)), a.get("equalized", "")) for n, a in axles.items()),
        weighings=tuple(_weighing(i, w, figures) for i, w in enumerate(data.get("weighings", ()))),
        names={
            "tow_vehicle.axles": ("front", "rear"),
            "trailer.axles": tuple(axles),
            "coupling.parts": tuple(data["coupling"].get("parts", {})),
            "options": tuple(data.get("options", {})),
            **({"trailer.load": tuple(data["trailer"]["load"])} if "load" in data["trailer"] else {}),
        },
        settings=settings,
        raw=document.raw,
    )


def _items(document: Document, figures: dict[str, Stated], vehicle: str) -> tuple[Item, ...]:
    items: list[Item] = []
    settled = document.settings.evidence
    for name, entry in document.data[vehicle].get("load", {}).items():
        path = f"{vehicle}.load.{name}"
        person, aboard = entry.get("person") == "yes", entry.get("aboard") != "no"
        mass, at = figures[f"{path}.mass"], _station(figures, vehicle, path, settled)
        places = tuple(_place(figures, vehicle, text) for text in entry.get("may_go_to", ()))
        reluctance = int(entry.get("may_stay_behind", 0))
        items.append(Item(name, path, mass, at, person, aboard, may_go_to=places, reluctance=reluctance))
    for name, entry in document.data[vehicle].get("tanks", {}).items():
        path = f"{vehicle}.tanks.{name}"
        filled, volume = _filled(figures[f"{path}.filled"], entry.get("source", ""), settled), figures[f"{path}.volume"]
        limits, reluctance = _may_hold(entry.get("may_hold"), volume)
        tank = Tank(entry["holds"], volume, filled, limits)
        at, aboard = _station(figures, vehicle, path, settled), entry.get("aboard") != "no"
        items.append(Item(name, path, None, at, aboard=aboard, tank=tank, reluctance=reluctance))
    return tuple(items)


def _station(figures: dict[str, Stated], vehicle: str, path: str, settled: Mapping[str, Figure]) -> Stated | None:
    at = figures.get(f"{path}.at")
    if at is None:
        return None
    named = figures.get(f"{vehicle}.stations.{at.word}")
    if named:
        return named
    distance = units.parse(at.word, "length")
    sigma = abs(distance.si) * stated.relative_sigma("measured", settled)
    return Stated(at.path, distance.si, at.line, "length", distance.unit, sigma)


def _place(figures: dict[str, Stated], vehicle: str, text: str) -> Place:
    vehicle, name = movables.split_place(text, vehicle)
    return Place(vehicle, name, figures[f"{vehicle}.stations.{name}"])


def _may_hold(entry: dict[str, Any] | None, volume: Stated) -> tuple[tuple[float, float] | None, int]:
    """The least and the most a tank may be brought to, as shares of its volume, and how reluctantly it is drained."""
    if entry is None:
        return None, 0
    least, most = (movables.fill_share(entry[end], volume.number) for end in ("least", "most"))
    assert least is not None and most is not None  # the schema has refused everything else
    return (least, most), int(entry.get("reluctance", 1))


def _filled(text: Stated, source: str, settled: Mapping[str, Figure]) -> Stated:
    """How full a tank is, as a share or a volume, with its uncertainty."""
    how = schema.fill(text.word)
    if isinstance(how, units.Quantity):
        sigma = how.si * stated.relative_sigma(source or "owner_estimate", settled)
        return Stated(text.path, how.si, text.line, "volume", how.unit, sigma, source)
    assert how is not None  # the schema has refused everything else
    return fill_to(text, how, source, settled)


def fill_to(text: Stated, share: float, source: str, settled: Mapping[str, Figure]) -> Stated:
    """A tank's filling as a ``share`` of its volume, with its uncertainty: an empty or full tank is exactly that."""
    exact = share in (0.0, 1.0) or source in ("scale_ticket", "measured")
    sigma = 0.0 if exact else stated.relative_sigma("tank_fill", settled)
    return Stated(text.path, share, text.line, "ratio", "%", sigma, source)


def _unloaded(document: Document, figures: dict[str, Stated], vehicle: str, ahead: str, behind: str) -> Unloaded:
    base = f"{vehicle}.unloaded"
    total = figures.get(f"{base}.total") or figures.get(base)
    listed = figures.get(f"{base}.includes")
    includes = tuple(_included(listed, text) for text in listed.value) if listed and isinstance(listed.value, tuple) else ()
    return Unloaded(total, figures.get(f"{base}.{ahead}"), figures.get(f"{base}.{behind}"), includes)


def _included(listed: Stated, text: str) -> Included:
    name, mass = split_included(text)
    if mass is None:
        return Included(name, None)
    return Included(name, Stated(f"{listed.path}.{name}", mass.si, listed.line, "mass", mass.unit, 0.0, listed.source))


def _weighing(index: int, entry: dict[str, Any], figures: dict[str, Stated]) -> Weighing:
    each = entry.get("trailer_axles")
    names = [key for key in entry if key not in stated.ABOUT_SCALE]
    names += [f"trailer_axles.{name}" for name in each] if isinstance(each, dict) else []
    found = {name: figures.get(f"weighings[{index}].{name}") for name in names}
    readings = {name: figure for name, figure in found.items() if figure and figure.dimension == "mass"}
    aboard = entry.get("aboard", "all")
    then = None if aboard == "all" else () if aboard == "none" else tuple(aboard)
    hardware, as_listed = entry.get("hitch_hardware") != "no", "aboard" not in entry
    return Weighing(index, entry["state"], entry.get("on", ""), readings, then, hardware, as_listed=as_listed)
