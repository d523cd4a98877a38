"""A table of tickets to be filled in on a weigh day: a line for each rig of a folder and each pass that it lacks."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from rigmargin.advice.to_weigh import AGAIN, Pass, to_weigh
from rigmargin.club import tickets
from rigmargin.club.formula import guarded
from rigmargin.club.rig_folder import Folder
from rigmargin.club.tickets import RIG
from rigmargin.judge.plugins import Ruleset
from rigmargin.judge.run import judge
from rigmargin.report.own_units import own_system
from rigmargin.report.sheet import on_date
from rigmargin.spec.problem import FileProblems, Problem, shown
from rigmargin.spec.references import ALL_READINGS
from rigmargin.spec.rig import load


def template(folder: Folder, ruleset: Ruleset) -> tuple[str, tuple[str, ...], tuple[Problem, ...]]:
    """The table as CSV, sentences on what would refuse its tickets, and the problems of the files that cannot be read.

    Columns are those that some line can have; the heads name the unit where all rigs are in one system.
    """
    lines: list[tuple[str, Pass]] = []
    systems: set[str] = set()
    notes: list[str] = []
    problems = list(folder.closed)
    for file, path in folder.files.items():
        try:
            rig = load(path, folder.settings)
        except FileProblems as wrong:
            problems += wrong.problems
            continue
        systems.add(own_system(rig))
        passes = [(file, one) for one in to_weigh(judge(rig, ruleset)) if one.why != AGAIN]
        if passes and on_date(rig):
            notes.append(f"{shown(file)}: {on_date(rig)}")
        lines += passes
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    names = _columns([one for _, one in lines])
    unit = ("lb" if systems == {"us"} else "kg") if len(systems) == 1 else ""
    writer.writerow([RIG, *(_head(name, unit) for name in names)])
    for file, one in lines:
        writer.writerow([guarded(file), *(one.state if name == "state" else "" for name in names)])
    return text.getvalue(), tuple(notes), tuple(problems)


def _columns(passes: Sequence[Pass]) -> list[str]:
    """The columns of a table for these passes, in the schema's order: of readings those that one of them can take."""
    readings = list(dict.fromkeys(name for one in passes for name in one.readings))
    columns = []
    for name in tickets.fields():
        parts = [reading for reading in readings if reading.startswith(f"{name}.")]
        columns += [name] * (name not in ALL_READINGS or name in readings) + parts
    return columns


def _head(name: str, unit: str) -> str:
    masses = (tickets.field(name) or {}).get("x-dimension") == "mass"
    return guarded(f"{name} [{unit}]" if unit and masses else name)
