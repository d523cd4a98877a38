"""Where rules come from, whatever the door: a name, an origin for people, and how to get them; and what could not be got."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib.resources.abc import Traversable
from pathlib import Path

from rigmargin.judge.rule import Rule

LAW = "law"  # the prefix of the regulations that come with rigmargin; nobody else's id may carry it


class Failed(Exception):
    """What outside Python did instead of answering, in plain words."""


@dataclass(frozen=True, slots=True)
class Failure:
    """A plugin, file or rule that could not be loaded."""

    name: str  # the plugin's, the file's or the rule's
    reason: str


@dataclass(frozen=True, slots=True)
class Brought:
    """What a source brings."""

    rules: tuple[Rule, ...]
    files: tuple[Path | Traversable, ...] = ()  # regulation files, or folders of them


@dataclass(frozen=True, slots=True)
class Source:
    """One plugin or file that brings rules."""

    name: str  # what it is called when it fails
    origin: str  # plain words: what each of its rules shows of where it came from
    give: Callable[[], Brought]  # may raise anything
    prefix: str = ""  # of the ids of its regulations
    ours: bool = False  # it came with rigmargin
