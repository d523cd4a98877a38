"""The shortest list of acts that would settle the most of what is open, in the order of what each settles.

Every open finding names the facts it lacks. Facts that are learnt by one act (one pass across the scale, one photograph of
one label) are one act; a finding is settled when all its acts are done. The list is built greedily: next comes the set of
acts that settles the most findings for each act still to do.
"""

from __future__ import annotations

import csv
import importlib.resources
from dataclasses import dataclass
from fnmatch import fnmatchcase
from functools import cache

from rigmargin.judge.finding import Finding, Report

OPEN = ("not_checked", "too_close")
Deed = tuple[str, str]  # an act's name, and how it is done


@dataclass(frozen=True, slots=True)
class Act:
    """One thing to do."""

    name: str  # plain words
    how: str  # plain words
    paths: tuple[str, ...]  # what it makes known
    asked: tuple[Finding, ...]  # the findings that ask for it
    settles: tuple[Finding, ...]  # findings that are settled once this and all acts before it are done


@cache
def _table() -> tuple[tuple[str, str, str], ...]:
    text = importlib.resources.files("rigmargin.advice").joinpath("acts.csv").read_text("utf-8")
    return tuple((row["pattern"], row["act"], row["how"]) for row in csv.DictReader(text.splitlines()))


@cache
def act_of(path: str) -> Deed:
    """The act that makes a path known, and how it is done: the first row of ``acts.csv`` that fits."""
    return next((act, how) for pattern, act, how in _table() if fnmatchcase(path, pattern))


def acts_of(report: Report, path: str) -> tuple[Deed, ...]:
    """The acts that together make a path known in this rig.

    A coupling load that is wanted by itself is known once it is weighed in whichever way is the handiest, so that nobody is
    sent for a gauge beside two passes across a scale.
    """
    vertical = report.facts.loads["coupling.vertical", "coupled"]
    wanted = vertical.tickets if path == "coupling_load" and vertical.tickets else (path,)
    return tuple(dict.fromkeys(map(act_of, wanted)))


def learn(report: Report) -> tuple[Act, ...]:
    """What to do next, first what settles the most."""
    findings = [f for f in report.findings if f.verdict in OPEN and f.missing]
    deeds = {path: acts_of(report, path) for path in {m.path for f in findings for m in f.missing}}
    lacks = {i: frozenset(act for m in f.missing for act in deeds[m.path]) for i, f in enumerate(findings)}
    paths: dict[Deed, set[str]] = {}
    for path, acts in deeds.items():
        for act in acts:
            paths.setdefault(act, set()).add(path)
    done: set[Deed] = set()
    listed: list[Act] = []
    while open_ := {i: need - done for i, need in lacks.items() if need - done}:
        best = max(set(open_.values()), key=lambda need: (_settled(open_, need) / len(need), -len(need), sorted(need)))
        for act in sorted(best, key=lambda a: (-sum(a in need for need in open_.values()), a)):
            before = set(done)
            done.add(act)
            settled = tuple(findings[i] for i, need in lacks.items() if need <= done and not need <= before)
            asked = tuple(findings[i] for i, need in lacks.items() if act in need)
            listed.append(Act(*act, tuple(sorted(paths[act])), asked, settled))
    return tuple(listed)


def _settled(open_: dict[int, frozenset[Deed]], acts: frozenset[Deed]) -> int:
    return sum(need <= acts for need in open_.values())
