"""Where rules come from, whatever the door: a name, an origin for people, and how to get them; and what could not be got."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rigmargin.judge.rule import Rule

LAW = "law"  # the prefix of the regulations that come with rigmargin; nobody else's id may carry it


@dataclass(frozen=True, slots=True)
class Failure:
    """A plugin, file or rule that could not be loaded."""

    name: str  # the plugin's, the file's or the rule's
    reason: str


@dataclass(frozen=True, slots=True)
class Source:
    """One plugin or file that brings rules."""

    name: str  # what it is called when it fails
    origin: str  # plain words: what each of its rules shows of where it came from
    give: Callable[[], Sequence[Rule]]  # its rules; may raise anything
    ours: bool = False  # it came with rigmargin
