"""What subjects, loads and states are called in plain words."""

from __future__ import annotations

import re

from rigmargin.loads.facts import DISTRIBUTING
from rigmargin.report import marks
from rigmargin.report.regional import fill
from rigmargin.spec.rig import Rig
from rigmargin.spec.words import large

_SUBJECTS = {
    "tow_vehicle": "{word:tow_vehicle}",
    "trailer": "trailer",
    "coupling": "coupling",
    "tow_vehicle.axles.front": "front axle",
    "tow_vehicle.axles.rear": "rear axle",
    "trailer.axles": "trailer's axles",
    "coupling.parts": "hitch",
    "combination": "combination",
    "front_axle": "front axle",
    "rear_axle": "rear axle",
}
LOAD_NAMES = {
    "tow_vehicle.gross": "Loaded {word:tow_vehicle}",
    "tow_vehicle.payload_used": "People, cargo, hardware and {word:coupling_load}",
    "tow_vehicle.payload_by_difference": "{Word:tow_max_mass} less {word:tow_unloaded}",
    "trailer.gross": "Loaded trailer",
    "trailer.axle_group": "Trailer's axles together",
    "combination.gross": "Vehicle and trailer together",
    "coupling.vertical": "{Word:coupling_load}",
    "coupling.share": "Coupling's share of the trailer",
    "front_axle.lost": "Front axle lost to the coupling",
    "front_axle.lost_by_lever": "Front axle's loss by the lever",
    "front_axle.regained": "Front axle got back from the bars",
    "front_axle.restored": "Share of the front axle's loss restored",
    "trailer.axles_gained": "Moved to the trailer's axles by the bars",
    "front_axle.left_share": "Left wheels' share of the front axle",
    "rear_axle.left_share": "Left wheels' share of the rear axle",
    "trailer.left_share": "Left wheels' share of the trailer's axles",
    "coupling.net": "Net load on the {word:tow_vehicle}, bars tensioned",
    "coupling.overhang": "Coupling behind the rear axle, implied by the tickets",
    "bars.moment_by_front": "Moment of the bars, from the front axle",
    "bars.moment_by_rear": "Moment of the bars, from the rear axle",
    "bars.moment_by_trailer": "Moment of the bars, from the trailer's axles",
    "combination.bars_slack": "Vehicle and trailer together, bars slack",
    "combination.bars_tensioned": "Vehicle and trailer together, bars tensioned",
    "tow_vehicle.pitch": "Rise of the nose under the trailer, as a share of distance",
    "tow_vehicle.pitch_without_helper": "The same without the helper springs",
    "tow_vehicle.axles.*.suspension.rate": "Rate of the {subject}'s main springs",
    "tow_vehicle.axles.*.suspension.squat": "Height lost at the {subject} under the trailer",
    "tow_vehicle.axles.*.suspension.squat_without_helper": "Height lost at the {subject} without the helper springs",
    "tow_vehicle.axles.*.suspension.travel_left": "Bump travel left at the {subject}",
    "tow_vehicle.axles.*.suspension.roll_moment": "Moment of the {subject}'s own springs against one degree of lean",
    "tow_vehicle.axles.*.suspension.helper.load": "Carried by the {subject}'s helper springs",
    "tow_vehicle.axles.*.suspension.helper.share": "Share of the {subject}'s load on its helper springs",
    "tow_vehicle.axles.*.suspension.helper.compression": "How far the {subject}'s helper springs are pressed in",
    "tow_vehicle.axles.*.suspension.helper.clearance_unloaded": "Clearance of the {subject}'s helper springs, unloaded",
    "tow_vehicle.axles.*.suspension.helper.roll_moment": "Moment of the {subject}'s helper springs against one degree of lean",
}
_OF_AN_AXLE = re.compile(r"(tow_vehicle\.axles)\.([^.]+)\.(.+)")
STATE_WORDS = {"alone": "without the trailer", "coupled": "bars slack", "coupled_distributing": "bars tensioned"}


def subject(path: str, rig: Rig) -> str:
    """A subject in plain words, such as ``rear axle`` or ``fifth wheel head``."""
    if path in _SUBJECTS:
        return fill(_SUBJECTS[path], rig)
    name = path.rpartition(".")[2]
    for axle in rig.trailer_axles:
        if path == f"trailer.axles.{axle.name}":
            return f"trailer axle '{name}'" if axle.number == 1 else f"trailer axle '{name}' (each of {axle.number})"
    return name


def of(text: str, subject: str) -> str:
    """A text with its ``{subject}`` filled in; what ends in s takes no other in "the spring bars' limit"."""
    return text.replace("{subject}'s", f"{subject}'" if subject.endswith("s") else f"{subject}'s").replace("{subject}", subject)


def load(name: str, state: str, rig: Rig) -> str:
    """A load in plain words, with its state; an empty state leaves it out."""
    part = _OF_AN_AXLE.fullmatch(name)
    words = LOAD_NAMES.get(name) or subject(name, rig)
    if part:
        axle = subject(f"{part[1]}.{part[2]}", rig)
        words = of(LOAD_NAMES[f"{part[1]}.*.{part[3]}"], axle)
    return f"{capital(fill(words, rig))}{in_state(state, rig)}"


def in_state(state: str, rig: Rig) -> str:
    """The state in brackets; empty where there is only one coupled state."""
    return f" ({STATE_WORDS[state]})" if state == "alone" or (state and _distributing(rig)) else ""


def _distributing(rig: Rig) -> bool:
    return rig.word("coupling.kind") == "weight_distributing" or DISTRIBUTING in [w.state for w in rig.weighings]


def capital(text: str) -> str:
    """The text with a large first letter; a mark for a regional word asks for it."""
    return marks.first_letter(large(text), "W")


def uncapital(text: str) -> str:
    """The text with a small first letter."""
    return marks.first_letter(f"{text[:1].lower()}{text[1:]}", "w")
