"""Regulation files from outside: a named folder's and a plugin's, beside those that come with rigmargin."""

import textwrap

import pytest
from rigs import rig

from rigmargin import cli
from rigmargin.judge import plugins
from rigmargin.judge.finding import EXIT
from rigmargin.judge.run import judge

LAW = """\
regulations: 1
place: {place}
name: Somewhere
authority: its road department
read_on: 2026-03-14
status: {status}
rules:
  {name}:
    title: A trailer weighs no more than {limit}
    topic: {topic}
    citation: Ordinance 1
    {more}
    require: {{compare: {{this: {{mass: trailer, basis: actual}}, at_most: {limit}}}}}
    asks: a trailer of at most {limit}
    cases:
      light:
        given: {{mass trailer actual: 100 kg}}
        verdict: {verdict}
"""
PLACES = {"places": ["us-wy"], "weighings": [{"state": "trailer_alone", "all": "2000 kg", "increment": "10 kg"}]}
OURS = next(point for point in plugins.installed() if point.name == "core")


def law(place="us-wy", status="statute", name="mass", limit="1.9 t", topic="towing_mass", more="", verdict="within"):
    text = LAW.format(place=place, status=status, name=name, limit=limit, topic=topic, more=more, verdict=verdict)
    return "".join(line for line in text.splitlines(True) if line.strip())


@pytest.fixture
def county(tmp_path):
    """A folder called Some County; gives a way to put files into it, and its path."""
    top = tmp_path / "Some County"
    top.mkdir()

    def put(text, name="us-wy.yaml"):
        (top / name).write_text(textwrap.dedent(text), "utf-8")
        return str(top)

    return put


def report(folder, *points, **parts):
    return judge(rig(**PLACES | parts), plugins.gather(points, [folder]))


def verdicts(one):
    return {f.rule: f.verdict for f in one.findings if "/" in f.rule and f.verdict != "rule_failed"}


def test_a_regulation_of_a_named_folder_judges_under_the_folder_s_prefix(county):
    one = report(county(law()))
    assert verdicts(one) == {"some-county/us-wy/mass": "over"}
    finding = next(f for f in one.findings if f.rule == "some-county/us-wy/mass")
    assert finding.source.origin == "local file Some County/us-wy.yaml"
    assert "read in the law or its agency's own page on 2026-03-14" in finding.source.basis
    assert finding.margin == pytest.approx(-100)  # by hand: 1900 - 2000 kg


def test_a_rig_that_travels_elsewhere_is_not_spoken_of(county):
    assert verdicts(report(county(law()), places=["us-co"])) == {}
    assert verdicts(report(county(law(place="us"), "us.yaml"), places=["us-co"])) == {"some-county/us/mass": "over"}


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("bridge.yaml", law(), "us-wy.yaml"),
        ("us-wy.yaml", law().replace("    citation: Ordinance 1\n", ""), "citation"),
        ("us-wy.yaml", "just words\n", "Some County/us-wy.yaml: "),
        ("us-wy.yaml", law().replace("at_most: 1.9 t", "at_most: '1,9 t'"), "us-wy.yaml:12:"),
        ("us-wy.yml", law(), "us-wy.yml is not read: rename it us-wy.yaml"),
    ],
)
def test_a_file_that_is_no_regulation_is_told_at_once_and_the_run_goes_on(county, name, text, words):
    county(law(place="us-co"), "us-co.yaml")
    one = report(county(text, name), places=["us-co"])
    failed = [(f.rule, f.reason) for f in one.findings if f.verdict == "rule_failed"]
    assert {rule for rule, _ in failed} == {f"Some County/{name}"}
    assert any(words in reason for _, reason in failed), failed
    assert EXIT[one.overall] in (1, 5)
    assert verdicts(one)["some-county/us-co/mass"] == "over"


def test_rig_files_and_files_of_cases_in_the_folder_are_passed_over(county):
    county("rig: 1\nname: x\ntow_vehicle: {}\ncoupling: {kind: pintle}\ntrailer: {}\n", "rig.yaml")
    county("rule: a/b\ncases: {}\n", "cases.yaml")
    one = report(county(law()))
    assert [f for f in one.findings if f.verdict == "rule_failed"] == []


@pytest.mark.parametrize("name", ["law", "山"])
def test_a_folder_whose_name_gives_no_prefix_of_its_own_is_refused(tmp_path, name):
    (tmp_path / name).mkdir()
    (tmp_path / name / "us-wy.yaml").write_text(law(), "utf-8")
    one = report(str(tmp_path / name))
    [reason] = [f.reason for f in one.findings if f.verdict == "rule_failed"]
    assert "its regulations need a prefix of their own" in reason
    assert verdicts(one) == {}


FLORIDA = {"places": ["us-fl"], "trailer": {"brakes": {"actuation": "none"}}, "weighings": PLACES["weighings"]}


def test_a_regulation_replaces_ours_only_by_name_and_says_so(county, capsys, monkeypatch):
    theirs = law("us-fl", more="replaces: law/us-fl/trailer-brakes")
    folder = county(theirs, "us-fl.yaml")
    plain = judge(rig(**FLORIDA), plugins.gather([OURS]))
    assert verdicts(plain)["law/us-fl/trailer-brakes"] == "unmet"
    one = judge(rig(**FLORIDA), plugins.gather([OURS], [folder]))
    assert verdicts(one)["law/us-fl/trailer-brakes"] == "note"
    assert verdicts(one)["some-county/us-fl/mass"] == "over"
    [note] = [f.reason for f in one.findings if f.rule == "law/us-fl/trailer-brakes"]
    assert note == "not run: some-county/us-fl/mass (local file Some County/us-fl.yaml) stands in its place"
    monkeypatch.setenv("COLUMNS", "300")
    assert cli.main(["rules", "--rules", folder]) == 0
    assert (
        "some-county/us-fl/mass (local file Some County/us-fl.yaml) replaces law/us-fl/trailer-brakes"
        in capsys.readouterr().out
    )


def test_what_replaces_a_rule_elsewhere_leaves_it_alone_here(county):
    """The rule that replaces speaks only in its own place, and only within its dates."""
    folder = county(law("us-tx", more="replaces: law/us-fl/trailer-brakes"), "us-tx.yaml")
    ruleset = plugins.gather([OURS], [folder])
    assert ruleset.failures == ()
    assert verdicts(judge(rig(**FLORIDA), ruleset))["law/us-fl/trailer-brakes"] == "unmet"
    past = law("us-fl", more="replaces: law/us-fl/trailer-brakes\n    in_force: {to: 2020-12-31}")
    folder = county(past, "us-fl.yaml")
    ruleset = plugins.gather([OURS], [folder])
    assert verdicts(judge(rig(**FLORIDA, date="2026-06-01"), ruleset))["law/us-fl/trailer-brakes"] == "unmet"


@pytest.mark.parametrize(
    ("old", "words"),
    [
        ("law/us-fl/no-such", "which is no rule on file"),
        ("axle-load", "only a regulation, or a rule with a prefix, can be replaced"),
        ("some-county/us-fl/mass", "which itself replaces another"),
    ],
)
def test_a_replacement_that_cannot_be_is_told(county, old, words):
    ruleset = plugins.gather([OURS], [county(law("us-fl", more=f"replaces: {old}"), "us-fl.yaml")])
    [failure] = ruleset.failures
    assert failure.name == "some-county/us-fl/mass"
    assert words in failure.reason
    assert ruleset.replaced == ()


def test_a_regulation_read_second_hand_or_from_memory_never_gives_a_verdict(county):
    for status in ("second_hand", "memory"):
        one = report(county(law(status=status, verdict="note"), "us-wy.yaml"))
        assert verdicts(one) == {"some-county/us-wy/mass": "note"}


def test_rules_lists_and_explains_regulations_from_outside(county, capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "300")
    folder = county(law())
    assert cli.main(["rules", "--rules", folder]) == 0
    listed = capsys.readouterr().out
    assert "some-county/us-wy/mass" in listed
    assert "local file Some County/us-wy.yaml" in listed
    assert "listed by 'rigmargin places'" in listed
    assert cli.main(["rules", "--rules", folder, "some-county/us-wy/mass"]) == 0
    assert "local file Some County/us-wy.yaml" in capsys.readouterr().out
    assert cli.main(["rules", "law/us-fl/trailer-brakes"]) == 0
    assert "Fla. Stat. 316.261" in capsys.readouterr().out
    assert cli.main(["rules", "law/us-fl/trailer-brake"]) == 2
    assert "did you mean 'law/us-fl/trailer-brakes'?" in capsys.readouterr().err
