"""Generated pages and expected reports are current, and the reports obey their schema."""

import json

import generate
import jsonschema
import pytest
import schema_pages

from rigmargin.spec import schema


@pytest.mark.parametrize("path", sorted(generate.everything()), ids=lambda p: p.name)
def test_generated_file_is_current(path):
    assert path.read_text("utf-8") == generate.everything()[path], "run: python tests/generate.py"


@pytest.mark.parametrize("path", sorted(generate.EXAMPLES.glob("*.expected.json")), ids=lambda p: p.name)
def test_report_obeys_its_schema(path):
    jsonschema.validate(json.loads(path.read_text("utf-8")), schema.load("report.schema.json"))


def test_report_schema_is_a_valid_schema_and_describes_its_fields():
    report = schema.load("report.schema.json")
    jsonschema.Draft202012Validator.check_schema(report)
    assert all("description" in field for field in report["properties"].values())


def test_every_schema_has_its_fields_on_a_page():
    written = {"rig", "settings", "regulation"}
    schemas = {path.name.removesuffix(".schema.json") for path in (generate.TOP / "schemas").glob("*.json")}
    assert schemas == written | set(schema_pages.ANSWERS)


def test_a_schema_page_leaves_no_field_out():
    whole = {"properties": {"a": {"$ref": "#/$defs/b"}, "c": {"type": ["array", "null"], "items": {"enum": ["d", None]}}}}
    whole["$defs"] = {"b": {"description": "x|y", "oneOf": [{"properties": {"e": {"const": 1}}}, {"type": "string"}]}}
    assert schema_pages.fields(whole) == [
        "| field | what it is | takes |",
        "|---|---|---|",
        "| `a` | x\\|y | `b`, see below |",
        "| `c` |  | list or null |",
        "| `c[]` |  | `d` or `null` |",
        "",
        "**`b`**: x\\|y",
        "",
        "| field | what it is | takes |",
        "|---|---|---|",
        "| `e` |  | `1` |",
    ]


def _report(name):
    return json.loads((generate.EXAMPLES / f"{name}.expected.json").read_text("utf-8"))


def _verdict(report, rule, subject):
    return [f["verdict"] for f in report["findings"] if (f["rule"], f["subject"]) == (rule, subject)]


def test_fifth_wheel_is_over_its_gross_rating_while_axles_and_towing_limits_hold():
    report = _report("alder-creek-fifth-wheel")
    assert _verdict(report, "tow-vehicle-gross", "tow_vehicle") == ["over"]
    for rule, subject in (
        ("axle-load", "tow_vehicle.axles.front"),
        ("axle-load", "tow_vehicle.axles.rear"),
        ("towing-limit", "tow_vehicle"),
        ("combination-gross", "tow_vehicle"),
    ):
        assert _verdict(report, rule, subject) == ["within"], (rule, subject)
    # by hand: 4760 + 5720 lb on the ticket, less 10000 lb on the label, is 480 lb over = 217.7 kg
    gross = next(f for f in report["findings"] if f["rule"] == "tow-vehicle-gross")
    assert gross["margin"] == pytest.approx(-480 * 0.45359237, abs=0.05)


def test_travel_trailer_binds_on_the_rear_axle_far_below_the_tow_rating():
    report = _report("birch-hollow-travel-trailer")
    assert report["tightest"] == {"rule": "axle-load", "subject": "tow_vehicle.axles.rear"}
    states = {
        f["state"]: f["verdict"] for f in report["findings"] if f["rule"] == "axle-load" and f["subject"].endswith("rear")
    }
    assert states == {"coupled": "over", "coupled_distributing": "within"}
    towing = next(f for f in report["findings"] if f["rule"] == "towing-limit")
    assert towing["margin"] > 0.4 * towing["limit"]


def test_caravan_noseweight_is_limited_by_the_coupling_head_not_the_car():
    report = _report("linden-caravan")
    assert report["tightest"] == {"rule": "coupling-vertical", "subject": "coupling.parts.coupling head"}
    assert _verdict(report, "coupling-vertical", "tow_vehicle") == ["within"]


def test_dual_cab_passes_gcm_before_gvm():
    report = _report("wattle-dual-cab")
    assert _verdict(report, "combination-gross", "tow_vehicle") == ["over"]
    assert _verdict(report, "tow-vehicle-gross", "tow_vehicle") == ["within"]


def test_sound_rig_has_everything_within():
    report = _report("quarry-bend-utility")
    assert report["overall"] == "within"
    assert set(report["counts"]) <= {"within", "not_applicable", "note"}


def test_thin_rig_is_mostly_not_checked():
    report = _report("misty-lane-thin")
    assert report["overall"] == "not_checked"
    assert report["counts"]["not_checked"] > 3 * report["counts"]["within"]
    assert all(f["missing"] for f in report["findings"] if f["verdict"] == "not_checked")


def test_full_tickets_tell_what_the_bars_do():
    report = _report("otter-bend-tickets")
    restored = report["loads"]["front_axle.restored"]
    # by the tickets: (2960 - 2780) / (3080 - 2780) = 60 %
    assert restored["value"] == pytest.approx(0.6)
    assert _verdict(report, "front-axle-restoration", "tow_vehicle") == ["within"]
    # the dog came aboard after the weighing: 60 lb, 26 in ahead of the rear axle of a 122 in wheelbase
    front = report["loads"]["tow_vehicle.axles.front@alone"]
    assert front["value"] - front["as_read"] == pytest.approx(60 * 26 / 122 * 0.45359237, abs=0.11)


def test_tickets_of_two_loadings_are_refused_and_said_so():
    report = _report("otter-bend-two-days")
    assert _verdict(report, "tickets-one-loading", "combination") == ["conflict"]
    assert report["loads"]["coupling.vertical"]["method"] == "computed"
    assert report["loads"]["front_axle.restored"]["value"] is None
    assert _verdict(report, "front-axle-restoration", "tow_vehicle") == ["not_checked"]
