"""The part of a report's page in which tanks, people and things can be set otherwise: its rows, and its sums for the script."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from rigmargin.advice.dials import Dial
from rigmargin.advice.sums import FROM_ITEMS, LEAST, Followed, Sums
from rigmargin.advice.what_if import WhatIf
from rigmargin.judge.finding import Finding
from rigmargin.report import words
from rigmargin.report.display import NEAR, Display
from rigmargin.spec.problem import printable
from rigmargin.spec.rig import Rig

DIGITS = 13  # of the numbers that the page gets: enough that it rounds them as the report does


@dataclass(frozen=True, slots=True)
class DialRow:
    """One dial as a page shows it."""

    label: str
    kind: str
    now: str  # what it stands at, in words
    most: float  # of a slider
    choices: tuple[str, ...]  # of a thing, its places from the one of now


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One check that a dial moves."""

    label: str
    verdict: str
    word: str
    mark: str
    margin: str


@dataclass(frozen=True, slots=True)
class Board:
    """All of it."""

    dials: tuple[DialRow, ...]
    checks: tuple[CheckRow, ...]
    lost: tuple[str, ...]  # what no sum tells
    rest: int  # how many findings that say something of this rig no dial moves
    weighed: bool  # whether the file has tickets, which speak of the loading they were made with
    judged: int
    sums: dict[str, Any]  # for the script


def board(made: WhatIf, rig: Rig, shown: Display, findings: Sequence[Finding]) -> Board | None:
    """What a page shows of it; None where no dial moves anything. ``findings`` are those of the report."""
    if not made.followed:
        return None
    said = {f.key for f in findings if f.verdict not in ("not_applicable", "note")}
    return Board(
        dials=tuple(_dial(dial, shown) for dial in made.dials),
        checks=tuple(_check(each, rig, shown) for each in made.followed),
        lost=tuple(dict.fromkeys(printable(words.compared_words(finding, rig)) for finding in made.lost)),
        rest=len(said - {each.today.key for each in made.followed} - {f.key for f in made.lost}),
        weighed=bool(rig.weighings),
        judged=made.judged,
        sums={
            "dials": [_numbers(dial) for dial in made.dials],
            "checks": [_sums(each) for each in made.followed],
            "verdicts": words.VERDICT_WORDS,
        },
    )


def _dial(dial: Dial, shown: Display) -> DialRow:
    name = printable(dial.item.name)
    if dial.kind == "tank":
        return DialRow(name, dial.kind, f"{dial.now:.0f} %", 100, ())
    if dial.kind == "person":
        return DialRow(name, dial.kind, shown.number(dial.now, "mass", NEAR), dial.ranges[-1].high, ())
    places = tuple(printable(place.name) for place in dial.places)
    return DialRow(name, dial.kind, "", 0, ("where it is", *places, *(("left behind",) if dial.item.reluctance else ())))


def _check(each: Followed, rig: Rig, shown: Display) -> CheckRow:
    today = each.today
    word, mark = words.VERDICT_WORDS[today.verdict]
    margin = f"{words.margin_number(today, shown)} {words.spread_number(today, shown)}".rstrip()
    return CheckRow(printable(words.compared_words(today, rig)), today.verdict, word, mark, margin)


def _numbers(dial: Dial) -> dict[str, Any]:
    volume = dial.item.tank.volume.number if dial.item.tank else None
    return {
        "kind": dial.kind,
        "now": dial.now,
        "ranges": [[reach.low, reach.high] for reach in dial.ranges],
        **({"volume": volume} if volume is not None else {}),
    }


def _sums(each: Followed) -> dict[str, Any]:
    """One check for the script: each sum as its number and its doubts, in the order of its inputs."""
    inputs = sorted({path for sums in _all(each) for one in sums for path in one.doubt})

    def flat(sums: Sums) -> list[list[float]]:
        return [[_round(part) for part in (one.number, *(one.doubt.get(path, 0.0) for path in inputs))] for one in sums]

    share = len(each.now) == 2
    limit = each.today.high if each.upper else each.today.low
    return {
        "dimension": each.today.dimension,
        "failing": each.failing,
        "verdict": each.today.verdict,
        "now": flat(each.now),
        "moved": [[*at, flat(low), *([] if high is low else [flat(high)])] for at, (low, high) in each.moved.items()],
        **({"limit": limit, "sign": -1 if each.upper else 1} if share else {}),
        **({"even": inputs.index(each.even) + 1} if each.even else {}),
        **({"either": [inputs.index(path) + 1 for path in (FROM_ITEMS, LEAST)]} if LEAST in inputs else {}),
    }


def _all(each: Followed) -> list[Sums]:
    return [each.now, *(sums for pair in each.moved.values() for sums in pair)]


def _round(number: float) -> float:
    return float(f"{number:.{DIGITS}g}")
