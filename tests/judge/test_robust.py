"""Rigs with pieces torn out at random: whatever is missing, nothing fails, and what was not checked says what it needs."""

import json
import random
from pathlib import Path

import pytest
from rigs import BARE, merged

from rigmargin.judge.run import judge
from rigmargin.spec import document
from rigmargin.spec.problem import FileProblems
from rigmargin.spec.rig import parse

EXAMPLES = sorted((Path(__file__).parents[2] / "specs_examples").glob("*.yaml"))
KINDS = ["weight_carrying", "weight_distributing", "fifth_wheel", "gooseneck", "pintle", "european_ball"]


def torn(data, chance, share):
    """The data with ``share`` of its fields and entries left out."""
    if isinstance(data, dict):
        return {key: torn(value, chance, share) for key, value in data.items() if chance.random() > share}
    if isinstance(data, list):
        return [torn(value, chance, share) for value in data if chance.random() > share]
    return data


def torn_rigs(path, tries):
    """Those of some torn rigs that are still rig files."""
    chance = random.Random(path.name)
    whole = {key: value for key, value in document.read(path).data.items() if key != "options"}
    for _ in range(tries):
        data = merged(BARE, torn(whole, chance, chance.choice([0.03, 0.1])))
        data["coupling"]["kind"] = kind = chance.choice([data["coupling"]["kind"], *KINDS])
        tickets = data.get("weighings", [])
        if kind != "weight_distributing":
            data["weighings"] = [t for t in tickets if t.get("state") != "coupled_distributing"]
        for ticket in data.get("weighings", ()):
            ticket["hitch_hardware"] = chance.choice(["yes", "yes", "no"])
            ticket["aboard"] = chance.choice(["all", "none"])
        try:
            yield parse(json.dumps(data), "torn.yaml")
        except FileProblems:
            continue


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_a_torn_rig_is_judged_without_failing(path):
    judged = 0
    for rig in torn_rigs(path, 150):
        report = judge(rig)
        judged += 1
        assert "rule_failed" not in report.counts, [f.reason for f in report.findings if f.verdict == "rule_failed"]
        for finding in report.findings:
            if finding.verdict == "not_checked":
                assert finding.missing
                assert all(m.path and m.how for m in finding.missing)
            if finding.verdict in ("within", "over") and not finding.expected and not finding.other[0]:
                assert finding.load is not None
                assert finding.margin is not None
    assert judged > 10
