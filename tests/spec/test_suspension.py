"""Springs that cannot be as a file describes them, each told with its place and a cure; some are broken files as well."""

import pytest
from spec.small import changed, problems

from rigmargin.spec.rig import parse

PLAIN = "    rear: {gawr: 3900 lb}"


def told(suspension):
    """What is wrong with these rear springs: path, found, expected and cure of each problem."""
    text = changed((PLAIN, f"    rear: {{gawr: 3900 lb, suspension: {suspension}}}"))
    return [(p.path.removeprefix("tow_vehicle.axles.rear.suspension."), p.found, p.expected, p.cure) for p in problems(text)]


@pytest.mark.parametrize(
    ("suspension", "problem"),
    [
        (
            "{heights: {light: {load: 2900 lb, height: 20 in}, heavy: {load: 2800 lb, height: 19 in}}}",
            ("heights.heavy.load", "'2800 lb'", "more than '2900 lb', the light stand's load", "exchange the two stands"),
        ),
        (
            "{heights: {light: {load: 2800 lb, height: 20 in}, heavy: {load: 2900 lb, height: 20 in}}}",
            (
                "heights.heavy.height", "'20 in'", "less than '20 in', the height under the lighter load",
                "check the two heights: the vehicle stands lower under the heavier load",
            ),
        ),
        (
            # by hand: 10 lb for 10 in: 1 lb/in; 10 N/mm = 10000 / 175.127 = 57.1 lb/in, 2000 N/mm = 11420 lb/in
            "{heights: {light: {load: 2800 lb, height: 30 in}, heavy: {load: 2810 lb, height: 20 in}}}",
            (
                "heights", "a rate of 1.0 lb/in from these heights and loads", "57 to 11420 lb/in",
                "check the heights, the loads and their units",
            ),
        ),
        (
            # by hand: 1500 lb for 2 in: 750 lb/in; 1500 lb above the stand are 2.0 in, half an inch past the gap
            "{heights: {light: {load: 2000 lb, height: 21 in}, heavy: {load: 3500 lb, height: 19 in}}, measured_at: 2000 lb,"
            " overload: {rate: 600 lb/in, gap: 1.5 in}}",
            (
                "heights.heavy.load", "'3500 lb', at which the overload stage touches",
                "a load at which it stands clear, so that the heights tell the main springs' rate",
                "measure at a lighter load, or check the overload stage's gap",
            ),
        ),
        (
            "{helper: {kind: rubber, soft: {compression: 2 in, load: 300 lb}, hard: {compression: 1 in, load: 900 lb}}}",
            ("helper.hard.compression", "'1 in'", "more than '2 in', the soft point's compression", "exchange the two points"),
        ),
        (
            # by hand: a third of the travel: 1700 / 3 = 566.7 lb by a straight line, 1700 / 27 = 62.96 lb by a cube
            "{helper: {kind: rubber, soft: {compression: 0.5 in, load: 50 lb}, hard: {compression: 1.5 in, load: 1700 lb}}}",
            (
                "helper.soft.load", "'50 lb'", "63 to 566 lb, between a cube and a straight line through the hard point",
                "check the two points; if they are right, give a soft point nearer to the hard one",
            ),
        ),
        (
            "{helper: {kind: air, min_pressure: 60 psi, max_pressure: {value: 50 psi, source: manual}}}",
            ("helper.min_pressure", "'60 psi'", "at most '50 psi', the greatest pressure", "exchange the two"),
        ),
        (
            "{bump_travel: 2 in, min_bump_travel: 3 in}",
            (
                "min_bump_travel", "'3 in'", "at most '2 in', the whole bump travel", "exchange the two, or measure again",
            ),
        ),
        (
            # by hand: the axle's limit is 3900 lb, half as much again 5850 lb
            "{spring_rate: 500 lb/in, measured_at: 5900 lb}",
            (
                "measured_at", "'5900 lb'", "a load this axle can have had; its maximum load is '3900 lb'",
                "check the load and its unit: it is the axle's own, and not the vehicle's",
            ),
        ),
        (
            "{helper: {kind: air, gap: 1 in}}",
            (
                "helper.gap", "the field 'gap' on a helper of kind: air",
                "one of pressure, pressure_uncoupled, min_pressure, max_pressure, effective_area, rate",
                "delete the line, or correct the kind",
            ),
        ),
    ],
)  # fmt: skip
def test_what_cannot_be(suspension, problem):
    assert told(suspension) == [problem]


def test_a_person_is_no_kit():
    text = changed(
        (PLAIN, "    rear: {gawr: 3900 lb, suspension: {helper: {kind: air, counted_as: tool box}}}"),
        ("tool box: {mass: 120 lb, at: 1 ft 6 in}", "tool box: {mass: 120 lb, at: 1 ft 6 in, person: yes}"),
    )
    (problem,) = problems(text)
    assert (problem.found, problem.expected) == (
        "the load item 'tool box', who is a person",
        "the load item that stands for the kit",
    )
    assert problem.cure == "name the kit's own item, or add one with the kit's mass"


def test_a_stand_at_one_and_a_half_times_the_axles_limit_is_taken():
    parse(changed((PLAIN, "    rear: {gawr: 3900 lb, suspension: {spring_rate: 500 lb/in, measured_at: 5850 lb}}")), "f.yaml")


@pytest.mark.parametrize("load", ["63 lb", "300 lb", "566 lb"])
def test_any_curve_between_a_cube_and_a_straight_line_is_taken(load):
    points = f"soft: {{compression: 0.5 in, load: {load}}}, hard: {{compression: 1.5 in, load: 1700 lb}}"
    parse(changed((PLAIN, f"    rear: {{gawr: 3900 lb, suspension: {{helper: {{kind: steel, {points}}}}}}}")), "f.yaml")


def test_the_kits_mass_must_travel():
    text = changed(
        (PLAIN, "    rear: {gawr: 3900 lb, suspension: {helper: {kind: air, counted_as: tool box}}}"),
        ("tool box: {mass: 120 lb, at: 1 ft 6 in}", "tool box: {mass: 120 lb, at: 1 ft 6 in, aboard: no}"),
    )
    (problem,) = problems(text)
    assert problem.found == "the load item 'tool box', which is not aboard"
    assert problem.cure == "delete its 'aboard: no': the kit is bolted to the vehicle"


@pytest.mark.parametrize(
    "suspension",
    [
        "[]", "{helper: []}", "{heights: {light: 3, heavy: []}}", "{helper: {kind: air, counted_as: [a]}}",
        "{helper: {kind: 7}}",
        "{helper: {kind: rubber, soft: {compression: 0 in, load: 3 lb}, hard: {}}}", "{heights: {light: {load: 1,5 t}}}",
    ],
)  # fmt: skip
def test_what_breaks_the_schema_is_told_and_not_stumbled_over(suspension):
    assert told(suspension)


def test_all_is_told_at_once():
    found = told(
        "{heights: {light: {load: 2800 lb, height: 20 in}, heavy: {load: 2700 lb, height: 21 in}},"
        " helper: {kind: air, soft: {compression: 1 in, load: 20 lb}, counted_as: nothing}}"
    )
    assert [path for path, *_ in found] == [
        "heights.heavy.load", "heights.heavy.height", "helper.soft", "helper.counted_as",
    ]  # fmt: skip
