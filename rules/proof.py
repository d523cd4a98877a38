"""What a part's standard had it withstand on the test bench. It only tells: a test force is no rating.

The figures are in ``tables/coupling_class.csv`` and ``tables/coupling_proof.csv`` with their mark and source.
"""

from __future__ import annotations

from rigmargin.judge.rule import Answer, Value, nominal, not_applicable, remark, rule, undecided

from .hitch import CARRYING, CLASSED, POUND, classes
from .table import rows as table_rows

#: m/s2: the one the pound-force is defined by, and the one that UN and Australian rules compute with.
STANDARD_GRAVITY, G = 9.80665, 9.81
POUND_FORCE = POUND * STANDARD_GRAVITY
COUPLINGS = ("coupler", "coupling_head", "ball")
HITCHES = ("receiver", "ball_mount", "pintle_hook")
MOST = 10000 * POUND  # kg: what SAE J684 goes up to
DIRECTIONS = {
    "tension": "pulled", "compression": "pushed", "transverse": "to each side", "vertical_tension": "upwards",
    "vertical_compression": "downwards",
}  # fmt: skip


def coupler_forces(number: int, rated: float) -> dict[str, float]:
    """What a coupler and ball of a class withstand, in N by direction; ``rated`` in kg counts in class 4. SAE J684."""
    row = classes()[number]
    unit = POUND_FORCE if row["forces_are"] == "lb" else rated * STANDARD_GRAVITY
    return {words: float(row[direction]) * unit for direction, words in DIRECTIONS.items()}


def hitch_forces(kind: str, rated: float) -> dict[str, float]:
    """What a hitch rated for ``rated`` kg withstands, in N by direction. SAE J684, test of hitches."""
    use = "weight_carrying" if kind in CARRYING else kind
    rows = [row for row in table_rows("coupling_proof") if row["standard"] == "sae_j684" and row["use"] == use]
    pounds = rated / POUND
    return {row["force"]: (float(row["share"]) * pounds + float(row["plus_lb"])) * POUND_FORCE for row in rows}


def adr_forces(rated: float) -> dict[str, float]:
    """What a coupling, drawbar or towbar for an aggregate trailer mass of ``rated`` kg withstands, in N. ADR 62, VSB 1."""
    return {
        row["force"]: float(row["share"]) * G * rated for row in table_rows("coupling_proof") if row["standard"] == "adr_62"
    }


@rule(
    "coupling-proof",
    title="What the part's standard had it withstand",
    each="coupling.parts.*",
    where=".standard",
    needs={
        "standard": ".standard",
        "role": ".role",
        "number": ".class",
        "rated": ".max_towed_mass",
        "atm": "trailer.max_mass",
        "kind": "coupling.kind",
    },
    basis="SAE J684 as Maryland adopted it (COMAR 11.13.08.04 to .10); ADR 62 and VSB 1 at second hand.",
    quantity="The {subject} on the test bench",
    limit_name="its test forces",
    why="A test force shows the margin a standard asks for; it is no rating, and nothing is to be loaded up to it.",
    unless="UN R55 tests by D, Dc and V, which are judged apart; SAE J684 tests couplers, balls, hitches up to 10,000 lb.",
    example="A carrying hitch rated for 5,000 lb: 0.47 x 5,000 + 480 = 2,830 lbf down and lengthwise together.",
)
def coupling_proof(
    standard: str,
    kind: str,
    role: str | None = None,
    number: Value | None = None,
    rated: Value | None = None,
    atm: Value | None = None,
) -> Answer:
    """The static test forces of the part's standard, from its class, its rated towed mass or the trailer's maximum mass."""
    if standard == "un_r55":
        return not_applicable("UN R55 tests by D, Dc and V, which are judged apart")
    if standard == "adr_62":
        if atm is None:
            return undecided("trailer.max_mass", reason="the forces are made of the trailer's {word:trailer_max_mass}")
        return _told("ADR 62, at second hand", adr_forces(nominal(atm)))
    if kind not in CLASSED:
        return not_applicable("the standard speaks of balls and pintles behind a hitch")
    if role is None:
        return undecided(".role", reason="couplers and hitches are tested in different ways")
    if role not in (*COUPLINGS, *HITCHES):
        return not_applicable("the standard's tests are of couplers, balls and hitches")
    if rated is not None and nominal(rated) > MOST:
        return not_applicable(f"the standard's tests go up to {{mass:{MOST}}}")
    if role in COUPLINGS:
        if number is None:
            return undecided(".class", reason="couplers are tested by their class")
        if rated is None and classes()[int(nominal(number))]["forces_are"] != "lb":
            return undecided(".max_towed_mass", reason="class 4 is tested by its rated mass")
        return _told("SAE J684", coupler_forces(int(nominal(number)), nominal(rated or 0.0)))
    if rated is None:
        return undecided(".max_towed_mass", reason="hitches are tested by their rated mass")
    return _told("SAE J684", hitch_forces(kind, nominal(rated)))


def _told(standard: str, forces: dict[str, float]) -> Answer:
    notes = tuple(f"{words[:1].upper()}{words[1:]}: {{force:{force:.1f}}}." for words, force in forces.items())
    return remark(None, f"test forces of {standard}; none of them is a rating", notes=notes)
