"""What the words beside a drawing say of places, distances and how the rig stands. Plain sentences, no shapes."""

from __future__ import annotations

from rigmargin.loads import statics
from rigmargin.report import marks, names, words
from rigmargin.report.display import UP, Display
from rigmargin.report.regional import fill
from rigmargin.spec.problem import printable
from rigmargin.spec.rig import Item, Rig

LONGEST_NAME = 40
MOST_NAMED = 5  # things of one place, on the first sheet of paper
KINDS = ("caravan", "travel_trailer")  # the kinds that regions have words of their own for
SKETCHED = (
    "What is dashed is a sketch: where a body begins and ends, how high floors are, and wheels whose place or size is not "
    "stated. A block's height is its mass, all blocks to one scale; so are all arrows"
)


def title(rig: Rig, axles: int) -> str:
    """What the picture is; ``axles`` are the trailer's, 0 where their number is not stated."""
    tow, trailer = (_kind(rig, vehicle) for vehicle in ("tow_vehicle", "trailer"))
    count = words.counted(axles, "axle", "axles") if axles else "axles not stated"
    what = f"{tow or '{word:tow_vehicle}'} with {trailer or 'trailer'} ({count})"
    return f"Side view to scale, front to the left: {fill(what, rig)}. The lists below say all that is drawn."


def _kind(rig: Rig, vehicle: str) -> str:
    """What sort of vehicle it is; a regional word where there is one."""
    word = rig.word(f"{vehicle}.kind")
    return f"{{word:{word}}}" if word in KINDS else word.replace("_", " ")


def spans(base: float, hitch: float, reach: float, shown: Display) -> tuple[str, str, str]:
    """The three distances (m): wheelbase, coupling behind the rear axle, coupling to the trailer's axles."""
    return (
        f"wheelbase {shown.number(base, 'length')}",
        f"coupling {shown.number(abs(hitch), 'length')} {'behind' if hitch >= 0 else 'ahead of'} the rear axle",
        f"from the coupling to the middle of the trailer's axles {shown.number(reach, 'length')}",
    )


def place(items: list[Item], shown: Display, most: int | None = None) -> str:
    """The things under one number, each place with its distance; the first ``most`` of them, and what the others weigh."""
    by_place: dict[str, list[str]] = {}
    for each in items[:most]:
        by_place.setdefault(_where(each, shown), []).append(item(each, shown))
    named = "; ".join([f"{where}: {', '.join(names)}" for where, names in by_place.items()])
    others = [] if most is None else items[most:]
    if not others:
        return named
    return f"{named}; and {len(others)} more, {shown.number(sum(masses(each)[0] for each in others), 'mass', UP)}"


def item(each: Item, shown: Display) -> str:
    """A thing with its mass; a tank with how full it is."""
    fill = f" ({100 * each.tank.share:.0f} % full)" if each.tank else ""
    return f"{short(each.name)} {shown.number(masses(each)[0], 'mass', UP)}{fill}"


def masses(each: Item) -> tuple[float, float | None]:
    """What an item weighs, and what a tank would weigh full, kg."""
    if each.tank is None:
        return (each.mass.number if each.mass else 0.0), None
    full = each.tank.volume.number * 1000 * float(statics.liquids()[each.tank.holds]["kg_per_litre"])
    return full * each.tank.share, full


def _where(each: Item, shown: Display) -> str:
    assert each.station is not None
    trailer, at = each.path.startswith("trailer."), each.station.number
    away, side = shown.number(abs(at), "length"), "behind" if (at >= 0) == trailer else "ahead of"
    return f"{away} {side} the {'coupling' if trailer else 'rear axle'}"


def stands(pitch: tuple[float, float] | None, squat: tuple[float, float] | None, shown: Display) -> str:
    """How the rig stands: the slope of the nose, and how far the rear sinks (m), each with its expanded uncertainty."""
    sunk, tow = "", shown.words.word("tow_vehicle")
    if squat:
        side = "lower" if squat[0] >= 0 else "higher"
        sunk = f"the {tow}'s rear stands {_known(squat, 'length', shown)} {side} than without the trailer"
    if pitch is None:
        known = f"{names.capital(sunk)}. " if sunk else ""
        return f"{known}Whether the rig stands level or nose-up is not known; it is drawn level."
    if abs(pitch[0]) <= pitch[1]:
        leans = f"Under the trailer the {tow} stands level, as near as its springs tell"
    else:
        up = "nose-up" if pitch[0] > 0 else "nose-down"
        leans = f"Under the trailer the {tow} stands {up} at a slope of {_known(pitch, 'ratio', shown)}"
    told = "; ".join(filter(None, (leans, sunk)))
    return f"{told}. Whether the trailer stands level is not stated; it is drawn level."


def _known(value: tuple[float, float], dimension: str, shown: Display) -> str:
    spread = f" ± {shown.number(value[1], dimension, UP)}" if value[1] else ""
    return f"{shown.number(abs(value[0]), dimension)}{spread}"


def short(text: str, most: int = LONGEST_NAME) -> str:
    """A name from a file, on one line and no longer than ``most``."""
    line = printable(text)
    said = marks.plain(line)
    return line if len(said) <= most else f"{said[: most - 1]}…"


def listed(names: list[str]) -> str:
    """Names with an "and" before the last."""
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]
