"""The decision rule, the order of findings, and what a report concludes from them."""

import itertools
import json
import random

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from rigs import BARE, POUND, merged, rig

from rigmargin.judge import plugins, regulation
from rigmargin.judge.finding import EXIT, VERDICTS, Finding, Report
from rigmargin.judge.rule import agree, at_least, at_most, band, not_applicable, requires, rule, undecided
from rigmargin.judge.run import judge
from rigmargin.loads import facts
from rigmargin.loads.facts import Facts
from rigmargin.loads.value import Figures
from rigmargin.spec.rig import parse

LIMIT = "tow_vehicle.max_coupling_load"


def made(check, id="a-test", needs=None, each="tow_vehicle", **more):
    """A rule of ``check``, by default on the coupling load and its limit."""
    needs = {"load": "coupling.vertical", "limit": LIMIT} if needs is None else needs
    return rule(
        id, title="A test", each=each, needs=needs, basis="A test.", quantity="The load", limit_name="the limit",
        why="A test.", example="None.", **more,
    )(check)  # fmt: skip


def judged(*rules, **parts):
    return judge(rig(**parts), plugins.Ruleset(tuple(rules), ()))


def measured(kilograms, spread=0):
    return {"coupling_load": {"value": f"{kilograms} kg", "source": "measured", "plus_or_minus": f"{spread} kg"}}


def limited(kilograms, spread=0):
    return {"tow_vehicle": {"max_noseweight": {"value": f"{kilograms} kg", "plus_or_minus": f"{spread} kg"}}}


@made
def up_to(load, limit):
    """No more than the limit."""
    return at_most(load, limit)


@made
def no_less(load, limit):
    """No less than the limit."""
    return at_least(load, limit)


@made
def between(load, limit):
    """Between half the limit and the limit."""
    return band(load, 0.5 * limit, limit)


@pytest.mark.parametrize(
    ("load", "spread", "verdict"),
    [
        # margin = 100 - load, U = spread: within if margin >= U, over if margin <= -U, else too close (JCGM 106:2012, 8.3.2)
        (90, 9, "within"), (90, 10, "within"), (90, 11, "too_close"), (99, 2, "too_close"), (100, 1, "too_close"),
        (101, 2, "too_close"), (110, 11, "too_close"), (110, 10, "over"), (110, 9, "over"), (99, 0, "within"),
        (100, 0, "at_limit"), (101, 0, "over"), ("99.999", 0, "within"), ("100.001", 0, "over"),
    ],
)  # fmt: skip
def test_guarded_acceptance_of_an_upper_limit(load, spread, verdict):
    [finding] = judged(up_to, **measured(load, spread), **limited(100)).findings
    assert finding.verdict == verdict
    assert finding.margin == pytest.approx(100 - float(load))
    assert finding.uncertainty == pytest.approx(spread)


@pytest.mark.parametrize(
    ("load", "spread", "verdict"),
    [(110, 10, "within"), (110, 11, "too_close"), (100, 0, "at_limit"), (90, 11, "too_close"), (90, 10, "outside_band")],
)
def test_guarded_acceptance_of_a_lower_limit(load, spread, verdict):
    [finding] = judged(no_less, **measured(load, spread), **limited(100)).findings
    assert finding.verdict == verdict
    assert finding.margin == pytest.approx(load - 100)


@pytest.mark.parametrize(
    ("load", "spread", "verdict", "margin"),
    [
        (75, 25, "within", 25), (75, 26, "too_close", 25), (51, 0, "within", 1), (50, 0, "at_limit", 0),
        (49, 0, "outside_band", -1),
        (99, 0, "within", 1), (100, 0, "at_limit", 0), (101, 0, "outside_band", -1), (45, 5, "outside_band", -5),
        (45, 6, "too_close", -5), (110, 10, "outside_band", -10), (98, 3, "too_close", 2),
    ],
)  # fmt: skip
def test_guarded_acceptance_of_a_band(load, spread, verdict, margin):
    [finding] = judged(between, **measured(load, spread), **limited(100)).findings
    assert finding.verdict == verdict
    assert finding.margin == pytest.approx(margin)


def test_the_uncertainty_of_the_limit_counts_too():
    # hypot(6, 8) = 10
    [finding] = judged(up_to, **measured(91, 6), **limited(100, 8)).findings
    assert finding.uncertainty == pytest.approx(10)
    assert finding.verdict == "too_close"
    assert finding.doubt.path == LIMIT
    assert finding.doubt.share == pytest.approx(0.64)


def test_a_figure_on_both_sides_counts_once():
    same = made(up_to.check, needs={"load": LIMIT, "limit": LIMIT})
    [finding] = judged(same, **limited(100, 30)).findings
    assert (finding.verdict, finding.margin, finding.uncertainty) == ("at_limit", 0, 0)


def test_what_is_taken_away_to_be_within_includes_the_uncertainty():
    [finding] = judged(made(up_to.check, cures=("Take {excess} away.",)), **measured(120, 8), **limited(100)).findings
    assert finding.excess == pytest.approx(28)
    assert finding.cures == ("Take {excess} away.",)
    # with that much less it is within
    [after] = judged(up_to, **measured(92, 8), **limited(100)).findings
    assert after.verdict == "within"


def test_evidence_names_the_lines_the_finding_rests_on():
    [finding] = judged(up_to, **measured(120, 8), **limited(100)).findings
    assert [e.stated.path for e in finding.evidence] == ["coupling_load", LIMIT]
    assert finding.limit.path == LIMIT


@pytest.mark.parametrize(
    ("answer", "verdict"),
    [
        (requires(True, found="a", expected="b"), "within"),
        (requires(False, found="a", expected="b"), "unmet"),
        (not_applicable("no"), "not_applicable"),
        (undecided(".max_mass", reason="unknown"), "not_checked"),
        (agree(100.0, 100.4, one_name="a", other_name="b", used="a"), "within"),
        (agree(100.0, 102.0, one_name="a", other_name="b", used="a"), "conflict"),
        (at_most(2, 1), "over"),
    ],
)
def test_what_a_rule_may_answer(answer, verdict):
    def check(load):
        """A fixed answer."""
        return answer

    [finding] = judged(made(check, needs={"load": "coupling.vertical"}), **measured(1)).findings
    assert finding.verdict == verdict


def test_figures_that_are_no_masses_must_agree_within_what_they_are_known_to():
    """A pressure of one pascal or a share of one whole is no rounding."""

    def check(low, high):
        """Two shares."""
        return agree(low, high, one_name="one", other_name="other", used="one")

    path = "tow_vehicle.coupling_share_band"
    same = made(check, needs={"low": f"{path}.low", "high": f"{path}.high"})
    [finding] = judged(same, tow_vehicle={"coupling_share_band": {"low": "5 %", "high": "15 %"}}).findings
    assert finding.verdict == "conflict"


def test_an_undecided_rule_names_the_facts_with_how_to_learn_them():
    def check(load):
        """Undecided."""
        return undecided(".max_mass", "trailer.gross", reason="nobody knows")

    [finding] = judged(made(check, needs={"load": "coupling.vertical"}), **measured(1)).findings
    assert [m.path for m in finding.missing] == ["tow_vehicle.max_mass", "weighings.coupled.trailer_axles"]
    assert all(m.how for m in finding.missing)


def test_an_empty_mapping_is_asked_for():
    rules = made(up_to.check, each="coupling.parts.*", needs={"load": "coupling.vertical", "limit": ".max_vertical_load"})
    [finding] = judged(rules, **measured(1)).findings
    assert (finding.verdict, finding.subject) == ("not_checked", "coupling.parts")
    assert [m.path for m in finding.missing] == ["coupling.parts"]


def test_the_weakest_link_of_a_chain_is_named():
    each = {"tow_vehicle": {"limit": ".max_coupling_load"}, "coupling.parts.*": {"limit": ".max_vertical_load"}}
    rules = made(up_to.check, each=each, needs={"load": "coupling.vertical"}, chain=True)
    parts = {"towbar": {"max_vertical_load": "85 kg"}, "head": {"max_vertical_load": "50 kg"}, "unlabelled": {}}
    one = judged(rules, **measured(40), **limited(75), coupling={"parts": parts})
    assert {f.subject: f.weakest_of for f in one.findings} == {
        "tow_vehicle": 0, "coupling.parts.towbar": 0, "coupling.parts.head": 3, "coupling.parts.unlabelled": 0,
    }  # fmt: skip
    assert one.overall == "not_checked"


TICKET = {"increment": "10 kg", "front": "1000 kg", "rear": "1200 kg", "trailer_axles": "1500 kg"}


def test_a_rule_on_states_is_judged_in_each_that_was_weighed():
    rules = made(up_to.check, needs={"load": ".gross", "limit": ".max_mass"}, states=True)
    tickets = [{"state": "coupled", **TICKET}, {"state": "coupled_distributing", **TICKET, "rear": "1100 kg"}]
    bars = {"coupling": {"kind": "weight_distributing"}}
    one = judged(rules, tow_vehicle={"max_mass": "3000 kg"}, weighings=tickets, **bars)
    assert {(f.state, f.load) for f in one.findings} == {("coupled", 2200), ("coupled_distributing", 2100)}
    slack_only = judged(rules, tow_vehicle={"max_mass": "3000 kg"}, weighings=tickets[:1])
    assert [f.state for f in slack_only.findings] == ["coupled"]


# --- order and conclusion ------------------------------------------------------------------------------------------------


def report(*verdicts):
    one = rig()
    return Report(one, Facts(one), tuple(Finding(f"r{i}", "trailer", "", v) for i, v in enumerate(verdicts)))


def test_every_verdict_has_an_exit_code_and_the_order_is_the_stated_one():
    stated = ["over", "outside_band", "rule_failed", "conflict", "too_close", "not_checked", "at_limit", "within"]
    assert [v for v in VERDICTS if v in stated] == stated
    assert set(EXIT) == set(VERDICTS)
    assert {v for v, code in EXIT.items() if code == 0} == {"at_limit", "within", "note", "not_applicable"}
    assert {v for v, code in EXIT.items() if code == 1} == {"over", "unmet", "outside_band"}


@pytest.mark.parametrize(("better", "worse"), [(b, w) for w, b in itertools.combinations(VERDICTS, 2)])
def test_the_worst_verdict_decides(better, worse):
    assert report(better, worse, better).overall == worse


def test_nothing_checked_is_not_clean():
    assert report().overall == "not_checked"
    assert EXIT[report().overall] == 3


def test_counts_are_those_of_the_findings():
    assert report("within", "over", "within").counts == {"over": 1, "within": 2}


def test_what_binds_is_the_least_margin_for_its_limit():
    heavy = made(lambda_of(1000, 1100), id="heavy", needs={})
    light = made(lambda_of(95, 100), id="light", needs={})
    one = judged(heavy, light)
    # 100 of 1100 is 9 %, 5 of 100 is 5 %
    assert one.tightest.rule == "light"
    assert [f.rule for f in one.findings] == ["light", "heavy"]


def test_what_is_not_checked_does_not_bind():
    assert judged(up_to, **limited(100)).tightest is None


def lambda_of(load, limit):
    def check():
        """Fixed figures."""
        return at_most(load, limit)

    return check


@settings(deadline=None, max_examples=30)
@given(st.randoms(use_true_random=False))
def test_the_order_of_rules_does_not_matter(chance):
    rules = list(plugins.load().rules)
    wanted = [_plain(f) for f in judge(_whole(), plugins.Ruleset(tuple(rules), ())).findings]
    chance.shuffle(rules)
    assert [_plain(f) for f in judge(_whole(), plugins.Ruleset(tuple(rules), ())).findings] == wanted


WHOLE = {
    "places": ["us"],
    "tow_vehicle": {
        "kind": "pickup", "gvwr": "7000 lb", "gcwr": "15000 lb", "payload": "1500 lb", "max_trailer_mass": "8000 lb",
        "max_tongue_weight": "800 lb", "wheelbase": "150 in", "coupling_behind_rear_axle": "60 in",
        "unloaded": {"front": "3000 lb", "rear": "2400 lb"},
        "axles": {"front": {"gawr": "3500 lb"}, "rear": {"gawr": "3900 lb"}},
        "load": {"driver": {"mass": "180 lb", "at": "70 in"}, "tools": {"mass": "150 lb", "at": "-10 in"}},
    },
    "coupling": {"hardware_mass": "40 lb", "parts": {"ball": {"max_towed_mass": "6000 lb", "max_vertical_load": "700 lb"}}},
    "trailer": {
        "kind": "travel_trailer", "gvwr": "6500 lb", "coupling_to_axle_centre": "200 in",
        "unloaded": {"coupling": "520 lb", "axles": "4300 lb"},
        "axles": {"tandem": {"number": 2, "gawr": "3000 lb", "equalized": "yes"}},
        "load": {"camping gear": {"mass": "600 lb", "at": "120 in"}, "bikes": {"mass": "80 lb", "at": "290 in"}},
    },
}  # fmt: skip


def _whole(**over):
    return rig(**merged(WHOLE, over))


def _plain(finding):
    """What a finding says, without objects that are made anew each time and rounded below what sums in another order leave."""
    numbers = (finding.load, finding.low, finding.high, finding.margin, finding.uncertainty, finding.excess)
    texts = (finding.rule, finding.subject, finding.state, finding.verdict, finding.reason, finding.notes)
    return texts, tuple(None if n is None else round(n, 6) for n in numbers), tuple(m.path for m in finding.missing)


def _shuffled(data, chance):
    """The same data with the keys of every mapping in another order."""
    if not isinstance(data, dict):
        return data
    keys = list(data)
    chance.shuffle(keys)
    return {key: _shuffled(data[key], chance) for key in keys}


@settings(deadline=None, max_examples=30)
@given(st.randoms(use_true_random=False))
@example(random.Random(1))
def test_the_order_of_keys_in_the_file_does_not_matter(chance):
    text = json.dumps(_shuffled(merged(BARE, WHOLE), chance))
    assert sorted(map(_plain, judge(parse(text, "test.yaml")).findings), key=str) == sorted(
        map(_plain, judge(_whole()).findings), key=str
    )


#: Masses that cannot fall when something is added. What sits behind the trailer's axles lightens the coupling and the vehicle.
TRAILER_MASSES = {"combination-gross", "trailer-gross", "towing-limit", "coupling-towed-mass"}
ALL_MASSES = TRAILER_MASSES | {"tow-vehicle-gross", "payload"}


@settings(deadline=None, max_examples=60)
@given(
    st.sampled_from(
        [
            ("tow_vehicle", "70 in", ALL_MASSES),
            ("tow_vehicle", "-10 in", ALL_MASSES),
            ("trailer", "120 in", ALL_MASSES),
            ("trailer", "290 in", TRAILER_MASSES),
        ]
    ),
    st.integers(1, 900),
)
def test_more_mass_never_raises_the_margin_of_a_whole_mass(where, pounds):
    vehicle, at, rules = where
    heavier = {vehicle: {"load": {"extra": {"mass": f"{pounds} lb", "at": at}}}}
    before = {(f.rule, f.subject): f for f in judge(_whole()).findings if f.rule in rules}
    after = {(f.rule, f.subject): f for f in judge(_whole(**heavier)).findings if f.rule in rules}
    assert {rule for rule, _ in before} == rules
    assert set(before) == set(after)
    for key, finding in before.items():
        assert after[key].margin <= finding.margin + 1e-9


@settings(deadline=None, max_examples=40)
@given(st.floats(0, 300), st.floats(0, 300), st.floats(0, 300), st.floats(0, 60))
def test_a_heavier_load_never_gets_a_better_verdict(load, more, limit, spread):
    order = ["within", "at_limit", "too_close", "over"]
    light, heavy = (judged(_fixed(_value(x, spread), limit + 1), **measured(1)).findings[0] for x in (load, load + more))
    assert order.index(heavy.verdict) >= order.index(light.verdict)


def _value(number, spread):
    return Figures().new("x", number, spread / 2)


def _fixed(load, limit):
    def check(any_fact):
        """A fixed comparison."""
        return at_most(load, limit)

    return made(check, needs={"any_fact": "coupling.vertical"})


def test_findings_are_frozen_and_carry_their_rule():
    [finding] = judged(up_to, **measured(90), **limited(100)).findings
    assert finding.source is up_to
    with pytest.raises(AttributeError):
        finding.verdict = "within"


@pytest.mark.parametrize("drop", sorted({*WHOLE["tow_vehicle"], *WHOLE["trailer"], "places", "hardware_mass", "parts"}))
def test_whatever_is_left_out_nothing_fails_and_nothing_turns_better(drop):
    data = merged(BARE, WHOLE)
    for holder in (data, data["tow_vehicle"], data["trailer"], data["coupling"]):
        if holder is not data["coupling"] or drop != "kind":  # a rig file must say how the trailer is coupled
            holder.pop(drop, None)
    before = {(f.rule, f.subject): f for f in judge(_whole()).findings}
    after = judge(parse(json.dumps(data), "test.yaml"))
    assert "rule_failed" not in after.counts
    unsettled = {"not_checked", "not_applicable"}
    for finding in after.findings:
        was = before.get((finding.rule, finding.subject))
        if was and was.verdict in unsettled:
            assert finding.verdict in unsettled


def test_a_bare_rig_is_judged_and_found_unknown():
    one = judge(rig())
    assert one.overall == "not_checked"
    assert "rule_failed" not in one.counts
    assert "within" not in one.counts
    assert all(f.missing for f in one.findings if f.verdict == "not_checked")


def _told(one):
    """All that was found, with the inputs behind it."""
    return [(f.key, f.verdict, f.margin, f.uncertainty, f.reason, f.evidence, f.inputs) for f in one.findings]


def test_what_is_remembered_from_one_rig_never_reaches_another():
    # alike but for one thing each, so that whatever is kept by too little would be taken for another's
    rigs = [
        _whole(),
        *(
            parse(json.dumps(merged(BARE, merged(WHOLE, more))), "test.yaml")
            for more in (
                {"places": ["ca-on"], "use": "private"},
                {"places": ["ca-on"], "use": "commercial"},
                {"places": ["de"]},
                {"tow_vehicle": {"gvwr": "4000 kg"}},
                {
                    "weighings": [
                        {"state": "coupled", "front": "1000 kg", "rear": "1900 kg", "all": "3800 kg", "increment": "10 kg"}
                    ]
                },
            )
        ),
    ]
    alone = [_told(judge(each)) for each in rigs]
    assert len({str(told) for told in alone}) == len(rigs)
    regulation._law.cache_clear()
    facts.path_of.cache_clear()
    assert [_told(judge(each)) for each in reversed(rigs)] == alone[::-1]


def test_what_is_remembered_has_an_end():
    kept = (regulation._law, regulation._widest_first, regulation.read, facts.path_of, facts.how_to_learn, Facts.parts)
    assert all(each.cache_info().maxsize for each in kept)


PAIR = {"axles": {"pair": {"number": 2, "equalized": "yes", "gawr": "3000 lb"}}}


def weighed_pair(pounds):
    """A trailer on two equalized axles under one entry, which a ticket read together."""
    ticket = {"state": "coupled", "front": "2900 lb", "rear": "4000 lb", "trailer_axles": f"{pounds} lb", "increment": "20 lb"}
    report = judge(rig(weighings=[ticket], trailer=PAIR))
    return next(f for f in report.findings if f.rule == "axle-load" and f.subject == "trailer.axles.pair")


def test_one_of_two_axles_passes_what_both_pass_on_average():
    # 6200 lb on two axles: one of them carries 3100 lb at least, however they share; a half of a reading is known to 5.8 lb
    finding = weighed_pair(6200)
    assert (finding.verdict, finding.at_least) == ("over", True)
    assert finding.margin == pytest.approx(-100 * POUND)
    assert finding.uncertainty == pytest.approx(20 / 12**0.5 * POUND)


def test_two_axles_kept_on_average_by_less_than_they_may_share_unevenly_are_too_close():
    # 5900 lb: 2950 lb each on average, and within 10 % of that up to 3245 lb
    finding = weighed_pair(5900)
    assert (finding.verdict, finding.at_least) == ("too_close", False)


def test_two_axles_kept_however_they_share_are_within():
    assert weighed_pair(5400).verdict == "within"  # 2700 lb each, at most 2970 lb
