"""Regulation files: the schema, what is read, and every mistake told with its place and its cure."""

import copy
import json
import re
from pathlib import Path

import jsonschema
import pytest

from rigmargin.loads import facts
from rigmargin.spec import condition, document, places, regulation, schema
from rigmargin.spec.problem import FileProblems

BROKEN = Path(__file__).parents[1] / "regulations" / "broken"
NAMES = sorted(folder.name for folder in BROKEN.iterdir())
GOOD = """\
regulations: 1
place: us-wy
name: Wyoming
authority: the roads department
read_on: 2026-02-01
status: statute
rules:
  brakes:
    title: A heavy trailer has brakes
    topic: trailer_brakes
    citation: Roads Act 12
    in_force: {from: 2013-01-19}
    use: private
    applies_to: {trailer_kind: [utility, boat], built: {from: 1971-01-01, to: 2001-12-31}}
    when: {compare: {this: {mass: trailer, basis: actual}, more_than: 3000 lb}}
    require: {not: {word: {of: trailer.brakes.actuation, is: [none]}}}
    asks: brakes
    cases:
      over, no brakes:
        given: {mass trailer actual: 3001 lb, trailer.brakes.actuation: none}
        verdict: not_checked
"""


def read(text, file="us-wy.yaml"):
    return regulation.build(document.parse(text, file))


def problems(text, file="us-wy.yaml"):
    with pytest.raises(FileProblems) as caught:
        read(text, file)
    return caught.value.problems


def test_what_is_read():
    law = read(GOOD)
    (rule,) = law.provisions
    assert (law.place, law.name, law.authority) == ("us-wy", "Wyoming", "the roads department")
    assert (rule.name, rule.status, rule.read_on, rule.first, rule.last, rule.use) == (
        "brakes", "statute", "2026-02-01", "2013-01-19", "", "private",
    )  # fmt: skip
    assert isinstance(rule.when, condition.Compare)
    assert rule.when.this == condition.Fact("trailer.gross", "mass", "the loaded trailer's mass", "mass trailer actual")
    # 3000 lb of 0.45359237 kg
    assert rule.when.other == condition.Figure(pytest.approx(1360.77711), "mass", "lb")
    assert set(rule.facts) == {
        "date", "use", "trailer.kind", "trailer.built", "mass trailer actual", "trailer.brakes.actuation",
    }  # fmt: skip


def test_a_rule_may_say_otherwise_than_its_file():
    own = GOOD.replace("    asks:", "    status: memory\n    read_on: 2020-01-01\n    asks:")
    (rule,) = read(own).provisions
    assert (rule.status, rule.read_on, rule.counts) == ("memory", "2020-01-01", False)


def test_the_schema_is_valid_and_says_something_of_each_field():
    law = schema.load(schema.REGULATION)
    jsonschema.Draft202012Validator.check_schema(law)

    def fields(node, at="regulation"):
        if isinstance(node, dict):
            for name, child in node.get("properties", {}).items() if isinstance(node.get("properties"), dict) else ():
                yield f"{at}/{name}", child
            for key, child in node.items():
                yield from fields(child, f"{at}/{key}")
        elif isinstance(node, list):
            for child in node:
                yield from fields(child, at)

    found = list(fields(law))
    assert len(found) > 60
    for where, node in found:
        assert node["title"][0].isupper(), where
        assert len(re.split(r"\. (?=[A-Z])", node["description"])) >= 2 and node["description"].endswith("."), where


def test_the_schema_knows_the_same_words_as_the_code_and_the_rig_file():
    law = schema.load(schema.REGULATION)["$defs"]
    amount, rule = law["amount"]["properties"], law["rule"]["properties"]
    assert set(law["condition"]["properties"]["compare"]["x-forms"]) == set(condition.OPERATORS)
    assert {(w, b) for w in amount["mass"]["enum"] for b in amount["basis"]["enum"]} >= set(condition.MASSES)
    assert set(rule["status"]["enum"]) == set(regulation.STATUSES)
    for key, field in (
        ("trailer_kind", "trailer.kind"),
        ("coupling_kind", "coupling.kind"),
        ("tow_vehicle_kind", "tow_vehicle.kind"),
    ):
        assert rule["applies_to"]["properties"][key]["items"]["enum"] == schema.catalogue()[field]["enum"]


def test_every_mass_of_a_condition_is_a_fact_of_a_rig():
    known = {*schema.catalogue(), *facts.MADE, *facts.derive.NAMES}
    assert {path for path, _ in condition.MASSES.values()} <= known


# --- mistakes ----------------------------------------------------------------------------------------------------------


def broken(name):
    (file,) = (BROKEN / name).glob("*.yaml")
    with pytest.raises(FileProblems) as caught:
        regulation.load(file)
    return file, caught.value.problems


def test_there_are_twenty_broken_files_and_more():
    assert len(NAMES) >= 20
    assert all({path.suffix for path in (BROKEN / name).iterdir()} == {".yaml", ""} for name in NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_the_message_is_exactly_this(name):
    _, found = broken(name)
    assert "".join(f"{problem}\n" for problem in found) == (BROKEN / name / "expected").read_text("utf-8")


#: Files whose problem is the mapping as a whole, and stands at its beginning.
AT_THE_MAPPING = ("two-operators", "two-conditions-in-one", "mass-without-basis")
#: What a cure may ask its reader to do.
DOING = {"add", "choose", "correct", "delete", "exchange", "keep", "look", "rename", "use", "write", "check"}


@pytest.mark.parametrize("name", NAMES)
def test_one_mistake_gives_one_message_with_place_and_cure(name):
    file, found = broken(name)
    (problem,) = found
    assert problem.line and problem.column and problem.found and problem.expected
    assert set(re.findall(r"[a-z]+", problem.cure)) & DOING
    there = file.read_text("utf-8").split("\n")[problem.line - 1][problem.column - 1 :]
    quoted = re.match(r"'(.+?)'(?=$|,| )", problem.found)
    if (
        quoted
        and quoted[1] in file.read_text("utf-8")
        and name not in ("two-operators", "two-conditions-in-one", "mass-without-basis")
    ):
        assert there.lstrip('"').startswith(quoted[1])


def test_all_mistakes_of_a_file_are_told_at_once():
    text = GOOD.replace("us-wy", "us-wx").replace("more_than", "above").replace("[none]", "[hydraulic]").replace("asks", "axks")
    assert [p.path for p in problems(text, "us-wx.yaml")] == [
        "place", "rules.brakes.asks", "rules.brakes.when.compare.above", "rules.brakes.require.not.word.is[0]",
        "rules.brakes.axks",
    ]  # fmt: skip


COMPARE = "{compare: {this: {mass: trailer, basis: actual}, more_than: 3000 lb}}"


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("{not: {}}", "none of these words"),
        ("{all: []}", "nothing"),
        ("{compare: {this: {difference: [3 t, {mass: trailer, basis: rated}, 1 t]}, at_most: 3 t}}", "3 entries"),
        ("{compare: {this: {least: [3 t]}, at_most: {mass: trailer, basis: rated}}}", "1 entries"),
        ("{compare: {this: {mass: trailer, basis: actual, of: 3 t}, at_most: 3 t}}", "'of' beside 'mass'"),
        ("{compare: {this: {mass: trailer, basis: actual, alone: yes}, at_most: 3 t}}", "'alone' with trailer, actual"),
        ("{compare: {this: {sum: [{mass: trailer, basis: rated}, 3 m]}, at_most: 3 t}}", "a length beside a mass"),
        ("{compare: {this: {fact: trailer.kind}, at_most: 3 t}}", "'trailer.kind', which holds a word"),
        ("{compare: {this: {fact: trailer.axles.*.max_load}, at_most: 3 t}}", "'trailer.axles.*.max_load'"),
        ("{has: {of: trailer.kind, any: [boat]}}", "'trailer.kind', which holds a word"),
        ("{fitted: trailer.swaycontrol}", "'trailer.swaycontrol'"),
        ("{compare: {this: 2.5, at_most: {fact: trailer.brakes.braked_axles}}}", "the bare number 2.5"),
        ("{compare: {this: true, at_most: {fact: trailer.brakes.braked_axles}}}", "'true'"),
    ],
)  # fmt: skip
def test_conditions_that_cannot_be_meant(text, found):
    assert [p.found for p in problems(GOOD.replace(COMPARE, text))] == [found]


def test_a_deep_condition_is_refused_and_not_followed_for_ever():
    text = GOOD.replace(COMPARE, "{not: " * 60 + "{}" + "}" * 60)
    assert "levels of nesting" in problems(text)[0].found


ODD = ([], {}, 3, -1, 2.5, True, None, "", "x", "3 lb", [[1]], {"a": {}}, {"value": [1]}, {"fact": ["x"]}, "../../x")


def test_whatever_stands_in_a_field_is_refused_or_read():
    """Every value of a sound file in turn replaced by odd ones: a Regulation or a list of problems, never anything else."""
    sound = document.parse(GOOD, "us-wy.yaml").data
    told = []
    for path, _ in document.walk(sound):
        for odd in ODD if path else ():
            data = copy.deepcopy(sound)
            parent = data
            for key in path[:-1]:
                parent = parent[key]
            parent[path[-1]] = odd
            try:
                read(json.dumps(data))
            except FileProblems as found:
                told.append(str(found))
    assert len(told) > 400
    assert all(text.startswith("us-wy.yaml:") for text in told)


# --- tables ------------------------------------------------------------------------------------------------------------

BY = "{row: {table: steps, by: {mass: trailer, basis: rated}, column: limit}}"
ROW = f"{{compare: {{this: {{mass: trailer, basis: actual}}, more_than: {BY}}}}}"


def with_table(tmp_path, csv, row=ROW):
    (tmp_path / "tables").mkdir()
    (tmp_path / "tables" / "steps.csv").write_text(csv)
    (tmp_path / "us-wy.yaml").write_text(GOOD.replace(COMPARE, row))
    return tmp_path / "us-wy.yaml"


def test_a_table_beside_the_file(tmp_path):
    (rule,) = regulation.load(with_table(tmp_path, "up_to,limit\n1 t,300 kg\n2 t,500 kg\n")).provisions
    assert rule.when.other.rows == ((1000.0, 300.0), (2000.0, 500.0))


@pytest.mark.parametrize(
    ("csv", "found"),
    [
        ("up_to,most\n1 t,300 kg\n", "no column 'limit' in steps.csv"),
        ("by,limit\n1 t,300 kg\n", "no column 'up_to' in steps.csv"),
        ("up_to,limit\n1 t,300\n2 t,40 kg\n", "cells of steps.csv that are no amounts of one kind"),
        ("up_to,limit\n1 t,\n", "cells of steps.csv that are no amounts of one kind"),
        ("up_to,limit\n3 m,300 kg\n", "a mass, while the table goes by a length"),
        ("up_to,limit\n1 t,3 m\n", "a length against a mass"),
    ],
)  # fmt: skip
def test_a_table_that_does_not_fit(tmp_path, csv, found):
    with pytest.raises(FileProblems) as caught:
        regulation.load(with_table(tmp_path, csv))
    assert [p.found for p in caught.value.problems] == [found]


def test_a_file_that_is_not_there_or_no_text(tmp_path):
    (tmp_path / "us-wy.yaml").write_bytes(b"\xff\xfe")
    for name, found in (("us-id.yaml", "no readable file"), ("us-wy.yaml", "the byte 0xff")):
        with pytest.raises(FileProblems) as caught:
            regulation.load(tmp_path / name)
        assert found in caught.value.problems[0].found


# --- places ------------------------------------------------------------------------------------------------------------


def test_a_place_lies_in_others():
    assert places.within("us-fl") == ("us", "us-fl")
    assert places.within("de") == ("eu", "de")
    assert places.within("gb-sct") == ("gb", "gb-sct")
    assert places.within("eu") == ("eu",)


def test_the_lists_of_places():
    # ISO 3166-1 has 249 officially assigned two-letter codes; the union has 27 members; 50 states, the district, six areas
    assert {name: len(codes) for name, codes in places.listed().items()} == {
        "countries": 249, "eu": 27, "us": 57, "ca": 13, "au": 8, "gb": 4,
    }  # fmt: skip
    assert places.listed()["eu"] <= places.listed()["countries"]
    assert places.known("nz-auk") and places.known("eu") and not places.known("us-xx") and not places.known("uk")
    assert places.meant("uk") == "gb"
