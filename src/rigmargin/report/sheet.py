"""The weigh-day sheet: a page to print for one rig, with a blank for each reading and figure that it lacks.

Laid out here once as plain text; the HTML and Markdown templates only place it.
"""

from __future__ import annotations

from dataclasses import dataclass

from rigmargin import __version__
from rigmargin.advice.learn import Act, act_of, learn
from rigmargin.advice.passes import IN_WORDS, STATES
from rigmargin.advice.to_weigh import AGAIN, ASKED, FIRST, MORE, Pass, act_name, to_weigh
from rigmargin.judge.finding import Report
from rigmargin.loads.hitch import LINKS, PARTS, role
from rigmargin.loads.weighing import stood
from rigmargin.report import names, words
from rigmargin.report.display import SMALL, Display, display, file_name
from rigmargin.report.regional import spoken
from rigmargin.spec import schema, units
from rigmargin.spec.problem import printable
from rigmargin.spec.rig import Rig
from rigmargin.spec.words import marked

BLANK, WANTED, NONE = "blank", "wanted", "none"  # what a cell of the sheet is
#: What is said of passes for which no check waits: of all of them where there are no others, and of one.
NOT_ASKED = {
    FIRST: (
        "The rig was never weighed: what is known of its loads is computed. A {word:scale} tells what they are.",
        "No check waits for it, but the rig was never weighed.",
    ),
    MORE: (
        "No check waits for a weighing, but the tickets in the file leave something untold.",
        "No check waits for it; it tells what the tickets in the file do not.",
    ),
    AGAIN: (
        "No check waits for a weighing. Weigh again when the load is another one, or to see that it is still the same.",
        "",  # never beside others
    ),
}
#: What stands on one label, and is read at once: where one of it is asked for, all that the file lacks gets a blank. On a
#: tyre each with the field that tells as much.
SIDEWALL = {"marking": "size", "max_load_single": "load_index", "pressure_at_max_load": "", "date_code": "", "count": ""}
HITCH = ("max_vertical_load", "max_towed_mass")
SETTLED = 3  # of what a pass settles, the checks that are named


@dataclass(frozen=True, slots=True)
class Step:
    """One pass, as the person at the scale is told of it."""

    name: str
    how: str
    why: str  # what it settles, or why it is in the list


@dataclass(frozen=True, slots=True)
class Line:
    """One row of the table: a cell for each pass, in the order of the steps."""

    label: str
    unit: str
    cells: tuple[str, ...]  # BLANK, WANTED or NONE


@dataclass(frozen=True, slots=True)
class Copy:
    """Figures that are read off one label, tyre or tape."""

    name: str
    how: str
    blanks: tuple[tuple[str, str, str], ...]  # what it is, its path in the file, its unit


@dataclass(frozen=True, slots=True)
class SheetView:
    """The whole sheet."""

    name: str
    file: str
    owner: str  # empty unless asked for
    unit: str  # of masses
    scale: str  # what it is called
    lacks: str  # one sentence on what is lacking
    weighed: tuple[str, ...]  # the tickets the file holds
    date: str  # a sentence on the file's own; empty when it has none
    steps: tuple[Step, ...]
    readings: tuple[Line, ...]
    aboard: tuple[Line, ...]  # items and tanks, ticked when they were on the scale
    tanks: tuple[tuple[str, str], ...]  # each tank and how full the file takes it to be
    copies: tuple[Copy, ...]
    version: str

    @property
    def wants(self) -> bool:
        """Whether an open finding asks for some reading by its name."""
        return any(WANTED in line.cells for line in self.readings)


@spoken(lambda report: report.rig)
def view(report: Report, system: str = "rig", *, owner: bool = False) -> SheetView:
    """The sheet of one judged rig, its blanks in the units of ``system``; with its owner's name only when asked for."""
    rig, shown = report.rig, display(report.rig, system)
    to_do = to_weigh(report)
    mass = shown.unit("mass")
    return SheetView(
        name=printable(rig.name),
        file=printable(file_name(rig)),
        owner=printable(rig.word("owner")) if owner else "",
        unit=mass,
        scale="{word:scale}",
        lacks=_lacks(to_do),
        weighed=tuple(f"{IN_WORDS[w.state]}{f', {w.on}' if w.on else ''}" for w in rig.weighings),
        date=on_date(rig),
        steps=tuple(
            Step(names.capital(p.name), p.how, _why(p, rig, mixed=any(other.why == ASKED for other in to_do))) for p in to_do
        ),
        readings=_lines(to_do, mass),
        aboard=_on_board(rig, to_do),
        tanks=_tanks(rig),
        copies=_copies(report, shown),
        version=__version__,
    )


def on_date(rig: Rig) -> str:
    """A sentence on the day a rig is judged for, which refuses tickets from after it; empty without such a day."""
    day = rig.word("date")
    return f"The file's date is {day}: set it to the day of the weighing, or a ticket from after it is refused." if day else ""


def asks(report: Report) -> bool:
    """Whether the sheet of this rig would ask for anything that it lacks."""
    return bool(learn(report)) or any(p.why != AGAIN for p in to_weigh(report))


def _lacks(to_do: tuple[Pass, ...]) -> str:
    if any(p.settles for p in to_do):
        return "Make the passes in this order: what settles the most comes first."
    if any(p.why == ASKED for p in to_do):
        return "Checks wait for these passes, and for figures that are listed below."
    return NOT_ASKED[to_do[0].why][0]


def _why(one: Pass, rig: Rig, *, mixed: bool) -> str:
    """What a pass settles, or, ``mixed`` with such passes, why it is to be made all the same."""
    if one.why != ASKED:
        return NOT_ASKED[one.why][1] if mixed else ""
    return f"Settles: {_settles(one, rig)}." if one.settles else "Checks wait for it and for what comes after it."


def _settles(one: Pass, rig: Rig) -> str:
    """The checks that a pass settles: the first few by name, and how many more."""
    names = list(dict.fromkeys(printable(words.compared_words(f, rig)) for f in one.settles))
    more = len(names) - SETTLED
    return "; ".join([*names[:SETTLED], f"and {more} more"] if more > 0 else names)


def _lines(to_do: tuple[Pass, ...], mass: str) -> tuple[Line, ...]:
    """A row for each reading of any pass, in the order the schema gives them."""
    ticket = schema.at(("weighings", 0)) or {}
    order = list(ticket["properties"])
    names = {name for p in to_do for name in p.readings}
    axles = list(dict.fromkeys(name for p in to_do for name in p.readings))
    lines = []
    for name in sorted(names, key=lambda name: (order.index(name.partition(".")[0]), axles.index(name))):
        cells = tuple(WANTED if name in p.wanted else BLANK if name in p.readings else NONE for p in to_do)
        lines.append(Line(printable(_reading(name)), mass, cells))
    return tuple(lines)


def _reading(name: str) -> str:
    """A reading in plain words."""
    field, _, axle = name.partition(".")
    title = marked(str((schema.at(("weighings", 0, field)) or {}).get("title", field)))
    return f"{title}: {axle}" if axle else title


def _on_board(rig: Rig, to_do: tuple[Pass, ...]) -> tuple[Line, ...]:
    """What a ticket's ``aboard`` may name, with a blank in each pass that it can stand on the scale in."""
    on = [stood(rig, p.state) for p in to_do]
    return tuple(
        Line(printable(item.name), "", tuple(BLANK if item in there else NONE for there in on))
        for item in (*rig.tow_items, *rig.trailer_items)
    )


def _tanks(rig: Rig) -> tuple[tuple[str, str], ...]:
    items = (*rig.tow_items, *rig.trailer_items)
    return tuple((printable(item.name), printable(rig.word(f"{item.path}.filled"))) for item in items if item.tank)


def _copies(report: Report, shown: Display) -> tuple[Copy, ...]:
    """What else is asked for: labels, tyres, pressures, tape measures."""
    weighing = {act_name(state) for state in STATES}
    acts = [act for act in learn(report) if act.name not in weighing]
    return tuple(Copy(names.capital(act.name), act.how, _blanks(_figures(act, report.rig), shown)) for act in acts)


def _figures(act: Act, rig: Rig) -> tuple[str, ...]:
    """The paths that an act makes known, each with what is read beside it and is not in the file either."""
    found: dict[str, None] = {}
    for asked in act.paths:
        for path in _each(asked, rig):
            label = _label(path, rig)
            found |= dict.fromkeys(each for each in label if each == path or rig.get(each) is None)
            if not any(each.startswith(f"{path}.") for each in label):
                found[path] = None
    return tuple(found)


def _each(path: str, rig: Rig) -> list[str]:
    """A path of every axle of the trailer as one of each."""
    axles = rig.names.get("trailer.axles", ()) if path.startswith("trailer.axles.*") else ()
    return [path.replace("*", axle, 1) for axle in axles] or [path]


def _label(path: str, rig: Rig) -> list[str]:
    """The paths of all that is printed where the figure at ``path`` is, as far as a tyre or a hitch part has it."""
    parts = path.split(".")
    if "tyres" in parts:
        tyre = ".".join(parts[: parts.index("tyres") + 1])
        whole = [f"{tyre}.{name}" for name, other in SIDEWALL.items() if rig.get(f"{tyre}.{other}") is None]
        return whole if act_of(path) == act_of(f"{tyre}.marking") else []
    if len(parts) > 2 and path.startswith(f"{PARTS}."):
        balls = (*LINKS["coupling.ball"], *LINKS["coupling.socket"])
        fields = (*HITCH, "ball_diameter") if role(rig, parts[2]) in balls else HITCH
        return [f"{PARTS}.{parts[2]}.{name}" for name in fields]
    return []


def _blanks(paths: tuple[str, ...], shown: Display) -> tuple[tuple[str, str, str], ...]:
    nodes = {path: schema.at(tuple(path.split("."))) or {} for path in paths}
    titles = {path: marked(node["title"]) if "title" in node else path.rpartition(".")[2] for path, node in nodes.items()}
    return tuple((printable(titles[path]), printable(path), _unit(node, shown)) for path, node in nodes.items())


def _unit(node: schema.Schema, shown: Display) -> str:
    """The unit for a blank of that field: that of the middle of what it may be, so that a ball is not asked for in metres."""
    dimension, ends = node.get("x-dimension", ""), [units.parse(end).si for end in node.get("x-range", ()) if end]
    if dimension != "length" or not ends:
        return shown.unit(dimension)
    return shown.unit(dimension, min(sum(ends) / len(ends), 2 * SMALL))


def html(report: Report, system: str = "rig", *, owner: bool = False) -> str:
    """The sheet as one self-contained HTML page that prints in grey: no network, no script."""
    from rigmargin.report import rendering  # Jinja is only needed here

    return rendering.page("sheet.html", view(report, system, owner=owner))


def markdown(report: Report, system: str = "rig", *, owner: bool = False) -> str:
    """The sheet as Markdown."""
    from rigmargin.report import rendering

    return rendering.page("sheet.md", view(report, system, owner=owner))
