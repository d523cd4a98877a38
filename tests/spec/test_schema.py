"""The rig schema: a valid schema, with every field explained, ranged and matched to the units and synonyms in the code."""

import re

import jsonschema
import pytest
from spec.small import problems

from rigmargin.spec import schema, units, validate
from rigmargin.spec.schema import catalogue, synonym_table

RIG = schema.load()


def objects(node=RIG, at="rig"):
    """Every part of the schema that has properties, with a name for messages."""
    if isinstance(node, dict):
        if "properties" in node and isinstance(node["properties"], dict):
            yield at, node
        for key, child in node.items():
            yield from objects(child, f"{at}/{key}")


PROPERTIES = [
    pytest.param(name, child, id=f"{at}/{name}")
    for at, node in objects(schema.rig())
    for name, child in node["properties"].items()
]
FIELDS = [pytest.param(path, node, id=path) for path, node in catalogue().items()]


def test_it_is_a_valid_schema():
    jsonschema.Draft202012Validator.check_schema(RIG)
    assert RIG["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_it_says_something_of_each_of_many_fields():
    assert len(PROPERTIES) > 200
    assert {"tow_vehicle.axles.front.max_load", "weighings[].trailer_axles.*", "trailer.tanks.*.filled"} <= catalogue().keys()


@pytest.mark.parametrize(("name", "node"), PROPERTIES)
def test_every_property_is_explained(name, node):
    """What it is, and where it is printed or how it is measured: at least two sentences."""
    assert node["title"]
    assert node["title"][0].isupper()
    sentences = re.split(r"\. (?=[A-Z])", node["description"])
    assert len(sentences) >= 2, node["description"]
    assert node["description"].endswith(".")
    assert all(sentence[0].isupper() for sentence in sentences)


#: Quantities without a range of their own, with the reason.
NO_RANGE = {
    "value": "a figure's range stands beside the field whose value it is",
    "plus_or_minus": "how well a figure is known has no plausible range beyond not being negative",
    **dict.fromkeys(schema.ROWS, "a row of a limit takes the limit's own range"),
}
RANGED = ("mass", "length", "pressure", "volume", "speed", "force", "ratio", "stiffness", "area")


@pytest.mark.parametrize(
    ("name", "node"),
    [case for case in PROPERTIES if case.values[1].get("x-dimension") in RANGED and case.values[0] not in NO_RANGE],
)
def test_every_quantity_has_a_plausible_range(name, node):
    low, high = (units.parse(text, node["x-dimension"]).si for text in node["x-range"])
    assert low < high
    assert low >= 0 or node.get("x-signed"), "a negative end needs x-signed"
    assert not node.get("x-signed") or low < 0


@pytest.mark.parametrize("row", schema.ROWS)
def test_a_row_takes_the_limits_range(row):
    text = (
        "rig: 1\nname: x\ncoupling: {kind: gooseneck}\ntrailer: {}\n"
        f"tow_vehicle: {{max_trailer_mass: {{{row}: 99000 kg}}, max_coupling_load: {{{row}: 6000 kg}}}}\n"
    )
    assert [p.expected.split(" (")[0] for p in problems(text)] == ["100 to 20000 kg", "20 to 5000 kg"]


def test_only_fields_that_may_be_negative_accept_a_minus():
    signed = {path for path, node in catalogue().items() if node.get("x-signed")}
    assert signed == {
        "trip.highest_point", "tow_vehicle.coupling_behind_rear_axle", "tow_vehicle.stations.*", "trailer.stations.*",
    }  # fmt: skip


# --- patterns ----------------------------------------------------------------------------------------------------------


def quantities():
    return [
        pytest.param(node, id=name) for name, node in RIG["$defs"].items() if "x-dimension" in node and name != "axleReadings"
    ]


@pytest.mark.parametrize("node", quantities())
def test_the_patterns_know_the_same_units_as_the_code(node):
    (listed,) = re.findall(r"\(([a-zA-Z%][a-zA-Z23_/%]*(?:\|[a-zA-Z%][a-zA-Z23_/%]*)*)\)", node["pattern"])
    assert tuple(listed.split("|")) == units.UNITS[node["x-dimension"]]


TEXTS = ["9900 lb", "3.1 t", "-2 in", "4 ft 6 in", "-4 ft 6 in", "0 kg", "00 kg", "9,900 lb", "9900", "9900lb", "9900  lb",
         "80 psi", "5.5 bar", "60 gal", "60 imp_gal", "65 mph", "12 %", "12.5 kN", "20 degC", ".5 t", "5. t", "+5 kg", "nan kg",
         "1e3 kg", "3 ton", "9900 lb\n", "\u0663 kg"]  # fmt: skip


@pytest.mark.parametrize("node", quantities())
@pytest.mark.parametrize("text", TEXTS)
def test_an_editor_that_knows_only_the_pattern_agrees_with_the_code(node, text):
    try:
        units.parse(text, node["x-dimension"])
        accepted = True
    except units.NotAQuantity:
        accepted = False
    signed = node["x-dimension"] in ("length", "temperature")  # elsewhere the code refuses the minus with its own message
    matched = re.search(node["pattern"].removesuffix("$") + r"\Z", text) is not None
    assert matched == accepted or (text.startswith("-") and not signed)


def patterns(node=RIG):
    if isinstance(node, dict):
        if isinstance(node.get("pattern"), str):
            yield node["pattern"]
        for child in node.values():
            yield from patterns(child)
    elif isinstance(node, list):
        for child in node:
            yield from patterns(child)


def test_patterns_are_anchored_and_take_ascii_digits_only():
    found = set(patterns())
    assert len(found) > 10
    for pattern in found:
        assert pattern.startswith("^"), pattern
        assert pattern.endswith("$"), pattern
        assert not re.search(r"\\[dwsDWS]", pattern), "such a class takes other scripts' digits and letters too"


@pytest.mark.parametrize(
    ("name", "node"), [case for case in PROPERTIES if "pattern" in case.values[1] or case.values[1].get("examples")]
)
def test_examples_are_examples(name, node):
    for example in node.get("examples", ()):
        for text in example if isinstance(example, list) else [example]:
            if isinstance(text, str) and "pattern" in node:
                assert re.search(node["pattern"], text)
            if node.get("x-filled"):
                assert schema.fill(text) is not None
    assert "pattern" not in node or node.get("examples"), "a message about the pattern shows an example"


# --- synonyms ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("at", "node"), [pytest.param(at, node, id=at) for at, node in objects()])
def test_each_synonym_has_a_property_that_points_at_its_field(at, node):
    table = synonym_table(node)
    for synonym, field in table.items():
        (target,) = node["properties"][synonym].values()
        assert target.endswith(f"/properties/{field}")
    aliases = {
        name for name, child in node["properties"].items() if child.keys() == {"$ref"} and "/properties/" in child["$ref"]
    }
    assert aliases == table.keys()
    assert not table.keys() & set(table.values())
    assert sum(len(child.get("x-synonyms", ())) for child in node["properties"].values()) == len(table), "a word for two fields"


#: The label words of each trade, as the documentation promises them.
WORDS = {
    "tow_vehicle": {
        "max_mass": {"gvwr", "gvm", "mam"},
        "max_combination_mass": {"gcwr", "gcm", "train_mass"},
        "payload": {"capacity_weight"},
        "max_trailer_mass": {"towing_limit"},
        "max_coupling_load": {"max_tongue_weight", "max_pin_weight", "max_noseweight", "max_ball_load"},
        "unloaded": {"curb", "kerb", "tare", "uvw", "miro"},
        "spare_tyre": {"spare_tire"},
    },
    "trailer": {
        "max_mass": {"gvwr", "atm", "mtplm", "mam"},
        "max_axle_group_load": {"gtm"},
        "unloaded": {"curb", "kerb", "tare", "uvw", "miro"},
        "spare_tyre": {"spare_tire"},
    },
    "": {"coupling_load": {"tongue_weight", "pin_weight", "noseweight", "ball_load"}},
    "tow_vehicle.axles.front": {"max_load": {"gawr"}, "tyres": {"tires"}},
    "tow_vehicle.axles.rear": {"max_load": {"gawr"}, "tyres": {"tires"}},
    "trailer.axles.*": {"max_load": {"gawr"}, "tyres": {"tires"}},
    "coupling.parts.*": {"max_vertical_load": {"s"}, "d_value": {"d"}, "dc_value": {"dc"}, "v_value": {"v"}},
}


def test_the_label_words_are_these_and_no_others():
    found = {}
    for path, node in {"": schema.rig(), **catalogue()}.items():
        for synonym, field in synonym_table(node).items():
            found.setdefault(path, {}).setdefault(field, set()).add(synonym)
    assert found == WORDS


def test_gtw_is_no_field_anywhere():
    assert not [at for at, node in objects() if "gtw" in node["properties"]]
    assert validate.AMBIGUOUS.keys() == {"gtw"}


def test_gtm_is_a_limit_and_no_weighed_value():
    assert {at for at, node in objects() if "gtm" in node["properties"]} == {"rig/$defs/trailer"}


# --- what the code that explains errors relies on -----------------------------------------------------------------------


def keywords(node, names=False):
    if isinstance(node, list):
        return set().union(*(keywords(child) for child in node)) if node else set()
    if not isinstance(node, dict):
        return set()
    found = set() if names else set(node)
    for key, child in node.items():
        if names or key not in ("examples", "enum", "const", "required"):
            found |= keywords(child, names=not names and key in ("properties", "$defs"))
    return found


def test_the_schema_uses_only_keywords_whose_errors_are_explained():
    explained = {
        "type", "enum", "const", "minimum", "maximum", "pattern", "uniqueItems", "minLength", "minProperties", "maxLength",
        "additionalProperties", "propertyNames", "required", "x-dimension", "x-date", "x-filled", "x-by-use",
    }  # fmt: skip
    silent = {
        "$schema", "$id", "$ref", "$defs", "title", "description", "properties", "items", "examples", "x-range", "x-signed",
        "x-synonyms", "x-unsourced", "x-station", "x-aboard", "x-load-index", "x-patch", "x-date-code",
    }  # fmt: skip
    assert keywords(RIG) == explained | silent


@pytest.mark.parametrize(("at", "node"), [pytest.param(at, node, id=at) for at, node in objects()])
def test_no_object_takes_fields_it_does_not_know(at, node):
    assert "additionalProperties" in node
    assert node["additionalProperties"] is False or "propertyNames" in node


@pytest.mark.parametrize(("path", "node"), FIELDS)
def test_a_field_is_found_by_its_path(path, node):
    key = tuple(0 if part == "[]" else part for part in path.replace("[]", ".[]").split("."))
    assert schema.at(key) == node
    assert schema.at((*key, "no such field", 0)) is None


@pytest.mark.parametrize(
    ("text", "share"),
    [("full", 1.0), ("empty", 0.0), ("1/3", 1 / 3), ("3/3", 1.0), ("0/4", 0.0), ("40 %", 0.4), ("100 %", 1.0), ("0 %", 0.0)],
)
def test_fillings(text, share):
    assert schema.fill(text) == pytest.approx(share)


@pytest.mark.parametrize("text", ["half", "4/3", "1/0", "1/", "/3", "-1/3", "1 / 3", "101 %", "-1 %", "20 kg", "-1 gal", "",
                                  "\u0661/3", "9" * 5000 + "/3", "1/3\n", "0.5"])  # fmt: skip
def test_what_is_no_filling(text):
    assert schema.fill(text) is None


def test_a_filling_by_volume_is_a_volume():
    filled = schema.fill("20 gal")
    assert isinstance(filled, units.Quantity)
    assert filled.si == pytest.approx(20 * 3.785412e-3, rel=1e-6)  # gallon (U.S.): NIST SP 811, B.8
