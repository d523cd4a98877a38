"""Options set side by side: what clears what, what it costs, and what no option moves."""

import itertools
import json
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rigs import POUND, merged

from rigmargin.advice.compare import FAILING, MOVED, OPEN, UNMOVED, by_key, compare, permitted
from rigmargin.advice.loading_plan import plan
from rigmargin.judge.plugins import Ruleset, load
from rigmargin.judge.rule import Rule
from rigmargin.judge.run import judge
from rigmargin.spec import document as documents
from rigmargin.spec import variants

EXAMPLES = Path(__file__).parents[2] / "specs_examples"
#: Rear axle 4080 lb against 3800 lb: over by 280 lb. What is at the front of the trailer presses on it.
RIG = {
    "rig": 1,
    "name": "a test",
    "tow_vehicle": {
        "gvwr": "7050 lb",
        "wheelbase": "140 in",
        "coupling_behind_rear_axle": "50 in",
        "axles": {"front": {"gawr": "3600 lb"}, "rear": {"gawr": "3800 lb"}},
        "stations": {"bed": "20 in", "seats": "80 in"},
        "load": {"driver": {"mass": "190 lb", "at": "seats", "person": "yes"}, "box": {"mass": "60 lb", "at": "bed"}},
    },
    "coupling": {"kind": "weight_carrying", "hardware_mass": "30 lb"},
    "trailer": {
        "gvwr": "6000 lb",
        "coupling_to_axle_centre": "180 in",
        "stations": {"front": "30 in", "back": "240 in"},
        "load": {"wood": {"mass": "400 lb", "at": "front"}},
    },
    "weighings": [
        {"state": "alone", "front": "3180 lb", "rear": "3100 lb", "increment": "20 lb"},
        {"state": "coupled", "front": "2920 lb", "rear": "4080 lb", "trailer_axles": "5120 lb", "increment": "20 lb"},
    ],
}
LEAVE_WOOD = {"trailer": {"load": {"wood": None}}}
WOOD_BACK = {"trailer": {"load": {"wood": {"at": "back"}}}}
LEAVE_BOX = {"tow_vehicle": {"load": {"box": None}}}
REAR = ("axle-load", "tow_vehicle.axles.rear", "coupled")


def decide(options, *, together=3, most=4096, file="a.yaml", **over):
    content = {**merged(RIG, over), "options": options}
    return compare(variants.of(documents.parse(json.dumps(content), file)), together=together, most=most)


def names(scenarios):
    return [" + ".join(s.names) for s in scenarios]


def rules(findings):
    return [f.rule for f in findings]


def test_each_option_is_the_whole_changed_rig_judged():
    (box, wood) = decide({"box": {"change": LEAVE_BOX}, "wood": {"change": LEAVE_WOOD}}, together=1).scenarios
    # box, 20 in ahead of the rear axle: 60 * (1 - 20 / 140) = 51.43 lb off it; 4080 - 51.43 - 3800 = 228.57 lb remain too many
    assert by_key(box.report)[REAR].margin / POUND == pytest.approx(-228.571, abs=0.001)
    # wood: 400 * (1 - 30 / 180) = 333.33 lb off the coupling, times (1 + 50 / 140) = 452.38 lb off the rear axle
    assert by_key(wood.report)[REAR].margin / POUND == pytest.approx(172.381, abs=0.001)
    assert (box.cleared, rules(box.still_failing)) == ((), ["axle-load"])
    assert (rules(wood.cleared), wood.still_failing) == (["axle-load"], ())
    assert (wood.clears_failing, box.clears_failing) == (True, False)
    assert wood.left_behind == ("wood",)


def test_what_passes_another_limit_clears_nothing():
    # the box goes to the trailer, whose maximum is 10 lb away: 5840 + 60 > 5850
    change = {**LEAVE_BOX, "trailer": {"load": {"wood": {"at": "back"}, "box": {"mass": "60 lb", "at": "back"}}}}
    (it,) = decide({"it": {"change": change}}, trailer={"gvwr": "5870 lb"}).scenarios
    assert rules(it.cleared) == ["axle-load"]
    assert rules(it.newly_failing) == ["trailer-gross"]
    assert not it.clears_failing


def test_what_is_no_longer_known_is_not_cleared(tmp_path):
    bare = {"rig": 1, "name": "o", "tow_vehicle": {"load": {"driver": {"mass": "190 lb", "person": "yes"}}}}
    (tmp_path / "o.yaml").write_text(json.dumps({**bare, "coupling": {"kind": "weight_carrying"}, "trailer": {}}))
    (it,) = decide({"it": {"change": {"tow_vehicle": "from o.yaml"}}}, file=str(tmp_path / "a.yaml")).scenarios
    assert set(it.set_aside) == {"weighings[0]", "weighings[1]"}
    assert REAR in {(f.rule, f.subject, f.state) for f in it.newly_unsettled}
    assert (it.cleared, it.still_failing, it.clears_failing) == ((), (), False)
    assert decide({"it": {"change": {"tow_vehicle": "from o.yaml"}}}, file=str(tmp_path / "a.yaml")).outcomes[0][1] == OPEN


def test_a_check_that_is_not_made_any_more_is_not_cleared():
    """The bars were weighed on today's truck only: with another hitch nothing is known of them."""
    bars = {
        "state": "coupled_distributing",
        "front": "3080 lb",
        "rear": "3840 lb",
        "trailer_axles": "5200 lb",
        "increment": "20 lb",
    }
    limits = {"axles": {"rear": {"gawr": "3820 lb"}}}
    content = {"tow_vehicle": limits, "weighings": [*RIG["weighings"], bars], "coupling": {"kind": "weight_distributing"}}
    change = {"coupling": {"hardware_mass": "40 lb"}, **WOOD_BACK}
    decision = decide({"it": {"change": change}}, **content)
    (it,) = decision.scenarios
    assert {(f.rule, f.state) for f in it.not_made} >= {("axle-load", "coupled_distributing")}
    assert (rules(it.cleared), it.clears_failing) == (["axle-load"], False)
    assert [(f.state, outcome) for f, outcome in decision.outcomes] == [("coupled_distributing", OPEN)]


def test_nobody_at_the_wheel_clears_nothing():
    for change in ({"tow_vehicle": {"load": {"driver": None}}}, {"tow_vehicle": {"load": {"driver": {"aboard": "no"}}}}):
        (it,) = decide({"it": {"change": change}}, tow_vehicle={"axles": {"rear": {"gawr": "4020 lb"}}}).scenarios
        assert rules(it.cleared) == ["axle-load"]
        assert it.nobody
        assert (it.clears_failing, it.clears_all) == (False, False)


SHARE = {"coupling_share_band": {"low": "10 %", "high": "11 %"}}


@pytest.mark.parametrize(
    "change",
    [
        {"tow_vehicle": {"coupling_share_band": {"high": "20 %"}}},
        {"tow_vehicle": {"coupling_share_band": None}},
        {"tow_vehicle": {"max_trailer_mass": {"speaks_of": "axles"}}},
        {"trailer": {"maker_fits": {"braked_axles": 1, "breakaway": "no"}}},
        {"trailer": {"maker_fits": None}},
    ],
)
def test_what_the_maker_says_is_not_changed_by_an_option(change):
    limits = {**SHARE, "max_trailer_mass": "5500 lb", "brake_controller": {"fitted": "yes", "drives": "electric"}}
    fits = {"maker_fits": {"braked_axles": 2, "breakaway": "yes"}, "brakes": {"actuation": "electric", "braked_axles": 1}}
    decision = decide({"it": {"change": change}}, tow_vehicle=limits, trailer={**fits, "axles": {"t": {"number": 2}}})
    (it,) = decision.scenarios
    assert rules(it.newly_failing) == ["rating-certificate"]
    assert it.cleared == ()
    assert {f.rule for f in decision.today.findings if f.verdict in FAILING} <= {f.rule for f in it.still_failing}


def test_too_close_to_tell_is_not_cleared():
    # 4080 - 325 * 0.8333 * 190 / 140 = 3712.4; a limit of 3720 lb is nearer than that is known
    limits = {"axles": {"rear": {"gawr": "3720 lb"}}}
    wood = {"wood": {"mass": "325 lb", "at": "front", "source": "owner_estimate"}}
    (it,) = decide({"it": {"change": LEAVE_WOOD}}, tow_vehicle=limits, trailer={"load": wood}).scenarios
    assert by_key(it.report)[REAR].verdict == "too_close"
    assert (it.cleared, it.clears_failing) == ((), False)


def test_the_cheapest_by_the_owners_own_figures():
    decision = decide(
        {
            "leave": {"cost": "40 USD", "change": LEAVE_WOOD},
            "move": {"cost": "15.50 USD", "excludes": ["leave"], "change": WOOD_BACK},
            "box": {"cost": "0 USD", "change": LEAVE_BOX},
        }
    )
    assert names(decision.clears_failing.priced) == ["move"]
    both = next(s for s in decision.scenarios if s.names == ("move", "box"))
    assert both.cost.sums == (("USD", Decimal("15.50")),)
    assert both.cost.single == ("USD", Decimal("15.50"))


def test_what_costs_nothing_is_cheapest_in_every_currency():
    options = {"leave": {"cost": "40 USD", "change": LEAVE_WOOD}, "move": {"cost": "0 EUR", "change": WOOD_BACK}}
    assert names(decide(options).clears_failing.priced) == ["move"]


def test_currencies_are_not_compared_and_an_unknown_cost_is_no_zero():
    options = {
        "leave": {"cost": "40 USD", "change": LEAVE_WOOD},
        "move": {"cost": "90 EUR", "excludes": ["leave"], "change": WOOD_BACK},
        "some": {"excludes": ["leave", "move"], "change": {"trailer": {"load": {"wood": {"mass": "20 lb"}}}}},
        "box": {"change": LEAVE_BOX},
    }
    cheapest = decide(options).clears_failing
    assert sorted(names(cheapest.priced)) == ["leave", "move"]
    assert names(cheapest.unpriced) == ["some"], "the box is an option to spare"


def test_needs_and_excludes_bound_the_combinations():
    options = {
        "a": {"change": {"note": "a"}, "excludes": ["c"]},
        "b": {"change": {"owner": "b"}, "needs": ["a"]},
        "c": {"change": {"date": "2026-01-01"}},
        "d": {"change": {"use": "private"}},
    }
    found = {frozenset(s.names) for s in decide(options, together=4).scenarios}
    every = {frozenset(c) for n in range(1, 5) for c in itertools.combinations("abcd", n)}
    assert found == {c for c in every if not ({"a", "c"} <= c) and not ("b" in c and "a" not in c)}
    assert {frozenset(s.names) for s in decide(options, together=2).scenarios} == {c for c in found if len(c) <= 2}


def test_a_long_chain_of_needs_is_walked_and_not_searched():
    names_ = [f"step {i}" for i in range(40)]
    thing = {name: {"tow_vehicle": {"load": {name: {"mass": "1 lb"}}}} for name in names_}
    chain = {n: {"change": thing[n], **({"needs": [names_[i + 1]]} if i < 39 else {})} for i, n in enumerate(names_)}
    considered = variants.of(documents.parse(json.dumps({**RIG, "options": chain}), "a.yaml"))
    found = list(permitted(considered, set(), 40))
    assert sorted(map(len, found)) == list(range(1, 41))


def test_two_options_with_tickets_of_their_own_do_not_come_together():
    ticket = {"state": "coupled", "front": "2920 lb", "rear": "3960 lb", "trailer_axles": "5000 lb", "increment": "20 lb"}
    options = {
        "a": {"change": {**LEAVE_BOX, "weighings": [ticket]}},
        "b": {"change": {**LEAVE_WOOD, "weighings": [ticket]}},
    }
    assert decide(options).apart == (("a", "b", "both bring weighings, each of its own rig"),)


def test_a_trailer_axle_is_exchanged_for_another_with_its_own_certificate():
    paper = {"kind": "plate", "number": "7", "authority": "a county", "date": "2026-01-02"}
    heavier = {"gawr": {"value": "6000 lb", "certificate": paper}, "number": 1}
    change = {"trailer": {"axles": {"old": None, "new": heavier}}}
    (it,) = decide({"it": {"change": change}}, trailer={"axles": {"old": {"gawr": "4000 lb", "number": 1}}}).scenarios
    assert it.newly_failing == ()
    assert by_key(it.report)["axle-load", "trailer.axles.new", "coupled"].verdict == "within"


def test_a_search_that_is_cut_off_says_how_much_was_left():
    options = {name: {"change": {"tow_vehicle": {"load": {name: {"mass": "1 lb"}}}}} for name in "abcde"}
    decision = decide(options, together=5, most=7)
    assert (len(decision.scenarios), decision.cut_off) == (7, True)
    assert decide(options, together=5).cut_off is False
    many = {f"option {i}": {"change": {"tow_vehicle": {"load": {f"thing {i}": {"mass": "1 lb"}}}}} for i in range(28)}
    assert decide(many, together=28, most=30).cut_off, "the search does not list what it does not try"


def test_two_options_that_take_away_the_same_thing_or_list_the_same_places_come_together():
    options = {
        "wood": {"change": {**LEAVE_WOOD, "places": ["us", "us-co"]}},
        "both": {"change": {**LEAVE_WOOD, **LEAVE_BOX, "places": ["us", "us-co"]}},
    }
    decision = decide(options)
    assert (decision.apart, decision.unusable) == ((), ())
    assert ("wood", "both") in {s.names for s in decision.scenarios}


def test_options_that_make_no_sound_rig_together_are_told():
    options = {
        "no seats": {"change": {"tow_vehicle": {"stations": {"seats": None}, "load": {"driver": {"at": "70 in"}}}}},
        "guest": {"change": {"tow_vehicle": {"load": {"guest": {"mass": "150 lb", "at": "seats", "person": "yes"}}}}},
    }
    decision = decide(options)
    ((together, why),) = decision.unusable
    assert together == ("no seats", "guest")
    assert "the station 'seats'" in why


def test_what_no_option_moves_and_what_none_moves_far_enough():
    limits = {"gvwr": "6000 lb", "axles": {"rear": {"gawr": "3300 lb"}}}
    decision = decide({"box": {"change": LEAVE_BOX}}, tow_vehicle=limits, trailer={"gvwr": "5500 lb"})
    failing = {f.rule for f in decision.today.findings if f.verdict in FAILING}
    assert failing == {"tow-vehicle-gross", "axle-load", "trailer-gross"}
    outcomes = {f.rule: outcome for f, outcome in decision.outcomes}
    assert outcomes == {"trailer-gross": UNMOVED, "axle-load": MOVED, "tow-vehicle-gross": MOVED}
    assert outcomes.keys() == failing
    assert not decision.clears_failing.any


def test_a_rig_that_only_another_truck_clears():
    decision = compare(variants.read(EXAMPLES / "cedar-pass-bigger-truck.yaml"), together=3)
    assert {f.rule for f in decision.today.findings if f.verdict in FAILING} == {"payload", "tow-vehicle-gross"}
    assert names(s for s in decision.scenarios if s.clears_failing) == [
        "another truck",
        "generator to the garage + another truck",
    ]
    assert names(decision.clears_all.priced) == ["another truck"]
    truck = next(s for s in decision.scenarios if s.names == ("another truck",))
    assert truck.left_behind == ()
    # pin 11020 - 8240 = 2780 lb; people and tools 620, hitch 180: 3580 lb of 5480 lb
    assert by_key(truck.report)["payload", "tow_vehicle", ""].margin / POUND == pytest.approx(5480 - 3580, abs=0.01)
    # 4930 + 3590 + 620 + 180 + 2780 = 12100 lb of 14000 lb
    assert by_key(truck.report)["tow-vehicle-gross", "tow_vehicle", "coupled"].margin / POUND == pytest.approx(1900, abs=0.01)
    sticker = next(s for s in decision.scenarios if s.names == ("a stiffer sticker",))
    assert rules(sticker.newly_failing) == ["rating-certificate"]
    assert by_key(sticker.report)["tow-vehicle-gross", "tow_vehicle", "coupled"].high / POUND == pytest.approx(10000)


def test_a_rig_that_moving_one_item_clears():
    considered = variants.read(EXAMPLES / "thistle-ford-generator.yaml")
    decision = compare(considered, together=2)
    kitchen, receiver, _ = decision.scenarios
    assert {f.rule for f in decision.today.findings if f.verdict in FAILING} == {"axle-load", "coupling-vertical"}
    assert names(decision.clears_all.priced) == ["generator to the kitchen"]
    # 165 lb from 36 to 160 in of 180 in: 113.67 lb off the coupling, and times (1 + 50 / 145) off the rear axle
    margins = by_key(kitchen.report)
    assert margins["coupling-vertical", "tow_vehicle", ""].margin / POUND == pytest.approx(700 - 740 + 113.667, abs=0.01)
    assert margins["axle-load", "tow_vehicle.axles.rear", "coupled"].margin / POUND == pytest.approx(-40 + 152.862, abs=0.01)
    assert (receiver.cleared, {f.rule for f in receiver.still_failing}) == ((), {"axle-load", "coupling-vertical"})
    planned = plan(judge(considered.rig)).planned
    assert {k: f.verdict for k, f in by_key(planned).items()} == {k: f.verdict for k, f in margins.items()}
    for k, finding in by_key(planned).items():
        assert (finding.margin or 0.0) == pytest.approx(margins[k].margin or 0.0, abs=1e-9)


def test_a_rig_whose_sag_helper_springs_cure_and_that_they_do_not_clear():
    decision = compare(variants.read(EXAMPLES / "juniper-flat-before.yaml"), together=1)
    springs, firewood, hitch = decision.scenarios
    failing = {"payload": -180, "tow-vehicle-gross": -180, "axle-load": -120}
    assert {f.rule: round(f.margin / POUND) for f in decision.today.findings if f.verdict in FAILING} == failing
    # the kit weighs 42 lb and sits over the axle: each limit is passed by 42 lb more
    assert {f.rule: round(f.margin / POUND) for f in springs.still_failing} == {rule: m - 42 for rule, m in failing.items()}
    assert (springs.cleared, springs.newly_failing, springs.newly_settled) == ((), (), ())
    squat = "squat", "tow_vehicle.axles.rear"
    sag = [next(f for k, f in by_key(r).items() if k[:2] == squat).load for r in (decision.today, springs.report)]
    assert sag[0] > 0.038  # 1.5 in
    assert sag[1] < 0.013  # half an inch
    assert {f.rule for f in firewood.cleared} == set(failing)
    # another hitch weighs 57 lb more than the old one, and what its rows allow is not in the file
    assert {f.rule: round(f.margin / POUND) for f in hitch.still_failing}["payload"] == -180 - 57
    assert "towing-limit" in {f.rule for f in hitch.newly_unsettled}


CHANGES = {
    "wood": LEAVE_WOOD,
    "box": LEAVE_BOX,
    "hitch": {"coupling": {"hardware_mass": "75 lb"}},
    "guest": {"tow_vehicle": {"load": {"guest": {"mass": "150 lb", "at": "seats", "person": "yes"}}}},
    "ballast": {"trailer": {"load": {"ballast": {"mass": "200 lb", "at": "back"}}}},
}


@settings(max_examples=5, deadline=None, derandomize=True)
@given(st.permutations(list(CHANGES)), st.lists(st.integers(0, 500), min_size=5, max_size=5))
def test_the_order_of_the_options_changes_nothing(order, costs):
    def outcome(listed):
        options = {n: {"cost": f"{costs[list(CHANGES).index(n)]} USD", "change": CHANGES[n]} for n in listed}
        decision = decide(options, together=5)
        verdicts = {
            frozenset(s.names): (
                s.report.overall,
                {k: (f.verdict, round(f.margin or 0.0, 6)) for k, f in by_key(s.report).items()},
            )
            for s in decision.scenarios
        }
        return verdicts, [s.cost.single for s in decision.clears_failing.priced]

    assert outcome(list(CHANGES)) == outcome(order)
    verdicts, _ = outcome(order)
    assert len(verdicts) == 2**5 - 1


def test_the_cheapest_is_the_cheapest_of_all_that_clear():
    costs = {"wood": 70, "box": 10, "hitch": 5, "guest": 1, "ballast": 30}
    options = {n: {"cost": f"{costs[n]} USD", "change": change} for n, change in CHANGES.items()}
    decision = decide(options, together=5, tow_vehicle={"axles": {"rear": {"gawr": "3970 lb"}}})
    clears = []
    for number in range(1, 6):
        for chosen in itertools.combinations(CHANGES, number):
            content = {
                **merged(RIG, {"tow_vehicle": {"axles": {"rear": {"gawr": "3970 lb"}}}}),
                "options": {"all": {"change": {}}},
            }
            for name in chosen:
                content["options"]["all"]["change"] = merged(content["options"]["all"]["change"], CHANGES[name])
            considered = variants.of(documents.parse(json.dumps(content), "a.yaml"))
            (one,) = compare(considered, together=1).scenarios
            if not any(f.verdict in FAILING for f in one.report.findings) and one.cleared:
                clears.append(sum(costs[name] for name in chosen))
    assert [int(s.cost.single[1]) for s in decision.clears_failing.priced] == [min(clears)]


def test_a_rig_without_options_is_just_judged():
    decision = decide({})
    assert decision.scenarios == ()
    assert decision.today.overall == judge(decision.considered.rig).overall == "over"


def test_a_rule_that_breaks_is_told():
    broken = Rule("a/broken", "t", lambda: 1 / 0, {"tow_vehicle": {}}, {}, "b", "q", "l", "w", "u", "e", origin="a test")
    content = {**RIG, "options": {"wood": {"change": LEAVE_WOOD}}}
    considered = variants.of(documents.parse(json.dumps(content), "a.yaml"))
    decision = compare(considered, Ruleset((*load().rules, broken), ()), together=1)
    assert decision.broken
    assert decision.clears_failing.any
    assert not decision.clears_all.any
    assert not decide({"wood": {"change": LEAVE_WOOD}}).broken
