"""What is on file for which place, and what several places ask of one rig."""

import textwrap

import pytest
from rigs import rig

from rigmargin.advice.places import WORST_FIRST, asked, covered, topics, unknown
from rigmargin.judge import plugins
from rigmargin.judge.finding import VERDICTS

FILE = """\
regulations: 1
place: {place}
name: {name}
authority: the office of {name}
read_on: {day}
status: statute
rules:
"""
RULE = """\
  {name}:
    title: A rule
    topic: {topic}
    citation: Ordinance {name}
    {more}
    require: {require}
    asks: {asks}
    cases: {{nothing known: {{given: {{}}, verdict: not_checked}}}}
"""
WIDE = "{compare: {this: {fact: trailer.width}, at_most: %s}}"
BRAKED = "{not: {word: {of: trailer.brakes.actuation, is: [none]}}}"
HEAVY = "when: {compare: {this: {mass: trailer, basis: rated}, more_than: %s}}"


@pytest.fixture
def law(tmp_path):
    """Makes a ruleset of the law of some places, each a list of rules."""

    def make(ours=False, **places):
        top = tmp_path / "county"
        top.mkdir()
        for code, rules in places.items():
            place = code.replace("_", "-")
            text = FILE.format(place=place, name=place.upper(), day=f"2026-01-{len(rules) + 9}")
            for i, rule in enumerate(rules):
                text += RULE.format(**{"name": f"r{i}", "more": "", "asks": "something"} | rule)
            (top / f"{place}.yaml").write_text("".join(x for x in text.splitlines(True) if x.strip()), "utf-8")
        points = plugins.installed() if ours else []
        ruleset = plugins.gather(points, [str(top)])
        assert ruleset.failures == ()
        return ruleset

    return make


def width(limit, **more):
    return {"topic": "dimensions", "require": WIDE % limit, "asks": f"a width of at most {limit}", **more}


def brakes(above="", **more):
    return {
        "topic": "trailer_brakes",
        "require": BRAKED,
        "asks": "brakes",
        **({"more": HEAVY % above} if above else {}),
        **more,
    }


def test_every_place_says_what_is_on_file_and_what_is_not(law):
    coverage = covered(law(us_wy=[width("102 in"), brakes()], us=[width("2.6 m")]))
    held = {h.place: h for h in coverage.places}
    assert set(held) == {"us", "us-wy"}
    assert [r.topic for r in held["us-wy"].rules] == ["trailer_brakes", "dimensions"]
    assert held["us-wy"].above == ("us",)
    assert set(held["us-wy"].lacking) == set(topics()) - {"dimensions", "trailer_brakes"}
    assert set(held["us"].lacking) == set(topics()) - {"dimensions"}
    assert held["us"].authority == "the office of US"
    assert coverage.read_on == ("2026-01-10", "2026-01-11")


def test_a_topic_of_a_place_above_is_not_lacking(law):
    coverage = covered(law(us=[brakes()], us_wy=[width("102 in")]), ["us-wy"])
    assert "trailer_brakes" not in next(h for h in coverage.places if h.place == "us-wy").lacking


def test_a_place_of_which_nothing_is_on_file_is_there_and_lacks_everything(law):
    [country, state] = covered(law(de=[width("2.55 m")]), ["us-mt"]).places
    assert (country.place, state.place) == ("us", "us-mt")
    for held in (country, state):
        assert held.rules == ()
        assert held.lacking == topics()


def test_nobody_is_left_out_of_the_topics():
    assert "other" not in topics()
    assert {"trailer_brakes", "speed", "licence"} <= set(topics())


def test_the_strictest_of_fixed_limits_is_the_lowest_whatever_its_unit(law):
    ruleset = law(us_wy=[width("102 in")], us_co=[width("2.5 m")], us_ut=[width("8 ft 6 in")])
    answer = asked(rig(trailer={"width": "2.55 m"}), ruleset, ["us-wy", "us-co", "us-ut"])
    # by hand: 102 in = 8 ft 6 in = 2.5908 m, so that 2.5 m asks most
    [most] = answer.strictest
    assert most.ordered
    assert [f.rule for f in most.findings] == ["county/us-co/r0"]
    assert {f.rule: f.verdict for f in answer.findings} == {
        "county/us-wy/r0": "within", "county/us-co/r0": "over", "county/us-ut/r0": "within",
    }  # fmt: skip


def test_limits_are_put_in_order_where_the_rig_s_own_figure_is_not_known(law):
    answer = asked(rig(), law(us_wy=[width("102 in")], us_co=[width("2.5 m")]), ["us-wy", "us-co"])
    assert {f.verdict for f in answer.findings} == {"not_checked"}
    assert [[f.rule for f in s.findings] for s in answer.strictest] == [["county/us-co/r0"]]


def test_of_lower_limits_the_highest_asks_most(law):
    fewer = {"topic": "trailer_brakes", "require": "{compare: {this: {fact: trailer.brakes.braked_axles}, at_least: %d}}"}
    ruleset = law(us_wy=[{**fewer, "require": fewer["require"] % 1}], us_co=[{**fewer, "require": fewer["require"] % 2}])
    answer = asked(rig(), ruleset, ["us-wy", "us-co"])
    assert [[f.rule for f in s.findings] for s in answer.strictest] == [["county/us-co/r0"]]


def test_what_is_required_anywhere_is_more_than_what_is_not(law):
    """The trailer of 2500 lb needs brakes in one state and none in the other."""
    trailer = {"gvwr": "2500 lb", "brakes": {"actuation": "none"}}
    answer = asked(rig(trailer=trailer), law(us_wy=[brakes("3000 lb")], us_co=[brakes("2000 lb")]), ["us-wy", "us-co"])
    assert [(f.rule, f.verdict) for f in answer.findings] == [("county/us-co/r0", "unmet")]
    [most] = answer.strictest
    assert most.ordered
    assert [f.rule for f in most.findings] == ["county/us-co/r0"]
    held = {h.place: answer.counts(h) for h in answer.coverage.places}
    assert held == {"us": {}, "us-wy": {}, "us-co": {"unmet": 1}}
    assert answer.worst == "unmet"


def test_requirements_that_differ_are_not_put_in_order(law):
    ruleset = law(us_wy=[brakes(asks="brakes")], us_co=[brakes(asks="brakes on every wheel")])
    [most] = asked(rig(), ruleset, ["us-wy", "us-co"]).strictest
    assert not most.ordered
    assert len(most.findings) == 2


def test_different_quantities_of_one_topic_each_have_their_strictest(law):
    high = {
        "topic": "dimensions",
        "require": "{compare: {this: {fact: trailer.height}, at_most: 13 ft 6 in}}",
        "asks": "height",
    }
    answer = asked(rig(), law(us_wy=[width("102 in"), high], us_co=[width("96 in")]), ["us-wy", "us-co"])
    assert [[f.rule for f in s.findings] for s in answer.strictest] == [["county/us-co/r0"], ["county/us-wy/r1"]]


def test_a_rule_of_the_country_counts_in_each_of_its_states(law):
    answer = asked(rig(trailer={"width": "3 m"}), law(us=[width("2.6 m")], us_wy=[brakes()]), ["us-wy", "us-co"])
    assert [dict(answer.counts(h)) for h in answer.coverage.places] == [
        {"over": 1}, {"over": 1}, {"over": 1, "not_checked": 1}
    ]  # fmt: skip


def test_without_places_on_the_command_line_the_rig_s_own_are_used(law):
    ruleset = law(us_wy=[width("102 in")])
    assert asked(rig(places=["us-wy"]), ruleset).findings
    nowhere = asked(rig(), ruleset)
    assert (nowhere.findings, nowhere.coverage.places, nowhere.worst) == ((), (), "")


def test_a_rule_that_gives_way_is_listed_with_what_stands_in_its_place(law):
    ruleset = law(ours=True, us_fl=[brakes(more="replaces: law/us-fl/trailer-brakes")])
    [florida] = [h for h in covered(ruleset, ["us-fl"]).places if h.place == "us-fl"]
    assert {"law/us-fl/trailer-brakes", "county/us-fl/r0"} <= {r.id for r in florida.rules}
    assert [(old.id, new.id) for old, new in florida.replaced] == [("law/us-fl/trailer-brakes", "county/us-fl/r0")]


def test_every_verdict_has_its_place_in_the_order_of_what_is_worst():
    assert sorted(WORST_FIRST) == sorted(VERDICTS)
    assert WORST_FIRST.index("not_checked") < WORST_FIRST.index("note") < WORST_FIRST.index("within")


def test_codes_of_no_place_are_told_with_what_is_meant():
    assert unknown(["us-fl", "uk", "eu", "us-fo"])[0] == ("uk", "gb")
    assert [code for code, _ in unknown(["us-fl", "uk", "eu", "us-fo"])] == ["uk", "us-fo"]


def test_a_broken_file_of_ours_is_a_failure_and_not_silence(tmp_path):
    (tmp_path / "us-wy.yaml").write_text(textwrap.dedent(FILE.format(place="us-wy", name="W", day="2026-13-01")), "utf-8")
    from rigmargin.judge.regulation import Shelf

    coverage = covered(plugins.Ruleset((), (), (Shelf("us-wy", tmp_path / "us-wy.yaml", "law", "here"),)), ["us-wy"])
    assert coverage.failures
    assert all(f.name == "here" for f in coverage.failures)
