"""What one tyre carries: its rating, its load at a lower pressure, and the pressure a load needs. Arithmetic; SI units.

In order of authority: the tyre maker's own rows, linear between them (the true curve is concave, so the chord lies below it),
and above the highest no more than that one;
else L = Lref (P / Pref)^n with the exponents of ``tables/tyre_pressure_exponent.csv``, which claim less than published tables;
below LEAST_SHARE of the pressure of the rating, and below the maker's lowest row, nothing. Never more than the rating.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from rigmargin.judge.rule import Value, in_si, nominal

from .table import rows as table_rows

LEAST_SHARE = 0.70
#: Two figures of one tyre's load differ by rounding; by more than this share one of them was copied wrongly.
FAR = 0.025
#: Gauge pressures within 1 psi count as equal: moulded figures are rounded to tabulated kPa (UN R54, annex 7).
PRESSURE_STEP = 7000.0  # Pa
ATMOSPHERE = 101325.0  # Pa, standard; gauges show what is above it
_DUST = 1e-9  # what unit conversion leaves of a share that is exactly LEAST_SHARE


@cache
def load_index_table() -> dict[int, float]:
    """Load index to kg; see ``tables/load_index.csv`` and docs/method.md for its evidence."""
    return {int(row["li"]): float(row["kg"]) for row in table_rows("load_index")}


@dataclass(frozen=True, slots=True)
class Figure:
    """A load or pressure, and by which method it was found."""

    value: Value  # kg or Pa
    how: str  # plain words


def index_parts(index: Value | str | None) -> list[int]:
    """A load index as its single and, where given, dual figure."""
    if index is None:
        return []
    return [int(part) for part in index.split("/")] if isinstance(index, str) else [round(nominal(index))]


def rated_load(count: float, index: Value | str | None, single: Value | None, dual: Value | None) -> Figure | None:
    """What one tyre is rated for: the least of moulded maximum and load index, in the row for single or dual wheels.

    None when that row is known from neither. Four tyres on an axle stand in pairs and need the dual row; one of a pair never
    carries more than it does alone, so that the figures for single wheels bind it too.
    """
    pairs, parts = count == 4, index_parts(index)
    if pairs and dual is None and len(parts) < 2:
        return None
    moulded, parts = ((dual, single), parts) if pairs else ((single,), parts[:1])
    known = [Figure(load, "by the {word:moulded} maximum") for load in moulded if load is not None]
    known += [Figure(load_index_table()[li], f"by load index {li}") for li in parts]
    return min(known, key=lambda figure: nominal(figure.value)) if known else None


@dataclass(frozen=True, slots=True)
class Curve:
    """How one tyre's load goes with its pressure."""

    rated: Value  # kg
    reference: Value | None  # Pa, the pressure of the rating
    kind: str | None  # the type of tyre; None when it is not known
    rows: tuple[tuple[float, float], ...] = ()  # the maker's, as Pa and kg, rising

    @property
    def exponent(self) -> float:
        """n of L = Lref (P / Pref)^n."""
        return next(float(row["exponent"]) for row in table_rows("tyre_pressure_exponent") if row["type"] == (self.kind or ""))

    def carries(self, cold: Value) -> Figure | None:
        """What the tyre carries at a cold pressure (Pa), kg; None where nothing is claimed."""
        if self.rows:
            return self._by_rows(cold)
        if self.reference is None:
            return None
        if nominal(cold) >= nominal(self.reference) - PRESSURE_STEP:
            return Figure(self.rated, "the cold pressure is that of the rating")
        share = cold / self.reference
        if nominal(share) < LEAST_SHARE - _DUST:
            return None
        how = (
            f"load falls with pressure as (P / Pref)^{self.exponent:g}, a model kept below published tables and not the maker's"
        )
        return Figure(self.rated * share**self.exponent, how)

    def _by_rows(self, cold: Value) -> Figure | None:
        how = "by the {word:tyre} maker's rows, linear between them"
        if nominal(cold) >= self.rows[-1][0] - PRESSURE_STEP:
            return Figure(
                self._at_most_rated(self.rows[-1][1]), "by the highest of the {word:tyre} maker's rows, and never more"
            )
        for (p0, l0), (p1, l1) in zip(self.rows, self.rows[1:], strict=False):
            if p0 * (1 - _DUST) <= nominal(cold) < p1:
                return Figure(self._at_most_rated(l0 + (cold - p0) * ((l1 - l0) / (p1 - p0))), how)
        return None

    def _at_most_rated(self, load: Value) -> Value:
        return load if nominal(load) <= nominal(self.rated) else self.rated

    def needs(self, load: Value) -> float | None:
        """The cold pressure (Pa) that a load on one tyre (kg) takes; None where none will do, or it is not known."""
        wanted, rated = nominal(load), nominal(self.rated)
        if wanted > rated * (1 + _DUST):
            return None
        if self.rows:
            return self._needs_by_rows(wanted)
        if self.reference is None:
            return None
        return nominal(self.reference) * max(LEAST_SHARE, float((wanted / rated) ** (1 / self.exponent)))

    def _needs_by_rows(self, wanted: float) -> float | None:
        if wanted <= self.rows[0][1]:
            return self.rows[0][0]
        for (p0, l0), (p1, l1) in zip(self.rows, self.rows[1:], strict=False):
            if wanted <= l1:
                return p0 + (wanted - l0) * (p1 - p0) / (l1 - l0)
        return None


def rows_apart(rows: Sequence[tuple[float, float]], rated: Value, reference: Value | None) -> bool:
    """Whether the highest of the maker's rows (Pa, kg) and the rating (kg) cannot be of one tyre: the row lies FAR above the
    rating, or FAR below it at the pressure of the rating (Pa). Rows per pair or per axle are told by this."""
    if not rows:
        return False
    pressure, load = rows[-1]
    share = load / nominal(rated) - 1
    at_rating = reference is not None and pressure >= nominal(reference) - PRESSURE_STEP
    return share > FAR or (at_rating and share < -FAR)


def at_temperature(cold: Value, then: Value, now: Value) -> Value:
    """The gauge pressure (Pa) at another temperature (K): the air in a tyre keeps its volume, so P / T stays what it was."""
    return (cold + ATMOSPHERE) * now / then - ATMOSPHERE


def maker_rows(texts: Sequence[str] | None) -> tuple[tuple[float, float], ...]:
    """The maker's rows, such as ``35 psi 1700 lb``, as Pa and kg."""
    parts = [text.split(" ") for text in texts or ()]
    return tuple((in_si(" ".join(part[:2])), in_si(" ".join(part[2:]))) for part in parts)
