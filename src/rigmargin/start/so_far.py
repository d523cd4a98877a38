"""What can be judged of a rig whose file is still growing: a few lines, the worst first."""

from __future__ import annotations

from rigmargin.judge.finding import Report
from rigmargin.report.view import view

MOST = 5  # findings that are told each time
OPEN = ("not_checked", "not_applicable", "note")


def lines(report: Report, system: str) -> tuple[str, ...]:
    """The verdict, how many checks came to which, and the worst of those that could be judged."""
    shown = view(report, system)
    counts = ", ".join(f"{number} {word}" for mark, word, number in shown.counts)
    judged = [row for row in shown.rows if row.verdict not in OPEN]
    told = [f"{row.mark} {row.text}" for row in judged[:MOST]]
    more = [f"and {len(judged) - MOST} more."] if len(judged) > MOST else []
    nothing = [] if judged else ["No load can be held against a limit yet."]
    return (f"So far: {shown.overall_word}. Checks: {counts}.", *told, *more, *nothing)
