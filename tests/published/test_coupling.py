"""Coupling load: the customary bands, and what a reading under the wheels alone does not show."""

import csv
import importlib.resources

import pytest
from rigs import rig

from rigmargin.judge.run import judge
from rigmargin.report.display import Display
from rigmargin.report.words import sentence

EXACT = {"plus_or_minus": "0 kg"}


def findings(*, coupling, wheels, kind="european_ball", places=("de",), **parts):
    """The findings on a trailer weighed exactly: ``coupling`` kg on its coupling, ``wheels`` kg under its wheels."""
    load = {"value": f"{coupling} kg", "source": "measured", **EXACT}
    ticket = {"state": "coupled", "increment": "1 kg", "trailer_axles": {"value": f"{wheels} kg", **EXACT}}
    report = judge(rig(coupling={"kind": kind}, coupling_load=load, weighings=[ticket], places=list(places), **parts))
    return {(f.rule, f.subject): f for f in report.findings}


def test_a_caravan_at_its_axle_plate_is_over_its_maximum_mass_by_the_coupling_load():
    """Weighed under its wheels only, while coupled, it looks right: what rests on the coupling is not on the scale."""
    plates = {"mtplm": "1500 kg", "axles": {"single": {"max_load": "1500 kg"}}}
    found = findings(coupling=75, wheels=1500, trailer=plates, places=("gb",))
    assert found["axle-load", "trailer.axles.single"].verdict == "at_limit"
    whole = found["trailer-gross", "trailer"]
    assert whole.verdict == "over"
    assert whole.margin == pytest.approx(-75)
    words = sentence(whole, rig(), Display(("metric",)))
    assert words.startswith("The loaded trailer, 1575 kg, passes its maximum mass")
    assert words.endswith("by 75 kg.")


def test_a_reading_under_the_wheels_alone_does_not_settle_the_whole_trailer():
    ticket = {"state": "coupled", "increment": "10 kg", "trailer_axles": "1400 kg"}
    report = judge(rig(trailer={"mtplm": "1500 kg"}, weighings=[ticket]))
    whole = next(f for f in report.findings if f.rule == "trailer-gross")
    assert whole.verdict == "not_checked"
    assert [m.path for m in whole.missing] == [
        "weighings.coupled.front",
        "weighings.coupled.rear",
        "weighings.alone.tow_vehicle",
    ]


def test_an_australian_plate():
    # a trade page's example: tare 2500, GTM 3250, ATM 3500 kg: fully loaded it needs at least 250 kg on the ball
    plate = {"atm": "3500 kg", "gtm": "3250 kg"}
    at = findings(coupling=250, wheels=3250, kind="weight_carrying", places=("au",), trailer=plate)
    assert at["trailer-gross", "trailer"].verdict == "at_limit"
    assert at["trailer-axle-group", "trailer"].verdict == "at_limit"
    light = findings(coupling=249, wheels=3251, kind="weight_carrying", places=("au",), trailer=plate)
    assert light["trailer-gross", "trailer"].verdict == "at_limit"
    assert light["trailer-axle-group", "trailer"].verdict == "over"


# --- shares by custom: no source makes them law, and they are labelled so -------------------------------------------------

BANDS = [
    ("weight_carrying", "us", 10, 15), ("weight_distributing", "ca", 10, 15), ("fifth_wheel", "us", 15, 25),
    ("gooseneck", "us", 15, 25), ("european_ball", "gb", 5, 7), ("weight_carrying", "au", 6, 10),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "place", "low", "high"), BANDS)
def test_common_practice_share_bands(kind, place, low, high):
    """Common practice in the trade, as customary in the place; not from any one source."""

    def found(share):
        load = {"coupling": share * 20, "wheels": 2000 - share * 20}
        return findings(**load, kind=kind, places=(place,), trailer={"kind": "caravan"})["coupling-share", "trailer"]

    assert (found(low).low, found(low).high) == pytest.approx((low / 100, high / 100))
    assert found((low + high) / 2).verdict == "within"
    assert found(low - 1).verdict == found(high + 1).verdict == "outside_band"
    assert "common practice" in found(low).limit_name
    assert all(note.startswith("Common practice") for note in found(low).notes)
    assert "which is a custom and no law" in found(low).source.basis


def test_every_customary_band_says_that_it_is_one():
    text = importlib.resources.files("rigmargin.rules").joinpath("tables", "coupling_share.csv").read_text("utf-8")
    rows = list(csv.DictReader(text.splitlines()))
    assert rows and all(row["mark"] == "common practice" and row["basis"].startswith("Common practice") for row in rows)
    assert all(0 < float(row["low"]) < float(row["high"]) < 50 for row in rows)
