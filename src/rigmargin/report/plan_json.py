"""A loading plan for machines: ``schemas/plan.schema.json`` says what each field means."""

from __future__ import annotations

import math
from typing import Any

from rigmargin import __version__
from rigmargin.advice.bench import Change
from rigmargin.advice.choices import Option
from rigmargin.advice.loading_plan import Plan, worst_first
from rigmargin.judge.finding import Finding
from rigmargin.report import by_settings, words
from rigmargin.report.display import file_name
from rigmargin.report.json import PLACES, UNITS, identity
from rigmargin.report.regional import spoken


@spoken(lambda plan: plan.report.rig)
def document(plan: Plan) -> dict[str, Any]:
    """SI units; rounded as a report is, margins down and uncertainties up."""
    rig = plan.report.rig
    return {
        "plan": 1,
        "rigmargin": __version__,
        "rig": {"name": rig.name, "file": file_name(rig)},
        **by_settings.fields(plan.report, advice=True),
        "outcome": plan.outcome,
        "every_loading_judged": plan.every,
        "overall": plan.report.overall,
        "overall_then": plan.planned.overall if plan.planned else None,
        "left_or_drained": _near(plan.taken),
        "moved_or_filled": _near(plan.moved),
        "changes": [_change(change) for change in plan.changes],
        "limits": [
            {
                **identity(b.today, rig),
                "today": _state(b.today),
                "then": _state(b.then),
                "limit_then": words.limit_words(b.then, rig),
            }
            for b in worst_first(plan.limits)
        ],
        "cannot_be_kept": [
            {**identity(h.today, rig), "today": _state(h.today), "at_best": _state(h.at_best) if h.at_best else None}
            for h in plan.hopeless
        ],
        "in_conflict": [{**identity(f, rig), "today": _state(f)} for f in plan.together],
        "smallest_conflict": plan.smallest,
        "known_no_more": [identity(f, rig) for f in plan.blind],
        "not_tried": [{"item": o.item.name, "to": _to(o), "would_lose": identity(f, rig)} for o, f in plan.untried],
    }


def _near(mass: float) -> float:
    return round(mass, 1)


def _to(option: Option) -> str | None:
    return f"{option.to.vehicle}.{option.to.name}" if option.to else None


def _change(change: Change) -> dict[str, Any]:
    option, percent = change.option, change.percent
    act = "move" if option.to else "leave"
    if option.item.tank:
        act = "drain" if option.taken(percent) else "fill"
    return {
        "item": option.item.name,
        "vehicle": option.item.path.partition(".")[0],
        "act": act,
        "to": _to(option),
        "filled": percent / 100 if option.item.tank else None,
        "mass": _near(option.taken(percent) + option.moved(percent)),
    }


def _state(finding: Finding) -> dict[str, Any]:
    scale = 10 ** PLACES[finding.dimension]
    margin, spread = (finding.margin or 0.0) * scale, (finding.uncertainty or 0.0) * scale
    return {
        "verdict": finding.verdict,
        "margin": math.floor(round(margin, 6)) / scale + 0.0,
        "uncertainty": math.ceil(round(spread, 6)) / scale,
        "unit": UNITS[finding.dimension],
    }
