"""What the command line takes: each command with its arguments, and the module of ``commands`` that does it."""

from __future__ import annotations

import argparse
from typing import Any

from rigmargin import __version__
from rigmargin.commands import changes, club, one_rig, rule_book, settings, start, weigh_day
from rigmargin.commands.common import FORMATS
from rigmargin.report.pdf import PAPERS
from rigmargin.spec.settings import WORDS

Commands = Any  # argparse keeps the type of its own collection of commands to itself

EPILOG = """\
exit code: 0 all that was checked is within; 1 something over, not met or outside its band; 2 the command line is wrong, or
what a plan or a PDF needs is not installed; 3 nothing over, but something too close to tell, in conflict or not checked; 4 a
file could not be read or written; 5 a rule or plugin failed.
"""
COMPARE = """\
exit code: 0 nothing is passed today, or some option clears all that is; 1 none of them does; 2 the command line is wrong;
4 a file could not be read or written; 5 a rule or plugin failed.
"""
CHANGES = """\
exit code: 0 nothing got worse; 1 something is newly over, not met or outside its band, or further past its limit; 2 the command
line is wrong, a revision is not to be found, or git is not there; 3 something is newly too close to tell, in conflict or not
checked; 4 a file newly cannot be read, or the repository cannot; 5 a rule or plugin failed.
"""
#: The commands that write their answer where ``--to`` says or print it; that show figures; that write PDF; that judge by rules.
ANSWERING = ("headroom", "compare", "shopping", "plan", "places", "changes", "settings")
SHOWING = (*ANSWERING, "check", "report", "sheet", "record", "club", "start")
PRINTING = (*ANSWERING, "report", "sheet", "record")
JUDGING = (*SHOWING, "weigh-in", "rules")


def parser() -> argparse.ArgumentParser:
    """The whole command line."""
    made = argparse.ArgumentParser(
        prog="rigmargin",
        description="Which limit of a towing rig binds, by how much, and what is still unknown.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    made.add_argument("--version", action="version", version=f"rigmargin {__version__}")
    commands = made.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for add in (_beginning, _judging, _deciding, _many, _weighing, _looking_up):
        add(commands)
    for name in ANSWERING:
        commands.choices[name].add_argument(
            "--to", metavar="PATH", help="write it to a file: .html, .md, .json or .pdf (default: print it)"
        )
    for name in PRINTING:
        commands.choices[name].add_argument(
            "--paper", choices=PAPERS, default=PAPERS[0], help=f"the size of a .pdf's pages (default: {PAPERS[0]})"
        )
    for name in SHOWING:
        commands.choices[name].add_argument(
            "--units",
            choices=("rig", "us", "metric", "both"),
            help="rig: the rig's own (default, unless settings say otherwise); us; metric; both: the rig's own first",
        )
        commands.choices[name].add_argument(
            "--words",
            choices=WORDS,
            help="rig: those of the rig's first place (default, unless settings say otherwise); neutral: of no "
            "region; a region",
        )
    for name in JUDGING:
        _by_what(commands.choices[name])
    return made


def _by_what(command: argparse.ArgumentParser) -> None:
    """The settings and rules to judge by."""
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


def _beginning(commands: Commands) -> None:
    """A first rig file."""
    begin = commands.add_parser("start", help="asks about one rig, line by line, and writes its rig file", epilog=EPILOG)
    begin.add_argument(
        "file", nargs="?", default="rig.yaml", metavar="FILE", help="the rig file to begin or to go on with (default: rig.yaml)"
    )
    begin.add_argument(
        "--answers", metavar="FILE", help="take the answers from a file instead: a question's path, a colon, the answer"
    )
    begin.set_defaults(run=start.start)


def _judging(commands: Commands) -> None:
    """One rig, or some, as they are today."""
    check = commands.add_parser("check", help="judge rigs and print a short report of each", epilog=EPILOG)
    check.add_argument("files", nargs="+", metavar="FILE", help="a rig file")
    check.add_argument(
        "--rigs-only", action="store_true", help="pass over files that do not say 'rig:' at their top, such as other YAML"
    )
    check.add_argument(
        "--accept-open",
        action="store_true",
        help="exit with 0 instead of 3: what is too close to tell, in conflict or not checked is printed and accepted",
    )
    check.set_defaults(run=one_rig.check)

    report = commands.add_parser("report", help="judge one rig and write the whole report to a file", epilog=EPILOG)
    report.add_argument("file", metavar="FILE", help="a rig file")
    report.add_argument(
        "--to", required=True, metavar="PATH", help="where to; .html, .md, .json, .pdf or .sarif decides the format"
    )
    report.set_defaults(run=one_rig.report, endings=(*FORMATS, ".sarif"))


def _deciding(commands: Commands) -> None:
    """What to do about one rig."""
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


def _many(commands: Commands) -> None:
    """Many rigs."""
    batch = commands.add_parser("club", help="judge every rig under a folder: a report of each, and an index", epilog=EPILOG)
    batch.add_argument("folder", metavar="FOLDER", help="the folder that holds the rig files, in folders of its own or not")
    batch.add_argument("--out", required=True, metavar="FOLDER", help="where to; replaced as a whole when the run is done")
    batch.add_argument(
        "--reports",
        type=club.formats,
        default=(".html",),
        metavar="FORMATS",
        help="html, md, json, sarif, or several with commas (default: html)",
    )
    batch.add_argument(
        "--sheets", action="store_true", help="a printable sheet too of each rig that lacks a weighing or figure"
    )
    batch.add_argument("--with-owners", action="store_true", help="name the owners (default: the pages leave them out)")
    batch.add_argument("--fresh", action="store_true", help="judge all anew (default: only what changed since the last run)")
    batch.add_argument("--workers", type=_whole, metavar="N", help="processes at once (default: one for each processor)")
    batch.add_argument("--on", metavar="dask://HOST:PORT", help="judge on the Dask cluster of that scheduler instead")
    batch.set_defaults(run=club.club)

    between = commands.add_parser(
        "changes",
        help="what changed for which rigs between two revisions in git",
        usage="rigmargin changes OLD [NEW] [options] [-- FILE_OR_FOLDER…]",
        epilog=CHANGES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    between.add_argument("old", metavar="OLD", help="a revision, such as main or v3")
    between.add_argument("new", nargs="?", metavar="NEW", help="another one (default: the files as they lie in the work tree)")
    between.set_defaults(run=changes.changes)


def _weighing(commands: Commands) -> None:
    """A day at the scale."""
    sheet = commands.add_parser("sheet", help="a page to print for the weigh day, with blanks for what one rig lacks")
    sheet.set_defaults(run=weigh_day.sheet)

    record = commands.add_parser(
        "record",
        help="a page to print, sign and keep: what was judged of one rig, by which figures, and what was not",
        epilog=EPILOG,
    )
    record.set_defaults(run=weigh_day.record)
    for page in (sheet, record):
        page.add_argument("file", metavar="FILE", help="a rig file")
        page.add_argument("--to", required=True, metavar="PATH", help="where to; .html, .md or .pdf decides the format")
        page.add_argument("--with-owner", action="store_true", help="print the owner's name on it")
        page.set_defaults(endings=(".html", ".md", ".pdf"))

    weigh_in = commands.add_parser(
        "weigh-in",
        help="write a day's tickets from a table into the rig files of a folder",
        epilog="exit code: 0 the tickets are in the files, or could be; 2 the command line is wrong; 4 something is wrong with "
        "a ticket or a file, and nothing was written.",
    )
    weigh_in.add_argument("tickets", nargs="?", metavar="TICKETS", help="a table of tickets, as CSV")
    weigh_in.add_argument("folder", nargs="?", metavar="FOLDER", help="the folder that holds the rig files")
    weigh_in.add_argument("--write", action="store_true", help="write the change; without it, it is only shown")
    weigh_in.add_argument("--template", metavar="FOLDER", help="print a table with a line for each pass a rig of FOLDER lacks")
    weigh_in.set_defaults(run=weigh_day.weigh_in)


def _looking_up(commands: Commands) -> None:
    """The rules, the law of places, and what is settled."""
    places = commands.add_parser(
        "places", help="which law is on file for which place and what is not; what places ask of a rig"
    )
    places.add_argument("codes", nargs="*", metavar="CODE", help="a place, such as us-fl (default: all, or the rig's own)")
    places.add_argument("--rig", metavar="FILE", help="a rig file: what each of the places asks of it, and what asks most")
    places.set_defaults(run=rule_book.places)

    rules = commands.add_parser("rules", help="what is checked, on whose authority, and what it needs")
    rules.add_argument("id", nargs="?", metavar="ID", help="one rule in full")
    rules.add_argument("--try", dest="file", metavar="FILE", help="try a rule file: its cases, then what it says of some rigs")
    rules.add_argument("--on", default="", metavar="PATH", help="with --try: a rig file or a folder of them (default: samples)")
    rules.set_defaults(run=rule_book.rules)

    settled = commands.add_parser("settings", help="what is settled for the rigs of a folder, and where each value came from")
    settled.add_argument("folder", nargs="?", default=".", metavar="FOLDER", help="a folder (default: this one)")
    settled.set_defaults(run=settings.settings)


def _whole(text: str) -> int:
    """A whole number, at least one."""
    if not text.isdecimal() or not int(text):
        raise argparse.ArgumentTypeError(f"expected a whole number from 1, found {text!r}")
    return int(text)
