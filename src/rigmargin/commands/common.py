"""What every command shares: the settings and rules in force, a file read or refused with reasons, an answer given."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from rich.console import Console

    from rigmargin.judge.finding import Report
    from rigmargin.judge.plugins import Ruleset
    from rigmargin.spec.problem import FileProblems
    from rigmargin.spec.settings import Settings

T = TypeVar("T")
USAGE, UNREADABLE = 2, 4  # exit codes that do not come from a verdict
FORMATS = (".html", ".md", ".json", ".pdf")  # by the ending of what --to names
SEVERITY = (UNREADABLE, 1, 5, 3, 0)  # of several files, the first of these that any of them gave
MANY = 40  # tasks from which a progress bar is worth its line


def console() -> Console:
    """Standard output, with no markup read into what files say."""
    from rich.console import Console

    class Output(Console):
        """It goes on in silence when its reader (less, head) has gone, and leaves the exit code to the answer."""

        def on_broken_pipe(self) -> None:
            self.quiet = True
            unheard()

    return Output(highlight=False, markup=False, emoji=False)


def unheard() -> None:
    """From now on nobody reads standard output: what is still in it, or still comes, goes nowhere."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def judged(file: str, ruleset: Ruleset, settings: Settings) -> Report | None:
    """One file judged; None when it could not be read, after saying why on stderr."""
    from rigmargin.judge.run import judge
    from rigmargin.spec.rig import load

    rig = readable(lambda name: load(name, settings), file, "judged")
    return None if rig is None else judge(rig, ruleset)


class NoRules(Exception):
    """A folder of rules cannot be read; says why."""


class NoSettings(Exception):
    """The settings cannot be used, after saying why on stderr; the exit code."""

    def __init__(self, code: int) -> None:
        super().__init__()
        self.code = code


def settled(chosen: argparse.Namespace, folder: str | Path = ".") -> argparse.Namespace:
    """What was chosen, with what is settled for the rigs of a folder: ``settings``, and ``units`` by them.

    Every command begins with it; one that reads rig files, with the folder of each. Raises NoSettings.
    """
    from rigmargin.spec import settings, settings_file

    variable = os.environ.get(settings.WHICH, "")
    by = settings.DEFAULT
    if chosen.no_settings:
        path = ""
    elif chosen.settings_file or variable:
        path = chosen.settings_file or variable
        by = settings.Origin("option", "--settings") if chosen.settings_file else settings.Origin("variable", settings.WHICH)
    else:
        path = settings_file.nearest(folder)
    kept = readable(lambda file: settings_file.read(file, by), path, "used") if path else settings.NONE
    if kept is None:
        raise NoSettings(UNREADABLE)
    shown = {name: [getattr(chosen, name)] if getattr(chosen, name, None) else [] for name in ("units", "words")}
    given = {**shown, "rules": chosen.rules}
    try:
        whole = settings.merged(kept, os.environ, given)
    except settings.WrongVariables as wrong:
        for line in str(wrong).splitlines():
            print(f"rigmargin: {line}", file=sys.stderr)
        raise NoSettings(USAGE) from None
    return argparse.Namespace(**{**vars(chosen), "settings": whole, "units": whole.units})


def in_force(chosen: argparse.Namespace) -> Ruleset:
    """The rules in force, with those of the folders that were named or settled. Raises NoRules and NoSettings."""
    from rigmargin.judge import by_settings, local, plugins
    from rigmargin.spec.problem import FileProblems

    folders = chosen.settings.rules
    try:
        ruleset = plugins.load(
            *(each.path for each in folders if each.runs), unrun=tuple(each.path for each in folders if not each.runs)
        )
    except local.NotAFolder as wrong:
        raise NoRules(f"{named(chosen, wrong.folder)}: {wrong}") from None
    unknown = by_settings.unknown(chosen.settings, ruleset)
    if unknown:
        told(FileProblems(unknown), chosen.settings.file, "used")
        raise NoSettings(UNREADABLE)
    return ruleset


def by_folder(chosen: argparse.Namespace) -> Callable[[Path], tuple[argparse.Namespace, Ruleset]]:
    """What was chosen and is settled for the rigs of a folder, and the rules in force there; each folder's is read once.

    What it gives raises NoRules and NoSettings.
    """

    @cache
    def terms(folder: Path) -> tuple[argparse.Namespace, Ruleset]:
        here = settled(chosen, folder)
        return here, in_force(here)

    return terms


def named(chosen: argparse.Namespace, folder: str) -> str:
    """What named a folder of rules, such as ``--rules``."""
    return next(str(each.origin) for each in chosen.settings.rules if each.path == folder)


def readable(read: Callable[[str], T], file: str, done: str) -> T | None:
    """What a file holds; None when it could not be read, after saying why on stderr."""
    from rigmargin.spec.problem import FileProblems

    try:
        return read(file)
    except FileProblems as unreadable:
        told(unreadable, file, done)
        return None


def told(unreadable: FileProblems, file: str, done: str) -> None:
    """Say on stderr what is wrong with a file."""
    for problem in unreadable.problems:
        print(problem, file=sys.stderr)
    number = len(unreadable.problems)
    print(f"rigmargin: {file!r} was not {done}: {number} problem{'s' if number > 1 else ''}", file=sys.stderr)


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
        formats = {".html": pages.html, ".md": pages.markdown, ".json": pages.json}
        return written(chosen, formats, answer, word, code)
    pages.show(pages.view(answer, chosen.units), console())
    return code


def written(chosen: argparse.Namespace, formats: Mapping[str, Callable[[T, str], str]], answer: T, word: str, code: int) -> int:
    """Write an answer to the file named on the command line, as a PDF where it is to be one; the exit code."""
    from rigmargin.report import pdf, write

    target = Path(chosen.to)
    try:
        if target.suffix == ".pdf":
            write.whole(target, pdf.pdf(formats[".html"](answer, chosen.units), chosen.paper))
        else:
            write.whole(target, formats[target.suffix](answer, chosen.units))
    except pdf.PrinterMissing as missing:
        print(f"rigmargin: {missing}", file=sys.stderr)
        return USAGE
    except OSError as error:
        print(f"rigmargin: '{target}' could not be written: {error.strerror or error}", file=sys.stderr)
        return UNREADABLE
    print(f"{target}: {word}")
    return code
