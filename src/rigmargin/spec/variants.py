"""A rig file with the changes its owner considers, and the rig that any of them make."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from rigmargin.spec import document as documents
from rigmargin.spec import options, rig, synonyms
from rigmargin.spec.document import Document
from rigmargin.spec.options import Option
from rigmargin.spec.rig import Rig
from rigmargin.spec.settings import NONE, Settings


@dataclass(frozen=True, slots=True)
class Variant:
    """The rig with some options."""

    rig: Rig  # its tickets are as its options state them, else as today's file does
    replaced: frozenset[str]  # the vehicles that come from another file


@dataclass(frozen=True, slots=True)
class Considered:
    """One rig file and its options."""

    rig: Rig
    options: tuple[Option, ...]  # in the file's order
    document: Document  # canonical
    words: dict[str, str]

    def option(self, name: str) -> Option:
        """The option of that name."""
        return next(option for option in self.options if option.name == name)

    def needed(self, name: str) -> tuple[str, ...]:
        """An option with all that it needs, what is needed first."""
        return options.with_needs(self.document, name)

    def apart(self, one: str, other: str) -> str:
        """Why two options cannot come together by what they say, in words; empty when they can."""
        for a, b in ((one, other), (other, one)):
            if b in self.option(a).excludes:
                return f"'{a}' excludes '{b}'"
        if other in options.with_needs(self.document, one) or one in options.with_needs(self.document, other):
            return ""  # the one is written for a rig that has the other
        for field in options.EVIDENCE_OF_A_RIG:
            if all(field in self.document.data["options"][name]["change"] for name in (one, other)):
                return f"both bring {field.replace('_', ' ')}, each of its own rig"
        mine, theirs = (options.written_paths(self.document, name) for name in (one, other))
        for path, value in mine.items():
            for rival, other_value in theirs.items():
                nested = path[: len(rival)] == rival or rival[: len(path)] == path
                if nested and (path != rival or value != other_value):
                    return f"both change {documents.dotted(min(path, rival, key=len))}"
        return ""

    def with_options(self, names: Sequence[str]) -> Variant:
        """The rig with these options, each after what it needs. Raises FileProblems when they do not go together."""
        made = options.patched(self.document, self.words, self._ordered(names))
        return Variant(rig.changed(made), made.replaced)

    def speaking_of(self, field: str, names: Sequence[str]) -> tuple[str, ...] | None:
        """Of some options, those of the rig that a field of the file (such as ``weighings``) speaks of.

        An option that states the field anew states it of the rig that has the option and what that needs. None: no option of
        these states it, and it speaks of today's rig.
        """
        stating = [name for name in self._ordered(names) if field in self.document.data["options"][name]["change"]]
        return options.with_needs(self.document, stating[-1]) if stating else None

    def replacing(self, names: Sequence[str]) -> dict[str, str]:
        """The vehicles that some options take from other files, with the option that does."""
        found: dict[str, str] = {}
        for name in self._ordered(names):
            found |= dict.fromkeys(options.replaced_parts(self.document, name), name)
        return found

    def _ordered(self, names: Sequence[str]) -> list[str]:
        """Some options, each after what it needs."""
        ordered = dict.fromkeys(each for name in names for each in options.with_needs(self.document, name))
        return [name for name in ordered if name in names]


def read(path: str | Path, settings: Settings = NONE) -> Considered:
    """Read a rig file with its options, by what is settled. Raises FileProblems with everything that is wrong with either."""
    return of(replace(documents.read(path), settings=settings))


def of(document: Document) -> Considered:
    """The same of a document. Raises FileProblems."""
    built = rig.build(document)
    canonical, words, _ = synonyms.canonical(document)
    return Considered(built, options.listed(canonical), canonical, words)
