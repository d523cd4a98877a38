"""Plugins that fail in every way a stranger's code can: what fails is named, nothing else is lost, and no report is clean."""

import importlib.metadata
import itertools
import textwrap

import pytest
from rigs import rig

from rigmargin.judge import apart, plugins
from rigmargin.judge.finding import EXIT
from rigmargin.judge.rule import RuleError, at_most, rule
from rigmargin.judge.run import judge

COUNT = itertools.count()
RULE = """
from rigmargin.judge.rule import at_most, hookimpl, rule, rules_in

@rule(
    {id!r}, title="A stranger's rule", each="tow_vehicle", needs={needs!r}, basis="A test.", quantity="The load",
    limit_name="the limit", why="For a test.", example="None.",
)
def check({takes}):
    '''Something a stranger checks.'''
    return {answer}
"""
HOOK = """
@hookimpl
def rigmargin_rules():
    return [check]
"""
LOAD = {"load": "coupling.vertical", "limit": ".max_coupling_load"}
ONE = {
    "coupling_load": {"value": "60 kg", "source": "measured", "plus_or_minus": "0 kg"},
    "tow_vehicle": {"max_noseweight": "75 kg"},
}


def body(id="stranger/check", needs=LOAD, takes="load, limit", answer="at_most(load, limit)", hook=HOOK):
    return RULE.format(id=id, needs=needs, takes=takes, answer=answer) + hook


@pytest.fixture
def shelf(tmp_path, monkeypatch):
    """A folder on sys.path in which distributions with plugins can be put; gives their entry points."""
    monkeypatch.syspath_prepend(tmp_path)

    def put(code, name="stranger", distribution=None):
        number = next(COUNT)
        distribution = distribution or f"dist-{number}"
        module = f"rigmargin_test_plugin_{number}"
        (tmp_path / f"{module}.py").write_text(textwrap.dedent(code))
        info = tmp_path / f"{distribution.replace('-', '_')}-1.0.dist-info"
        info.mkdir()
        (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {distribution}\nVersion: 1.0\n")
        (info / "entry_points.txt").write_text(f"[rigmargin.rules]\n{name} = {module}\n")
        found = importlib.metadata.PathDistribution(info).entry_points
        assert [p.name for p in found] == [name]
        return found[name]

    return put


def report(*points):
    return judge(rig(**ONE), plugins.gather(points))


def failed(one):
    """The names and reasons of what failed in a report; such a report must not look clean."""
    found = [(f.rule, f.reason) for f in one.findings if f.verdict == "rule_failed"]
    assert found
    assert one.overall == "rule_failed"
    assert EXIT[one.overall] == 5
    return found


def within(one):
    return [f.rule for f in one.findings if f.verdict == "within"]


def test_a_sound_plugin_is_used_and_named(shelf):
    one = report(shelf(body(), distribution="kind-stranger"))
    assert within(one) == ["stranger/check"]
    assert one.overall == "within"
    assert one.findings[0].source.origin == "plugin stranger of kind-stranger 1.0"


def test_an_installed_plugin_is_found_beside_our_own(shelf):
    shelf(body(), distribution="kind-stranger")
    found = plugins.gather(plugins.installed())
    assert found.failures == ()
    assert {"stranger/check", "axle-load"} <= {r.id for r in found.rules}


BROKEN = {
    "it does not import": (
        "import no_such_module_anywhere\n", "ModuleNotFoundError: No module named 'no_such_module_anywhere'"
    ),
    "it raises on import": ("raise RuntimeError('out of tune')\n", "RuntimeError: out of tune"),
    "it is no Python": ("def def def\n", "SyntaxError"),
    "its import ends the program": ("import sys\nsys.exit(0)\n", "SystemExit: 0"),
    "its hook ends the program": (
        body(hook="@hookimpl\ndef rigmargin_rules():\n    raise SystemExit('bye')\n"), "SystemExit: bye"
    ),
    "its hook raises": (body(hook="@hookimpl\ndef rigmargin_rules():\n    return 1 / 0\n"), "ZeroDivisionError"),
    "it brings nothing": (body(hook=""), "it brings no rules"),
    "its hook brings nothing": (body(hook="@hookimpl\ndef rigmargin_rules():\n    return []\n"), "it brings no rules"),
    "its hook is not marked": (body(hook="def rigmargin_rules():\n    return [check]\n"), "it brings no rules"),
    "its hook is misspelt": (
        body(hook="@hookimpl\ndef rigmargin_rule():\n    return [check]\n"), "unknown hook 'rigmargin_rule'"
    ),
    "its hook takes what is not offered": (
        body(hook="@hookimpl\ndef rigmargin_rules(rig):\n    return [check]\n"), "PluginValidationError"
    ),
    "it brings no iterable": (body(hook="@hookimpl\ndef rigmargin_rules():\n    return 3\n"), "TypeError"),
    "it brings what is no rule": (
        body(hook="@hookimpl\ndef rigmargin_rules():\n    return [check, 3]\n"), "3, which is not a rule"
    ),
    "its parameters and needs differ": (body(takes="load"), "takes ['load'] but needs name ['limit', 'load']"),
    "its id is not plain": (body(id="Stranger Check"), "is not plain hyphened words"),
}  # fmt: skip


@pytest.mark.parametrize("case", BROKEN)
def test_a_plugin_that_cannot_be_loaded_is_named_and_takes_nothing_with_it(shelf, case):
    code, words = BROKEN[case]
    one = report(shelf(code, name="broken"), shelf(body(), name="sound"))
    [(name, reason)] = failed(one)
    assert name == "broken"
    assert words in reason
    assert within(one) == ["stranger/check"]


def test_an_entry_point_to_nothing_is_named():
    point = importlib.metadata.EntryPoint("lost", "no_such_module_anywhere:thing", "rigmargin.rules")
    [(name, reason)] = failed(report(point))
    assert name == "lost"
    assert "plugin lost of an unknown distribution" in reason


def test_two_plugins_of_one_name(shelf):
    first = shelf(body(id="one/check"), name="twin", distribution="aaa")
    second = shelf(body(id="two/check"), name="twin", distribution="bbb")
    for order in ((first, second), (second, first)):
        one = report(*order)
        [(name, reason)] = failed(one)
        assert name == "twin"
        assert "2 plugins are called 'twin' (aaa, bbb); only that of aaa was used" in reason
        assert within(one) == ["one/check"]


def test_our_own_plugin_wins_over_a_stranger_s_of_the_same_name(shelf):
    ours = next(point for point in plugins.installed() if point.name == "core")
    one = report(shelf(body(), name="core", distribution="aaa"), ours)
    [(name, reason)] = failed(one)
    assert name == "core"
    assert "only that of rigmargin was used" in reason
    assert "coupling-vertical" in within(one)


def test_a_rule_id_used_twice(shelf):
    one = report(shelf(body(), name="first", distribution="aaa"), shelf(body(answer="at_most(limit, load)"), name="second"))
    [(name, reason)] = failed(one)
    assert name == "stranger/check"
    assert "is used twice: by plugin first of aaa 1.0, which was used" in reason
    assert within(one) == ["stranger/check"]


def test_our_own_rule_wins_over_a_stranger_s_of_the_same_id(shelf):
    ours = next(point for point in plugins.installed() if point.name == "core")
    one = report(shelf(body(id="coupling-vertical", answer="at_most(0, 1)"), name="aaa"), ours)
    [(name, _)] = failed(one)
    assert name == "coupling-vertical"
    assert next(f for f in one.findings if f.rule == "coupling-vertical" and f.verdict == "within").load == pytest.approx(60)


@pytest.mark.parametrize("fact", [".gros", "coupling.horizontal", "trailer.axles.*.tyres.colour", ""])
def test_a_rule_that_needs_a_fact_there_cannot_be(shelf, fact):
    stranger = shelf(body(needs={"load": fact}, takes="load", answer="at_most(load, 1)"))
    one = report(stranger, shelf(body(id="sound/check"), name="sound"))
    [(name, reason)] = failed(one)
    assert name == "stranger/check"
    assert "which no rig file has" in reason
    assert within(one) == ["sound/check"]


@pytest.mark.parametrize("fact", [".", "weighings", "weighings[].front", "tow_vehicle.stations", "trailer.axles.*.max_load"])
def test_a_rule_that_needs_what_is_no_single_figure_gets_nothing(shelf, fact):
    one = report(shelf(body(needs={"load": fact}, takes="load", answer="at_most(load, 1)")))
    [finding] = one.findings
    assert finding.verdict == "not_checked"
    assert [m.path for m in finding.missing] == ["tow_vehicle" if fact == "." else fact]


@pytest.mark.parametrize(
    ("answer", "words"),
    [
        ("1 / 0", "ZeroDivisionError"),
        ("exit(0)", "SystemExit: 0"),
        ("load.nothing", "AttributeError"),
        ("None", "it answered None, which is not one of the answers a rule may give"),
        ("at_most('heavy', limit)", "TypeError"),
        ("next(iter(()))", "StopIteration"),
    ],
)
def test_a_rule_that_fails_is_named_and_the_others_go_on(shelf, answer, words):
    one = report(shelf(body(answer=answer)), shelf(body(id="sound/check"), name="sound"))
    [(name, reason)] = failed(one)
    assert words in reason
    assert name == "stranger/check"
    assert within(one) == ["sound/check"]


def test_a_rule_whose_limit_is_not_a_number_is_never_within(shelf):
    one = report(shelf(body(answer="at_most(load, float('nan'))")))
    assert within(one) == []
    assert EXIT[one.overall] != 0


def test_a_rule_gets_what_it_names_and_what_is_missing_is_not_invented(shelf):
    code = body(needs={**LOAD, "places": "places"}, takes="load, limit, places=('nowhere',)")
    assert within(report(shelf(code))) == ["stranger/check"]
    one = report(shelf(body(needs={**LOAD, "places": "places"}, takes="load, limit, places"), name="other"))
    [finding] = one.findings
    assert finding.verdict == "not_checked"
    assert [m.path for m in finding.missing] == ["places"]


def test_a_rule_without_a_docstring_is_refused():
    with pytest.raises(RuleError, match="has no docstring to say what it checks"):

        @rule("a-b", title="", each="trailer", needs={}, basis="", quantity="", limit_name="", why="", example="")
        def check():
            return at_most(1, 2)


def test_two_subjects_with_needs_of_their_own_must_fill_the_same_parameters():
    each = {"tow_vehicle": {"limit": ".max_mass"}, "trailer": {}}
    with pytest.raises(RuleError, match=r"needs name \['load'\] for trailer"):

        @rule("a-b", title="", each=each, needs={"load": ".gross"}, basis="", quantity="", limit_name="", why="", example="")
        def check(load, limit):
            """Something."""
            return at_most(load, limit)


LAW = """\
regulations: 1
place: {place}
name: Somewhere
authority: its road department
read_on: 2026-03-14
status: statute
rules:
  mass:
    title: A trailer weighs no more than 2 t
    topic: towing_mass
    citation: Ordinance 1
    require: {{compare: {{this: {{mass: trailer, basis: actual}}, at_most: 2 t}}}}
    asks: a trailer of at most 2 t
    cases: {{light: {{given: {{mass trailer actual: 1 t}}, verdict: within}}}}
"""
BRINGS = """
from pathlib import Path
from rigmargin.judge.rule import hookimpl

@hookimpl
def rigmargin_regulations():
    return [Path({folder!r})]
"""


def test_a_plugin_brings_regulations_under_its_own_name(shelf, tmp_path):
    (tmp_path / "law").mkdir()
    (tmp_path / "law" / "us-wy.yaml").write_text(LAW.format(place="us-wy"), "utf-8")
    (tmp_path / "law" / "us-co.yaml").write_text("regulations: 2\n", "utf-8")
    point = shelf(BRINGS.format(folder=str(tmp_path / "law")), name="Heron Club", distribution="heron")
    weighed = {"places": ["us-wy"], "weighings": [{"state": "trailer_alone", "all": "2100 kg", "increment": "10 kg"}]}
    one = judge(rig(**ONE, **weighed), plugins.gather([point]))
    assert [f.rule for f in one.findings if f.verdict == "over"] == ["heron-club/us-wy/mass"]
    broken = [(f.rule, f.reason) for f in one.findings if f.verdict == "rule_failed"]
    assert broken
    assert all(name == "Heron Club" and "us-co.yaml:1:" in reason for name, reason in broken)


@pytest.mark.parametrize(("name", "folder"), [("law", "law"), ("heron", "no-such-folder")])
def test_a_plugin_whose_regulations_cannot_be_used_is_named_and_keeps_its_rules(shelf, tmp_path, name, folder):
    (tmp_path / "law").mkdir()
    (tmp_path / "law" / "us-wy.yaml").write_text(LAW.format(place="us-wy"), "utf-8")
    code = BRINGS.format(folder=str(tmp_path / folder)) + body()
    one = report(shelf(code, name=name))
    [(failure, reason)] = failed(one)
    assert failure == name
    assert "need a prefix of their own" in reason or "no-such-folder" in reason
    assert within(one) == ["stranger/check"]


def test_a_plugin_that_hangs_when_it_is_imported_is_stopped_and_named(shelf, monkeypatch):
    monkeypatch.setattr(apart, "LOAD_LIMIT", 5.0)
    one = report(shelf("while True: pass\n", name="hangs"), shelf(body(), name="sound"))
    [(name, reason)] = failed(one)
    assert name == "hangs"
    assert "it did not end within 5 s while it was loaded, and was stopped" in reason
    assert within(one) == ["stranger/check"]


def test_what_a_plugin_prints_stays_out_of_the_output_and_is_told(shelf, capfd, caplog):
    one = report(shelf("print('HERE I AM')\n" + body(answer="print('AND HERE') or at_most(load, limit)"), name="loud"))
    assert within(one) == ["stranger/check"]
    assert capfd.readouterr().out == ""
    told = [r.getMessage() for r in caplog.records]
    assert len(told) == 2
    assert all("plugin loud of" in text and "kept out of the output" in text for text in told)


def test_a_plugin_that_ends_its_process_is_named(shelf):
    one = report(shelf("import os\nos._exit(0)\n", name="ends"), shelf(body(), name="sound"))
    [(name, reason)] = failed(one)
    assert name == "ends"
    assert "it ended its process (exit code 0) while it was loaded" in reason
    assert within(one) == ["stranger/check"]
