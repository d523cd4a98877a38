"""The shopping sheet for machines; the contract is ``schemas/shopping.schema.json``."""

from __future__ import annotations

import math
from typing import Any

from rigmargin import __version__
from rigmargin.advice.ranges import MOST, Range
from rigmargin.advice.shopping import Shopping
from rigmargin.judge.finding import Finding
from rigmargin.loads.facts import Missing
from rigmargin.report import by_settings
from rigmargin.report.display import file_name
from rigmargin.report.json import identity
from rigmargin.report.regional import spoken


@spoken(lambda sheet: sheet.report.rig)
def document(sheet: Shopping) -> dict[str, Any]:
    """The sheet: kg, to a tenth; what a trailer may weigh is rounded down, what a vehicle must have is rounded up."""
    rig, needs = sheet.report.rig, sheet.needs
    return {
        "shopping": 1,
        "rigmargin": __version__,
        "rig": {"name": rig.name, "file": file_name(rig)},
        **by_settings.fields(sheet.report, advice=True),
        "unit": "kg",
        "share": {"value": round(sheet.share.ratio, 6), "asked_for": not sheet.share.how},
        "largest_trailer": [
            {
                "mass": _ceiling(row.mass),
                "sure": 0.0 if row.open else _ceiling(row.sure),
                "kept": _ranges(row.ranges),
                "surely_kept": [] if row.open else _ranges(row.sure_ranges),
                "passed_without_trailer": row.passed_alone,
                "limit": identity(row.stops, rig),
            }
            for row in sheet.largest
        ],
        "keeps_every_known_limit": _ranges(sheet.window),
        "not_known": [{"limit": identity(u.finding, rig), "missing": _paths(u.missing)} for u in sheet.unknown],
        "remarks_at": _down(sheet.size),
        "remarks": [{**identity(f, rig), "verdict": f.verdict} for f in _remarked(sheet)],
        "trailer": {"mass": _up(needs.mass), "coupling_load": _up(needs.coupling)},
        "vehicle_needs": [
            {
                "figure": n.name,
                "field": n.path,
                "least": _up(n.least),
                "sure": _up(n.sure),
                "has": _down(n.has),
                "by_scale": n.by_scale,
            }
            for n in needs.least
        ],
        "vehicle_needs_not_known": [{"figure": name, "missing": _paths(missing)} for name, missing in needs.unknown],
        "vehicle_must_have": [f.expected for f in needs.required],
        "trailer_remarks": [{**identity(f, rig), "verdict": f.verdict} for f in needs.remarks],
    }


def _remarked(sheet: Shopping) -> tuple[Finding, ...]:
    """Everything that is not in order whatever the trailer weighs, the share itself included."""
    outside = sheet.custom is not None and sheet.custom.verdict == "outside_band"
    return (*((sheet.custom,) if sheet.custom and outside else ()), *sheet.remarks)


def _paths(missing: tuple[Missing, ...]) -> list[str]:
    return [m.path for m in missing]


def _ranges(ranges: tuple[Range, ...]) -> list[dict[str, float | None]]:
    return [{"from": _up(low), "to": _ceiling(high)} for low, high in ranges]


def _ceiling(mass: float) -> float | None:
    """The heaviest trailer; null where none is too heavy."""
    return _down(mass) if mass < MOST else None


def _down(value: float | None) -> float | None:
    return None if value is None else math.floor(round(value * 10, 4)) / 10 + 0.0


def _up(value: float | None) -> float | None:
    return None if value is None else math.ceil(round(value * 10, 4)) / 10 + 0.0
