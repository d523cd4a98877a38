"""What a club or an owner settles for many rigs, with where each value came from, and which of several values wins.

Plain data and its merging: default < file < environment < command line. ``settings_file`` finds and reads the file.
"""

from __future__ import annotations

import difflib
import json
import os
import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from pathlib import PurePath

from rigmargin.spec import places as known_places
from rigmargin.spec.problem import shown
from rigmargin.spec.words import NEUTRAL, REGIONS

UNITS = ("rig", "us", "metric", "both")
BY_PLACE = "rig"  # the words of each rig's first place
WORDS = (BY_PLACE, NEUTRAL, *REGIONS)
PREFIX = "RIGMARGIN_"
#: The variables of the environment that say something, each with what.
VARIABLES = {
    "RIGMARGIN_SETTINGS": "the settings file, instead of the nearest",
    "RIGMARGIN_PLACES": "places, with blanks or commas between them",
    "RIGMARGIN_UNITS": "units",
    "RIGMARGIN_WORDS": "words",
    "RIGMARGIN_RULES": f"folders of rules, with '{os.pathsep}' between them",
}
WHICH, PLACES, UNITS_OF, WORDS_OF, RULES = VARIABLES


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a value came from."""

    kind: str = "default"  # "default", "file", "variable" or "option"
    name: str = ""  # the file's own name, the variable, the option
    line: int = 0  # of a file
    column: int = 0

    def __str__(self) -> str:
        """Such as ``rigmargin.yaml:3``, ``RIGMARGIN_UNITS`` or ``--units``."""
        return f"{self.name}:{self.line}" if self.line else self.name or self.kind


DEFAULT = Origin()


@dataclass(frozen=True, slots=True)
class Figure:
    """A quantity that the file settles."""

    text: str  # as written
    si: float
    origin: Origin


@dataclass(frozen=True, slots=True)
class Folder:
    """A folder of local rules."""

    name: str  # as written
    path: str  # where it is
    runs: bool  # whether its Python runs: the user has named it, or the file that names it
    origin: Origin


@dataclass(frozen=True, slots=True)
class Acceptance:
    """A finding that somebody accepts for a time. It clears nothing."""

    rig: str  # the rig's name, or its file seen from the settings file
    rule: str
    subject: str  # empty: any
    state: str  # empty: any
    reason: str
    by: str
    until: str  # ISO date, the last day
    origin: Origin


@dataclass(frozen=True, slots=True)
class Settings:
    """All that is settled. Without a file and without variables it says nothing, and nothing changes."""

    file: str = ""  # the file as it was found; empty when there is none
    places: tuple[str, ...] = ()  # of rigs that state none
    units: str = "rig"
    words: str = BY_PLACE  # the region in whose words answers speak
    rules: tuple[Folder, ...] = ()
    reserve: Mapping[str, Figure] = field(default_factory=dict)  # share of the limit, by rule id or subject
    evidence: Mapping[str, Figure] = field(default_factory=dict)  # SI, by the name of the convention that it takes the place of
    exceptions: tuple[Acceptance, ...] = ()
    origins: Mapping[str, Origin] = field(default_factory=dict)  # of places, units and words; what is not in it is the default
    named: Origin = DEFAULT  # what named the file; the default is that it was the nearest

    def origin(self, name: str) -> Origin:
        """Where the value of ``places``, ``units`` or ``words`` came from."""
        return self.origins.get(name, DEFAULT)

    def fingerprint(self) -> str:
        """A text that is the same exactly when two settings say the same from the same lines; holds no path of a machine.

        What the files of a rules folder hold is not in it.
        """
        plain = asdict(self)
        for key in ("file", "named"):
            del plain[key]
        for folder in plain["rules"]:
            del folder["path"]
        return json.dumps(plain, sort_keys=True, ensure_ascii=False)


NONE = Settings()


class WrongVariables(ValueError):
    """Variables of the environment that cannot be meant; says each on a line of its own."""


def merged(file: Settings, environment: Mapping[str, str], options: Mapping[str, Sequence[str]]) -> Settings:
    """What is settled by a file, then by variables, then by the options ``units``, ``words`` and ``rules`` of a command line.

    The later wins, but folders of rules come together: none of them falls away unsaid. Raises WrongVariables.
    """
    told = {name: text for name, text in environment.items() if name.startswith(PREFIX)}
    wrong = list(_wrong(told))
    if wrong:
        raise WrongVariables("\n".join(wrong))
    made = file
    if told.get(PLACES):
        made = _settle(made, "places", tuple(_codes(told[PLACES])), Origin("variable", PLACES))
    for name, variable in (("units", UNITS_OF), ("words", WORDS_OF)):
        if told.get(variable):
            made = _settle(made, name, told[variable], Origin("variable", variable))
        if options.get(name):
            made = _settle(made, name, options[name][0], Origin("option", f"--{name}"))
    folders = list(made.rules)
    for origin, names in (
        (Origin("variable", RULES), [name for name in told.get(RULES, "").split(os.pathsep) if name]),
        (Origin("option", "--rules"), options.get("rules", ())),
    ):
        folders += [Folder(name, name, True, origin) for name in names]
    once = {os.path.realpath(folder.path): folder for folder in folders}  # named by several: by the last
    return replace(made, rules=tuple(once.values()))


def _settle(made: Settings, name: str, value: object, origin: Origin) -> Settings:
    changes: dict[str, object] = {name: value, "origins": {**made.origins, name: origin}}
    return replace(made, **changes)  # type: ignore[arg-type]  # the fields are those named above


def _codes(text: str) -> list[str]:
    return list(dict.fromkeys(re.split(r"[\s,]+", text.strip())))


def _wrong(told: Mapping[str, str]) -> list[str]:
    wrong = []
    for name in sorted(told):
        if name not in VARIABLES:
            own = {each.removeprefix(PREFIX): each for each in VARIABLES}
            cure = _meant(name.removeprefix(PREFIX), own) or "unset it"
            wrong.append(f"{name}: found a variable of no meaning; expected one of {', '.join(VARIABLES)}; {cure}")
    for code in _codes(told[PLACES]) if told.get(PLACES) else ():
        if not known_places.known(code):
            wrong.append(f"{PLACES}: found {shown(code)}; expected the code of a place; {place_cure(code)}")
    for variable, known in ((UNITS_OF, UNITS), (WORDS_OF, WORDS)):
        value = told.get(variable)
        if value and value not in known:
            cure = _meant(value, {each: each for each in known}) or "choose one of these"
            wrong.append(f"{variable}: found {shown(value)}; expected one of {', '.join(known)}; {cure}")
    return wrong


def _meant(text: str, words: Mapping[str, str]) -> str:
    near = difflib.get_close_matches(text, words, n=1, cutoff=0.7)
    return f"write {words[near[0]]}, if that is meant" if near else ""


def place_cure(code: str) -> str:
    """What to do about a code that is no place."""
    meant = known_places.meant(code)
    return f"write '{meant}', if that is meant" if meant else "write the ISO 3166 code, a state after a hyphen"


def file_name(settings: Settings) -> str:
    """The file's own name, without the folders that differ from machine to machine."""
    return PurePath(settings.file).name
