"""The commands of a weigh day: pages to print for one rig, and tickets into many rig files. Each gives the exit code."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rigmargin.commands.common import UNREADABLE, USAGE, in_force, judged, progress, readable, settled, written

if TYPE_CHECKING:
    from rigmargin.club.rig_folder import Folder
    from rigmargin.club.weigh_in import Day
    from rigmargin.judge.finding import Report


def sheet(chosen: argparse.Namespace) -> int:
    """A page to print, with blanks for what one rig lacks."""
    from rigmargin.report import sheet as pages

    return _paper(chosen, pages, lambda _: ("weigh-day sheet", 0))


def record(chosen: argparse.Namespace) -> int:
    """A page to print, to sign and to keep: what was judged of one rig, and what was not."""
    from rigmargin.judge.finding import EXIT
    from rigmargin.report import record as pages
    from rigmargin.report import words

    def told(report: Report) -> tuple[str, int]:
        word, mark = words.VERDICT_WORDS[report.overall]
        return f"{mark} {word}", EXIT[report.overall]

    return _paper(chosen, pages, told)


def _paper(chosen: argparse.Namespace, pages: Any, said: Callable[[Report], tuple[str, int]]) -> int:
    """A page of ``pages``, a module of ``report``, for one rig; ``said`` gives the word of it and the exit code."""
    chosen = settled(chosen, Path(chosen.file).parent)
    report = judged(chosen.file, in_force(chosen), chosen.settings)
    if report is None:
        return UNREADABLE
    formats = {".html": partial(pages.html, owner=chosen.with_owner), ".md": partial(pages.markdown, owner=chosen.with_owner)}
    return written(chosen, formats, report, *said(report))


def weigh_in(chosen: argparse.Namespace) -> int:
    """A day's tickets into the rig files of a folder, or the table to write them in."""
    from rigmargin.club.rig_folder import Folder

    if bool(chosen.template) == bool(chosen.folder) or (chosen.template and chosen.write):
        print("rigmargin: name a table of tickets and a folder, or --template and a folder", file=sys.stderr)
        return USAGE
    top = Path(chosen.template or chosen.folder)
    chosen = settled(chosen, top)
    folder = Folder(top, chosen.settings)
    if not folder.top.is_dir():
        print(f"rigmargin: '{folder.top}' is no folder; name the one that holds the rig files", file=sys.stderr)
        return UNREADABLE
    return _template(chosen, folder) if chosen.template else _enter(chosen, folder)


def _template(chosen: argparse.Namespace, folder: Folder) -> int:
    from rigmargin.club.blank_tickets import template

    _stopped(folder.top)
    text, notes, problems = template(folder, in_force(chosen))
    print(text, end="")
    for note in notes:
        print(f"rigmargin: {note}", file=sys.stderr)
    for problem in problems:
        print(problem, file=sys.stderr)
    return UNREADABLE if problems else 0


def _enter(chosen: argparse.Namespace, folder: Folder) -> int:
    from rigmargin.club import tickets, whole_folder
    from rigmargin.club.weigh_in import enter

    try:
        if not _settled(folder.top, chosen.write):
            return UNREADABLE
        ruleset = in_force(chosen)
        day = readable(
            lambda file: enter(tickets.read(file), folder, ruleset, progress), chosen.tickets, "entered, nothing was changed"
        )
        if day is None:
            return UNREADABLE
        for note in day.notes:
            print(f"rigmargin: {note}", file=sys.stderr)
        _show(day)
        if chosen.write and day.changes:
            whole_folder.replace_all(folder.top, [change.content for change in day.changes])
    except whole_folder.NotWritten as wrong:
        print(f"rigmargin: nothing was written: {wrong}", file=sys.stderr)
        return UNREADABLE
    number = sum(change.tickets for change in day.changes)
    done = "written" if chosen.write else "to write; add --write to do so"
    print(f"{number} ticket{'s' * (number != 1)} in {len(day.changes)} file{'s' * (len(day.changes) != 1)} {done}")
    return 0


def _settled(folder: Path, write: bool) -> bool:
    """Whether no stopped run has left files half changed, in the folder, above or below it, once what may be is put back."""
    from rigmargin.club import whole_folder
    from rigmargin.spec.problem import shown

    for file in whole_folder.undo(folder) if write else ():
        print(
            f"rigmargin: {shown(file)} is as it was before a run that was stopped; enter the tickets of that day again",
            file=sys.stderr,
        )
    return not _stopped(folder)


def _stopped(folder: Path) -> bool:
    """Whether a stopped run has left files half changed in the folder, above or below it, after saying so on stderr."""
    from rigmargin.club.whole_folder import half_written, stopped

    places = stopped(folder)
    for place in places:
        print(f"rigmargin: {half_written(place)}", file=sys.stderr)
    return bool(places)


def _show(day: Day) -> None:
    """Print the change of each file, what it does to the verdict, and what to look at in the new tickets."""
    from rigmargin.report.words import VERDICT_WORDS
    from rigmargin.spec.problem import printable

    for change in day.changes:
        print(change.diff, end="")
        before, after = (" ".join(VERDICT_WORDS[verdict][::-1]) for verdict in (change.before, change.after))
        print(f"{printable(change.file)}: {before}{f', then {after}' if after != before else ', as before'}")
        for sentence in change.look_at:
            print(f"? {sentence}")
        for sentence in change.contradicts:
            print(f"≠ {sentence}")
        print()
