"""Options: merge patches after RFC 7396, places that stay the owner's own, other files, certificates."""

import json

import pytest
from rigs import POUND

from rigmargin.spec import document as documents
from rigmargin.spec import options, patch, variants
from rigmargin.spec.document import Document
from rigmargin.spec.problem import FileProblems

#: The examples of RFC 7396, appendix A: original, patch, result. Those whose original or patch is no object cannot be rig
#: files; those that take away what is not there are refused here (an owner has misspelt it), and are tested below.
RFC_7396 = [
    ({"a": "b"}, {"a": "c"}, {"a": "c"}),
    ({"a": "b"}, {"b": "c"}, {"a": "b", "b": "c"}),
    ({"a": "b"}, {"a": None}, {}),
    ({"a": "b", "b": "c"}, {"a": None}, {"b": "c"}),
    ({"a": ["b"]}, {"a": "c"}, {"a": "c"}),
    ({"a": "c"}, {"a": ["b"]}, {"a": ["b"]}),
    ({"a": [{"b": "c"}]}, {"a": [1]}, {"a": [1]}),
    ({"e": None}, {"a": 1}, {"e": None, "a": 1}),
]


def document(data, file="a.yaml"):
    return documents.parse(json.dumps(data), file)


def considered(change, *, more=None, **parts):
    content = {
        "rig": 1,
        "name": "a test",
        "tow_vehicle": {"gvwr": "7000 lb", "axles": {"rear": {"gawr": "3900 lb"}}, **parts.get("tow_vehicle", {})},
        "coupling": {"kind": "weight_carrying"},
        "trailer": {"gvwr": "4500 lb", "load": {"generator": {"mass": "120 lb", "at": "3 ft"}}},
        "options": {"one": {"change": change}, **(more or {})},
    }
    return variants.of(document(content, parts.get("file", "a.yaml")))


@pytest.mark.parametrize(("original", "change", "result"), RFC_7396)
def test_the_examples_of_the_standard(original, change, result):
    made, problems = patch.laid_over(document({**original, "patch": change}), change, ("patch",))
    assert problems == []
    assert {key: value for key, value in made.data.items() if key != "patch"} == result


def test_what_is_not_there_cannot_be_taken_away():
    change = {"a": {"bb": {"ccc": None}}}  # RFC 7396 lets this pass; here it is a slip of the pen
    _, problems = patch.laid_over(document({"patch": change}), change, ("patch",))
    assert [(p.path, p.found) for p in problems] == [("patch.a.bb.ccc", "'ccc' taken away, which is not there")]


def test_what_a_patch_writes_stands_where_the_patch_wrote_it():
    text = "a: {b: 1, c: 2}\npatch:\n  a:\n    b: 5\n"
    base = documents.parse(text, "a.yaml")
    made, _ = patch.laid_over(base, base.data["patch"], ("patch",))
    assert made.data["a"] == {"b": 5, "c": 2}
    assert made.place(("a", "b")) == (4, 8)
    assert made.place(("a", "c")) == (1, 14)
    assert made.problem(("a", "b"), "x", "y", "z").path == "patch.a.b"
    assert made.problem(("a", "b", "deeper"), "x", "y", "z").path == "patch.a.b.deeper"


def test_a_label_word_in_a_change_is_the_field_itself():
    one = considered({"trailer": {"atm": "4000 lb"}, "tow_vehicle": {"axles": {"rear": {"tires": {"count": 2}}}}})
    made = one.with_options(["one"]).rig
    assert made.get("tow_vehicle.axles.rear.tyres.count").value == 2
    assert made.words["tow_vehicle.axles.rear.tyres"] == "tires"
    assert made.words["tow_vehicle.max_mass"] == "gvwr"


def pounds(rig, path):
    stated = rig.get(path)
    return stated and round(stated.number / POUND, 3)


PAPER = {"kind": "re-rating", "number": "A 17", "authority": "a county", "date": "2026-02-01"}


@pytest.mark.parametrize(
    ("change", "path", "found", "refused"),
    [
        ({"gvwr": "7600 lb"}, "tow_vehicle.max_mass", 7000, "tow_vehicle.gvwr 7600 lb"),
        ({"gvwr": {"value": "7600 lb", "source": "component_label"}}, "tow_vehicle.max_mass", 7000, "tow_vehicle.gvwr 7600 lb"),
        ({"gvwr": "6500 lb"}, "tow_vehicle.max_mass", 7000, "tow_vehicle.gvwr 6500 lb"),
        ({"gvwr": None}, "tow_vehicle.max_mass", 7000, "tow_vehicle.max_mass taken away"),
        ({"payload": "1900 lb"}, "tow_vehicle.payload", None, "tow_vehicle.payload 1900 lb"),
        (
            {"axles": {"rear": {"gawr": "4500 lb"}}},
            "tow_vehicle.axles.rear.max_load",
            3900,
            "tow_vehicle.axles.rear.gawr 4500 lb",
        ),
        (
            {"max_trailer_mass": {"braked": "6000 lb"}},
            "tow_vehicle.max_trailer_mass.braked",
            None,
            "tow_vehicle.max_trailer_mass braked 6000 lb",
        ),
        ({"gvwr": {"value": "7600 lb", "certificate": PAPER}}, "tow_vehicle.max_mass", 7600, None),
        ({"gvwr": "7000.00 lb"}, "tow_vehicle.max_mass", 7000, None),
    ],
)
def test_a_rating_is_changed_by_its_certificate_and_by_nothing_else(change, path, found, refused):
    made = considered({"tow_vehicle": change}).with_options(["one"]).rig
    assert pounds(made, path) == found
    assert made.refused == (() if refused is None else (refused,))


def test_a_certificate_for_one_rating_leaves_the_others():
    change = {"tow_vehicle": {"gvwr": {"value": "7600 lb", "certificate": PAPER}, "axles": {"rear": {"gawr": "4500 lb"}}}}
    made = considered(change).with_options(["one"]).rig
    assert pounds(made, "tow_vehicle.max_mass") == 7600
    assert pounds(made, "tow_vehicle.axles.rear.max_load") == 3900
    assert made.get("tow_vehicle.max_mass").source == "certificate"
    assert made.get("tow_vehicle.max_mass").ref == "re-rating A 17, a county"
    assert made.refused == ("tow_vehicle.axles.rear.gawr 4500 lb",)


@pytest.mark.parametrize(
    ("before", "after", "kept"),
    [
        ({"braked": "5000 lb", "unbraked": "1600 lb"}, {"braked": "6000 lb"}, {"braked": 5000, "unbraked": 1600}),
        ({"braked": "5000 lb"}, {"braked": {"value": "6000 lb", "certificate": PAPER}}, {"braked": 6000}),
        ({"braked": "5000 lb", "unbraked": "1600 lb"}, {"unbraked": None}, {"braked": 5000, "unbraked": 1600}),
        ("5000 lb", {"braked": "6000 lb"}, {"": 5000, "braked": None}),
    ],
)
def test_of_a_limit_with_rows_each_row_needs_its_certificate(before, after, kept):
    change = {"tow_vehicle": {"max_trailer_mass": after}}
    one = considered(change, tow_vehicle={"max_trailer_mass": before})
    made = one.with_options(["one"]).rig
    base = "tow_vehicle.max_trailer_mass"
    assert {row: pounds(made, f"{base}.{row}" if row else base) for row in kept} == kept


@pytest.mark.parametrize(
    ("before", "first", "second"),
    [
        # a certificate speaks of the figure beside which it stands, and of no other that comes later
        ({"value": "7000 lb", "certificate": PAPER}, None, {"value": "8000 lb", "source": "component_label"}),
        ("7000 lb", {"value": "7000 lb", "certificate": PAPER}, {"value": "8000 lb"}),
        ({"value": "7000 lb"}, {"certificate": PAPER}, {"value": "8000 lb"}),
    ],
)
def test_a_certificate_is_not_inherited_by_another_figure(before, first, second):
    more = {"later": {"needs": ["one"], "change": {"tow_vehicle": {"gvwr": second}}}}
    one = considered({"tow_vehicle": {"gvwr": first}} if first else {"note": "x"}, more=more, tow_vehicle={"gvwr": before})
    made = one.with_options(["one", "later"]).rig
    assert pounds(made, "tow_vehicle.max_mass") == 7000
    assert made.refused == ("tow_vehicle.gvwr 8000 lb",)


@pytest.mark.parametrize("field", ["unloaded", "wheelbase"])
def test_what_is_measured_on_a_vehicle_is_no_option(field):
    value = {"unloaded": "5000 lb", "wheelbase": "3.6 m"}[field]
    for change in (value, None):
        with pytest.raises(FileProblems) as caught:
            considered({"tow_vehicle": {field: change}}, tow_vehicle={field: value})
        (problem,) = caught.value.problems
        assert problem.found == f"'{field}', which is known of the vehicle as it stands"


@pytest.mark.parametrize("change", [{"weighings": None}, {"weighings": []}, {"coupling_load": None}])
def test_evidence_is_not_taken_away(change):
    with pytest.raises(FileProblems) as caught:
        considered(change)
    assert "what is known stays known" in str(caught.value.problems[0])


@pytest.mark.parametrize("value", [None, 5, [], "junk", "form truck.yaml", "from "])
@pytest.mark.parametrize("part", ["tow_vehicle", "trailer"])
def test_rubbish_in_the_place_of_a_vehicle_is_refused(part, value):
    with pytest.raises(FileProblems) as caught:
        considered({part: value})
    assert any(f"options.one.change.{part}" in p.path or part in p.found + p.path for p in caught.value.problems)


@pytest.mark.parametrize("axles", [5, {"rear": 7}, []])
def test_rubbish_above_a_rating_is_refused(axles):
    with pytest.raises(FileProblems) as caught:
        considered({"tow_vehicle": {"axles": axles}})
    assert all(p.path.startswith("options.one.change.tow_vehicle.axles") for p in caught.value.problems)


def test_a_problem_that_an_option_makes_elsewhere_is_told_at_the_option():
    seats = {"stations": {"seats": "80 in"}, "load": {"driver": {"mass": "190 lb", "at": "seats", "person": "yes"}}}
    with pytest.raises(FileProblems) as caught:
        considered({"tow_vehicle": {"stations": {"seats": None}}}, tow_vehicle=seats)
    (problem,) = caught.value.problems
    assert problem.path == "options.one.change"
    assert "tow_vehicle.load.driver.at (line 1)" in problem.found


def test_a_file_that_cannot_be_looked_at_is_a_problem_and_no_traceback():
    with pytest.raises(FileProblems) as caught:
        considered({"tow_vehicle": {"from": "x" * 300 + ".yaml"}})
    assert "cannot be opened" in str(caught.value.problems[0])


TRUCK = """\
rig: 1
name: the other truck
tow_vehicle:
  gvwr: 9900 lb
  payload: 3100 lb
  load: {driver: {mass: 190 lb, person: yes}}
coupling: {kind: weight_carrying}
trailer: {}
"""


def test_another_files_vehicle_comes_whole_and_can_be_changed_further(tmp_path):
    (tmp_path / "truck.yaml").write_text(TRUCK)
    file = str(tmp_path / "mine.yaml")
    plain = considered({"tow_vehicle": "from truck.yaml"}, file=file).with_options(["one"])
    assert plain.replaced == {"tow_vehicle"}
    assert pounds(plain.rig, "tow_vehicle.max_mass") == 9900
    assert plain.rig.get("tow_vehicle.axles.rear.max_load") is None, "nothing of today's vehicle stays"
    assert plain.rig.refused == (), "another vehicle has its own ratings"
    assert (plain.rig.get("tow_vehicle.payload").line, plain.rig.get("tow_vehicle.payload").file) == (5, "truck.yaml")
    crew = {"load": {"child": {"mass": "60 lb", "person": "yes"}}}
    more = considered({"tow_vehicle": {"from": "truck.yaml", **crew}}, file=file).with_options(["one"])
    assert [item.name for item in more.rig.tow_items] == ["driver", "child"]
    assert more.rig.get("tow_vehicle.load.child.mass").file == ""


def test_a_rating_laid_over_another_files_vehicle_needs_its_certificate_too(tmp_path):
    (tmp_path / "truck.yaml").write_text(TRUCK)
    file = str(tmp_path / "mine.yaml")
    made = considered({"tow_vehicle": {"from": "truck.yaml", "gvwr": "12000 lb"}}, file=file).with_options(["one"]).rig
    assert (pounds(made, "tow_vehicle.max_mass"), made.refused) == (9900, ("tow_vehicle.gvwr 12000 lb",))
    assert made.words["tow_vehicle.max_mass"] == "gvwr"


def test_a_mistake_in_the_other_file_is_told_there(tmp_path):
    (tmp_path / "truck.yaml").write_text(TRUCK.replace("9900 lb", "9900"))
    with pytest.raises(FileProblems) as caught:
        considered({"tow_vehicle": "from truck.yaml"}, file=str(tmp_path / "mine.yaml"))
    (problem,) = caught.value.problems
    assert (problem.file.rpartition("/")[2], problem.line, problem.path) == ("truck.yaml", 4, "tow_vehicle.gvwr")


@pytest.mark.parametrize(
    ("name", "content", "found"),
    [
        ("/etc/hostname", None, "outside this file's folder"),
        ("../truck.yaml", TRUCK, "outside this file's folder"),
        ("link.yaml", "link", "outside this file's folder"),
        ("mine.yaml", None, "which is this very file"),
        ("./sub/../mine.yaml", None, "which is this very file"),
        ("none.yaml", None, "which is no file"),
        (".", None, "which is no file"),
        ("truck.yaml", TRUCK.replace("tow_vehicle:\n", "tow: \n"), "no mapping tow_vehicle"),
        ("truck.yaml", "tow_vehicle: from mine.yaml\n", "a tow_vehicle from yet another file"),
        ("truck.yaml", "a: [\n", "truck.yaml:"),
    ],
)
def test_a_file_that_cannot_stand_in_is_refused(tmp_path, name, content, found):
    folder = tmp_path / "mine"
    (folder / "sub").mkdir(parents=True)
    (folder / "mine.yaml").write_text("name: mine\n")
    if content == "link":
        (tmp_path / "truck.yaml").write_text(TRUCK)
        (folder / name).symlink_to(tmp_path / "truck.yaml")
    elif content:
        (folder / name).write_text(content)
    with pytest.raises(FileProblems) as caught:
        considered({"tow_vehicle": {"from": name}}, file=str(folder / "mine.yaml"))
    said = " ".join(map(str, caught.value.problems))
    assert found in said


def test_options_come_after_what_they_need_and_apart_from_what_they_exclude():
    gone = {"trailer": {"load": {"generator": None}}}
    more = {
        "back": {"change": gone},
        "rent": {"needs": ["one"], "change": {"trailer": {"load": {"rented": {"mass": "60 lb", "at": "6 ft"}}}}},
        "stay": {"excludes": ["rent"], "change": {"note": "stay"}},
    }
    one = considered({"trailer": {"load": {"generator": {"at": "9 ft"}}}}, more=more)
    assert one.apart("one", "back") == "both change trailer.load.generator"
    assert one.apart("stay", "rent") == one.apart("rent", "stay") == "'stay' excludes 'rent'"
    assert one.apart("one", "rent") == ""
    assert [i.name for i in one.with_options(["rent", "one"]).rig.trailer_items] == ["generator", "rented"]
    assert options.with_needs(one.document, "rent") == ("one", "rent")


def test_the_same_value_written_twice_is_no_contradiction():
    same = {"trailer": {"load": {"generator": {"at": "9 ft"}}}}
    one = considered(same, more={"again": {"change": same}})
    assert one.apart("one", "again") == ""


def test_a_broken_option_is_told_with_every_other_mistake_of_the_file():
    text = (
        TRUCK.replace("9900 lb", "9900")
        + "options:\n  a: {change: {tow_vehicle: {payload: 3}}}\n  b: {change: {trailer: {x: 1}}}\n"
    )
    with pytest.raises(FileProblems) as caught:
        variants.of(documents.parse(text, "a.yaml"))
    assert [(p.line, p.path) for p in caught.value.problems] == [
        (4, "tow_vehicle.gvwr"),
        (10, "options.a.change.tow_vehicle.payload"),
        (11, "options.b.change.trailer.x"),
    ]


def test_a_documents_own_path_is_told_where_nothing_was_renamed():
    plain = Document("a.yaml", {}, {}, {})
    assert plain.as_written(("a", "b")) == ("a", "b")
    assert plain.file_of(("a",)) == "a.yaml"


@pytest.mark.parametrize(
    ("data", "named"),
    [
        (
            {"options": {"a": {"change": {"tow_vehicle": "from b.yaml"}}, "c": {"change": {"trailer": {"from": "d.yaml"}}}}},
            ("b.yaml", "d.yaml"),
        ),
        ({"options": {"a": {"change": {"tow_vehicle": "from b.yaml", "trailer": "from b.yaml"}}}}, ("b.yaml",)),
        ({"options": {"a": {"change": {"tow_vehicle": {"gvwr": "1 t"}}}}}, ()),
        ({"options": ["from b.yaml"]}, ()),
        ({"options": {"a": "from b.yaml", "b": {"change": "from b.yaml"}, "c": {"change": {"trailer": {"from": 3}}}}}, ()),
        (["options"], ()),
        (None, ()),
    ],
)
def test_the_other_files_that_options_name_are_found_in_sound_data_and_in_none_that_is_not(data, named):
    assert options.other_files(data) == named
