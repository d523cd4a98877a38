"""Places in words: what law is on file for each, by topic, what is not, and what several places ask of one rig.

Laid out here once as plain text; the terminal, Markdown, HTML and JSON forms only place it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from rigmargin import __version__
from rigmargin.advice.places import Asked, Coverage, Held, Strictest
from rigmargin.judge.finding import Finding
from rigmargin.judge.provision import TOPICS
from rigmargin.judge.rule import Rule
from rigmargin.judge.source import LAW
from rigmargin.report import by_settings, standing, words
from rigmargin.report.display import Display, display, file_name
from rigmargin.report.forms import forms
from rigmargin.report.json import numbers
from rigmargin.report.regional import spoken
from rigmargin.spec.problem import printable
from rigmargin.spec.rig import Rig
from rigmargin.spec.words import NEUTRAL

if TYPE_CHECKING:
    from rich.console import Console

LOCALLY = ("check locally", "i")  # the word and mark of a rule that can only ask to be checked locally


@dataclass(frozen=True, slots=True)
class RuleRow:
    """One rule on file."""

    topic: str
    asks: str
    basis: str  # citation, how and when it was read, and what is to be said against it
    rule: str
    origin: str  # of a rule from outside


@dataclass(frozen=True, slots=True)
class PlaceView:
    """One place."""

    heading: str  # name and code
    rows: tuple[RuleRow, ...]
    lines: tuple[str, ...]  # what else is to be said: the places above it, and what is not on file
    caution: str


@dataclass(frozen=True, slots=True)
class AskRow:
    """One rule that speaks of the rig."""

    topic: str
    place: str
    asks: str
    mark: str
    word: str
    verdict: str
    text: str
    rule: str


@dataclass(frozen=True, slots=True)
class RigView:
    """What the places ask of one rig."""

    name: str
    file: str
    summary: tuple[tuple[str, str], ...]  # place, and what is on file says in short
    rows: tuple[AskRow, ...]
    strictest: tuple[tuple[str, str], ...]  # topic, and what asks most
    failed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlacesView:
    """The whole answer."""

    caution: str
    rig: RigView | None
    places: tuple[PlaceView, ...]
    settings: tuple[str, ...]  # what settings change; none where they change nothing
    version: str


def _whose(answer: Coverage | Asked) -> Rig | str:
    """In whose words it is answered: what is on file is listed in those of no region."""
    return answer.rig if isinstance(answer, Asked) else NEUTRAL


def caution(days: tuple[str, ...], undated: bool) -> str:
    """That this is no advice and may be out of date, with the days on which the sources were read."""
    when = "" if not days else f"; read on {days[0]}" if len(days) == 1 else f"; read between {days[0]} and {days[-1]}"
    without = "; some of it is not dated" if undated else ""
    return f"This is not legal advice and may be out of date{when}{without}."


@spoken(_whose)
def view(answer: Coverage | Asked, system: str = "rig") -> PlacesView:
    """The answer in the units of ``system``."""
    coverage = answer.coverage if isinstance(answer, Asked) else answer
    return PlacesView(
        caution=caution(coverage.read_on, coverage.undated),
        rig=_rig(answer, display(answer.rig, system)) if isinstance(answer, Asked) else None,
        places=tuple(place(held) for held in coverage.places),
        settings=by_settings.remarks_on(answer.rig, answer.findings) if isinstance(answer, Asked) else (),
        version=__version__,
    )


def place(held: Held) -> PlaceView:
    """One place by itself."""
    return PlaceView(
        heading=_place_words(held),
        rows=tuple(_rule(rule) for rule in held.rules),
        lines=tuple(map(printable, _lines(held))),
        caution=caution(held.read_on, held.undated),
    )


def _rule(rule: Rule) -> RuleRow:
    origin = "" if rule.id.startswith(f"{LAW}/") else rule.origin
    return RuleRow(*map(printable, (topic_words(rule.topic), rule.asks or rule.title, rule.basis, rule.id, origin)))


def topic_words(topic: str) -> str:
    """A topic in plain words."""
    return TOPICS.get(topic, topic.replace("_", " ")) if topic else "other requirements"


def _lines(held: Held) -> Iterable[str]:
    if held.note:
        yield held.note
    for old, new in held.replaced:
        yield f"{new.id} ({new.origin}) replaces {old.id} on rigs of which it speaks."
    if held.above:
        yield f"What is on file for {words_of(held.above)} holds here as well."
    whom = held.authority or "the authority of the place"
    if not held.rules and not held.above:
        yield f"No rule at all for {held.place} is on file: ask {whom}."
    elif held.lacking:
        yield f"No rule for {words_of([topic_words(t) for t in held.lacking], 'or')} in {held.place} is on file: ask {whom}."


def words_of(names: Iterable[str], last: str = "and") -> str:
    """Names as a list in words."""
    *first, end = names
    return f"{', '.join(first)} {last} {end}" if first else end


def _rig(asked: Asked, shown: Display) -> RigView:
    rig = asked.rig
    return RigView(
        name=printable(rig.name),
        file=printable(file_name(rig)),
        summary=tuple((_place_words(held), _counts(asked, held)) for held in asked.coverage.places),
        rows=tuple(_ask(f, asked, shown) for f in asked.findings),
        strictest=tuple((topic_words(s.topic), printable(_strictest(s))) for s in asked.strictest),
        failed=tuple(printable(words.sentence(f, rig, shown)) for f in asked.failed),
    )


def _place_words(held: Held) -> str:
    return printable(f"{held.name} ({held.place})" if held.name != held.place else held.place)


def _counts(asked: Asked, held: Held) -> str:
    counts = asked.counts(held)
    if not counts:
        held_at_all = held.rules or held.above
        return "nothing on file speaks of this rig" if held_at_all else "no rule at all is on file"
    return ", ".join(f"{number} {_word(verdict)[0]}" for verdict, number in counts.items())


def _word(verdict: str) -> tuple[str, str]:
    return LOCALLY if verdict == "note" else words.VERDICT_WORDS[verdict]


def _ask(finding: Finding, asked: Asked, shown: Display) -> AskRow:
    word, mark = _word(finding.verdict)
    rule = finding.source
    assert rule is not None  # it is a finding of a rule
    text = " ".join([words.sentence(finding, asked.rig, shown), *map(shown.fill, finding.notes)])
    return AskRow(
        topic=topic_words(rule.topic),
        place=", ".join(rule.places),
        asks=printable(rule.asks or rule.title),
        mark=mark,
        word=word,
        verdict=finding.verdict,
        text=printable(text),
        rule=finding.rule,
    )


def _strictest(strictest: Strictest) -> str:
    rules = [f.source for f in strictest.findings if f.source]
    where = words_of(dict.fromkeys(", ".join(rule.places) for rule in rules))
    if not strictest.ordered:
        return f"{where}: several things are asked, which cannot be put in order: meet each."
    asks = dict.fromkeys(rule.asks or rule.title for rule in rules)
    return f"{where}: {'; '.join(asks)}."


def show(view_: PlacesView, console: Console) -> None:
    """Print it on a terminal."""
    from rich.padding import Padding
    from rich.text import Text

    def line(text: str, indent: int = 2, style: str = "") -> None:
        console.print(Padding(Text(text, style=style), (0, 0, 0, indent)))

    if view_.rig:
        _show_rig(view_.rig, console)
    for one in view_.places:
        console.print(Text(one.heading, style="bold"))
        for row in () if view_.rig else one.rows:
            line(f"{row.topic}: {row.asks}")
            line(f"{row.rule}{f', {row.origin}' if row.origin else ''}: {row.basis}", 4, "dim")
        for text in one.lines:
            line(text)
    if not view_.places:
        console.print(Text("No regulation is on file, and no place was named: nothing is covered."))
    by_settings.show(view_.settings, console)
    console.print(Text(view_.caution))
    console.print()


def _show_rig(rig: RigView, console: Console) -> None:
    from rich.table import Table
    from rich.text import Text

    def table(*names: str) -> Table:
        grid = Table(box=None, padding=(0, 1, 0, 0), header_style="bold")
        for name in names:
            grid.add_column(name, overflow="fold")
        return grid

    console.print(Text(rig.name, style="bold"))
    grid = table("place", "what is on file says of this rig")
    for row in rig.summary:
        grid.add_row(*map(Text, row))
    console.print(grid if rig.summary else Text("The rig file names no place: list them under places, or name them."))
    grid = table("topic", "place", "asks", "this rig")
    for ask in rig.rows:
        grid.add_row(*map(Text, (ask.topic, ask.place, ask.asks, f"{ask.mark} {ask.word}")))
    if rig.rows:
        console.print(grid)
        console.print(Text("What asks most, by topic:", style="bold"))
    for topic, text in rig.strictest:
        console.print(Text(f"  {topic}: {text}"))
    for text in rig.failed:
        console.print(Text(f"  {text}"))
    console.print()


@spoken(_whose)
def _document(answer: Coverage | Asked) -> dict[str, Any]:
    """The contract of ``schemas/places.schema.json``."""
    coverage = answer.coverage if isinstance(answer, Asked) else answer
    return {
        "places": 1,
        "rigmargin": __version__,
        "caution": caution(coverage.read_on, coverage.undated),
        "covered": [_covered(held) for held in coverage.places],
        "unread": [{"name": failure.name, "reason": failure.reason} for failure in coverage.failures],
        "rig": _asked(answer) if isinstance(answer, Asked) else None,
    }


def _covered(held: Held) -> dict[str, Any]:
    fields = ("id", "title", "topic", "citation", "status", "read_on", "asks", "basis", "origin")
    return {
        "place": held.place,
        "name": held.name,
        "authority": held.authority,
        "note": held.note,
        "rules": [{field: getattr(rule, field) for field in fields} for rule in held.rules],
        "replaced": [{"rule": old.id, "by": new.id} for old, new in held.replaced],
        "holds_as_well": list(held.above),
        "lacking": list(held.lacking),
        "caution": caution(held.read_on, held.undated),
    }


def _asked(asked: Asked) -> dict[str, Any]:
    rig, shown = asked.rig, display(asked.rig)
    return {
        "name": rig.name,
        "file": file_name(rig),
        "places": list(rig.places),
        "counts": {held.place: dict(asked.counts(held)) for held in asked.coverage.places},
        **by_settings.fields_on(rig, asked.findings),
        "findings": [_finding(f, asked, shown) for f in asked.findings],
        "strictest": [{"topic": s.topic, "rules": [f.rule for f in s.findings], "ordered": s.ordered} for s in asked.strictest],
        "failed": [{"rule": f.rule, "reason": f.reason} for f in asked.failed],
    }


def _finding(finding: Finding, asked: Asked, shown: Display) -> dict[str, Any]:
    rule = finding.source
    assert rule is not None  # it is a finding of a rule
    return {
        "rule": finding.rule,
        "places": list(rule.places),
        "topic": rule.topic,
        "asks": rule.asks or rule.title,
        "verdict": finding.verdict,
        **numbers(finding),
        **standing.fields(finding),
        "text": words.sentence(finding, asked.rig, shown),
        "missing": [{"path": m.path, "how": m.how} for m in finding.missing],
    }


html, markdown, json = forms("places", view, _document)
