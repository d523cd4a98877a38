"""Headroom: what it says may be added brings the stopping limit's margin to zero, and what it says to take away clears."""

import dataclasses
import json

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from rigs import merged, rig

from rigmargin.advice.headroom import FAILING, headroom
from rigmargin.advice.trial import judged, limit_key, margins
from rigmargin.judge.run import judge
from rigmargin.loads.value import nominal
from rigmargin.spec.rig import parse

TRAILERS = ("trailer-gross", "towing-limit", "trailer-axle-group", "axle-load", "coupling-vertical", "combination-gross")
HEAVIEST = 3999.0  # kg: the most that the schema takes for one item is 4000
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


def loaded(content, *places):
    """The rig file with masses written into it as new items, aboard now and on no ticket: (vehicle, station, kg) each."""
    names = [n for v in ("tow_vehicle", "trailer") for kind in ("load", "tanks") for n in content[v].get(kind, {})]
    changed = {**content, "weighings": [{"aboard": names, **ticket} for ticket in content["weighings"]]}
    for i, (vehicle, station, mass) in enumerate(places):
        item = {"mass": {"value": f"{mass:.9f} kg", "plus_or_minus": "0 kg"}, "at": f"{station:.9f} m"}
        changed = merged(changed, {vehicle: {"load": {f"added {i}": item}}})
    return judge(read(changed))


def at(spot, mass):
    return spot.vehicle, spot.station.number, mass


def failing(found):
    return {k for k, f in found.items() if f.verdict in FAILING}


@settings(max_examples=12, deadline=None, phases=[Phase.generate], derandomize=True)
@given(RIGS)
def test_loading_the_stated_mass_uses_up_the_stopping_margin(content):
    answer = headroom(judge(read(content)))
    today = margins(answer.report)
    stopped = {room.stops.rule for room in answer.rooms if room.mass}
    assert {room.spot.name for room in answer.rooms} == {"seats", "boot", "locker", "kitchen", "tail", "water"}
    for room in answer.rooms:
        if not room.mass:
            continue
        assert room.mass < HEAVIEST, "the schema would refuse the item"
        then = margins(loaded(content, at(room.spot, room.mass)))
        assert then[limit_key(room.stops)].margin == pytest.approx(0, abs=1e-3)
        before = [k for k, f in then.items() if f.margin < -1e-6 and today[k].margin > 0]
        assert before == [], "another limit was passed before"
    assert stopped or failing(today)


@pytest.mark.parametrize(("share", "spot", "end"), [((4, 6.5), "locker", "upper"), ((5.5, 10), "tail", "lower")])
def test_a_share_stops_at_either_end_of_its_band(share, spot, end):
    """By hand: 90 of 1500 kg is 6 %. m kg at x of 5 m put m (1 - x / 5) on the coupling: (90 + m (1 - x / 5)) / (1500 + m)
    is the end of the band. At 1 m for 6.5 %: 90 + 0.8 m = 97.5 + 0.065 m, m = 7.5 / 0.735 = 10.204; at 7 m for 5.5 %:
    90 - 0.4 m = 82.5 + 0.055 m, m = 7.5 / 0.455 = 16.484."""
    room = next(r for r in headroom(judge(read(data(share=share)))).rooms if r.spot.name == spot)
    assert room.stops.rule == "coupling-share"
    assert room.stops.limit_name.endswith(f"{end} end")
    assert room.mass == pytest.approx({"upper": 7.5 / 0.735, "lower": 7.5 / 0.455}[end], abs=1e-3)
    assert margins(loaded(data(share=share), at(room.spot, room.mass)))[limit_key(room.stops)].margin == pytest.approx(
        0, abs=1e-7
    )


@settings(max_examples=8, deadline=None, phases=[Phase.generate], derandomize=True)
@given(RIGS)
def test_the_heaviest_trailer_meets_its_limit_at_the_same_share(content):
    answer = headroom(judge(read(content)))
    coupling, gross = (nominal(answer.report.facts.find(name).value) for name in ("coupling.vertical", "trailer.gross"))
    assert len(answer.ceilings) >= 8
    for ceiling in answer.ceilings:
        if not gross < ceiling.mass < gross + HEAVIEST:
            continue
        then = loaded(content, ("trailer", 5.0 * (1 - coupling / gross), ceiling.mass - gross))  # the axle is at 5 m
        assert margins(then)[limit_key(ceiling.stops)].margin == pytest.approx(0, abs=1e-3)
        assert nominal(then.facts.find("trailer.gross").value) == pytest.approx(ceiling.mass, abs=1e-6)
        assert nominal(then.facts.find("coupling.share").value) == pytest.approx(coupling / gross, abs=1e-9)
    heavier = {limit_key(f) for f in margins(answer.report).values() if f.rule in TRAILERS and f.margin < 0}
    assert heavier <= {limit_key(c.stops) for c in answer.ceilings if c.mass < gross}, "it is too heavy as it is"


@settings(max_examples=8, deadline=None, phases=[Phase.generate], derandomize=True)
@given(RIGS)
def test_every_clearing_clears_its_finding_and_says_what_else_it_does(content):
    report = judge(read(content))
    today = margins(report)
    for cure in headroom(report).cures:
        assert limit_key(cure.finding) in failing(today)
        for way in (*cure.removals, *cure.moves):
            whole = judged(read(content), way.changes)
            then = margins(whole)
            assert then[limit_key(cure.finding)].verdict == "within"
            changed = {k: f.verdict for k, f in then.items() if k in today and today[k].verdict != f.verdict}
            said = {limit_key(after): after.verdict for _, after in way.others if after.verdict != "not_checked"}
            assert said == {k: verdict for k, verdict in changed.items() if k != limit_key(cure.finding)}
            masses = [change.mass for change in way.changes]
            assert masses[0] == -way.mass < 0
            assert len(masses) == 1 or sum(masses) == 0


@settings(max_examples=6, deadline=None, phases=[Phase.generate], derandomize=True)
@given(RIGS)
def test_a_gram_less_than_a_clearing_says_does_not_clear(content):
    report = judge(read(content))
    for cure in headroom(report).cures:
        for way in (*cure.removals, *cure.moves):
            less = [dataclasses.replace(c, mass=c.mass * (1 - 0.001 / way.mass)) for c in way.changes]
            then = margins(judged(read(content), less))
            assert then[limit_key(cure.finding)].verdict != "within"


def test_clearings_are_found_by_removal_and_by_move():
    # rear axle 1420 + 126 = 1546 of 1500: 46 kg and the uncertainty to be lost; the stations are taken as exact, else the
    # uncertainty grows with what is moved
    exact = {"seats": {"value": "1.4 m", **TAPE}, "boot": {"value": "-0.5 m", **TAPE}}
    report = judge(read(merged(data(tow=420), {"tow_vehicle": {"stations": exact}})))
    cure = next(c for c in headroom(report).cures if c.finding.subject == "tow_vehicle.axles.rear")
    need = 46 + cure.finding.uncertainty
    boot = next(w for w in cure.removals if w.changes[0].spot.name == "boot")
    assert boot.mass == pytest.approx(need / (1 + 0.5 / 3), abs=1e-3)
    # from 0.5 m behind the axle to 1.4 m ahead of it takes 1.9 / 3 of each kilogram off it
    moved = next(w for w in cure.moves if [c.spot.name for c in w.changes] == ["boot", "seats"])
    assert moved.mass == pytest.approx(need / (1.9 / 3), abs=1e-3)
    assert [w.mass for w in cure.moves] == sorted(w.mass for w in cure.moves)
    # the driver is not cargo: nothing is taken from where only a person is
    assert "seats" not in {w.changes[0].spot.name for w in (*cure.removals, *cure.moves)}


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
    # half of 100 L of water at 0.999 kg/L; at 6 m of 5 m it lightens the coupling, so that the trailer's 1900 kg less 1500 and
    # the share's ends are far
    content = data()
    room = next(r for r in headroom(judge(read(content))).rooms if r.spot.tank)
    assert room.most == pytest.approx(49.95)
    assert room.mass > room.most
    assert room.full_first
    assert room.may_add == room.most
    filled = merged(content, {"trailer": {"tanks": {"water": {"filled": "1/1"}}}})
    assert next(r for r in headroom(judge(read(filled))).rooms if r.spot.tank).may_add == 0
    small = data(trailer=1880.0, coupling=120.0)
    room = next(r for r in headroom(judge(read(small))).rooms if r.spot.tank)
    assert room.stops.rule == "trailer-gross"
    assert room.may_add == pytest.approx(20, abs=1e-3)
    assert not room.full_first


def test_a_tank_gives_only_what_is_in_it_and_its_neighbours_stay():
    """A tank that stands empty beside cargo has nothing to drain; one of its own station's name gives no cargo."""
    content = data(trailer=2000.0)
    beside = {"tanks": {"water": {"at": "kitchen", "filled": "0/1"}}}
    cure = next(
        c for c in headroom(judge(read(merged(content, {"trailer": beside})))).cures if c.finding.rule == "trailer-gross"
    )
    assert {w.changes[0].spot.name for w in cure.removals} == {"kitchen"}
    left = {"tanks": {"water": {"at": "kitchen", "aboard": "no"}}}
    cure = next(c for c in headroom(judge(read(merged(content, {"trailer": left})))).cures if c.finding.rule == "trailer-gross")
    assert not any(w.changes[0].spot.tank for w in cure.removals)


def test_a_passed_limit_leaves_no_room_where_more_makes_it_worse():
    answer = headroom(judge(read(data(tow=420))))
    # rear axle 1420 + 126 = 1546 of 1500: passed
    boot, seats = (next(r for r in answer.rooms if r.spot.name == name) for name in ("boot", "seats"))
    assert boot.mass == seats.mass == 0.0
    assert boot.stops.verdict == "over"
    tail = next(r for r in answer.rooms if r.spot.name == "tail")
    assert tail.mass > 0  # behind the trailer's axle it lightens the coupling


def test_what_is_too_close_and_not_inside_leaves_no_room_either():
    # rear axle 1376 + 126 = 1502 of 1500, known to about 6 kg (a step of 10 kg): too close to tell, and more would not help
    answer = headroom(judge(read(data(tow=376))))
    boot = next(r for r in answer.rooms if r.spot.name == "boot")
    assert boot.stops.verdict == "too_close"
    assert boot.stops.margin == pytest.approx(-2)
    assert boot.mass == 0.0


def test_nothing_known_stops_nothing():
    one = judge(rig(tow_vehicle={"stations": {"boot": "-0.5 m"}}))
    answer = headroom(one)
    (room,) = answer.rooms
    assert room.mass is None
    assert room.may_add is None
    assert room.stops is None
    assert answer.ceilings == ()
    assert answer.ceilings_lack == ("weighings.coupled.tow_vehicle", "weighings.alone.tow_vehicle", "weighings.coupled.all")


def test_a_mere_bound_of_the_share_gives_no_heaviest_trailer():
    """Tensioned bars have moved part of the coupling load away: what is left is a bound, and no present share."""
    content = data()
    bars = {**content["weighings"][1], "state": "coupled_distributing"}
    del content["trailer"]["coupling_to_axle_centre"], content["trailer"]["stations"], content["trailer"]["tanks"]
    content = {**content, "coupling": {"kind": "weight_distributing"}, "weighings": [content["weighings"][0], bars]}
    content["trailer"]["load"] = {"gas": {"mass": "60 kg"}}
    report = judge(read(content))
    assert report.facts.find("coupling.share").estimate.at_least
    answer = headroom(report)
    assert answer.ceilings == ()
    assert all(path.startswith("weighings.coupled.") for path in answer.ceilings_lack)
    assert answer.ceilings_lack
