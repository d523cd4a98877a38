"""From distances and masses to shapes on a sheet 1000 wide: pure numbers, no words of a rig and no markup.

One scale holds for all lengths, one for all arrows but the coupling's, which may be a multiple of it, and one for all blocks.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from rigmargin.report import drawing_sketch as sketch
from rigmargin.report.drawing_sketch import Axle, Rig, Thing

WIDTH, MARGIN = 1000.0, 30.0
MOST = 80.0  # units for one metre at the most, so that a short rig does not grow tall
LONGEST = 150.0  # of the arrows and their limits, the longest
TRIFLE = 0.1  # kg: what is lighter is drawn as nothing
TALLEST = 90.0  # of the stacks of blocks, the tallest
APART = 46.0  # two digits at the size of a small screen are narrower
BLOCK = 16.0  # width of a block
ROW = 46.0  # height of a row of labels at the size of a small screen
LEAST = 30.0  # of the arrow on the coupling or its limit, where a stretch of 2, 5 or 10 gets it there
STRETCHES = (1, 2, 5, 10)
STUB = 40.0  # in the place of an arrow whose load is not known


class Wheel(NamedTuple):
    """A wheel."""

    x: float
    y: float
    radius: float
    known: bool
    dual: bool


class Arrow(NamedTuple):
    """An arrow from ``start`` to ``tip``; for a load that is not known a stub of fixed length."""

    x: float
    start: float
    tip: float
    limit: float | None  # height of the mark
    verdict: str
    known: bool
    slack: float | None = None  # height of an open tip: the load with the bars slack

    @property
    def path(self) -> str:
        """Its outline."""
        x, start, tip, head = self.x, self.start, self.tip, self.tip - min(18.0, self.tip - self.start)
        return f"M{x - 5:.1f} {start:.1f}h10V{head:.1f}h6L{x:.1f} {tip:.1f}L{x - 11:.1f} {head:.1f}h6Z"

    @property
    def stub(self) -> str:
        """What is drawn in its place where the load is not known."""
        return f"M{self.x:.1f} {self.start:.1f}V{self.tip:.1f}"

    @property
    def bar(self) -> str:
        """The bar at the limit; empty where there is none."""
        return "" if self.limit is None else f"M{self.x - 16:.1f} {self.limit:.1f}h32"

    @property
    def open_tip(self) -> str:
        """The tip for the bars slack; empty where there is none."""
        return "" if self.slack is None else f"M{self.x - 16:.1f} {self.slack - 10:.1f}l16 10l16 -10"


class Block(NamedTuple):
    """A thing as a block; of a tank, what it would hold, with its contents as another block in it."""

    x: float
    y: float
    height: float
    kind: str  # "item", "tank" or "contents"

    @property
    def path(self) -> str:
        """Its outline."""
        return f"M{self.x:.1f} {self.y:.1f}h{BLOCK:.0f}v{self.height:.1f}h-{BLOCK:.0f}z"


class Label(NamedTuple):
    """A short key."""

    x: float
    y: float
    text: str


class Leader(NamedTuple):
    """From a key to what it names."""

    x1: float
    y1: float
    x2: float
    y2: float


class Shapes(NamedTuple):
    """The whole picture, in units of the sheet."""

    height: float
    ground: float
    scale: float  # units for a metre
    stretch: int  # how many times longer than the others the arrow on the coupling is drawn
    spines: tuple[tuple[str, bool], ...]  # the three distances as paths, and whether each is known
    coupling: tuple[float, float]
    tow_sketch: str
    trailer_sketch: str
    lean: str  # how the tow vehicle's sketch is moved, as a transform; empty when that is not known
    wheels: tuple[Wheel, ...]
    arrows: tuple[Arrow, ...]
    tow_blocks: tuple[Block, ...]
    trailer_blocks: tuple[Block, ...]
    letters: tuple[Label, ...]  # of loads
    numbers: tuple[Label, ...]  # of places where things are
    leaders: tuple[Leader, ...]
    places: tuple[tuple[int, ...], ...]  # for each number, the positions of its things in the rig's list

    @property
    def led(self) -> str:
        """All leaders as one path."""
        return "".join([f"M{line.x1:.1f} {line.y1:.1f}L{line.x2:.1f} {line.y2:.1f}" for line in self.leaders])

    @property
    def painted(self) -> tuple[list[tuple[str, str]], list[tuple[str, str]]]:
        """The blocks of tow vehicle and trailer, each as one path for each kind."""
        tow, trailer = (
            [(kind, "".join([b.path for b in blocks if b.kind == kind])) for kind in dict.fromkeys([b.kind for b in blocks])]
            for blocks in (self.tow_blocks, self.trailer_blocks)
        )
        return tow, trailer


def shapes(rig: Rig) -> Shapes:
    """The picture of a rig."""
    tow, trailer = sketch.tow_vehicle(rig), sketch.trailer(rig)
    spots = [x for x, _ in (*tow, *trailer)] + [thing.at for thing in rig.things]
    spots += [a.at + side * a.radius for a in rig.axles for side in (-1, 1)]
    left, right = min(spots), max(spots)
    scale = min((WIDTH - 2 * MARGIN) / (right - left), MOST)
    stacks = _stacks(rig, scale)
    heaps = [sum([_size(rig.things[i]) for i in stack]) for stack in stacks]
    block = TALLEST / max([*heaps, TRIFLE])
    arrow = LONGEST / max([m for load in rig.loads for m in (load.mass, load.limit, load.slack) if m] + [TRIFLE])
    pressed = max([m for load in rig.loads if load.on_coupling for m in (load.mass, load.limit) if m], default=0.0)
    stretch = next((n for n in STRETCHES if n * arrow * pressed >= LEAST), STRETCHES[-1]) if pressed else 1
    hitch = scale * sketch.hitch(rig)
    above = [scale * y for _, y in (*tow, *trailer)] + [hitch + ROW + max(STUB, stretch * arrow * pressed)]
    above += [scale * sketch.deck(rig, rig.things[s[0]]) + block * heap for s, heap in zip(stacks, heaps, strict=True)]
    at = _Frame(WIDTH / 2 - scale * (left + right) / 2, round(ROW + 20 + max(above), 1), scale)
    blocks, tops = _blocks(rig, stacks, at, block)
    places = _places([at.x(thing.at) for thing in rig.things])
    arrows, letters = _arrows(rig, at, at.ground - hitch, arrow, stretch)
    return Shapes(
        height=round(max(letter.y for letter in letters) + ROW + 8, 1),
        ground=at.ground,
        scale=scale,
        stretch=stretch,
        spines=tuple(zip(map(at.path, sketch.ways(rig)), rig.known, strict=True)),
        coupling=(round(at.x(rig.coupling), 1), round(at.ground - hitch, 1)),
        tow_sketch=at.path(tow) + "Z",
        trailer_sketch=at.path(trailer) + "Z",
        lean=_lean(rig, at),
        wheels=tuple([_wheel(a, at) for a in rig.axles]),
        arrows=tuple(arrows),
        tow_blocks=tuple([each for each, behind in blocks if not behind]),
        trailer_blocks=tuple([each for each, behind in blocks if behind]),
        letters=tuple(letters),
        numbers=tuple([_label(x, ROW - 10, str(n)) for n, (x, _) in enumerate(places, 1)]),
        leaders=tuple([Leader(x, ROW - 2, at.x(rig.things[i].at), tops[i]) for x, members in places for i in members]),
        places=tuple([tuple(members) for _, members in places]),
    )


class _Frame(NamedTuple):
    """Where metres are on the sheet."""

    origin: float  # of the rear axle
    ground: float
    scale: float

    def x(self, metres: float) -> float:
        return self.origin + self.scale * metres

    def y(self, metres: float) -> float:
        return self.ground - self.scale * metres

    def path(self, points: Sequence[tuple[float, float]]) -> str:
        return "M" + "L".join([f"{self.x(x):.1f} {self.y(y):.1f}" for x, y in points])


def _stacks(rig: Rig, scale: float) -> list[list[int]]:
    """Things that would stand in each other's way, by position in the list: one stack each."""
    stacks: list[list[int]] = []
    last: tuple[bool, float, float] | None = None
    for i in sorted(range(len(rig.things)), key=lambda i: (rig.things[i].trailer, rig.things[i].at)):
        thing = rig.things[i]
        deck = sketch.deck(rig, thing)
        if last and last[0] == thing.trailer and last[2] == deck and scale * (thing.at - last[1]) < BLOCK:
            stacks[-1].append(i)
        else:
            stacks.append([i])
            last = (thing.trailer, thing.at, deck)
    return stacks


def _wheel(axle: Axle, at: _Frame) -> Wheel:
    radius = round(at.scale * axle.radius, 1)
    return Wheel(round(at.x(axle.at), 1), round(at.y(axle.radius), 1), radius, axle.known, axle.dual)


def _label(x: float, y: float, text: str) -> Label:
    return Label(round(x, 1), round(y, 1), text)


def _size(thing: Thing) -> float:
    """The mass that a thing's block stands for, kg."""
    return thing.mass if thing.full is None else max(thing.full, thing.mass)


def _blocks(rig: Rig, stacks: list[list[int]], at: _Frame, unit: float) -> tuple[list[tuple[Block, bool]], list[float]]:
    """The blocks, with whether they are the trailer's, and for each thing the height of its block's top."""
    blocks: list[tuple[Block, bool]] = []
    tops = [0.0] * len(rig.things)
    for stack in stacks:
        y = at.y(sketch.deck(rig, rig.things[stack[0]]))
        for i in stack:
            thing = rig.things[i]
            x, height = at.x(thing.at) - BLOCK / 2, unit * _size(thing)
            if thing.full is not None:
                inside = unit * thing.mass
                blocks.append((Block(x, y - inside, inside, "contents"), thing.trailer))
            y -= height
            kind = "item" if thing.full is None else "tank"
            blocks.append((Block(x, y, height, kind), thing.trailer))
            tops[i] = y
    return blocks, tops


def _places(xs: list[float]) -> list[tuple[float, list[int]]]:
    """Positions of the things under each number, with the number's own: things so near that numbers would overlap share one."""
    found: list[tuple[float, list[int]]] = []
    for i in sorted(range(len(xs)), key=xs.__getitem__):
        middle, members = xs[i], [i]
        while found and middle - found[-1][0] < APART:
            members = found.pop()[1] + members
            middle = (xs[members[0]] + xs[members[-1]]) / 2
        found.append((middle, members))
    return found


def _arrows(rig: Rig, at: _Frame, hitch: float, unit: float, stretch: int) -> tuple[list[Arrow], list[Label]]:
    """An arrow below each axle and one down on the coupling, with their letters: those of axles in a row of their own."""
    arrows: list[Arrow] = []
    below = LONGEST if any(load.mass or load.limit for load in rig.loads) else STUB
    on_road = [load for load in rig.loads if not load.on_coupling]
    middles = _apart([at.x((load.at[0] + load.at[-1]) / 2) for load in on_road])
    letters = [_label(x, at.ground + below + ROW - 8, load.key) for x, load in zip(middles, on_road, strict=True)]
    for load in rig.loads:
        foot, each = (hitch, -stretch * unit) if load.on_coupling else (at.ground, unit)
        length = STUB if load.mass is None else abs(each) * max(load.mass, 0.0)
        start = foot - length if load.on_coupling else foot
        limit, slack = (None if mass is None else foot + each * mass for mass in (load.limit, load.slack))
        arrows += [Arrow(at.x(m), start, start + length, limit, load.verdict, load.mass is not None, slack) for m in load.at]
        if load.on_coupling:
            letters.append(_label(at.x(load.at[0]), min(start, limit or start) - 10, load.key))
    return arrows, letters


def _apart(xs: list[float]) -> list[float]:
    """Places for labels in their order, no two nearer than they are wide and none beyond the sheet."""
    moved: list[float] = []
    for x in xs:
        moved.append(max(x, moved[-1] + APART) if moved else x)
    most = WIDTH - MARGIN
    for i in reversed(range(len(moved))):
        moved[i] = min(moved[i], most)
        most = moved[i] - APART
    return moved


def _lean(rig: Rig, at: _Frame) -> str:
    """How the springs let the tow vehicle stand: its nose up by the pitch about the rear axle, and that lower by its squat."""
    if rig.pitch is None:
        return ""
    angle = math.degrees(math.atan(rig.pitch))
    return f"translate(0 {at.scale * (rig.squat or 0.0):.1f}) rotate({angle:.2f} {at.x(0.0):.1f} {at.y(sketch.FRAME):.1f})"
