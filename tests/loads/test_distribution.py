"""Three tickets: what they give back of a rig that is known, against an independent solution and in a thousand draws."""

import random

import numpy as np
import pytest
from rigs import rig

from rigmargin.loads.facts import Facts
from rigmargin.loads.value import expanded, nominal
from rigmargin.spec.units import to_si

POUND, INCH, GRAVITY = 0.45359237, 0.0254, 9.80665


def truth(chance):
    """A random rig with bars, lb and in: tow vehicle alone, coupling load, trailer's axles, moment, and its measures."""
    base, overhang, reach = chance.uniform(120, 170), chance.uniform(45, 75), chance.uniform(180, 260)
    front, rear = chance.uniform(2600, 3600), chance.uniform(2200, 3200)
    load, axles = chance.uniform(400, 1100), chance.uniform(4000, 7500)
    moment = chance.uniform(0.2, 1.0) * load * overhang * reach / (reach + overhang)  # brings back 20 to 100 %
    return {"L": base, "o": overhang, "D": reach, "F": front, "R": rear, "T": load, "A": axles, "M": moment}


def readings(t):
    """The three tickets by equilibrium: alone, coupled with the bars slack, and with the bars tensioned."""
    base, overhang, reach, moment = t["L"], t["o"], t["D"], t["M"]
    slack = (t["F"] - t["T"] * overhang / base, t["R"] + t["T"] * (1 + overhang / base), t["A"])
    tensioned = (
        slack[0] + moment * (reach + overhang) / (base * reach),
        slack[1] - moment * (reach + overhang + base) / (base * reach),
        slack[2] + moment / reach,
    )
    return {"alone": (t["F"], t["R"]), "coupled": slack, "coupled_distributing": tensioned}


def facts(t, tickets, *, step="20 lb", exact=False, states=("alone", "coupled", "coupled_distributing")):
    """The engine's view of the tickets."""

    def shown(value):
        text = f"{value:.6f} lb"
        return {"value": text, "plus_or_minus": "0 lb"} if exact else text

    weighings = []
    for state in states:
        front, rear, *axles = tickets[state]
        ticket = {"state": state, "increment": step, "front": shown(front), "rear": shown(rear)}
        weighings.append({**ticket, "trailer_axles": shown(axles[0])} if axles else ticket)
    tape = {"plus_or_minus": "0 in"}
    return Facts(
        rig(
            coupling={"kind": "weight_distributing"},
            tow_vehicle={
                "wheelbase": {"value": f"{t['L']:.9f} in", **tape},
                "coupling_behind_rear_axle": {"value": f"{t['o']:.9f} in", **tape},
            },
            trailer={
                "coupling_to_axle_centre": {"value": f"{t['D']:.9f} in", **tape},
                "axles": {"tandem": {"number": 2, "equalized": "yes"}},
            },
            weighings=weighings,
        )
    )


def found(one, name):
    known = one.find(name)
    assert not isinstance(known, tuple), known
    return known.value


def wanted(t):
    """What the engine ought to find, SI."""
    lost = t["T"] * t["o"] / t["L"]
    back = t["M"] * (t["D"] + t["o"]) / (t["L"] * t["D"])
    moment = to_si(t["M"], "lb") * INCH * GRAVITY
    return {
        "coupling.vertical": t["T"] * POUND,
        "trailer.gross": (t["T"] + t["A"]) * POUND,
        "coupling.net": (t["T"] - t["M"] / t["D"]) * POUND,
        "front_axle.lost": lost * POUND,
        "front_axle.regained": back * POUND,
        "front_axle.restored": back / lost,
        "trailer.axles_gained": t["M"] / t["D"] * POUND,
        "coupling.overhang": t["o"] * INCH,
        "bars.moment_by_front": moment,
        "bars.moment_by_rear": moment,
        "bars.moment_by_trailer": moment,
    }


@pytest.mark.parametrize("seed", range(12))
def test_exact_tickets_give_the_rig_back_by_every_route(seed):
    t = truth(random.Random(seed))
    one = facts(t, readings(t), exact=True)
    for name, value in wanted(t).items():
        assert nominal(found(one, name)) == pytest.approx(value, rel=1e-5), name


@pytest.mark.parametrize("seed", range(12))
def test_an_independent_least_squares_solution_agrees(seed):
    # eight readings, five unknowns (F, R, T, A, M): the equations of equilibrium as a matrix, solved by numpy
    t = truth(random.Random(100 + seed))
    base, overhang, reach = t["L"], t["o"], t["D"]
    matrix = np.array(
        [
            [1, 0, 0, 0, 0],
            [0, 1, 0, 0, 0],
            [1, 0, -overhang / base, 0, 0],
            [0, 1, 1 + overhang / base, 0, 0],
            [0, 0, 0, 1, 0],
            [1, 0, -overhang / base, 0, (reach + overhang) / (base * reach)],
            [0, 1, 1 + overhang / base, 0, -(reach + overhang + base) / (base * reach)],
            [0, 0, 0, 1, 1 / reach],
        ]
    )
    tickets = readings(t)
    solution, *_ = np.linalg.lstsq(matrix, np.array([v for ticket in tickets.values() for v in ticket]), rcond=None)
    one = facts(t, tickets, exact=True)
    assert nominal(found(one, "coupling.vertical")) == pytest.approx(solution[2] * POUND, rel=1e-5)
    for route in ("front", "rear", "trailer"):
        moment = nominal(found(one, f"bars.moment_by_{route}"))
        assert moment == pytest.approx(solution[4] * POUND * INCH * GRAVITY, rel=1e-4)


def test_two_tickets_give_the_coupling_load_by_moments_with_more_doubt():
    t = truth(random.Random(7))
    two = facts(t, readings(t), states=("alone", "coupled_distributing")).loads["coupling.vertical", "coupled"]
    three = facts(t, readings(t)).loads["coupling.vertical", "coupled"]
    assert two.best.method == "weighed_and_levers"
    assert nominal(two.best.value) == pytest.approx(t["T"] * POUND, rel=1e-4)
    assert expanded(two.best.value) > 1.3 * expanded(three.best.value)
    bound = next(e for e in two.estimates if e.method == "lower_bound")
    assert nominal(bound.value) < nominal(two.best.value)


def test_coverage_of_tickets_rounded_to_twenty_pounds_is_about_95_percent():
    chance = random.Random(20260525)
    names = ("coupling.vertical", "trailer.gross", "front_axle.regained", "bars.moment_by_rear", "coupling.net")
    inside = dict.fromkeys(names, 0)
    draws = 1000
    for _ in range(draws):
        t = truth(chance)
        rounded = {state: tuple(20 * round(v / 20) for v in ticket) for state, ticket in readings(t).items()}
        one, true = facts(t, rounded), wanted(t)
        for name in names:
            value = found(one, name)
            inside[name] += abs(nominal(value) - true[name]) <= expanded(value) + 1e-9
    for name, count in inside.items():
        assert 0.93 <= count / draws <= 0.975, (name, count)


def test_tickets_of_two_loadings_are_not_subtracted():
    t = truth(random.Random(3))
    tickets = readings(t)
    front, rear, axles = tickets["coupled_distributing"]
    # three standard uncertainties of six readings rounded to 20 lb: 3 x sqrt(6) x 20 / sqrt(12) = 42.4 lb
    for extra, derived in ((42.0, True), (43.0, False)):
        one = facts(t, {**tickets, "coupled_distributing": (front, rear, axles + extra)})
        assert isinstance(one.find("coupling.vertical"), tuple) != derived
        assert ("front_axle.regained", "coupled") in one.loads
        assert (one.loads["front_axle.regained", "coupled"].best is not None) == derived
        # each ticket still proves what it shows by itself
        assert nominal(found(one, "tow_vehicle.axles.rear")) == pytest.approx(tickets["coupled"][1] * POUND)
        assert nominal(one.find("tow_vehicle.axles.rear", "coupled_distributing").value) == pytest.approx(rear * POUND)
