"""How much may still be added, where, and which limit stops it; and what would clear what is over.

Slopes are taken from the engine by a trial of one kilogram; every answer is then tried in full and corrected until the
stopping limit's margin is zero, so that the shares, which are not linear, come out as exactly as the sums.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

from rigmargin.advice.trial import Change, LimitKey, Spot, judged, limit_key, margins, spots, tank_spots
from rigmargin.judge import plugins
from rigmargin.judge.finding import Finding, Report
from rigmargin.loads import statics
from rigmargin.loads.estimate import Ask
from rigmargin.loads.facts import Facts, to_weigh
from rigmargin.loads.value import Figures, nominal
from rigmargin.spec.rig import Item, Rig
from rigmargin.spec.stated import Stated

PROBE = 1.0  # kg, the trial that gives the slopes
CLOSE = 1e-5  # kg: a hundredth of a gram decides nothing, and keeps an answer clear of the last digit
MOST = 50000.0  # kg: what no road vehicle carries; a limit farther away than this does not stop anything
FLAT = 1e-9  # kg or ratio: what is left of rounding is no margin, and a margin that moves by less for a kilogram stays
FAILING = ("over", "outside_band")
MOVES = 5  # the moves shown for each finding: the least masses


@dataclass(frozen=True, slots=True)
class Room:
    """What may be added at one spot."""

    spot: Spot
    mass: float | None  # kg until the stopping limit's margin is zero; None when nothing known stops it
    stops: Finding | None  # the limit that stops it, as it stands with that mass aboard
    most: float | None = None  # kg that a tank can still take; None for anything else

    @property
    def full_first(self) -> bool:
        """Whether a tank is full before the limit is reached."""
        return self.mass is not None and self.most is not None and self.most < self.mass

    @property
    def may_add(self) -> float | None:
        """The kg that may be added: to the limit, and no more than a tank takes."""
        return self.most if self.full_first else self.mass


@dataclass(frozen=True, slots=True)
class Ceiling:
    """The heaviest trailer under one limit, at the present share on the coupling."""

    stops: Finding  # as it stands today
    mass: float  # kg


@dataclass(frozen=True, slots=True)
class Clearing:
    """A change after which one finding is within, its uncertainty included."""

    changes: tuple[Change, ...]  # one removal, or a removal and an addition
    mass: float  # kg taken away or moved
    others: tuple[tuple[Finding, Finding], ...]  # every other finding whose verdict it changes, as it stands before and after


@dataclass(frozen=True, slots=True)
class Cure:
    """What would clear one finding."""

    finding: Finding
    removals: tuple[Clearing, ...]  # by spot
    moves: tuple[Clearing, ...]  # least mass first


@dataclass(frozen=True, slots=True)
class Headroom:
    """The answer for one rig."""

    report: Report
    rooms: tuple[Room, ...]
    ceilings: tuple[Ceiling, ...]  # least first: the first binds
    ceilings_lack: tuple[str, ...]  # paths: what is not known and leaves the ceilings unknown
    cures: tuple[Cure, ...]


@dataclass(slots=True)
class _Search:
    """One rig's margins today, and how each moves with mass at each spot."""

    report: Report
    ruleset: plugins.Ruleset | None
    today: dict[LimitKey, Finding] = dataclasses.field(init=False)

    def __post_init__(self) -> None:
        self.today = margins(self.report)

    def slopes(self, *spots_: tuple[Spot, float]) -> dict[LimitKey, float]:
        """Change of every margin for each kilogram added at each spot times its factor."""
        tried = margins(self.trial(*((spot, factor * PROBE) for spot, factor in spots_)))
        return {k: (tried[k].margin or 0.0) - (f.margin or 0.0) for k, f in self.today.items() if k in tried}

    def trial(self, *masses: tuple[Spot, float]) -> Report:
        return judged(self.report.rig, [Change(spot, mass) for spot, mass in masses], self.ruleset)

    def zero(self, which: LimitKey, start: float, *spots_: tuple[Spot, float], guarded: bool = False) -> float | None:
        """The mass at which a margin is zero (``guarded``: equal to its uncertainty), by secant steps; or None."""
        before, margin_before = 0.0, _left(self.today[which], guarded)
        mass = start
        for _ in range(30):
            found = margins(self.trial(*((spot, factor * mass) for spot, factor in spots_))).get(which)
            if found is None or found.margin is None:
                return None
            left = _left(found, guarded)
            if mass == before:
                return mass
            slope = (left - margin_before) / (mass - before)
            if abs(slope) < 1e-12:
                return None
            before, margin_before = mass, left
            mass -= left / slope
            if abs(mass - before) < CLOSE / 10:
                return mass
            if abs(mass) > MOST:
                return None
        return mass

    def first_stop(self, *spots_: tuple[Spot, float]) -> tuple[float, Finding] | None:
        """The least mass that uses up a margin, and the limit it reaches, as it then stands."""
        slopes = self.slopes(*spots_)
        worse = {which: self.today[which] for which, slope in slopes.items() if slope < -FLAT}
        for finding in worse.values():
            if (finding.margin or 0.0) <= FLAT:  # passed, too close and not inside, or at it: nothing is left to use
                return 0.0, finding
        guesses = sorted(((f.margin or 0.0) / -slopes[which], which) for which, f in worse.items())
        stops = [self._at(which, guess, *spots_) for guess, which in guesses[:3] if guess < MOST]
        stop = min((s for s in stops if s), default=None)
        for _ in range(len(self.today)):  # slopes may change on the way: no other limit may be passed before this one
            if stop is None:
                return None
            mass, which = stop
            then = margins(self.trial(*((spot, factor * mass) for spot, factor in spots_)))
            passed = [k for k, f in then.items() if k in self.today and _crossed(self.today[k], f) and k != which]
            earlier = [self._at(k, mass, *spots_) for k in passed]
            sooner = min((s for s in earlier if s and s[0] < mass - CLOSE), default=None)
            if sooner is None:
                return mass, then[which]
            stop = sooner
        return None

    def _at(self, which: LimitKey, start: float, *spots_: tuple[Spot, float]) -> tuple[float, LimitKey] | None:
        """Where a margin is zero, beside whose it is; None when that is nowhere ahead."""
        mass = self.zero(which, start, *spots_)
        return None if mass is None or mass < 0 else (mass, which)


def _crossed(before: Finding, after: Finding) -> bool:
    return (before.margin or 0.0) > 0 > (after.margin or 0.0) + FLAT


def _left(finding: Finding, guarded: bool) -> float:
    return (finding.margin or 0.0) - ((finding.uncertainty or 0.0) if guarded else 0.0)


def headroom(report: Report, ruleset: plugins.Ruleset | None = None) -> Headroom:
    """Room at every spot, the heaviest trailer under every limit, and what clears each finding that is over."""
    search = _Search(report, ruleset)
    places = spots(report.rig)
    rooms = [_room(search, spot) for spot in places]
    rooms += [
        _tank_room(search, item) for item in (*report.rig.tow_items, *report.rig.trailer_items) if item.tank and item.station
    ]
    spot, lacks = _balance(report)
    return Headroom(
        report,
        tuple(rooms),
        _ceilings(search, spot) if spot else (),
        lacks,
        tuple(_cure(search, f, places) for f in search.today.values() if f.verdict in FAILING),
    )


def _room(search: _Search, spot: Spot) -> Room:
    stop = search.first_stop((spot, 1.0))
    if stop is None:
        return Room(spot, None, None)
    return Room(spot, *stop)


def _tank_room(search: _Search, item: Item) -> Room:
    """Room for a tank's own contents: up to the limit, or until it is full."""
    assert item.tank is not None and item.station is not None
    density = 1000 * float(statics.liquids()[item.tank.holds]["kg_per_litre"])
    volume = item.tank.volume.number
    filled = item.tank.filled.number if item.tank.filled.dimension == "volume" else item.tank.filled.number * volume
    vehicle = item.path.partition(".")[0]
    found = _room(search, Spot(vehicle, item.name, item.station, tank=True))
    return dataclasses.replace(found, most=max(0.0, (volume - (filled if item.aboard else 0.0)) * density))


def _balance(report: Report) -> tuple[Spot | None, tuple[str, ...]]:
    """The spot on the trailer where added mass leaves the coupling's share as it is; else the paths that would tell."""
    facts: Facts = report.facts
    share, reach = facts.find("coupling.share"), report.rig.get(statics.REACH)
    if isinstance(share, tuple):
        return None, tuple(m.path for m in share)
    if share.load and share.estimate and share.estimate.at_least:  # a bound is not the present share
        return None, tuple(m.path for m in to_weigh(share.load))
    if reach is None:
        return None, (statics.REACH,)
    at = Stated("trial", reach.number * (1 - nominal(share.number)), reach.line, "length", reach.unit)
    return Spot("trailer", "the present balance", at), ()


def _ceilings(search: _Search, balance: Spot) -> tuple[Ceiling, ...]:
    """The heaviest trailer under each limit when mass is added so that the coupling's share stays what it is."""
    gross = search.report.facts.find("trailer.gross")
    assert not isinstance(gross, tuple), "there is no share without it"
    whole, spot = nominal(gross.number), (balance, 1.0)
    slopes = search.slopes(spot)
    found = []
    for which, finding in search.today.items():
        slope = slopes.get(which, 0.0)
        if slope < -1e-6 and finding.margin is not None and finding.dimension == "mass" and finding.high is not None:
            mass = search.zero(which, finding.margin / -slope, spot)
            if mass is not None and whole + mass > 0:
                found.append(Ceiling(finding, whole + mass))
    return tuple(sorted(found, key=lambda c: (c.mass, c.stops.rule, c.stops.subject)))


def _carried(rig: Rig, spot: Spot) -> float:
    """What can be taken away at a spot, kg: a tank's contents, or what stands there and is neither person nor tank."""
    items = rig.tow_items if spot.vehicle == "tow_vehicle" else rig.trailer_items
    there = [
        i
        for i in items
        if i.station and i.aboard and not i.person and abs(i.station.number - spot.station.number) < 1e-3
        if (i.tank is not None) == spot.tank and (not spot.tank or i.name == spot.name)
    ]
    return sum(nominal(statics.mass(Ask(rig, Figures()), item)) for item in there)


def _cure(search: _Search, finding: Finding, places: tuple[Spot, ...]) -> Cure:
    """Removals and moves after which one finding is within."""
    which = limit_key(finding)
    need = -_left(finding, True)
    everywhere = (*places, *tank_spots(search.report.rig))
    slope = {spot: search.slopes((spot, 1.0)).get(which, 0.0) for spot in everywhere}
    there = {spot: _carried(search.report.rig, spot) for spot in everywhere}
    removals = []
    for spot in everywhere:
        if slope[spot] < -1e-6 and there[spot] > 0:
            clearing = _clearing(search, which, need / -slope[spot], (spot, -1.0))
            if clearing and clearing.mass <= there[spot] + CLOSE:
                removals.append(clearing)
    pairs = [
        (a, b, slope[b] - slope[a])
        for a in places
        for b in places
        if a is not b and there[a] > 0 and slope[b] - slope[a] > 1e-6
    ]
    pairs.sort(key=lambda pair: -pair[2])
    moves = []
    for a, b, gain in pairs[: 3 * MOVES]:
        if need / gain <= there[a]:
            clearing = _clearing(search, which, need / gain, (a, -1.0), (b, 1.0))
            if clearing and clearing.mass <= there[a] + CLOSE:
                moves.append(clearing)
    return Cure(finding, tuple(removals), tuple(sorted(moves, key=lambda c: c.mass)[:MOVES]))


def _clearing(search: _Search, which: LimitKey, guess: float, *spots_: tuple[Spot, float]) -> Clearing | None:
    mass = search.zero(which, guess, *spots_, guarded=True)
    if mass is None or mass <= 0:
        return None
    mass += CLOSE  # on the far side of the edge, so that the verdict is within and not a matter of the last digit
    then = margins(search.trial(*((spot, factor * mass) for spot, factor in spots_)))
    others = tuple(
        (before, after)
        for k, before in search.today.items()
        for after in [then.get(k, before._replace(verdict="not_checked"))]
        if k != which and after.verdict != before.verdict
    )
    return Clearing(tuple(Change(spot, factor * mass) for spot, factor in spots_), mass, others)
