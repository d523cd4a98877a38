"""Axle and coupling loads from items at stations, against an independent beam solver and against the laws they must obey."""

import itertools
import random

import pytest
from anastruct import SystemElements
from hypothesis import given, settings
from hypothesis import strategies as st
from rigs import by_method, rig

from rigmargin.loads.derive import ALONE, COUPLED, loads
from rigmargin.loads.value import nominal

FRONT, REAR, VERTICAL, GROUP = "tow_vehicle.axles.front", "tow_vehicle.axles.rear", "coupling.vertical", "trailer.axle_group"


def reactions(support_a, support_b, forces):
    """The two support reactions of a straight beam under point loads ``(place, force)``, by anastruct."""
    places = sorted({support_a, support_b, *(place for place, _ in forces)})
    beam = SystemElements()
    for one, other in itertools.pairwise(places):
        beam.add_element(location=[[one, 0], [other, 0]], EI=5000.0, EA=1e6)
    node = {place: beam.find_node_id([place, 0]) for place in places}
    beam.add_support_hinged(node_id=node[support_a])
    beam.add_support_roll(node_id=node[support_b])
    for place in places:
        force = sum(f for p, f in forces if p == place)
        if force:
            beam.point_load(node_id=node[place], Fy=-force)
    beam.solve()
    # anastruct's y axis points down in its results: what holds the beam up comes out negative
    return tuple(-float(beam.get_node_results_system(node_id=node[p])["Fy"]) for p in (support_a, support_b))


def made(seed):
    """A random rig as data, with plain numbers beside it for the beam."""
    r = random.Random(seed)
    geometry = {"wheelbase": r.uniform(2.4, 4.6), "overhang": r.uniform(-0.9, 1.9), "reach": r.uniform(2.5, 9.0)}
    geometry = {key: round(value, 3) for key, value in geometry.items()}
    tow = [(round(r.uniform(20, 300), 1), round(r.uniform(-1.2, 3.5), 3)) for _ in range(r.randint(1, 6))]
    trailer = [(round(r.uniform(20, 600), 1), round(r.uniform(0.5, geometry["reach"] + 3), 3)) for _ in range(r.randint(1, 6))]
    empty = {"front": round(r.uniform(900, 1800), 1), "rear": round(r.uniform(600, 1500), 1)}
    bare = {"coupling": round(r.uniform(50, 300), 1), "axles": round(r.uniform(500, 3000), 1)}
    return geometry, tow, trailer, empty, bare, round(r.uniform(0, 80), 1)


def as_rig(geometry, items_of, empty, bare, hardware):
    def items(pairs):
        return {f"item {i}": {"mass": f"{mass} kg", "at": f"{at} m"} for i, (mass, at) in enumerate(pairs)}

    def kilograms(masses):
        return {key: f"{mass} kg" for key, mass in masses.items()}

    tow, trailer = items_of
    return rig(
        tow_vehicle={
            "wheelbase": f"{geometry['wheelbase']} m",
            "coupling_behind_rear_axle": f"{geometry['overhang']} m",
            "unloaded": kilograms(empty),
            "load": items(tow),
        },
        coupling={"hardware_mass": f"{hardware} kg"},
        trailer={
            "coupling_to_axle_centre": f"{geometry['reach']} m",
            "unloaded": kilograms(bare),
            "load": {f"trailer {name}": item for name, item in items(trailer).items()},
        },
    )


def test_the_beam_solver_agrees_with_a_textbook_beam():
    # 10 kN at 1 m of a 4 m span: 7.5 and 2.5 kN; 4 kN on a 1 m overhang beyond a 4 m span: -1 and 5 kN
    assert reactions(0.0, 4.0, [(1.0, 10.0)]) == pytest.approx((7.5, 2.5))
    assert reactions(0.0, 4.0, [(5.0, 4.0)]) == pytest.approx((-1.0, 5.0))


@pytest.mark.parametrize("seed", range(14))
def test_axle_loads_are_a_beam_s_reactions(seed):
    geometry, tow, trailer, empty, bare, hardware = made(seed)
    one = as_rig(geometry, (tow, trailer), empty, bare, hardware)
    length, reach = geometry["wheelbase"], geometry["reach"]
    on_coupling, on_axles = reactions(
        0.0, reach, [(0.0, bare["coupling"]), (reach, bare["axles"]), *((at, mass) for mass, at in trailer)]
    )
    # measured from the front axle, backwards
    place = round(length + geometry["overhang"], 6)
    forces = [(0.0, empty["front"]), (length, empty["rear"]), *((round(length - at, 6), mass) for mass, at in tow)]
    alone = reactions(0.0, length, [*forces, (place, hardware)])
    coupled = reactions(0.0, length, [*forces, (place, hardware + on_coupling)])
    assert by_method(one, VERTICAL, "computed") == pytest.approx(on_coupling, rel=1e-6, abs=1e-6)
    assert by_method(one, GROUP, "computed") == pytest.approx(on_axles, rel=1e-6, abs=1e-6)
    assert by_method(one, FRONT, "computed") == pytest.approx(coupled[0], rel=1e-6, abs=1e-6)
    assert by_method(one, REAR, "computed") == pytest.approx(coupled[1], rel=1e-6, abs=1e-6)
    assert by_method(one, FRONT, "computed", ALONE) == pytest.approx(alone[0], rel=1e-6, abs=1e-6)
    assert by_method(one, REAR, "computed", ALONE) == pytest.approx(alone[1], rel=1e-6, abs=1e-6)


def test_a_coupling_behind_the_axle_weighs_more_than_itself_there():
    # 1000 kg at 1.2 m behind the axle of a 3 m wheelbase: front -1000 x 1.2 / 3 = -400, rear +1000 x (1 + 1.2 / 3) = 1400
    one = rig(
        tow_vehicle={
            "wheelbase": "3 m",
            "coupling_behind_rear_axle": "1.2 m",
            "unloaded": {"front": "1500 kg", "rear": "1000 kg"},
        },
        coupling={"hardware_mass": "0 kg"},
        coupling_load={"value": "1000 kg", "source": "measured"},
    )
    assert by_method(one, FRONT, "computed") == pytest.approx(1100)
    assert by_method(one, REAR, "computed") == pytest.approx(2400)


def test_a_pin_ahead_of_the_axle_loads_the_front():
    # 1000 kg at 0.3 m ahead of the axle of a 3 m wheelbase: front +100, rear +900
    one = rig(
        tow_vehicle={
            "wheelbase": "3 m",
            "coupling_behind_rear_axle": "-0.3 m",
            "unloaded": {"front": "1500 kg", "rear": "1000 kg"},
        },
        coupling={"kind": "fifth_wheel", "hardware_mass": "0 kg"},
        coupling_load={"value": "1000 kg", "source": "measured"},
    )
    assert by_method(one, FRONT, "computed") == pytest.approx(1600)
    assert by_method(one, REAR, "computed") == pytest.approx(1900)


def test_an_item_behind_the_trailer_s_axle_lightens_the_coupling():
    # 100 kg at 6 m with the axle at 5 m: coupling 100 x (5 - 6) / 5 = -20, axles +120
    base = {"coupling_to_axle_centre": "5 m", "unloaded": {"coupling": "100 kg", "axles": "900 kg"}}
    one = rig(trailer={**base, "load": {"bikes": {"mass": "100 kg", "at": "6 m"}}})
    assert by_method(one, VERTICAL, "computed") == pytest.approx(80)
    assert by_method(one, GROUP, "computed") == pytest.approx(1020)


MASSES = st.floats(1, 900).map(lambda x: round(x, 1))
ITEMS = st.lists(st.tuples(MASSES, st.floats(-1.4, 3.9).map(lambda x: round(x, 2))), min_size=1, max_size=5)
TRAILER_ITEMS = st.lists(st.tuples(MASSES, st.floats(0.1, 9.5).map(lambda x: round(x, 2))), min_size=1, max_size=5)
GEOMETRY = {"wheelbase": 3.2, "overhang": 1.3, "reach": 5.5}
EMPTY, TRAILER, HARDWARE = {"front": 1300.0, "rear": 900.0}, {"coupling": 120.0, "axles": 1400.0}, 30.0


def values(one):
    """Every load that is known, by name and state and method."""
    return {
        (name, state, e.method, i): nominal(e.value)
        for (name, state), load in loads(one).items()
        for i, e in enumerate(load.estimates)
    }


@settings(deadline=None, max_examples=40)
@given(ITEMS, TRAILER_ITEMS)
def test_no_mass_is_lost_or_made(tow, trailer):
    one = as_rig(GEOMETRY, (tow, trailer), EMPTY, TRAILER, HARDWARE)
    everything = sum(m for m, _ in (*tow, *trailer)) + sum(EMPTY.values()) + sum(TRAILER.values()) + HARDWARE
    found = values(one)
    axles = sum(found[name, COUPLED, "computed", 0] for name in (FRONT, REAR, GROUP))
    assert axles == pytest.approx(everything, rel=1e-9)
    assert found["combination.gross", COUPLED, "computed", 0] == pytest.approx(everything, rel=1e-9)


@settings(deadline=None, max_examples=40)
@given(ITEMS, TRAILER_ITEMS, st.integers(2, 4))
def test_loads_are_linear_in_masses(tow, trailer, times):
    def scaled(factor):
        return as_rig(
            GEOMETRY,
            [[(round(m * factor, 1), at) for m, at in items] for items in (tow, trailer)],
            {k: m * factor for k, m in EMPTY.items()},
            {k: m * factor for k, m in TRAILER.items()},
            HARDWARE * factor,
        )

    one, more = values(scaled(1)), values(scaled(times))
    assert set(one) == set(more)
    for key, value in one.items():
        wanted = value if key[0] == "coupling.share" else value * times
        assert more[key] == pytest.approx(wanted, rel=1e-9, abs=1e-9)


@settings(deadline=None, max_examples=40)
@given(ITEMS, TRAILER_ITEMS, st.randoms(use_true_random=False))
def test_the_order_of_items_does_not_matter(tow, trailer, chance):
    one = values(as_rig(GEOMETRY, (tow, trailer), EMPTY, TRAILER, HARDWARE))
    shuffled_tow, shuffled_trailer = chance.sample(tow, len(tow)), chance.sample(trailer, len(trailer))
    other = values(as_rig(GEOMETRY, (shuffled_tow, shuffled_trailer), EMPTY, TRAILER, HARDWARE))
    assert set(one) == set(other)
    for key, value in one.items():
        assert other[key] == pytest.approx(value, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(("filled", "litres"), [("full", 100.0), ("empty", 0.0), ("1/4", 25.0), ("40 %", 40.0), ("30 L", 30.0)])
def test_a_tank_weighs_its_contents(filled, litres):
    # water: 0.999 kg a litre (8.34 lb a US gallon at 60 degF)
    one = rig(trailer={"unloaded": "1000 kg", "tanks": {"water": {"holds": "water", "volume": "100 L", "filled": filled}}})
    assert by_method(one, "trailer.gross", "computed") == pytest.approx(1000 + 0.999 * litres)


def test_sixty_gallons_of_water():
    # 60 US gal x 8.34 lb = 500.4 lb: unit definitions
    one = rig(trailer={"unloaded": "1000 lb", "tanks": {"water": {"holds": "water", "volume": "60 gal", "filled": "full"}}})
    assert by_method(one, "trailer.gross", "computed", unit="lb") == pytest.approx(1500.4, abs=0.5)
