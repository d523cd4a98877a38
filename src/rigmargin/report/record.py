"""The record of one loading: one page to print, to sign and to keep, of what was judged and above all of what was not.

It is no certificate. It names the file by its fingerprint, so that whoever holds the file can judge it again; the person who
signs it states that the figures were read, and nobody states anything of the rig.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import islice
from pathlib import PurePath

from rigmargin.advice.passes import IN_WORDS
from rigmargin.judge.finding import Report
from rigmargin.judge.source import LAW
from rigmargin.loads.weighing import stood
from rigmargin.report import view as whole
from rigmargin.report import words
from rigmargin.report.regional import fill
from rigmargin.spec.problem import printable
from rigmargin.spec.rig import Rig
from rigmargin.spec.stated import conventions

OPEN = ("rule_failed", "conflict", "too_close", "not_checked")  # verdicts that settle nothing
#: How many are named before the rest is counted, so that one page holds them.
MOST_OPEN, MOST_PASSED, MOST_ROWS, LEAST_TIGHT = 18, 8, 8, 3
#: What no check looks at, of any rig.
NEVER = (
    "stability, sway, braking distance and road manners",
    "rust, wear, damage, and how parts are fitted",
    "registration and insurance",
    "the law of places that are not named here, and what is not on file of the law of those that are",
)
#: What the page is not, a sentence each.
IS_NOT = (
    "This page is no approval, no inspection and no permission to travel.",
    "It repeats what was worked out from the figures in the file named above, for that loading on that day; it speaks of no "
    "other loading, and a figure that was read wrongly is wrong here too.",
    "The makers' own figures and the law of the place come before it.",
    "Whoever has the file can tell by its fingerprint that it is the one meant, and judge it again.",
)
SIGNED = (
    "I weighed this rig as the file says, and the figures in the file are those that I read on its labels and on the tickets. "
    "I state nothing else by signing: not that the rig is fit to travel, and not that what was worked out is right.",
    "As long as these lines are blank, nobody has stated that.",
)


@dataclass(frozen=True, slots=True)
class RecordView:
    """The whole page."""

    report: whole.View
    owner: str  # empty unless asked for
    about: tuple[tuple[str, str], ...]  # what was judged, by what
    binding: tuple[whole.Row, ...]  # what is passed, then the least margins
    more_passed: int  # passed, and not named
    open: tuple[tuple[str, str, str, int], ...]  # mark, word, what was to be held against what, how many such checks
    all_open: int
    judged: int  # checks that speak of this rig
    locally: int  # points of law that only ask to look on the spot
    evidence: tuple[str, ...]  # the tickets, and on what the figures rest
    version: str

    @property
    def more_open(self) -> int:
        """How many checks are open, and not named."""
        return self.all_open - sum(number for *_, number in self.open)


def view(report: Report, system: str = "rig", *, owner: bool = False) -> RecordView:
    """The record of one judged rig in the units of ``system``; with its owner's name only when asked for."""
    rig, shown = report.rig, whole.view(report, system)
    passed = [row for row in shown.rows if row.verdict in words.PASSED]
    tight = [row for row, _ in shown.chart if row.verdict not in words.PASSED]
    open_ = Counter((row.mark, row.word, row.label) for row in shown.rows if row.verdict in OPEN)
    named = passed[:MOST_PASSED]
    return RecordView(
        report=shown,
        owner=printable(rig.word("owner")) if owner else "",
        about=tuple((name, printable(text)) for name, text in _about(report, rig)),
        binding=(*named, *tight[: max(LEAST_TIGHT, MOST_ROWS - len(named))]),
        more_passed=len(passed) - len(named),
        open=tuple((*said, number) for said, number in islice(open_.items(), MOST_OPEN)),
        all_open=open_.total(),
        judged=sum(row.verdict not in ("note", "not_applicable") for row in shown.rows),
        locally=sum(row.locally for row in shown.rows),
        evidence=tuple(map(printable, (*_tickets(rig), _figures(report)))),
        version=shown.version,
    )


def _about(report: Report, rig: Rig) -> list[tuple[str, str]]:
    stated = rig.get("places")
    by = " (from the settings)" if stated and stated.file else ""
    settings = PurePath(rig.settings.file).name if rig.settings.file else "no settings file"
    return [
        ("File", PurePath(rig.file).name),
        ("Fingerprint (SHA-256 of the file)", rig.sha256 or "none: the figures came from no file"),
        ("Date in the file", rig.word("date") or "none stated"),
        ("Places", f"{', '.join(rig.places)}{by}" if rig.places else "none stated: the law of no place was looked at"),
        ("Rules", _rules(report)),
        ("Settings", settings),
    ]


def _rules(report: Report) -> str:
    """How many rules were asked, and where they came from."""
    asked = {f.source.id: f.source.origin for f in report.findings if f.source}
    of_law = sum(id.startswith(f"{LAW}/") for id in asked)
    by = Counter(origin for origin in asked.values() if origin)
    each = "; ".join(f"{number} of {origin}" for origin, number in by.items())
    return f"{len(asked)} asked, {of_law} of them of law: {each}"


def _tickets(rig: Rig) -> list[str]:
    """Each ticket, or that there is none."""
    if not rig.weighings:
        return ["No ticket: nothing was weighed, and every load is computed."]
    lines = []
    for one in rig.weighings:
        read = ", ".join(name.replace("_", " ").replace(".", " ") for name in one.readings)
        left = sum(item.aboard for item in stood(rig, one.state)) - len(one.aboard) if one.aboard is not None else 0
        short = ", not everything aboard" if left > 0 else ""
        lines.append(f"Ticket: {fill(IN_WORDS[one.state], rig)}, {one.on or 'no date stated'}{short} ({read})")
    return lines


def _figures(report: Report) -> str:
    """From where the figures and words come that the findings rest on."""
    stated = {e.stated.path: e.stated.source for f in report.findings for e in f.evidence}
    by = Counter(conventions().get(source, {}).get("in words", "source not stated") for source in stated.values())
    said = "; ".join(f"{number} {name.removeprefix('the ').removeprefix('a ')}" for name, number in by.most_common())
    return fill(f"The findings rest on {len(stated)} figures and words of the file: {said}.", report.rig)


def html(report: Report, system: str = "rig", *, owner: bool = False) -> str:
    """The record as one self-contained HTML page that prints in grey: no network, no script."""
    from rigmargin.report import pages  # Jinja is only needed here

    return pages.page("record.html", view(report, system, owner=owner), never=NEVER, is_not=IS_NOT, signed=SIGNED)


def markdown(report: Report, system: str = "rig", *, owner: bool = False) -> str:
    """The record as Markdown."""
    from rigmargin.report import pages

    return pages.page("record.md", view(report, system, owner=owner), never=NEVER, is_not=IS_NOT, signed=SIGNED)
