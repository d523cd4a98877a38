"""``rigmargin rules --try``: a rule file before it is used."""

from pathlib import Path

import pytest

from rigmargin import cli
from rigmargin.spec.rig import load

EXAMPLES = Path(__file__).parents[2] / "specs_examples"
LAW = """\
regulations: 1
place: us-wy
name: Some County
authority: its road department
read_on: 2026-03-14
status: statute
rules:
  mass:
    title: A trailer weighs no more than 2 t
    topic: towing_mass
    citation: Ordinance 1
    require: {compare: {this: {mass: trailer, basis: actual}, at_most: 2 t}}
    asks: a trailer of at most 2 t
    cases:
      light: {given: {mass trailer actual: 1.9 t}, verdict: within}
      heavy: {given: {mass trailer actual: 2.1 t}, verdict: over, words: [by 100 kg]}
"""
CODE = """\
from rigmargin.judge.rule import at_most, rule

@rule(
    "club/mass", title="A trailer weighs no more than 2 t", each="trailer", needs={"load": ".gross"}, basis="The club.",
    quantity="The loaded trailer", limit_name="the club's limit", why="For a test.", example="None.",
)
def check(load):
    '''The trailer's mass against 2 t.'''
    return at_most(load, 2000.0)
"""
CASES = """\
rule: club/mass
cases:
  light: {given: {load: 1.9 t}, verdict: within, margin: 100 kg}
  heavy: {given: {load: 2.1 t}, verdict: over}
"""


@pytest.fixture
def put(tmp_path):
    def write(name, text):
        (tmp_path / "club").mkdir(exist_ok=True)
        (tmp_path / "club" / name).write_text(text, "utf-8")
        return str(tmp_path / "club" / name)

    return write


def tried(capsys, *arguments):
    code = cli.main(["rules", "--try", *map(str, arguments)])
    printed = capsys.readouterr()
    return code, printed.out, printed.err


def test_a_regulation_whose_cases_come_out(put, capsys):
    code, out, err = tried(capsys, put("us-wy.yaml", LAW))
    assert (code, err) == (0, "")
    assert "club/us-wy/mass: A trailer weighs no more than 2 t" in out
    assert "● light: expected within, found within" in out
    assert "● heavy: expected over, found over" in out
    # by hand, from its tickets: 3000 + 3640 + 5480 - 3260 - 2700 = 6160 lb = 2794 kg, which is 1751 lb past 4409 lb
    assert "Sample pickup with a travel trailer, in us-wy:\n  ▲ over: The loaded trailer's mass (Some County), 6160 lb" in out
    # 950 + 960 + 1330 - 980 - 860 = 1400 kg
    assert "Sample car with a caravan, in us-wy:\n  ● within: The loaded trailer's mass (Some County), 1400 kg" in out


def test_a_case_that_does_not_come_out_is_shown_with_what_was_found(put, capsys):
    code, out, _ = tried(capsys, put("us-wy.yaml", LAW.replace("1.9 t}, verdict: within", "2.2 t}, verdict: within")))
    assert code == 1
    assert "▲ light: expected within, found over" in out
    assert "● heavy" in out


def test_words_that_a_reader_does_not_find_fail_the_case(put, capsys):
    code, out, _ = tried(capsys, put("us-wy.yaml", LAW.replace("by 100 kg", "by a feather")))
    assert code == 1
    assert "'by a feather' does not occur in" in out


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("us-wy.yaml", LAW.replace("2 t}}", "2,5 t}}").replace("at_most: 2,5 t", "at_most: '2,5 t'"), "us-wy.yaml:12:"),
        ("us-co.yaml", LAW, "us-co.yaml"),
        ("broken.py", "x = 1\n1 / 0\n", "line 2: ZeroDivisionError"),
        ("plain.py", CODE.replace("club/mass", "mass"), "has no prefix"),
        ("words.txt", "hello", "words.txt"),
    ],
)
def test_a_file_that_cannot_be_used_says_why(put, capsys, name, text, words):
    code, _, err = tried(capsys, put(name, text))
    assert code == 4
    assert words in err


def test_a_file_that_is_not_there(tmp_path, capsys):
    for name in ("us-wy.yaml", "none.py"):
        code, _, err = tried(capsys, tmp_path / name)
        assert code == 4
        assert name in err


def test_a_python_file_with_cases_beside_it(put, capsys):
    put("any-name.yaml", CASES)
    code, out, err = tried(capsys, put("mass.py", CODE))
    assert (code, err) == (0, "")
    assert "● light: expected within, found within" in out
    assert "▲ over: The loaded trailer, 6160 lb" in out


def test_a_rule_without_cases_is_not_said_to_come_out(put, capsys):
    code, out, _ = tried(capsys, put("mass.py", CODE))
    assert code == 1
    assert "no cases: nothing shows that it says what it should" in out


@pytest.mark.parametrize(
    ("cases", "words"),
    [
        (CASES.replace("load: 2.1", "lode: 2.1"), "takes no ['lode']"),
        (CASES.replace(", verdict: over", ""), "no verdict"),
        (CASES.replace("2.1 t", "2.1 stone"), "'2.1 stone' for trailer.gross is no quantity"),
    ],
)
def test_cases_that_cannot_be_run_say_why(put, capsys, cases, words):
    put("cases.yaml", cases)
    code, out, _ = tried(capsys, put("mass.py", CODE))
    assert code == 1
    assert words in out


def test_on_takes_rigs_of_your_own_in_their_own_places(put, capsys):
    code, out, _ = tried(capsys, put("us-wy.yaml", LAW), "--on", EXAMPLES)
    assert code == 0
    silent = out.count("nothing: none of its rules speaks of this rig in these places")
    assert silent == len([path for path in EXAMPLES.glob("*.yaml") if "us-wy" not in load(path).places]) > 5
    put("mass.yaml", CASES)
    code, out, _ = tried(capsys, put("mass.py", CODE), "--on", EXAMPLES / "quarry-bend-utility.yaml")
    assert code == 0
    assert "Quarry Bend utility trailer, in us and us-vt:\n  ● within: The loaded trailer" in out


def test_a_rig_that_cannot_be_read_is_told(put, capsys, tmp_path):
    code, _, err = tried(capsys, put("us-wy.yaml", LAW), "--on", tmp_path / "none.yaml")
    assert code == 4
    assert "none.yaml" in err


def test_a_file_that_replaces_is_tried_beside_what_it_replaces(put, capsys):
    old = "law/us-fl/trailer-brakes"
    florida = LAW.replace("us-wy", "us-fl").replace("    require", f"    replaces: {old}\n    require")
    code, out, err = tried(capsys, put("us-fl.yaml", florida))
    assert (code, err) == (0, "")
    assert f"It replaces {old}, which is not run on rigs of which this one speaks." in out
