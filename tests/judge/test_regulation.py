"""Law as data: conditions of three values, places, dates, use, how the source was read, and files that are broken."""

import itertools
import json
import textwrap

import pytest
from rigs import BARE, rig

from rigmargin.judge import plugins, regulation, truth
from rigmargin.judge.finding import EXIT
from rigmargin.judge.run import judge
from rigmargin.judge.source import Brought, Source
from rigmargin.loads.facts import Known
from rigmargin.report.display import Display
from rigmargin.report.words import sentence
from rigmargin.spec.condition import Every, Not, Word
from rigmargin.spec.rig import parse

HEAD = """\
regulations: 1
place: {place}
name: {name}
authority: the roads department
read_on: 2026-02-01
status: statute
rules:
"""
RULE = """\
  {id}:
    title: A rule
    topic: {topic}
    citation: Roads Act {id}
    asks: {asks}
    {more}
    require: {require}
    cases: {{nothing known: {{given: {{}}, verdict: not_checked}}}}
"""
LIGHT = "{compare: {this: {mass: trailer, basis: actual}, at_most: 3000 lb}}"
BRAKED = "{not: {word: {of: trailer.brakes.actuation, is: [none]}}}"


def entry(id="one", require=LIGHT, topic="other", asks="a light trailer", **more):
    lines = "\n    ".join(f"{key}: {value}" for key, value in more.items()) or "note: None."
    return RULE.format(id=id, require=require, topic=topic, asks=asks, more=lines)


@pytest.fixture
def law(tmp_path):
    """Writes regulation files; gives the ruleset of them alone."""

    def write(prefix="law", origin="a test", **files):
        for kept in (regulation.read, regulation._law):
            kept.cache_clear()  # a file may be written again under its name
        folder = tmp_path / prefix
        folder.mkdir(exist_ok=True)
        for place, rules in files.items():
            code = place.replace("_", "-")
            whole = rules if rules.startswith("regulations") else HEAD.format(place=code, name=f"The land of {code}") + rules
            (folder / f"{code}.yaml").write_text(whole)
        return plugins.Ruleset((), (), tuple(regulation.shelves(folder, prefix, origin)))

    return write


def weighed(pounds, spread="0 lb", **parts):
    """A rig whose loaded trailer was weighed on its own."""
    ticket = {"state": "trailer_alone", "increment": "1 lb", "all": {"value": f"{pounds} lb", "plus_or_minus": spread}}
    return rig(**{"places": ["us-wy"], "weighings": [ticket], **parts})


def bound(**trailer):
    """A rig whose trailer is only known to weigh a tonne or more."""
    empty = {"total": {"value": "1 t", "plus_or_minus": "0 kg"}}
    return parse(json.dumps({**BARE, "places": ["us-wy"], "trailer": {"unloaded": empty, **trailer}}), "test.yaml")


def verdicts(one, ruleset):
    return {f.rule: f.verdict for f in judge(one, ruleset).findings if f.rule != regulation.LOOKED_AT}


def said(one, ruleset, rule="law/us-wy/one"):
    report = judge(one, ruleset)
    (finding,) = [f for f in report.findings if f.rule == rule]
    return sentence(finding, one, Display(("us",)))


# --- three values ------------------------------------------------------------------------------------------------------

T, F, U = Word("use", ("private",), "the use"), Word("use", ("commercial",), "the use"), Word("owner", ("x",), "the owner")
KNOWN = {"use": Known("private", "")}
VALUE = {T: True, F: False, U: None}


def holds(condition):
    return truth.truth(condition, KNOWN).holds


def test_the_three_values_to_begin_with():
    assert [holds(each) for each in (T, F, U)] == [True, False, None]


@pytest.mark.parametrize("pair", list(itertools.product((T, F, U), repeat=2)), ids=lambda p: f"{VALUE[p[0]]} {VALUE[p[1]]}")
def test_kleene(pair):
    """Kleene's strong tables: all is the least and any the greatest of false < unknown < true; not turns them round."""
    rank = {False: 0, None: 1, True: 2}
    by_rank = {number: value for value, number in rank.items()}
    values = [rank[VALUE[each]] for each in pair]
    assert holds(Every(pair)) is by_rank[min(values)]
    assert holds(Every(pair, any=True)) is by_rank[max(values)]
    assert holds(Not(pair[0])) is by_rank[2 - values[0]]
    # De Morgan's laws hold in it
    assert holds(Not(Every(pair))) is holds(Every((Not(pair[0]), Not(pair[1])), any=True))


def test_what_is_unknown_is_named_and_what_decides_is_told():
    both = truth.truth(Every((T, U)), KNOWN)
    assert (both.holds, both.missing, both.found) == (None, ("owner",), ())
    assert truth.truth(Every((F, U)), KNOWN) == truth.Truth(False, ("the use: private",))


# --- comparisons -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("operator", "expected"),
    [
        ("at_most", ("within", "at_limit", "over")),
        ("less_than", ("within", "over", "over")),
        ("at_least", ("outside_band", "at_limit", "within")),
        ("more_than", ("outside_band", "outside_band", "within")),
    ],
)
def test_a_pound_on_either_side_of_the_line(law, operator, expected):
    ruleset = law(us_wy=entry(require=LIGHT.replace("at_most", operator)))
    assert tuple(verdicts(weighed(p), ruleset)["law/us-wy/one"] for p in (2999, 3000, 3001)) == expected


def test_what_a_reader_is_told(law):
    ruleset = law(us_wy=entry())
    assert said(weighed(3100), ruleset) == (
        "The loaded trailer's mass (The land of us-wy), 3100 lb, passes what is allowed under Roads Act one, 3000 lb, "
        "by 100 lb."
    )
    strict = law(us_wy=entry(require=LIGHT.replace("at_most", "less_than")))
    equal = "equals what is allowed under Roads Act one, 3000 lb, and has to stay below it."
    assert said(weighed(3000), strict).endswith(equal)
    report = judge(weighed(3100), ruleset)
    assert report.findings[0].source.basis == (
        "Roads Act one (The land of us-wy); read in the law or its agency's own page on 2026-02-01. None."
    )


@pytest.mark.parametrize(("pounds", "verdict"), [(2980, "within"), (2981, "too_close"), (3019, "too_close"), (3020, "over")])
def test_a_limit_is_decided_only_beyond_the_uncertainty(law, pounds, verdict):
    """Known to 20 lb (coverage factor 2): decided from a margin of 20 lb on."""
    assert verdicts(weighed(pounds, "20 lb"), law(us_wy=entry())) == {"law/us-wy/one": verdict}


@pytest.mark.parametrize(
    ("pounds", "verdict"), [(2980, "not_applicable"), (2981, "not_checked"), (3019, "not_checked"), (3020, "unmet")]
)
def test_so_is_whether_a_rule_speaks(law, pounds, verdict):
    ruleset = law(us_wy=entry(require=BRAKED, when=LIGHT.replace("at_most", "more_than")))
    one = weighed(pounds, "20 lb", trailer={"brakes": {"actuation": "none"}})
    assert verdicts(one, ruleset) == {"law/us-wy/one": verdict}
    if verdict == "not_checked":
        assert "is too close to 3000 lb to tell" in said(one, ruleset)


def test_a_mere_lower_bound_decides_only_what_more_would_not_change(law):
    """1000 kg empty and no list of what it carries: it weighs 1000 kg or more."""
    one = bound(brakes={"actuation": "none"})
    assert judge(one, law(us_wy=entry())).facts.loads["trailer.gross", "coupled"].best.at_least

    def verdict(limit):
        when = f"{{compare: {{this: {{mass: trailer, basis: actual}}, more_than: {limit}}}}}"
        return verdicts(one, law(us_wy=entry(require=BRAKED, when=when)))["law/us-wy/one"]

    assert verdict("900 kg") == "unmet"
    assert verdict("1100 kg") == "not_checked"


def test_a_bound_elsewhere_in_the_rule_does_not_cloud_a_comparison(law):
    """It speaks of trailers over 900 kg, of which this is surely one; its width is measured and within."""
    when = "{compare: {this: {mass: trailer, basis: actual}, more_than: 900 kg}}"
    ruleset = law(us_wy=entry(require="{compare: {this: {fact: trailer.width}, at_most: 2.6 m}}", when=when))
    one = bound(width="2.3 m")
    assert verdicts(one, ruleset) == {"law/us-wy/one": "within"}


def test_of_several_limits_one_that_is_passed_decides_though_another_is_missing(law):
    least = "{compare: {this: {mass: trailer, basis: actual}, at_most: {least: [3000 lb, {mass: tow_vehicle, basis: rated}]}}}"
    ruleset = law(us_wy=entry(require=least))
    assert verdicts(weighed(3001), ruleset) == {"law/us-wy/one": "over"}
    assert verdicts(weighed(2999), ruleset) == {"law/us-wy/one": "not_checked"}
    assert verdicts(weighed(2999, tow_vehicle={"gvwr": "2900 lb"}), ruleset) == {"law/us-wy/one": "over"}
    assert "2900 lb" in said(weighed(2999, tow_vehicle={"gvwr": "2900 lb"}), ruleset)


def test_greatest_sum_difference_share_and_counts(law):
    """By hand: 40 % of 6000 lb is 2400 lb; 5000 + 3000 lb is 8000 lb; 5000 - 3000 lb is 2000 lb."""

    def amount(text, limit):
        require = f"{{compare: {{this: {text}, at_most: {limit}}}}}"
        parts = {"tow_vehicle": {"gvwr": "5000 lb", "gcwr": "6000 lb"}, "trailer": {"brakes": {"braked_axles": 2}}}
        return verdicts(weighed(3000, **parts), law(us_wy=entry(require=require)))["law/us-wy/one"]

    own = "{mass: trailer, basis: actual}"
    rated, both = "{mass: tow_vehicle, basis: rated}", "{mass: combination, basis: rated}"
    assert [amount(f"{{sum: [{own}, {rated}]}}", f"{n} lb") for n in (7999, 8000)] == ["over", "at_limit"]
    assert [amount(f"{{difference: [{rated}, {own}]}}", f"{n} lb") for n in (1999, 2000)] == ["over", "at_limit"]
    assert [amount(f"{{share: 40 %, of: {both}}}", f"{n} lb") for n in (2399, 2400)] == ["over", "at_limit"]
    assert [amount(f"{{greatest: [{own}, {rated}]}}", f"{n} lb") for n in (4999, 5000)] == ["over", "at_limit"]
    assert [amount("{fact: trailer.brakes.braked_axles}", n) for n in (1, 2)] == ["unmet", "within"]


def test_a_row_of_a_table(law, tmp_path):
    row = "{row: {table: steps, by: {mass: tow_vehicle, basis: rated}, column: most}}"
    ruleset = law(us_wy=entry(require=f"{{compare: {{this: {{mass: trailer, basis: actual}}, at_most: {row}}}}}"))
    (tmp_path / "law" / "tables").mkdir()
    (tmp_path / "law" / "tables" / "steps.csv").write_text("up_to,most\n5000 lb,3000 lb\n6000 lb,3100 lb\n")
    behind = {n: verdicts(weighed(3050, tow_vehicle={"gvwr": f"{n} lb"}), ruleset)["law/us-wy/one"] for n in (5000, 5001, 6001)}
    assert behind == {5000: "over", 5001: "within", 6001: "not_checked"}
    assert "beyond the table steps" in said(weighed(3050, tow_vehicle={"gvwr": "6001 lb"}), ruleset)


def test_empty_and_rated_masses(law):
    """Empty is without what the papers' figure includes: 1500 kg less a driver of 75 kg. Ratings: two axles of 800 kg."""
    parts = {
        "places": ["us-wy"],
        "tow_vehicle": {
            "unloaded": {"total": {"value": "1500 kg", "plus_or_minus": "0 kg"}, "includes": ["driver 75 kg"]},
            "load": {"driver": {"mass": {"value": "90 kg", "plus_or_minus": "0 kg"}, "person": "yes"}},
        },
        "trailer": {"axles": {"pair": {"number": 2, "max_load": "800 kg"}}},
    }

    def verdict(whose, basis, limit):
        require = f"{{compare: {{this: {{mass: {whose}, basis: {basis}}}, at_most: {limit} kg}}}}"
        return verdicts(rig(**parts), law(us_wy=entry(require=require)))["law/us-wy/one"]

    assert [verdict("tow_vehicle", "empty", n) for n in (1424, 1425)] == ["over", "at_limit"]
    assert [verdict("trailer_axles", "rated", n) for n in (1599, 1600)] == ["over", "at_limit"]
    assert verdict("trailer", "empty", 900) == "not_checked"


def test_words_lists_and_what_is_fitted(law):
    def verdict(require, **parts):
        return verdicts(rig(places=["us-wy"], **parts), law(us_wy=entry(require=require)))["law/us-wy/one"]

    licence = "{has: {of: driver.licences, any: [BE, B96]}}"
    assert verdict(licence, driver={"licences": ["B", "BE"]}) == "within"
    assert verdict(licence, driver={"licences": ["B"]}) == "unmet"
    assert verdict(licence, driver={"licences": []}) == "not_checked"
    assert verdict("{fitted: coupling.safety_chains.fitted}", coupling={"safety_chains": {"fitted": "no"}}) == "unmet"
    assert verdict("{fitted: coupling.safety_chains.fitted}") == "not_checked"


def test_two_ways_of_knowing_that_differ_leave_it_open(law):
    """5460 lb by itself; coupled less alone 7300 + 4900 - 6580 = 5620 lb: the line at 5500 lb is between the two."""
    step = {"increment": "20 lb"}
    tickets = [
        {"state": "alone", "front": "3300 lb", "rear": "3280 lb", **step},
        {"state": "coupled", "front": "3200 lb", "rear": "4100 lb", "trailer_axles": "4900 lb", **step},
        {"state": "trailer_alone", "all": "5460 lb", **step},
    ]
    one = rig(places=["us-wy"], weighings=tickets, trailer={"brakes": {"actuation": "none"}})
    limit = LIGHT.replace("3000", "5500")
    ruleset = law(us_wy=entry(require=BRAKED, when=limit.replace("at_most", "more_than")))
    assert verdicts(one, ruleset) == {"law/us-wy/one": "not_checked"}
    assert "two ways of knowing the loaded trailer's mass say different things" in said(one, ruleset)
    assert verdicts(one, law(us_wy=entry(require=limit))) == {"law/us-wy/one": "conflict"}
    far = LIGHT.replace("3000", "5000").replace("at_most", "more_than")  # on the same side of both
    assert verdicts(one, law(us_wy=entry(require=BRAKED, when=far))) == {"law/us-wy/one": "unmet"}


# --- where, when and for whom ------------------------------------------------------------------------------------------


def test_a_place_includes_its_parents_and_no_other(law):
    ruleset = law(us=entry("federal"), us_wy=entry(), us_id=entry(), eu=entry("union"), de=entry())
    assert set(verdicts(weighed(3100), ruleset)) == {"law/us/federal", "law/us-wy/one"}
    assert set(verdicts(weighed(3100, places=["us"]), ruleset)) == {"law/us/federal"}
    assert set(verdicts(weighed(3100, places=["de", "us-id"]), ruleset)) == {
        "law/eu/union", "law/de/one", "law/us/federal", "law/us-id/one",
    }  # fmt: skip
    assert verdicts(weighed(3100, places=[]), ruleset) == {}


def test_the_report_says_which_law_was_looked_at(law):
    ruleset = law(us=entry("federal"), us_wy=entry())
    note = regulation.LOOKED_AT
    assert said(weighed(3100), ruleset, note) == (
        "The law of the places: The land of us (us) and The land of us-wy (us-wy) were looked at (2 rules). Not legal "
        "advice; may be out of date."
    )
    assert "(1 rule); nothing is held for us-id. Not" in said(weighed(3100, places=["us-id"]), ruleset, note)
    assert said(weighed(3100, places=[]), ruleset, note) == (
        "The law of the places: the rig file names no place, so no law was looked at; name the places it travels in under "
        "places."
    )


@pytest.mark.parametrize(
    ("date", "verdict"),
    [("2013-01-18", None), ("2013-01-19", "over"), ("2029-12-31", "over"), ("2030-01-01", None), ("", "not_checked")],
)
def test_dates_in_force(law, date, verdict):
    ruleset = law(us_wy=entry(in_force="{from: 2013-01-19, to: 2029-12-31}"))
    one = weighed(3100, **({"date": date} if date else {}))
    assert verdicts(one, ruleset).get("law/us-wy/one") == verdict
    if not date:
        assert [m.path for m in judge(one, ruleset).findings[0].missing] == ["date"]


@pytest.mark.parametrize(("use", "verdict"), [("private", None), ("commercial", "over"), ("", "not_checked")])
def test_use(law, use, verdict):
    ruleset = law(us_wy=entry(use="commercial"))
    one = weighed(3100, **({"use": use} if use else {}))
    assert verdicts(one, ruleset).get("law/us-wy/one") == verdict
    if not use:
        assert [m.path for m in judge(one, ruleset).findings[0].missing] == ["use"]


@pytest.mark.parametrize(
    ("trailer", "verdict"),
    [
        ({"kind": "boat", "built": "1990-05-01"}, "over"),
        ({"kind": "utility", "built": "1990-05-01"}, "not_applicable"),
        ({"kind": "boat", "built": "1970-12-31"}, "not_applicable"),
        ({"built": "1970-12-31"}, "not_applicable"),
        ({"kind": "boat"}, "not_checked"),
        ({"built": "1990-05-01"}, "not_checked"),
    ],
)
def test_kinds_and_dates_of_build(law, trailer, verdict):
    ruleset = law(us_wy=entry(applies_to="{trailer_kind: [boat], built: {from: 1971-01-01}}"))
    assert verdicts(weighed(3100, trailer=trailer), ruleset) == {"law/us-wy/one": verdict}


def test_a_rule_of_a_plugin_may_hold_in_some_places_only():
    from rigmargin.judge.rule import requires, rule

    @rule(
        "stranger/there", title="Only there", each="trailer", needs={}, basis="A test.", quantity="It", limit_name="it",
        why="A test.", example="None.", places=("us-wy",),
    )  # fmt: skip
    def check():
        """Nothing."""
        return requires(True, found="so", expected="so")

    ruleset = plugins.Ruleset((check,), ())
    assert set(verdicts(weighed(3000), ruleset)) == {"stranger/there"}
    assert verdicts(weighed(3000, places=["us"]), ruleset) == {}


# --- how the source was read -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("more", [{"status": "second_hand"}, {"status": "memory"}, {"conflict": "One list says 2000 lb."}])
@pytest.mark.parametrize(("pounds", "would"), [(2999, "would meet"), (3001, "would not meet"), (0, "may or may not meet")])
def test_what_was_not_read_itself_can_only_ask_to_check_locally(law, more, pounds, would):
    ruleset = law(us_wy=entry(**more))
    one = weighed(pounds) if pounds else rig(places=["us-wy"])
    report = judge(one, ruleset)
    (finding,) = [f for f in report.findings if f.rule == "law/us-wy/one"]
    assert (finding.verdict, EXIT[report.overall]) == ("note", 0)
    text = said(one, ruleset)
    assert "check locally: under Roads Act one (" in text
    assert f"this is asked: a light trailer; by it this rig {would} it." in text
    assert {"second_hand": "read second-hand, 2026-02-01", "memory": "from memory, 2026-02-01"}.get(
        more.get("status"), "read, 2026-02-01, and not settled: one list says 2000 lb"
    ) in text
    assert "Ask the roads department." in finding.notes


def test_where_it_does_not_speak_a_second_hand_rule_says_so_and_where_that_is_unknown_it_speaks(law):
    ruleset = law(us_wy=entry(require=BRAKED, status="memory", when=LIGHT.replace("at_most", "more_than")))
    assert verdicts(weighed(2999), ruleset) == {"law/us-wy/one": "not_applicable"}
    assert verdicts(rig(places=["us-wy"]), ruleset) == {"law/us-wy/one": "note"}
    assert "may or may not meet it" in said(rig(places=["us-wy"], trailer={"brakes": {"actuation": "none"}}), ruleset)


# --- files -------------------------------------------------------------------------------------------------------------


def test_a_broken_file_is_a_finding_with_file_line_and_problem_and_the_others_go_on(law):
    ruleset = law(us=entry("federal"), us_wy=entry().replace("at_most", "above").replace("asks", "axks"))
    report = judge(weighed(3100), ruleset)
    failed = {f.rule: f.reason for f in report.findings if f.verdict == "rule_failed"}
    assert list(failed) == ["law/us-wy"]
    assert "us-wy.yaml of a test could not be read: us-wy.yaml:8:3: rules.one.asks: found no field" in failed["law/us-wy"]
    assert failed["law/us-wy"].endswith("; and 2 more problems")
    assert "law/us/federal" in verdicts(weighed(3100), ruleset)
    assert EXIT[report.overall] in (1, 5)


def test_a_broken_file_of_a_place_nobody_goes_to_is_not_even_read(law):
    ruleset = law(us=entry("federal"), us_id="regulations: what\n")
    assert set(verdicts(weighed(2000), ruleset)) == {"law/us/federal"}


def test_a_rule_from_outside_may_replace_one_of_ours(law, tmp_path):
    law(us_wy=entry())
    law("club", us_wy=entry("two", require=LIGHT.replace("3000", "3200"), replaces="law/us-wy/one"))
    ours = Source("ours", "here", lambda: Brought((), (tmp_path / "law",)), "law", ours=True)
    theirs = Source("theirs", "there", lambda: Brought((), (tmp_path / "club",)), "club")
    both = plugins.collect([ours, theirs])
    assert verdicts(weighed(3100), both) == {"club/us-wy/two": "within", "law/us-wy/one": "note"}
    report = judge(weighed(3100), both)
    (finding,) = [f for f in report.findings if f.rule == "club/us-wy/two"]
    assert "It replaces law/us-wy/one." in finding.source.basis


def test_a_rule_id_that_two_files_give_is_told(law, tmp_path):
    ours = law(us_wy=entry())
    again = plugins.Ruleset((), (), (*ours.shelves, *regulation.shelves(tmp_path / "law", "law", "another test")))
    report = judge(weighed(3100), again)
    assert [f.verdict for f in report.findings if f.rule == "law/us-wy/one"] == ["over", "rule_failed"]
    (reason,) = [f.reason for f in report.findings if f.verdict == "rule_failed"]
    assert reason == "the rule id 'law/us-wy/one' is used twice: by a test, which was used, and by another test"


def test_a_plugin_brings_regulations_by_its_hook(tmp_path, monkeypatch):
    (tmp_path / "there").mkdir()
    (tmp_path / "there" / "us-wy.yaml").write_text(HEAD.format(place="us-wy", name="Wyoming") + entry())
    code = f"""
    from pathlib import Path
    from rigmargin.judge.rule import hookimpl

    @hookimpl
    def rigmargin_regulations():
        return [Path({str(tmp_path)!r}) / "there", Path({str(tmp_path)!r}) / "nowhere"]
    """
    (tmp_path / "law_plugin_of_a_test.py").write_text(textwrap.dedent(code))
    monkeypatch.syspath_prepend(tmp_path)
    point = plugins.importlib.metadata.EntryPoint("Our Club", "law_plugin_of_a_test", plugins.hooks.GROUP)
    ruleset = plugins.gather([point])
    assert verdicts(weighed(3100), ruleset)["our-club/us-wy/one"] == "over"
    (failure,) = ruleset.failures
    assert "there is no regulation file or folder 'nowhere'" in failure.reason


def test_the_forty_percent_are_held_with_the_bars_slack_and_tensioned():
    """2500 lb of trailer: slack 2200 of 5950 lb are 37.0 %, tensioned 2400 of 5750 lb are 41.7 % (Fla. Stat. 316.261: 40 %)."""
    step = {"increment": "2 lb"}
    one = judge(
        rig(
            places=["us-fl"], use="private", coupling={"kind": "weight_distributing"},
            trailer={"kind": "utility", "brakes": {"actuation": "none"}},
            weighings=[
                {"state": "alone", "front": "2800 lb", "rear": "2850 lb", **step},
                {"state": "coupled", "front": "2700 lb", "rear": "3250 lb", "trailer_axles": "2200 lb", **step},
                {"state": "coupled_distributing", "front": "2760 lb", "rear": "2990 lb", "trailer_axles": "2400 lb", **step},
            ],
        )
    )  # fmt: skip
    told = {f.state: f.verdict for f in one.findings if f.rule == "law/us-fl/trailer-brakes"}
    assert told == {"coupled": "not_applicable", "coupled_distributing": "unmet"}


def test_a_limit_that_two_weighings_give_differently_is_not_decided_by_their_order():
    """Code de la route R312-3 (older text): 1.3 times the tow vehicle as weighed, 1500 or 1380 kg; trailer 1900 kg."""
    tickets = [{"state": "alone", "tow_vehicle": f"{mass} kg", "increment": "1 kg"} for mass in (1500, 1380)]
    whole = {"state": "trailer_alone", "all": "1900 kg", "increment": "1 kg"}
    axles = {"state": "alone", "front": "800 kg", "rear": "700 kg", "tow_vehicle": "1380 kg", "increment": "1 kg"}
    one = judge(rig(places=["fr"], use="private", weighings=[axles, whole]))
    told = next(f for f in one.findings if f.rule == "law/fr/actual-ratio")
    assert told.verdict not in ("over", "within")
    for ticket in tickets:
        sure = judge(rig(places=["fr"], use="private", weighings=[ticket, whole]))
        verdict = next(f.verdict for f in sure.findings if f.rule == "law/fr/actual-ratio")
        assert verdict == {"1500 kg": "within", "1380 kg": "over"}[ticket["tow_vehicle"]]


def test_the_nearest_limit_by_the_figures_does_not_hide_one_that_is_less_well_known():
    """StVZO section 42(2): the least of 750 kg and half of empty vehicle and driver, (1440 + 75) / 2 = 757.5 ± 30 kg."""
    one = judge(
        rig(
            places=["de"], use="private", date="2026-06-01",
            tow_vehicle={"kind": "car", "unloaded": {"total": {"value": "1440 kg", "plus_or_minus": "60 kg"}}},
            trailer={"kind": "utility", "brakes": {"actuation": "none"}, "axles": {"one": {"number": 1}}},
            weighings=[
                {"state": "trailer_alone", "trailer_axles": {"value": "745 kg", "plus_or_minus": "1 kg"},
                 "coupling": {"value": "40 kg", "plus_or_minus": "1 kg"}, "increment": "1 kg"},
            ],
        )
    )  # fmt: skip
    told = next(f for f in one.findings if f.rule == "law/de/unbraked-mass")
    assert told.verdict in ("too_close", "not_checked")
