"""Rigs in which every text that the schema lets an owner write is hostile, or, word for word the same rig, plain.

Which texts there are is read from the schema, so a field that is added is covered by itself: whatever has room for text is
given one, each with a number of its own.
"""

from __future__ import annotations

import json
from itertools import count

import yaml
from club_repository import EXAMPLES

from rigmargin.spec import schema
from rigmargin.spec.syntax import scalar

#: A rig over its limits, with options, a tank, things that may be moved, and what else of it a text can stand beside.
BASE = EXAMPLES / "thistle-ford-generator.yaml"
MORE = """
driver: {licences: [B]}
note: n
brake_test: {stopping_distance: 30 ft}
tow_vehicle:
  unloaded: {includes: [passenger]}
  coupling_share_band: {low: 5 %, high: 30 %, source: manual}
  front_axle_restoration: {low: 50 %, high: 100 %, source: manual}
  load:
    spring kit: {mass: 42 lb, at: bed front, source: measured}
    tool chest: {may_go_to: [rear seats]}
  tanks: {spare fuel: {holds: petrol, volume: 20 gal, filled: 1/2, at: bed front}}
  axles:
    front: {tyres: {load_table: &table [{pressure: 30 psi, single: 2300 lb, dual: 2200 lb}]}}
    rear:
      tyres: {load_table: *table}
      suspension:
        spring_rate: {value: 1000 lb/in, source: manual}
        helper: {kind: rubber, gap: 1 in, max_load: 1000 lb, counted_as: spring kit}
coupling:
  parts:
    receiver: {role: receiver}
    ball mount: {role: ball_mount, carries: [spring kit]}
    ball: {role: ball}
    coupler: {role: coupler}
trailer: {unloaded: {includes: [gas and batteries]}, axles: {tandem: {tyres: {load_table: *table}}}}
weighings:
  - {state: coupled, front: 2940 lb, rear: 3540 lb, trailer_axles: {tandem: 2110 lb}, on: 2026-08-15, increment: 20 lb}
  - {state: alone, front: 3180 lb, rear: 2560 lb, on: 2026-08-15, increment: 20 lb, aboard: [driver, passenger]}
options:
  a stronger receiver: {needs: [generator to the kitchen]}
  another way: {change: {note: x}, excludes: [a stronger receiver]}
"""
#: What makes a text no free one: its form is checked. And the lists and texts that name what stands elsewhere in the file.
CHECKED = (
    "enum",
    "const",
    "pattern",
    "x-dimension",
    "x-date",
    "x-filled",
    "x-aboard",
    "x-load-index",
    "x-date-code",
    "x-station",
)
NAMING = ("may_go_to", "aboard", "carries", "needs", "excludes", "counted_as", "at", "includes")
FORMED = ("marking",)  # its form is checked by what reads tyres, not by the schema
#: Texts that mean something where a report is read: in HTML, in SVG, on a code host, on a terminal. Each begins like a formula.
TEXTS = {
    "markup": "=</title></style><script>alert(1)</script>\"'><img src=x onerror=a>{{7}}{excess}",
    "code host": "-| [x](javascript:y) `z` **b** @someone #12 :smile: www.x http://x\n# a\n- b\n|",
    "terminal": "\t\u202eback\u2066\u200f\u061c\u2028\x85\ue000\ue001\ue002[bold red]x[/][link=http://x]y[/]",
}
PLAIN = "plain words"
#: Names of files, which may hold what no text in a file may: control characters, and a link for terminals (OSC 8).
FILE_NAMES = {
    "markup": "<script>alert(1)<script>\"'><svg onload=alert(1)>&lt;{{7*7}}{excess}%41.yaml",
    "code host": "-| # [x](javascript:y) `z` **b** @someone #12 :smile: www.x.com\n# two\r| a |.yaml",
    "terminal": "@\x1b[31m\x1b]8;;http:192.0.2.1\x1b\\\u202e\x07\x85\u200f\t.yaml",
}


def free(node):
    """Whether a field takes any text."""
    return node.get("type") == "string" and not any(mark in node for mark in CHECKED)


class Filled:
    """A rig file with ``text`` in every place that takes one; ``.paths`` are those places as in ``schema.catalogue``."""

    def __init__(self, text):
        self.text, self.paths = text, set()
        self._number, self._names = count(1), {}
        data = _merged(_plain(BASE.read_text("utf-8")), _plain(MORE))
        self.data = self._references(self._fill(schema.rig(), data, ""))

    def __str__(self):
        return json.dumps(self.data)  # JSON is YAML

    def _said(self, most=80, name=False):
        number = str(next(self._number))
        text = self.text.translate(str.maketrans("[]", "()", ".@\n\t")) if name else self.text
        return f"{text[: most - len(number)]}{number}"

    def _fill(self, node, value, path):
        """``value`` with a text wherever its schema takes one; None where there is no value and none can be made."""
        if free(node):
            self.paths.add(path)
            return value if _last(path) in NAMING + FORMED else self._said(node.get("maxLength", 80))
        if value is None and node.get("x-date"):
            return "2026-05-02"
        if isinstance(value, list) or (
            value is None and node.get("items") and free(node["items"]) and _last(path) not in NAMING
        ):
            return [self._fill(node["items"], one, f"{path}[]") for one in value or [None]]
        if isinstance(value, str) and "value" in node.get("properties", {}):
            value = {"value": value}
        if isinstance(value, dict) or (value is None and node.get("properties") and not node.get("additionalProperties")):
            return self._mapping(node, value or {}, path)
        return value

    def _mapping(self, node, value, path):
        made, synonyms = dict(value), schema.synonym_table(node)
        by_use = any(row in value for row in schema.ROWS)  # then nothing may stand beside the rows
        given = {synonyms.get(name, name): name for name in value}
        for name, child in node.get("properties", {}).items():
            if name in synonyms or name in ("value", "change"):
                continue
            written = given.get(name, name)
            inner = self._fill(child, value.get(written), f"{path}.{name}" if path else name)
            if inner is not None and (written in value or not (name in schema.ROWS or by_use)):
                made[written] = inner
        if isinstance(node.get("additionalProperties"), dict):
            own = {name: one for name, one in made.items() if name in node.get("properties", {})}
            named = {
                self._name(name): self._fill(node["additionalProperties"], one, f"{path}.*")
                for name, one in value.items()
                if name not in own
            }
            return own | named or None
        return made if value or (all(name in made for name in node.get("required", ())) and made) else None

    def _name(self, name):
        if name not in self._names:
            self._names[name] = self._said(name=True)
        return self._names[name]

    def _references(self, value, naming=False, change=False):
        """The names that stand as values, or as keys in a change, follow what they name."""
        if isinstance(value, dict):
            return {
                self._names.get(key, key) if change else key: self._references(one, key in NAMING, change or key == "change")
                for key, one in value.items()
            }
        if isinstance(value, list):
            return [self._references(one, naming) for one in value]
        if naming and isinstance(value, str):
            head, dot, tail = value.rpartition(".")
            return f"{head}{dot}{self._names.get(tail, tail)}"
        return value


def _last(path):
    return path.rpartition(".")[2].removesuffix("[]")


def _plain(text):
    """YAML as plain data by the rig file's rules: what is no number stays text."""
    return _scalars(yaml.load(text, yaml.BaseLoader))


def _scalars(value):
    if isinstance(value, dict):
        return {key: _scalars(one) for key, one in value.items()}
    return [_scalars(one) for one in value] if isinstance(value, list) else scalar(value)


def _merged(base, over):
    made = dict(base)
    for key, value in over.items():
        made[key] = _merged(made[key], value) if isinstance(value, dict) and isinstance(made.get(key), dict) else value
    return made


def settings_of(text):
    """A settings file with ``text`` wherever one takes it."""
    said = json.dumps(text)
    exception = f"{{rig: x.yaml, rule: axle-load, subject: {said}, reason: {said}, by: {said}, until: 2099-08-31}}"
    return f"settings: 1\nplaces: [us]\nreserve: {{axle-load: 2 %}}\nexceptions: [{exception}]\n"
