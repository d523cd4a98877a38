"""The command that answers for what changed between two revisions. It gives the exit code."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from rigmargin.commands.common import UNREADABLE, USAGE, answered, by_folder, progress

if TYPE_CHECKING:
    from rigmargin.judge.plugins import Ruleset
    from rigmargin.spec.settings import Settings


def changes(chosen: argparse.Namespace) -> int:
    """Which verdicts changed and which margins moved, for which rigs."""
    from rigmargin.club import changes_pages as pages
    from rigmargin.club import git
    from rigmargin.club.changes import changes

    settled_in = by_folder(chosen)
    here, _ = settled_in(Path.cwd())

    def terms(folder: Path) -> tuple[Settings, Ruleset]:
        settled, ruleset = settled_in(folder)
        return settled.settings, ruleset

    try:
        repository = git.repository(Path.cwd())
        found = changes(repository, chosen.old, chosen.new, terms, places=chosen.paths, progress=progress)
    except (git.GitProblem, OSError) as wrong:
        said = wrong if isinstance(wrong, git.GitProblem) else f"{wrong.filename or 'this folder'}: {wrong.strerror or wrong}"
        print(f"rigmargin: {said}", file=sys.stderr)
        return USAGE if isinstance(wrong, git.Refused) else UNREADABLE
    for failure in found.failures:
        print(f"rigmargin: {failure.reason}", file=sys.stderr)
    return answered(here, pages, found, "changes", found.code)
