"""What changed, in words: one heading a rig, worst first, and under it each check that turned and each margin that moved.

Laid out here once as plain text; the terminal, Markdown and HTML forms only place it. JSON stands in ``changes_json``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rigmargin import __version__
from rigmargin.club import changes as kinds
from rigmargin.club import changes_json
from rigmargin.club.changes import Changes, RigChange, Turn, Version
from rigmargin.judge.finding import Finding
from rigmargin.report import by_settings, words
from rigmargin.report.display import Display, display
from rigmargin.report.forms import forms
from rigmargin.spec.problem import Problem, printable, shown, writable
from rigmargin.spec.rig import Rig

if TYPE_CHECKING:
    from rich.console import Console

WORK_TREE = "the work tree"
STATUS = {
    "added": "new",
    "removed": "removed",
    "renamed": "renamed",
    "unreadable": "cannot be read",
    "readable": "can be read again",
    "changed": "changed",
}
#: What became of a check; of one that newly fails, "newly" stands before its verdict.
KIND_WORDS = {
    kinds.FURTHER: "further past",
    kinds.OPENS: "newly open",
    kinds.BROKEN: "still failed",
    kinds.WORSENS: "less room",
    kinds.OTHER: "changed",
    kinds.IMPROVES: "more room",
    kinds.SETTLES: "settled",
    kinds.CLEARS: "cleared",
}
#: How many of each kind there are, for one and for many, in the headline.
COUNTED = {
    kinds.FAILS: ("check newly fails", "checks newly fail"),
    kinds.FURTHER: ("limit is passed by more than before", "limits are passed by more than before"),
    kinds.OPENS: ("check is newly open", "checks are newly open"),
    kinds.BROKEN: ("check still cannot be made", "checks still cannot be made"),
    kinds.CLEARS: ("failing check is cleared", "failing checks are cleared"),
    kinds.SETTLES: ("open check is settled", "open checks are settled"),
    kinds.WORSENS: ("margin got smaller", "margins got smaller"),
    kinds.OTHER: ("verdict changed otherwise", "verdicts changed otherwise"),
    kinds.IMPROVES: ("margin got larger", "margins got larger"),
}
TOLD = (kinds.FAILS, kinds.FURTHER, kinds.OPENS, kinds.BROKEN)  # kinds that are told in a sentence beside their row
NAMED = 3  # rigs that are named one by one where settings change something
CAUTIONS = (
    "Both sides are judged by the rules and settings in force now. Margins that moved by less than the rounding shown are "
    "left out, and so is what stayed as it was: that nothing got worse says nothing of how a rig stands. The reports of the "
    "rigs do.",
    words.CAUTIONS[1],
)


@dataclass(frozen=True, slots=True)
class Row:
    """One check."""

    kind: str
    mark: str
    what: str  # what became of it
    check: str  # what is held against what
    was: str  # verdict and margin
    is_: str
    text: str  # the finding in a sentence; empty where the row says it all


@dataclass(frozen=True, slots=True)
class RigView:
    """One rig."""

    path: str
    name: str
    status: str
    overall: str  # before and after
    absent: tuple[str, ...]  # what its options name and a revision has not
    problems: tuple[str, ...]  # why it cannot be read
    rows: tuple[Row, ...]
    unmade: str  # of a new rig, the checks that lack a figure, as a number: its report lists them


@dataclass(frozen=True, slots=True)
class ChangesView:
    """The whole answer."""

    title: str
    headline: str
    rigs: tuple[RigView, ...]
    unmoved: tuple[str, ...]  # files that differ while no verdict changed and no margin moved
    failures: tuple[str, ...]
    unshown: tuple[str, ...]  # what else differs and is not shown
    settings: tuple[str, ...]  # what they change in what is said
    cautions: tuple[str, ...]
    version: str


def view(answer: Changes, system: str = "rig") -> ChangesView:
    """The answer in the units of ``system``."""
    return ChangesView(
        title=printable(f"{answer.old} → {answer.new or WORK_TREE}"),
        headline=_headline(answer),
        rigs=tuple(_rig(rig, answer, system) for rig in answer.rigs if not _quiet(rig)),
        unmoved=tuple(printable(writable(rig.path)) for rig in answer.rigs if _quiet(rig)),
        failures=tuple(printable(failure.reason) for failure in answer.failures),
        unshown=_unshown(answer),
        settings=_settings(answer),
        cautions=CAUTIONS,
        version=__version__,
    )


def _quiet(rig: RigChange) -> bool:
    both_read = all(version and version.rig for version in (rig.before, rig.after))
    absent = any(version and version.absent for version in (rig.before, rig.after))
    return rig.status == "changed" and both_read and not rig.turns and not absent


def _headline(answer: Changes) -> str:
    lost = sum(rig.newly_unreadable for rig in answer.rigs)
    parts = [words.counted(lost, "file can newly not be read", "files can newly not be read")] if lost else []
    for kind, (one, many) in COUNTED.items():
        number = sum(turn.kind == kind for rig in answer.rigs for turn in rig.turns)
        parts += [words.counted(number, one, many)] if number else []
    files = words.counted(len(answer.rigs), "rig file differs", "rig files differ")
    left = "; settings or rules differ, and what they change is not shown" if answer.unshown else ""
    if answer.submodules:
        left += (
            f"; {words.counted(len(answer.submodules), 'submodule differs', 'submodules differ')} and must be compared there"
        )
    return f"{files}; {', '.join(parts) or 'no verdict got worse and no margin moved'}{left}."


def _unshown(answer: Changes) -> tuple[str, ...]:
    rigs = {rig.path for rig in answer.rigs}
    moved, files = (
        printable(", ".join(writable(path) for path in answer.unshown if (path in rigs) == of_rigs))
        for of_rigs in (True, False)
    )
    by = "Both sides are judged by those in force now; the rigs' reports show them."
    folders = (printable(writable(each)) for each in answer.submodules)
    return (
        *((f"Settings or rules differ: {files}. {by}",) if files else ()),
        *((f"Moved to where other settings count: {moved}. {by}",) if moved else ()),
        *(f"The submodule {each} differs. It is a repository of its own: run rigmargin changes in it." for each in folders),
    )


def _settings(answer: Changes) -> tuple[str, ...]:
    """What settings change, a sentence each; where it is not so for all the rigs that can be read, with those it is for."""
    told: dict[str, list[str]] = {}
    read = 0
    for rig in answer.rigs:
        lines: dict[str, None] = {}
        if rig.before and rig.before.rig:  # of its findings only how they stand now is said
            lines |= dict.fromkeys(by_settings.remarks_on(rig.before.rig, ()))
        if rig.after and rig.after.rig:
            lines |= dict.fromkeys(by_settings.remarks_on(rig.after.rig, [turn.after for turn in rig.turns if turn.after]))
        read += any(version and version.rig for version in (rig.before, rig.after))
        for line in lines:
            told.setdefault(line, []).append(printable(writable(rig.path)))
    return tuple(line if len(paths) == read else f"{_rigs(paths)}: {line}" for line, paths in told.items())


def _rigs(paths: list[str]) -> str:
    return ", ".join(paths) if len(paths) <= NAMED else f"{len(paths)} rigs"


def _rig(rig: RigChange, answer: Changes, system: str) -> RigView:
    one = next((v.rig for v in (rig.after, rig.before) if v and v.rig), None)
    rows, unmade = rig.turns, 0
    if rig.status in ("added", "readable"):
        rows = tuple(turn for turn in rows if turn.after and turn.after.verdict != "not_checked")
        unmade = len(rig.turns) - len(rows)
    was = rig.before.rig.name if rig.before and rig.before.rig else ""
    renamed = f", before {writable(rig.before.path)}" if rig.status == "renamed" and rig.before else ""
    renamed += f", before named {shown(was)}" if one and was not in ("", one.name) else ""
    return RigView(
        path=printable(writable(rig.path)),
        name=printable(one.name) if one else "",
        status=printable(f"{STATUS[rig.status]}{renamed}"),
        overall=" → ".join(_overall(v) for v in (rig.before, rig.after) if v),
        absent=tuple(
            printable(
                f"{', '.join(map(writable, v.absent))}, named by options, is not in {at}: there the options were not read."
            )
            for v, at in ((rig.before, answer.old), (rig.after, answer.new))
            if v and v.absent
        ),
        problems=tuple(writable(str(problem)) for problem in _problems(rig.after)),
        rows=tuple(_row(turn, one, display(one, system)) for turn in rows) if one else (),
        unmade=words.counted(unmade, "check lacks a figure", "checks lack a figure") if unmade else "",
    )


def _overall(version: Version) -> str:
    if version.rig is None:
        return "cannot be read"
    word, mark = words.VERDICT_WORDS[version.overall]
    return f"{mark} {word}"


def _row(turn: Turn, rig: Rig, shown_as: Display) -> Row:
    finding = turn.after or turn.before
    assert finding is not None  # a check that is on neither side is no turn
    word, mark = words.VERDICT_WORDS[finding.verdict]
    passed = turn.kind == kinds.OPENS and turn.before and turn.before.verdict == finding.verdict == "too_close"
    what = f"newly {word}" if turn.kind == kinds.FAILS else "newly past, in doubt" if passed else KIND_WORDS[turn.kind]
    return Row(
        kind=turn.kind,
        mark=mark,
        what=what,
        check=printable(words.compared_words(finding, rig)),
        was=_verdict(turn.before, shown_as),
        is_=_verdict(turn.after, shown_as),
        text=printable(words.sentence(turn.after, rig, shown_as)) if turn.after and turn.kind in TOLD else "",
    )


def _verdict(finding: Finding | None, shown_as: Display) -> str:
    if finding is None:
        return "not made"
    word, mark = words.VERDICT_WORDS[finding.verdict]
    margin = words.margin_number(finding, shown_as)
    return f"{mark} {word}{f', {margin}' if margin else ''}"


def _problems(version: Version | None) -> tuple[Problem, ...]:
    return version.problems if version else ()


def show(view_: ChangesView, console: Console) -> None:
    """Print it on a terminal."""
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    console.print(Text(view_.title, style="bold"), soft_wrap=True)
    console.print(Text(view_.headline))
    for rig in view_.rigs:
        console.print()
        console.print(Text(f"{rig.path}{f': {rig.name}' if rig.name else ''}", style="bold"), soft_wrap=True)
        console.print(Text(f"{rig.status}; {rig.overall}"))
        for line in (*rig.absent, *rig.problems):
            console.print(Padding(Text(line), (0, 0, 0, 2)))
        if rig.rows:
            grid = Table(box=None, padding=(0, 1, 0, 0), header_style="bold")
            for heading in ("", "check", "was", "is"):
                grid.add_column(heading, overflow="fold")
            for row in rig.rows:
                grid.add_row(Text(f"{row.mark} {row.what}"), Text(row.check), Text(row.was), Text(row.is_))
            console.print(grid)
        for row in rig.rows:
            if row.text:
                console.print(Padding(Text(f"{row.mark} {row.text}"), (0, 0, 0, 2)))
        if rig.unmade:
            console.print(Padding(Text(f"{rig.unmade}; its report lists them."), (0, 0, 0, 2)))
    if view_.unmoved:
        console.print(Text(f"\nNo verdict changed and no margin moved in {', '.join(view_.unmoved)}."))
    for failure in view_.failures:
        console.print(Text(f"‼ {failure}"))
    for line in view_.unshown:
        console.print(Text(f"? {line}"))
    by_settings.show(view_.settings, console)
    console.print(Text(view_.cautions[0], style="dim"))


html, markdown, json = forms(
    "changes", view, lambda answer: changes_json.document(answer, _headline(answer), _settings(answer))
)
