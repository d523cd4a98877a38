"""A rig file's data while it grows: what stands at a question's path, by whatever label word, and a new answer put there."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Any

from rigmargin.spec import schema
from rigmargin.start import regional

Data = dict[str, Any]
#: What a ticket holds before it holds a reading.
ABOUT_TICKET = frozenset({"state", "increment", "on"})


class Answers:
    """The data of one rig file, never changed: an answer makes a new one."""

    def __init__(self, data: Data, settled_places: tuple[str, ...] = (), weighed: frozenset[str] = frozenset()) -> None:
        """``weighed`` are the states of which the file held several tickets before the talk: nothing is added to those."""
        self.data = data
        self._weighed = weighed
        self._settled = settled_places  # by the settings, where the file names none

    def known(self, path: str) -> str:
        """The word that stands at a dotted path, empty where none does; of ``place`` the country."""
        if path == "place":
            places = self.data.get("places") or self._settled
            return str(places[0]).partition("-")[0] if isinstance(places, (list, tuple)) and places else ""
        found = self.at(tuple(path.split(".")))
        return found if isinstance(found, str) else ""

    def at(self, path: tuple[str, ...]) -> Any:
        """What stands at a path; None when nothing does."""
        here: Any = self.data
        for depth, part in enumerate(path):
            if isinstance(here, list):
                here = next((each for each in here if isinstance(each, dict) and each.get("state") == part), None)
            elif isinstance(here, Mapping):
                here = here.get(self._name(here, path[: depth + 1]))
            else:
                return None
        return here

    def settles(self, path: tuple[str, ...]) -> bool:
        """Whether the file says already what is asked at a path, or has another way to say it.

        One plain figure stands for all its parts; entries under names of the owner's own stand for ours.
        """
        if self.at(path) is not None or (path[0] == "weighings" and path[1] in self._weighed):
            return True
        for depth in range(1, len(path)):
            above = self.at(path[:depth])
            if above is not None and not isinstance(above, (Mapping, list)):
                return True
            if isinstance(above, Mapping) and "value" in above:
                return True
            free = isinstance((schema.at(_schema_path(path[:depth])) or {}).get("additionalProperties"), dict)
            if free and above and path[depth] not in above and path[:depth] != ("coupling", "parts"):
                return True
        return False

    def complete(self) -> bool:
        """Whether a file with these data can be read."""
        return bool(self.data.get("name")) and self.at(("coupling", "kind")) is not None

    def put(self, path: tuple[str, ...], value: Any) -> Answers:
        """The same with ``value`` at ``path``, under the words of the place, and what it needs above it."""
        data: Data = copy.deepcopy(self.data)
        here: Any = data
        for depth, part in enumerate(path[:-1]):
            if isinstance(here, list):
                here = self._ticket(here, part)
            else:
                name = self._name(here, path[: depth + 1])
                here = here.setdefault(name, [] if name == "weighings" else {})
        here[self._name(here, path)] = value
        return Answers(data, self._settled, self._weighed)

    def readable(self) -> Answers:
        """The same without tickets that hold no reading yet, which no file may have."""
        tickets = self.data.get("weighings")
        if not isinstance(tickets, list):
            return self
        kept = [each for each in tickets if not isinstance(each, dict) or each.keys() - ABOUT_TICKET]
        data = {key: value for key, value in self.data.items() if key != "weighings"}
        return Answers({**data, "weighings": kept} if kept else data, self._settled, self._weighed)

    def names(self, path: tuple[str, ...]) -> tuple[str, ...]:
        """A path in the words under which it stands, or would be written."""
        return tuple(self.name(path[: depth + 1]) for depth in range(len(path)))

    def name(self, path: tuple[str, ...]) -> str:
        """The last part of a path, as it stands or would be written."""
        above = self.at(path[:-1]) if path[:-1] else self.data
        return self._name(above if isinstance(above, Mapping) else {}, path)

    def _name(self, here: Mapping[str, Any], path: tuple[str, ...]) -> str:
        """Under which word the field at ``path`` stands in ``here``, or would be written there."""
        field = path[-1]
        node = schema.at(_schema_path(path)) or {}
        there: str | None = next((name for name in (field, *node.get("x-synonyms", ())) if name in here), None)
        if there:
            return there
        word = regional.word(".".join(path), self.known) if node.get("x-synonyms") else None
        return word.label if word and word.label else field

    @staticmethod
    def _ticket(tickets: list[Any], state: str) -> Data:
        found: Data | None = next((each for each in tickets if isinstance(each, dict) and each.get("state") == state), None)
        if found is None:
            found = {"state": state}
            tickets.append(found)
        return found


def _schema_path(path: tuple[str, ...]) -> tuple[str | int, ...]:
    """A question's path as the schema walks it: a ticket is an entry of the list."""
    return ("weighings", 0, *path[2:]) if path[0] == "weighings" and len(path) > 1 else path
