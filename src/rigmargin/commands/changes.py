"""The command that answers for what changed between two revisions. It gives the exit code."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from rigmargin.commands.common import UNREADABLE, USAGE, answered, in_force, progress, settled


def changes(chosen: argparse.Namespace) -> int:
    """Which verdicts changed and which margins moved, for which rigs."""
    from rigmargin.club import changes_pages as pages
    from rigmargin.club import git
    from rigmargin.club.changes import changes

    chosen = settled(chosen)
    ruleset = in_force(chosen)
    for failure in ruleset.failures:
        print(f"rigmargin: {failure.reason}", file=sys.stderr)
    try:
        repository = git.repository(Path.cwd())
        found = changes(
            repository, chosen.old, chosen.new, ruleset, settings=chosen.settings, places=chosen.paths, progress=progress
        )
    except (git.GitProblem, OSError) as wrong:
        said = wrong if isinstance(wrong, git.GitProblem) else f"{wrong.filename or 'this folder'}: {wrong.strerror or wrong}"
        print(f"rigmargin: {said}", file=sys.stderr)
        return USAGE if isinstance(wrong, git.Refused) else UNREADABLE
    return answered(chosen, pages, found, "changes", found.code)
