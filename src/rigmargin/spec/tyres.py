"""What a rig file says of its tyres: markings taken apart into fields, date codes and the maker's table looked over.

A field that is given goes before what the marking says; where both say something, whether they agree is kept for the report.
"""

from __future__ import annotations

import datetime
import itertools
import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from rigmargin.spec import units
from rigmargin.spec.date_code import made_on, years_between
from rigmargin.spec.document import Document, Key, dotted
from rigmargin.spec.marking import LAST_INDEX, PLIES, SPEEDS, SWAPPED, Marking, NotAMarking, Wrong, parse, size_wrongs
from rigmargin.spec.problem import Problem, shown
from rigmargin.spec.references import mapping, quantity
from rigmargin.spec.stated import Stated

#: What is made of the fields of an axle's tyres, besides the fields themselves: what was said twice alike and what otherwise,
#: and the maker's rows for one fitment, each as a text such as "35 psi 1700 lb".
AGREED, CONTRADICTED, SINGLE_ROWS, DUAL_ROWS = "agreed", "contradicted", "load_table.single", "load_table.dual"
#: The speed of the symbol, and the age in years by the date code on the day the rig is judged for.
SPEED, AGE = "speed", "age"
#: Of a vehicle whose axles all state them: each axle's size, with its nominal diameter, its load index and how many tyres.
#: Of a spare: its size in the same form.
SIZES, INDICES, COUNTS, SIZED = "tyre_sizes", "tyre_indices", "tyre_counts", "sized"
DERIVED = (
    *(f"{axle}.tyres.{name}" for axle in ("tow_vehicle.axles.*", "trailer.axles.*")
      for name in (AGREED, CONTRADICTED, SINGLE_ROWS, DUAL_ROWS, SPEED, AGE)),
    *(f"{vehicle}.{name}" for vehicle in ("tow_vehicle", "trailer")
      for name in (SIZES, INDICES, COUNTS,
                   *(f"spare_tyre.{own}" for own in (SIZED, CONTRADICTED, "speed_symbol", SPEED, AGE)))),
)  # fmt: skip
#: What the law asks of all the trailer's tyres, with the field that each axle's comes from.
SLOWEST, OLDEST = "trailer.slowest_tyre", "trailer.oldest_tyre"
MADE_OF = {SLOWEST: "trailer.axles.*.tyres.speed_symbol", OLDEST: "trailer.axles.*.tyres.date_code"}
#: The fields a marking fills, with plain words for each.
_FIELDS = {
    "size": "size", "type": "type", "load_index": "load index", "speed_symbol": "speed symbol", "load_range": "load range",
    "ply_rating": "ply rating", "version": "version",
}  # fmt: skip
_SPARE = ("size", "load_index", "speed_symbol")  # those that a spare has
#: Load against pressure of real tyres, L ~ P^n, measured from the top row of published tables: none lies outside this.
STEEPNESS = (0.45, 1.0)
_DUST = 1e-9  # what unit conversion leaves of two equal loads


def tyres(data: Any) -> Iterator[tuple[Key, dict[str, Any]]]:
    """Every mapping that describes tyres, with its path; the spares last."""
    for vehicle in ("tow_vehicle", "trailer"):
        for name in mapping(data, vehicle, "axles"):
            path: Key = (vehicle, "axles", name, "tyres")
            yield path, mapping(data, *map(str, path))
    for vehicle in ("tow_vehicle", "trailer"):
        yield (vehicle, "spare_tyre"), mapping(data, vehicle, "spare_tyre")


# --- what is wrong ---------------------------------------------------------------------------------------------------


def check(document: Document) -> list[Problem]:
    """Markings that cannot be read, date codes that are none, tables that no tyre has (canonical field names)."""
    problems: list[Problem] = []
    for path, entry in tyres(document.data):
        problems += [
            *_marking(document, (*path, "marking"), entry.get("marking")),
            *_size(document, (*path, "size"), entry.get("size")),
            *_date_code(document, (*path, "date_code"), entry.get("date_code")),
            *_table(document, (*path, "load_table"), entry.get("load_table")),
            *_index(document, (*path, "load_index"), entry.get("load_index")),
            *_dual_above_single(document, (*path, "max_load_dual"), entry, "max_load_single", "max_load_dual"),
        ]
    return problems


def _marking(document: Document, path: Key, text: Any) -> Iterator[Problem]:
    if not isinstance(text, str) or not text:
        return
    try:
        parse(text)
    except NotAMarking as error:
        yield from _inside(document, path, error.wrong, "the marking")


def _size(document: Document, path: Key, text: Any) -> Iterator[Problem]:
    """What is wrong with a size by itself; words that are none, as on a photo, stay as they are."""
    if isinstance(text, str):
        yield from _inside(document, path, size_wrongs(text), "the size")


def _inside(document: Document, path: Key, wrongs: tuple[Wrong, ...], what: str) -> Iterator[Problem]:
    """Problems at their characters inside a text."""
    line, column = document.place(path)
    for wrong in wrongs:
        found = f"{wrong.found} (character {wrong.at} of {what})"
        file = document.file_of(path)
        yield Problem(file, line, column + wrong.at - 1, dotted(path), found, wrong.expected, wrong.cure)


def _index(document: Document, path: Key, index: Any) -> Iterator[Problem]:
    """A load index of two figures that is none, or has them swapped; one figure is the schema's to look at."""
    if not isinstance(index, str) or not re.fullmatch(r"[0-9]{1,3}(/[0-9]{1,3})?", index):
        return
    figures = [int(figure) for figure in index.split("/")]
    beyond = [figure for figure in figures if figure > LAST_INDEX]
    if beyond:
        yield document.problem(path, shown(str(beyond[0])), f"a load index of 0 to {LAST_INDEX}", "copy the figures again")
    elif max(figures) > figures[0]:
        yield document.problem(path, shown(index), *SWAPPED)


def _date_code(document: Document, path: Key, code: Any) -> Iterator[Problem]:
    if code is None or isinstance(code, bool) or not isinstance(code, (int, str)):
        return
    text, expected = str(code), "four digits, week and year, such as 3623"
    if not re.fullmatch(r"[0-9]+", text):
        yield document.problem(path, shown(text), expected, "copy the last four digits behind DOT")
    elif len(text) != 4:
        cure = (
            "look at the other sidewall; write the zero in front where the week has one (0925); three digits on the tyre "
            "itself are one made before 2000, which nobody should use: replace it"
        )
        yield document.problem(path, f"{shown(text)}, {len(text)} digits", expected, cure)
    elif not 1 <= int(text[:2]) <= 53:
        cure = "copy the figures again: the week stands first, then the year"
        yield document.problem(path, f"{shown(text)}, week {text[:2]}", "a week from 01 to 53, then the year", cure)


def _table(document: Document, path: Key, rows: Any) -> Iterator[Problem]:
    """Rows out of order, empty rows, and rows that lie where no tyre's do."""
    if not isinstance(rows, list):
        return
    for i, row in enumerate(rows):
        if isinstance(row, dict) and not {"single", "dual"} & row.keys():
            yield document.problem(
                (*path, i), "a row without a load", "single or dual, or both", "add what the maker's table says"
            )
        yield from _dual_above_single(document, (*path, i, "dual"), mapping(row), "single", "dual")
    for fitment in ("single", "dual"):
        known = []
        for i, row in enumerate(rows):
            pressure, load = (
                quantity(mapping(row).get(key), kind) for key, kind in (("pressure", "pressure"), (fitment, "mass"))
            )
            if pressure and load and pressure.si > 0 and load.si > 0:
                known.append((i, pressure.si, load.si))
        for (_, p0, l0), (i, p1, l1) in itertools.pairwise(known):
            if not (p0 < p1 and l0 < l1):
                expected = "a higher pressure and a higher load than in the row before"
                cure = "put the lowest pressure first, and check the figures"
                yield document.problem((*path, i), f"a row out of order ({fitment})", expected, cure)
                break
        else:
            yield from _steepness(document, path, fitment, known)


def _dual_above_single(document: Document, path: Key, entry: Mapping[str, Any], single: str, dual: str) -> Iterator[Problem]:
    """A load in dual fitment above that in single fitment of the same tyre."""
    alone, paired = (quantity(entry.get(name), "mass") for name in (single, dual))
    if alone and paired and paired.si > alone.si * (1 + _DUST):
        expected = f"what one tyre of a pair carries, no more than {single}"
        cure = "give it for one tyre, not for the pair; exchange the two if they were swapped in copying"
        yield document.problem(path, shown(_text(entry[dual])), expected, cure)


def _steepness(document: Document, path: Key, fitment: str, known: list[tuple[int, float, float]]) -> Iterator[Problem]:
    for i, pressure, load in known[:-1]:
        _, top_pressure, top_load = known[-1]
        n = math.log(load / top_load) / math.log(pressure / top_pressure)
        if not STEEPNESS[0] <= n <= STEEPNESS[1]:
            found = f"a row that fits no tyre ({fitment}): load goes with pressure to the power {n:.2f}"
            expected = f"a power of {STEEPNESS[0]:g} to {STEEPNESS[1]:g}, measured from the last row"
            yield document.problem((*path, i), found, expected, "check the row, its units and that it is of this tyre")


# --- what it says ----------------------------------------------------------------------------------------------------


def read(document: Document, figures: Mapping[str, Stated]) -> dict[str, Stated]:
    """What follows from the fields of each axle's tyres and from the spares, by path; ``figures`` is all that is stated.

    Of a document without problems. Each new figure has the line of what it was read from.
    """
    made: dict[str, Stated] = {}
    for path, entry in tyres(document.data):
        base, spare = dotted(path), path[1] == "spare_tyre"
        own, marking = figures.get(f"{base}.marking"), _parsed(entry.get("marking"))
        if own and marking:
            made |= _filled(base, marking, own, figures, _SPARE if spare else tuple(_FIELDS), "the marking")
        size = figures.get(f"{base}.size") or made.get(f"{base}.size")
        by_size = _parsed(size.word) if size else None
        if size and spare:
            made[f"{base}.{SIZED}"] = _like(size, f"{base}.{SIZED}", _sized(size.word))
        elif size and by_size and not own:
            made |= _filled(base, by_size, size, figures, ("type",), "the size")
        made |= _range_and_plies(base, {**made, **figures})
        made |= _rows(base, entry, figures)
        made |= _speed_and_age(base, {**made, **figures})
    for vehicle in ("tow_vehicle", "trailer"):
        axles = [f"{vehicle}.axles.{name}.tyres" for name in mapping(document.data, vehicle, "axles")]
        for field, name, words in (("size", SIZES, _sized), ("load_index", INDICES, str), ("count", COUNTS, str)):
            found = [figures.get(f"{axle}.{field}") or made.get(f"{axle}.{field}") for axle in axles]
            known = [figure for figure in found if figure]
            if known and len(known) == len(axles):
                texts = tuple(words(_plain(figure.value)) for figure in known)
                made[f"{vehicle}.{name}"] = _like(known[0], f"{vehicle}.{name}", texts)
    axles = [f"trailer.axles.{name}.tyres" for name in mapping(document.data, "trailer", "axles")]
    for whole, name, worst in ((SLOWEST, SPEED, min), (OLDEST, AGE, max)):
        each = [made[f"{axle}.{name}"] for axle in axles if f"{axle}.{name}" in made]
        if each and len(each) == len(axles):
            made[whole] = replace(worst(each, key=lambda one: one.number), path=whole)
    return made


def _speed_and_age(base: str, known: Mapping[str, Stated]) -> dict[str, Stated]:
    """The speed of the symbol, m/s, and the age, where symbol, date code and the rig's date are known."""
    made: dict[str, Stated] = {}
    symbol, code, today = (known.get(path) for path in (f"{base}.speed_symbol", f"{base}.date_code", "date"))
    if symbol:
        speed = units.to_si(SPEEDS[symbol.word], "km/h")
        made[f"{base}.{SPEED}"] = replace(symbol, path=f"{base}.{SPEED}", value=speed, dimension="speed", unit="km/h")
    if code and today:
        text = code.word if isinstance(code.value, str) else f"{code.number:04.0f}"
        years = years_between(made_on(text), datetime.date.fromisoformat(today.word))
        made[f"{base}.{AGE}"] = replace(code, path=f"{base}.{AGE}", value=years)
    return made


def _parsed(text: Any) -> Marking | None:
    try:
        return parse(text) if isinstance(text, str) else None
    except NotAMarking:
        return None


def _like(origin: Stated, path: str, value: float | str | tuple[str, ...]) -> Stated:
    """A word or count read from what stands at ``origin``."""
    return Stated(path, value, origin.line, source=origin.source, ref=origin.ref, read_on=origin.read_on, file=origin.file)


def _filled(
    base: str, marking: Marking, own: Stated, figures: Mapping[str, Stated], names: tuple[str, ...], by: str
) -> dict[str, Stated]:
    """The fields the marking fills, and whether those that are given say the same; ``by`` names what was read."""
    made: dict[str, Stated] = {}
    agreed: list[str] = []
    contradicted: list[str] = []
    for name in names:
        words = _FIELDS[name]
        said = getattr(marking, name)
        path = f"{base}.{name}"
        if not said:
            continue
        given = figures.get(path)
        if given is None:
            made[path] = _like(own, path, said)
        elif _same(name, said, given):
            agreed.append(words)
            if name == "load_index" and len(_plain(given.value)) < len(said):
                made[path] = replace(given, value=said)  # the field has the single figure only
        else:
            contradicted.append(f"{words} {_plain(said)} by {by} and {_plain(given.value)} by its own field")
    if agreed:
        made[f"{base}.{AGREED}"] = _like(own, f"{base}.{AGREED}", tuple(agreed))
    if contradicted:
        made[f"{base}.{CONTRADICTED}"] = _like(own, f"{base}.{CONTRADICTED}", tuple(contradicted))
    return made


def _range_and_plies(base: str, known: Mapping[str, Stated]) -> dict[str, Stated]:
    """The contradictions so far, and that of load range and ply rating where both are known."""
    letter, plies, path = known.get(f"{base}.load_range"), known.get(f"{base}.ply_rating"), f"{base}.{CONTRADICTED}"
    if letter is None or plies is None or PLIES[letter.word] == plies.value:
        return {}
    said = f"load range {letter.word}, which is {PLIES[letter.word]} PR, and {_plain(plies.value)} PR"
    before = known[path].value if path in known else ()
    return {path: _like(letter, path, (*(before if isinstance(before, tuple) else ()), said))}


def _same(name: str, said: Any, given: Stated) -> bool:
    """Whether a field says what the marking says; a load index without its dual figure says less, and nothing else."""
    if name == "load_index":
        ours, theirs = ([int(part) for part in text.split("/")] for text in (str(said), _plain(given.value)))
        return theirs == ours[: len(theirs)]
    if name == "size":
        other = _parsed(given.word)
        return bool(said == (other.size if other else given.word.upper().replace(" ", "")))
    return bool(said == given.value)


def _plain(value: Any) -> str:
    return f"{value:.0f}" if isinstance(value, float) else str(value).replace("_", " ")


def _rows(base: str, entry: dict[str, Any], figures: Mapping[str, Stated]) -> dict[str, Stated]:
    """The maker's rows for each fitment, as texts."""
    made: dict[str, Stated] = {}
    rows = entry.get("load_table") or ()
    for fitment, name in (("single", SINGLE_ROWS), ("dual", DUAL_ROWS)):
        texts = [f"{_text(row['pressure'])} {_text(row[fitment])}" for row in rows if fitment in row]
        if texts:
            made[f"{base}.{name}"] = _like(figures[f"{base}.load_table[0].pressure"], f"{base}.{name}", tuple(texts))
    return made


def _text(value: Any) -> str:
    return str(value["value"] if isinstance(value, dict) else value)


def _sized(size: str) -> str:
    """A size with its nominal overall diameter; as it stands where it cannot be read, or tells none."""
    marking = _parsed(size)
    if marking is None or marking.diameter is None:
        return marking.size if marking else size
    inches, millimetres = units.from_si(marking.diameter, "in"), 1000 * marking.diameter
    return f"{marking.size} ({inches:.1f} in or {millimetres:.0f} mm across)"
