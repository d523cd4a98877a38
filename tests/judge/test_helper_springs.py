"""Helper springs cure the sag and clear nothing: a whole rig with and without them, and what its owner is told."""

import copy
import json

import pytest
from generate import EXAMPLES
from rigs import POUND

from rigmargin.advice.headroom import headroom
from rigmargin.advice.trial import margins
from rigmargin.judge import plugins
from rigmargin.judge.finding import VERDICTS
from rigmargin.judge.rule import not_applicable, remark, rule
from rigmargin.judge.run import judge
from rigmargin.loads.value import nominal
from rigmargin.report import view
from rigmargin.spec import document
from rigmargin.spec.rig import parse

KIT = "air spring kit"
REAR = "tow_vehicle.axles.rear"


def whole():
    """The example's data; its truck was weighed with the kit on."""
    return copy.deepcopy(document.read(EXAMPLES / "juniper-flat-soft-springs.yaml").data)


def without():
    """The same truck before: the kit is not on it, and the tickets are those of that day."""
    data = whole()
    del data["tow_vehicle"]["axles"]["rear"]["suspension"]["helper"]
    del data["tow_vehicle"]["load"][KIT]
    return data


def patched():
    """The truck before, with the helper and its load item added and nothing else; its tickets are those from before."""
    data, kit = without(), whole()["tow_vehicle"]
    data["tow_vehicle"]["axles"]["rear"]["suspension"]["helper"] = kit["axles"]["rear"]["suspension"]["helper"]
    for ticket in data["weighings"]:
        ticket["aboard"] = list(data["tow_vehicle"]["load"])
    data["tow_vehicle"]["load"][KIT] = kit["load"][KIT]
    return data


def judged(data):
    return judge(parse(json.dumps(data), "juniper.yaml"))


def found(report, rule, subject=REAR):
    return next(f for f in report.findings if (f.rule, f.subject) == (rule, subject))


BEFORE, AFTER = judged(without()), judged(patched())


def test_the_sag_is_cured():
    # by hand, rear: 1.58 in without. With two springs of 25 in2 at 30 psi coupled and 10 psi alone, and 42 lb more on the axle
    # in both states: (1910 + 42 - 1500 - (730 + 42 - 500)) / 486.7 = 180 / 486.7 = 0.37 in
    assert found(BEFORE, "squat").load == pytest.approx(1.583 * 0.0254, abs=1e-5)
    assert found(AFTER, "squat").load == pytest.approx(180 / (730 / 1.5) * 0.0254, abs=1e-6)
    # lamps: (1.583 + 0.36) / 145 = 1.34 % without, (0.370 + 0.36) / 145 = 0.50 % with
    assert found(BEFORE, "headlamp-aim", "tow_vehicle").load == pytest.approx(0.0134, abs=5e-5)
    assert found(AFTER, "headlamp-aim", "tow_vehicle").load == pytest.approx(0.00503, abs=1e-5)


def test_nothing_is_cleared():
    """Every check of the truck before stands in the same verdict or a worse one, with no more margin than it had; but for
    the bump travel, which is how it stands, and which a helper does give back."""
    before, after = ({k: f for k, f in margins(r).items() if k[0] != "bump-travel"} for r in (BEFORE, AFTER))
    for which, finding in before.items():
        assert after[which].margin <= finding.margin + 1e-9, which
        assert VERDICTS.index(after[which].verdict) <= VERDICTS.index(finding.verdict), which
    over = {(f.rule, f.subject) for f in BEFORE.findings if f.verdict == "over"}
    assert over == {("axle-load", REAR), ("payload", "tow_vehicle"), ("tow-vehicle-gross", "tow_vehicle")}
    assert over <= {(f.rule, f.subject) for f in AFTER.findings if f.verdict == "over"}
    assert AFTER.overall == "over"


def test_the_kits_own_mass_is_what_changes():
    # 42 lb at the rear axle: all of it on the rear axle, on the gross mass and on the payload, none on the front axle
    for name, subject, pounds in (
        ("axle-load", REAR, 42), ("tow-vehicle-gross", "tow_vehicle", 42), ("payload", "tow_vehicle", 42),
        ("combination-gross", "tow_vehicle", 42), ("axle-load", "tow_vehicle.axles.front", 0), ("trailer-gross", "trailer", 0),
        ("coupling-vertical", "coupling.parts.ball", 0), ("towing-limit", "tow_vehicle", 0),
    ):  # fmt: skip
        change = found(AFTER, name, subject).margin - found(BEFORE, name, subject).margin
        assert change == pytest.approx(-pounds * POUND, abs=1e-6), name


def test_no_limit_changes():
    limits = {(f.rule, f.subject): (f.low, f.high) for f in BEFORE.findings if f.margin is not None}
    assert limits == {
        (f.rule, f.subject): (f.low, f.high) for f in AFTER.findings if f.margin is not None and (f.rule, f.subject) in limits
    }


def test_a_patch_adds_its_own_checks_and_takes_none_away():
    """Adding the helper and its load item is enough for every check of the helper."""
    new = {f.rule for f in AFTER.findings} - {f.rule for f in BEFORE.findings}
    assert new == {
        "helper-changes-no-limit", "helper-load", "helper-mass", "helper-maximum-pressure", "helper-minimum-pressure",
        "helper-roll-stiffness", "helper-share",
    }  # fmt: skip
    assert {(f.rule, f.subject) for f in BEFORE.findings} <= {(f.rule, f.subject) for f in AFTER.findings}
    assert all(f.subject == REAR for f in AFTER.findings if f.rule in new), "the front axle has no helper"


def test_what_the_owner_reads():
    rows = {(row.rule, row.subject): row for row in view.view(AFTER).rows}
    squat = rows["squat", "rear axle"]
    assert squat.text.startswith("The height lost at the rear axle when the trailer is coupled is 0.4 in ±")
    assert "no spring changes what the axle carries" in squat.text
    # without air, 42 lb more in both states: (1952 + 600 x 2.4) / 1086.7 - 772 / 486.7 = 3.121 - 1.586 = 1.535 in
    assert squat.notes == ("Without the helper springs it would be 1.5 in, and the load on the axle the same.",)
    told = rows["helper-changes-no-limit", "rear axle"]
    assert told.text == "What the helper springs on the rear axle change: how the vehicle stands, and no limit."
    assert "The kit's own rating, 5000 lb, is above the axle's GAWR, 3900 lb, and does not raise it." in told.notes
    assert "49 CFR 567" in told.basis
    assert rows["axle-load", "rear axle"].load == "4062 lb"
    names = [load.name for load in view.view(AFTER).loads]
    assert "Height lost at the rear axle under the trailer" in names
    assert "Carried by the rear axle's helper springs (without the trailer)" in names
    assert not [name for name in names if "suspension" in name or "{" in name]


def test_more_than_the_axle_has_is_a_contradiction_and_nothing_is_made_of_it():
    """2 x 100 in2 x 30 psi = 6000 lb on an axle of 4062 lb: somebody gave the area of all four ends."""
    data = patched()
    data["tow_vehicle"]["axles"]["rear"]["suspension"]["helper"]["effective_area"] = "100 in2"
    report = judged(data)
    share = found(report, "helper-share")
    assert share.verdict == "conflict"
    assert share.load / POUND == pytest.approx(6000)
    told = next(row.text for row in view.view(report).rows if row.rule == "helper-share")
    assert "6000 lb, but the load on the rear axle is 4062 lb; they cannot carry more than the axle has" in told
    assert "is the effective area that of one spring?" in told
    assert found(report, "squat").load is None
    assert found(report, "headlamp-aim", "tow_vehicle").load is None
    assert found(report, "bump-travel").verdict == "not_checked"
    names = {name for (name, state), load in report.facts.loads.items() if load.best and state == "coupled"}
    assert not {f"{REAR}.suspension.helper.share", f"{REAR}.suspension.squat", "tow_vehicle.pitch"} & names


def test_an_axle_on_its_stop_is_judged_and_its_stance_is_not_believed():
    """The sag of the truck before uses 3.08 in (1910 lb over the stand, the stage at 2.4 in); of 2.5 in nothing is left."""
    data = without()
    data["tow_vehicle"]["axles"]["rear"]["suspension"]["bump_travel"] = "2.5 in"
    report = judged(data)
    used = (1910 + 600 * 2.4) / (730 / 1.5 + 600)
    stop = found(report, "bump-travel")
    assert stop.margin == pytest.approx((2.5 - used) * 0.0254, abs=1e-5)
    assert stop.low == 0
    assert stop.verdict in ("outside_band", "too_close")
    for rule_, subject in (("squat", REAR), ("headlamp-aim", "tow_vehicle"), ("bump-travel", REAR)):
        assert any("The axle stands on its stop" in note for note in found(report, rule_, subject).notes), rule_


def test_springs_were_not_checked():
    data = patched()
    del data["tow_vehicle"]["axles"]["rear"]["suspension"]["condition"]
    text = next(row.text for row in view.view(judged(data)).rows if (row.rule, row.subject) == ("springs-sound", "rear axle"))
    assert text == "The rear axle's springs were not checked against sound springs: nothing is said of their state."


def test_damaged_springs_are_replaced_first():
    data = patched()
    data["tow_vehicle"]["axles"]["rear"]["suspension"]["condition"] = "damaged"
    finding = found(judged(data), "springs-sound")
    assert finding.verdict == "unmet"
    assert finding.cures[0].startswith("Replace the {subject}'s springs first; a helper is no repair.")


def test_headroom_runs_on_springs():
    """Lengths and pressures take part in the search for what stops, and move with mass as they should."""
    data = patched()
    data["tow_vehicle"]["axles"]["rear"]["suspension"]["min_bump_travel"] = "1 in"
    data["tow_vehicle"] |= {"gvwr": "12000 lb", "payload": "7000 lb", "gcwr": "30000 lb"}
    data["tow_vehicle"]["axles"]["rear"] |= {"gawr": "9000 lb", "tyres": {}}
    data["tow_vehicle"]["axles"]["front"] |= {"gawr": "9000 lb", "tyres": {}}
    room = next(r for r in headroom(judged(data)).rooms if r.spot.name == "bed")
    assert room.stops is not None
    assert room.stops.rule == "bump-travel"
    assert room.stops.margin == pytest.approx(0, abs=1e-6)


# --- rules that speak of a part ------------------------------------------------------------------------------------------


def _rule(where, needs):
    @rule(
        "club/part", title="A club's check", each="tow_vehicle.axles.*", needs=needs, basis="A test.", quantity="The part",
        limit_name="", why="For a test.", example="None.", where=where,
    )  # fmt: skip
    def check(kind=None):
        """Speaks of a part."""
        return remark(None, kind, notes=("It has {mass:10}.",)) if kind else not_applicable("there is none")

    return check


def test_a_rule_of_a_part_says_nothing_where_there_is_none():
    ours = _rule(".suspension.helper", {"kind": ".suspension.helper.kind"})
    report = judge(parse(json.dumps(patched()), "a"), plugins.Ruleset((ours,), ()))
    (finding,) = report.findings
    assert (finding.subject, finding.reason) == (REAR, "air")
    assert view.view(report).rows[0].notes == ("It has 23 lb.",)


def test_a_part_that_no_rig_file_has_is_told():
    assert plugins.unknown_needs(_rule(".suspension.hlper", {"kind": ".suspension.helper.kind"})) == [
        "tow_vehicle.axles.*.suspension.hlper"
    ]


def test_shares_are_of_the_axle_as_it_stands():
    share = AFTER.facts.loads[f"{REAR}.suspension.helper.share", "coupled"].best.value
    assert nominal(share) == pytest.approx(1500 / 4062)
