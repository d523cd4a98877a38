"""The command that judges a folder of rigs."""

from __future__ import annotations

import argparse
import os
import signal
import sys
from contextlib import nullcontext
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from rigmargin.commands.common import SEVERITY, UNREADABLE, USAGE, console, in_force, progress, settled

if TYPE_CHECKING:
    from rigmargin.club.batch import Outcome
    from rigmargin.club.row import Row

REPORTS = ("html", "md", "json", "sarif")


def formats(text: str) -> tuple[str, ...]:
    """The endings of the reports asked for, in one order."""
    asked = [part.strip().lower() for part in text.split(",")]
    wrong = [part for part in asked if part not in REPORTS]
    if wrong:
        raise argparse.ArgumentTypeError(f"expected some of {', '.join(REPORTS)}, found {wrong[0]!r}")
    return tuple(f".{name}" for name in REPORTS if name in asked)


def club(chosen: argparse.Namespace) -> int:
    """Every rig under a folder, with an index of them."""
    from rigmargin.club import batch, executors
    from rigmargin.club.one import Job
    from rigmargin.club.output import Unusable
    from rigmargin.club.whole_folder import half_written, stopped
    from rigmargin.spec.settings import DEFAULT

    folder, out = Path(chosen.folder), Path(chosen.out)
    if not folder.is_dir():
        print(f"rigmargin: '{folder}' is no folder; name the folder that holds the rig files", file=sys.stderr)
        return UNREADABLE
    chosen = settled(chosen, folder)
    runs, unrun = (tuple(each.path for each in chosen.settings.rules if each.runs is what) for what in (True, False))
    asked = chosen.reports, chosen.sheets, chosen.units, chosen.with_owners
    job = Job(os.path.abspath(folder), *asked, runs, unrun, chosen.settings, _from_here(folder))
    workers = chosen.workers or executors.cores()
    nearest = chosen.settings.named == DEFAULT and not chosen.no_settings
    before = signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))  # so that what was begun is cleared away
    try:
        with executors.dask(chosen.on, (*runs, *unrun)) if chosen.on else nullcontext(executors.local(workers)) as site:
            first = partial(in_force, chosen)
            done = batch.run(job, out, site, fresh=chosen.fresh, progress=progress, first=first, nearest=nearest)
    except batch.OtherSettings as other:
        said = f"the settings of '{other}' count for the rigs below it, and a run has one settings file"
        print(f"rigmargin: {said}; judge that folder by itself, or name one for all with --settings", file=sys.stderr)
        return UNREADABLE
    except executors.NoCluster as wrong:
        print(f"rigmargin: --on: {wrong}", file=sys.stderr)
        return USAGE
    except Unusable as wrong:
        print(f"rigmargin: --out: {wrong}", file=sys.stderr)
        return UNREADABLE
    except OSError as error:
        reason = error.strerror or str(error)
        print(f"rigmargin: '{out}' could not be written ({reason}); what was there is as it was", file=sys.stderr)
        return UNREADABLE
    finally:
        signal.signal(signal.SIGTERM, before)
    for place in stopped(folder):
        print(f"rigmargin: {half_written(place)}", file=sys.stderr)
    _show(done, out)
    return next((code for code in SEVERITY if code in {_code(verdict) for verdict in done.tally.overall}), 0)


def _from_here(folder: Path) -> str:
    """The folder's path from where we are, as code hosts want it when we are at the top of the repository."""
    path = Path(os.path.relpath(folder)).as_posix()
    return "" if path == "." or path.startswith("..") else f"{path}/"


def _code(verdict: str) -> int:
    from rigmargin.club.row import UNREADABLE as NOT_READ
    from rigmargin.judge.finding import EXIT

    return UNREADABLE if verdict == NOT_READ else EXIT[verdict]


def _show(done: Outcome, out: Path) -> None:
    """The counts and the worst few on the terminal."""
    from rich.table import Table
    from rich.text import Text

    from rigmargin.club.pages import WORDS

    terminal, tally = console(), done.tally
    again = tally.rigs - done.judged
    unchanged = f"; {again} unchanged since the last run" if again else ""
    terminal.print(f"{tally.rigs} rig{'' if tally.rigs == 1 else 's'} under the folder{unchanged}.")
    terminal.print(" · ".join(f"{WORDS[v][1]} {number} {WORDS[v][0]}" for v, number in tally.worst_first))
    table = Table(box=None, padding=(0, 1, 0, 0), header_style="bold")
    for name in ("verdict", "rig", "least margin"):
        table.add_column(name, overflow="fold")
    for row in done.worst:
        word, mark = WORDS[row.overall]
        table.add_row(Text(f"{mark} {word}"), Text(_name(row)), Text(f"{row.margin} {row.label}".strip() or row.headline))
    terminal.print(table)
    if tally.rigs > len(done.worst):
        terminal.print(f"and {tally.rigs - len(done.worst)} more; {out / 'index.html'} lists them all.")
    else:
        terminal.print(f"{out / 'index.html'} lists them.")
    if done.passed_over:
        number = len(done.passed_over)
        terminal.print(f"{number} YAML file{'' if number == 1 else 's'} passed over: no 'rig:' at the top.")


def _name(row: Row) -> str:
    from rigmargin.spec.problem import printable, writable

    return printable(writable(row.name or row.file))
