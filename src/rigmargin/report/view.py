"""A judged rig as plain text in named fields: what every kind of report shows, made once.

The renderers (terminal, Markdown, HTML) lay these fields out and escape them; they compute nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from rigmargin import __version__
from rigmargin.advice.learn import Act, learn
from rigmargin.advice.passes import Passes, passes
from rigmargin.judge.finding import UNJUDGED, Evidence, Finding, Report
from rigmargin.judge.source import LAW
from rigmargin.report import by_settings, evidence, load_rows, names, words
from rigmargin.report.display import Display, display, file_name
from rigmargin.report.meaning import NOT_MEANT
from rigmargin.report.regional import said
from rigmargin.spec.problem import printable
from rigmargin.spec.rig import Rig
from rigmargin.spec.stated import Stated
from rigmargin.spec.tyres import AGE
from rigmargin.spec.words import large

MOST_BARS = 10  # of the margin chart, shown at once when the others are kept


class Bar(NamedTuple):
    """A finding on the margin chart; every length is a share of the limit (or of the band's upper end)."""

    load: float
    spread: float  # expanded uncertainty of the margin
    low: float | None  # the lower end, where there is one


class Drawn(NamedTuple):
    """A row of the margin chart, and its bar as it is drawn 1000 wide; what may not fall below its limit has none."""

    against: str  # the load and the limit
    left: str  # the margin, and how well it is known
    load: str = ""  # how long the bar is
    limit: str = ""  # where the limit stands
    whisker: tuple[str, str] = ("", "")  # from and to
    band: tuple[str, str] | None = None  # from where, and how wide


class Row(NamedTuple):
    """One finding."""

    rule: str
    subject: str
    label: str  # what was held against what
    verdict: str  # the word of the JSON report
    word: str
    mark: str
    text: str
    load: str
    limit: str
    margin: str
    spread: str
    basis: str
    source: str  # of the limit: which label, which line
    how: str  # how the load was made
    notes: tuple[str, ...]
    cures: tuple[str, ...]
    missing: tuple[tuple[str, str], ...]  # path, and how to learn it
    evidence: tuple[str, ...]
    origin: str
    room: float | None  # the margin as a share of its limit, by which least margins are found; None without a margin
    bar: Bar | None
    locally: bool  # a rule of law that can only ask to check locally
    why: str  # the limit matters
    not_meant: str  # by the verdict


class ActRow(NamedTuple):
    """One thing to do so as to know more."""

    name: str
    how: str
    learns: tuple[tuple[str, str], ...]  # path, and where it is printed or how it is measured
    settles: tuple[str, ...]  # what is settled once this and all before it are done


@dataclass(frozen=True, slots=True)
class View:
    """A whole report."""

    name: str
    file: str
    about: tuple[tuple[str, str], ...]  # owner, date, places, ...
    overall: str
    overall_word: str
    overall_mark: str
    headline: str
    counts: tuple[tuple[str, str, int], ...]  # mark, word, how many
    rows: tuple[Row, ...]
    acts: tuple[ActRow, ...]  # what to learn next, first what settles the most
    loads: tuple[load_rows.LoadRow, ...]
    tickets: Passes | None  # what the tickets tell as a set; None when nothing was weighed
    evidence: tuple[tuple[str, tuple[str, ...]], ...]  # the figures and words that findings rest on, by their source
    settings: tuple[str, ...]  # what settings change; none where they change nothing
    cautions: tuple[str, ...]
    glossary: tuple[tuple[str, str], ...]  # regional words of this report, and what each means
    version: str

    @property
    def judged(self) -> tuple[Row, ...]:
        """The rows that say something of this rig."""
        return tuple(row for row in self.rows if row.verdict != "not_applicable")

    @property
    def set_aside(self) -> tuple[Row, ...]:
        """The rows of rules that do not speak of this rig."""
        return tuple(row for row in self.rows if row.verdict == "not_applicable")

    @property
    def by_room(self) -> tuple[Row, ...]:
        """The rows that have a margin, least for its limit first: the order in which the headline looks for what binds."""
        return tuple(sorted((row for row in self.rows if row.room is not None), key=lambda row: row.room or 0.0))

    @property
    def chart(self) -> tuple[tuple[Row, Drawn], ...]:
        """The rows of the margin chart as they are drawn, least margin for its limit first.

        The limit stands where the longest bar with its uncertainty still fits on a chart 1000 wide.
        """
        rows = [(row, row.bar) for row in self.by_room]
        longest = max((bar.load + bar.spread for _, bar in rows if bar), default=1.0)
        scale = 1000 / max(1.2, longest * 1.03)
        return tuple((row, _drawn(row, bar, scale)) for row, bar in rows)

    @property
    def unfolded(self) -> int:
        """How many bars of the chart are shown at once: the first ten, and all of a limit that is not kept for sure."""
        kept = [row.verdict in ("within", "at_limit") for row in self.by_room]
        return max([MOST_BARS, *(number for number, fine in enumerate(kept, 1) if not fine)])

    @property
    def outside(self) -> tuple[str, ...]:
        """Where the rules came from that did not come with rigmargin; their ids have a prefix of their own."""
        return tuple(
            dict.fromkeys(r.origin for r in self.rows if "/" in r.rule and not r.rule.startswith(f"{LAW}/") and r.origin)
        )

    @property
    def cures(self) -> tuple[Row, ...]:
        """The rows that say what would clear them."""
        return tuple(row for row in self.rows if row.cures)


def view(report: Report, system: str = "rig") -> View:
    """Everything a report shows of one judged rig, its figures as ``display.display`` gives them."""
    rig, shown = report.rig, display(report.rig, system)
    told = _Told(rig, shown)
    rows = tuple(_row(finding, rig, shown, told) for finding in report.findings)
    word, mark = words.VERDICT_WORDS[report.overall]
    return View(
        name=printable(rig.name),
        file=printable(file_name(rig)),
        about=_about(rig),
        overall=report.overall,
        overall_word=word,
        overall_mark=mark,
        headline=printable(words.headline(report, shown)),
        counts=(
            *((words.VERDICT_WORDS[v][1], words.VERDICT_WORDS[v][0], n) for v, n in report.counts.items()),
            *by_settings.counts(report),
        ),
        rows=rows,
        acts=tuple(_act(act, rig, shown) for act in learn(report)),
        loads=tuple(load_rows.row(load, report, shown) for load in report.facts.loads.values()),
        tickets=said(passes(report), shown.words),
        evidence=_by_source(report, told),
        settings=by_settings.remarks(report),
        cautions=said(words.CAUTIONS, shown.words),
        glossary=shown.words.glossary(*(row.text for row in rows if row.verdict != "not_applicable")),
        version=__version__,
    )


def _about(rig: Rig) -> tuple[tuple[str, str], ...]:
    owner, date, use = (rig.word(path) for path in ("owner", "date", "use"))
    places, stated = ", ".join(rig.places), rig.get("places")
    if stated and stated.file:  # a place in another file: the settings'
        places += f" (from the settings, {evidence.place_words(stated)})"
    fields = {"Owner": owner, "Date": date, "Use": use, "Places": places, "File": file_name(rig)}
    if rig.names["options"]:
        fields["Options in the file (rigmargin compare sets them side by side)"] = ", ".join(rig.names["options"])
    return tuple((name, printable(text)) for name, text in fields.items() if text)


def _row(finding: Finding, rig: Rig, shown: Display, told: _Told) -> Row:
    word, mark = words.VERDICT_WORDS[finding.verdict]
    subject = names.subject(finding.subject, rig)
    rule = finding.source
    return Row(
        rule=finding.rule,
        subject=printable(subject + names.in_state(finding.state, rig)),
        label=printable(words.compared_words(finding, rig)),
        verdict=finding.verdict,
        word=word,
        mark=mark,
        text=printable(words.sentence(finding, rig, shown)),
        load=words.load_number(finding, shown),
        limit=words.limit_number(finding, shown),
        margin=words.margin_number(finding, shown),
        spread=words.spread_number(finding, shown),
        basis=printable(shown.words.fill(rule.basis)) if rule else "",
        source=printable(evidence.source_words(finding.limit, shown.words.fill)) if finding.limit else "",
        how=printable(load_rows.how(finding.estimate, shown)) if finding.estimate else "",
        notes=tuple([printable(shown.fill(note)) for note in finding.notes]),
        cures=tuple([printable(shown.fill(cure, finding.excess, subject)) for cure in finding.cures]),
        missing=tuple([(printable(m.path), printable(shown.words.fill(words.missing_words(m)))) for m in finding.missing]),
        evidence=tuple([_evidence(each, told) for each in finding.evidence]),
        origin=rule.origin if rule else "",
        room=finding.relative_margin if finding.verdict not in UNJUDGED else None,
        bar=_bar(finding),
        locally=finding.verdict == "note" and rule is not None and bool(rule.citation),
        why=printable(shown.words.fill(rule.why)) if rule else "",
        not_meant=shown.words.fill(NOT_MEANT.get(finding.verdict, "")),
    )


def _drawn(row: Row, bar: Bar | None, scale: float) -> Drawn:
    def at(share: float) -> str:
        return str(round(share * scale, 1))

    left = f"{row.margin} {row.spread}" if row.spread else row.margin
    if bar is None:
        return Drawn(f"{row.load}, at least {row.limit}", left)
    return Drawn(
        against=f"{row.load} of {row.limit}",
        left=left,
        load=at(max(bar.load, 0)),
        limit=at(1),
        whisker=(at(bar.load - bar.spread), at(bar.load + bar.spread)),
        band=None if bar.low is None else (at(bar.low), at(1 - bar.low)),
    )


def _by_source(report: Report, told: _Told) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Every figure and word a finding rests on, once, under where it was read: the best known first, in the file's order."""
    by_source: dict[str, list[Stated]] = {}
    for each in sorted(
        evidence.rests_on(report).values(), key=lambda each: (evidence.source_rank(each), each.file, each.line, each.path)
    ):
        by_source.setdefault(told.fill(large(evidence.source_name(each.source))), []).append(each)
    return tuple((source, tuple(told[each.path] for each in found)) for source, found in by_source.items())


class _Told(dict[str, str]):
    """What the figure or word at a path says, and where it stands: a rig's findings rest on the same figures."""

    def __init__(self, rig: Rig, shown: Display) -> None:
        super().__init__()
        self._rig, self._shown, self.fill = rig, shown, shown.words.fill

    def __missing__(self, path: str) -> str:
        stated = self._rig.stated[path]
        listed = ", ".join(stated.value) if isinstance(stated.value, tuple) else stated.word
        value = self._shown.number(stated.number, stated.dimension) if _is_quantity(stated) else listed
        value = f"{stated.number:.1f} years" if path.endswith(f".{AGE}") else value
        self[path] = printable(f"{path}: {value} ({evidence.source_words(stated, self.fill)})")
        return self[path]


def _is_quantity(stated: Stated) -> bool:
    return bool(stated.dimension) and isinstance(stated.value, float)


def _evidence(one: Evidence, told: _Told) -> str:
    said, influence = told[one.stated.path], one.influence
    if influence is None or influence.share < 0.005:
        return said
    return f"{said.removesuffix(')')}, {100 * influence.share:.0f} % of the uncertainty)"


def _bar(finding: Finding) -> Bar | None:
    if (
        finding.load is None
        or not finding.high
        or finding.uncertainty is None
        or finding.verdict in UNJUDGED
        or finding.other[0]
    ):
        return None
    low = None if finding.low is None else finding.low / finding.high
    return Bar(finding.load / finding.high, finding.uncertainty / finding.high, low)


def _act(act: Act, rig: Rig, shown: Display) -> ActRow:
    say = shown.words.fill
    learns = {m.path: say(words.missing_words(m)) for f in act.asked for m in f.missing if m.path in act.paths}
    settles = tuple(dict.fromkeys(printable(words.compared_words(f, rig)) for f in act.settles))
    return ActRow(say(act.name), say(act.how), tuple((printable(p), printable(learns[p])) for p in act.paths), settles)
