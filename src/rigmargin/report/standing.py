"""What settings say of one finding, in a sentence: a reserve that is not left, an exception that somebody has made."""

from __future__ import annotations

from typing import Any

from rigmargin.judge.finding import Accepted, Finding
from rigmargin.spec.settings import Origin


def standing(finding: Finding) -> str:
    """What settings say of a finding; empty when they say nothing."""
    if finding.reserve:
        asked = f"the reserve of {finding.reserve.text} that the settings ask for ({place(finding.reserve.origin)})"
        return f"What remains is less than {asked}."
    return accepted(finding.accepted) if finding.accepted else ""


def accepted(accepted_: Accepted) -> str:
    """An exception in a sentence or two; it never says that anything is kept."""
    by = accepted_.by
    said = f"until {by.until} by {by.by} ({place(by.origin)}): {by.reason.rstrip('.')}"
    if accepted_.standing == "expired":
        return f"Was accepted {said}. That day is past on the rig's date."
    if accepted_.standing == "undated":
        return f"Accepted {said}. Whether that day is past cannot be told: the rig states no date. It stays open."
    return f"Accepted {said}. It stays open."


def place(origin: Origin) -> str:
    """Where a value stands, in plain words."""
    return f"line {origin.line} of {origin.name}" if origin.line else origin.name


def fields(finding: Finding) -> dict[str, Any]:
    """The same for machines; nothing where settings say nothing."""
    entry: dict[str, Any] = {}
    if finding.reserve:
        entry["reserve"] = {"share": round(finding.reserve.si, 4), "from": str(finding.reserve.origin)}
    if finding.accepted:
        by = finding.accepted.by
        entry["accepted"] = {
            "standing": finding.accepted.standing, "until": by.until, "by": by.by, "reason": by.reason, "from": str(by.origin),
        }  # fmt: skip
    return entry
