"""What hangs on a part of the hitch is something that the tow vehicle carries; other names are told with a cure."""

import pytest
from rigs import rig

from rigmargin.spec.problem import FileProblems


def carrying(*names, **load):
    parts = {"receiver": {"carries": list(names)}}
    return rig(tow_vehicle={"load": load}, coupling={"parts": parts})


def test_a_load_item_by_its_name():
    one = carrying("bike rack", **{"bike rack": {"mass": "30 kg"}})
    assert one.stated["coupling.parts.receiver.carries"].value == ("bike rack",)


@pytest.mark.parametrize(
    ("names", "load", "found", "cure"),
    [
        (("bike rak",), {"bike rack": {"mass": "30 kg"}}, "the load item 'bike rak'", "write 'bike rack', if that is meant"),
        (("tray",), {}, "the load item 'tray'", "define it first; what hangs there is a load item of the tow vehicle"),
        (("anne",), {"anne": {"mass": "70 kg", "person": "yes"}}, "the load item 'anne', who is a person", "name the rack"),
    ],
)
def test_another_name_is_refused_at_its_place(names, load, found, cure):
    with pytest.raises(FileProblems) as refused:
        carrying(*names, **load)
    (problem,) = refused.value.problems
    assert problem.path == "coupling.parts.receiver.carries[0]"
    assert problem.found == found
    assert problem.cure.startswith(cure)


@pytest.mark.parametrize(
    ("part", "words"),
    [
        ({"class": 5}, "1 to 4"),
        ({"d": "1200 kg"}, "a mass"),
        ({"d": "120 N"}, "1000 to 300000 N (D value)"),
        ({"ball_diameter": "2 mm"}, "mm"),
        ({"reduces_to": "5 %"}, "%"),
        ({"carries": "bike rack"}, "list"),
    ],
)
def test_figures_that_no_part_has_are_refused(part, words):
    with pytest.raises(FileProblems) as refused:
        rig(coupling={"parts": {"ball": part}})
    assert words in str(refused.value)
