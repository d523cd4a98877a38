"""What is said of wrong files: everything at once, in order, each mistake once, in words that help."""

import pytest
from spec.small import changed, problems

from rigmargin.judge.run import judge
from rigmargin.report import write
from rigmargin.spec import document, references, stated
from rigmargin.spec.fields import Field
from rigmargin.spec.problem import FileProblems
from rigmargin.spec.rig import load, parse
from rigmargin.spec.schema import catalogue

MANY = changed(
    ("date: 2026-06-01", "date: 1 June 2026"),  # line 4, schema
    ("  kind: pickup", "  kind: &k pickup"),  # 7, structure
    ("wheelbase: 145 in", "wheelbase: 145"),  # 10, schema: quantity
    ("rear: {gawr: 3900 lb}", "rear: {gawr: 99000 lb}"),  # 14, implausible
    ("    driver:", "    driver: {mass: 1 lb}\n    driver:"),  # 18, duplicate key
    ("at: 1 ft 6 in", "at: bad"),  # 19, reference
    ("hardware_mass: 40 lb", "hardware_mass: 40 lbs"),  # 22, schema: quantity
    ("kind: utility", "knid: utility"),  # 26, unknown field
    ("front: 3100 lb, rear: 3600 lb, increment: 20 lb", "front: 3100 lb, rear: 3600 lb, coupling: 9 lb"),  # 34, two
    ("aboard: [tool box]", "aboard: [tol box]"),  # 35, reference
)


def test_every_problem_of_a_file_is_told_at_once_in_order():
    found = problems(MANY)
    assert [(p.line, p.path) for p in found] == [
        (4, "date"),
        (7, "tow_vehicle.kind"),
        (10, "tow_vehicle.wheelbase"),
        (14, "tow_vehicle.axles.rear.gawr"),
        (18, "tow_vehicle.load.driver"),
        (19, "tow_vehicle.load.tool box.at"),
        (22, "coupling.hardware_mass"),
        (26, "trailer.knid"),
        (34, "weighings[0].increment"),
        (34, "weighings[0].coupling"),
        (35, "weighings[1].aboard[0]"),
    ]
    assert list(found) == sorted(found)


def test_the_exception_reads_as_one_line_a_problem():
    with pytest.raises(FileProblems) as caught:
        parse(MANY, "f.yaml")
    lines = str(caught.value).splitlines()
    assert len(lines) == len(caught.value.problems) == 11
    assert lines[2] == (
        "f.yaml:10:14: tow_vehicle.wheelbase: found the bare number 145; expected a length such as 158 in or 4.01 m; "
        "add the unit the label uses: 145 m or 145 in"
    )


@pytest.mark.parametrize(
    ("old", "new", "expected", "cure"),
    [
        ("name: Brook Lane pair", "name: 142", "text", 'put it in quotes: "142"'),
        ("at: 7 ft", "at: 7", "a station's name or a length such as 158 in or 4.01 m",
         "add the unit the label uses: 7 m or 7 in"),
        ("filled: 1/3", "filled: 0.5", "how full the tank is, from empty to full", "write full, empty, 1/3, 40 % or 20 gal"),
        ("cost: 240 USD", "cost: 240", "the owner's own figure with its currency, for example 240 USD",
         "write it like this: 240 USD or 1150 EUR"),
        ("number: 2", "number: two", "a whole number", "write digits only"),
        ("number: 2", "number: 7", "a whole number from 1 to 4", "check the figure"),
        ("rig: 1", "rig: one", "1", "write 1, if that is meant"),
        ("name: Brook Lane pair", "name: ''", "at least something", "write it, or delete the line"),
        ("name: Brook Lane pair", f"name: {'x' * 121}", "at most 120", "shorten it"),
        ("places: [us, us-co]", "places: us", "a list", "begin each entry on its own line with '- ', or write [ ] around them"),
        ("places: [us, us-co]", "places: [us, us]", "each entry once", "delete the repeated entry"),
        ("kind: utility", "kind: [utility]",
         "one of travel_trailer, caravan, fifth_wheel, gooseneck, utility, boat, horse, car_hauler, cargo, other",
         "write utility, if that is meant"),
        ("aboard: all", "aboard: null", "text or a list", "write the value, or delete the line if it is not known"),
        ("towing_limit: {weight_carrying: 5000 lb, weight_distributing: {value: 9000 lb, source: manual}}",
         "towing_limit: {speaks_of: axles}", "one figure, or one for each use", "add value: … or a row such as braked: …"),
    ],
)  # fmt: skip
def test_what_is_said_of_a_wrong_value(old, new, expected, cure):
    (problem,) = problems(changed((old, new)))
    assert (problem.expected, problem.cure) == (expected, cure)


def test_several_missing_fields_of_one_mapping_are_each_told():
    text = changed(("fresh water: {holds: water, volume: 20 gal, filled: 1/3, at: 7 ft}", "fresh water: {at: 7 ft}"))
    assert [p.found for p in problems(text)] == ["no field 'filled'", "no field 'holds'", "no field 'volume'"]


def test_an_empty_mapping_lacks_everything():
    assert [p.path for p in problems("{}\n")] == ["coupling", "name", "rig", "tow_vehicle", "trailer"]


def test_a_mistake_is_told_once():
    for text in (MANY, changed(("person: yes", "person: true")), changed(("rig: 1", "rig: one"))):
        found = [(p.line, p.column, p.path) for p in problems(text)]
        assert len(found) == len(set(found))


@pytest.mark.parametrize(
    ("old", "new", "found", "cure"),
    [
        ("volume: 20 gal, filled: 1/3", "volume: {value: 20 gal}, filled: 80 L", "'80 L'", "check the filling and the volume"),
        ("axles: {tandem:", "axles: {source: {gawr: 3000 lb}, tandem:", "an axle named 'source'",
         "name the axle by its place, such as tandem"),
        ("rear: 3600 lb, inc", "rear: 3600 lb, trailer_axles: {value: 90 lb, tandem: 90 lb}, inc",
         "the axle 'tandem' beside a value for all",
         "keep the one figure, or one for each axle"),
        ("pin_weight: 450 lb", "gtw: 450 lb", "'gtw', which means the trailer in one country and the whole train in another",
         "write the one the label means"),
        ("pin_weight: 450 lb", "GTW: 450 lb", "'gtw', which means the trailer in one country and the whole train in another",
         "write the one the label means"),
        ("increment: 20 lb", "increment: 2000 lb", "'2000 lb'", "check the digits and the unit"),
        ("gvwr: 4500 lb", "gvwr: 4.500 kg", "'4.500 kg'", "write 4500 kg if the point marks thousands"),
        ("hardware_mass: 40 lb", "hardware_mass: 18.144 kg", None, None),  # the other reading, 18144 kg, is no hitch's
    ],
)  # fmt: skip
def test_what_reads_well_and_cannot_be_meant(old, new, found, cure):
    text = changed((old, new))
    if found is None:
        assert parse(text, "f.yaml").get("coupling.hardware_mass").number == 18.144
        return
    (problem,) = problems(text)
    assert (problem.found, problem.cure) == (found, cure)


def test_a_range_includes_its_ends():
    ends = [end for node in catalogue().values() if "x-range" in node for end in node["x-range"]]
    assert len(ends) > 100
    for path, node in catalogue().items():
        if "x-range" in node:
            empty = document.parse("a: 1\n", "f.yaml")
            for end in node["x-range"]:
                assert not list(stated.implausible(empty, (), end, Field(node))), (path, end)


@pytest.mark.parametrize("state", ["alone", "coupled", "coupled_distributing", "trailer_alone", "trailer_on_jack"])
def test_each_state_takes_its_readings_and_no_others(state):
    for reading in sorted(references.ALL_READINGS):
        ticket = f"aboard: all}}\n  - {{state: {state}, {reading}: 900 lb, increment: 20 lb}}"
        text = changed(("aboard: [tool box]}", ticket), ("kind: weight_carrying", "kind: weight_distributing"))
        if reading in references.READINGS[state]:
            assert reading in parse(text, "f.yaml").weighings[2].readings
        else:
            (problem,) = problems(text)
            assert problem.found == f"the reading '{reading}' with state: {state}"


def test_the_states_are_the_schemas():
    assert references.READINGS.keys() == set(catalogue()["weighings[].state"]["enum"])


@pytest.mark.parametrize("value", ["[manual]", "{a: b}", "12", "null", "true"])
@pytest.mark.parametrize("about", ["source", "ref", "read_on", "plus_or_minus"])
def test_whatever_stands_where_evidence_belongs_is_refused_at_its_place(about, value):
    text = changed(("wheelbase: 145 in", f"wheelbase: {{value: 145 in, {about}: {value}}}"))
    (problem,) = problems(text)
    assert (problem.path, problem.line) == (f"tow_vehicle.wheelbase.{about}", 10)
    assert text.splitlines()[9][problem.column - 1 :].startswith(value)


@pytest.mark.parametrize(
    ("old", "new", "place", "path"),
    [
        ("name: Brook Lane pair", "name: 'The {word:ball} pair'", (2, 7), "name"),
        ("tool box: {mass: 120 lb", "'{Words:tyre}': {mass: 120 lb", (18, 5), "tow_vehicle.load.{Words:tyre}"),
        ("trailer:\n  kind", "trailer:\n  note: 'a {word:ball} and a {word:tyre}'\n  kind", (25, 9), "trailer.note"),
    ],
)  # fmt: skip
def test_a_text_that_would_be_shown_as_another_is_refused(old, new, place, path):
    found = [p for p in problems(changed((old, new))) if "mark" in p.found]
    assert [(p.line, p.column, p.path, p.cure) for p in found] == [(*place, path, "write the word itself")]


@pytest.mark.parametrize("name", ["{word:}", "{word:no_such_term}", "{mass:12.5}", "{{subject}}", "word: ball"])
def test_a_text_with_other_braces_is_taken_and_shown_as_it_is(name):
    rig = parse(changed(("name: Brook Lane pair", f"name: '{name}'")), "f.yaml")
    assert f"<h1>{name}</h1>" in write.FORMATS[".html"](judge(rig), "rig")


def test_a_mark_in_a_files_escapes_is_found_too(tmp_path):
    file = tmp_path / "rig.yaml"
    file.write_text(changed(("name: Brook Lane pair", 'name: "{w\\x6frd:ball}"')), "utf-8")
    with pytest.raises(FileProblems) as caught:
        load(file)
    assert [p.found for p in caught.value.problems] == ["a mark for the regional word 'ball'"]
