"""Arguments in, exit code out. No arithmetic, no wording of verdicts."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from rigmargin import __version__

if TYPE_CHECKING:
    from rich.console import Console

    from rigmargin.judge.finding import Report
    from rigmargin.judge.plugins import Ruleset

T = TypeVar("T")
USAGE, UNREADABLE = 2, 4  # exit codes that do not come from a verdict
FORMATS = (".html", ".md", ".json")  # by the ending of what --to names
_SEVERITY = (UNREADABLE, 1, 5, 3, 0)  # of several files, the first of these that any of them gave
EPILOG = """\
exit code: 0 all that was checked is within; 1 something over, not met or outside its band; 2 the command line is wrong, or
a plan lacks its solver; 3 nothing over, but something too close to tell, in conflict or not checked; 4 a file could not be
read or written; 5 a rule or plugin failed.
"""
COMPARE = """\
exit code: 0 nothing is passed today, or some option clears all that is; 1 none of them does; 2 the command line is wrong;
4 a file could not be read or written; 5 a rule or plugin failed.
"""
MANY = 40  # combinations from which a progress bar is worth its line


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
    headroom.set_defaults(run=_headroom)

    compare = commands.add_parser("compare", help="today's rig beside the rig with each option of the file", epilog=COMPARE)
    compare.add_argument("file", metavar="FILE", help="a rig file with options")
    compare.add_argument(
        "--together", type=_whole, default=3, metavar="N", help="the most options in one combination (default: 3)"
    )
    compare.set_defaults(run=_compare)

    shopping = commands.add_parser(
        "shopping",
        help="the largest trailer by each limit, and what a tow vehicle needs for this trailer",
        epilog="exit code: 0 the sheet was made; 2 the command line is wrong, or the share is neither stated nor known; 3 "
        "nothing could be computed; 4 a file could not be read or written; 5 a rule or plugin failed.",
    )
    shopping.add_argument("file", metavar="FILE", help="a rig file")
    shopping.add_argument(
        "--share",
        metavar="SHARE",
        help="the share of the loaded trailer on the coupling, such as '20 %%' (default: the rig's own, where it is known)",
    )
    shopping.set_defaults(run=_shopping)

    plan = commands.add_parser(
        "plan",
        help="what to move, leave behind or drain, of what the file marks, so that every limit checked is kept",
        epilog="exit code: as check would give for the rig as planned; 1 when none that keeps every limit checked was found.",
    )
    plan.add_argument("file", metavar="FILE", help="a rig file")
    plan.set_defaults(run=_plan)

    places = commands.add_parser(
        "places", help="which law is on file for which place and what is not; what places ask of a rig"
    )
    places.add_argument("codes", nargs="*", metavar="CODE", help="a place, such as us-fl (default: all, or the rig's own)")
    places.add_argument("--rig", metavar="FILE", help="a rig file: what each of the places asks of it, and what asks most")
    places.set_defaults(run=_places)

    for command in (headroom, compare, shopping, plan, places):
        command.add_argument("--to", metavar="PATH", help="write it to a file: .html, .md or .json (default: print it)")
    for command in (check, report, headroom, compare, shopping, plan, places):
        command.add_argument(
            "--units",
            choices=("rig", "us", "metric", "both"),
            default="rig",
            help="rig: the rig's own (default); us; metric; both: the rig's own first",
        )

    rules = commands.add_parser("rules", help="what is checked, on whose authority, and what it needs")
    rules.add_argument("id", nargs="?", metavar="ID", help="one rule in full")
    rules.add_argument("--try", dest="file", metavar="FILE", help="try a rule file: its cases, then what it says of some rigs")
    rules.add_argument("--on", default="", metavar="PATH", help="with --try: a rig file or a folder of them (default: samples)")
    rules.set_defaults(run=_rules)

    for command in (check, report, headroom, compare, shopping, plan, places, rules):
        command.add_argument(
            "--rules",
            action="append",
            default=[],
            metavar="FOLDER",
            help="add the rules of a folder: its .yaml regulations, and its .py files, which are run; may be repeated",
        )
    return parser


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the result is the exit code."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal that cannot show a mark still gets the word
    chosen = _parser().parse_args(arguments)
    if getattr(chosen, "to", None) and not _ending_known(chosen.to):
        return USAGE
    try:
        code: int = chosen.run(chosen)
        sys.stdout.flush()
        return code
    except _NoRules as wrong:
        print(f"rigmargin: {wrong}", file=sys.stderr)
        return UNREADABLE
    except BrokenPipeError:  # the reader (less, head) has gone; nothing more to say
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        print("rigmargin: stopped", file=sys.stderr)
        return 130


def _console() -> Console:
    from rich.console import Console

    return Console(highlight=False, markup=False, emoji=False)


def _judged(file: str, ruleset: Ruleset) -> Report | None:
    """One file judged; None when it could not be read, after saying why on stderr."""
    from rigmargin.judge.run import judge
    from rigmargin.spec.rig import load

    rig = _readable(load, file, "judged")
    return None if rig is None else judge(rig, ruleset)


class _NoRules(Exception):
    """A folder of rules cannot be read; says why."""


def _ruleset(chosen: argparse.Namespace) -> Ruleset:
    """The rules in force, with those of the folders that were named. Raises _NoRules."""
    from rigmargin.judge import local, plugins

    try:
        return plugins.load(*dict.fromkeys(chosen.rules))
    except local.NotAFolder as wrong:
        raise _NoRules(f"--rules: {wrong}") from None


def _readable(read: Callable[[str], T], file: str, done: str) -> T | None:
    """What a file holds; None when it could not be read, after saying why on stderr."""
    from rigmargin.spec.problem import FileProblems

    try:
        return read(file)
    except FileProblems as unreadable:
        for problem in unreadable.problems:
            print(problem, file=sys.stderr)
        number = len(unreadable.problems)
        print(f"rigmargin: {file!r} was not {done}: {number} problem{'s' if number > 1 else ''}", file=sys.stderr)
        return None


def _check(chosen: argparse.Namespace) -> int:
    from rigmargin.judge.finding import EXIT
    from rigmargin.report.terminal import show
    from rigmargin.report.view import view

    codes, ruleset = set(), _ruleset(chosen)
    for file in chosen.files:
        report = _judged(file, ruleset)
        if report is None:
            codes.add(UNREADABLE)
            continue
        show(view(report, chosen.units), _console())
        codes.add(EXIT[report.overall])
    return next(code for code in _SEVERITY if code in codes)


def _report(chosen: argparse.Namespace) -> int:
    from rigmargin.judge.finding import EXIT
    from rigmargin.report import words, write

    report = _judged(chosen.file, _ruleset(chosen))
    if report is None:
        return UNREADABLE
    word, mark = words.VERDICT_WORDS[report.overall]
    return _written(chosen, write.FORMATS, report, f"{mark} {word}", EXIT[report.overall])


def _headroom(chosen: argparse.Namespace) -> int:
    from rigmargin.advice.headroom import headroom
    from rigmargin.judge.finding import EXIT
    from rigmargin.report import headroom as pages

    ruleset = _ruleset(chosen)
    report = _judged(chosen.file, ruleset)
    if report is None:
        return UNREADABLE
    return _answered(chosen, pages, headroom(report, ruleset), "headroom", EXIT[report.overall])


def _compare(chosen: argparse.Namespace) -> int:
    from rigmargin.advice.compare import compare
    from rigmargin.report import compare as pages
    from rigmargin.spec.variants import read

    considered = _readable(read, chosen.file, "compared")
    if considered is None:
        return UNREADABLE
    decision = compare(considered, _ruleset(chosen), together=chosen.together, progress=_progress)
    cleared = decision.nothing_fails or decision.clears_failing.any
    code = (5 if decision.broken else 0) if cleared else 1
    return _answered(chosen, pages, decision, "comparison", code)


def _whole(text: str) -> int:
    """A whole number of options, at least one."""
    if not text.isdecimal() or not int(text):
        raise argparse.ArgumentTypeError(f"expected a whole number from 1, found {text!r}")
    return int(text)


def _progress(tasks: Iterable[T], total: int) -> Iterable[T]:
    """The tasks, with a bar on stderr when there are many and somebody is looking."""
    if total < MANY or not sys.stderr.isatty():
        return tasks
    from rich.console import Console
    from rich.progress import track

    return track(tasks, "judging", total=total, console=Console(stderr=True), transient=True)


def _waiting(what: str) -> AbstractContextManager[object]:
    """A line on stderr for as long as something takes, when somebody is looking."""
    if not sys.stderr.isatty():
        return nullcontext()
    from rich.console import Console

    return Console(stderr=True).status(what)


def _shopping(chosen: argparse.Namespace) -> int:
    from rigmargin.advice.any_trailer import Share, own_share, stated_share
    from rigmargin.advice.shopping import shopping
    from rigmargin.report import shopping as pages
    from rigmargin.spec.units import NotAQuantity

    try:
        asked = stated_share(chosen.share) if chosen.share is not None else None
    except NotAQuantity as wrong:
        print(f"rigmargin: --share: {wrong}", file=sys.stderr)
        return USAGE
    ruleset = _ruleset(chosen)
    report = _judged(chosen.file, ruleset)
    if report is None:
        return UNREADABLE
    share = asked or own_share(report)
    if not isinstance(share, Share):
        print(f"rigmargin: {pages.ask_share(report, share)}", file=sys.stderr)
        return USAGE
    sheet = shopping(report, share, ruleset)
    code = 5 if sheet.failed else 3 if sheet.empty else 0
    return _answered(chosen, pages, sheet, "shopping sheet", code)


def _plan(chosen: argparse.Namespace) -> int:
    from rigmargin.advice.loading_plan import plan
    from rigmargin.advice.programme import SolverMissing
    from rigmargin.judge.finding import EXIT
    from rigmargin.report import plan as pages

    ruleset = _ruleset(chosen)
    report = _judged(chosen.file, ruleset)
    if report is None:
        return UNREADABLE
    try:
        with _waiting("searching for a loading"):
            made = plan(report, ruleset)
    except SolverMissing:
        print("rigmargin: a plan needs SciPy's solver, which is not installed: pip install 'rigmargin[plan]'", file=sys.stderr)
        return USAGE
    code = 1 if made.outcome in ("impossible", "not_found") else EXIT[(made.planned or made.report).overall]
    return _answered(chosen, pages, made, "loading plan", code)


def _ending_known(target: str) -> bool:
    """Whether a file's ending is one of the formats; says so when it is not."""
    if Path(target).suffix in FORMATS:
        return True
    print(f"rigmargin: '{target}' ends in none of {', '.join(FORMATS)}; choose one of these endings", file=sys.stderr)
    return False


def _answered(chosen: argparse.Namespace, pages: Any, answer: object, word: str, code: int) -> int:
    """Print an answer, or write it where ``--to`` says; ``pages`` is the module of ``report`` that puts it into words."""
    if chosen.to:
        formats = dict(zip(FORMATS, (pages.html, pages.markdown, pages.json), strict=True))
        return _written(chosen, formats, answer, word, code)
    pages.show(pages.view(answer, chosen.units), _console())
    return code


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
    from rigmargin.report import catalogue

    if chosen.file:
        return _try(chosen)
    ruleset = _ruleset(chosen)
    for failure in ruleset.failures:
        print(f"rigmargin: {failure.reason}", file=sys.stderr)
    if chosen.id is None:
        catalogue.table(ruleset, _console())
    else:
        rule = ruleset.find(chosen.id)
        if rule is None:
            every = (*ruleset.rules, *ruleset.of_law())
            print(f"rigmargin: {catalogue.unknown(chosen.id, every)}", file=sys.stderr)
            return USAGE
        print(catalogue.plain(rule))
        print(
            "".join(f"\n{catalogue.switched_off(*pair)}" for pair in ruleset.replaced if rule.id in (pair[0].id, pair[1].id)),
            end="",
        )
    return 5 if ruleset.failures else 0


def _try(chosen: argparse.Namespace) -> int:
    from rigmargin.judge.local import NotAFolder
    from rigmargin.testing.tryout import lines, tryout

    try:
        done = _readable(lambda file: tryout(file, chosen.rules, chosen.on), chosen.file, "tried")
    except NotAFolder as wrong:
        raise _NoRules(f"--rules: {wrong}") from None
    if done is None:
        return UNREADABLE
    for problem in done.problems:
        print(f"rigmargin: {problem}", file=sys.stderr)
    for line in lines(done):
        print(line)
    return UNREADABLE if done.problems else 0 if done.comes_out else 1


def _places(chosen: argparse.Namespace) -> int:
    from rigmargin.advice.places import Asked, Coverage, asked, covered, unknown
    from rigmargin.judge.finding import EXIT
    from rigmargin.report import places as pages
    from rigmargin.spec.rig import load

    for wrong, meant in unknown(chosen.codes):
        hint = f"did you mean '{meant}'?" if meant else "write the ISO 3166 code, a state after a hyphen"
        print(f"rigmargin: {wrong!r} is the code of no place; {hint}", file=sys.stderr)
    if unknown(chosen.codes):
        return USAGE
    ruleset = _ruleset(chosen)
    answer: Coverage | Asked
    if chosen.rig:
        rig = _readable(load, chosen.rig, "judged")
        if rig is None:
            return UNREADABLE
        answer = asked(rig, ruleset, chosen.codes)
        failures, worst = answer.coverage.failures, answer.worst
    else:
        answer = covered(ruleset, chosen.codes)
        failures, worst = (*ruleset.failures, *answer.failures), ""
    for failure in failures:
        print(f"rigmargin: {failure.reason}", file=sys.stderr)
    code = EXIT["rule_failed"] if failures else EXIT[worst] if worst else 0
    return _answered(chosen, pages, answer, "places", code)
