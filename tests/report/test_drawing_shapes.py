"""The drawing's shapes: positions and lengths by hand, and what holds for any rig."""

import re
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rigmargin.report.drawing_shapes import APART, ROW, WIDTH, shapes
from rigmargin.report.drawing_sketch import Axle, Load, Rig, Thing

FONT = 34  # the labels' height on a small screen, as drawing.css has it


def axle(at):
    return Axle(at, 0.4, known=True, dual=False)


def rig(**changes):
    """A pickup with a wheelbase of 4 m, the coupling 1 m behind its rear axle, and a tandem 5 m behind that."""
    loads = (
        Load("A", (-4.0,), 1000.0, 1500.0, "within"),
        Load("B", (0.0,), 1200.0, 1100.0, "over"),
        Load("C", (1.0,), 200.0, 250.0, "within", on_coupling=True),
        Load("D", (5.5, 6.5), 900.0, 1000.0, "within"),
    )
    axles = (axle(-4.0), axle(0.0), axle(5.5), axle(6.5))
    things = (
        Thing(-1.5, 100.0, None, trailer=False),
        Thing(-1.5, 50.0, None, trailer=False),
        Thing(4.0, 75.0, 300.0, trailer=True),
    )
    plain = Rig("pickup", "travel_trailer", False, 4.0, 1.0, 5.0, (True, True, True), axles, loads, things)
    return plain._replace(**changes)


def points(path):
    return [tuple(map(float, pair)) for pair in re.findall(r"(-?[0-9.]+) (-?[0-9.]+)", path)]


def test_axles_coupling_and_things_stand_to_one_scale():
    # From bumper (0.9 m before the front axle) to tail: the trailer's sketch begins 1 m behind the coupling and reaches as far
    # again times 0.7 behind its axles as before them: 6 + 0.7 x 4 = 8.8 m. 4.9 + 8.8 = 13.7 m on 1000 less two margins of 30.
    made = shapes(rig())
    assert made.scale == pytest.approx(940 / 13.7)
    front, rear, first, second = (wheel.x for wheel in made.wheels)
    assert (rear - front) / made.scale == pytest.approx(4.0, abs=0.002)
    assert (made.coupling[0] - rear) / made.scale == pytest.approx(1.0, abs=0.002)
    assert ((first + second) / 2 - made.coupling[0]) / made.scale == pytest.approx(5.0, abs=0.002)
    driver = made.tow_blocks[0]
    assert (rear - driver.x - 8) / made.scale == pytest.approx(1.5, abs=0.002)  # a block is 16 wide
    assert front == pytest.approx(30 + 0.9 * made.scale, abs=0.051)


def test_spines_run_along_the_three_distances():
    made = shapes(rig(known=(True, False, True)))
    (base, known), (overhang, not_known), (reach, _) = made.spines
    assert (known, not_known) == (True, False)
    ends = [points(path)[-1][0] - points(path)[0][0] for path in (base, overhang, reach)]
    assert ends == pytest.approx([4 * made.scale, made.scale, 5 * made.scale], abs=0.11)  # paths have one decimal


def test_arrows_are_as_long_as_their_loads_and_bars_stand_at_the_limits():
    # The greatest of loads and limits, 1500 kg, is 150 long: 0.1 for a kilogram. The coupling's greater figure, 250 kg, would
    # be 25 long, less than 30, so that it is drawn at twice that.
    made = shapes(rig())
    front, rear, coupling, one, two = made.arrows
    assert [a.tip - a.start for a in (front, rear, one, two)] == pytest.approx([100, 120, 90, 90])
    assert [a.limit - made.ground for a in (front, rear, one, two)] == pytest.approx([150, 110, 100, 100])
    assert {a.start for a in (front, rear, one, two)} == {made.ground}
    assert made.stretch == 2
    assert coupling.tip == pytest.approx(made.coupling[1], abs=0.051)  # it presses down on the coupling
    assert (coupling.tip - coupling.start, coupling.tip - coupling.limit) == pytest.approx((40, 50))
    assert rear.tip > rear.limit  # over: past its bar


def test_an_outline_ends_where_the_arrow_ends():
    made = shapes(rig())
    arrow = made.arrows[0]
    assert arrow.path.startswith(f"M{arrow.x - 5:.1f} {made.ground:.1f}h10V")
    assert f"L{arrow.x:.1f} {made.ground + 100:.1f}L" in arrow.path


def test_blocks_are_as_high_as_their_masses_and_stand_on_each_other():
    # The tallest stack, the tank's 300 kg full, is 90 high: 0.3 for a kilogram.
    made = shapes(rig())
    lower, item = made.tow_blocks
    contents, tank = made.trailer_blocks
    assert (lower.height, item.height, contents.height, tank.height) == pytest.approx((30, 15, 22.5, 90))
    assert item.y + item.height == pytest.approx(lower.y)
    assert contents.y + contents.height == pytest.approx(tank.y + tank.height)


def test_a_load_that_is_not_known_gets_a_stub_and_no_arrow():
    loads = (Load("A?", (-4.0,), None, None, ""), *rig().loads[1:])
    first = shapes(rig(loads=loads)).arrows[0]
    assert not first.known
    assert first.limit is None


def test_the_nose_goes_up_by_the_slope_and_the_rear_down_by_its_squat():
    # A slope of 1 in 10 is 5.71 degrees, clockwise for a vehicle that faces left.
    made = shapes(rig(pitch=0.1, squat=0.05))
    assert made.lean.startswith(f"translate(0 {0.05 * made.scale:.1f}) rotate(5.71 ")
    assert shapes(rig()).lean == ""


def test_an_open_tip_stands_at_the_load_with_the_bars_slack():
    loads = (rig().loads[0]._replace(slack=500.0), *rig().loads[1:])
    made = shapes(rig(loads=loads))
    assert made.arrows[0].slack - made.ground == pytest.approx(50)


masses = st.one_of(st.none(), st.floats(0, 5000))
things = st.builds(
    lambda at, mass, full, trailer: Thing(at if trailer else -at, mass, full, trailer=trailer),
    st.floats(-3, 8),
    st.floats(0, 2000),
    st.one_of(st.none(), st.floats(1, 500)),
    st.booleans(),
)


@st.composite
def rigs(draw):
    base, coupling, reach = draw(st.floats(1.5, 8)), draw(st.floats(-1.5, 4)), draw(st.floats(0.8, 15))
    number = draw(st.integers(1, 4))
    behind = tuple(coupling + reach + 0.9 * (i - (number - 1) / 2) for i in range(number))
    spots = [("A", (-base,)), ("B", (0.0,)), ("C", (coupling,)), ("D", behind)]
    loads = tuple(Load(k, at, draw(masses), draw(masses), "within", on_coupling=k == "C") for k, at in spots)
    kinds = (
        draw(st.sampled_from(["", "car", "pickup", "van"])),
        draw(st.sampled_from(["", "caravan", "fifth_wheel", "utility"])),
    )
    axles = tuple(axle(at) for _, places in spots if _ != "C" for at in places)
    held = tuple(draw(st.lists(things, max_size=12)))
    heights = (draw(st.one_of(st.none(), st.floats(1, 4.5))), draw(st.one_of(st.none(), st.floats(0.3, 5))))
    length = draw(st.one_of(st.none(), st.floats(1, 25)))
    return Rig(*kinds, draw(st.booleans()), base, coupling, reach, (True, True, True), axles, loads, held, heights, length)


@settings(max_examples=150, deadline=None)
@given(rigs())
def test_whatever_the_rig_nothing_is_outside_the_sheet(one):
    made = shapes(one)
    xs = [x for path in (made.tow_sketch, made.trailer_sketch, *(p for p, _ in made.spines)) for x, _ in points(path)]
    ys = [y for path in (made.tow_sketch, made.trailer_sketch, *(p for p, _ in made.spines)) for _, y in points(path)]
    xs += [w.x + side * w.radius for w in made.wheels for side in (-1, 1)] + [
        a.x + side * 16 for a in made.arrows for side in (-1, 1)
    ]
    ys += [y for a in made.arrows for y in (a.start, a.tip, a.start if a.limit is None else a.limit)]
    blocks = (*made.tow_blocks, *made.trailer_blocks)
    xs += [x for b in blocks for x in (b.x, b.x + 16)]
    ys += [y for b in blocks for y in (b.y, b.y + b.height)]
    labels = (*made.letters, *made.numbers)
    xs += [x for label in labels for x in (label.x - APART / 2, label.x + APART / 2)]
    ys += [y for label in labels for y in (label.y - FONT + 8, label.y + 8)]
    assert min(xs) >= -0.1
    assert max(xs) <= WIDTH + 0.1
    assert min(ys) >= -0.1
    assert max(ys) <= made.height + 0.1


@settings(max_examples=150, deadline=None)
@given(rigs())
def test_whatever_the_rig_labels_do_not_overlap(one):
    made = shapes(one)
    on_road = [label.x for label in made.letters if label.y > made.ground]
    for row in (on_road, [label.x for label in made.numbers]):
        assert all(b - a >= APART - 0.11 for a, b in pairwise(row))
    on_coupling = next(label for label in made.letters if label.y < made.ground)
    assert on_coupling.y - FONT >= ROW - 10 - 0.06  # below the row of numbers
    assert sorted(i for members in made.places for i in members) == list(range(len(one.things)))


@settings(max_examples=100, deadline=None)
@given(rigs())
def test_whatever_the_rig_order_and_proportion_are_kept(one):
    made = shapes(one)
    xs = [wheel.x for wheel in made.wheels]
    assert xs[0] < xs[1]
    assert xs[2:] == sorted(xs[2:])
    assert made.coupling[0] < sum(xs[2:]) / len(xs[2:])
    spots = [load for load in one.loads for _ in load.at]
    for arrow, load in zip(made.arrows, spots, strict=True):
        unit = made.stretch * _unit(one) if load.on_coupling else _unit(one)
        if load.mass is not None:
            assert arrow.tip - arrow.start == pytest.approx(unit * load.mass)
        if load.limit is not None:
            foot = arrow.tip if load.on_coupling else arrow.start
            assert abs(arrow.limit - foot) == pytest.approx(unit * load.limit) or load.mass is None


def _unit(one):
    """The length of one kilogram: 150 for the greatest load or limit."""
    return 150 / max([m for load in one.loads for m in (load.mass, load.limit) if m] + [0.1])


@settings(max_examples=50, deadline=None)
@given(rigs())
def test_twice_the_masses_make_the_same_picture(one):
    twice = one._replace(
        loads=tuple(load._replace(mass=load.mass and 2 * load.mass, limit=load.limit and 2 * load.limit) for load in one.loads),
        things=tuple(t._replace(mass=2 * t.mass, full=t.full and 2 * t.full) for t in one.things),
    )
    tips, others = ([a.tip - a.start for a in shapes(each).arrows] for each in (one, twice))
    assert others == pytest.approx(tips)
