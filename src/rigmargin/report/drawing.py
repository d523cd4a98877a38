"""The drawing of one judged rig: what of it is known well enough to be drawn, and the same in words.

The words are the picture's equal for who cannot see it: each load drawn with its limit, each place with what stands there, each
distance, and all that is left out or only sketched. The shapes are made in ``drawing_shapes``.
"""

from __future__ import annotations

import re
from functools import cache
from string import ascii_uppercase
from typing import NamedTuple

from rigmargin.judge.finding import VERDICTS, Finding, Report
from rigmargin.judge.source import LAW
from rigmargin.loads import stance, statics
from rigmargin.loads.estimate import Load
from rigmargin.loads.facts import COUPLED, DISTRIBUTING
from rigmargin.loads.value import expanded, nominal
from rigmargin.report import drawing_shapes as shapes
from rigmargin.report import drawing_sketch as sketch
from rigmargin.report import drawing_words as told
from rigmargin.report import names, words
from rigmargin.report.display import UP, Display, display
from rigmargin.spec import units
from rigmargin.spec.rig import Item

RAISED = ("fifth_wheel", "gooseneck")  # couplings above the rear axle
#: The three distances a drawing needs, each with a length (m) that says nothing, to draw dashed where it is not stated.
DISTANCES = {
    statics.WHEELBASE: ("the wheelbase", 3.2),
    statics.OVERHANG: ("the distance from the rear axle to the coupling", 1.2),
    statics.REACH: ("the distance from the coupling to the middle of the trailer's axles", 4.5),
}
ENOUGH = 2  # of them
RADIUS = 0.36  # m, of a wheel whose size is not stated
SPACING = 2.3  # of like axles, in radii of their wheels
BARS = {"us": "5 ft", "metric": "2 m"}  # the scale bar
SQUAT = "tow_vehicle.axles.rear.suspension.squat"
_GROUP = "trailer.axle_group"
_TYRE = re.compile(r"([0-9]{3})/([0-9]{2,3}) ?Z?[RDB-] ?([0-9]{2}(?:\.5)?)")


#: What is said of a load beside the lowest of its limits.
GRAVE = ("over", "unmet", "outside_band", "conflict", "too_close")


class Entry(NamedTuple):
    """One line of the list under the picture."""

    key: str  # as in the picture
    mark: str  # of the verdict
    text: str
    brief: str = ""  # a shorter text for the first sheet of paper, where the whole is long


class Drawing(NamedTuple):
    """The drawing and its words; without shapes only the words that say why."""

    shapes: shapes.Shapes | None
    title: str
    loads: tuple[Entry, ...]
    places: tuple[Entry, ...]
    said: tuple[str, ...]
    bar: tuple[str, float]  # the scale bar: what it says, and how long it is
    slack: bool  # arrows are loads with the bars tensioned, and show the others too


def drawing(report: Report, system: str = "rig") -> Drawing:
    """The drawing of a judged rig, its figures as ``display.display`` gives them."""
    rig = report.rig
    given = {path: rig.get(path) for path in DISTANCES}
    absent = [name for path, (name, _) in DISTANCES.items() if given[path] is None]
    if len(DISTANCES) - len(absent) < ENOUGH:
        why = f"Too little is stated to draw this rig to scale. Measure {told.listed(absent)}."
        return Drawing(None, "", (), (), (why,), ("", 0.0), False)
    return _Drawer(report, display(rig, system)).drawn(absent)


class _Drawer:
    """Draws one rig."""

    def __init__(self, report: Report, shown: Display) -> None:
        self.report, self.rig, self.shown = report, report.rig, shown
        self.loads = report.facts.loads
        self.state = DISTRIBUTING if ("tow_vehicle.axles.rear", DISTRIBUTING) in self.loads else COUPLED
        self.raised = self.rig.word("coupling.kind") in RAISED
        self.base, self.hitch, self.reach = (self._length(path) for path in DISTANCES)
        self.alone = sum(axle.number for axle in self.rig.trailer_axles) == 1
        self.limits, self.worst = _lowest(report), _worst(report)
        self.entries: list[Entry] = []

    def _place(self, number: int, items: list[Item]) -> Entry:
        """What stands under one number."""
        brief = told.place(items, self.shown, told.MOST_NAMED) if len(items) > told.MOST_NAMED else ""
        return Entry(str(number), "", told.place(items, self.shown), brief)

    def drawn(self, absent: list[str]) -> Drawing:
        """The drawing; ``absent`` are the distances that are not stated."""
        rig, middle = self.rig, self.hitch + self.reach
        axles, spots = self._axles(middle)
        here = [item for item in (*rig.tow_items, *rig.trailer_items) if item.aboard]
        placed = [item for item in here if item.station]
        things = tuple([self._thing(item) for item in placed])
        pitch, squat = self._known(stance.PITCH), self._known(SQUAT)
        made = shapes.shapes(
            sketch.Rig(
                kind=rig.word("tow_vehicle.kind"),
                trailer=rig.word("trailer.kind"),
                raised=self.raised,
                wheelbase=self.base,
                coupling=self.hitch,
                reach=self.reach,
                known=(self._states(statics.WHEELBASE), self._states(statics.OVERHANG), self._states(statics.REACH)),
                axles=axles,
                loads=self._loads(spots, middle),
                things=things,
                heights=(self._stated("tow_vehicle.height"), self._stated("trailer.height")),
                trailer_length=self._stated("trailer.length"),
                pitch=pitch[0] if pitch else None,
                squat=squat[0] if squat else None,
            )
        )
        bar = BARS[self.shown.systems[0]]
        return Drawing(
            shapes=made,
            title=told.title(rig, len(axles) - 2 if rig.trailer_axles else 0),
            loads=tuple(self.entries),
            places=tuple([self._place(number, [placed[i] for i in there]) for number, there in enumerate(made.places, 1)]),
            said=tuple(self._said(absent, made, [item for item in here if not item.station])),
            bar=(bar, round(made.scale * units.parse(bar).si, 1)),
            slack=self.state == DISTRIBUTING,
        )

    def _stated(self, path: str) -> float | None:
        found = self.rig.get(path)
        return found.number if found else None

    def _states(self, path: str) -> bool:
        return self.rig.get(path) is not None

    def _length(self, path: str) -> float:
        stated = self._stated(path)
        if stated is not None:
            return stated
        return 0.0 if path == statics.OVERHANG and self.raised else DISTANCES[path][1]

    def _known(self, name: str) -> tuple[float, float] | None:
        """A load in the state drawn, and its expanded uncertainty; None when it is not known. SI."""
        load = self._at(name, self.state)
        return (nominal(load.best.value), expanded(load.best.value)) if load and load.best else None

    def _axles(self, middle: float) -> tuple[tuple[sketch.Axle, ...], dict[str, tuple[float, ...]]]:
        """Every axle, and where the axles of each path stand."""
        spots: dict[str, tuple[float, ...]] = {"tow_vehicle.axles.front": (-self.base,), "tow_vehicle.axles.rear": (0.0,)}
        sizes = {path: self._radius(path) for path in spots}
        known = {"tow_vehicle.axles.front": self._states(statics.WHEELBASE), "tow_vehicle.axles.rear": True}
        behind = [(f"trailer.axles.{axle.name}", axle.number) for axle in self.rig.trailer_axles] or [("trailer.axles", 1)]
        radii = [self._radius(path) for path, _ in behind]
        step = SPACING * max(radius or RADIUS for radius in radii)
        count = sum(number for _, number in behind)
        first = middle - step * (count - 1) / 2
        for (path, number), radius in zip(behind, radii, strict=True):
            spots[path] = tuple([first + step * i for i in range(number)])
            first += step * number
            sizes[path], known[path] = radius, self.alone and self._states(statics.REACH)
        axles = [
            sketch.Axle(
                at, sizes[path] or RADIUS, known[path] and sizes[path] is not None, self._stated(f"{path}.tyres.count") == 4
            )
            for path, places in spots.items()
            for at in places
        ]
        return tuple(axles), spots

    def _radius(self, axle: str) -> float | None:
        return _radius(self.rig.word(f"{axle}.tyres.size"))

    def _loads(self, spots: dict[str, tuple[float, ...]], middle: float) -> tuple[sketch.Load, ...]:
        """The loads to draw, front to rear; each also becomes a line of the list."""
        (front, rear, *behind), together = spots.items(), (_GROUP, (middle,))
        apart = any(self._known(path) for path, _ in behind)
        order = [front, rear, ("coupling.vertical", (self.hitch,)), *(behind if apart else [together])]
        drawn = tuple([self._load(ascii_uppercase[n % 26], path, at) for n, (path, at) in enumerate(order)])
        group = self._finding(_GROUP, self.state)
        if apart and group and not self.alone:
            text = f"{names.load(_GROUP, self.state, self.rig)}: {self._against(_GROUP, self.state)}. Not drawn"
            self.entries.append(Entry("–", words.VERDICT_WORDS[group.verdict][1], text))
        return drawn

    def _finding(self, path: str, state: str) -> Finding | None:
        """What holds the load at ``path`` against its lowest limit; a lone axle carries what its group does."""
        paths = (path, _GROUP) if self.alone and path.startswith("trailer.axles.") else (path,)
        loads = [load for p in paths for load in [self._at(p, state)] if load and load.best]
        found = [finding for load in loads for finding in [self.limits.get(id(load.best))] if finding]
        return min(found, key=lambda finding: finding.high or 0.0, default=None)

    def _worst_of(self, path: str, state: str) -> Finding | None:
        load = self._at(path, state)
        return self.worst.get(id(load.best)) if load and load.best else None

    def _at(self, path: str, state: str) -> Load | None:
        return self.loads.get((path, state)) or self.loads.get((path, COUPLED))

    def _load(self, key: str, path: str, at: tuple[float, ...]) -> sketch.Load:
        finding, value, static = self._finding(path, self.state), self._known(path), path == "coupling.vertical"
        name = told.short(names.load(path, COUPLED if static else self.state, self.rig), 2 * told.LONGEST_NAME)
        text, slack = f"{name}: {self._against(path, self.state)}", None
        if self.state == DISTRIBUTING and not static and (path, COUPLED) in self.loads:
            text += f". With the bars slack: {self._against(path, COUPLED, finding)}"
            best = self.loads[path, COUPLED].best
            slack = nominal(best.value) if best else None
        both = [each for each in (finding, self._finding(path, COUPLED) if slack is not None else None) if each]
        states = (self.state, COUPLED) if slack is not None else (COUPLED if static else self.state,)
        graver = {each.key: each for each in (self._worst_of(path, state) for state in states) if each}
        both += graver.values()
        text += "".join(
            f". {words.compared_words(each, self.rig)}: {words.VERDICT_WORDS[each.verdict][0]}"
            for each in graver.values()
            if each not in (finding, self._finding(path, COUPLED))
        )
        worst = min((each.verdict for each in both), key=VERDICTS.index, default="not_checked")
        self.entries.append(Entry(key, words.VERDICT_WORDS[worst][1] if worst else "", text))
        mass, limit = value[0] if value else None, finding.high if finding else None
        return sketch.Load(key if value else f"{key}?", at, mass, limit, worst, static, slack)

    def _against(self, path: str, state: str, before: Finding | None = None) -> str:
        """A load against the lowest of its limits, in words; a limit that was named ``before`` is not named again."""
        finding, load = self._finding(path, state), self._at(path, state)
        if load is None or load.best is None:
            return "load not known"
        if finding is None:
            bound = "at least " if load.best.at_least else ""
            number = self.shown.number(nominal(load.best.value), "mass", UP)
            return f"{bound}{number}{self._give(load)}; no limit of its own is known"
        number, verdict = f"{words.load_number(finding, self.shown)}{self._give(load)}", words.VERDICT_WORDS[finding.verdict][0]
        if before and before.high == finding.high:
            return f"{number}, {verdict}"
        limit, name = words.limit_number(finding, self.shown), words.limit_words(finding, self.rig).rstrip(",")
        return f"{number}, limit {limit}, {told.short(name, 2 * told.LONGEST_NAME)}: {verdict}"

    def _give(self, load: Load) -> str:
        """How well a load is known, behind its figure; empty where nothing is uncertain."""
        spread = expanded(load.best.value) if load.best else 0.0
        return f" ± {self.shown.number(spread, 'mass', UP)}" if spread else ""

    def _thing(self, item: Item) -> sketch.Thing:
        assert item.station is not None
        trailer = item.path.startswith("trailer.")
        at = self.hitch + item.station.number if trailer else -item.station.number
        mass, full = told.masses(item)
        return sketch.Thing(at, mass, full, trailer)

    def _said(self, absent: list[str], made: shapes.Shapes, left_out: list[Item]) -> list[str]:
        """What else the picture shows, and what it only sketches or leaves out."""
        spans = zip(told.spans(self.base, self.hitch, self.reach, self.shown), DISTANCES, strict=True)
        said = [f"Drawn to scale: {'; '.join([text for text, path in spans if self._states(path)])}."]
        if absent:
            said.append(f"Not stated, and drawn dashed at a length that tells nothing: {told.listed(absent)}.")
        said.append(told.stands(self._known(stance.PITCH), self._known(SQUAT), self.shown))
        if not self.rig.trailer_axles:
            said.append("How many axles the trailer has is not stated: one is drawn, dashed.")
        elif not self.alone:
            said.append("How far apart the trailer's axles stand is not stated: they are drawn evenly about their middle.")
        if any(wheel.dual for wheel in made.wheels):
            said.append("Double rings are dual wheels.")
        if left_out:
            names = "; ".join([told.item(each, self.shown) for each in left_out])
            said.append(f"Not drawn, because no place is stated: {names}.")
        stretched = f", but the one on the coupling is drawn {made.stretch} times as long" if made.stretch > 1 else ""
        return [*said, f"{told.SKETCHED}{stretched}."]


def _lowest(report: Report) -> dict[int, Finding]:
    """For each estimate of a load, by its identity, the finding that holds it against the lowest limit from above.

    What the law allows on a road stands for no limit of a vehicle: it counts only beside one that is known.
    """
    lowest: dict[int, Finding] = {}
    makers_first = sorted(report.findings, key=lambda finding: finding.rule.startswith(f"{LAW}/"))
    for finding in makers_first:
        estimate, high = finding.estimate, finding.high
        if estimate is None or high is None or finding.dimension != "mass" or finding.low is not None or finding.other[0]:
            continue
        before = lowest.get(id(estimate))
        if before is None and finding.rule.startswith(f"{LAW}/"):
            continue
        if finding.load == nominal(estimate.value) and (before is None or high < (before.high or 0.0)):
            lowest[id(estimate)] = finding
    return lowest


def _worst(report: Report) -> dict[int, Finding]:
    """For each estimate of a load, by its identity, the worst that is found of it or of a part of it: one side's tyre, say."""
    worst: dict[int, Finding] = {}
    for finding in report.findings:  # worst first
        if finding.estimate is not None and finding.verdict in GRAVE:
            worst.setdefault(id(finding.estimate), finding)
    return worst


@cache
def _radius(size: str) -> float | None:
    """Half the outer diameter (m) of a tyre by its moulded size: the rim in inches and twice the section's height in mm."""
    found = _TYRE.search(size.upper())
    if not found:
        return None
    return (float(found[3]) * 25.4 + 2 * float(found[1]) * float(found[2]) / 100) / 2000
