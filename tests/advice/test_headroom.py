"""Headroom: what it says may be added brings the stopping limit's margin to zero, and what it says to take away clears."""

import json

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from rigs import merged, rig

from rigmargin.advice.headroom import headroom
from rigmargin.advice.trial import judged, key, margins
from rigmargin.judge.run import judge
from rigmargin.spec.rig import parse

POUND = 0.45359237
TAPE = {"plus_or_minus": "0 m"}


def data(*, tow=300.0, trailer=1500.0, coupling=90.0, limits=1.0, bars=False, share=None):
    """A whole rig as data: weighed alone and coupled, items at stations, every limit known."""
    front, rear = 1200.0, 1000.0 + tow
    base, overhang, reach = 3.0, 1.2, 5.0
    alone = {"state": "alone", "increment": "10 kg", "front": f"{front} kg", "rear": f"{rear} kg"}
    coupled = {
        "state": "coupled",
        "increment": "10 kg",
        "front": f"{front - coupling * overhang / base} kg",
        "rear": f"{rear + coupling * (1 + overhang / base)} kg",
        "trailer_axles": f"{trailer - coupling} kg",
    }
    band = {"low": f"{share[0]} %", "high": f"{share[1]} %"} if share else {"low": "1 %", "high": "25 %"}
    return {
        "rig": 1,
        "name": "a trial",
        "places": ["gb"],
        "tow_vehicle": {
            "kind": "car",
            "max_mass": f"{round(2900 * limits)} kg",
            "max_combination_mass": f"{round(4600 * limits)} kg",
            "max_trailer_mass": f"{round(2000 * limits)} kg",
            "max_coupling_load": f"{round(140 * limits)} kg",
            "wheelbase": {"value": f"{base} m", **TAPE},
            "coupling_behind_rear_axle": {"value": f"{overhang} m", **TAPE},
            "coupling_share_band": band,
            "axles": {"front": {"max_load": f"{round(1350 * limits)} kg"}, "rear": {"max_load": f"{round(1500 * limits)} kg"}},
            "stations": {"seats": "1.4 m", "boot": "-0.5 m"},
            "load": {"driver": {"mass": "80 kg", "at": "seats", "person": "yes"}, "luggage": {"mass": "200 kg", "at": "boot"}},
        },
        "coupling": {"kind": "european_ball", "parts": {"coupling head": {"max_vertical_load": f"{round(130 * limits)} kg"}}},
        "trailer": {
            "max_mass": f"{round(1900 * limits)} kg",
            "coupling_to_axle_centre": {"value": f"{reach} m", **TAPE},
            "axles": {"axle": {"max_load": f"{round(1850 * limits)} kg"}},
            "stations": {"locker": "1 m", "kitchen": "4 m", "tail": "7 m"},
            "load": {"gas": {"mass": "60 kg", "at": "locker"}, "books": {"mass": "300 kg", "at": "kitchen"}},
            "tanks": {"water": {"holds": "water", "volume": "100 L", "filled": "1/2", "at": "6 m"}},
        },
        "weighings": [alone, coupled],
    }


RIGS = st.builds(
    data,
    tow=st.floats(150, 420).map(lambda x: round(x, 1)),
    trailer=st.floats(1100, 2100).map(lambda x: round(x, 1)),
    coupling=st.floats(40, 150).map(lambda x: round(x, 1)),
    limits=st.floats(0.9, 1.2),
    share=st.sampled_from([None, (4, 7), (5, 10)]),
)


def read(content):
    return parse(json.dumps(content), "trial.yaml")


def loaded(content, spot, mass):
    """The rig file with a mass written into it as a new item, aboard now and on no ticket."""
    names = [n for v in ("tow_vehicle", "trailer") for kind in ("load", "tanks") for n in content[v].get(kind, {})]
    item = {"mass": {"value": f"{mass:.9f} kg", "plus_or_minus": "0 kg"}, "at": f"{spot.station.number:.9f} m"}
    changed = merged(content, {spot.vehicle: {"load": {"added": item}}})
    changed["weighings"] = [{**ticket, "aboard": names} for ticket in content["weighings"]]
    return judge(read(changed))


@settings(max_examples=12, deadline=None, phases=[Phase.generate], derandomize=True)
@given(RIGS)
def test_loading_the_stated_mass_uses_up_the_stopping_margin(content):
    answer = headroom(judge(read(content)))
    assert answer.rooms
    for room in answer.rooms:
        if not room.mass:
            continue
        then = margins(loaded(content, room.spot, min(room.mass, 3999.0)))
        if room.mass < 3999:
            assert then[key(room.stops)].margin == pytest.approx(0, abs=1e-3)
            today = margins(answer.report)
            failing = [k for k, f in then.items() if f.margin < -1e-3 and today[k].margin >= 0]
            assert failing == [], "another limit was passed before"


@settings(max_examples=8, deadline=None, phases=[Phase.generate], derandomize=True)
@given(RIGS)
def test_every_clearing_clears_its_finding(content):
    report = judge(read(content))
    for cure in headroom(report).cures:
        for way in (*cure.removals, *cure.moves):
            then = margins(judged(read(content), way.changes))
            assert then[key(cure.finding)].verdict == "within"
            today = margins(report)
            failing = {k for k, f in then.items() if f.verdict in ("over", "outside_band")}
            before = {k for k, f in today.items() if f.verdict in ("over", "outside_band")}
            assert {key(f) for f in way.newly_failing} == failing - before
            assert {key(f) for f in way.newly_within} == before - failing - {key(cure.finding)}


def test_by_hand():
    # rear axle 1300 + 90 x (1 + 1.2 / 3) = 1426 kg of 1500: 74 kg left. A kilogram in the boot, 0.5 m behind the axle,
    # loads it by 1 + 0.5 / 3: 74 / 1.16667 = 63.43 kg
    answer = headroom(judge(read(data())))
    boot = next(r for r in answer.rooms if r.spot.name == "boot")
    assert (boot.stops.rule, boot.stops.subject) == ("axle-load", "tow_vehicle.axles.rear")
    assert boot.mass == pytest.approx(74 / (1 + 0.5 / 3), abs=1e-4)
    # the trailer at its present share: rear axle gains 1.4 x 90 / 1500 = 0.084 kg for each kilogram: 1500 + 74 / 0.084 = 2381;
    # its own maximum mass, 1900 kg, comes first but for its axle: (1500 - 90) / 1500 = 0.94 of 1850: 1968
    heaviest = {(c.stops.rule, c.stops.subject): c.mass for c in answer.ceilings}
    assert heaviest["trailer-gross", "trailer"] == pytest.approx(1900, abs=1e-3)
    assert heaviest["axle-load", "tow_vehicle.axles.rear"] == pytest.approx(1500 + 74 / 0.084, abs=1e-2)
    assert answer.ceilings[0].stops.rule == "trailer-gross"
    assert [c.mass for c in answer.ceilings] == sorted(c.mass for c in answer.ceilings)


def test_a_tank_takes_no_more_than_it_holds():
    room = next(r for r in headroom(judge(read(data()))).rooms if r.most is not None)
    # half of 100 L of water at 0.999 kg/L
    assert room.most == pytest.approx(49.95)


def test_a_passed_limit_leaves_no_room_where_more_makes_it_worse():
    answer = headroom(judge(read(data(tow=420))))
    # rear axle 1420 + 126 = 1546 of 1500: passed
    boot, seats = (next(r for r in answer.rooms if r.spot.name == name) for name in ("boot", "seats"))
    assert boot.mass == seats.mass == 0.0
    assert boot.stops.verdict == "over"
    tail = next(r for r in answer.rooms if r.spot.name == "tail")
    assert tail.mass > 0  # behind the trailer's axle it lightens the coupling


def test_a_limit_that_is_nominally_passed_leaves_no_room_though_it_is_too_close_to_tell():
    # rear axle 1375 + 1.4 x 90 = 1501 kg of 1500, known to 2 x 10 / sqrt(12) = 5.8 kg: too close to tell, and nothing is left
    answer = headroom(judge(read(data(tow=375))))
    boot = next(r for r in answer.rooms if r.spot.name == "boot")
    assert boot.stops.verdict == "too_close"
    assert boot.mass == 0.0


def test_nothing_known_stops_nothing():
    one = judge(rig(tow_vehicle={"stations": {"boot": "-0.5 m"}}))
    (room,) = headroom(one).rooms
    assert room.mass is None
    assert room.stops is None
