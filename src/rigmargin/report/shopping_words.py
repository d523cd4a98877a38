"""The sentences of a shopping sheet: the share it reckons with, and which masses keep the limits that are known."""

from __future__ import annotations

from rigmargin.advice.any_trailer import ACTUATION
from rigmargin.advice.ranges import MOST, Range
from rigmargin.advice.shopping import Largest, Shopping
from rigmargin.loads.facts import BRAKES
from rigmargin.report import names, words
from rigmargin.report.display import DOWN, UP, Display
from rigmargin.spec.rig import Rig


def percent(sheet: Shopping, shown: Display) -> str:
    """A share as it was asked for; the rig's own is rounded as where it is held against its band, else up, as loads are."""
    if not sheet.share.how:
        return f"{100 * sheet.share.ratio:.10g} %"
    return words.load_number(sheet.custom, shown) if sheet.custom else shown.number(sheet.share.ratio, "ratio", UP)


def share_words(sheet: Shopping, shown: Display) -> list[str]:
    """Which share, whence, and what custom says of it."""
    share, part = sheet.share, percent(sheet, shown)
    if share.how:
        spread = f" ± {shown.number(share.spread, 'ratio', UP)}" if share.spread else ""
        sure = "It is reckoned with as it stands, without that doubt. " if share.spread else ""
        said = [
            f"The share on the coupling is {part}{spread} of the loaded trailer, as this rig has it now: {share.how}. "
            f"{sure}Another trailer has another; state it with --share."
        ]
    else:
        said = [f"The share on the coupling is taken to be {part} of the loaded trailer, as asked for."]
    if sheet.custom:
        said += [words.sentence(sheet.custom, sheet.report.rig, shown), *sheet.custom.notes]
    return said


def headline(sheet: Shopping, shown: Display) -> str:
    """What is passed before the trailer gets heavy, the masses that keep every limit, what binds, and what is not in this."""
    rig, rows = sheet.report.rig, sheet.largest
    rest = (*_maker(sheet, shown), *_by_brakes(rig, shown), *_lacking(sheet))
    if not rows:
        return " ".join(("No limit that is known says how heavy the trailer may be.", *rest))
    if not sheet.window:
        return " ".join((_none(rows, rig, shown), *rest))
    kept, top, binds = masses(sheet.window, shown), sheet.window[-1][1], _held(_binding(sheet), rig)
    if sheet.window == ((0.0, top),) and top < MOST:
        said = f"A trailer of {kept}, loaded, by the limits that are known; first binds {binds}."
        return " ".join((said, *rest))
    light = [_light(rows, rig)] if any(row.over_at_least for row in rows) else []
    above = f" Above it binds {binds}." if top < MOST else ""
    return " ".join((*light, f"A trailer {kept}, loaded, keeps every limit that is known.{above}", *rest))


def _binding(sheet: Shopping) -> Largest:
    """The limit that is the first to be passed above the heaviest trailer that keeps all."""
    top = sheet.window[-1][1]
    return next((row for row in sheet.largest if any(high == top for _, high in row.sure_ranges)), sheet.largest[0])


def _held(row: Largest, rig: Rig) -> str:
    return names.uncapital(words.compared_words(row.stops, rig))


def _light(rows: tuple[Largest, ...], rig: Rig) -> str:
    """The limits that the lightest trailer passes."""
    light = [
        f"{_held(row, rig)}{' (without any trailer too)' if row.passed_alone else ''}" for row in rows if row.over_at_least
    ]
    return f"Passed with the lightest trailer: {'; '.join(light)}."


def _none(rows: tuple[Largest, ...], rig: Rig, shown: Display) -> str:
    """The limits that no trailer keeps, or those that leave none between them."""
    light = tuple(row for row in rows if row.over_at_least)
    for left, few in (
        ("is left", tuple(row for row in rows if not row.ranges)),
        ("is sure to be left", tuple(row for row in rows if not row.sure_ranges)),
    ):
        if few:
            others = tuple(row for row in light if row not in few)
            said = f"Nothing {left} for a trailer: {'; '.join(_held(row, rig) for row in few)}."
            return f"{said} {_light(others, rig)}" if others else said
    least = next((row for row in rows if row not in light), rows[0])
    between = (*light, *(() if least in light else (least,)))
    each = "; ".join(f"{_held(row, rig)}, only {masses(row.sure_ranges, shown)}" for row in between)
    told = [_light(light, rig)] if light else []
    return " ".join((*told, f"None: no trailer is sure to keep every limit. {names.capital(each)}."))


def masses(ranges: tuple[Range, ...], shown: Display) -> str:
    """Ranges of a trailer's mass: where one begins is rounded up, where it ends down."""

    def one(low: float, high: float) -> str:
        start, end = shown.number(low, "mass", UP), shown.number(high, "mass", DOWN) if high < MOST else ""
        if low <= 0:
            return f"up to {end}" if end else "of any mass"
        return f"from {start} to {end}" if end else f"from {start} up"

    return " or ".join(one(low, high) for low, high in ranges) or "of no mass"


def _maker(sheet: Shopping, shown: Display) -> tuple[str, ...]:
    """How far the maker's own trailer limit is from what binds."""
    maker = next((row for row in sheet.largest if row.by_maker), None)
    if maker is None or maker is sheet.largest[0] or not 0 < maker.mass < MOST:
        return ()
    return (f"The maker's trailer limit by itself would allow {shown.number(maker.mass, 'mass', DOWN)}.",)


def _by_brakes(rig: Rig, shown: Display) -> tuple[str, ...]:
    """The rows of the towing limit that differ by the trailer's brakes, where the file does not state these."""
    rows = [(row, rig.get(f"tow_vehicle.max_trailer_mass.{row}")) for row in BRAKES]
    given = [f"{shown.number(stated.number, 'mass', DOWN)} {row}" for row, stated in rows if stated]
    if rig.word(ACTUATION) or not given:
        return ()
    why = "because the file does not state the trailer's brakes"
    return (f"The {{word:max_trailer_mass}} is not in this, {why}: {', '.join(given)}.",)


def _lacking(sheet: Shopping) -> tuple[str, ...]:
    number = len(sheet.unknown)
    if not number:
        return ()
    return (
        f"{number} checks lack a figure and are not in this." if number > 1 else "1 check lacks a figure and is not in this.",
    )
