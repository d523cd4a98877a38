"""What a drawing is made from, in metres and kilograms, and what of it no rig file states: outlines and heights, sketched.

Metres count backwards from the middle of the rear axle (the tow vehicle faces left) and up from the road.
"""

from __future__ import annotations

from typing import NamedTuple

FRAME, DECK, NOSE_DECK, SADDLE = 0.55, 0.75, 1.65, 1.25  # m above the road, of the sketch
FRONT, TAIL, NOSE = 0.9, 1.1, 0.6  # m by which a sketch goes beyond front axle, rear axle and saddle
#: Each sketch: its height (m), and its corners from front to rear as shares of its length and height.
_PICKUP = ((0, 0.25), (0, 0.58), (0.25, 0.64), (0.36, 1), (0.6, 1), (0.63, 0.64), (1, 0.64), (1, 0.25))
_BOX = ((0, 0.2), (0, 0.5), (0.12, 0.6), (0.2, 1), (1, 1), (1, 0.2))
Corners = tuple[tuple[float, float], ...]
VEHICLES: dict[str, tuple[float, Corners]] = {
    "car": (1.5, ((0, 0.25), (0, 0.6), (0.27, 0.68), (0.42, 1), (0.78, 1), (1, 0.66), (1, 0.25))),
    "suv": (1.8, ((0, 0.25), (0, 0.58), (0.25, 0.64), (0.38, 1), (0.95, 1), (1, 0.6), (1, 0.25))),
    "pickup": (1.9, _PICKUP),
    "truck": (2.2, _PICKUP),
    "van": (2.4, _BOX),
    "motor_home": (3.0, _BOX),
}
CLOSED = {"travel_trailer": 2.8, "caravan": 2.6, "fifth_wheel": 3.6, "horse": 2.5, "cargo": 2.4}  # kinds of trailer, m
OPEN = 1.2  # m; the others


class Axle(NamedTuple):
    """One axle."""

    at: float  # m behind the rear axle
    radius: float  # of its wheels, m
    known: bool  # the place and the size are known, not sketched
    dual: bool  # two tyres a side


class Load(NamedTuple):
    """One load to be drawn as an arrow or, for an entry of like axles, as several of the same length."""

    key: str
    at: tuple[float, ...]  # m behind the rear axle
    mass: float | None  # kg; None when it is not known
    limit: float | None  # kg
    verdict: str  # of the lowest limit; empty when there is none
    on_coupling: bool = False
    slack: float | None = None  # kg; with the bars slack, where the load drawn is that with the bars tensioned


class Thing(NamedTuple):
    """One item or tank at its place."""

    at: float  # m behind the rear axle
    mass: float  # kg; of a tank, what is in it
    full: float | None  # kg, what a tank would hold; None for what is no tank
    trailer: bool


class Rig(NamedTuple):
    """A rig in metres and kilograms."""

    kind: str  # of tow vehicle
    trailer: str  # kind
    raised: bool  # coupled above the rear axle: a fifth wheel or a gooseneck
    wheelbase: float
    coupling: float  # behind the rear axle
    reach: float  # from the coupling to the middle of the trailer's axles
    known: tuple[bool, bool, bool]  # whether each of the three is stated
    axles: tuple[Axle, ...]
    loads: tuple[Load, ...]
    things: tuple[Thing, ...]
    heights: tuple[float | None, float | None] = (None, None)  # of the two vehicles, where stated
    trailer_length: float | None = None
    pitch: float | None = None  # tangent, nose up
    squat: float | None = None  # of the rear axle's springs, m


def tow_vehicle(rig: Rig) -> list[tuple[float, float]]:
    """The corners of the tow vehicle: m behind the rear axle, m above the road."""
    height, corners = VEHICLES.get(rig.kind, VEHICLES["suv"])
    height = rig.heights[0] or height
    front = -rig.wheelbase - FRONT
    rear = max(TAIL, rig.coupling + 0.4) if rig.raised else max(0.5, rig.coupling - 0.15)
    return [(front + share * (rear - front), part * height) for share, part in corners]


def trailer(rig: Rig) -> list[tuple[float, float]]:
    """The corners of the trailer."""
    height = rig.heights[1] or CLOSED.get(rig.trailer, OPEN)
    own = [thing.at for thing in rig.things if thing.trailer]
    start = rig.coupling - NOSE if rig.raised else rig.coupling + min(1.0, rig.reach / 3)
    middle = rig.coupling + rig.reach
    rear = max([middle + 0.7 * (middle - start), *(a.at + a.radius + 0.2 for a in rig.axles), *(at + 0.3 for at in own)])
    if rig.trailer_length:
        rear = max(middle, (start if rig.raised else rig.coupling) + rig.trailer_length)
    if not rig.raised:
        start = min([start, *(at - 0.2 for at in own)])
        return [(start, FRAME), (start, height), (rear, height), (rear, FRAME)]
    start, drop, top = min([start, *(at - 0.2 for at in own)]), step(rig), max(height, NOSE_DECK + 0.2)
    if rig.trailer in CLOSED:
        return [(start, NOSE_DECK - 0.1), (start, top), (rear, top), (rear, FRAME), (drop, FRAME), (drop, NOSE_DECK - 0.1)]
    floor = DECK + 0.1
    return [
        (start, NOSE_DECK - 0.1), (start, NOSE_DECK), (drop, NOSE_DECK), (drop, floor), (rear, floor), (rear, FRAME),
        (drop - 0.2, FRAME), (drop - 0.2, NOSE_DECK - 0.1),
    ]  # fmt: skip


def step(rig: Rig) -> float:
    """Where a trailer that is coupled above the rear axle steps down, m behind that axle."""
    return rig.coupling + min(2.0, rig.reach / 2)


def deck(rig: Rig, thing: Thing) -> float:
    """What a thing stands on, m above the road."""
    return NOSE_DECK if thing.trailer and rig.raised and thing.at < step(rig) else DECK


def ways(rig: Rig) -> tuple[list[tuple[float, float]], ...]:
    """The wheelbase, the way to the coupling, and the way from there to the trailer's axles, as lines along the frames."""
    middle, drop, under = rig.coupling + rig.reach, step(rig), NOSE_DECK - 0.1
    over = [(rig.coupling, SADDLE), (rig.coupling, under), (drop, under), (drop, FRAME), (middle, FRAME)]
    return (
        [(-rig.wheelbase, FRAME), (0.0, FRAME)],
        [(0.0, FRAME), (rig.coupling, FRAME), (rig.coupling, hitch(rig))],
        over if rig.raised else [(rig.coupling, FRAME), (middle, FRAME)],
    )


def hitch(rig: Rig) -> float:
    """How high the coupling is drawn, m above the road."""
    return SADDLE if rig.raised else FRAME
