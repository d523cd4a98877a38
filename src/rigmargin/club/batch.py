"""Every rig of a folder judged, streaming: what is held in memory does not grow with what is said of each.

Rows come in the order of the files whatever the number of workers, so that the output is the same to the byte. What the last
run wrote is used again where the file, the rules and what was asked for are the same.
"""

from __future__ import annotations

import hashlib
import os
import posixpath
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from heapq import nsmallest
from pathlib import Path

from rigmargin.club import files, fingerprint, one, output, pages, stream
from rigmargin.club.executors import Site
from rigmargin.club.last import Last, Old
from rigmargin.club.one import Done, Job, Task
from rigmargin.club.row import Row
from rigmargin.club.tally import Tally
from rigmargin.club.writer import Writer
from rigmargin.spec import options
from rigmargin.spec.settings import file_name
from rigmargin.spec.settings_file import NAME

Progress = Callable[[Iterable[Row], int], Iterable[Row]]
SHOWN = 10  # rows that are told on the terminal


class OtherSettings(Exception):
    """A settings file below the folder counts for some of its rigs, and a run has one; its path in the folder."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a run did."""

    tally: Tally
    worst: tuple[Row, ...]  # the first few, worst first
    judged: int  # anew; the others were taken from the last run
    passed_over: tuple[str, ...]  # YAML files that are no rigs


def run(
    job: Job,
    out: Path,
    site: Site,
    *,
    fresh: bool = False,
    progress: Progress = lambda rows, _: rows,
    first: Callable[[], object] = lambda: None,
    nearest: bool = False,
) -> Outcome:
    """Judge the rigs under ``job.folder`` and put what is said of them into ``out``.

    ``first`` is called before anything is judged, and not where nothing changed; what it raises ends the run. With ``nearest``
    the settings are those nearest to the folder, and others below it would count for the rigs there. Raises OtherSettings,
    output.Unusable and OSError.
    """
    folder, out = Path(job.folder), Path(os.path.realpath(out))
    if folder.resolve().is_relative_to(out.resolve()):
        raise output.Unusable(f"'{out}' holds the rigs themselves; name a folder of its own for the output")
    if Path.cwd().is_relative_to(out):
        raise output.Unusable(
            f"'{out}' is the folder you stand in, or above it, and would be replaced; name one in it or beside it"
        )
    with output.held(out):
        desk = _Desk(job, folder, list(files.paths(folder, [out])))
        if nearest and desk.other_settings:
            raise OtherSettings(desk.other_settings)
        if not all(map(os.path.isdir, (*job.rules, *job.unrun))):
            first()  # says what is wrong with them
        last = Last(out)
        same = {} if fresh else desk.unchanged(last)
        if same and desk.nothing_else(same, last):
            return _outcome(job, last.all(), last.passed_over, len(same))
        first()
        with output.replacing(out) as new:
            with Writer(new, last) as writer:
                rows = (writer.again(i) if isinstance(i, Old) else writer.add(i) for i in desk.done(same, site))
                outcome = _outcome(job, progress(rows, len(desk.found)), desk.passed_over, len(same))
            pages.write(new, outcome.tally, writer.worst_first, job, outcome.passed_over)
    return outcome


@dataclass(slots=True)
class _Desk:
    """The files of the folder, on their way to being judged."""

    job: Job
    folder: Path
    found: list[tuple[str, OSError | None]]
    passed_over: list[str] = field(default_factory=list)  # filled while the rigs go by
    _base: hashlib._Hash = field(init=False)  # what every key begins with: the rules, and what is asked for

    def __post_init__(self) -> None:
        job = self.job
        by = fingerprint.of_rules((*job.rules, *job.unrun)), len(job.rules), job.settings.fingerprint()
        file = job.settings.file
        settled = (os.path.relpath(os.path.dirname(file) or ".", job.folder), file_name(job.settings)) if file else ()
        asked = (*by, *settled, job.formats, job.sheets, job.units, job.owners, job.seen_from)
        self._base = hashlib.sha256(repr(asked).encode("utf-8", "surrogateescape"))

    @property
    def other_settings(self) -> str:
        """A settings file below the folder's own, by its path in it; empty when there is none."""
        return next((file for file, _ in self.found if posixpath.basename(file) == NAME and not self._settles(file)), "")

    def unchanged(self, last: Last) -> dict[str, Old]:
        """The files of which the last run says what this one would."""
        same = {}
        for file, error in self.found if last.rows else ():
            old, task = last.rows.get(file), None if error else self._look(file)
            if old and isinstance(task, Task) and task.key == old.key:
                same[file] = old
        return same

    def nothing_else(self, same: dict[str, Old], last: Last) -> bool:
        """Whether the last run's output is this one's to the byte: every file as it was, and none gone or come."""
        others = tuple(file for file, _ in self.found if file not in same and not self._settles(file))
        return len(same) == len(last.rows) and others == last.passed_over and not any(map(self._look, others))

    def done(self, same: dict[str, Old], site: Site) -> Iterator[Done | Old]:
        """What is said of every rig, in the order of the files."""
        items = (same.get(file) or self._item(file, error) for file, error in self.found)
        return stream.in_order(self.job, (item for item in items if item), site, len(self.found) - len(same))

    def _item(self, file: str, error: OSError | None) -> Task | Done | None:
        if error:
            return one.unread(self.job, file, "", [files.unreadable(file, error)])
        item = self._look(file)
        if item is None and not self._settles(file):
            self.passed_over.append(file)
        return item

    def _settles(self, file: str) -> bool:
        """Whether it is the settings file in force; others lie below and are passed over, for a run has one."""
        return posixpath.basename(file) == NAME and os.path.realpath(self.folder / file) == os.path.realpath(
            self.job.settings.file or "."
        )

    def _look(self, file: str) -> Task | Done | None:
        """A file to be judged, or why it cannot be read; None when it is no rig."""
        found = files.take(self.folder, file)
        if found.problem:
            return one.unread(self.job, file, "", [found.problem])
        if not found.is_rig:
            return None
        others = options.named_by(found.raw)
        return Task(file, self._key(found, others), found.raw, bool(others))

    def _key(self, found: files.Found, others: tuple[str, ...]) -> str:
        digest = self._base.copy()
        digest.update(repr(found.file).encode())
        digest.update(found.raw)
        for name in others:
            digest.update(repr(name).encode())
            digest.update(files.take((self.folder / found.file).parent, name).raw)
        return digest.hexdigest()


def _awaited(job: Job) -> dict[str, set[str]]:
    """The exceptions of the settings, in words, and what the rig of each may be called."""
    folder = os.path.dirname(job.settings.file)
    return {
        f"the exception for {each.rule} of {each.rig} (line {each.origin.line})": {
            each.rig, os.path.relpath(os.path.join(folder, each.rig), job.folder).replace(os.sep, "/"),
        }
        for each in job.settings.exceptions
    }  # fmt: skip


def _outcome(job: Job, rows: Iterable[Row], passed_over: Iterable[str], again: int) -> Outcome:
    """The rows counted; only the worst are kept."""
    tally = Tally(awaited=_awaited(job))

    def counted() -> Iterator[Row]:
        for row in rows:
            tally.add(row)
            yield row

    worst = nsmallest(SHOWN, counted(), key=lambda row: row.order)
    return Outcome(tally, tuple(worst), tally.rigs - again, tuple(passed_over))
