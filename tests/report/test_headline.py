"""The first sentence counts limits, requirements and bands by their own words; a weakest part is named if there is one."""

import pytest
from rigs import rig

from rigmargin.judge.run import judge
from rigmargin.report.display import display
from rigmargin.report.words import headline, sentence

BREAKAWAY = {"trailer": {"breakaway": {"fitted": "no"}, "maker_fits": {"breakaway": "yes"}}}
OVER = {"tow_vehicle": {"max_coupling_load": "50 kg"}, "coupling_load": {"value": "90 kg", "source": "measured"}}


def said(**parts):
    one = judge(rig(**parts))
    return headline(one, display(one.rig))


def test_a_missing_requirement_is_no_limit():
    assert said(**BREAKAWAY).startswith("1 requirement is not met. The breakaway device: it is not fitted")


def test_limits_and_requirements_are_counted_apart():
    assert said(**BREAKAWAY, **OVER).startswith("1 limit is passed, 1 requirement is not met. The coupling load")


@pytest.mark.parametrize(("ball", "named"), [("300 kg", 0), ("299 kg", 1)])
def test_the_weakest_part_is_named_only_when_it_is_weaker_than_every_other(ball, named):
    parts = {"ball": {"max_vertical_load": ball}, "coupler": {"max_vertical_load": "300 kg"}}
    one = judge(rig(coupling={"parts": parts}, coupling_load={"value": "90 kg", "source": "measured"}))
    texts = [sentence(f, one.rig, display(one.rig)) for f in one.findings if f.rule == "coupling-vertical"]
    assert sum("Of 2 such limits it is the weakest" in text for text in texts) == named


def test_a_floor_shows_the_load_rounded_down_like_its_margin():
    one = judge(rig(coupling_load={"value": "90.6 kg", "source": "measured"}))
    text = next(sentence(f, one.rig, display(one.rig)) for f in one.findings if f.rule == "coupling-positive")
    assert "90 kg ± 1 kg, is above zero, 0 kg; 90 kg remain" in text
