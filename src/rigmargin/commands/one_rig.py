"""The commands that answer for one rig: judge it, and say what follows from that. Each gives the exit code."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from rigmargin.commands.common import (
    SEVERITY,
    UNREADABLE,
    USAGE,
    answered,
    by_folder,
    console,
    in_force,
    judged,
    progress,
    readable,
    settled,
    told,
    waiting,
    written,
)  # fmt: skip

if TYPE_CHECKING:
    from rigmargin.advice.compare import Decision
    from rigmargin.judge.finding import Report
    from rigmargin.judge.plugins import Ruleset

TOGETHER = 2  # options in one combination on a report's page; `compare` tries more


def check(chosen: argparse.Namespace) -> int:
    """A short report of each file on the terminal."""
    from rigmargin.judge.finding import EXIT
    from rigmargin.report.terminal import show
    from rigmargin.report.view import view

    terms, codes = by_folder(chosen), {0}
    for file in chosen.files:
        if chosen.rigs_only and not _meant_as_rig(file):
            continue
        here, ruleset = terms(Path(file).parent)
        report = judged(file, ruleset, here.settings)
        if report is None:
            codes.add(UNREADABLE)
            continue
        show(view(report, here.units), console())
        codes.add(EXIT[report.overall])
    if chosen.accept_open:
        codes.discard(EXIT["not_checked"])
    return next(code for code in SEVERITY if code in codes)


def _meant_as_rig(file: str) -> bool:
    """Whether a file says that it is a rig file; one that cannot be opened is left to be told of."""
    from rigmargin.spec.rig_files import looks_like_a_rig

    try:
        return looks_like_a_rig(Path(file).read_bytes())
    except (OSError, ValueError):
        return True


def report(chosen: argparse.Namespace) -> int:
    """The whole report of one file, written to another; of a file that cannot be read, a log of what is wrong with it."""
    from rigmargin.judge.finding import EXIT
    from rigmargin.judge.run import judge
    from rigmargin.report import sarif, words, write
    from rigmargin.spec.problem import FileProblems
    from rigmargin.spec.rig import load

    chosen = settled(chosen, Path(chosen.file).parent)
    ruleset = in_force(chosen)
    try:
        report = judge(load(chosen.file, chosen.settings), ruleset)
    except FileProblems as wrong:
        told(wrong, chosen.file, "judged")
        if Path(chosen.to).suffix != ".sarif":
            return UNREADABLE
        # an older log left where a host takes it up would say that nothing is wrong
        log = {".sarif": lambda problems, _: sarif.one_unreadable(problems, chosen.file)}
        return written(chosen, log, wrong.problems, "cannot be read", UNREADABLE)
    word, mark = words.VERDICT_WORDS[report.overall]

    def page(judged: Report, system: str) -> str:
        from rigmargin.advice.what_if import what_if
        from rigmargin.report import pages

        return pages.html(judged, system, what_if(judged, ruleset), _options(judged, chosen, ruleset))

    return written(chosen, {**write.FORMATS, ".html": page}, report, f"{mark} {word}", EXIT[report.overall])


def _options(report: Report, chosen: argparse.Namespace, ruleset: Ruleset) -> Decision | None:
    """The options of a rig's file, compared for its page; None where it has none."""
    if not report.rig.names["options"]:
        return None
    from rigmargin.advice.compare import compare
    from rigmargin.spec.variants import read

    return compare(read(chosen.file, chosen.settings), ruleset, together=TOGETHER)


def headroom(chosen: argparse.Namespace) -> int:
    """What may still be added, and what would clear each finding."""
    from rigmargin.advice.headroom import headroom
    from rigmargin.judge.finding import EXIT
    from rigmargin.report import headroom as pages

    chosen = settled(chosen, Path(chosen.file).parent)
    ruleset = in_force(chosen)
    report = judged(chosen.file, ruleset, chosen.settings)
    if report is None:
        return UNREADABLE
    return answered(chosen, pages, headroom(report, ruleset), "headroom", EXIT[report.overall])


def compare(chosen: argparse.Namespace) -> int:
    """Today's rig beside each option of its file."""
    from rigmargin.advice.compare import compare
    from rigmargin.report import compare as pages
    from rigmargin.spec.variants import read

    chosen = settled(chosen, Path(chosen.file).parent)
    considered = readable(lambda file: read(file, chosen.settings), chosen.file, "compared")
    if considered is None:
        return UNREADABLE
    decision = compare(considered, in_force(chosen), together=chosen.together, progress=progress)
    cleared = decision.nothing_fails or decision.clears_failing.any
    code = (5 if decision.broken else 0) if cleared else 1
    return answered(chosen, pages, decision, "comparison", code)


def shopping(chosen: argparse.Namespace) -> int:
    """The largest trailer by each limit, and what a tow vehicle needs."""
    from rigmargin.advice.any_trailer import Share, own_share, stated_share
    from rigmargin.advice.shopping import shopping
    from rigmargin.report import shopping as pages
    from rigmargin.spec.units import NotAQuantity

    try:
        asked = stated_share(chosen.share) if chosen.share is not None else None
    except NotAQuantity as wrong:
        print(f"rigmargin: --share: {wrong}", file=sys.stderr)
        return USAGE
    chosen = settled(chosen, Path(chosen.file).parent)
    ruleset = in_force(chosen)
    report = judged(chosen.file, ruleset, chosen.settings)
    if report is None:
        return UNREADABLE
    share = asked or own_share(report)
    if not isinstance(share, Share):
        print(f"rigmargin: {pages.ask_share(report, share)}", file=sys.stderr)
        return USAGE
    sheet = shopping(report, share, ruleset)
    code = 5 if sheet.failed else 3 if sheet.empty else 0
    return answered(chosen, pages, sheet, "shopping sheet", code)


def plan(chosen: argparse.Namespace) -> int:
    """What to move, leave behind or drain."""
    from rigmargin.advice.loading_plan import plan
    from rigmargin.advice.programme import SolverMissing
    from rigmargin.judge.finding import EXIT
    from rigmargin.report import plan as pages

    chosen = settled(chosen, Path(chosen.file).parent)
    ruleset = in_force(chosen)
    report = judged(chosen.file, ruleset, chosen.settings)
    if report is None:
        return UNREADABLE
    try:
        with waiting("searching for a loading"):
            made = plan(report, ruleset)
    except SolverMissing:
        print("rigmargin: a plan needs SciPy's solver, which is not installed: pip install 'rigmargin[plan]'", file=sys.stderr)
        return USAGE
    code = 1 if made.outcome in ("impossible", "not_found") else EXIT[(made.planned or made.report).overall]
    return answered(chosen, pages, made, "loading plan", code)
