"""The sums on the pages come out, and what is worked out by hand is what the engine's report says."""

import json
import math
import re

import pytest
from docblocks import TOP

LB = 0.45359237  # kg
POUND_FOOT = LB * 9.80665 * 0.3048  # N m
RIG = "birch-hollow-travel-trailer"
SUM = re.compile(r"`([^`=]*[0-9)]) = (−?[0-9.]+)`")
ROW = re.compile(r"^\|.*`([^`=]+) = (−?[0-9.]+)`.*\| `([^`]+)` \|$", re.MULTILINE)
PAGES = ("by-hand.md", "derivations.md")


def _text(page):
    return (TOP / "docs" / page).read_text("utf-8")


def _worked_out(formula):
    """A sum as it stands on the page: figures, × / + − ( ) √ ² and ^, and nothing else."""
    plain = formula.replace("×", "*").replace("−", "-").replace("²", "**2").replace("^", "**").replace("√", "math.sqrt")
    plain = re.sub(r"math\.sqrt ?([0-9.]+)", r"math.sqrt(\1)", plain)
    assert re.fullmatch(r"[0-9.+*/() -]*", plain.replace("math.sqrt", "")), formula
    return eval(plain, {"math": math})


def _agrees(formula, shown):
    decimals = len(shown.partition(".")[2])
    return abs(_worked_out(formula) - float(shown.replace("−", "-"))) <= 0.5 * 10**-decimals + 1e-9


@pytest.mark.parametrize("page", PAGES)
def test_every_sum_on_the_page_comes_out(page):
    sums = SUM.findall(_text(page))
    assert len(sums) > 10
    assert [f"{formula} = {shown}" for formula, shown in sums if not _agrees(formula, shown)] == []


def test_a_sum_that_does_not_come_out_is_seen():
    assert _agrees("2 × √4 − 1", "3")
    assert not _agrees("2 × 3", "7")
    assert not _agrees("10 / 3", "3.4")
    with pytest.raises(AssertionError):
        _worked_out("print(1)")


def _reported(report, name):
    """A figure of the report in the page's unit (lb, lb ft or a plain share; kg if the name ends so), and the whole entry."""
    *words, kind = name.removesuffix(" kg").split()
    if kind in ("value", "uncertainty"):
        found = report["loads"][" ".join(words)]
    else:
        rule, subject, *state = words
        found = next(
            f for f in report["findings"] if (f["rule"], f["subject"], f.get("state", "")) == (rule, subject, "".join(state))
        )
    unit = {"kg": 1.0 if name.endswith(" kg") else LB, "1": 1.0, "N m": POUND_FOOT}[found["unit"]]
    return found[kind] / unit, found


def test_the_report_says_what_the_page_works_out_by_hand():
    report = json.loads((TOP / "specs_examples" / f"{RIG}.expected.json").read_text("utf-8"))
    rows = ROW.findall(_text("by-hand.md"))
    assert len(rows) == 32
    # the report rounds masses to 0.1 kg, shares to 0.0001 and moments to whole N m
    near = {"kg": 0.06 / LB, "1": 0.00006, "N m": 0.6 / POUND_FOOT}
    for formula, _, name in rows:
        figure, found = _reported(report, name)
        assert figure == pytest.approx(_worked_out(formula), abs=near[found["unit"]]), name


def test_the_report_gives_the_verdicts_of_the_page():
    report = json.loads((TOP / "specs_examples" / f"{RIG}.expected.json").read_text("utf-8"))
    rows = re.findall(r"^\|.*\| ([0-9.]+) \| (over|within) \| `([^`]+)` \|$", _text("by-hand.md"), re.MULTILINE)
    assert len(rows) == 10
    for uncertainty, verdict, name in rows:
        finding = _reported(report, name)[1]
        assert finding["verdict"] == verdict, name
        unit = 1.0 if name.endswith(" kg") else LB
        assert finding["uncertainty"] / unit == pytest.approx(float(uncertainty), abs=0.17), name
    assert [f["rule"] for f in report["findings"] if f["verdict"] == "over"] == ["axle-load"]


def test_the_page_quotes_the_example_rigs_own_figures():
    """What the page says of the rig stands in the rig's file: tickets, lengths, limits and what is aboard."""
    rig = (TOP / "specs_examples" / f"{RIG}.yaml").read_text("utf-8")
    tickets = re.findall(r"front: (\d+) lb, rear: (\d+) lb(?:, trailer_axles: (\d+) lb)?", rig)
    table = re.findall(
        r"^\| (?:alone|coupled, bars \w+) \| (\d+) \| (\d+) \| ?(\d*) ?\| \d+ \|$", _text("by-hand.md"), re.MULTILINE
    )
    assert table == tickets
    for figure in (
        "145 in",
        "65 in",
        "232 in",
        "3800 lb",
        "7050 lb",
        "7000 lb",
        "17000 lb",
        "11300 lb",
        "1980 lb",
        "at: bed",
        "bed: 4 in",
    ):
        assert figure in rig
