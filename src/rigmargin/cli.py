"""Arguments in, exit code out. No arithmetic, no wording of verdicts."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from rigmargin import __version__

if TYPE_CHECKING:
    from rich.console import Console

    from rigmargin.advice.headroom import Headroom
    from rigmargin.advice.loading_plan import Plan
    from rigmargin.judge.finding import Report

T = TypeVar("T")
USAGE, UNREADABLE = 2, 4  # exit codes that do not come from a verdict
_SEVERITY = (UNREADABLE, 1, 5, 3, 0)  # of several files, the first of these that any of them gave
EPILOG = """\
exit code: 0 all that was checked is within; 1 something over, not met or outside its band; 2 the command line is wrong, or
a plan lacks its solver; 3 nothing over, but something too close to tell, in conflict or not checked; 4 a file could not be
read or written; 5 a rule or plugin failed.
"""


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="rigmargin",
        description="Which limit of a towing rig binds, by how much, and what is still unknown.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"rigmargin {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")

    check = commands.add_parser("check", help="judge rigs and print a short report of each", epilog=EPILOG)
    check.add_argument("files", nargs="+", metavar="FILE", help="a rig file")
    check.set_defaults(run=_check)

    report = commands.add_parser("report", help="judge one rig and write the whole report to a file", epilog=EPILOG)
    report.add_argument("file", metavar="FILE", help="a rig file")
    report.add_argument("--to", required=True, metavar="PATH", help="where to; .html, .md or .json decides the format")
    report.set_defaults(run=_report)

    headroom = commands.add_parser("headroom", help="what may still be added, where, and what would clear each finding")
    headroom.add_argument("file", metavar="FILE", help="a rig file")
    headroom.add_argument("--to", metavar="PATH", help="write it to a file: .html, .md or .json (default: print it)")
    headroom.set_defaults(run=_headroom)

    plan = commands.add_parser(
        "plan",
        help="what to move, leave behind or drain, of what the file marks, so that every limit checked is kept",
        epilog="exit code: as check would give for the rig as planned; 1 when no loading keeps every limit that was checked.",
    )
    plan.add_argument("file", metavar="FILE", help="a rig file")
    plan.add_argument("--to", metavar="PATH", help="write it to a file: .html, .md or .json (default: print it)")
    plan.set_defaults(run=_plan)

    for command in (check, report, headroom, plan):
        command.add_argument(
            "--units",
            choices=("rig", "us", "metric", "both"),
            default="rig",
            help="rig: the rig's own (default); us; metric; both: the rig's own first",
        )

    rules = commands.add_parser("rules", help="what is checked, on whose authority, and what it needs")
    rules.add_argument("id", nargs="?", metavar="ID", help="one rule in full")
    rules.set_defaults(run=_rules)
    return parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the result is the exit code."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal that cannot show a mark still gets the word
    chosen = _parser().parse_args(arguments)
    try:
        code: int = chosen.run(chosen)
        sys.stdout.flush()
        return code
    except BrokenPipeError:  # the reader (less, head) has gone; nothing more to say
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        print("rigmargin: stopped", file=sys.stderr)
        return 130


def _console() -> Console:
    from rich.console import Console

    return Console(highlight=False, markup=False, emoji=False)


def _judged(file: str) -> Report | None:
    """One file judged; None when it could not be read, after saying why on stderr."""
    from rigmargin.judge.run import judge
    from rigmargin.spec.problem import FileProblems
    from rigmargin.spec.rig import load

    try:
        return judge(load(file))
    except FileProblems as unreadable:
        for problem in unreadable.problems:
            print(problem, file=sys.stderr)
        number = len(unreadable.problems)
        print(f"rigmargin: {file!r} was not judged: {number} problem{'s' if number > 1 else ''}", file=sys.stderr)
        return None


def _check(chosen: argparse.Namespace) -> int:
    from rigmargin.judge.finding import EXIT
    from rigmargin.report.terminal import show
    from rigmargin.report.view import view

    codes = set()
    for file in chosen.files:
        report = _judged(file)
        if report is None:
            codes.add(UNREADABLE)
            continue
        show(view(report, chosen.units), _console())
        codes.add(EXIT[report.overall])
    return next(code for code in _SEVERITY if code in codes)


def _report(chosen: argparse.Namespace) -> int:
    from rigmargin.judge.finding import EXIT
    from rigmargin.report import words, write

    if not _ending_known(chosen.to, write.FORMATS):
        return USAGE
    report = _judged(chosen.file)
    if report is None:
        return UNREADABLE
    word, mark = words.VERDICT_WORDS[report.overall]
    return _written(chosen, write.FORMATS, report, f"{mark} {word}", EXIT[report.overall])


def _headroom(chosen: argparse.Namespace) -> int:
    from rigmargin.advice.headroom import headroom
    from rigmargin.judge.finding import EXIT
    from rigmargin.report import headroom as pages

    formats: dict[str, Callable[[Headroom, str], str]] = {".html": pages.html, ".md": pages.markdown, ".json": pages.json}
    if chosen.to and not _ending_known(chosen.to, formats):
        return USAGE
    report = _judged(chosen.file)
    if report is None:
        return UNREADABLE
    room = headroom(report)
    if chosen.to:
        return _written(chosen, formats, room, "headroom", EXIT[report.overall])
    pages.show(pages.view(room, chosen.units), _console())
    return EXIT[report.overall]


def _plan(chosen: argparse.Namespace) -> int:
    from rigmargin.advice.loading_plan import plan
    from rigmargin.advice.programme import SolverMissing
    from rigmargin.judge.finding import EXIT
    from rigmargin.report import plan as pages

    formats: dict[str, Callable[[Plan, str], str]] = {".html": pages.html, ".md": pages.markdown, ".json": pages.json}
    if chosen.to and not _ending_known(chosen.to, formats):
        return USAGE
    report = _judged(chosen.file)
    if report is None:
        return UNREADABLE
    try:
        made = plan(report)
    except SolverMissing:
        print("rigmargin: a plan needs SciPy's solver, which is not installed: pip install 'rigmargin[plan]'", file=sys.stderr)
        return USAGE
    code = 1 if made.outcome == "impossible" else EXIT[(made.planned or made.report).overall]
    if chosen.to:
        return _written(chosen, formats, made, "loading plan", code)
    pages.show(pages.view(made, chosen.units), _console())
    return code


def _ending_known(target: str, formats: Iterable[str]) -> bool:
    """Whether a file's ending is one of the formats; says so when it is not."""
    if Path(target).suffix in formats:
        return True
    print(f"rigmargin: '{target}' ends in none of {', '.join(formats)}; choose one of these endings", file=sys.stderr)
    return False


def _written(
    chosen: argparse.Namespace, formats: Mapping[str, Callable[[T, str], str]], answer: T, word: str, code: int
) -> int:
    """Write an answer to the file named on the command line; the exit code."""
    from rigmargin.report import write

    target = Path(chosen.to)
    try:
        write.whole(target, formats[target.suffix](answer, chosen.units))
    except OSError as error:
        print(f"rigmargin: '{target}' could not be written: {error.strerror or error}", file=sys.stderr)
        return UNREADABLE
    print(f"{target}: {word}")
    return code


def _rules(chosen: argparse.Namespace) -> int:
    from rigmargin.judge import plugins
    from rigmargin.report import catalogue

    ruleset = plugins.load()
    for failure in ruleset.failures:
        print(f"rigmargin: {failure.reason}", file=sys.stderr)
    if chosen.id is None:
        catalogue.table(ruleset.rules, _console())
    else:
        rule = next((r for r in ruleset.rules if r.id == chosen.id), None)
        if rule is None:
            print(f"rigmargin: {catalogue.unknown(chosen.id, ruleset.rules)}", file=sys.stderr)
            return USAGE
        print(catalogue.plain(rule))
    return 5 if ruleset.failures else 0
