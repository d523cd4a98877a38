"""What every command shares: the rules in force, a file read or refused with reasons, an answer printed or written."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from rich.console import Console

    from rigmargin.judge.finding import Report
    from rigmargin.judge.plugins import Ruleset

T = TypeVar("T")
USAGE, UNREADABLE = 2, 4  # exit codes that do not come from a verdict
FORMATS = (".html", ".md", ".json")  # by the ending of what --to names
SEVERITY = (UNREADABLE, 1, 5, 3, 0)  # of several files, the first of these that any of them gave
MANY = 40  # tasks from which a progress bar is worth its line


def console() -> Console:
    """Standard output, with no markup read into what files say."""
    from rich.console import Console

    return Console(highlight=False, markup=False, emoji=False)


def judged(file: str, ruleset: Ruleset) -> Report | None:
    """One file judged; None when it could not be read, after saying why on stderr."""
    from rigmargin.judge.run import judge
    from rigmargin.spec.rig import load

    rig = readable(load, file, "judged")
    return None if rig is None else judge(rig, ruleset)


class NoRules(Exception):
    """A folder of rules cannot be read; says why."""


def in_force(chosen: argparse.Namespace) -> Ruleset:
    """The rules in force, with those of the folders that were named. Raises NoRules."""
    from rigmargin.judge import local, plugins

    try:
        return plugins.load(*dict.fromkeys(chosen.rules))
    except local.NotAFolder as wrong:
        raise NoRules(f"--rules: {wrong}") from None


def readable(read: Callable[[str], T], file: str, done: str) -> T | None:
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


def progress(tasks: Iterable[T], total: int) -> Iterable[T]:
    """The tasks, with a bar on stderr when there are many and somebody is looking."""
    if total < MANY or not sys.stderr.isatty():
        return tasks
    from rich.console import Console
    from rich.progress import track

    return track(tasks, "judging", total=total, console=Console(stderr=True), transient=True)


def waiting(what: str) -> AbstractContextManager[object]:
    """A line on stderr for as long as something takes, when somebody is looking."""
    if not sys.stderr.isatty():
        return nullcontext()
    from rich.console import Console

    return Console(stderr=True).status(what)


def ending_known(target: str, endings: Sequence[str]) -> bool:
    """Whether a file's ending is one of those a command writes; says so when it is not."""
    if Path(target).suffix in endings:
        return True
    print(f"rigmargin: '{target}' ends in none of {', '.join(endings)}; choose one of these endings", file=sys.stderr)
    return False


def answered(chosen: argparse.Namespace, pages: Any, answer: object, word: str, code: int) -> int:
    """Print an answer, or write it where ``--to`` says; ``pages`` is the module of ``report`` that puts it into words."""
    if chosen.to:
        formats = dict(zip(FORMATS, (pages.html, pages.markdown, pages.json), strict=True))
        return written(chosen, formats, answer, word, code)
    pages.show(pages.view(answer, chosen.units), console())
    return code


def written(chosen: argparse.Namespace, formats: Mapping[str, Callable[[T, str], str]], answer: T, word: str, code: int) -> int:
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
