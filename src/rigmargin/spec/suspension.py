"""Whether what a file says of an axle's springs can be so: heights that fit their loads, a rising curve, fields of one kind.

Works on documents that may still break the schema, as ``references`` does; what is missing is no business of this module.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from rigmargin.spec import schema, units
from rigmargin.spec.document import Document, Key
from rigmargin.spec.problem import Problem, shown
from rigmargin.spec.references import choose, mapping, quantity

TOUCHING = 0.005  # m: a step of the tape; nearer than that nobody can tell
FAR = 1.5  # of the axle's maximum load: springs were not measured under more, and a pound taken for a kilogram is
#: The fields that only make sense for some kinds of helper.
_AIR = ("pressure", "pressure_uncoupled", "min_pressure", "max_pressure", "effective_area", "rate")
_BLOCK = ("gap", "soft", "hard")


def check(document: Document) -> list[Problem]:
    """Every contradiction in the springs of ``document`` (canonical field names)."""
    problems: list[Problem] = []
    for end in ("front", "rear"):
        path: Key = ("tow_vehicle", "axles", end, "suspension")
        springs = mapping(document.data, *map(str, path))
        helper = mapping(springs, "helper")
        problems += [
            *_heights(document, (*path, "heights"), mapping(springs, "heights")),
            *_rate(document, path, springs),
            *_travel(document, path, springs),
            *_stand(document, path, springs),
            *_kind(document, (*path, "helper"), helper),
            *_curve(document, (*path, "helper"), helper),
            *_pressures(document, (*path, "helper"), helper),
            *_counted(document, (*path, "helper", "counted_as"), helper.get("counted_as")),
        ]
    return problems


def _heights(document: Document, path: Key, heights: dict[str, Any]) -> Iterator[Problem]:
    light, heavy = mapping(heights, "light"), mapping(heights, "heavy")
    less, more = quantity(light.get("load"), "mass"), quantity(heavy.get("load"), "mass")
    if less and more and less.si >= more.si:
        expected = f"more than {shown(_text(light['load']))}, the light stand's load"
        yield document.problem((*path, "heavy", "load"), shown(_text(heavy["load"])), expected, "exchange the two stands")
    high, low = quantity(light.get("height"), "length"), quantity(heavy.get("height"), "length")
    if high and low and low.si >= high.si:
        expected = f"less than {shown(_text(light['height']))}, the height under the lighter load"
        cure = "check the two heights: the vehicle stands lower under the heavier load"
        yield document.problem((*path, "heavy", "height"), shown(_text(heavy["height"])), expected, cure)


def _rate(document: Document, path: Key, springs: dict[str, Any]) -> Iterator[Problem]:
    """Heights that make a rate no axle has, and a heavy stand at which the overload stage would touch."""
    light, heavy = mapping(springs, "heights", "light"), mapping(springs, "heights", "heavy")
    less, more = quantity(light.get("load"), "mass"), quantity(heavy.get("load"), "mass")
    high, low = quantity(light.get("height"), "length"), quantity(heavy.get("height"), "length")
    if not (less and more and high and low and more.si > less.si and high.si > low.si):
        return
    rate = units.GRAVITY * (more.si - less.si) / (high.si - low.si)
    node = schema.at((*path, "spring_rate"))
    assert node is not None  # an axle's springs have a rate
    least, most = (units.parse(end, "stiffness").si for end in node["x-range"])
    unit = "lb/in" if more.unit in units.US_UNITS else "N/mm"
    if not least <= rate <= most:
        ends = " to ".join(f"{units.from_si(end, unit):.0f}" for end in (least, most))
        found = f"a rate of {units.from_si(rate, unit):.1f} {unit} from these heights and loads"
        yield document.problem((*path, "heights"), found, f"{ends} {unit}", "check the heights, the loads and their units")
    stand = quantity(springs.get("measured_at"), "mass")
    gap = quantity(mapping(springs, "overload").get("gap"), "length")
    if stand and gap and units.GRAVITY * (more.si - stand.si) / rate > gap.si + TOUCHING:
        found = f"{shown(_text(heavy['load']))}, at which the overload stage touches"
        expected = "a load at which it stands clear, so that the heights tell the main springs' rate"
        cure = "measure at a lighter load, or check the overload stage's gap"
        yield document.problem((*path, "heights", "heavy", "load"), found, expected, cure)


def _travel(document: Document, path: Key, springs: dict[str, Any]) -> Iterator[Problem]:
    """The travel that must be left is part of what there is."""
    whole, least = quantity(springs.get("bump_travel"), "length"), quantity(springs.get("min_bump_travel"), "length")
    if whole and least and least.si > whole.si:
        expected = f"at most {shown(_text(springs['bump_travel']))}, the whole bump travel"
        found = shown(_text(springs["min_bump_travel"]))
        yield document.problem((*path, "min_bump_travel"), found, expected, "exchange the two, or measure again")


def _stand(document: Document, path: Key, springs: dict[str, Any]) -> Iterator[Problem]:
    """The load at which gaps and travel were measured is one that the axle can have had."""
    stand = quantity(springs.get("measured_at"), "mass")
    limit = mapping(document.data, *map(str, path[:-1])).get("max_load")
    most = quantity(limit, "mass")
    if stand and most and stand.si > FAR * most.si:
        expected = f"a load this axle can have had; its maximum load is {shown(_text(limit))}"
        cure = "check the load and its unit: it is the axle's own, and not the vehicle's"
        yield document.problem((*path, "measured_at"), shown(_text(springs["measured_at"])), expected, cure)


def _kind(document: Document, path: Key, helper: dict[str, Any]) -> Iterator[Problem]:
    kind = helper.get("kind")
    if kind not in ("air", "rubber", "steel"):
        return
    for name in _BLOCK if kind == "air" else _AIR:
        if name in helper:
            own = ", ".join(_AIR if kind == "air" else _BLOCK)
            found = f"the field {shown(name)} on a helper of kind: {kind}"
            yield document.problem((*path, name), found, f"one of {own}", "delete the line, or correct the kind", at_key=True)


def _curve(document: Document, path: Key, helper: dict[str, Any]) -> Iterator[Problem]:
    """Two points of f = k x + c x^3 with k and c of zero or more: the soft load lies between the cube and the straight line."""
    soft, hard = mapping(helper, "soft"), mapping(helper, "hard")
    x1, x2 = quantity(soft.get("compression"), "length"), quantity(hard.get("compression"), "length")
    if x1 and x2 and x1.si >= x2.si:
        expected = f"more than {shown(_text(soft['compression']))}, the soft point's compression"
        where = (*path, "hard", "compression")
        yield document.problem(where, shown(_text(hard["compression"])), expected, "exchange the two points")
        return
    f1, f2 = quantity(soft.get("load"), "mass"), quantity(hard.get("load"), "mass")
    if not (x1 and x2 and f1 and f2 and x1.si > 0):
        return
    share = x1.si / x2.si
    low, high = f2.si * share**3, f2.si * share
    if not low * (1 - 1e-9) <= f1.si <= high * (1 + 1e-9):
        least, most = math.ceil(units.from_si(low, f1.unit)), math.floor(units.from_si(high, f1.unit))
        expected = f"{least} to {most} {f1.unit}, between a cube and a straight line through the hard point"
        cure = "check the two points; if they are right, give a soft point nearer to the hard one"
        yield document.problem((*path, "soft", "load"), shown(_text(soft["load"])), expected, cure)


def _pressures(document: Document, path: Key, helper: dict[str, Any]) -> Iterator[Problem]:
    low, high = quantity(helper.get("min_pressure"), "pressure"), quantity(helper.get("max_pressure"), "pressure")
    if low and high and low.si > high.si:
        expected = f"at most {shown(_text(helper['max_pressure']))}, the greatest pressure"
        yield document.problem((*path, "min_pressure"), shown(_text(helper["min_pressure"])), expected, "exchange the two")


def _counted(document: Document, path: Key, name: Any) -> Iterator[Problem]:
    items = mapping(document.data, "tow_vehicle", "load")
    if isinstance(name, str) and name not in items:
        expected, cure = choose(name, items)
        cure += "; the kit's own mass is a load item of the tow vehicle"
        yield document.problem(path, f"the load item {shown(name)}", expected, cure)
    elif isinstance(name, str) and mapping(items, name).get("aboard") == "no":
        expected, cure = "a load item that travels", "delete its 'aboard: no': the kit is bolted to the vehicle"
        yield document.problem(path, f"the load item {shown(name)}, which is not aboard", expected, cure)
    elif isinstance(name, str) and mapping(items, name).get("person") == "yes":
        expected, cure = "the load item that stands for the kit", "name the kit's own item, or add one with the kit's mass"
        yield document.problem(path, f"the load item {shown(name)}, who is a person", expected, cure)


def _text(value: Any) -> str:
    return str(value["value"] if isinstance(value, dict) else value)
