"""The command that asks, and writes a rig file from the answers."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from rigmargin.commands.common import UNREADABLE, USAGE, in_force, readable, settled, told

if TYPE_CHECKING:
    from rigmargin.judge.finding import Report
    from rigmargin.spec.document import Document
    from rigmargin.start.answers import Answers
    from rigmargin.start.session import Asker

NOTHING_YET = "rigmargin: nothing was written: a rig file needs at least a name and the kind of coupling"


def start(chosen: argparse.Namespace) -> int:
    """Ask what the file does not say yet; the exit code is that of the rig as far as it is known."""
    from rigmargin.judge.finding import EXIT
    from rigmargin.judge.run import judge
    from rigmargin.start import asking, checked, so_far, wording
    from rigmargin.start.answers import Answers
    from rigmargin.start.keeping import Keeper, NotKept
    from rigmargin.start.session import Session, State

    path = Path(chosen.file)
    if not _usable(path):
        return USAGE
    typed: str | None = chosen.units
    chosen = settled(chosen, path.parent)
    ruleset = in_force(chosen)
    answering: Asker | None = readable(asking.script, chosen.answers, "used") if chosen.answers else asking.typed
    begun = _begun(chosen, path)
    if answering is None or begun is None:
        return UNREADABLE
    document, text = begun
    data = document.data if document else {"rig": 1, "tow_vehicle": {}, "trailer": {}}
    states = [str(ticket["state"]) for ticket in document.data.get("weighings", ())] if document else []
    weighed = frozenset(state for state in states if states.count(state) > 1)
    answers = Answers(data, chosen.settings.places, weighed)
    keeper = Keeper(path, text, answers)

    def judged(known: Answers) -> Report:
        return judge(checked.read(known.readable(), chosen.settings), ruleset)

    def say(line: str) -> None:
        print(line, flush=True)

    def standing(known: Answers) -> tuple[str, ...]:
        return so_far.lines(judged(known), chosen.units)

    for line in (*([wording.resumed(path.name, keeper.edited)] if document else []), *wording.OPENING):
        say(line)
    state = State(answers, unit=_unit(typed, document))
    try:
        answers = Session(state, chosen.settings, answering, say, keeper.keep, standing).run()
    except NotKept as reason:
        print(f"rigmargin: '{path}' was not written: {reason}", file=sys.stderr)
        return UNREADABLE
    for ask in answering.unasked if isinstance(answering, asking.Script) else ():
        print(f"rigmargin: '{chosen.answers}': not asked, or not again: {ask}", file=sys.stderr)
    if not keeper.written:
        print(NOTHING_YET, file=sys.stderr)
        return EXIT["not_checked"]
    for line in ("", *wording.closing(path.name, keeper.edited)):
        say(line)
    return EXIT[judged(answers).overall]


def _usable(path: Path) -> bool:
    """Whether a rig file of that name can be written there; says so when not."""
    from rigmargin.spec.rig_files import ENDINGS, named_like_a_rig
    from rigmargin.spec.settings_file import NAME

    if path.name == NAME:
        print(f"rigmargin: '{path}' is what a settings file is called; choose another name", file=sys.stderr)
    elif not named_like_a_rig(path.name):
        print(f"rigmargin: '{path}' does not end in {' or '.join(ENDINGS)}; choose one of these endings", file=sys.stderr)
    elif not path.parent.is_dir():
        print(f"rigmargin: '{path.parent}' is no folder; make it first, or name another", file=sys.stderr)
    else:
        return True
    return False


def _begun(chosen: argparse.Namespace, path: Path) -> tuple[Document | None, str | None] | None:
    """What the file holds already, as data and as text; None when it cannot be read, after saying why on stderr."""
    from dataclasses import replace

    from rigmargin.spec import document, rig
    from rigmargin.spec.problem import FileProblems

    if not path.exists() and not path.is_symlink():
        return None, None
    try:
        found = replace(document.read(path), settings=chosen.settings)
        rig.build(found)
        return found, path.read_bytes().decode("utf-8")
    except FileProblems as unreadable:
        told(unreadable, str(path), "gone on with, and stays as it is")
        return None


def _unit(typed: str | None, document: Document | None) -> str:
    """The unit of a mass that is typed without one: as ``--units`` says, or as every mass in the file has it; else empty.

    In what units settings let answers be shown says nothing of what a label is printed in.
    """
    from rigmargin.spec import rig

    if typed in ("us", "metric"):
        return {"us": "lb", "metric": "kg"}[typed]
    stated = rig.build(document).stated.values() if document else ()
    used = {each.unit for each in stated if each.dimension == "mass"}
    return used.pop() if len(used) == 1 and used <= {"lb", "kg"} else ""
