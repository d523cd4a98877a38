"""The marking moulded on a tyre's sidewall, taken apart: size, load index, speed symbol, load range, ply rating, version.

``parse`` reads the forms that tyres of towing rigs carry: metric (P, LT, ST or no prefix, C behind the rim), numeric without
an aspect ratio, flotation (diameter x width in inches), inch widths, commercial half-inch rims. Text in, a frozen Marking out,
or what is wrong with it and where. What a tyre may carry is not asked here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

from rigmargin.spec.problem import shown

#: Load range to ply rating, a strength and no count of plies (TRA 2010 year book, quoted on a tyre trade's page). No I, no K.
PLIES = {"A": 2, "B": 4, "C": 6, "D": 8, "E": 10, "F": 12, "G": 14, "H": 16, "J": 18, "L": 20, "M": 22, "N": 24}
#: Speed symbols with their km/h, as makers' tables print them alike. H is out of order; there is no I, O, X or Z.
SPEEDS = {
    **{f"A{n}": 5 * n for n in range(1, 9)}, "B": 50, "C": 60, "D": 65, "E": 70, "F": 80, "G": 90, "J": 100, "K": 110, "L": 120,
    "M": 130, "N": 140, "P": 150, "Q": 160, "R": 170, "S": 180, "T": 190, "U": 200, "H": 210, "V": 240, "W": 270, "Y": 300,
}  # fmt: skip
#: Versions of one size, and the ways in which they are moulded.
VERSIONS = {
    "SL": "standard_load", "LL": "light_load", "XL": "extra_load", "RF": "extra_load", "REINF": "extra_load",
    "REINFORCED": "extra_load", "HL": "high_load",
}  # fmt: skip
#: Words that say nothing of load, pressure or speed.
_PLAIN = {"M+S", "M&S", "M/S", "M-S", "MS", "3PMSF", "TL", "TT", "TUBELESS", "RADIAL", "FRT"}
_TYPES = {"P": "passenger", "LT": "light_truck", "ST": "special_trailer", "C": "commercial"}
_INCH = 0.0254  # m
#: Capital letters without a change of length, so that a place in the one text is a place in the other.
_CAPITALS = str.maketrans("abcdefghijklmnopqrstuvwxyz", "ABCDEFGHIJKLMNOPQRSTUVWXYZ")
#: Widths in mm that metric sizes do not pass: trailers of lorries have up to 445, sizes without an aspect ratio stay small
#: (both from memory).
WIDEST, WIDEST_NUMERIC = 455, 355
NUMERIC_ASPECT = 0.82  # of a size that names no aspect ratio, such as 185R14C (from memory)

_RIM = r"(?P<rim>[0-9]{1,2}(?:\.5)?)(?![0-9.,])"
_INCHES = r"[0-9]{1,2}(?:\.[0-9]{1,2})?"
_MADE = r" ?(?P<made>ZRF|ZR|RF|R|D|B|-) ?"
_FORMS = {
    "metric": re.compile(rf"(?P<prefix>P|LT|ST|T)? ?(?P<width>[0-9]{{3}}) ?/ ?(?P<aspect>[0-9]{{2,3}}){_MADE}{_RIM}"),
    "flotation": re.compile(rf"(?P<prefix>LT)? ?(?P<across>{_INCHES}) ?X ?(?P<width>{_INCHES}){_MADE}{_RIM}"),
    "numeric": re.compile(rf"(?P<prefix>P|LT|ST)? ?(?P<width>[0-9]{{3}}){_MADE}{_RIM}"),
    "inch": re.compile(rf"(?P<prefix>LT|ST)? ?(?P<width>{_INCHES}){_MADE}{_RIM}"),
}  # fmt: skip
_SUFFIX = re.compile(r" ?(LT|ST)(?![A-Z0-9])")
_COMMERCIAL = re.compile(r" ?C(?![A-Z0-9])")
_RANGE_BEHIND = re.compile(r" ?/ ?([A-Z])(?![A-Z0-9])|([A-Z])(?![A-Z0-9])")
_TOKEN = re.compile(r"\S+")
_SERVICE = re.compile(r"\(?([0-9]{1,3})(?:/([0-9]{1,3}))?([A-Z][0-9]?)?\)?\Z")
_PLY = re.compile(r"([0-9]{1,2})(?:-?PR)\Z")
LAST_INDEX = 279
#: What is expected of a load index whose dual figure is the larger, and the cure.
SWAPPED = (
    "single/dual, the larger first",
    "the first is for single fitment and never the lower; exchange the two if they were swapped in copying",
)
HALF_INCH = ("17.5", "19.5", "22.5", "24.5")  # rims of commercial tyres
_EXAMPLES = "LT275/70R18 125/122S E, 225/75R16C 121/120R, ST235/80R16 124/120M, 35x12.50R20LT or 225/70R19.5 128/126N"
_SIZE = (f"a size such as {_EXAMPLES}", "copy the size as it is moulded, from its first letter or digit")


@dataclass(frozen=True, slots=True)
class Wrong:
    """One thing wrong with a marking: ``at`` is the character, from 1, where it begins."""

    at: int
    found: str
    expected: str
    cure: str


class NotAMarking(ValueError):
    """A text that is no marking, with all that is wrong with it in order."""

    def __init__(self, wrong: tuple[Wrong, ...]) -> None:
        self.wrong = wrong
        super().__init__("; ".join(f"character {w.at}: found {w.found}; expected {w.expected}; {w.cure}" for w in wrong))


@dataclass(frozen=True, slots=True)
class Marking:
    """What a marking says. Empty text where it does not say."""

    size: str  # as moulded, without blanks, such as "LT275/70R18"
    form: str  # "metric", "numeric", "flotation" or "inch"
    type: str  # "passenger", "light_truck", "special_trailer", "commercial", or "" when the size does not show it
    rim: float  # inches
    diameter: float | None  # m, overall, from the size; None when it cannot be told
    load_index: str = ""  # "125/122" is single/dual
    speed_symbol: str = ""
    load_range: str = ""
    ply_rating: int | None = None  # as moulded; see ``plies``
    version: str = ""  # one of the values of VERSIONS

    @property
    def plies(self) -> int | None:
        """The ply rating, as moulded or by the load range."""
        return self.ply_rating or PLIES.get(self.load_range)

    def __str__(self) -> str:
        service = f"{self.load_index}{self.speed_symbol}"
        version = next((short for short, words in VERSIONS.items() if words == self.version), "")
        ply = f"{self.ply_rating}PR" if self.ply_rating else ""
        load_range = f"LR{self.load_range}" if self.load_range else ""
        return " ".join(part for part in (self.size, service, version, load_range, ply) if part)


@lru_cache(maxsize=4096)
def parse(text: str) -> Marking:
    """Read one marking. Raises NotAMarking with everything that is wrong with it."""
    upper = text.translate(_CAPITALS)
    start = len(text) - len(text.lstrip())
    form, match = _head(upper, start)
    if match is None:
        raise NotAMarking((_no_size(text, upper, start),))
    made, end, wrong = _size(text, form, match)
    found = _Tail(text, end)
    found.read(upper)
    wrong += found.wrong
    if wrong:
        raise NotAMarking(tuple(sorted(wrong, key=lambda one: one.at)))
    return replace(
        made,
        load_index=found.load_index,
        speed_symbol=found.speed_symbol,
        load_range=made.load_range or found.load_range,
        ply_rating=found.ply_rating,
        version=found.version,
    )


def _head(upper: str, start: int) -> tuple[str, re.Match[str] | None]:
    for form, pattern in _FORMS.items():
        match = pattern.match(upper, start)
        if match:
            return form, match
    return "", None


def _no_size(text: str, upper: str, start: int) -> Wrong:
    """Why no size stands at the beginning."""
    comma = re.search(r"[0-9],[0-9]", text)
    if comma:
        return Wrong(comma.start() + 2, "a decimal comma", "a decimal point", f"write {shown(text.replace(',', '.'))}")
    half = re.match(r"[^ ]*?(?:R|D|B|-) ?[0-9]{1,2}\.[0-9]*", upper[start:])
    if half:
        at = start + half.group().rindex(".") + 1
        cure = "copy the rim's code again; half inches are 17.5, 19.5, 22.5 and 24.5"
        return Wrong(at, shown(text[at - 1 :].partition(" ")[0]), "a rim code in whole or half inches", cure)
    return Wrong(start + 1, shown(text.strip()) if text.strip() else "nothing", *_SIZE)


def _size(text: str, form: str, match: re.Match[str]) -> tuple[Marking, int, list[Wrong]]:
    """The size, where it ends in ``text``, and what is wrong with it."""
    groups, upper, end = match.groupdict(), text.translate(_CAPITALS), match.end()
    prefix, rim = groups["prefix"] or "", groups["rim"]
    wrong: list[Wrong] = []
    kind = prefix
    suffix = _SUFFIX.match(upper, end)
    commercial = None if prefix or form in ("inch", "flotation") else _COMMERCIAL.match(upper, end)
    if suffix and not prefix:
        kind, end = suffix[1], suffix.end()
    elif commercial:  # behind the rim of a European size: not a load range
        kind, end = "C", commercial.end()
    size = upper[match.start() : end].replace(" ", "").replace("X", "x")
    load_range = ""
    behind = _RANGE_BEHIND.match(upper, end)
    if behind:  # as in ST205/75R14D or LT265/75R16/E
        at = behind.start(1) if behind[1] else behind.start(2)
        letter, end = upper[at], behind.end()
        if letter in PLIES:
            load_range = letter
        else:
            wrong.append(Wrong(at + 1, shown(text[at]), f"a load range: {', '.join(PLIES)}", "copy the letter again"))
    if prefix == "T":
        cure = "give the tyre that carries the load; a temporary spare is not for towing"
        wrong.append(Wrong(match.start() + 1, "the marking of a temporary spare (T)", "a tyre for lasting use", cure))
    elif form in ("metric", "numeric"):
        wrong += _not_metric(groups, match)
    if not 8 <= float(rim) <= 25:
        wrong.append(Wrong(match.start("rim") + 1, shown(rim), "a rim of 8 to 25 inches", "copy the rim's code again"))
    type_ = _TYPES.get(kind, "") or _unmarked(form, rim)
    return Marking(size, form, type_, float(rim), _diameter(form, groups), load_range=load_range), end, wrong


def _not_metric(groups: dict[str, Any], match: re.Match[str]) -> Iterator[Wrong]:
    """Widths and aspect ratios that no metric size has: an inch size whose point was left out, such as 750R16."""
    width, aspect, at = groups["width"], groups.get("aspect"), match.start("width") + 1
    if not (125 <= int(width) <= (WIDEST if aspect else WIDEST_NUMERIC) and width.endswith("5")):
        inches = f"{int(width) / 100:.2f}{groups['made']}{groups['rim']}"
        cure = "copy the width again" if aspect else f"write {inches} if the width is moulded in inches; else copy it again"
        yield Wrong(at, shown(width), "a width in millimetres that ends in 5, from 125", cure)
    if aspect and not 25 <= int(aspect) <= 100:
        cure = "copy it again, without the point and what follows it"
        yield Wrong(match.start("aspect") + 1, shown(aspect), "an aspect ratio of 25 to 100", cure)


def size_wrongs(text: str) -> tuple[Wrong, ...]:
    """What is wrong with the size at the beginning of a text; nothing where none stands there."""
    upper = text.translate(_CAPITALS)
    form, match = _head(upper, len(text) - len(text.lstrip()))
    return tuple(_size(text, form, match)[2]) if match else ()


def _unmarked(form: str, rim: str) -> str:
    """The type of a size without letters: commercial on a half-inch rim, a car's where widths are metric."""
    if rim in HALF_INCH:
        return "commercial"
    return "passenger" if form in ("metric", "numeric") else ""


def _diameter(form: str, groups: dict[str, Any]) -> float | None:
    """Overall diameter in m: rim plus two sidewalls, or a flotation size's first figure. Real tyres differ by about 1 %."""
    rim, width = float(groups["rim"]) * _INCH, float(groups["width"])
    if form == "flotation":
        return float(groups["across"]) * _INCH
    if form == "inch":
        return None  # the aspect ratio of an inch size is not told
    aspect = float(groups["aspect"]) / 100 if groups.get("aspect") else NUMERIC_ASPECT
    return rim + 2 * width / 1000 * aspect


@dataclass(slots=True)
class _Tail:
    """What stands behind the size, word by word."""

    text: str
    start: int
    wrong: list[Wrong] = field(default_factory=list)
    load_index: str = ""
    speed_symbol: str = ""
    load_range: str = ""
    ply_rating: int | None = None
    version: str = ""

    def read(self, upper: str) -> None:
        words = list(_TOKEN.finditer(upper, self.start))
        if words and words[0].start() == self.start > 0:  # run into the size, as in LT275/70R18S or 225/75R16C121
            found = shown(self.text[self.start : words[0].end()])
            self._complain(
                words[0], found, "a blank, then load index and speed symbol", "write the size, a blank, and the rest"
            )
            words = words[1:]
        skip = 0
        for i, word in enumerate(words):
            if skip:
                skip -= 1
                continue
            skip = self._word(word, [w.group() for w in words[i + 1 : i + 3]])

    def _word(self, word: re.Match[str], after: list[str]) -> int:
        """Take in one word; the answer is how many of those after it belong to it."""
        said = word.group()
        three = [said, *after]
        if said in _PLAIN:
            return 0
        if said in ("EXTRA", "STANDARD", "LIGHT", "HIGH") and after[:1] == ["LOAD"]:
            self.version = f"{said.lower()}_load"
            return 1
        if said in VERSIONS:
            self.version = VERSIONS[said]
            return 0
        if three[:2] == ["LOAD", "RANGE"] and len(three) == 3:
            self._range(word, three[2])
            return 2
        if said == "LR" and after:
            self._range(word, after[0])
            return 1
        if re.fullmatch(r"LR[A-Z]", said):
            self._range(word, said[2])
            return 0
        if _PLY.match(said) or (re.fullmatch(r"[0-9]{1,2}", said) and after[:1] == ["PR"]):
            self._ply(word, int(re.sub(r"\D", "", said)))
            return 0 if _PLY.match(said) else 1
        if re.fullmatch(r"[A-Z]", said):
            self._letter(word, said)
            return 0
        service = _SERVICE.match(said)
        if service:
            self._service(word, service)
            return 0
        cure = "copy size, load index, speed symbol and load range only"
        self._complain(word, self._shown(word), "a load index with its speed symbol, a load range, a ply rating or XL", cure)
        return 0

    def _service(self, word: re.Match[str], service: re.Match[str]) -> None:
        single, dual, symbol = service.groups()
        if self.load_index:
            self._complain(word, f"a second load index, {self._shown(word)}", "one load index", "keep the first")
            return
        for figure in (single, dual):
            if figure and int(figure) > LAST_INDEX:
                self._complain(word, shown(figure), f"a load index of 0 to {LAST_INDEX}", "copy the figures again")
                return
        if dual and int(dual) > int(single):
            self._complain(word, shown(f"{single}/{dual}"), *SWAPPED)
            return
        if symbol and symbol not in SPEEDS:
            cure = "copy the letter again; there is no I, O, X or Z"
            self._complain(word, f"the speed symbol {shown(symbol)}", "A1 to A8 or a letter from B to Y", cure)
            return
        self.load_index = single if dual is None else f"{single}/{dual}"
        self.speed_symbol = symbol or ""

    def _letter(self, word: re.Match[str], letter: str) -> None:
        """A letter alone is a load range: a speed symbol stands close behind its load index."""
        apart = bool(self.load_index) and not self.speed_symbol
        if letter in PLIES and not (apart and letter in "LMN"):
            self._range(word, letter)
        elif apart and letter in SPEEDS:
            cure = f"write {self.load_index}{letter} if it is the speed symbol"
            cure += f", LR{letter} if it is the load range" if letter in PLIES else ""
            self._complain(word, f"{shown(letter)} apart from the load index", "the speed symbol close behind it", cure)
        else:
            self._complain(word, self._shown(word), f"a load range: {', '.join(PLIES)}", "copy the letter again, or delete it")

    def _range(self, word: re.Match[str], letter: str) -> None:
        if letter not in PLIES:
            self._complain(word, f"the load range {shown(letter)}", f"one of {', '.join(PLIES)}", "copy the letter again")
        elif self.load_range and self.load_range != letter:
            self._complain(word, f"a second load range, {shown(letter)}", "one load range", "keep the one that is moulded")
        else:
            self.load_range = letter

    def _ply(self, word: re.Match[str], number: int) -> None:
        if number not in PLIES.values():
            self._complain(word, self._shown(word), "an even ply rating from 2 to 24", "copy the figure again")
        else:
            self.ply_rating = number

    def _shown(self, word: re.Match[str]) -> str:
        return shown(self.text[word.start() : word.end()])

    def _complain(self, word: re.Match[str], found: str, expected: str, cure: str) -> None:
        self.wrong.append(Wrong(word.start() + 1, found, expected, cure))
