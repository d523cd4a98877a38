"""A comparison for machines: the contract of ``schemas/compare.schema.json``."""

from __future__ import annotations

from typing import Any

from rigmargin import __version__
from rigmargin.advice.compare import Decision, by_key
from rigmargin.judge.finding import Finding, Report
from rigmargin.report import by_settings
from rigmargin.report.display import file_name
from rigmargin.report.json import numbers
from rigmargin.report.regional import spoken


@spoken(lambda decision: decision.today.rig)
def document(decision: Decision) -> dict[str, Any]:
    """The verdict and margin of every check in every scenario, SI."""
    rig = decision.today.rig
    return {
        "compare": 1,
        "rigmargin": __version__,
        "rig": {"name": rig.name, "file": file_name(rig)},
        "options": [
            {"name": o.name, "cost": None if o.cost is None else str(o.cost), "currency": o.currency}
            for o in decision.considered.options
        ],
        "today": {"overall": decision.today.overall, "checks": _checks(decision.today)},
        "scenarios": [
            {
                "options": list(s.names),
                "cost": None if s.cost.unknown else {currency: str(amount) for currency, amount in s.cost.sums},
                "overall": s.report.overall,
                "clears_what_is_passed": s.clears_failing,
                "leaves_all_within": s.clears_all,
                "cleared": [_id(f) for f in s.cleared],
                "newly_passed": [_id(f) for f in s.newly_failing],
                "newly_open": [_id(f) for f in s.newly_unsettled],
                "left_behind": list(s.left_behind),
                "tickets_set_aside": list(s.set_aside),
                "checks": _checks(s.report),
            }
            for s in decision.scenarios
        ],
        "cheapest": {
            "clears_what_is_passed": [list(s.names) for s in decision.clears_failing.priced],
            "leaves_all_within": [list(s.names) for s in decision.clears_all.priced],
        },
        "not_cleared": [{**_id(f), "best": outcome} for f, outcome in decision.outcomes],
        **by_settings.fields(decision.today),
        "together": decision.together,
        "cut_off": decision.cut_off,
        "apart": [{"options": [a, b], "why": why} for a, b, why in decision.apart],
        "unusable": [{"options": list(names), "why": why} for names, why in decision.unusable],
    }


def _id(finding: Finding) -> dict[str, str]:
    return {"rule": finding.rule, "subject": finding.subject, "state": finding.state}


def _checks(report: Report) -> list[dict[str, Any]]:
    return [{**_id(f), "verdict": f.verdict, **numbers(f)} for f in by_key(report).values() if f.verdict != "not_applicable"]
