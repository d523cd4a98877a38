"""One rig of a batch, from its bytes to what the club's pages say of it and the pages of its own.

This is the part that runs in a worker, here or on another machine: it takes plain data, gives plain data, and fails nobody
else's rig.
"""

from __future__ import annotations

import csv
import dataclasses
import io
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from rigmargin.club.formula import guarded
from rigmargin.club.row import UNREADABLE, Row
from rigmargin.judge.finding import Report
from rigmargin.spec.problem import Problem, named_from, writable
from rigmargin.spec.settings import NONE, Settings

if TYPE_CHECKING:
    from rigmargin.report.display import Display

#: The columns of the table of findings. Numbers are in the unit of their line.
NUMBERS = ("load", "limit", "margin", "uncertainty", "unit")
COLUMNS = ("file", "rig", "owner", "rule", "subject", "state", "limit_name", "verdict", *NUMBERS, "text")


@dataclass(frozen=True, slots=True)
class Job:
    """What is asked of every rig of a run."""

    folder: str  # where the files lie, for what an option takes from another file
    formats: tuple[str, ...]  # of its own report: ".html", ".md", ".json", ".sarif"
    sheets: bool  # a sheet for the weigh day too, where it asks for anything
    units: str  # as ``report.display.display`` takes it
    owners: bool  # whether the pages may name them
    rules: tuple[str, ...]  # folders of local rules
    unrun: tuple[str, ...] = ()  # of those that only settings name: what is Python there does not run
    settings: Settings = NONE
    seen_from: str = ""  # what code hosts want before a file's path in the folder


@dataclass(frozen=True, slots=True)
class Task:
    """One rig file to judge."""

    file: str  # its path in the folder
    key: str  # for its row
    raw: bytes
    leans: bool = False  # its options take parts from other files


@dataclass(frozen=True, slots=True)
class Done:
    """What came of one rig."""

    row: Row
    pages: tuple[tuple[str, str], ...] = ()  # kind or ending, and text
    findings: str = ""  # its lines of the table


def several(job: Job, tasks: Iterable[Task]) -> list[Done]:
    """Judge several rigs, one after the other. What goes wrong with one is its own row."""
    return [_one(job, task) for task in tasks]


def _one(job: Job, task: Task) -> Done:
    from rigmargin.spec.problem import FileProblems

    try:
        return _judged(job, task)
    except FileProblems as unreadable:
        return unread(job, task.file, task.key, named_from(unreadable.problems, job.folder))
    except Exception as error:  # a fault of ours in one rig must not take the others with it
        return failed(task, f"{type(error).__name__}: {error}")


def unread(job: Job, file: str, key: str, problems: Iterable[Problem]) -> Done:
    """The row of a file that could not be read; ``problems`` name their files from the club's folder."""
    problems = tuple(problems)
    first = problems[0]
    place = f"line {first.line}, column {first.column}: " if first.line and first.file == file else ""
    texts = tuple(map(str, problems))
    row = Row(file, key, headline=f"{place}{first.text}" if first.file == file else texts[0], problems=texts)
    pages: tuple[tuple[str, str], ...] = ()
    if ".sarif" in job.formats:
        from rigmargin.report import sarif

        seen = [dataclasses.replace(problem, file=f"{job.seen_from}{problem.file}") for problem in problems]
        pages = ((".sarif", sarif.render([sarif.unreadable(seen, f"{job.seen_from}{file}")])),)
    return Done(row, pages, table(_bare(file, UNREADABLE, text) for text in texts))


def failed(task: Task, why: str) -> Done:
    """The row of a rig on which rigmargin itself broke."""
    text = f"rigmargin failed on this file: {why}"
    row = Row(task.file, "", overall="rule_failed", headline=text, problems=(text,))  # without a key: it may pass
    return Done(row, findings=table([_bare(task.file, "rule_failed", text)]))


def _bare(file: str, verdict: str, text: str) -> list[str]:
    """A line of the table that tells of a whole file."""
    told = {"file": cell(file), "verdict": verdict, "text": cell(text)}
    return [told.get(column, "") for column in COLUMNS]


def _judged(job: Job, task: Task) -> Done:
    from rigmargin.advice.learn import learn
    from rigmargin.judge import plugins
    from rigmargin.judge.run import judge
    from rigmargin.report import by_settings, words
    from rigmargin.report.display import display
    from rigmargin.spec import document
    from rigmargin.spec.rig import build

    read = document.decode(task.raw, f"{job.folder}/{task.file}")
    rig = build(dataclasses.replace(read, settings=job.settings))
    owner = rig.word("owner") if job.owners else ""
    if not job.owners:
        rig = dataclasses.replace(rig, stated={path: s for path, s in rig.stated.items() if path != "owner"})
    ruleset = plugins.load(*job.rules, unrun=job.unrun)
    outside = [rule for rule in ruleset.rules if "/" in rule.id]
    if outside:
        from rigmargin.judge import apart

        apart.forget(outside)
    report = judge(rig, ruleset)
    shown, tight, acts = display(rig, job.units), report.tightest, learn(report)
    row = Row(
        task.file,
        "" if "rule_failed" in report.counts else task.key,  # what failed may pass next time
        rig.name,
        owner,
        report.overall,
        words.headline(report, shown),
        tight.rule if tight else "",
        words.compared_words(tight, rig) if tight else "",
        words.known_margin(tight, shown) if tight else "",
        round(tight.relative_margin, 6) if tight and tight.relative_margin is not None else None,
        _limits(report),
        tuple((act.name, len(act.settles)) for act in acts),
        shown.words.region,
        tuple((text, number) for _, text, number in by_settings.counts(report)),
    )
    pages = [(ending, _page(report, ending, job, task)) for ending in job.formats]
    if job.sheets:
        from rigmargin.report import sheet

        pages += [("sheet", sheet.html(report, job.units))] if sheet.asks(report) else []
    return Done(row, tuple(pages), _findings(report, row, shown))


def _page(report: Report, ending: str, job: Job, task: Task) -> str:
    from rigmargin.report import sarif, write

    if ending == ".sarif":
        return sarif.render([sarif.judged(report, f"{job.seen_from}{task.file}", job.units)])
    return write.FORMATS[ending](report, job.units)


def _limits(report: Report) -> dict[str, dict[str, int]]:
    counted: dict[str, dict[str, int]] = {}
    for finding in report.findings:
        if finding.verdict not in ("note", "not_applicable"):
            verdicts = counted.setdefault(finding.rule, {})
            verdicts[finding.verdict] = verdicts.get(finding.verdict, 0) + 1
    return dict(sorted(counted.items()))


def _findings(report: Report, row: Row, shown: Display) -> str:
    """The lines of the table: every finding that speaks of this rig, worst first; in words where a limit is not just kept."""
    from rigmargin.report import json, words

    own = [cell(row.file), cell(row.name), cell(row.owner)]
    lines = []
    for finding in report.findings:
        if finding.verdict != "not_applicable":
            limit = cell(words.limit_words(finding, report.rig).rstrip(","))
            check = [cell(finding.rule), cell(finding.subject), finding.state, limit, finding.verdict]
            numbers = json.numbers(finding)
            said = "" if finding.verdict == "within" else cell(words.sentence(finding, report.rig, shown))
            lines.append([*own, *check, *map(numbers.get, NUMBERS), said])
    return table(lines)


def table(lines: Iterable[list[Any]]) -> str:
    """Lines of CSV (RFC 4180), each with its cells in the order of COLUMNS."""
    stream = io.StringIO()
    csv.writer(stream, lineterminator="\r\n").writerows(lines)
    return stream.getvalue()


@lru_cache(maxsize=4096)
def cell(text: str) -> str:
    """A cell that a spreadsheet shows and does not run."""
    return guarded(writable(text).replace("\0", ""))
