"""What the hitch carries beside the trailer, how the trailer stands on it, and which part of a rig is which link.

An accessory on a receiver or a towbar, such as a bike rack, is an item of the tow vehicle like any other: payload and axles
have its mass at its own station. Here it is charged to the part it hangs on as well, by its lever.
"""

from __future__ import annotations

from rigmargin.loads import attitude, statics
from rigmargin.loads.estimate import Ask, Estimate, Lack
from rigmargin.loads.trailer import VERTICAL
from rigmargin.loads.value import Value, nominal
from rigmargin.loads.ways import COUPLED, Ways
from rigmargin.spec.rig import Item, Rig

PARTS, NOSE_UP = "coupling.parts", "trailer.nose_up"
NAMES = {f"{PARTS}.*.vertical": "mass", "coupling.receiver.vertical": "mass", NOSE_UP: "ratio"}
#: Links of the chain by what they do, for rules that hold one part against another, with the roles of a part that is one.
LINKS = {
    "coupling.receiver": ("receiver", "towbar"),
    "coupling.extension": ("extension",),
    "coupling.ball": ("ball", "towbar", "gooseneck ball"),
    "coupling.socket": ("coupler", "coupling head", "gooseneck coupler"),
}
#: From the vehicle outwards: what hangs on a part is borne by every part before it as well.
OUTWARDS = (
    ("receiver", "towbar"),
    ("extension",),
    ("ball mount",),
    ("ball", "pintle hook", "spring bars", "fifth wheel head", "gooseneck ball"),
    ("coupler", "coupling head", "lunette eye", "king pin", "gooseneck coupler"),
    ("drawbar",),
)


def derive(w: Ways) -> None:
    """Make what each part carries on which something else hangs, and how steeply the trailer stands; nothing else."""
    for part in w.rig.names.get(PARTS, ()):
        ask = w.tickets.ask()
        if names := _borne(ask, w.rig, part):
            _part(w, part, names, ask)
    if w.rig.get(attitude.HEIGHT) or w.rig.get(attitude.LEVEL_HEIGHT):
        way = w.computed(attitude.nose_up, "from the two heights of the coupling", attitude.HEIGHT)
        w.keep(NOSE_UP, COUPLED, way, dimension="ratio")


def _part(w: Ways, part: str, names: set[str], ask: Ask) -> None:
    """The coupling load and what the part bears beside it: for each way to the coupling load, the same way."""
    hung = _hung(ask, w.rig, part, names)
    known = w.made[VERTICAL, COUPLED]
    ways: list[Estimate | Lack] = [Lack(known.tickets), Lack(known.items)]
    if ask.missing:
        ways.append(Lack(tuple(ask.missing)))
    else:
        ways += [
            e._replace(value=e.value + hung, how=f"{e.how}, plus what hangs beside it", as_read=None) for e in known.estimates
        ]
    w.keep(f"{PARTS}.{part}.vertical", COUPLED, *ways)


def _borne(ask: Ask, rig: Rig, part: str) -> set[str]:
    """The names of all that hangs on a part and on those farther out, which hang on it in turn.

    Where the file does not tell which of two parts is the farther one, its role is missing.
    """
    names: set[str] = set()
    for other in rig.names.get(PARTS, ()):
        stated = rig.get(f"{PARTS}.{other}.carries")
        if stated is None or not isinstance(stated.value, tuple) or not stated.value:
            continue
        here, there = _place(rig, part), _place(rig, other)
        if other == part or (there is None and here == 0) or (here is not None and there is not None and here < there):
            names |= set(stated.value)
        elif here is None and there != 0:
            names |= set(stated.value)
            ask.lacks(f"{PARTS}.{part}.role")
        elif there is None or (here == there and here == 1):  # two extensions: which is the nearer one is not known
            names |= set(stated.value)
            ask.lacks(f"{PARTS}.{other}.role")
    return names


def role(rig: Rig, part: str) -> str:
    """What a part is, in plain words: its role in the file, else its name."""
    return (rig.word(f"{PARTS}.{part}.role") or part).replace("_", " ")


def _place(rig: Rig, part: str) -> int | None:
    """How many places out from the vehicle a part is; None where neither role nor name tells."""
    return next((place for place, roles in enumerate(OUTWARDS) if role(rig, part) in roles), None)


def _hung(ask: Ask, rig: Rig, part: str, names: set[str]) -> Value:
    """What hangs on a part, as the mass at the coupling that would bend it as much where it is held, kg.

    Ahead of the coupling it counts as if it were there.
    """
    whole: Value = 0.0
    for item in rig.tow_items:
        if item.name not in names or not item.aboard:
            continue
        behind = _behind(ask, item)
        lever = 1 + behind / ask.at(f"{PARTS}.{part}.to_coupling") if nominal(behind) > 0 else 1.0
        whole = whole + statics.mass(ask, item) * lever
    return whole


def _behind(ask: Ask, item: Item) -> Value:
    """How far behind the coupling an item of the tow vehicle sits, m."""
    return -ask.of(item.station, f"{item.path}.at") - ask.at(statics.OVERHANG)


def part_of(path: str, rig: Rig) -> str:
    """The path of a link's fact by its part in the file: ``coupling.ball.ball_diameter`` as that of the part called so.

    A part that bears nothing else carries the coupling load itself. Other paths stay as they are.
    """
    for link, roles in LINKS.items():
        if path.startswith(f"{link}."):
            named = reversed(rig.names.get(PARTS, ()))
            parts = {rig.word(f"{PARTS}.{part}.role").replace("_", " ") or part: part for part in named}
            name = next((parts[role] for role in roles if role in parts), roles[0])
            return f"{PARTS}.{name}{path.removeprefix(link)}"
    if path.startswith(f"{PARTS}.") and path.endswith(".vertical"):
        return VERTICAL
    return path
