"""The shopping sheet in words: the largest trailer under each limit, and the least figures a tow vehicle must have.

Laid out here once as plain text; the terminal, Markdown, HTML and JSON forms only place it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rigmargin import __version__
from rigmargin.advice.any_trailer import MAX_MASS
from rigmargin.advice.learn import act_of
from rigmargin.advice.ranges import LEAST, Range
from rigmargin.advice.shopping import Largest, Shopping, Unknown, custom
from rigmargin.judge.finding import Finding, Report
from rigmargin.loads import statics
from rigmargin.loads.facts import Missing
from rigmargin.loads.value import COVERAGE
from rigmargin.report import by_settings, evidence, names, words
from rigmargin.report import shopping_words as said
from rigmargin.report.display import DOWN, UP, Display, display, file_name
from rigmargin.report.forms import forms
from rigmargin.report.regional import fill, spoken
from rigmargin.report.shopping_json import document
from rigmargin.report.vehicle_needs import NeedRow, UnknownRow, lacking, need_row, unknown_need
from rigmargin.spec.problem import printable
from rigmargin.spec.rig import Rig

if TYPE_CHECKING:
    from rich.console import Console


@dataclass(frozen=True, slots=True)
class LargestRow:
    """The trailers that keep one limit: the largest, or the range where lighter ones do not keep it either."""

    mass: str
    sure: str
    limit: str  # what is held against what


@dataclass(frozen=True, slots=True)
class ShoppingView:
    """The whole sheet."""

    name: str
    file: str
    share: tuple[str, ...]  # sentences
    headline: str
    aboard: str
    largest: tuple[LargestRow, ...]
    no_largest: str  # said where there are none
    unknown: tuple[UnknownRow, ...]
    behind: str  # the trailer that the remarks speak of
    remarks: tuple[str, ...]
    trailer: str  # whose figures follow
    needs: tuple[NeedRow, ...]
    needs_unknown: tuple[UnknownRow, ...]
    required: tuple[str, ...]
    needs_remarks: tuple[str, ...]
    settings: tuple[str, ...]  # what settings change; none where they change nothing
    cautions: tuple[str, ...]
    version: str


@spoken(lambda sheet: sheet.report.rig)
def view(sheet: Shopping, system: str = "rig") -> ShoppingView:
    """The sheet in the units of ``system``."""
    rig, shown = sheet.report.rig, display(sheet.report.rig, system)
    return ShoppingView(
        name=printable(rig.name),
        file=printable(file_name(rig)),
        share=tuple(map(printable, said.share_words(sheet, shown))),
        headline=printable(said.headline(sheet, shown)),
        aboard=printable(_aboard(rig, shown)),
        largest=tuple(_largest(row, rig, shown) for row in sheet.largest),
        no_largest="No limit that is known says how heavy the trailer may be.",
        unknown=tuple(_unknown(row, rig) for row in sheet.unknown),
        behind=_behind(sheet, shown),
        remarks=(*(printable(words.sentence(f, rig, shown)) for f in sheet.remarks), *_front(sheet)),
        trailer=printable(_trailer(sheet, shown)),
        needs=tuple(need_row(need, rig, shown) for need in sheet.needs.least),
        needs_unknown=tuple(unknown_need(name, missing, rig, shown) for name, missing in sheet.needs.unknown),
        required=tuple(printable(f"{names.capital(f.expected)}.") for f in sheet.needs.required if f.expected),
        needs_remarks=tuple(printable(words.sentence(f, rig, shown)) for f in sheet.needs.remarks),
        settings=by_settings.remarks(sheet.report, advice=True),
        cautions=_cautions(sheet, shown),
        version=__version__,
    )


def ask_share(report: Report, missing: tuple[Missing, ...]) -> str:
    """What to say when the share is neither asked for nor known."""
    acts = " and ".join(dict.fromkeys(act_of(m.path)[0] for m in missing))
    found = custom(report.rig)
    band = f" {_sentences(found, display(report.rig))}" if found else ""
    acts = fill(acts, report.rig)
    return (
        f"{file_name(report.rig)!r} does not tell which share of the trailer rests on the coupling. State the share to reckon "
        f"with, as in --share 'NUMBER %' (of the loaded trailer's mass), or {acts}.{band}"
    )


def _sentences(found: Finding, shown: Display) -> str:
    name = found.limit_name or "the band"
    notes = "".join(f" {note}" for note in found.notes)
    return f"{names.capital(name)} for this rig is {words.limit_number(found, shown)}.{notes}"


def _aboard(rig: Rig, shown: Display) -> str:
    names = [item.name for item in rig.tow_items if item.aboard]
    hardware = rig.get(statics.HARDWARE)
    known = f"hitch hardware of {shown.number(hardware.number, 'mass', UP)}" if hardware else "hitch hardware not stated"
    return f"Counted in the vehicle: {', '.join(names) or 'nobody and nothing, because nothing is listed'}; {known}."


def _largest(row: Largest, rig: Rig, shown: Display) -> LargestRow:
    limit = printable(words.compared_words(row.stops, rig))
    mass, sure = (_column(ranges, shown) for ranges in (row.ranges, row.sure_ranges))
    if row.open:
        return LargestRow(mass, "not sure", f"{limit} (known only from below: more is certainly too much)")
    if not row.ranges:
        ever = " (passed whatever the trailer's mass, loaded to its {word:trailer_max_mass})"
        note = " (used up without any trailer)" if row.passed_alone else ever
    elif row.over_at_least:
        alone = " and without any" if row.passed_alone else ""
        note = f" (passed with a lighter trailer{alone})"
    else:
        note = "" if row.sure else " (too close to tell, or in conflict, even without a trailer)"
    return LargestRow(mass, sure, f"{limit}{note}")


def _column(ranges: tuple[Range, ...], shown: Display) -> str:
    """The heaviest trailer, or the range where lighter ones do not keep the limit either."""
    if not ranges:
        return shown.number(0.0, "mass")
    return said.masses(ranges, shown).removeprefix("up to ")


def _unknown(row: Unknown, rig: Rig) -> UnknownRow:
    reason = f" ({row.finding.reason})" if row.finding.reason and not row.missing else ""
    return lacking(f"{words.compared_words(row.finding, rig)}{reason}", row.missing)


def _behind(sheet: Shopping, shown: Display) -> str:
    if sheet.size <= LEAST:
        return "With any trailer"
    return f"With a trailer of {shown.number(sheet.size, 'mass', DOWN)}"


def _front(sheet: Shopping) -> tuple[str, ...]:
    """How much the front axle loses to a coupling behind the rear axle."""
    if sheet.front_left is None or sheet.front_left >= 1 or sheet.size <= LEAST:
        return ()
    left = math.floor(round(100 * sheet.front_left, 6))
    return (f"{left} % of the front axle's load without a trailer remains.",)


def _trailer(sheet: Shopping, shown: Display) -> str:
    needs = sheet.needs
    if needs.mass is None or needs.coupling is None:
        return "The trailer's {word:trailer_max_mass} is not known, so that nothing can be said of the vehicle it needs."
    mass, load = (shown.number(x, "mass", UP) for x in (needs.mass, needs.coupling))
    limit = sheet.report.rig.stated[MAX_MASS]
    spread = f" ± {shown.number(COVERAGE * limit.sigma, 'mass', UP)}" if limit.sigma else ""
    return (
        f"For the trailer of the file at its {{word:trailer_max_mass}}, {mass}{spread} ({evidence.source_words(limit)}), with "
        f"{said.percent(sheet, shown)} of it, {load}, on the coupling, and for the people, cargo and hardware of the "
        "file."
    )


def _cautions(sheet: Shopping, shown: Display) -> tuple[str, ...]:
    each = {"lb": "pound", "kg": "kilogram"}[shown.unit("mass")]
    bars = (
        "Distributing bars are counted slack: they give no payload back, and what they take off the rear axle shows only when "
        "the rig is weighed with them tensioned.",
    )
    return (
        "Limits are those on the labels of this very vehicle. Options and later fittings lower its payload; a brochure shows "
        "the lightest build, and a {word:max_trailer_mass} is set with a lightly loaded vehicle. "
        "Read the labels before you buy.",
        "Each trailer is reckoned with as loaded to its {word:trailer_max_mass}. "
        "The share is of the loaded trailer. The {word:coupling_load} in a brochure is that of an empty one, and most "
        "often less than "
        "what rests there on the road; hold a trailer's {word:trailer_max_mass} against this sheet, not its empty mass.",
        f"By payload and {{word:tow_max_mass}}, every {each} more in the vehicle takes "
        f"{1 / sheet.share.ratio:.1f} off the trailer.",
        *(bars if sheet.report.rig.word("coupling.kind") == "weight_distributing" else ()),
        "Limits of a trailer that is not bought yet, of its axles, {words:tyre} and coupling, are not in the first "
        "list; put it into "
        "the file, weigh, and check the whole rig.",
        words.CAUTIONS[0],
        words.CAUTIONS[1],
    )


def show(view_: ShoppingView, console: Console) -> None:
    """Print it on a terminal."""
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    def lines(heading: str, texts: list[str]) -> None:
        if texts:
            console.print(Text(heading, style="bold"))
        for text in texts:
            console.print(Padding(Text(text), (0, 0, 0, 2)))

    def grid(*columns: str) -> Table:
        table = Table(box=None, padding=(0, 1, 0, 0), header_style="bold")
        for column in columns[:-1]:
            table.add_column(column, justify="right", overflow="fold")
        table.add_column(columns[-1], overflow="fold")
        return table

    console.print(Text(view_.name, style="bold"))
    console.print(Text(view_.headline))
    for sentence in (*view_.share, view_.aboard):
        console.print(Text(sentence))
    table = grid("largest trailer", "sure up to", "by this limit")
    for row in view_.largest:
        table.add_row(Text(row.mass), Text(row.sure), Text(row.limit))
    console.print(table if view_.largest else Text(view_.no_largest))
    lines("Not in these figures, because something is not known:", [f"{u.what}: {u.acts}" for u in view_.unknown])
    lines(f"{view_.behind}:", list(view_.remarks))
    console.print(Text("What a tow vehicle must have at the least", style="bold"))
    console.print(Text(view_.trailer))
    table = grid("by figures", "to be sure", "this one has", "figure")
    for need in view_.needs:
        table.add_row(Text(need.least), Text(need.sure), Text(need.has), Text(f"{need.figure}. {need.because} {need.where}"))
    if view_.needs:
        console.print(table)
    lines("Not known:", [f"{u.what}: {u.acts}" for u in view_.needs_unknown])
    lines("It must also have:", list(view_.required))
    lines("Of the trailer itself:", list(view_.needs_remarks))
    by_settings.show(view_.settings, console)
    for caution in view_.cautions[:3]:
        console.print(Text(caution, style="dim"))
    console.print()


html, markdown, json = forms("shopping", view, document)
