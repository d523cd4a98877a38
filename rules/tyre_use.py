"""Whether the tyres are what they are said to be, and fit for the trip: marking, speed, age, all alike, and the spare."""

from __future__ import annotations

from rigmargin.judge.rule import (
    Answer,
    Value,
    at_most,
    contradicted,
    in_si,
    nominal,
    not_applicable,
    requires,
    rule,
    undecided,
)  # fmt: skip

from .table import rows as table_rows
from .tyre_load import FAR, index_parts, load_index_table, maker_rows, rated_load, rows_apart
from .wheels import ONLY

_AXLES = ("tow_vehicle.axles.*", "trailer.axles.*")


@rule(
    "tyre-marking",
    title="What the file says twice of a {word:tyre} agrees",
    each={axle: {} for axle in _AXLES},
    where=".tyres",
    needs={
        "agreed": ".tyres.agreed",
        "apart": ".tyres.contradicted",
        "index": ".tyres.load_index",
        "single": ".tyres.max_load_single",
        "dual": ".tyres.max_load_dual",
        "reference": ".tyres.pressure_at_max_load",
        "single_rows": ".tyres.load_table.single",
        "dual_rows": ".tyres.load_table.dual",
    },
    basis="Evidence: the marking, the fields beside it, and the {word:moulded} loads are of one sidewall. "
    "{Word:moulded} loads were read up "
    "to 1.5 % below the load index; beyond 2.5 % one of the two is a slip, and so it is with the maker's highest row.",
    quantity="What is said of the {words:tyre} on the {subject}",
    limit_name="",
    why="Ratings built on a figure that was copied wrongly are worth nothing. A field goes before the marking until it is "
    "mended.",
    unless="It needs a figure that is given twice: in the marking and in a field, or as load index and as moulded load.",
    example="Marking LT275/70R18 125/122S and the field load_index: 121/118: one of them is wrong.",
)
def tyre_marking(
    agreed: tuple[str, ...] | None = None, apart: tuple[str, ...] | None = None, index: Value | str | None = None,
    single: Value | None = None, dual: Value | None = None, reference: Value | None = None,
    single_rows: tuple[str, ...] | None = None, dual_rows: tuple[str, ...] | None = None,
) -> Answer:  # fmt: skip
    """The fields of an axle's tyres against their marking, the moulded loads against the load index, and the maker's highest
    row against the rating."""
    differ, alike = list(apart or ()), list(agreed or ())
    for moulded, li, words in zip((single, dual), index_parts(index), ("single", "dual"), strict=False):
        if moulded is None:
            continue
        table = load_index_table()[li]
        if abs(nominal(moulded) / table - 1) > FAR:
            differ.append(f"maximum load, {words}, {{mass:{nominal(moulded)}}} and load index {li}, which is {{mass:{table}}}")
        else:
            alike.append(f"maximum load, {words}")
    for texts, count, words in ((single_rows, 2, "single"), (dual_rows, 4, "dual")):
        rows, rated = maker_rows(texts), rated_load(count, index, single, dual)
        if rated and rows_apart(rows, rated.value, reference):
            pressure, load = rows[-1]
            differ.append(
                f"the load table's last row, {words}, {{mass:{load}}} at {{pressure:{pressure}}}, "
                f"and a rating of {{mass:{nominal(rated.value)}}} a {{word:tyre}}"
            )
    if differ:
        return contradicted(
            found="; ".join(differ),
            expected="one sidewall to say one thing",
            cures=(
                "Read the sidewall again, and correct the figure that was copied wrongly; rows are for one "
                "{word:tyre}, neither for a "
                "pair nor for an axle.",
            )
            if any("load table" in one for one in differ)
            else ("Read the sidewall again, and correct the figure that was copied wrongly.",),
        )
    if alike:
        return requires(True, found=f"{', '.join(alike)}: said twice, and alike", expected="one sidewall to say one thing")
    return not_applicable("nothing is said twice of them")


@rule(
    "tyre-speed",
    title="The {words:tyre} are made for the trip's top speed",
    each={axle: {} for axle in _AXLES},
    where=".tyres",
    needs={
        "load": "trip.top_speed",
        "limit": ".tyres.speed",
        "symbol": ".tyres.speed_symbol",
        "kind": ".tyres.type",
    },
    basis="The speed symbol (standard table). Special-trailer {words:tyre} without one are rated for 65 mph (104 km/h), and "
    "none may be driven above 87 mph (140 km/h): a table of the Tire and Rim Association, read second-hand.",
    quantity="The trip's top speed",
    limit_name="what the {words:tyre} on the {subject} are made for",
    why="Above its speed a {word:tyre} heats faster than it cools, and the more so the more it carries.",
    unless=ONLY,
    cures=("Plan the trip slower, or fit {words:tyre} with a higher speed symbol.",),
    example="Speed symbol L, 120 km/h; a trip at 130 km/h: over by 10 km/h.",
)
def tyre_speed(load: Value, limit: Value | None = None, symbol: str | None = None, kind: str | None = None) -> Answer:
    """The trip's top speed against the speed of the tyres' symbol; a special-trailer tyre without one may go 65 mph."""
    steps = table_rows("special_trailer_speed")
    if limit is None and kind != "special_trailer":
        return undecided(".tyres.speed_symbol", reason="the {word:tyre}'s speed symbol is not given")
    if limit is None:
        return at_most(
            load, in_si(f"{steps[0]['up_to_mph']} mph"), notes=("A special-trailer {word:tyre} without a speed symbol.",)
        )
    if kind == "special_trailer":
        limit = min(limit, in_si(f"{steps[-1]['up_to_mph']} mph"), key=nominal)
    return at_most(load, limit, notes=(f"Speed symbol {symbol}.",))


@rule(
    "tyre-age",
    title="The {words:tyre} are not past the age their makers advise",
    each={"tow_vehicle.axles.*": {"vehicle": "tow_vehicle.kind"}, "trailer.axles.*": {"vehicle": "trailer.axles"}},
    where=".tyres",
    needs={"code": ".tyres.date_code", "age": ".tyres.age", "today": "date"},
    basis="Advice of a {word:tyre} makers' association for trailers and of car makers for tow vehicles "
    "(tables/tyre_age.csv), and no "
    "law: where the law of a place sets an age, its regulation file says so. A body of the American trade holds that no age "
    "limit is scientifically set.",
    quantity="The age of the {words:tyre} on the {subject}",
    limit_name="the advised age",
    why="Rubber hardens and lets go of its cords with age, most of all on a trailer that stands; the tread does not show it.",
    unless=ONLY,
    example="Date code 3916 on a trailer: made in September 2016. In 2022 past five years; from September 2023 past seven: not "
    "met.",
)
def tyre_age(
    code: Value | str, age: Value | None = None, today: str | None = None, vehicle: str | tuple[str, ...] | None = None
) -> Answer:
    """The oldest tyre's date code against the advised ages, on the day the rig is judged for."""
    if age is None:
        return undecided("date", reason="the day the rig is judged for is not given")
    text = code if isinstance(code, str) else f"{nominal(code):04.0f}"
    said, years = f"made in week {int(text[:2])} of 20{text[2:]}", nominal(age)
    if years < 0:
        cure = "Copy the date code again, or correct the rig's date."
        return requires(False, found=f"{said}, after {today}", expected="a date code from before that day", cures=(cure,))
    steps = _ages(vehicle)
    past = [row for row in steps if years >= float(row["from_years"])]
    found = f"{said}, {int(years * 10) / 10:.1f} years before the trip"
    if past:
        row = past[-1]
        found += f"; from {row['from_years']} years the advice, no law, is: {row['advice']} ({row['basis'].rstrip('.')})"
    cures = ("Replace them; the tread tells nothing of age.",)
    return requires(len(past) < len(steps), found=found, expected=f"less than {steps[-1]['from_years']} years", cures=cures)


def _ages(vehicle: str | tuple[str, ...] | None) -> list[dict[str, str]]:
    """The advised ages for a tow vehicle's kind or for the names of a trailer's axles."""
    kind = "trailer" if isinstance(vehicle, tuple) else "tow_vehicle"
    return [row for row in table_rows("tyre_age") if row["vehicle"] == kind]


@rule(
    "tyres-alike",
    title="All {words:tyre} of the trailer are of one size",
    each="trailer",
    where=".axles",
    needs={"sizes": ".tyre_sizes"},
    basis="Guidance of {word:tyre} retailers and of trailer makers: all {words:tyre} of an axle group alike.",
    quantity="The size of the trailer's {words:tyre}",
    limit_name="",
    why="A {word:tyre} of another diameter takes more or less of the load than its neighbour, and turns at another speed.",
    unless="It speaks only of trailers whose axles the file describes.",
    example="ST235/80R16 on one axle and ST225/75R15 on the other: not met.",
)
def tyres_alike(sizes: tuple[str, ...] | None = None) -> Answer:
    """The size of the tyres on each of the trailer's axles."""
    if sizes is None:
        return undecided("trailer.axles.*.tyres.size", reason="the size of the {words:tyre} is not given for every axle")
    alike = len(set(sizes)) == 1
    return requires(
        alike,
        found=sizes[0] if alike else "; ".join(dict.fromkeys(sizes)),
        expected="one size",
        cures=("Fit one size, one load rating and one make of construction on all axles of the trailer.",),
    )


@rule(
    "spare-tyre",
    title="The spare can stand in for the {words:tyre} it is carried for",
    each={"trailer": {"vehicle": "trailer.axles"}, "tow_vehicle": {"vehicle": "tow_vehicle.kind"}},
    where=".spare_tyre",
    needs={
        "sizes": ".tyre_sizes",
        "indices": ".tyre_indices",
        "counts": ".tyre_counts",
        "spare": ".spare_tyre.sized",
        "index": ".spare_tyre.load_index",
        "single": ".spare_tyre.max_load_single",
        "age": ".spare_tyre.age",
        "speed": ".spare_tyre.speed",
        "top_speed": "trip.top_speed",
        "apart": ".spare_tyre.contradicted",
    },
    basis="The same as for the {words:tyre} on the road: one size, a load index no lower, in pairs too where an axle "
    "has four {words:tyre}, "
    "a speed symbol for the trip, and the advised age (tables/tyre_age.csv).",
    quantity="The spare {word:tyre} of the {subject}",
    limit_name="",
    why="A spare that carries less than the {word:tyre} it replaces fails on the way home, and rubber ages unused.",
    unless="It speaks only of a spare that the file describes.",
    cures=("Carry a spare of the same size and of no lower load index, made for the trip's speed and not past its age.",),
    example="Tyres of load index 124 and a spare of 121: not met.",
)
def spare_tyre(
    sizes: tuple[str, ...] | None = None, indices: tuple[str, ...] | None = None, counts: tuple[str, ...] | None = None,
    spare: str | None = None, index: Value | str | None = None, single: Value | None = None, age: Value | None = None,
    speed: Value | None = None, top_speed: Value | None = None, apart: tuple[str, ...] | None = None,
    vehicle: str | tuple[str, ...] | None = None,
) -> Answer:  # fmt: skip
    """The spare's size, loads, speed and age against those of the tyres on the vehicle's axles, the trip and the advice."""
    if apart:
        cures = ("Read the sidewall again, and correct the figure that was copied wrongly.",)
        return contradicted(found="; ".join(apart), expected="one sidewall to say one thing", cures=cures)
    if spare is not None and sizes is not None and spare not in sizes:
        return requires(
            False, found=f"{spare}, while the axles have {'; '.join(dict.fromkeys(sizes))}", expected="one of their sizes"
        )
    wants, has = _highest(indices), index_parts(index)
    pairs = "4" in (counts or ())
    for one, other, words in zip(has, wants if pairs else wants[:1], ("", " for dual wheels"), strict=False):
        if one < other:
            found = f"load index {one}{words}, while the axles have {other}"
            return requires(False, found=found, expected="no lower load index")
    if single is not None and wants and nominal(single) < load_index_table()[wants[0]] * (1 - FAR):
        found = f"a {{word:moulded}} maximum of {{mass:{nominal(single)}}}, while the axles have load index {wants[0]}"
        return requires(False, found=f"{found}, {{mass:{load_index_table()[wants[0]]}}}", expected="no lower load")
    if speed is not None and top_speed is not None and nominal(speed) < nominal(top_speed):
        found = f"made for {{speed:{nominal(speed)}}}, while the trip goes up to {{speed:{nominal(top_speed)}}}"
        return requires(False, found=found, expected="a speed symbol for the trip")
    last = float(_ages(vehicle)[-1]["from_years"])
    if age is not None and nominal(age) >= last:
        return requires(
            False,
            found=f"{int(nominal(age) * 10) / 10:.1f} years old before the trip",
            expected=f"less than {last:g} years, by advice and no law",
        )
    if spare is None or not has:
        return undecided(".spare_tyre.size", ".spare_tyre.load_index", reason="the spare's size or load index is not given")
    if sizes is None or not wants:
        return undecided(".axles", reason="the size or load index of the {words:tyre} on the axles is not given")
    if pairs and len(has) == 1:
        reason = "an axle has {words:tyre} in pairs, and the spare's load index for dual wheels is not given"
        return undecided(".spare_tyre.load_index", reason=reason)
    return requires(True, found=f"{spare}, load index {has[0]}", expected="one of their sizes")


def _highest(indices: tuple[str, ...] | None) -> list[int]:
    """The highest load index of any axle for single wheels, and where any axle has one for dual wheels."""
    parts = [index_parts(one) for one in indices or ()]
    return [max(one[i] for one in parts if len(one) > i) for i in (0, 1) if any(len(one) > i for one in parts)]
