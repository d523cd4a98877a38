"""One page of every kind the project makes, by the commands that people run."""

from __future__ import annotations

from contextlib import chdir

from club_repository import ALDER, EXAMPLES, MISTY, QUARRY, Club

from rigmargin.cli import main

CLUB = EXAMPLES / "kestrel-moor-club"
#: A rig that is over, and one that lacks nearly all; one in metric units stands under the settings.
REPORTS = {"report": ALDER, "report-thin": MISTY}
METRIC = "linden-caravan.yaml"
#: A settings file in which every kind of entry stands.
SETTINGS = """
settings: 1
places: [us, us-vt]
units: both
reserve: {tow_vehicle: 5 %, axle-load: 2 %}
evidence: {owner_estimate: 30 %}
exceptions:
  - {rig: rig.yaml, rule: axle-load, subject: tow_vehicle.axles.rear, reason: A new axle, by: the officer, until: 2099-08-31}
"""
COMMANDS = {
    **{kind: ("report", str(EXAMPLES / file)) for kind, file in REPORTS.items()},
    "headroom": ("headroom", str(EXAMPLES / ALDER)),
    "compare": ("compare", str(EXAMPLES / "juniper-flat-before.yaml")),
    "plan": ("plan", str(EXAMPLES / "thistle-ford-generator.yaml")),
    "shopping": ("shopping", str(EXAMPLES / ALDER)),
    "places": ("places", "us", "us-fl", "gb", "de"),
    "places-rig": ("places", "--rig", str(EXAMPLES / ALDER), "us-fl", "us-tx"),
    "sheet": ("sheet", str(EXAMPLES / "birch-hollow-travel-trailer.yaml"), "--with-owner"),
    "record": ("record", str(EXAMPLES / ALDER), "--with-owner"),
}
KINDS = (*COMMANDS, "club", "changes", "settings", "report-settled")  # all that can be made
#: What is tested for long on each page is tested on one of each build: the others share its templates.
BUILDS = ("report-thin", "compare", "shopping", "sheet", "record", "club")
#: What some pages alone have: the drawing and its dials, things moved, law of places, verdicts that changed, settings.
RICH = ("report", "plan", "places", "changes", "settings")


def made(kind, folder):
    """The path of a page of a kind, written to ``folder``."""
    target = folder / f"{kind}.html"
    if kind == "club":
        main(
            [
                "club",
                str(CLUB),
                "--out",
                str(folder / "out"),
                "--reports",
                "html",
                "--sheets",
                "--with-owners",
                "--workers",
                "1",
            ]
        )
        return folder / "out" / "index.html"
    if kind == "changes":
        club = Club(folder / "changes")
        club.take(ALDER, MISTY, QUARRY)
        club.commit()
        club.change(ALDER, "gvwr: {value: 10000 lb", "gvwr: {value: 9400 lb")
        club.change(MISTY, "gvwr", "gwvr")
        club.change(QUARRY, "rig: 1", "rig: 1  # seen")
        with chdir(club.folder):
            main(["changes", "HEAD", "--to", str(target)])
    elif kind in ("settings", "report-settled"):
        (folder / "rigmargin.yaml").write_text(SETTINGS, "utf-8")
        rig = folder / "rig.yaml"
        rig.write_text((EXAMPLES / METRIC).read_text("utf-8"), "utf-8")
        command = ["settings", str(folder)] if kind == "settings" else ["report", str(rig)]
        main([*command, "--settings", str(folder / "rigmargin.yaml"), "--to", str(target)])
    else:
        main([*COMMANDS[kind], "--to", str(target)])
    return target
