"""What is said of all rigs together: the index as a page and as Markdown, and the summary for machines."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import quote

from rigmargin import __version__
from rigmargin.club.last import digest
from rigmargin.club.one import Job
from rigmargin.club.output import FINDINGS, INDEX, SUMMARY
from rigmargin.club.row import UNREADABLE, Row
from rigmargin.club.tally import COLUMNS, Tally
from rigmargin.judge import plugins
from rigmargin.report import names, words
from rigmargin.report.live import Script, script
from rigmargin.report.regional import said
from rigmargin.report.rendering import stream
from rigmargin.spec.problem import printable, writable
from rigmargin.spec.settings import file_name

WORDS = {UNREADABLE: ("not read", "∅"), **words.VERDICT_WORDS}


@dataclass(frozen=True, slots=True)
class RigRow:
    """One rig in the index."""

    file: str
    name: str
    owner: str
    verdict: str
    word: str
    mark: str
    rank: int  # 0 for the worst verdict
    headline: str
    margin: str
    share: str  # of the limit
    order: float | None  # the same as a number
    links: tuple[tuple[str, str], ...]  # what its pages are called, and where they are


@dataclass(frozen=True)
class View:
    """The whole index."""

    tally: Tally
    titles: dict[str, str]  # of the rules, by id
    owners: bool
    passed_over: tuple[str, ...]
    rows: Callable[[], Iterator[RigRow]]
    version: str = __version__
    columns: tuple[str, ...] = tuple(COLUMNS)
    settings: tuple[str, ...] = ()  # what they change

    @property
    def cautions(self) -> tuple[str, ...]:
        """What is said under every report."""
        return said(words.CAUTIONS, self.tally.words)

    @property
    def overall(self) -> list[tuple[str, str, int]]:
        """Mark, word and number of rigs for each worst verdict that occurs."""
        return [(WORDS[verdict][1], WORDS[verdict][0], number) for verdict, number in self.tally.worst_first]

    def title(self, rule: str) -> str:
        """A rule in words."""
        return self.titles.get(rule, rule)

    @property
    def script(self) -> Script:
        """The index's script: it sorts and filters what is there already."""
        return script("club.js")


def write(new: Path, tally: Tally, rows: Callable[[], Iterable[Row]], job: Job, passed_over: tuple[str, ...]) -> None:
    """Write the index and the summary to the folder ``new``. Raises OSError."""
    rules, own = plugins.load(*job.rules, unrun=job.unrun), tally.words
    titles = {rule: printable(own.fill(found.title)) for rule in tally.limits if (found := rules.find(rule))}
    view = View(
        tally, titles, job.owners, tuple(map(_text, passed_over)), lambda: map(_row, rows()), settings=_settings(tally, job)
    )
    for ending in (".html", ".md"):
        with (new / f"{INDEX}{ending}").open("w", encoding="utf-8", newline="\n", errors="backslashreplace") as target:
            for piece in stream(f"club{ending}", view):
                target.write(piece)
    written = {name: digest(new / name) for name in (FINDINGS, f"{INDEX}.html", f"{INDEX}.md")}
    text = json.dumps({**summary(tally, passed_over), "written": written}, indent=1, allow_nan=False) + "\n"
    (new / SUMMARY).write_text(text, "utf-8")


def summary(tally: Tally, passed_over: tuple[str, ...]) -> dict[str, Any]:
    """The counts for machines; ``schemas/club.schema.json`` says what each field means."""
    return {
        "club": 1,
        "rigmargin": __version__,
        "rigs": tally.rigs,
        "overall": dict(tally.worst_first),
        "limits": {rule: dict(sorted(tally.limits[rule].items())) for rule, _ in tally.by_limit},
        "binds": dict(tally.most_binding),
        "weigh_day": [{"act": act, "rigs": rigs, "settles": settles} for act, rigs, settles in tally.weigh_day],
        "settings": dict(sorted(tally.remarks.items())),
        "passed_over": list(passed_over),
    }


def _settings(tally: Tally, job: Job) -> tuple[str, ...]:
    """That the rigs were judged by settings, and of how many findings they say something."""
    file = file_name(job.settings)
    by = (
        (f"The rigs were judged by the settings of {printable(file)}; each report says what they change in it.",)
        if file
        else ()
    )
    lost = (
        f"{names.capital(said)} was not used: no rig of that name or file is here."
        for said in sorted(map(printable, tally.awaited))
    )
    return (
        *by,
        *lost,
        *(f"Findings {text.removeprefix('of them ')}: {number}." for text, number in sorted(tally.remarks.items())),
    )


def _row(row: Row) -> RigRow:
    word, mark = WORDS[row.overall]
    share = "" if row.share is None else f"{100 * row.share:.1f} %"
    rank = list(WORDS).index(row.overall)
    return RigRow(
        _text(row.file), printable(row.name), printable(row.owner), row.overall, word, mark, rank, _text(row.headline),
        row.margin, share, row.share, tuple(_link(page) for page, _ in row.pages),
    )  # fmt: skip


def _link(page: str) -> tuple[str, str]:
    kind = "sheet" if page.startswith("sheets/") else "report" if page.endswith(".html") else page.rpartition(".")[2]
    return kind, quote(page)


def _text(file: str) -> str:
    """A file's name that can be shown, whatever bytes it is made of."""
    return printable(writable(file))
