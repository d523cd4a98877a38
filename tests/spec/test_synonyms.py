"""The owner's label words: the same rig as by the canonical names, each at its own place, never both."""

import copy

import pytest
import yaml
from spec.small import TEXT, changed, problems

from rigmargin.spec import document, schema, synonyms
from rigmargin.spec.rig import parse
from rigmargin.spec.schema import catalogue, synonym_table

PLAIN = changed(
    ("tires: {", "tyres: {"), ("  gvwr: {value", "  max_mass: {value"), ("towing_limit", "max_trailer_mass"),
    ("kerb:", "unloaded:"),
    ("front: {gawr", "front: {max_load"), ("rear: {gawr", "rear: {max_load"), ("gvwr: 4500", "max_mass: 4500"),
    ("tare:", "unloaded:"), ("number: 2, gawr", "number: 2, max_load"), ("pin_weight: 450", "coupling_load: 450"),
)  # fmt: skip


def test_synonyms_give_the_same_rig_as_the_canonical_names():
    words, plain = parse(TEXT, "f.yaml"), parse(PLAIN, "f.yaml")
    assert words.stated == plain.stated
    assert words.tow_items == plain.tow_items
    assert words.weighings == plain.weighings
    assert (words.tow_unloaded, words.trailer_unloaded) == (plain.tow_unloaded, plain.trailer_unloaded)
    assert plain.words == {}
    assert words.words == {
        "tow_vehicle.max_mass": "gvwr", "tow_vehicle.max_trailer_mass": "towing_limit", "tow_vehicle.unloaded": "kerb",
        "tow_vehicle.axles.front.max_load": "gawr", "tow_vehicle.axles.rear.max_load": "gawr",
        "tow_vehicle.axles.front.tyres": "tires", "trailer.max_mass": "gvwr", "trailer.unloaded": "tare",
        "trailer.axles.tandem.max_load": "gawr", "coupling_load": "pin_weight",
    }  # fmt: skip


#: What fits a field that is no mass, or cannot be as heavy as the others.
VALUES = {
    "tyres": {"count": 2},
    "spare_tyre": {"size": "ST205/75R14"},
    "payload": "900 kg",
    "d_value": "9 kN",
    "dc_value": "9 kN",
    "v_value": "9 kN",
}


def every_synonym():
    for path, node in {"": schema.load(), **catalogue()}.items():
        for synonym, field in synonym_table(node).items():
            yield pytest.param(path.replace("*", "tandem"), synonym, field, id=f"{path}.{synonym}")


@pytest.mark.parametrize(("path", "synonym", "field"), list(every_synonym()))
def test_every_synonym_is_its_field_and_both_at_once_is_an_error(path, synonym, field):
    def build(*names):
        data = {"rig": 1, "name": "x", "tow_vehicle": {}, "coupling": {"kind": "gooseneck"}, "trailer": {}}
        value = VALUES.get(field, "1500 kg")
        place = data
        for part in path.split(".") if path else ():
            place = place.setdefault(part, {})
        place.update({name: copy.copy(value) for name in names})
        return yaml.dump(data, sort_keys=False)

    full = f"{path}.{field}" if path else field
    named, plain = parse(build(synonym), "f.yaml"), parse(build(field), "f.yaml")
    assert named.words == {full: synonym}
    assert {key: s.value for key, s in named.stated.items()} == {key: s.value for key, s in plain.stated.items()}
    assert any(key.startswith(full) for key in named.stated)
    (problem,) = problems(build(field, synonym))
    assert problem.found == f"'{field}' and '{synonym}', which mean the same"
    assert problem.cure == f"keep one of '{field}' and '{synonym}'"
    assert problem.path.endswith(synonym), "the second of the two is the one pointed at"


def test_positions_survive_renaming():
    before = document.parse(TEXT, "f.yaml")
    after, words, twice = synonyms.canonical(before)
    assert not twice
    assert len(words) == 10
    assert after.place(("tow_vehicle", "max_mass", "value")) == before.place(("tow_vehicle", "gvwr", "value")) == (8, 17)
    assert after.keys["trailer", "axles", "tandem", "max_load"] == before.keys["trailer", "axles", "tandem", "gawr"]
    assert sorted(after.values.values()) == sorted(before.values.values())
    lines = TEXT.splitlines()
    for path, figure in parse(TEXT, "f.yaml").stated.items():
        if path.endswith((".tyres.type", ".tyre_sizes", ".tyre_indices")):
            continue  # read from the size and the load index, on whose line it stands
        word = words.get(path, path.rpartition(".")[2].partition("[")[0])
        assert word in lines[figure.line - 1], path


def test_a_problem_names_the_field_by_the_owners_own_word():
    (problem,) = problems(changed(("rear: {gawr: 3900 lb}", "rear: {gawr: 99000 lb}")))
    assert problem.path == "tow_vehicle.axles.rear.gawr"
