"""A rating that an accessory is said to have raised is not accepted."""

import pytest
from rigs import rig

from rigmargin.judge.run import judge
from rigmargin.report.display import Display
from rigmargin.report.words import sentence


def found(source, field="max_mass"):
    one = judge(rig(tow_vehicle={field: {"value": "5000 kg", "source": source}}))
    return next(f for f in one.findings if f.rule == "limits-from-labels"), one.rig


@pytest.mark.parametrize("source", ["component_label", "measured", "owner_estimate", "brochure", "scale_ticket"])
def test_a_rating_on_no_makers_word_is_not_checked(source):
    finding, one = found(source)
    assert finding.verdict == "not_checked"
    assert [m.path for m in finding.missing] == ["tow_vehicle.max_mass"]
    assert "a fitted part's label stands where the maker's own should" in sentence(finding, one, Display(("us",)))


@pytest.mark.parametrize("source", ["certification_label", "placard", "manual"])
def test_the_makers_word_is_accepted(source):
    assert found(source)[0].verdict == "not_applicable"


def test_a_receivers_own_label_may_limit_the_coupling():
    assert found("component_label", "max_coupling_load")[0].verdict == "not_applicable"
