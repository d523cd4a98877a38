"""The commands of a weigh day: a sheet to print for one rig. Each gives the exit code."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from rigmargin.commands.common import UNREADABLE, USAGE, in_force, judged, written


def sheet(chosen: argparse.Namespace) -> int:
    """A page to print, with blanks for what one rig lacks."""
    from rigmargin.report import sheet as pages

    formats = {
        ".html": lambda report, system: pages.html(report, system, owner=chosen.with_owner),
        ".md": lambda report, system: pages.markdown(report, system, owner=chosen.with_owner),
    }
    if Path(chosen.to).suffix not in formats:
        print(f"rigmargin: '{chosen.to}': a sheet is a page to print; choose {' or '.join(formats)}", file=sys.stderr)
        return USAGE
    report = judged(chosen.file, in_force(chosen))
    return UNREADABLE if report is None else written(chosen, formats, report, "weigh-day sheet", 0)
