"""Which passes across a scale a rig still lacks, in the order in which most is learnt, and what each can read."""

from __future__ import annotations

from dataclasses import dataclass

from rigmargin.advice.learn import act_of, learn
from rigmargin.advice.passes import BARS, IN_WORDS, STATES, passes
from rigmargin.judge.finding import Finding, Report
from rigmargin.spec import schema
from rigmargin.spec.references import READINGS
from rigmargin.spec.rig import Rig

#: Why a pass is in the list: a finding waits for it; the rig was never weighed; it would tell more than the file's tickets do;
#: it was made before, and nothing lacks.
ASKED, FIRST, MORE, AGAIN = "asked", "first", "more", "again"
ONE_WHEEL = ("_left", "_right")  # how the readings of single wheels end: few scales give them


@dataclass(frozen=True, slots=True)
class Pass:
    """One pass to make."""

    state: str  # as a ticket names it
    name: str  # plain words
    how: str  # plain words
    readings: tuple[str, ...]  # what the scale may show, as a ticket names it, in the schema's order
    wanted: frozenset[str]  # those of them that an open finding asks for by name
    settles: tuple[Finding, ...]  # settled once this and everything before it in the list of acts is done
    why: str = ASKED  # or FIRST, MORE, AGAIN


def act_name(state: str) -> str:
    """What the list of acts calls a pass in ``state``."""
    return act_of(f"weighings.{state}.all")[0]


def to_weigh(report: Report) -> tuple[Pass, ...]:
    """The passes a rig lacks, what settles the most first; where it lacks none, those it has, to be made again.

    A rig lacks a pass that an open finding asks for, and the one pass that would tell more than its tickets do. One that was
    never weighed lacks the passes that tell the loads which are only computed, whatever is found by those.
    """
    states = {act_name(state): state for state in STATES}
    found = {states[act.name]: act for act in learn(report) if act.name in states}
    lacking = dict.fromkeys((*found, *_unasked(report)))
    again = () if lacking else tuple(state for state in STATES if state in {t.state for t in report.rig.weighings})
    unasked = AGAIN if again else MORE if report.rig.weighings else FIRST
    made = []
    for state in (*lacking, *again):
        act = found.get(state)
        wanted = {path.removeprefix(f"weighings.{state}.") for path in act.paths} if act else set()
        readings = _readings(report.rig, state, wanted)
        how = act_of(f"weighings.{state}.all")[1]
        settles = act.settles if act else ()
        made.append(
            Pass(state, IN_WORDS[state], how, readings, frozenset(wanted & {*readings}), settles, ASKED if act else unasked)
        )
    return tuple(made)


def _unasked(report: Report) -> tuple[str, ...]:
    """The passes a rig lacks though no finding may ask for them."""
    told = passes(report)
    if told is None:
        return ("coupled", "alone", *(["coupled_distributing"] if report.rig.word("coupling.kind") == BARS else []))
    return tuple(state for state, words in IN_WORDS.items() if words == told.next)


def _readings(rig: Rig, state: str, wanted: set[str]) -> tuple[str, ...]:
    """What a ticket of ``state`` may show of this rig; of single wheels only what is wanted, each trailer axle if several."""
    ticket = schema.at(("weighings", 0)) or {}
    axles = [axle.name for axle in rig.trailer_axles]
    found = []
    for name in ticket["properties"]:
        if name in READINGS[state] and (name in wanted or not name.endswith(ONE_WHEEL)):
            found.append(name)
            found += [f"{name}.{axle}" for axle in axles if name == "trailer_axles" and len(axles) > 1]
    return tuple(found)
