"""What a set of tickets can tell, what it cannot, and which one further pass across the scale would tell the most."""

from __future__ import annotations

from dataclasses import dataclass

from rigmargin.judge.finding import Report
from rigmargin.loads.estimate import WEIGHED

BARS = "weight_distributing"


@dataclass(frozen=True, slots=True)
class Quantity:
    """Something a scale can tell."""

    name: str  # plain words
    load: tuple[str, str]  # the load, and its state, that is then weighed
    ways: tuple[frozenset[str], ...]  # sets of weighings, any one of which tells it
    bars: bool = False  # whether it speaks only of distributing hitches


def _ways(*ways: str) -> tuple[frozenset[str], ...]:
    return tuple(frozenset(way.split()) for way in ways)


AXLES, SLACK, TENSIONED = "tow_vehicle.axles.rear", "coupled", "coupled_distributing"
QUANTITIES = (
    Quantity("each axle of the {word:tow_vehicle} while towing", (AXLES, SLACK), _ways("coupled")),
    Quantity(
        "the load on the trailer's wheels while towing", ("trailer.axle_group", SLACK), _ways("coupled", "trailer_on_jack")
    ),
    Quantity(
        "vehicle and trailer together",
        ("combination.gross", SLACK),
        _ways("coupled", "coupled_distributing", "alone trailer_alone"),
    ),
    Quantity(
        "the {word:coupling_load}",
        ("coupling.vertical", SLACK),
        _ways("coupled alone", "trailer_on_jack", "trailer_alone coupled"),
    ),
    Quantity(
        "the whole trailer",
        ("trailer.gross", SLACK),
        _ways("coupled alone", "coupled_distributing alone", "trailer_alone", "coupled trailer_on_jack"),
    ),
    Quantity("what the front axle loses to the coupling", ("front_axle.lost", SLACK), _ways("coupled alone")),
    Quantity("each axle as travelled, bars tensioned", (AXLES, TENSIONED), _ways("coupled_distributing"), bars=True),
    Quantity(
        "what the bars move between the axles, and their moment",
        ("front_axle.regained", SLACK),
        _ways("coupled coupled_distributing"),
        bars=True,
    ),
    Quantity(
        "how much of its load the front axle gets back",
        ("front_axle.restored", SLACK),
        _ways("alone coupled coupled_distributing"),
        bars=True,
    ),
)
STATES = ("coupled", "alone", "coupled_distributing", "trailer_on_jack", "trailer_alone")  # the handier pass first
IN_WORDS = {
    "alone": "the {word:tow_vehicle} alone",
    "coupled": "the rig coupled, no bars or bars slack",
    "coupled_distributing": "the rig coupled, bars tensioned",
    "trailer_alone": "the trailer alone",
    "trailer_on_jack": "the coupling on its own scale",
}


@dataclass(frozen=True, slots=True)
class Passes:
    """The tickets at hand, read as a set."""

    have: tuple[str, ...]  # states weighed, in words
    tells: tuple[str, ...]
    cannot: tuple[str, ...]
    next: str  # the one further pass, in words; empty when nothing is open
    would_tell: tuple[str, ...]


def passes(report: Report) -> Passes | None:
    """The set of tickets of one rig; None when it was not weighed at all."""
    states = frozenset(w.state for w in report.rig.weighings)
    if not states:
        return None
    asked = [q for q in QUANTITIES if not q.bars or report.rig.word("coupling.kind") == BARS]
    told = [q for q in asked if _weighed(report, q)]
    open_ = [q for q in asked if q not in told]
    more = {state: tuple(q.name for q in open_ if any(way <= states | {state} for way in q.ways)) for state in STATES}
    best = max(STATES, key=lambda state: (len(more[state]), -STATES.index(state)))
    return Passes(
        have=tuple(IN_WORDS[state] for state in STATES if state in states),
        tells=tuple(q.name for q in told),
        cannot=tuple(q.name for q in open_),
        next=IN_WORDS[best] if more[best] else "",
        would_tell=more[best],
    )


def _weighed(report: Report, quantity: Quantity) -> bool:
    load = report.facts.loads.get(quantity.load)
    return load is not None and load.best is not None and load.best.method in WEIGHED
