"""What a file's markings, date codes and tables become: fields with the marking's line, and what is said twice."""

import pytest
from rigs import rig

from rigmargin.judge.run import judge
from rigmargin.report.display import display
from rigmargin.report.words import sentence
from rigmargin.spec.problem import FileProblems
from rigmargin.spec.rig import parse

REAR = "tow_vehicle.axles.rear.tyres"


def with_tyres(**tyres):
    return rig(tow_vehicle={"axles": {"rear": {"tyres": tyres}}})


def values(one, *names):
    return tuple(one.stated[f"{REAR}.{name}"].value if f"{REAR}.{name}" in one.stated else None for name in names)


def rows(fitment, *pairs):
    return [{"pressure": pressure, fitment: load} for pressure, load in pairs]


def test_one_marking_fills_every_field():
    one = with_tyres(marking="LT275/70R18 125/122S E")
    names = ("size", "type", "load_index", "speed_symbol", "load_range", "ply_rating", "version")
    assert values(one, *names) == ("LT275/70R18", "light_truck", "125/122", "S", "E", None, None)
    assert one.stated[f"{REAR}.speed"].number == pytest.approx(180 / 3.6)


def test_what_is_read_from_a_marking_stands_on_its_line():
    text = (
        "rig: 1\nname: lines\ntow_vehicle:\n  axles:\n    rear:\n      tires:\n        count: 2\n"
        "        marking: LT275/70R18 125/122S E\ncoupling: {kind: pintle}\ntrailer: {}\n"
    )
    one = parse(text, "lines.yaml")
    assert {one.stated[f"{REAR}.{name}"].line for name in ("marking", "size", "load_index", "load_range")} == {8}
    assert one.stated[f"{REAR}.count"].line == 7


def test_a_field_goes_before_the_marking_and_the_difference_is_a_conflict():
    one = with_tyres(marking="LT275/70R18 125/122S E", load_index="121/118", speed_symbol="S", count=2)
    assert values(one, "load_index") == ("121/118",)
    found = next(f for f in judge(one).findings if f.rule == "tyre-marking" and f.subject.endswith("rear"))
    assert found.verdict == "conflict"
    assert "load index 125/122 by the marking and 121/118 by its own field" in sentence(found, one, display(one))
    assert judge(one).overall == "conflict"


def test_fields_that_say_the_same_agree():
    one = with_tyres(marking="225/75R16C 121/120R", size="225/75 R16 C", load_index=121, type="commercial", speed_symbol="R")
    assert values(one, "agreed", "contradicted") == (("size", "type", "load index", "speed symbol"), None)
    found = next(f for f in judge(one).findings if f.rule == "tyre-marking" and f.subject.endswith("rear"))
    assert found.verdict == "within"


def test_a_field_without_a_dual_figure_takes_it_from_the_marking():
    assert values(with_tyres(marking="LT235/80R17 120/117R E", load_index=120), "load_index", "contradicted") == (
        "120/117",
        None,
    )
    assert values(with_tyres(marking="LT235/80R17 120R E", load_index="120/117"), "load_index", "contradicted") == (
        "120/117",
        ("load index 120 by the marking and 120/117 by its own field",),
    )


def test_a_size_by_itself_is_held_against_the_type_and_ranges_against_each_other():
    assert values(with_tyres(size="ST235/80R16", type="commercial"), "contradicted") == (
        ("type special trailer by the size and commercial by its own field",),
    )
    assert values(with_tyres(size="ST235/80R16", type="special_trailer"), "agreed", "contradicted") == (("type",), None)
    assert values(with_tyres(load_range="E", ply_rating=6), "contradicted") == (("load range E, which is 10 PR, and 6 PR",),)


def test_a_load_range_and_another_ply_rating_contradict_each_other():
    one = with_tyres(marking="LT275/70R18 125/122S E 8PR")
    assert values(one, "contradicted") == (("load range E, which is 10 PR, and 8 PR",),)
    assert values(with_tyres(marking="LT275/70R18 125/122S E", ply_rating=10), "contradicted") == (None,)


def test_a_size_by_itself_tells_the_type_unless_it_is_given():
    assert values(with_tyres(size="ST205/75R15"), "type") == ("special_trailer",)
    assert values(with_tyres(size="7.50-16", type="light_truck"), "type") == ("light_truck",)
    assert values(with_tyres(size="7.50-16"), "type") == (None,)
    assert values(with_tyres(size="as on the photo"), "type") == (None,)


def test_a_spare_is_held_against_all_axles_of_its_vehicle():
    axles = {"one": {"tyres": {"marking": "ST235/80R16 124/120M E"}}, "two": {"tyres": {"marking": "ST235/80R16 124/120M E"}}}
    one = rig(trailer={"axles": axles, "spare_tire": {"marking": "ST225/75R15 117/112M E", "size": "ST225/75R15"}})
    verdicts = {f.rule: f.verdict for f in judge(one).findings if f.subject == "trailer"}
    assert verdicts["tyres-alike"] == "within"
    assert verdicts["spare-tyre"] == "unmet"
    axles["two"] = {"tyres": {"marking": "ST225/75R15 117/112M E"}}
    one = rig(trailer={"axles": axles, "spare_tire": {"marking": "ST225/75R15 117/112M E"}})
    verdicts = {f.rule: f.verdict for f in judge(one).findings if f.subject == "trailer"}
    assert verdicts["tyres-alike"] == "unmet"
    assert verdicts["spare-tyre"] == "unmet"  # its load index is below that of the first axle's


def test_a_spare_is_read_for_its_speed_its_age_and_pairs():
    axles = {"rear": {"tyres": {"marking": "LT235/80R17 120/117R E", "count": 4}}}
    spare = {"marking": "LT235/80R17 120R E", "date_code": "0110"}
    one = rig(date="2026-06-01", tow_vehicle={"axles": axles, "spare_tire": spare})
    assert one.stated["tow_vehicle.spare_tyre.speed"].number == pytest.approx(170 / 3.6)
    assert one.stated["tow_vehicle.spare_tyre.age"].number == pytest.approx(16.4, abs=0.05)
    assert next(f.verdict for f in judge(one).findings if f.rule == "spare-tyre" and f.subject == "tow_vehicle") == "unmet"
    del spare["date_code"]
    one = rig(tow_vehicle={"axles": axles, "spare_tire": spare})
    assert (
        next(f.verdict for f in judge(one).findings if f.rule == "spare-tyre" and f.subject == "tow_vehicle") == "not_checked"
    )


def test_a_cold_morning_may_be_below_zero():
    one = rig(trip={"coldest_start": "-10 degC"}, tow_vehicle={"axles": {"rear": {"tyres": {"pressure_read_at": "68 degF"}}}})
    assert one.stated["trip.coldest_start"].number == pytest.approx(263.15)
    assert one.stated[f"{REAR}.pressure_read_at"].number == pytest.approx(293.15)


def test_a_rig_without_tyres_is_asked_for_them_once_an_axle():
    asked = {f.rule for f in judge(rig()).findings if "tyre" in f.rule or "wheel" in f.rule}
    assert asked == {"tyre-capacity", "tyre-inflation"}


def test_the_law_asks_for_the_worst_of_the_trailers_tyres():
    axles = {
        "one": {"tyres": {"marking": "195/70R14 91T", "date_code": "3916"}},
        "two": {"tyres": {"marking": "195/70R14 91L", "date_code": 3623}},
    }
    one = rig(places=["de"], date="2022-10-01", trip={"top_speed": "100 km/h"}, trailer={"axles": axles})
    assert one.stated["trailer.slowest_tyre"].number == pytest.approx(120 / 3.6)
    assert one.stated["trailer.oldest_tyre"].number == pytest.approx(6.016, abs=0.001)

    def verdict(one):
        return next(f.verdict for f in judge(one).findings if f.rule == "law/de/permission-tyres")

    # a caravan tyre of week 39 of 2016: under six years on the first of September 2022, over on the first of October
    assert verdict(one) == "unmet"
    assert verdict(rig(places=["de"], date="2022-09-01", trip={"top_speed": "100 km/h"}, trailer={"axles": axles})) == "within"
    del axles["two"]["tyres"]["date_code"]
    assert (
        verdict(rig(places=["de"], date="2022-09-01", trip={"top_speed": "100 km/h"}, trailer={"axles": axles}))
        == "not_checked"
    )


@pytest.mark.parametrize(
    ("tyres", "message"),
    [
        ({"marking": "LT275/70R18 125/122S winter"}, "tyres.marking: found 'winter' (character 22 of the marking)"),
        ({"marking": ""}, "expected at least something"),
        ({"marking": 275}, "found '275'"),
        ({"date_code": "5423"}, "found '5423', week 54; expected a week from 01 to 53"),
        ({"date_code": "0023"}, "found '0023', week 00"),
        ({"date_code": 274}, "found '274', 3 digits; expected four digits"),
        ({"date_code": 925}, "write the zero in front where the week has one (0925)"),
        ({"date_code": "36/23"}, "found '36/23'; expected four digits"),
        ({"date_code": True}, "expected a whole number or text"),
        ({"load_table": [{"pressure": "35 psi"}]}, "found a row without a load; expected single or dual, or both"),
        ({"load_table": [{"single": "1700 lb"}]}, "found no field 'pressure'"),
        ({"load_table": rows("single", ("35 psi", "1700 lb"), ("40 psi", "1700 lb"))}, "out of order"),
        ({"load_table": rows("dual", ("35 psi", "100 kg"), ("40 psi", "900 kg"))}, "fits no tyre (dual)"),
        ({"load_index": "300/120"}, "tyres.load_index: found '300'; expected a load index of 0 to 279; copy the figures again"),
        ({"load_index": "300"}, "tyres.load_index: found '300'; expected a load index of 0 to 279"),
        ({"load_index": "115/125"}, "tyres.load_index: found '115/125'; expected single/dual, the larger first"),
        ({"max_load_single": "1300 kg", "max_load_dual": "1600 kg"},
         "max_load_dual: found '1600 kg'; expected what one tyre of a pair carries, no more than max_load_single"),
        ({"size": "T145/80D18"}, "tyres.size: found the marking of a temporary spare (T) (character 1 of the size)"),
        ({"size": "750R16"}, "tyres.size: found '750' (character 1 of the size); expected a width in millimetres"),
        ({"load_table": "35 psi 1700 lb"}, "expected a list"),
        ({"load_table": [{"pressure": "35 psi", "single": "1700 lb", "dual": "3090 lb"}]},
         "load_table[0].dual: found '3090 lb'; expected what one tyre of a pair carries, no more than single"),
        ({"load_table": ["35 psi 1700 lb"]}, "expected a mapping of fields"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(tyres, message):
    with pytest.raises(FileProblems) as caught:
        with_tyres(**tyres)
    assert message in str(caught.value)


def test_all_that_is_wrong_with_a_marking_is_told_each_at_its_place():
    with pytest.raises(FileProblems) as caught:
        with_tyres(marking="T145/80D18 91Z winter")
    assert len(caught.value.problems) == 3
    first, second, third = (problem.column for problem in caught.value.problems)
    assert (second - first, third - first) == (11, 15)
