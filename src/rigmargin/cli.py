"""Arguments in, exit code out. No arithmetic, no wording of verdicts."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence

from rigmargin import __version__
from rigmargin.commands import one_rig, rule_book, settings
from rigmargin.commands.common import UNREADABLE, USAGE, NoRules, NoSettings, ending_known

EPILOG = """\
exit code: 0 all that was checked is within; 1 something over, not met or outside its band; 2 the command line is wrong, or
a plan lacks its solver; 3 nothing over, but something too close to tell, in conflict or not checked; 4 a file could not be
read or written; 5 a rule or plugin failed.
"""
COMPARE = """\
exit code: 0 nothing is passed today, or some option clears all that is; 1 none of them does; 2 the command line is wrong;
4 a file could not be read or written; 5 a rule or plugin failed.
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
    check.set_defaults(run=one_rig.check)

    report = commands.add_parser("report", help="judge one rig and write the whole report to a file", epilog=EPILOG)
    report.add_argument("file", metavar="FILE", help="a rig file")
    report.add_argument("--to", required=True, metavar="PATH", help="where to; .html, .md or .json decides the format")
    report.set_defaults(run=one_rig.report)

    headroom = commands.add_parser("headroom", help="what may still be added, where, and what would clear each finding")
    headroom.add_argument("file", metavar="FILE", help="a rig file")
    headroom.set_defaults(run=one_rig.headroom)

    compare = commands.add_parser("compare", help="today's rig beside the rig with each option of the file", epilog=COMPARE)
    compare.add_argument("file", metavar="FILE", help="a rig file with options")
    compare.add_argument(
        "--together", type=_whole, default=3, metavar="N", help="the most options in one combination (default: 3)"
    )
    compare.set_defaults(run=one_rig.compare)

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
    shopping.set_defaults(run=one_rig.shopping)

    plan = commands.add_parser(
        "plan",
        help="what to move, leave behind or drain, of what the file marks, so that every limit checked is kept",
        epilog="exit code: as check would give for the rig as planned; 1 when none that keeps every limit checked was found.",
    )
    plan.add_argument("file", metavar="FILE", help="a rig file")
    plan.set_defaults(run=one_rig.plan)

    places = commands.add_parser(
        "places", help="which law is on file for which place and what is not; what places ask of a rig"
    )
    places.add_argument("codes", nargs="*", metavar="CODE", help="a place, such as us-fl (default: all, or the rig's own)")
    places.add_argument("--rig", metavar="FILE", help="a rig file: what each of the places asks of it, and what asks most")
    places.set_defaults(run=rule_book.places)

    settled = commands.add_parser("settings", help="what is settled for the rigs of a folder, and where each value came from")
    settled.add_argument("folder", nargs="?", default=".", metavar="FOLDER", help="a folder (default: this one)")
    settled.set_defaults(run=settings.settings)

    for command in (headroom, compare, shopping, plan, places, settled):
        command.add_argument("--to", metavar="PATH", help="write it to a file: .html, .md or .json (default: print it)")
    for command in (check, report, headroom, compare, shopping, plan, places, settled):
        command.add_argument(
            "--units",
            choices=("rig", "us", "metric", "both"),
            help="rig: the rig's own (default, unless settings say otherwise); us; metric; both: the rig's own first",
        )

    rules = commands.add_parser("rules", help="what is checked, on whose authority, and what it needs")
    rules.add_argument("id", nargs="?", metavar="ID", help="one rule in full")
    rules.add_argument("--try", dest="file", metavar="FILE", help="try a rule file: its cases, then what it says of some rigs")
    rules.add_argument("--on", default="", metavar="PATH", help="with --try: a rig file or a folder of them (default: samples)")
    rules.set_defaults(run=rule_book.rules)

    for command in (check, report, headroom, compare, shopping, plan, places, rules, settled):
        either = command.add_mutually_exclusive_group()
        either.add_argument(
            "--settings",
            dest="settings_file",
            metavar="FILE",
            help="use this settings file (default: the nearest rigmargin.yaml); its rules may run",
        )
        either.add_argument("--no-settings", action="store_true", help="use no settings file")
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
    if getattr(chosen, "to", None) and not ending_known(chosen.to):
        return USAGE
    try:
        code: int = chosen.run(chosen)
        sys.stdout.flush()
        return code
    except NoSettings as unusable:
        return unusable.code
    except NoRules as wrong:
        print(f"rigmargin: {wrong}", file=sys.stderr)
        return UNREADABLE
    except BrokenPipeError:  # the reader (less, head) has gone; nothing more to say
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        print("rigmargin: stopped", file=sys.stderr)
        return 130


def _whole(text: str) -> int:
    """A whole number of options, at least one."""
    if not text.isdecimal() or not int(text):
        raise argparse.ArgumentTypeError(f"expected a whole number from 1, found {text!r}")
    return int(text)
