"""The figures of a tow vehicle that a trailer needs, in words: what each is, what it is made of and where to read it."""

from __future__ import annotations

from dataclasses import dataclass

from rigmargin.advice.any_trailer import ACTUATION, MAX_MASS
from rigmargin.advice.learn import act_of
from rigmargin.advice.needs import Need
from rigmargin.loads import statics
from rigmargin.loads.facts import Missing, how_to_learn
from rigmargin.report import words
from rigmargin.report.display import DOWN, UP, Display
from rigmargin.spec.problem import printable
from rigmargin.spec.rig import Rig

WITHOUT = "less its load without the trailer"
#: What each figure of a tow vehicle is, and what it is made of. ``{row}`` is this coupling's row of a table, ``{brakes}`` that
#: of these brakes, ``{lever}`` a geometry, ``{aboard}`` how it is known what is aboard.
NEEDS = {
    "payload": (
        "payload: the placard's, or {word:tow_max_mass} less {word:tow_unloaded}",
        "People, cargo and hitch hardware {aboard}, and the {word:coupling_load}.",
    ),
    "gross_room": (f"{{word:tow_max_mass}} {WITHOUT}", "The {word:coupling_load} counts in full."),
    "rear_room": (
        f"rear axle's limit {WITHOUT}",
        "The {word:coupling_load} and what it levers off the front axle, {lever}; the rear {words:tyre}' ratings need "
        "the same room.",
    ),
    "front_room": (
        f"front axle's limit {WITHOUT}",
        "The coupling stands ahead of the rear axle, so that the front axle gains, {lever}.",
    ),
    "coupling": ("{word:max_coupling_load} {row}", "The {word:coupling_load}."),
    "parts_vertical": (
        "maximum vertical load of every hitch part {row}",
        "The {word:coupling_load}; the weakest part decides.",
    ),
    "parts_towed": ("maximum {word:towed_mass} of every hitch part {row}", "The whole trailer; the weakest part decides."),
    "trailer": (
        "{word:max_trailer_mass} {row}{brakes}",
        "The whole trailer; where the figure speaks of the trailer's axles, what rests on the coupling comes off.",
    ),
    "combination_room": (
        f"{{word:max_combination_mass}} {WITHOUT}",
        "The whole trailer, the {word:coupling_load} counted once. The limit itself must reach the loaded vehicle and this.",
    ),
    MAX_MASS: ("the trailer's {word:trailer_max_mass}", ""),
}


@dataclass(frozen=True, slots=True)
class NeedRow:
    """One figure of a tow vehicle."""

    figure: str
    least: str
    sure: str
    has: str
    because: str
    where: str


@dataclass(frozen=True, slots=True)
class UnknownRow:
    """What could not be told, and how to learn it."""

    what: str
    acts: str  # in a few words
    how: str


def need_row(need: Need, rig: Rig, shown: Display) -> NeedRow:
    """One figure: the least is rounded up, what there is of it down."""
    aboard = "by the {word:scale} (loaded alone less unloaded), which is more than is listed" if need.by_scale else "as listed"
    figure, because = (_filled(text, rig, shown).replace("{aboard}", aboard) for text in NEEDS[need.name])
    has = "not known" if need.has is None else shown.number(need.has, "mass", DOWN)
    least, sure = (shown.number(x, "mass", UP) for x in (need.least, need.sure))
    return NeedRow(printable(figure), least, sure, has, printable(because), how_to_learn(need.path).partition(". ")[2])


def unknown_need(name: str, missing: tuple[Missing, ...], rig: Rig, shown: Display) -> UnknownRow:
    """A figure that could not be told."""
    return lacking(_filled(NEEDS[name][0], rig, shown), missing)


def lacking(what: str, missing: tuple[Missing, ...]) -> UnknownRow:
    """Something that could not be told, with the acts that would tell it."""
    acts = ", ".join(dict.fromkeys(act_of(m.path)[0] for m in missing))
    return UnknownRow(
        printable(what), printable(acts), printable(" ".join(dict.fromkeys(words.missing_words(m) for m in missing)))
    )


def _filled(text: str, rig: Rig, shown: Display) -> str:
    """A figure's name with its row, and its reason with the geometry it rests on."""
    actuation = rig.word(ACTUATION)
    brakes = "unbraked" if actuation == "none" else "braked" if actuation else "braked or not, which the file does not state"
    row = f"in the row for {rig.word('coupling.kind').replace('_', ' ')}"
    overhang, base = rig.get(statics.OVERHANG), rig.get(statics.WHEELBASE)
    lever = ""
    if overhang and base:
        away, long = (shown.number(abs(s.number), "length", UP) for s in (overhang, base))
        side = "ahead of" if overhang.number < 0 else "behind"
        lever = f"for this vehicle's coupling {away} {side} the rear axle and wheelbase of {long}"
    return text.replace("{row}", row).replace("{brakes}", f", {brakes}").replace("{lever}", lever)
