"""A day's tickets into the rig files of a folder: everything is checked before anything is written.

Each ticket is put into its rig file's text, and the file is read as a whole with it: what a rig file may not say, a ticket may
not say either, and is told with its line and column in the table. ``whole_folder`` does the writing.
"""

from __future__ import annotations

import codecs
import difflib
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from rigmargin.club import tickets
from rigmargin.club.files import take
from rigmargin.club.look_at import remarks
from rigmargin.club.rig_folder import Folder
from rigmargin.club.tickets import RIG, Row, Table
from rigmargin.club.whole_folder import Replacement
from rigmargin.judge.finding import Report
from rigmargin.judge.plugins import Ruleset
from rigmargin.judge.run import judge
from rigmargin.report import words
from rigmargin.report.display import display
from rigmargin.spec import document as documents
from rigmargin.spec import schema, units
from rigmargin.spec.document import Document
from rigmargin.spec.insertion import NoPlace, with_tickets
from rigmargin.spec.problem import FileProblems, Problem, printable, shown
from rigmargin.spec.references import ALL_READINGS
from rigmargin.spec.rig import Rig, build

DEFAULTS = {"aboard": "all", "hitch_hardware": "yes"}  # what a ticket says that says nothing of it
REMARKS = ("ref", "note")  # of two tickets that differ in these only, one is the other


@dataclass(frozen=True, slots=True)
class Change:
    """What the tickets make of one rig file."""

    file: str  # below the folder
    content: Replacement
    tickets: int
    before: str  # the overall verdict
    after: str  # the same with the tickets
    look_at: tuple[str, ...]  # in sentences, what a ticket does that one may not think of
    contradicts: tuple[str, ...]  # in sentences, what contradicts other evidence with the tickets, and did not before

    @property
    def diff(self) -> str:
        """The change as a unified diff, its line breaks left out and nothing in it that a terminal would act on."""
        old, new = (_lines(raw.decode("utf-8-sig")) for raw in (self.content.old, self.content.new))
        lines = difflib.unified_diff(old, new, self.file, self.file, lineterm="")
        return "".join(f"{printable(line)}\n" for line in lines)


def _lines(text: str) -> list[str]:
    lines = re.split(r"\r\n|\n|\r", text)
    return lines if lines[-1] else lines[:-1]


@dataclass(slots=True)
class Day:
    """What a day's tickets make of a folder."""

    changes: list[Change] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)  # in sentences, what was passed over and what to look at


def enter(
    table: Table,
    folder: Folder,
    ruleset: Ruleset,
    progress: Callable[[Iterable[str], int], Iterable[str]] = lambda files, _: files,
) -> Day:
    """What the tickets would change. Raises FileProblems with everything that is wrong with any of them.

    ``progress`` is given the files and their number, and gives the files back one by one.
    """
    day = Day()
    problems = list(table.problems)
    by_file: dict[str, list[Row]] = {}
    for row in table.rows if table.complete else ():
        files = folder.find(row.texts.get(RIG, ""))
        if len(files) == 1:
            by_file.setdefault(files[0], []).append(row)
            if not folder.is_path(row.texts[RIG]) and folder.unread:
                day.notes.append(_maybe_another(table, row, folder, files[0]))
        else:
            problems.append(_which_rig(table, row, folder, files))
    for file in progress(by_file, len(by_file)):
        try:
            change = _change(table, by_file[file], file, folder, ruleset, day.notes)
        except FileProblems as wrong:
            problems += wrong.problems
        else:
            day.changes += [change] if change else []
    if problems:
        raise FileProblems(problems)
    day.changes.sort(key=lambda change: change.file)
    return day


def _which_rig(table: Table, row: Row, folder: Folder, files: list[str]) -> Problem:
    """The problem with a row that names no rig, or more than one."""
    text = row.texts.get(RIG, "")
    expected = "the path of a rig file below the folder, or the name of one rig in it"
    if files:
        found = f"{shown(text)}, the name of {len(files)} rigs ({', '.join(map(shown, files[:5]))})"
        return table.problem(row, RIG, found, expected, "write the path of the one that is meant")
    near = difflib.get_close_matches(text, [*folder.files, *folder.names], n=1, cutoff=0.6)
    cure = f"write {shown(near[0])}, if that is meant" if near else "look the path up with --template"
    return table.problem(row, RIG, shown(text) if text else "nothing", expected, cure)


def _maybe_another(table: Table, row: Row, folder: Folder, file: str) -> str:
    """A sentence about a rig that was found by its name while other files of the folder keep theirs to themselves."""
    more = f" and {len(folder.unread) - 5} more" if len(folder.unread) > 5 else ""
    return (
        f"{table.file}:{row.line}: {shown(row.texts[RIG])} is taken for {shown(file)}, but a rig of that name may also be in "
        f"{', '.join(map(shown, folder.unread[:5]))}{more}, which cannot be read. Write the path instead."
    )


def _change(table: Table, rows: Sequence[Row], file: str, folder: Folder, ruleset: Ruleset, notes: list[str]) -> Change | None:
    """What the rows make of one file; None when they make nothing of it. Raises FileProblems."""
    path = folder.files[file]
    raw, before, rig = _read(folder, file)
    known = [_meaning(ticket) for ticket in before.data.get("weighings", ())]
    problems: list[Problem] = []
    new: dict[int, tuple[Row, dict[str, Any]]] = {}  # by line
    for row in rows:
        ticket = tickets.ticket(row)
        said = next((line for line, (_, other) in new.items() if _same(_meaning(ticket), _meaning(other))), 0)
        if not ALL_READINGS & ticket.keys():
            notes.append(f"{table.file}:{row.line}: no reading of {shown(file)}: passed over.")
        elif "on" not in ticket:
            expected, cure = (
                "the day of the weighing",
                "copy it from the ticket: one without a day gives way to any that has one",
            )
            problems.append(table.problem(row, "on", "nothing", expected, cure))
        elif said:
            found = f"the same ticket as on line {said}"
            problems.append(table.problem(row, RIG, found, "each ticket once", "delete one of the two lines"))
        elif any(_same(_meaning(ticket), other) for other in known):
            notes.append(f"{table.file}:{row.line}: {shown(file)} has this ticket already: passed over.")
        else:
            new[row.line] = (row, ticket)
            notes += _beside_another(table, row, file, ticket, before.data.get("weighings", ()))
    if not new:
        if problems:
            raise FileProblems(problems)
        return None
    kept, made = zip(*new.values(), strict=True)
    mark = codecs.BOM_UTF8 if raw.startswith(codecs.BOM_UTF8) else b""
    try:
        text = with_tickets(raw.removeprefix(mark).decode("utf-8"), made)
        after = build(replace(documents.parse(text, str(path)), settings=folder.settings))
    except NoPlace as wrong:
        cure = "add the tickets to the file by hand"
        raise FileProblems([*problems, Problem(str(path), 0, 0, "", f"no place for a ticket: {wrong}", "one", cure)]) from None
    except FileProblems as wrong:
        told = [_in_the_table(table, kept, len(known), problem) for problem in wrong.problems]
        raise FileProblems([*problems, *told]) from None
    if problems:
        raise FileProblems(problems)
    look_at = tuple(
        f"{table.file}:{row.line}: {shown(file)}: {remark}"
        for row, ticket in zip(kept, after.weighings[len(known) :], strict=True)
        for remark in remarks(after, ticket, [other.texts.get("on", "") for other in table.rows if other != row])
    )
    notes += look_at
    content = Replacement(file, raw, mark + text.encode("utf-8"))
    then, now = judge(rig, ruleset), judge(after, ruleset)
    return Change(file, content, len(made), then.overall, now.overall, look_at, _contradictions(then, now))


def _contradictions(then: Report, now: Report) -> tuple[str, ...]:
    known = {finding.key for finding in then.findings if finding.verdict == "conflict"}
    new = [finding for finding in now.findings if finding.verdict == "conflict" and finding.key not in known]
    return tuple(printable(words.sentence(finding, now.rig, display(now.rig))) for finding in new)


def _read(folder: Folder, file: str) -> tuple[bytes, Document, Rig]:
    """A rig file's bytes, and its data and its rig by these very bytes. Raises FileProblems."""
    path, found = folder.files[file], take(folder.top, file)
    if found.problem:
        raise FileProblems([replace(found.problem, file=str(path))])
    document = replace(documents.decode(found.raw, str(path)), settings=folder.settings)
    return found.raw, document, build(document)


def _in_the_table(table: Table, rows: Sequence[Row], known: int, problem: Problem) -> Problem:
    """A problem with a new ticket of the file as one with the row and the column that it came from."""
    place = re.match(r"weighings\[([0-9]+)\](?:\.(.*))?\Z", problem.path)
    if not place or int(place[1]) < known:
        return problem
    name = place[2] or ""
    while name and name not in table.columns:  # such as aboard[0], of the column aboard
        name = re.sub(r"(?:\A|\.)[^.\[\]]*\Z|\[[0-9]+\]\Z", "", name)
    return table.problem(rows[int(place[1]) - known], name or place[2] or "", problem.found, problem.expected, problem.cure)


def _meaning(ticket: Any) -> dict[str, Any]:
    """What a ticket says, in SI, so that two that say the same are equal."""
    entry = {name: value for name, value in ticket.items() if name not in REMARKS}
    return {**DEFAULTS, **{name: _plain(value, schema.at(("weighings", 0, name)) or {}) for name, value in entry.items()}}


def _plain(value: Any, node: Mapping[str, Any]) -> Any:
    if isinstance(value, dict) and "value" in value:
        return _plain(value["value"], node)
    if isinstance(value, dict):
        return {
            name: _plain(each, node.get("properties", {}).get(name) or node["additionalProperties"])
            for name, each in value.items()
        }
    if isinstance(value, list):
        return sorted(map(str, value))
    try:
        return round(units.parse(value, node["x-dimension"]).si, 6) if "x-dimension" in node else value
    except units.NotAQuantity:
        return value


def _same(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Whether two tickets say the same, where only one of them may name the scale."""
    names = {name for ticket in (one, other) for name in ticket if name != "at" or ("at" in one and "at" in other)}
    return all(one.get(name) == other.get(name) for name in names)


def _beside_another(table: Table, row: Row, file: str, ticket: Mapping[str, Any], others: Sequence[Any]) -> Iterator[str]:
    """A sentence about a ticket whose state, day and readings another one of the file has with other figures."""
    for other in others:
        alike = (ticket.get("state"), ticket.get("on")) == (other.get("state"), other.get("on"))
        if alike and ALL_READINGS & ticket.keys() & other.keys():
            yield (
                f"{table.file}:{row.line}: {shown(file)} has a ticket '{ticket.get('state')}' of the same day with other "
                "figures: both are kept, and the later entry counts."
            )
            return
