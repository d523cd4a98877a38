"""Facts by name: stated, derived, or missing with what would make them known."""

import pytest
from rigs import rig

from rigmargin.loads.derive import NAMES, loads
from rigmargin.loads.facts import Facts, Known, how_to_learn
from rigmargin.loads.value import nominal
from rigmargin.report.regional import neutral
from rigmargin.spec import schema

ALONE = {"state": "alone", "front": "3200 lb", "rear": "2900 lb", "increment": "20 lb"}


def find(path, state="coupled", **parts):
    return Facts(rig(**parts)).find(path, state)


def missing(path, **parts):
    """The paths that are missing for a fact."""
    found = find(path, **parts)
    assert isinstance(found, tuple)
    assert found, f"{path} is neither known nor missing"
    return [m.path for m in found]


def test_a_stated_figure_is_known_with_its_place():
    found = find("tow_vehicle.max_mass", tow_vehicle={"gvwr": "3000 kg"})
    assert nominal(found.value) == pytest.approx(3000)
    assert found.stated.path == "tow_vehicle.max_mass"


def test_words_and_names_are_facts_too():
    parts = {"ball": {"max_towed_mass": "3500 kg"}, "my old one": {"role": "ball_mount"}}
    assert find("coupling.kind").value == "weight_carrying"
    assert find("places", places=["us", "us-co"]).value == ("us", "us-co")
    assert find("coupling.parts", coupling={"parts": parts}).value == ("ball", "ball mount")


def test_an_empty_list_says_nothing():
    assert missing("places", places=[]) == ["places"]


def test_a_missing_figure_says_where_it_is_printed():
    found = find("tow_vehicle.max_mass")
    assert [m.path for m in found] == ["tow_vehicle.max_mass"]
    assert "certification label" in neutral(found[0].how)


@pytest.mark.parametrize(
    ("name", "paths", "words"),
    [
        ("tow_vehicle.gross", ["weighings.coupled.tow_vehicle"], "Weigh the rig coupled and loaded as it travels"),
        ("tow_vehicle.axles.rear", ["weighings.coupled.rear"], "the reading of the rear axle"),
        ("trailer.gross", ["weighings.coupled.all", "weighings.alone.tow_vehicle"], "Weigh the rig coupled"),
        ("trailer.axle_group", ["weighings.coupled.trailer_axles"], "the reading of the trailer axles"),
        ("coupling.vertical", ["weighings.coupled.tow_vehicle", "weighings.alone.tow_vehicle"], "Weigh the rig coupled"),
    ],
)  # fmt: skip
def test_a_missing_load_says_what_to_weigh(name, paths, words):
    found = find(name)
    assert [m.path for m in found] == paths
    assert words in found[0].how


def test_a_missing_coupling_load_behind_a_european_ball_asks_for_the_gauge():
    (found,) = find("coupling.vertical", coupling={"kind": "european_ball"})
    assert found.path == "weighings.trailer_on_jack.coupling"
    assert "on its own scale, at towing height" in found.how


def test_a_missing_load_says_which_figures_would_do_instead():
    assert find("trailer.gross")[0].instead == ("trailer.unloaded.total",)
    assert find("coupling.vertical")[0].instead == ("coupling_load",)


@pytest.mark.parametrize("name", [*NAMES, "trailer.axles.single", "tow_vehicle.axles.front"])
@pytest.mark.parametrize(
    "parts",
    [
        {},
        {"trailer": {"axles": {"single": {}}}},
        {"trailer": {"axles": {"single": {"number": 3}}}},
        {"trailer": {"axles": {"single": {"number": 3, "equalized": "no"}}}},
        {"weighings": [ALONE]},
        {"weighings": [{**ALONE, "hitch_hardware": "no", "aboard": "none"}]},
        {
            "coupling": {"kind": "weight_distributing"},
            "weighings": [{"state": "coupled_distributing", "all": "13100 lb", "increment": "20 lb"}],
        },
        {"weighings": [{"state": "coupled", "trailer_axles": {"single": "3 t"}, "increment": "20 kg"}],
         "trailer": {"axles": {"single": {}, "other": {}}}},
        {"weighings": [ALONE, {"state": "coupled", "all": "5 t", "increment": "20 kg"}]},
        {"coupling_load": "0 kg", "trailer": {"unloaded": "1000 kg"}},
        {"trailer": {"load": {"box": {"mass": "100 kg"}}, "unloaded": {"coupling": "50 kg"}}},
        {"tow_vehicle": {"load": {"box": {"mass": "100 kg", "aboard": "no"}},
                         "unloaded": {"total": "2 t", "includes": ["box"]}}},
    ],
)  # fmt: skip
def test_every_load_is_known_or_says_what_would_make_it_known(name, parts):
    one = rig(**parts)
    facts = Facts(one)
    for state in ("coupled", "coupled_distributing", "alone"):
        found = facts.find(name, state)
        if isinstance(found, Known):
            assert found.load.best is not None
        else:
            assert found
            assert all(m.path and m.how for m in found)
    assert {n.rpartition(".")[0] + ".*" if ".axles." in n else n for n, _ in loads(one)} <= set(NAMES)


@pytest.mark.parametrize("path", sorted(schema.catalogue()))
def test_every_field_of_a_rig_file_can_be_asked_for(path):
    """A plugin may need any field, so a bare rig must answer for each of them without failing."""
    found = find(path.replace("*", "1").replace("[]", "[0]"))
    assert isinstance(found, Known) or all(m.path and m.how for m in found)


def test_a_state_that_was_not_weighed_is_asked_for_by_name():
    assert missing("tow_vehicle.gross@coupled_distributing") == ["weighings.coupled_distributing.tow_vehicle"]
    assert isinstance(find("tow_vehicle.axles.rear@alone", weighings=[ALONE]), Known)


def test_the_ticket_s_state_is_explained():
    assert how_to_learn("weighings.coupled_distributing.front").startswith(
        "Weigh the rig coupled and loaded as it travels, with the"
    )
    assert "bars slack" in how_to_learn("weighings.coupled.front")


def test_axles_that_cannot_be_told_apart_are_to_be_listed_one_by_one():
    one = {"trailer": {"axles": {"tandem": {"number": 2, "equalized": "no"}}}}
    found = find("trailer.axles.tandem", **one)
    assert [m.path for m in found] == ["trailer.axles.tandem.number"]
    assert "give each axle an entry and a weighing of its own" in found[0].how


# --- the rows of a limit -------------------------------------------------------------------------------------------------

LIMIT = "tow_vehicle.max_trailer_mass"
ELECTRIC, NONE = {"brakes": {"actuation": "electric"}}, {"brakes": {"actuation": "none"}}


@pytest.mark.parametrize(
    ("rows", "kind", "trailer", "kilograms"),
    [
        ("2000 kg", "weight_carrying", {}, 2000),
        ({"weight_carrying": "1500 kg", "weight_distributing": "3000 kg"}, "weight_carrying", {}, 1500),
        ({"weight_carrying": "1500 kg", "weight_distributing": "3000 kg"}, "weight_distributing", {}, 3000),
        ({"weight_carrying": "1500 kg", "fifth_wheel": "6000 kg"}, "fifth_wheel", {}, 6000),
        ({"weight_carrying": "1500 kg", "gooseneck": "7000 kg"}, "gooseneck", {}, 7000),
        ({"weight_carrying": "1500 kg"}, "pintle", {}, 1500),
        ({"weight_carrying": "1500 kg"}, "european_ball", {}, 1500),
        ({"braked": "1800 kg", "unbraked": "750 kg"}, "european_ball", ELECTRIC, 1800),
        ({"braked": "1800 kg", "unbraked": "750 kg"}, "european_ball", NONE, 750),
        # both kinds of rows: both have to hold, so the lower of the two
        ({"weight_carrying": "1500 kg", "braked": "1800 kg"}, "weight_carrying", ELECTRIC, 1500),
        ({"weight_carrying": "2500 kg", "braked": "1800 kg"}, "weight_carrying", ELECTRIC, 1800),
    ],
)
def test_the_row_for_this_coupling_and_these_brakes_is_used(rows, kind, trailer, kilograms):
    found = find(LIMIT, tow_vehicle={"max_trailer_mass": rows}, coupling={"kind": kind}, trailer=trailer)
    assert nominal(found.value) == pytest.approx(kilograms)


@pytest.mark.parametrize(
    ("rows", "kind", "trailer", "paths"),
    [
        ({"weight_distributing": "3000 kg"}, "weight_carrying", {}, [f"{LIMIT}.weight_carrying"]),
        ({"weight_carrying": "1500 kg"}, "weight_distributing", {}, [f"{LIMIT}.weight_distributing"]),
        ({"fifth_wheel": "6000 kg"}, "gooseneck", {}, [f"{LIMIT}.gooseneck"]),
        ({"braked": "1800 kg"}, "european_ball", NONE, [f"{LIMIT}.unbraked"]),
        ({"unbraked": "750 kg"}, "european_ball", ELECTRIC, [f"{LIMIT}.braked"]),
        ({"braked": "1800 kg", "unbraked": "750 kg"}, "european_ball", {}, ["trailer.brakes.actuation"]),
        # the brakes' row is there, but limits differ by coupling and the coupling's row is not: it may be the lower one
        ({"weight_distributing": "3000 kg", "braked": "2500 kg"}, "weight_carrying", ELECTRIC, [f"{LIMIT}.weight_carrying"]),
    ],
)
def test_another_row_never_stands_in(rows, kind, trailer, paths):
    parts = {"tow_vehicle": {"max_trailer_mass": rows}, "coupling": {"kind": kind}, "trailer": trailer}
    assert missing(LIMIT, **parts) == paths


def test_the_row_to_look_up_is_named():
    rows = {"weight_distributing": "3000 kg"}
    found = find(LIMIT, tow_vehicle={"max_trailer_mass": rows})
    assert found[0].how.startswith("The file gives the row weight_distributing only; look up the row weight_carrying. ")


def test_an_axle_or_part_may_be_called_by_a_number():
    parts = {"1": {"max_vertical_load": {"weight_carrying": "80 kg", "weight_distributing": "120 kg"}}}
    found = find("coupling.parts.1.max_vertical_load", coupling={"parts": parts})
    assert nominal(found.value) == pytest.approx(80)
    assert "certification label" in neutral(find("trailer.axles.1.max_load", trailer={"axles": {"1": {}}})[0].how)


def test_a_pattern_stands_for_each_name_or_for_the_mapping_itself():
    facts = Facts(rig(trailer={"axles": {"a": {}, "b": {}}}))
    assert list(facts.expand("trailer.axles.*")) == ["trailer.axles.a", "trailer.axles.b"]
    assert list(facts.expand("coupling.parts.*")) == ["coupling.parts"]
    assert list(facts.expand("trailer")) == ["trailer"]


def test_a_fact_names_its_state_and_its_method():
    assert Facts.parts("tow_vehicle.gross@alone:computed") == ("tow_vehicle.gross", "alone", "computed")
    assert Facts.parts("tow_vehicle.gross@computed") == ("tow_vehicle.gross", "coupled", "computed")
