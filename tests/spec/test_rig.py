"""From a file to the typed rig: figures in SI with their evidence, items, tickets, and names that mean mischief."""

import datetime
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st
from spec.small import KG, TEXT, changed, problems

from rigmargin.spec.problem import Problem, printable, shown
from rigmargin.spec.rig import load, parse


def test_a_rig_in_si_with_its_evidence():
    rig = parse(TEXT, "f.yaml")
    assert (rig.file, rig.name, rig.places) == ("f.yaml", "Brook Lane pair", ("us", "us-co"))
    most = rig.get("tow_vehicle.max_mass")
    assert (most.number, most.unit, most.dimension) == (pytest.approx(7000 * KG), "lb", "mass")
    assert (most.source, most.sigma, most.line) == ("certification_label", 0.0, 8)
    assert rig.get("trip.top_speed").number == pytest.approx(65 * 0.44704)  # mile per hour: NIST SP 811
    assert rig.get("tow_vehicle.axles.front.tyres.cold_pressure").number == pytest.approx(65 * 6894.757, rel=1e-6)
    assert rig.get("tow_vehicle.axles.front.tyres.load_index").word == "120/116"
    assert rig.word("coupling.kind") == "weight_carrying"
    assert rig.word("coupling.nothing") == ""
    assert rig.get("coupling.nothing") is None


def test_rows_of_a_limit_keep_their_own_source():
    rig = parse(TEXT, "f.yaml")
    assert rig.get("tow_vehicle.max_trailer_mass.weight_carrying").source == ""
    row = rig.get("tow_vehicle.max_trailer_mass.weight_distributing")
    assert (row.number, row.source) == (pytest.approx(9000 * KG), "manual")


def test_items_stations_and_tanks():
    rig = parse(TEXT, "f.yaml")
    driver, box = rig.tow_items
    assert (driver.name, driver.person, driver.aboard) == ("driver", True, True)
    assert driver.station.number == pytest.approx(70 * 0.0254)
    assert driver.station.path == "tow_vehicle.stations.front seats"
    assert box.station.number == pytest.approx(18 * 0.0254)  # 1 ft 6 in is 18 in
    (water,) = rig.trailer_items
    assert water.mass is None
    assert water.tank.holds == "water"
    assert water.tank.volume.number == pytest.approx(20 * 3.785412e-3, rel=1e-6)
    assert water.tank.filled.number == pytest.approx(1 / 3)


def test_unloaded_by_axle_with_what_it_includes():
    rig = parse(TEXT, "f.yaml")
    empty = rig.tow_unloaded
    assert (empty.total, empty.ahead.number, empty.behind.number) == (None, pytest.approx(2900 * KG), pytest.approx(2300 * KG))
    assert empty.ahead.source == empty.behind.source == "scale_ticket"
    (inside,) = empty.includes
    assert (inside.item, inside.mass.number) == ("driver", 75.0)


@pytest.mark.parametrize("form", ["1300 lb", "{total: 1300 lb}", "{value: 1300 lb}"])
def test_unloaded_may_be_one_mass(form):
    if "value" in form:
        assert "'value'" in problems(changed(("tare: 1300 lb", f"tare: {form}")))[0].found
        return
    rig = parse(changed(("tare: 1300 lb", f"tare: {form}")), "f.yaml")
    assert rig.trailer_unloaded.total.number == pytest.approx(1300 * KG)
    assert rig.trailer_unloaded.ahead is None


def test_tickets():
    first, second = parse(TEXT, "f.yaml").weighings
    assert (first.state, first.on, first.aboard, first.path) == ("coupled", "2026-05-02", None, "weighings[0]")
    assert {name: reading.number for name, reading in first.readings.items()} == {
        "front": pytest.approx(3100 * KG), "rear": pytest.approx(3600 * KG)
    }  # fmt: skip
    # a scale in steps of 20 lb: standard uncertainty 20/sqrt(12) = 5.7735 lb (JCGM 100:2008, F.2.2.1)
    assert first.readings["front"].sigma == pytest.approx(5.7735 * KG, rel=1e-5)
    assert second.aboard == ("tool box",)


@pytest.mark.parametrize(
    ("reading", "names"),
    [("4000 lb", {"trailer_axles"}), ("{value: 4000 lb, source: scale_ticket, ref: ticket 7}", {"trailer_axles"}),
     ("{tandem: 4000 lb}", {"trailer_axles.tandem"}), ("{tandem: 4000 lb, source: measured}", {"trailer_axles.tandem"})],
)  # fmt: skip
def test_a_trailer_reading_for_all_axles_or_for_each(reading, names):
    rig = parse(changed(("rear: 3600 lb, increment", f"rear: 3600 lb, trailer_axles: {reading}, increment")), "f.yaml")
    readings = rig.weighings[0].readings
    assert readings.keys() == {"front", "rear", *names}
    (name,) = names
    assert readings[name].number == pytest.approx(4000 * KG)
    assert readings[name].sigma == pytest.approx(20 * KG / 12**0.5)


def test_an_own_uncertainty_is_half_the_width_at_two_sigma():
    rig = parse(changed(("front: 3100 lb", "front: {value: 3100 lb, plus_or_minus: 30 lb}")), "f.yaml")
    assert rig.weighings[0].readings["front"].sigma == pytest.approx(15 * KG)


def test_load_reads_a_file(tmp_path):
    path = tmp_path / "rig.yaml"
    path.write_text(TEXT, "utf-8")
    assert load(path).stated == parse(TEXT, "f.yaml").stated


@given(st.dates(datetime.date(1900, 1, 1)))
def test_every_day_of_the_calendar_is_a_date(day):
    text = changed(("date: 2026-06-01", f"date: {day.isoformat()}"), ("on: 2026-05-02", "on: 1900-01-01"))
    assert parse(text, "f.yaml").word("date") == day.isoformat()


@pytest.mark.parametrize(
    "text", ["2026-02-30", "2026-W01-1", "20260502", "2026-5-2", "02.05.2026", "2026-05-02T00:00", "\u0662026-05-02"]
)
def test_no_other_day_is(text):
    (problem,) = problems(changed(("date: 2026-06-01", f"date: {text}")))
    assert problem.expected == "a day as year-month-day"


# --- hostile names -----------------------------------------------------------------------------------------------------

NAMES = [
    "<script>alert(1)</script>",
    "| # x",
    "' onload='x",
    'a "b" c',
    "{{ 7*7 }}",
    "..",
    "𝔘 ü \u202e",
    "a: b",
    "value",
    "-",
    "<<",
]
NAMES = [name for name in NAMES if "." not in name] + ["# (x)(y)", "*a", "&a", "!x", "%s", "null", "1"]


@pytest.mark.parametrize("name", NAMES)
def test_hostile_names_stay_text(name):
    quoted = '"' + name.replace("\\", "\\\\").replace('"', '\\"') + '"'
    text = changed(
        ("tool box: {", f"{quoted}: {{"),
        ("aboard: [tool box]", f"aboard: [{quoted}]"),
        ("name: Brook Lane pair", f"name: {quoted}"),
    )
    rig = parse(text, "f.yaml")
    assert rig.name == name
    assert rig.tow_items[1].name == name
    assert rig.get(f"tow_vehicle.load.{name}.mass").number == pytest.approx(120 * KG)
    assert rig.weighings[1].aboard == (name,)


@pytest.mark.parametrize("name", ["a.b", "a[0]", "", "x" * 81, "a\\nb", "a\\x1b[31mb", "a\\n"])
def test_names_that_a_path_cannot_hold_are_refused(name):
    found = problems(changed(("tool box: {", f'"{name}": {{'), ("aboard: [tool box]", "aboard: all")))
    assert len(found) >= 1
    assert all("\x1b" not in str(p) and "\n" not in str(p) for p in found)


def test_a_message_shows_no_raw_control_characters_and_stays_short():
    assert printable("a\x1b\n\u202eb") == "a\\x1b\\n\\u202eb"
    assert shown("x" * 100) == "'" + "x" * 59 + "…'"
    assert str(Problem("a\nb", 0, 0, "", "x", "y", "z")) == "a\\nb: found x; expected y; z"


def test_every_character_that_ends_a_line_or_turns_its_direction_is_made_visible():
    marks = [0x061C, 0x200E, 0x200F]  # of the direction of what stands beside them
    turning = [*range(0x20), *range(0x7F, 0xA0), *marks, 0x2028, 0x2029, *range(0x202A, 0x202F), *range(0x2066, 0x206A)]
    assert [i for i in range(sys.maxunicode + 1) if printable(chr(i)) != chr(i)] == turning
