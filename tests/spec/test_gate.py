"""The gate and jsonschema accept the same data: what passes is sound, and what is sound is not looked at twice."""

import copy
import subprocess
import sys
from contextlib import suppress
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st
from spec.small import TEXT
from spec.test_fuzz import EDIT, LEAF, LIKE, PATHS, TREE, edited

from rigmargin.spec import document, gate, keywords, schema, validate
from rigmargin.spec.problem import FileProblems

TOP = Path(__file__).parents[2]
SOUND = [
    *((path, schema.RIG) for path in sorted((TOP / "specs_examples").glob("*.yaml"))),
    *((path, schema.REGULATION) for path in sorted((TOP / "rules" / "regulations").glob("*.yaml"))),
]
BROKEN = [
    *((path, schema.RIG) for path in sorted((TOP / "specs_examples" / "broken").glob("*.yaml"))),
    *((path, schema.REGULATION) for path in sorted((TOP / "tests" / "regulations" / "broken").rglob("*.yaml"))),
]
AMERICAN = yaml.load((TOP / "rules" / "regulations" / "us.yaml").read_text("utf-8"), yaml.BaseLoader)


def accepted(data, name=schema.RIG):
    """Whether jsonschema finds nothing wrong with ``data``; the gate must say the same."""
    sound = next(validate._validator(name).iter_errors(data), None) is None
    assert gate.passes(data, name) is sound, data
    return sound


@pytest.mark.parametrize(("path", "name"), SOUND, ids=lambda value: getattr(value, "stem", ""))
def test_every_file_we_ship_passes(path, name):
    assert accepted(document.read(path).data, name)


def test_the_two_agree_on_every_broken_file():
    agreed = []
    for path, name in BROKEN:
        with suppress(FileProblems):  # some cannot be read at all
            agreed.append(accepted(document.read(path).data, name))
    assert {True, False} == set(agreed), "some are broken by their meaning only, and keep to the schema"


@settings(max_examples=400, deadline=None)
@given(st.lists(EDIT, min_size=1, max_size=4))
def test_the_two_agree_on_damaged_rigs(edits):
    text = TEXT
    for edit in edits:
        text = edited(text, edit)
    with suppress(FileProblems):
        accepted(document.parse(text, "f.yaml").data)


def replaced(data, path, value):
    made = copy.deepcopy(data)
    place = made
    for part in path[:-1]:
        place = place[part]
    place[path[-1]] = value
    return made


@settings(max_examples=400, deadline=None)
@given(st.sampled_from(PATHS), TREE)
def test_the_two_agree_on_a_rig_with_one_part_replaced(path, value):
    accepted(replaced(LIKE, path, value))


LAW_PATHS = [path for path, _ in document.walk(AMERICAN) if path]


@settings(max_examples=200, deadline=None)
@given(st.sampled_from(LAW_PATHS), LEAF | st.sampled_from([node for _, node in document.walk(AMERICAN)]))
def test_the_two_agree_on_a_regulation_with_one_part_replaced(path, value):
    accepted(replaced(AMERICAN, path, value), schema.REGULATION)


#: Where validators of different make are known to part: other scripts' digits, the end of a text, numbers of two kinds, days.
EDGES = [
    ("date", "2026-02-28", True), ("date", "2026-02-30", False), ("date", "2026-02-28\n", False), ("date", "0000-01-01", False),
    ("date", "２026-02-28", False), ("date", "2026-W09-6", False),
    ("rig", 1, True), ("rig", 1.0, True), ("rig", True, False), ("rig", float("nan"), False),
    ("places", ["us"], True), ("places", ["us", "us"], False), ("places", ["us\n"], False), ("places", ["US"], False),
    ("places", [1, 1.0], False), ("places", [1, True], False),
    ("name", "", False), ("name", "é" * 120, True), ("name", "é" * 121, False), ("name", "🚚" * 120, True),
    ("overall_length", "12 m", True), ("overall_length", "12 m\n", False), ("overall_length", "٣ m", False),
    ("overall_length", "-12 m", True), ("overall_length", "12  m", False), ("overall_length", "9" * 400 + " m", False),
    ("overall_length", {"value": "12 m", "read_on": "2026-02-30"}, False), ("overall_length", 12, False),
]  # fmt: skip


@pytest.mark.parametrize(("field", "value", "sound"), EDGES, ids=lambda value: ascii(value)[:24])
def test_the_two_agree_at_the_edges(field, value, sound):
    assert accepted({**document.parse(TEXT, "f.yaml").data, field: value}) is sound


@pytest.mark.parametrize("data", [{"name": "\ud800"}, {1: 2}, {"rig": 10**400}, [], None], ids=ascii)
def test_what_json_could_not_say_does_not_pass_and_does_not_crash(data):
    assert not gate.passes(data, schema.RIG)


def test_every_keyword_of_our_own_that_validates_is_known_to_both():
    described = {
        "range",
        "signed",
        "unsourced",
        "synonyms",
        "station",
        "load-index",
        "aboard",
        "patch",
        "date-code",
    }  # read elsewhere
    used = {
        key for name in (schema.RIG, schema.REGULATION) for _, node in document.walk(schema.load(name)) for key in own(node)
    }
    assert used - {f"x-{word}" for word in described} == keywords.OF_TEXTS.keys() | keywords.OF_MAPPINGS.keys()


def own(node):
    return [key for key in node if key.startswith("x-")] if isinstance(node, dict) else []


def test_a_sound_file_is_never_asked_what_is_wrong_with_it():
    rig = TOP / "specs_examples" / "alder-creek-fifth-wheel.yaml"
    probe = f"import sys; from rigmargin.spec.rig import load; load({str(rig)!r}); print('jsonschema' in sys.modules)"
    run = subprocess.run([sys.executable, "-c", probe], capture_output=True, text=True, check=True)
    assert run.stdout == "False\n"
