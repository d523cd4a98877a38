"""The record of one loading: one page to print, to sign and to keep, of what was judged and above all of what was not.

It is no certificate. It names the file by its fingerprint, so that whoever holds the file can judge it again; the person who
signs it states that the figures were read, and nobody states anything of the rig.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from dataclasses import dataclass
from itertools import islice

from rigmargin.advice.passes import IN_WORDS
from rigmargin.judge.finding import Report
from rigmargin.judge.regulation import LOOKED_AT
from rigmargin.judge.source import LAW
from rigmargin.loads.weighing import stood
from rigmargin.report import evidence, words
from rigmargin.report import view as whole
from rigmargin.report.regional import fill
from rigmargin.spec.problem import printable
from rigmargin.spec.rig import Rig
from rigmargin.spec.settings import file_name

OPEN = ("rule_failed", "conflict", "too_close", "not_checked")  # verdicts that settle nothing
#: How many are named before the rest is counted, so that one page holds them.
MOST_OPEN, MOST_PASSED, MOST_ROWS, LEAST_TIGHT, MOST_TICKETS = 18, 8, 8, 3, 4
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
#: Sources that whoever signs can have read; what a file says to come from elsewhere nobody states by signing.
READ = ("certification_label", "certificate", "placard", "component_label", "manual", "scale_ticket", "measured")
WEIGHED = "I weighed this rig as the file says."
SIGNED = (
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
    by: str  # heads the lines to sign on
    signed: tuple[str, ...]  # what signing states, a sentence each; the last is of lines that are blank
    version: str

    @property
    def more_open(self) -> int:
        """How many checks are open, and not named."""
        return self.all_open - sum(number for *_, number in self.open)


def view(report: Report, system: str = "rig", *, owner: bool = False) -> RecordView:
    """The record of one judged rig in the units of ``system``; with its owner's name only when asked for."""
    rig, shown = report.rig, whole.view(report, system)
    passed = [row for row in shown.rows if row.verdict in words.PASSED]
    tight = [row for row in shown.by_room if row.verdict not in words.PASSED]
    open_ = Counter((row.mark, row.word, row.label) for row in shown.rows if row.verdict in OPEN)
    named = passed[:MOST_PASSED]
    return RecordView(
        report=shown,
        owner=printable(rig.word("owner")) if owner else "",
        about=tuple((name, printable(text)) for name, text in _about(report, shown)),
        binding=(*named, *tight[: max(LEAST_TIGHT, MOST_ROWS - len(named))]),
        more_passed=len(passed) - len(named),
        open=tuple((*said, number) for said, number in islice(open_.items(), MOST_OPEN)),
        all_open=open_.total(),
        judged=sum(row.verdict not in ("note", "not_applicable") for row in shown.rows),
        locally=sum(row.locally for row in shown.rows),
        evidence=tuple(map(printable, (*_tickets(rig), _figures(report)))),
        by="Read and weighed by" if rig.weighings else "Read by",
        signed=(*([WEIGHED] if rig.weighings else []), _read(report), *SIGNED),
        version=shown.version,
    )


def _about(report: Report, shown: whole.View) -> list[tuple[str, str]]:
    rig = report.rig
    digest = hashlib.sha256(rig.raw).hexdigest() if rig.raw else ""
    return [
        ("File", shown.file),
        ("Fingerprint (SHA-256 of the file)", digest or "none: the figures came from no file"),
        ("Date in the file", rig.word("date") or "none stated"),
        ("Places", _places(report, shown)),
        ("Rules", _rules(report)),
        ("Settings", file_name(rig.settings) or "no settings file"),
    ]


def _places(report: Report, shown: whole.View) -> str:
    """The places, and the law of which of them was looked at."""
    places = dict(shown.about).get("Places")
    if not places:
        return "none stated: the law of no place was looked at"
    looked = next((f.reason for f in report.findings if f.rule == LOOKED_AT), "no law is held, so that of none was looked at")
    return f"{places}: {looked}."


def _rules(report: Report) -> str:
    """How many rules were asked, and where they came from."""
    asked = {f.source.id: f.source.origin for f in report.findings if f.source}
    of_law = sum(id.startswith(f"{LAW}/") for id in asked)
    by = Counter(origin for origin in asked.values() if origin)
    each = "; ".join(f"{number} of {origin}" for origin, number in by.items())
    return f"{len(asked)} asked, {of_law} of them of law: {each}"


def _tickets(rig: Rig) -> list[str]:
    """Each of the first tickets and how many more there are, or that there is none."""
    if not rig.weighings:
        return ["No ticket: no vehicle was weighed, and what is known of the loads is computed or stated."]
    lines = []
    for one in rig.weighings[:MOST_TICKETS]:
        read = ", ".join(name.replace("_", " ").replace(".", " ") for name in one.readings)
        left = sum(item.aboard for item in stood(rig, one.state)) - len(one.aboard) if one.aboard is not None else 0
        short = ", not everything aboard" if left > 0 else ""
        lines.append(f"Ticket: {fill(IN_WORDS[one.state], rig)}, {one.on or 'no date stated'}{short} ({read})")
    more = len(rig.weighings) - len(lines)
    return [*lines, f"and {more} more {'ticket' if more == 1 else 'tickets'}"] if more > 0 else lines


def _sources(report: Report) -> Counter[str]:
    """How many of the figures and words that the findings rest on come from each source."""
    return Counter(each.source for each in evidence.rests_on(report).values())


def _figures(report: Report) -> str:
    """From where the figures and words come that the findings rest on."""
    by = _sources(report)
    said = "; ".join(f"{number} {evidence.source_name(source)}" for source, number in by.most_common())
    return fill(f"The findings rest on {by.total()} figures and words of the file: {said}.", report.rig)


def _read(report: Report) -> str:
    """What whoever signs has read, by what the file says of each figure, and how much of it nobody vouches for."""
    by = _sources(report)
    read, rests_on = sum(by[source] for source in READ), f"the {by.total()} figures and words that the findings rest on"
    if not read:
        return f"The file says of none of {rests_on} that it was read or measured, and I state nothing of them."
    where = ", ".join(evidence.source_name(source) for source in READ if by[source])
    first = f"I read or measured {read} of {rests_on}, where the file says so ({where})"
    others = ", ".join(f"{number} {evidence.source_name(source)}" for source, number in by.most_common() if source not in READ)
    said = f"{first}; of the other {by.total() - read} ({others}) I state nothing." if others else f"{first}."
    return fill(said, report.rig)


def html(report: Report, system: str = "rig", *, owner: bool = False) -> str:
    """The record as one self-contained HTML page that prints in grey: no network, no script."""
    from rigmargin.report import rendering  # Jinja is only needed here

    return rendering.page("record.html", view(report, system, owner=owner), never=NEVER, is_not=IS_NOT)


def markdown(report: Report, system: str = "rig", *, owner: bool = False) -> str:
    """The record as Markdown."""
    from rigmargin.report import rendering

    return rendering.page("record.md", view(report, system, owner=owner), never=NEVER, is_not=IS_NOT)
