"""Findings in plain sentences. Every sentence a person reads about a verdict is made here."""

from __future__ import annotations

from rigmargin.judge.finding import Finding, Report
from rigmargin.loads.facts import Missing
from rigmargin.loads.value import nominal
from rigmargin.report import names
from rigmargin.report.display import DOWN, NEAR, UP, Display
from rigmargin.report.evidence import place_words
from rigmargin.report.regional import fill, label
from rigmargin.report.standing import standing
from rigmargin.spec.rig import Rig

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


def limit_words(finding: Finding, rig: Rig) -> str:
    """The limit by name, with the owner's own label word where he used one and the name does not say it."""
    text = finding.limit_name or (finding.source.limit_name if finding.source else "")
    name = names.of(fill(text, rig), names.subject(finding.subject, rig))
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
        return f"{names.capital(finding.reason)}."
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


def _quantity(finding: Finding, rig: Rig) -> str:
    words = finding.quantity or (finding.source.quantity if finding.source else finding.rule)
    return names.of(fill(words, rig), names.subject(finding.subject, rig)) + names.in_state(finding.state, rig)


def _many(quantity: str) -> bool:
    """Whether a quantity is several things: a topic of law such as ``Axle limits (Ohio)``, or the springs of an axle."""
    head = quantity.partition(" (")[0]
    return quantity.endswith("'s springs") or (not head.startswith("The ") and head.endswith("s") and not head.endswith("ss"))


def _not_checked(finding: Finding, quantity: str, rig: Rig, display: Display) -> str:
    limit = limit_words(finding, rig).rstrip(",")
    against = f" against {limit}" if limit else ""
    was = "were" if _many(quantity) else "was"
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
    one, other = (names.of(name, names.subject(finding.subject, rig)) for name in finding.other)
    values = [display.number(v or 0.0, finding.dimension) for v in (finding.load, finding.high)]
    if finding.verdict == "within":
        return f"{names.capital(one)}, {values[0]}, agrees with {other}, {values[1]}."
    return f"{names.capital(one)} is {values[0]}, but {other} is {values[1]}; {finding.reason}."


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
    """The load's figure, rounded towards the limit that it is nearer to, and to the nearest where nothing is judged."""
    if finding.load is None:
        return ""
    below = finding.low is not None and (finding.high is None or finding.load - finding.low < finding.high - finding.load)
    towards = NEAR if finding.verdict == "note" else DOWN if below else UP
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
        return f"{names.capital(', '.join(said))}. {sentence(worst, rig, display)}{left}"
    tight = report.tightest
    binds = f" Least margin: {names.uncapital(sentence(tight, rig, display))}" if tight else ""
    if open_:
        within = sum(counts.get(v, 0) for v in ("within", "at_limit"))
        return (
            f"Nothing checked is passed, but {open_} of {len(judged)} checks could not be settled; {within} are within.{binds}"
        )
    return f"Within the limits checked, {len(judged)} checks in all.{binds}"


def counted(number: int, one: str, many: str) -> str:
    """A number with the words for one or for many."""
    return f"{number} {one if number == 1 else many}"
