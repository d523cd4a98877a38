"""One answer held to what rig files are held to, by the code that reads them, before it is kept."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from rigmargin.spec import document, rig
from rigmargin.spec.problem import FileProblems, Problem
from rigmargin.spec.rig import Rig
from rigmargin.spec.settings import Settings
from rigmargin.start import file_text
from rigmargin.start.answers import Answers

_UNFINISHED = frozenset({"name", "tow_vehicle", "coupling", "trailer"})  # what a file lacks that is only begun


def problems(before: Answers, path: tuple[str, ...], value: Any, settings: Settings) -> tuple[Problem, ...]:
    """What is wrong with ``value`` at ``path``; what the file still lacks for being only begun is not counted."""
    tried = before.put(path, value)
    known = {problem.path for problem in _all(before, settings)}
    found = [problem for problem in _all(tried, settings) if problem.path not in known | _UNFINISHED]
    if path[0] == "weighings":
        found = [problem for problem in found if not problem.path.endswith("]")]  # no reading yet
    return tuple(found)


def _all(answers: Answers, settings: Settings) -> tuple[Problem, ...]:
    try:
        read(answers, settings)
    except FileProblems as wrong:
        return wrong.problems
    return ()


def read(answers: Answers, settings: Settings) -> Rig:
    """The rig of the answers. Raises FileProblems."""
    return rig.build(replace(document.parse(file_text.text(answers), ""), settings=settings))
