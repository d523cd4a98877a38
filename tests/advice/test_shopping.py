"""The shopping sheet: every figure by hand, and every largest trailer held against a rig file that has such a trailer."""

import copy
import json
import math

import pytest
from hypothesis import Phase, assume, given, settings
from hypothesis import strategies as st
from rigs import EUROPEAN, FRONT, POUND, exact, merged

from rigmargin.advice.any_trailer import TRAILER_SIDE, Share, behind, own_share, stated_share
from rigmargin.advice.ranges import LEAST
from rigmargin.advice.shopping import shopping
from rigmargin.judge import plugins
from rigmargin.judge.rule import at_least, at_most, nominal, rule
from rigmargin.judge.run import judge
from rigmargin.spec import schema
from rigmargin.spec.rig import parse
from rigmargin.spec.units import NotAQuantity

#: A pickup with a receiver. By its ticket 3250 + 2700 = 5950 lb loaded and alone; 5400 lb empty and 550 lb aboard.
PICKUP = {
    "rig": 1,
    "name": "a shopper",
    "places": ["us"],
    "tow_vehicle": {
        "kind": "pickup",
        "gvwr": "7200 lb",
        "gcwr": "15500 lb",
        "payload": "1650 lb",
        "max_trailer_mass": {"weight_carrying": "9000 lb", "weight_distributing": "11000 lb"},
        "max_coupling_load": {"weight_carrying": "900 lb"},
        "wheelbase": exact("150 in"),
        "coupling_behind_rear_axle": exact("60 in"),
        "unloaded": {"front": exact("3000 lb"), "rear": exact("2400 lb"), "source": "scale_ticket"},
        "axles": {
            "front": {"gawr": "3800 lb"},
            "rear": {"gawr": "4000 lb", "tyres": {"type": "light_truck", "count": 2, "max_load_single": "2600 lb"}},
        },
        "load": {
            "driver": {"mass": exact("180 lb"), "person": "yes"},
            "passenger": {"mass": exact("140 lb"), "person": "yes"},
            "bags": {"mass": exact("200 lb")},
            "bicycle": {"mass": exact("40 lb"), "aboard": "no"},
        },
    },
    "coupling": {
        "kind": "weight_carrying",
        "hardware_mass": exact("30 lb"),
        "parts": {
            "receiver": {"max_vertical_load": "1000 lb", "max_towed_mass": "10000 lb"},
            "ball": {"max_vertical_load": "1100 lb", "max_towed_mass": "8000 lb"},
            "coupler": {"max_vertical_load": "700 lb", "max_towed_mass": "7000 lb"},
        },
    },
    "trailer": {
        "gvwr": "7000 lb",
        "brakes": {"actuation": "electric"},
        "axles": {"tandem": {"number": 2, "equalized": "yes", "gawr": "3500 lb"}},
    },
    "weighings": [
        {
            "state": "alone", "front": "3250 lb", "rear": "2700 lb", "increment": "20 lb",
            "aboard": ["driver", "passenger", "bags"],
        }
    ],
}  # fmt: skip
TICKET = 20 / math.sqrt(12)  # lb, one standard uncertainty of a reading: a rectangle of the scale's step


def read(content):
    return parse(json.dumps(content), "shopper.yaml")


def sheet(share=0.12, content=PICKUP, ruleset=None):
    return shopping(judge(read(content), ruleset), Share(share), ruleset)


def rows(found):
    """Nominal and sure mass in lb by rule and the end of the subject."""
    return {(r.stops.rule, r.stops.subject.rpartition(".")[2]): (r.mass / POUND, r.sure / POUND) for r in found.largest}


def test_every_limit_by_hand():
    both, rear = 2 * math.sqrt(2) * TICKET, 2 * TICKET  # expanded, of two readings and of one
    lever = 0.12 * (1 + 60 / 150)  # what the rear axle gains for each pound of trailer: 0.168
    expected = {
        ("coupling-vertical", "tow_vehicle"): (900 / 0.12, 0),  # 7500: it binds
        ("axle-load", "rear"): ((4000 - 2700) / lever, rear / lever),  # 7738
        ("coupling-towed-mass", "ball"): (8000, 0),
        ("coupling-vertical", "receiver"): (1000 / 0.12, 0),  # 8333
        ("towing-limit", "tow_vehicle"): (9000, 0),
        ("payload", "tow_vehicle"): ((1650 - (5950 - 5400)) / 0.12, both / 0.12),  # 9166
        ("coupling-vertical", "ball"): (1100 / 0.12, 0),  # 9166
        ("combination-gross", "tow_vehicle"): (15500 - 5950, both),
        ("coupling-towed-mass", "receiver"): (10000, 0),
        ("tow-vehicle-gross", "tow_vehicle"): ((7200 - 5950) / 0.12, both / 0.12),  # 10416
        ("tyre-capacity", "rear"): ((2 * 2600 - 2700) / lever, rear / lever),  # 14880
        # 23 USC 127(a): 80000 lb in all, 20000 lb on a single axle
        ("law/us/gross", "combination"): (80000 - 5950, both),
        ("law/us/axle-rear", "combination"): ((20000 - 2700) / lever, rear / lever),
    }
    found = sheet()
    got = rows(found)
    assert set(got) == set(expected)
    for which, (mass, doubt) in expected.items():
        assert got[which] == pytest.approx((mass, mass - doubt), abs=0.001), which
    assert found.largest[0].stops.subject == "tow_vehicle"
    assert [r.sure for r in found.largest] == sorted(r.sure for r in found.largest)
    assert [r.stops.rule for r in found.largest if r.by_maker] == ["towing-limit"]
    # 7500 lb put 900 lb on the ball: the front axle keeps 3250 - 900 x 60 / 150 = 2890 lb
    assert found.size / POUND == pytest.approx(7500, abs=0.001)
    assert found.front_left == pytest.approx(2890 / 3250, abs=1e-6)


def test_the_vehicle_this_trailer_needs_by_hand():
    """7000 lb at 12 % put 840 lb on the coupling; what the vehicle has is less its doubt, of one reading or of two."""
    both, rear = 2 * math.sqrt(2) * TICKET, 2 * TICKET
    expected = {
        "payload": (180 + 140 + 200 + 30 + 840, 1650),  # 1390
        "gross_room": (840, 7200 - 5950 - both),
        "rear_room": (840 * (1 + 60 / 150), 4000 - 2700 - rear),  # 1176
        "coupling": (840, 900),
        "parts_vertical": (840, 1000),  # the weaker of receiver and ball; the coupler is the trailer's
        "parts_towed": (7000, 8000),
        "trailer": (7000, 9000),
        "combination_room": (7000, 15500 - 5950 - both),
    }
    found = sheet().needs
    got = {n.name: (n.least / POUND, n.has / POUND) for n in found.least}
    assert got.keys() == expected.keys()
    for name, figures in expected.items():
        assert got[name] == pytest.approx(figures, abs=1e-6), name
    assert all(n.sure == pytest.approx(n.least) for n in found.least), "every figure that they rest on is exact here"
    assert [f.expected for f in found.required] == ["a controller that drives electric brakes"]
    # 840 lb on a coupler for 700 lb; the other limits of the trailer are kept: (7000 - 840) / 2 = 3080 of 3500 lb
    assert [(f.rule, f.subject) for f in found.remarks] == [("coupling-vertical", "coupling.parts.coupler")]


def test_behind_an_extension_and_beside_a_rack_the_receiver_has_less():
    """Half of 1000 lb and of 10000 lb; a rack of 50 lb, 12 in behind on a lever of 24 in, counts for 75 lb."""
    content = copy.deepcopy(PICKUP)
    parts = content["coupling"]["parts"]
    parts["receiver"] |= {"carries": ["rack"], "to_coupling": exact("24 in")}
    parts["extension"] = {"max_vertical_load": "900 lb", "max_towed_mass": "9000 lb", "reduces_to": "50 %"}
    content["tow_vehicle"]["load"]["rack"] = {"mass": exact("50 lb"), "at": "-72 in"}
    content["weighings"][0]["aboard"].append("rack")
    got = {n.name: n.has / POUND for n in sheet(content=content).needs.least if n.has is not None}
    assert 500 - 75 - 2 < got["parts_vertical"] <= 500 - 75, "where the rack sits is known by tape"
    assert got["parts_towed"] == pytest.approx(5000, abs=1e-6)
    del parts["extension"]["reduces_to"]
    got = {n.name: n.has for n in sheet(content=content).needs.least}
    assert got["parts_vertical"] is got["parts_towed"] is None, "what the extension leaves is not known"


def test_what_the_scale_shows_aboard_counts_where_it_is_more_than_the_list():
    """Alone 3100 + 2800 = 5900 lb, unloaded 5100: 800 lb aboard, 250 listed; 12 % of 7000 lb are 840 lb."""
    heavy = {**FRONT, "weighings": [{"state": "alone", "front": "3100 lb", "rear": "2800 lb", "increment": "20 lb"}]}
    payload = {n.name: n for n in sheet(content=heavy).needs.least}["payload"]
    assert payload.least / POUND == pytest.approx(800 + 840)
    assert payload.sure / POUND == pytest.approx(1640 + 2 * math.sqrt(2) * TICKET)
    assert payload.by_scale
    light = {**FRONT, "weighings": [{"state": "alone", "front": "3000 lb", "rear": "2300 lb", "increment": "20 lb"}]}
    payload = {n.name: n for n in sheet(content=light).needs.least}["payload"]
    assert payload.least / POUND == pytest.approx(250 + 840), "200 lb by the scale is less than the 250 listed"
    assert not payload.by_scale
    assert not {n.name: n for n in sheet(content=FRONT).needs.least}["payload"].by_scale


def test_this_vehicles_own_state_is_asked_of_no_other_vehicle():
    worn = {"suspension": {"spring_rate": "300 lb/in", "condition": "sagging", "measured_at": "2400 lb"}}
    found = sheet(content=merged(PICKUP, {"tow_vehicle": {"axles": {"rear": worn}}}))
    assert "springs-sound" in {f.rule for f in found.report.findings if f.verdict == "unmet"}
    assert [f.rule for f in found.needs.required] == ["brake-controller"]


def test_a_pin_ahead_of_the_axle_loads_the_front():
    """Pin 6 in ahead, wheelbase 150 in, 20 %: the front axle gains 0.2 x 6 / 150 = 0.008 of the trailer and the rear 0.192."""
    ahead = merged(
        PICKUP,
        {
            "coupling": {"kind": "fifth_wheel"},
            "tow_vehicle": {"coupling_behind_rear_axle": exact("-6 in"), "max_trailer_mass": {"fifth_wheel": "12000 lb"}},
        },
    )
    found = sheet(0.2, ahead)
    assert rows(found)["axle-load", "rear"][0] == pytest.approx(1300 / 0.192, abs=0.001)
    assert rows(found)["axle-load", "front"][0] == pytest.approx((3800 - 3250) / 0.008, abs=0.001)
    needs = {n.name: n.least / POUND for n in found.needs.least}
    assert needs["front_room"] == pytest.approx(1400 * 6 / 150)  # 56 lb of 7000 x 20 %
    assert needs["rear_room"] == pytest.approx(1400 * (1 - 6 / 150))  # 1344 lb
    assert found.front_left > 1


PICKUPS = st.builds(
    lambda rear, front, gvwr, overhang, coupling: merged(
        PICKUP,
        {
            "tow_vehicle": {
                "gvwr": f"{gvwr} lb",
                "max_coupling_load": {"weight_carrying": f"{coupling} lb"},
                "coupling_behind_rear_axle": f"{overhang} in",
            },
            "weighings": [{**PICKUP["weighings"][0], "front": f"{front} lb", "rear": f"{rear} lb"}],
        },
    ),
    rear=st.integers(2400, 3900),
    front=st.integers(2900, 3500),
    gvwr=st.integers(6600, 7900),
    overhang=st.sampled_from([-6, 30, 48, 66]),
    coupling=st.integers(300, 1500),
)
SHARES = st.floats(0.03, 0.4).map(lambda x: round(x, 4))


def with_trailer(content, mass, share):
    """The rig file with a trailer of that mass written into it: its coupling on a jack and its wheels weighed to the gram."""
    readings = {"coupling": exact(f"{share * mass:.9f} kg"), "trailer_axles": exact(f"{(1 - share) * mass:.9f} kg")}
    jack = {"state": "trailer_on_jack", "increment": "1 kg", **readings}
    data = {**content, "trailer": {"brakes": {"actuation": "electric"}}, "weighings": [*content["weighings"], jack]}
    return {(f.rule, f.subject, f.state): f for f in judge(read(data)).findings}


@settings(max_examples=12, deadline=None, phases=[Phase.generate], derandomize=True)
@given(PICKUPS, SHARES)
def test_a_rig_with_the_largest_trailer_has_used_up_that_very_limit(content, share):
    found = sheet(share, content)
    looked = 0
    for row in found.largest:
        which = (row.stops.rule, row.stops.subject, row.stops.state)
        if not 50 < row.sure <= row.mass < min(4000 / share, 20000):  # the readings that the schema takes
            continue
        looked += 1
        assert with_trailer(content, row.mass, share)[which].margin == pytest.approx(0, abs=0.01)
        assert with_trailer(content, row.sure - 0.01, share)[which].verdict == "within"
        assert with_trailer(content, row.sure + 0.01, share)[which].verdict != "within"
    assume(looked)
    assert all(row.sure <= row.mass for row in found.largest)


@settings(max_examples=12, deadline=None, phases=[Phase.generate], derandomize=True)
@given(PICKUPS, SHARES, st.floats(1.02, 1.5))
def test_no_trailer_gets_larger_with_a_larger_share(content, share, factor):
    light, heavy = rows(sheet(share, content)), rows(sheet(round(share * factor, 4), content))
    for which, (mass, sure) in light.items():
        assert heavy[which][0] <= mass + 1e-3
        assert heavy[which][1] <= sure + 1e-3


@settings(max_examples=8, deadline=None, phases=[Phase.generate], derandomize=True)
@given(PICKUPS, SHARES)
def test_a_vehicle_with_just_what_is_needed_takes_the_trailer(content, share):
    """Limits set to what the sheet asks for leave nothing over: judged behind the trailer at its maximum mass."""
    needs = {n.name: n.least for n in sheet(share, content).needs.least}
    loaded = sum(float(content["weighings"][0][axle].split()[0]) for axle in ("front", "rear")) * POUND
    rear = float(content["weighings"][0]["rear"].split()[0]) * POUND
    just = {
        "gvwr": f"{loaded + needs['gross_room']:.9f} kg",
        "gcwr": f"{loaded + needs['combination_room']:.9f} kg",
        "max_coupling_load": {"weight_carrying": f"{needs['coupling']:.9f} kg"},
        "max_trailer_mass": {"weight_carrying": f"{needs['trailer']:.9f} kg"},
        "axles": {"rear": {"gawr": f"{rear + needs['rear_room']:.9f} kg"}},
    }
    then = with_trailer(merged(content, {"tow_vehicle": just}), 7000 * POUND, share)
    for which in (
        ("tow-vehicle-gross", "tow_vehicle", "coupled"), ("combination-gross", "tow_vehicle", ""),
        ("coupling-vertical", "tow_vehicle", ""), ("towing-limit", "tow_vehicle", ""),
        ("axle-load", "tow_vehicle.axles.rear", "coupled"),
    ):  # fmt: skip
        assert then[which].margin == pytest.approx(0, abs=1e-5), which


def _rules(*more):
    return plugins.Ruleset((*plugins.load().rules, *more), ())


def _rule(check, needs, each="tow_vehicle"):
    words = dict.fromkeys(("title", "basis", "quantity", "limit_name", "why", "example"), "the club's")
    return rule("club/own", each=each, needs=needs, **words)(check)


def test_a_rule_of_a_plugin_binds_too():
    """The front axle shall keep 80 %: 0.2 x 3250 = 650 lb may be levered off it, 650 x 150 / 60 = 1625 lb on the coupling."""

    def keeps(front, alone):
        """The front axle's load against 80 % of its load alone."""
        return at_least(front, 0.8 * alone)

    one = _rule(keeps, {"front": ".axles.front", "alone": ".axles.front@alone"})
    assert rows(sheet(ruleset=_rules(one)))["club/own", "tow_vehicle"][0] == pytest.approx(1625 / 0.12, abs=0.001)

    def lighter(load, vehicle):
        """The trailer against 85 % of the vehicle as it stands on its wheels."""
        return at_most(load, 0.85 * vehicle)

    # M = 0.85 (5950 + 0.12 M)
    two = _rule(lighter, {"load": "trailer.gross", "vehicle": ".gross"})
    assert rows(sheet(ruleset=_rules(two)))["club/own", "tow_vehicle"][0] == pytest.approx(
        0.85 * 5950 / (1 - 0.85 * 0.12), abs=0.001
    )


def test_a_limit_with_a_step_is_kept_below_the_step():
    """4000 lb up to a trailer of 3000 kg, then 500 lb less: nothing above 3000 kg, and not what either limit says alone."""

    def stepped(load, vehicle):
        """Steps down."""
        return at_most(load, 4000.0 if nominal(load) <= 3000 else 1000.0)

    found = sheet(ruleset=_rules(_rule(stepped, {"load": "trailer.gross", "vehicle": ".max_mass"})))
    assert rows(found)["club/own", "tow_vehicle"] == pytest.approx((3000 / POUND, 3000 / POUND), abs=0.001)


def test_a_d_value_limits_the_trailer_by_its_plate():
    """UN R55: D = g T R / (T + R). Of 8.0 kN behind 2230 kg is left R = 8.0 x 2.23 / (9.81 x 2.23 - 8.0) = 1.2855 t."""
    content = {
        "rig": 1, "name": "a car", "places": ["gb"], "tow_vehicle": {"kind": "car", "mam": "2230 kg"},
        "coupling": {"kind": "european_ball", "parts": {"towbar": {"d_value": "8.0 kN"}}}, "trailer": {"kind": "caravan"},
    }  # fmt: skip
    row = next(row for row in sheet(0.05, content).largest if row.stops.rule == "coupling-d-value")
    assert row.mass == row.sure == pytest.approx(1000 * 8.0 * 2.23 / (9.81 * 2.23 - 8.0), abs=0.001)


def test_a_fifth_wheels_d_value_is_told_although_a_light_trailer_leaves_it_open():
    """UN R55: D = 0.6 g T R / (T + R - U): of T = 3.5 t, U = 1.5 t, 15 kN, R = 15 (T - U) / (0.6 x 9.81 T - 15) = 5.363 t."""
    content = {
        "rig": 1, "name": "a truck", "places": ["de"], "tow_vehicle": {"kind": "truck", "max_mass": "3500 kg"},
        "coupling": {
            "kind": "fifth_wheel", "parts": {"fifth wheel head": {"d_value": "15 kN", "max_vertical_load": "1500 kg"}},
        }, "trailer": {"kind": "fifth_wheel"},
    }  # fmt: skip
    row = next(row for row in sheet(0.15, content).largest if row.stops.rule == "coupling-d-value")
    assert row.mass == pytest.approx(1000 * 15 * (3.5 - 1.5) / (0.6 * 9.81 * 3.5 - 15), abs=0.01)


def test_a_front_axle_that_is_over_is_relieved_from_some_trailer_on_and_the_coupling_ends_it():
    """Wheelbase 140 in, overhang 56 in: the front axle loses 0.4 of the load on the coupling. Alone it carries
    2900 + 200 x 70 / 140 - 50 x 56 / 140 = 2980 lb. At most 2800 lb take 450 lb on the coupling, 3750 lb of trailer at 12 %;
    the coupling takes 900 lb, 7500 lb of trailer. At most 2500 lb take 1200 lb on the coupling: no trailer."""
    front = merged(FRONT, {"tow_vehicle": {"axles": {"front": {"gawr": "2800 lb"}}}})
    found = sheet(content=front)
    row = {(r.stops.rule, r.stops.subject): r for r in found.largest}["axle-load", "tow_vehicle.axles.front"]
    assert [low / POUND for low, _ in row.ranges] == pytest.approx([3750], abs=0.001)
    assert row.mass == math.inf
    assert row.passed_alone
    assert [(low / POUND, high / POUND) for low, high in found.window] == [pytest.approx((3750, 7500), abs=0.001)]
    assert found.size / POUND == pytest.approx(7500, abs=0.001)
    none = sheet(content=FRONT)
    assert none.window == ()
    assert none.size == LEAST
    row = {(r.stops.rule, r.stops.subject): r for r in none.largest}["axle-load", "tow_vehicle.axles.front"]
    assert row.ranges[0][0] / POUND == pytest.approx(1200 / 0.12, abs=0.001)
    for pin in ("0 in", "-6 in"):  # on the axle or ahead of it nothing is lifted: no trailer of any mass keeps it
        stuck = merged(FRONT, {"tow_vehicle": {"coupling_behind_rear_axle": exact(pin)}})
        assert sheet(content=stuck).window == ()
        bad = [r for r in sheet(content=stuck).largest if not r.ranges]
        assert [(r.stops.rule, r.stops.subject) for r in bad] == [("axle-load", "tow_vehicle.axles.front")]
        assert bad[0].passed_alone


def test_a_floor_is_kept_from_some_trailer_on():
    """At 3.75 % the lesser of 4 % and 25 kg is not reached below 25 / 0.0375 = 666.7 kg; the maker allows 2200 kg."""

    def floor(load, gross):
        """The load on the coupling against the lesser of 4 % of the trailer and 25 kg, the shape of Germany's floor."""
        return at_least(load, 0.04 * gross if nominal(gross) < 625 else 25.0)

    rules = _rules(_rule(floor, {"load": "coupling.vertical", "gross": "trailer.gross"}))
    found = sheet(0.0375, EUROPEAN, rules)
    row = {r.stops.rule: r for r in found.largest}["club/own"]
    assert row.ranges == row.sure_ranges == (pytest.approx((25 / 0.0375, math.inf), abs=1e-3),)
    assert not row.passed_alone, "without a trailer nothing is asked"
    assert found.window == (pytest.approx((25 / 0.0375, 2200), abs=1e-3),)
    assert sheet(0.05, EUROPEAN, rules).window == (pytest.approx((0, 2000), abs=1e-3),), "5 % is above 4 %; 100 kg end it"


def test_a_load_known_only_from_below_forbids_what_is_certainly_too_much():
    """Nobody is listed: 5400 lb empty and 30 lb of hardware at the least, so that at most 0.12 M = 1770 lb, M = 14750 lb."""
    nobody = merged(PICKUP, {})
    nobody["tow_vehicle"]["load"] = {}
    del nobody["weighings"], nobody["tow_vehicle"]["max_coupling_load"], nobody["tow_vehicle"]["max_trailer_mass"]
    del nobody["coupling"]["parts"], nobody["tow_vehicle"]["payload"]
    found = sheet(content=nobody)
    row = {r.stops.rule: r for r in found.largest}["tow-vehicle-gross"]
    assert row.open
    assert row.mass / POUND == pytest.approx(1770 / 0.12, abs=0.001)
    assert found.window[0][1] <= row.mass


def test_a_rule_that_breaks_is_told():
    def breaks(load):
        """Breaks."""
        raise ValueError("of no use")

    found = sheet(ruleset=_rules(_rule(breaks, {"load": "trailer.gross"})))
    assert {f.rule for f in found.failed} == {"club/own"}
    assert "club/own" in {f.rule for f in found.remarks}


def test_a_limit_on_the_trailers_axles_leaves_room_for_the_coupling_load():
    """A registration figure of 9000 lb for the axles: 0.88 M = 9000, M = 10227; said of neither, 9000 lb are sure."""
    axles = merged(PICKUP, {"places": ["de"], "tow_vehicle": {"max_trailer_mass": None}})
    axles["tow_vehicle"]["max_trailer_mass"] = {"value": "9000 lb", "speaks_of": "axles"}
    assert rows(sheet(content=axles))["towing-limit", "tow_vehicle"][0] == pytest.approx(9000 / 0.88, abs=0.001)
    axles["tow_vehicle"]["max_trailer_mass"] = "9000 lb"
    assert rows(sheet(content=axles))["towing-limit", "tow_vehicle"] == pytest.approx((9000, 9000), abs=0.001)


def test_what_is_passed_already_leaves_nothing():
    heavy = sheet(content=merged(PICKUP, {"tow_vehicle": {"axles": {"rear": {"gawr": "2600 lb"}}}}))
    assert rows(heavy)["axle-load", "rear"] == (0, 0)
    assert heavy.largest[0].stops.subject == "tow_vehicle.axles.rear"
    assert heavy.size == LEAST, "of a trailer that another limit allows nothing is to be said"
    # inside by 5 lb, known to 11.5 lb: by the figures 5 / 0.168 = 29.8 lb of trailer, but nothing is sure
    close = sheet(content=merged(PICKUP, {"tow_vehicle": {"axles": {"rear": {"gawr": "2705 lb"}}}}))
    assert rows(close)["axle-load", "rear"] == pytest.approx((5 / 0.168, 0), abs=0.001)


def test_a_missing_limit_is_listed_with_how_to_learn_it():
    bare = merged(PICKUP, {"tow_vehicle": {}})
    for name in ("gcwr", "payload", "unloaded"):
        del bare["tow_vehicle"][name]
    del bare["coupling"]["parts"]["ball"]["max_vertical_load"]
    del bare["trailer"]["gvwr"]
    found = sheet(content=bare)
    unknown = {(u.finding.rule, u.finding.subject): [m.path for m in u.missing] for u in found.unknown}
    assert unknown["combination-gross", "tow_vehicle"] == ["tow_vehicle.max_combination_mass"]
    assert unknown["coupling-vertical", "coupling.parts.ball"] == ["coupling.parts.ball.max_vertical_load"]
    assert unknown["payload", "tow_vehicle"] == ["tow_vehicle.payload"]
    assert unknown["coupling-chain", "coupling"] == ["coupling.parts.ball mount"], "the coupler comes with the trailer"
    assert all(m.how.endswith(".") for u in found.unknown for m in u.missing)
    assert not any(subject.startswith("trailer") for _, subject in unknown), "the trailer is not bought yet"
    assert found.needs.least == ()
    assert [m.path for _, missing in found.needs.unknown for m in missing] == ["trailer.max_mass"]
    assert not found.empty


def test_only_the_vehicle_alone_is_asked_for_its_weight():
    unweighed = {
        **PICKUP,
        "weighings": [
            {"state": "coupled", "front": "3000 lb", "rear": "3600 lb", "trailer_axles": "5000 lb", "increment": "20 lb"}
        ],
    }
    unweighed = merged(unweighed, {"tow_vehicle": {}})
    del unweighed["tow_vehicle"]["unloaded"]
    found = sheet(content=unweighed)
    paths = {m.path for u in found.unknown for m in u.missing if m.path.startswith("weighings")}
    assert paths == {"weighings.alone.tow_vehicle", "weighings.alone.front", "weighings.alone.rear", "weighings.alone.all"}
    assert ("tow-vehicle-gross", "tow_vehicle") not in rows(found), "a coupled ticket is of another trailer"
    assert rows(found)["towing-limit", "tow_vehicle"][0] == pytest.approx(9000, abs=0.001)


def test_a_list_without_people_is_no_payload():
    nobody = merged(PICKUP, {"tow_vehicle": {}})
    nobody["tow_vehicle"]["load"] = {}
    del nobody["weighings"]
    found = sheet(content=nobody)
    assert {u.finding.rule for u in found.unknown} >= {"payload", "tow-vehicle-gross", "combination-gross"}
    assert {name: [m.path for m in missing] for name, missing in found.needs.unknown} == {"payload": ["tow_vehicle.load"]}


def test_weighings_that_contradict_each_other_make_nothing_sure():
    torn = merged(PICKUP, {})
    torn["weighings"] = [{**PICKUP["weighings"][0], "tow_vehicle": "7300 lb"}]  # 1350 lb more than its axles together
    gross = rows(sheet(content=torn))["tow-vehicle-gross", "tow_vehicle"]
    assert gross == pytest.approx(((7200 - 5950) / 0.12, 0), abs=0.001)
    assert "weighings-agree-alone" in {f.rule for f in sheet(content=torn).remarks}
    assert rows(sheet(content=torn))["towing-limit", "tow_vehicle"] == pytest.approx((9000, 9000), abs=0.001)


def test_nothing_known_is_nothing_computed():
    nothing = sheet(content={"rig": 1, "name": "x", "tow_vehicle": {}, "coupling": {"kind": "weight_carrying"}, "trailer": {}})
    assert nothing.empty
    assert nothing.largest == ()


def test_the_trailer_before_which_the_vehicle_is_put_has_the_mass_and_share_asked_for():
    facts = judge(behind(read(PICKUP), 2000.0, 0.15)).facts
    for name, value in {
        "trailer.gross": 2000, "coupling.vertical": 300, "trailer.axle_group": 1700, "coupling.share": 0.15,
        "combination.gross": 5950 * POUND + 2000, "tow_vehicle.gross": 5950 * POUND + 300,
    }.items():  # fmt: skip
        assert nominal(facts.find(name).value) == pytest.approx(value, abs=1e-9), name
    assert nominal(facts.find("trailer.max_mass").value) == 2000, "it is loaded to its maximum mass"
    assert facts.find("coupling.parts").value == ("receiver", "ball")


def test_the_rigs_own_share():
    coupled = {"state": "coupled", "front": "3000 lb", "rear": "3590 lb", "trailer_axles": "4760 lb", "increment": "20 lb"}
    weighed = merged(PICKUP, {})
    weighed["weighings"] = [*PICKUP["weighings"], {**coupled, "aboard": ["driver", "passenger", "bags"]}]
    share = own_share(judge(read(weighed)))
    assert share.ratio == pytest.approx(640 / 5400)  # (3000 + 3590 - 5950) of (640 + 4760)
    assert share.how
    assert isinstance(own_share(judge(read(PICKUP))), tuple)


@pytest.mark.parametrize("text", ["12", "12%", "0 %", "-3 %", "120 %", "60.5 %", "12 lb", "", "12,5 %", "nan %", "0.12"])
def test_a_share_that_is_none_is_refused(text):
    with pytest.raises(NotAQuantity) as refused:
        stated_share(text)
    assert refused.value.cure


def test_a_share_as_people_write_it():
    assert stated_share("12 %").ratio == pytest.approx(0.12)
    assert stated_share("60 %").ratio == pytest.approx(0.6)
    assert stated_share("12 %").how == ""


def test_the_trailers_side_of_the_coupling_is_made_of_roles_of_the_schema():
    node = schema.at(("coupling", "parts", "x", "role"))
    assert {role.replace("_", " ") for role in node["enum"]} >= TRAILER_SIDE
