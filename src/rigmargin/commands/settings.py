"""The command that shows what is settled for the rigs of a folder, and where each value came from."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from rigmargin.commands.common import USAGE, answered, in_force, settled


def settings(chosen: argparse.Namespace) -> int:
    """Every value, and where it came from; 5 when a folder of rules brings something that fails."""
    from rigmargin.report import settings as pages

    if not Path(chosen.folder).is_dir():
        print(f"rigmargin: '{chosen.folder}' is no folder; name the folder whose rigs are meant", file=sys.stderr)
        return USAGE
    chosen = settled(chosen, chosen.folder)
    failures = in_force(chosen).failures
    for failure in failures:
        print(f"rigmargin: {failure.reason}", file=sys.stderr)
    return answered(chosen, pages, chosen.settings, "settings", 5 if failures else 0)
