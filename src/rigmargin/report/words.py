"""Findings in plain sentences. Every sentence a person reads about a verdict is made here."""

from __future__ import annotations

import re
from collections.abc import Callable

from rigmargin.judge.finding import Finding, Report
from rigmargin.loads.facts import DISTRIBUTING, Missing
from rigmargin.loads.value import nominal
from rigmargin.report import marks
from rigmargin.report.display import DOWN, NEAR, UP, Display
from rigmargin.report.regional import fill, label
from rigmargin.report.standing import standing
from rigmargin.spec.rig import Rig
from rigmargin.spec.stated import Stated, conventions
from rigmargin.spec.words import large

#: A verdict's word and its mark: a shape that survives grey printing, and differs from the others without colour.
VERDICT_WORDS = {
    "over": ("over", "▲"),
    "unmet": ("not met", "✕"),
    "outside_band": ("outside its band", "◆"),
    "rule_failed": ("check failed", "‼"),
    "conflict": ("conflict", "≠"),
    "too_close": ("too close to tell", "≈"),
    "not_checked": ("not checked", "?"),
    "at_limit": ("at its limit", "="),
    "within": ("within", "●"),
    "note": ("note", "i"),
    "not_applicable": ("does not apply", "–"),
}
#: The verdicts that end a rig's journey, with their words in the headline for one and for many.
PASSED = {
    "over": ("limit is passed", "limits are passed"),
    "unmet": ("requirement is not met", "requirements are not met"),
    "outside_band": ("figure is outside its band", "figures are outside their bands"),
}
#: What is said under every report; of the words that differ by region the report fills in its own.
CAUTIONS = (
    "Being within the limits checked is not permission to travel, and says nothing of stability, braking or road manners: "
    "static weights show none of them.",
    "The makers' own figures, the law of the place and licensed practice come first; this report carries their figures on and "
    "changes none. If any one limit is passed, do not travel until that is cleared.",
    "It speaks of this load on this day. Weigh loaded as travelled, everyone aboard, tanks in their usual state, and weigh "
    "again after every change.",
    "Keep heavy things low and near the axles; move cargo to correct the {word:coupling_load}, and measure it again.",
    "Before each trip check brakes, breakaway cable, chains, lights, coupling locks, wheel fixings and cold "
    "{word:tyre} pressures.",
)
_SUBJECTS = {
    "tow_vehicle": "{word:tow_vehicle}",
    "trailer": "trailer",
    "coupling": "coupling",
    "tow_vehicle.axles.front": "front axle",
    "tow_vehicle.axles.rear": "rear axle",
    "trailer.axles": "trailer's axles",
    "coupling.parts": "hitch",
    "combination": "combination",
    "front_axle": "front axle",
    "rear_axle": "rear axle",
}
LOAD_NAMES = {
    "tow_vehicle.gross": "Loaded {word:tow_vehicle}",
    "tow_vehicle.payload_used": "People, cargo, hardware and {word:coupling_load}",
    "tow_vehicle.payload_by_difference": "{Word:tow_max_mass} less {word:tow_unloaded}",
    "trailer.gross": "Loaded trailer",
    "trailer.axle_group": "Trailer's axles together",
    "combination.gross": "Vehicle and trailer together",
    "coupling.vertical": "{Word:coupling_load}",
    "coupling.share": "Coupling's share of the trailer",
    "front_axle.lost": "Front axle lost to the coupling",
    "front_axle.lost_by_lever": "Front axle's loss by the lever",
    "front_axle.regained": "Front axle got back from the bars",
    "front_axle.restored": "Share of the front axle's loss restored",
    "trailer.axles_gained": "Moved to the trailer's axles by the bars",
    "front_axle.left_share": "Left wheels' share of the front axle",
    "rear_axle.left_share": "Left wheels' share of the rear axle",
    "trailer.left_share": "Left wheels' share of the trailer's axles",
    "coupling.net": "Net load on the {word:tow_vehicle}, bars tensioned",
    "coupling.overhang": "Coupling behind the rear axle, implied by the tickets",
    "bars.moment_by_front": "Moment of the bars, from the front axle",
    "bars.moment_by_rear": "Moment of the bars, from the rear axle",
    "bars.moment_by_trailer": "Moment of the bars, from the trailer's axles",
    "combination.bars_slack": "Vehicle and trailer together, bars slack",
    "combination.bars_tensioned": "Vehicle and trailer together, bars tensioned",
    "tow_vehicle.pitch": "Rise of the nose under the trailer, as a share of distance",
    "tow_vehicle.pitch_without_helper": "The same without the helper springs",
    "tow_vehicle.axles.*.suspension.rate": "Rate of the {subject}'s main springs",
    "tow_vehicle.axles.*.suspension.squat": "Height lost at the {subject} under the trailer",
    "tow_vehicle.axles.*.suspension.squat_without_helper": "Height lost at the {subject} without the helper springs",
    "tow_vehicle.axles.*.suspension.travel_left": "Bump travel left at the {subject}",
    "tow_vehicle.axles.*.suspension.roll_moment": "Moment of the {subject}'s own springs against one degree of lean",
    "tow_vehicle.axles.*.suspension.helper.load": "Carried by the {subject}'s helper springs",
    "tow_vehicle.axles.*.suspension.helper.share": "Share of the {subject}'s load on its helper springs",
    "tow_vehicle.axles.*.suspension.helper.compression": "How far the {subject}'s helper springs are pressed in",
    "tow_vehicle.axles.*.suspension.helper.clearance_unloaded": "Clearance of the {subject}'s helper springs, unloaded",
    "tow_vehicle.axles.*.suspension.helper.roll_moment": "Moment of the {subject}'s helper springs against one degree of lean",
}
_OF_AN_AXLE = re.compile(r"(tow_vehicle\.axles)\.([^.]+)\.(.+)")
STATE_WORDS = {"alone": "without the trailer", "coupled": "bars slack", "coupled_distributing": "bars tensioned"}


def subject_words(path: str, rig: Rig) -> str:
    """A subject in plain words, such as ``rear axle`` or ``fifth wheel head``."""
    if path in _SUBJECTS:
        return fill(_SUBJECTS[path], rig)
    name = path.rpartition(".")[2]
    for axle in rig.trailer_axles:
        if path == f"trailer.axles.{axle.name}":
            return f"trailer axle '{name}'" if axle.number == 1 else f"trailer axle '{name}' (each of {axle.number})"
    return name


def of(text: str, subject: str) -> str:
    """A text with its ``{subject}`` filled in; what ends in s takes no other in "the spring bars' limit"."""
    return text.replace("{subject}'s", f"{subject}'" if subject.endswith("s") else f"{subject}'s").replace("{subject}", subject)


def load_words(name: str, state: str, rig: Rig) -> str:
    """A load in plain words, with its state; an empty state leaves it out."""
    part = _OF_AN_AXLE.fullmatch(name)
    words = LOAD_NAMES.get(name) or subject_words(name, rig)
    if part:
        axle = subject_words(f"{part[1]}.{part[2]}", rig)
        words = of(LOAD_NAMES[f"{part[1]}.*.{part[3]}"], axle)
    return f"{capital(fill(words, rig))}{state_words(state, rig)}"


def state_words(state: str, rig: Rig) -> str:
    """The state in brackets; empty where there is only one coupled state."""
    return f" ({STATE_WORDS[state]})" if state == "alone" or (state and _distributing(rig)) else ""


def _distributing(rig: Rig) -> bool:
    return rig.word("coupling.kind") == "weight_distributing" or DISTRIBUTING in [w.state for w in rig.weighings]


def source_words(stated: Stated, fill: Callable[[str], str] = str) -> str:
    """Where a figure came from and where it stands, such as ``certification label, line 12``; ``fill`` fills its marks."""
    ref = f", {stated.ref}" if stated.ref else ""
    return f"{fill(source_name(stated.source))}{ref}, {place_words(stated)}"


def source_name(source: str) -> str:
    """Where a figure with such a ``source`` came from, such as ``certification label``."""
    return conventions().get(source, {}).get("in words", "source not stated").removeprefix("the ").removeprefix("a ")


def source_rank(stated: Stated) -> int:
    """How well such a source is known beside the others, 1 for the best."""
    rank = conventions().get(stated.source, {}).get("rank")
    return int(rank) if rank else len(conventions())


def place_words(stated: Stated) -> str:
    """Where a figure stands, such as ``line 12``."""
    if not stated.line:
        return stated.file
    return f"line {stated.line} of {stated.file}" if stated.file else f"line {stated.line}"


def limit_words(finding: Finding, rig: Rig) -> str:
    """The limit by name, with the owner's own label word where he used one and the name does not say it."""
    text = finding.limit_name or (finding.source.limit_name if finding.source else "")
    name = of(fill(text, rig), subject_words(finding.subject, rig))
    word = rig.words.get(finding.limit.path) if finding.limit else None
    shown = word.upper() if word and len(word) <= 5 else (word or "").replace("_", " ")
    return f"{name}{label(shown, text, rig)}" if shown else name


def path_words(path: str, rig: Rig) -> str:
    """An input's path in words a reader can find in the file."""
    if path.startswith("model: "):
        return f"the model's own uncertainty ({path.removeprefix('model: ')})"
    stated = rig.get(path)
    return f"{path} ({place_words(stated)})" if stated else path


def sentence(finding: Finding, rig: Rig, display: Display) -> str:
    """One plain sentence that says what was found, and another where settings have something to say of it."""
    return " ".join(filter(None, (_found(finding, rig, display), standing(finding))))


def _found(finding: Finding, rig: Rig, display: Display) -> str:
    return display.words.fill(_told(finding, rig, display))


def _told(finding: Finding, rig: Rig, display: Display) -> str:
    if finding.verdict == "rule_failed":
        return f"{capital(finding.reason)}."
    quantity = _quantity(finding, rig)
    if finding.verdict == "not_applicable":
        return f"{quantity}: does not apply, because {display.fill(finding.reason)}."
    if finding.other[0]:
        return _agreement(finding, rig, display)
    if finding.expected:
        met = finding.verdict == "within"
        reason = display.fill(finding.reason)
        return f"{quantity}: {reason}." if met else f"{quantity}: {reason}; expected {finding.expected}."
    if finding.load is None and finding.verdict == "note":
        return f"{quantity}: {finding.reason}."
    if finding.load is None:
        return _not_checked(finding, quantity, rig, display)
    if finding.verdict == "note":
        value = display.number(finding.load, finding.dimension)
        spread = f" ± {display.number(finding.uncertainty, finding.dimension, UP)}" if finding.uncertainty else ""
        return f"{quantity} is {value}{spread}; {finding.reason}."
    return _comparison(finding, quantity, rig, display)


def capital(text: str) -> str:
    """The text with a large first letter; a mark for a regional word asks for it."""
    return marks.first_letter(large(text), "W")


def _quantity(finding: Finding, rig: Rig) -> str:
    words = finding.quantity or (finding.source.quantity if finding.source else finding.rule)
    return of(fill(words, rig), subject_words(finding.subject, rig)) + state_words(finding.state, rig)


def _not_checked(finding: Finding, quantity: str, rig: Rig, display: Display) -> str:
    limit = limit_words(finding, rig).rstrip(",")
    against = f" against {limit}" if limit else ""
    was = "were" if quantity.endswith("'s springs") else "was"
    if finding.reason:
        return f"{quantity} {was} not checked{against}: {display.fill(finding.reason)}."
    unweighed = [m for m in finding.missing if m.path.startswith("weighings")]
    lacking = [m.path for m in finding.missing if m not in unweighed]
    shown = " and ".join(lacking[:2]) + (f" and {len(lacking) - 2} more" if len(lacking) > 2 else "")
    parts = [f"{shown} {'is' if len(lacking) == 1 else 'are'} not known"] if lacking else []
    if unweighed:
        other = ", and what is stated does not let it be computed" if any(m.instead for m in unweighed) else ""
        parts.insert(0, f"it was not weighed{other}")
    return f"{quantity} {was} not checked{against}: {'; '.join(parts)}."


def missing_words(missing: Missing) -> str:
    """How to learn what is missing, and what would do instead."""
    instead = f" Or, less surely, give {', '.join(missing.instead)}." if missing.instead else ""
    return f"{missing.how}{instead}"


def compared_words(finding: Finding, rig: Rig) -> str:
    """What was held against what, such as ``The load on the rear axle against its maximum load (GAWR)``."""
    limit = limit_words(finding, rig).rstrip(",")
    quantity = _quantity(finding, rig)
    return f"{quantity} against {limit}" if limit else quantity


def _agreement(finding: Finding, rig: Rig, display: Display) -> str:
    one, other = (of(name, subject_words(finding.subject, rig)) for name in finding.other)
    values = [display.number(v or 0.0, finding.dimension) for v in (finding.load, finding.high)]
    if finding.verdict == "within":
        return f"{capital(one)}, {values[0]}, agrees with {other}, {values[1]}."
    return f"{capital(one)} is {values[0]}, but {other} is {values[1]}; {finding.reason}."


def _comparison(finding: Finding, quantity: str, rig: Rig, display: Display) -> str:
    assert finding.load is not None and finding.margin is not None and finding.uncertainty is not None
    dimension, limit = finding.dimension, limit_words(finding, rig)
    spread = display.number(finding.uncertainty, dimension, UP)
    known = f" ± {spread}" if finding.uncertainty > 1e-9 else ""
    load = load_number(finding, display)
    against = limit_number(finding, display)
    rest = display.number(abs(finding.margin), dimension, UP if finding.margin < 0 else DOWN)
    if finding.rival:
        other = display.number(nominal(finding.rival.value), dimension, UP)
        ways = f"{load} ({finding.estimate.how if finding.estimate else ''}) but {other} ({finding.rival.how})"
        return f"{quantity} is {ways}; against {limit}, {against}, the two say different things, so nothing is decided."
    if finding.verdict == "not_checked":
        return f"{quantity}, {load}, was not checked against {limit}, {against}: {finding.reason}."
    if finding.verdict == "too_close":
        doubt = f"; most of that comes from {path_words(finding.doubt.path, rig)}" if finding.doubt else ""
        over = "it would be past" if finding.margin < 0 else "it would be inside"
        return (
            f"{quantity}, {load}, is too close to {limit}, {against}, to tell: {over} by {rest}, but that is known only to "
            f"± {spread}{doubt}."
        )
    if finding.verdict == "at_limit":
        return f"{quantity}, {load}, equals {limit}, {against}; nothing remains."
    if finding.strict and abs(finding.margin) < 1e-9:
        return f"{quantity}, {load}, equals {limit}, {against}, and has to stay {'below' if finding.high else 'above'} it."
    if finding.low is not None and finding.high is not None:
        where = "inside" if finding.verdict == "within" else "outside"
        end = "" if finding.verdict == "within" else f" by {rest}"
        return f"{quantity}, {load}{known}, is {where} {limit}, {against}{end}."
    if finding.verdict == "within":
        end = f"{rest} {'remain' if not rest.startswith('1 ') else 'remains'}"
        how = "within" if finding.high is not None else "above"
        return f"{quantity}, {load}{known}, is {how} {limit}, {against}; {end}.{_weakest(finding)}"
    passes = "passes" if finding.high is not None else "falls short of"
    return f"{quantity}, {load}{known}, {passes} {limit}, {against}, by {rest}.{_weakest(finding)}"


def _weakest(finding: Finding) -> str:
    return f" Of {finding.weakest_of} such limits it is the weakest." if finding.weakest_of else ""


def load_number(finding: Finding, display: Display) -> str:
    """The load's figure; rounded up, but down where it must not be too small, and to the nearest where nothing is judged."""
    if finding.load is None:
        return ""
    towards = NEAR if finding.verdict == "note" else DOWN if finding.high is None and finding.low is not None else UP
    return ("at least " if finding.at_least else "") + display.number(finding.load, finding.dimension, towards)


def limit_number(finding: Finding, display: Display) -> str:
    """The limit's figure, or both ends of a band."""
    low, high = finding.low, finding.high
    if low is not None and high is not None:
        return f"{display.number(low, finding.dimension, units_too=False)} to {display.number(high, finding.dimension)}"
    if low is not None:
        return display.number(low, finding.dimension, UP)
    return display.number(high, finding.dimension, DOWN) if high is not None else ""


def margin_number(finding: Finding, display: Display) -> str:
    """The margin with its sign, rounded down; empty where nothing was judged."""
    if finding.verdict in (
        "not_checked",
        "conflict",
    ):  # what is contested or only a lower bound leaves no margin to be read off
        return ""
    return "" if finding.margin is None else display.number(finding.margin, finding.dimension, DOWN)


def spread_number(finding: Finding, display: Display) -> str:
    """How well a margin is known, rounded up; empty where nothing is uncertain."""
    return f"± {display.number(finding.uncertainty, finding.dimension, UP)}" if finding.uncertainty else ""


def known_margin(finding: Finding, display: Display) -> str:
    """The margin and how well it is known."""
    return " ".join(filter(None, (margin_number(finding, display), spread_number(finding, display))))


def headline(report: Report, display: Display) -> str:
    """The one sentence an owner reads first: the overall answer, and what binds."""
    judged = [f for f in report.findings if f.verdict not in ("not_applicable", "note")]
    counts, rig = report.counts, report.rig
    passed = sum(counts.get(v, 0) for v in PASSED)
    open_ = sum(counts.get(v, 0) for v in ("rule_failed", "conflict", "too_close", "not_checked"))
    worst = next((f for f in judged if f.verdict in PASSED), None)
    left = f" {counted(open_, 'more could', 'more could')} not be settled." if open_ and passed else ""
    if worst is not None:
        said = [counted(counts[v], *PASSED[v]) for v in PASSED if v in counts]
        return f"{capital(', '.join(said))}. {sentence(worst, rig, display)}{left}"
    tight = report.tightest
    binds = f" Least margin: {uncapital(sentence(tight, rig, display))}" if tight else ""
    if open_:
        within = sum(counts.get(v, 0) for v in ("within", "at_limit"))
        return (
            f"Nothing checked is passed, but {open_} of {len(judged)} checks could not be settled; {within} are within.{binds}"
        )
    return f"Within the limits checked, {len(judged)} checks in all.{binds}"


def counted(number: int, one: str, many: str) -> str:
    """A number with the words for one or for many."""
    return f"{number} {one if number == 1 else many}"


def uncapital(text: str) -> str:
    """The text with a small first letter."""
    return marks.first_letter(f"{text[:1].lower()}{text[1:]}", "w")
