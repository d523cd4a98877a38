"""One answer held to what rig files are held to, by the code that reads them, before it is kept."""

from __future__ import annotations

from dataclasses import replace

from rigmargin.spec import document, rig
from rigmargin.spec.problem import FileProblems, Problem
from rigmargin.spec.rig import Rig
from rigmargin.spec.settings import Settings
from rigmargin.start import file_text
from rigmargin.start.answers import ABOUT_TICKET, Answers


def problems(before: Answers, tried: Answers, path: tuple[str, ...], settings: Settings) -> tuple[Problem, ...]:
    """What is wrong with an answer at ``path``, with which they are ``tried``; what the file still lacks is not counted."""
    known = {(problem.path, problem.found) for problem in _all(before, settings)}
    found = [problem for problem in _all(tried, settings) if (problem.path, problem.found) not in known]
    if path[0] == "weighings" and path[-1] in ABOUT_TICKET:
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
