"""One answer held to what rig files are held to, by the code that reads them, before it is kept."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from rigmargin.spec import document, places, rig
from rigmargin.spec.problem import FileProblems, Problem, shown
from rigmargin.spec.rig import Rig
from rigmargin.spec.settings import Settings, place_cure
from rigmargin.start import file_text
from rigmargin.start.answers import ABOUT_TICKET, Answers


def problems(before: Answers, path: tuple[str, ...], value: Any, settings: Settings) -> tuple[Problem, ...]:
    """What is wrong with ``value`` at ``path``; what the file still lacks for being only begun is not counted."""
    if path == ("places",):
        unknown = [place for place in value if not places.known(place)]
        if unknown:
            return tuple(_no_place(place) for place in unknown)
    tried = before.put(path, value)
    known = {(problem.path, problem.found) for problem in _all(before, settings)}
    found = [problem for problem in _all(tried, settings) if (problem.path, problem.found) not in known]
    if path[0] == "weighings" and path[-1] in ABOUT_TICKET:
        found = [problem for problem in found if not problem.path.endswith("]")]  # no reading yet
    return tuple(found)


def _no_place(place: str) -> Problem:
    """A rig file may name a place that nobody knows; here it would be a slip, and the wrong words follow from it."""
    return Problem("", 0, 0, "places", shown(place), "the code of a place, such as us-co or gb", place_cure(place))


def _all(answers: Answers, settings: Settings) -> tuple[Problem, ...]:
    try:
        read(answers, settings)
    except FileProblems as wrong:
        return wrong.problems
    return ()


def read(answers: Answers, settings: Settings) -> Rig:
    """The rig of the answers. Raises FileProblems."""
    return rig.build(replace(document.parse(file_text.text(answers), ""), settings=settings))
