"""What settings change in a judged rig: places, evidence, reserves, exceptions. And what they must never change."""

import json
from pathlib import Path

import pytest

from rigmargin.judge import by_settings, local, plugins
from rigmargin.judge.finding import EXIT
from rigmargin.judge.run import judge
from rigmargin.loads.value import expanded
from rigmargin.report import by_settings as words
from rigmargin.report import json as machine
from rigmargin.report.display import display
from rigmargin.report.words import sentence
from rigmargin.spec import rig as rigs
from rigmargin.spec import schema, settings_file
from rigmargin.spec.settings import NONE

EXAMPLES = sorted((Path(__file__).parents[2] / "specs_examples").glob("*.yaml"))
POUND = 0.45359237  # kg, by definition


def settled(folder, text):
    file = folder / "rigmargin.yaml"
    file.write_text(f"settings: 1\n{text}\n", "utf-8")
    return settings_file.read(str(file))


def rig(folder, text, **parts):
    """A rig by settings: a tow vehicle of 10000 lb and a trailer, weighed together, with ``parts`` laid over."""
    data = {
        "rig": 1,
        "name": "Two axles",
        "tow_vehicle": {"gvwr": "10000 lb", "axles": {"front": {"gawr": "6000 lb"}, "rear": {"gawr": "6000 lb"}}},
        "coupling": {"kind": "weight_carrying"},
        "trailer": {},
        "weighings": [{"state": "coupled", "front": "4000 lb", "rear": "5100 lb", "increment": "2 lb"}],
    } | parts
    file = folder / "two.yaml"
    file.write_text(json.dumps(data), "utf-8")
    return rigs.load(file, settled(folder, text))


def found(report, rule, subject="tow_vehicle"):
    return next(f for f in report.findings if f.rule == rule and f.subject == subject)


# --- reserves ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("reserve", "short"),
    [
        # 10000 lb less 4000 lb and 5100 lb leaves 900 lb: 9 % of the limit
        ("tow-vehicle-gross: 9.1 %", True),
        ("tow-vehicle-gross: 9 %", False),
        ("tow_vehicle: 10 %", True),
        ("tow_vehicle: 8 %", False),
        ("trailer: 50 %", False),
        ("tow_vehicle.axles: 50 %", False),
        ("tow_vehicle: 50 %, tow-vehicle-gross: 0 %", False),  # the rule's own goes before its subject's
        ("tow_vehicle: 0 %, tow-vehicle-gross: 50 %", True),
    ],
)
def test_a_reserve_is_a_share_of_the_limit_and_the_most_particular_counts(reserve, short, tmp_path):
    finding = found(judge(rig(tmp_path, f"reserve: {{{reserve}}}")), "tow-vehicle-gross")
    assert finding.margin == pytest.approx(900 * POUND)
    assert finding.verdict == "within"
    assert (finding.reserve is not None) is short


def test_a_reserve_for_a_part_goes_before_one_for_the_whole(tmp_path):
    # the front axle has 2000 of 6000 lb left: 33 %; the rear 900: 15 %
    report = judge(rig(tmp_path, "reserve: {tow_vehicle: 40 %, tow_vehicle.axles.front: 30 %}"))
    front, rear = (found(report, "axle-load", f"tow_vehicle.axles.{end}") for end in ("front", "rear"))
    assert front.reserve is None
    assert rear.reserve.text == "40 %"


def test_a_reserve_for_a_subject_is_of_masses_and_not_of_shares_or_bands():
    before, asked = (judge(rigs.load(EXAMPLES[1], s)) for s in (NONE, _every_subject()))
    short = [f for f in asked.findings if f.reserve]
    assert short
    assert all(f.dimension == "mass" and f.low is None for f in short)
    assert asked.counts == before.counts


def _every_subject():
    from rigmargin.spec.settings import Figure, Origin, Settings

    half = Figure("50 %", 0.5, Origin("file", "rigmargin.yaml", 2, 1))
    return Settings(reserve=dict.fromkeys(("tow_vehicle", "trailer", "coupling", "combination"), half))


def test_a_reserve_for_the_rule_of_a_band_is_of_its_nearer_end(tmp_path):
    weighed = [
        {"state": "coupled", "front": "4000 lb", "rear": "5100 lb", "trailer_axles": "4350 lb", "increment": "2 lb"},
        {"state": "alone", "front": "4200 lb", "rear": "4250 lb", "increment": "2 lb"},
    ]
    # 650 lb on the coupling of 5000 lb: 13 %, between 10 and 15; 2 % left of 15 %, that is 13.3 % of the limit
    for text, short in (("14 %", True), ("13 %", False)):
        made = rig(tmp_path, f"reserve: {{coupling-share: {text}}}\nplaces: [us]", weighings=weighed)
        band = found(judge(made), "coupling-share", "trailer")
        assert band.load == pytest.approx(0.13)
        assert (band.reserve is not None) is short


def test_a_reserve_is_said_in_plain_words_and_counted(tmp_path):
    report = judge(rig(tmp_path, "reserve: {tow-vehicle-gross: 10 %, payload: 10 %}"))
    text = sentence(found(report, "tow-vehicle-gross"), report.rig, display(report.rig))
    assert text.endswith(
        "900 lb remain. What remains is less than the reserve of 10 % that the settings ask for (line 2 of rigmargin.yaml)."
    )
    assert words.remarks(report) == (
        "A reserve of 10 % is asked for tow-vehicle-gross (line 2 of rigmargin.yaml): 1 is within by less: The loaded tow "
        "vehicle against its maximum mass (GVWR).",
        "A reserve of 10 % is asked for payload (line 2 of rigmargin.yaml): nothing that it is asked for is within.",
    )
    assert words.counts(report) == (("i", "of them within by less than a reserve", 1),)


# --- evidence ----------------------------------------------------------------------------------------------------------


LOADED = {
    "tow_vehicle": {
        "unloaded": {"front": "2000 kg", "rear": "1000 kg", "source": "brochure"},
        "wheelbase": {"value": "4 m", "source": "measured"},
        "load": {"box": {"mass": "100 kg", "at": "1 m", "source": "owner_estimate"}},
        "tanks": {"water": {"holds": "water", "volume": "200 L", "filled": "1/2", "at": "1 m"}},
    },
    "coupling": {"kind": "weight_carrying", "hardware_mass": {"value": "50 kg", "source": "component_label"}},
    "weighings": [],
}


@pytest.mark.parametrize(
    ("settings", "path", "sigma"),
    [
        # half of the width (coverage factor 2): without settings 20 % of 100 kg, so 10 kg
        ("units: us", "tow_vehicle.load.box.mass", 10.0),
        ("evidence: {owner_estimate: 30 %}", "tow_vehicle.load.box.mass", 15.0),
        ("evidence: {brochure: 10 %}", "tow_vehicle.unloaded.front", 100.0),
        ("evidence: {measured: 2 %}", "tow_vehicle.wheelbase", 0.04),
        ("evidence: {printed_load: 6 %}", "coupling.hardware_mass", 1.5),
    ],
)
def test_a_settled_width_is_that_of_every_such_figure(settings, path, sigma, tmp_path):
    assert rig(tmp_path, settings, **LOADED).get(path).sigma == pytest.approx(sigma)


def test_a_settled_tank_width_and_steps(tmp_path):
    (tank,) = [i for i in rig(tmp_path, "evidence: {tank_fill: 20 %}", **LOADED).tow_items if i.tank]
    assert tank.tank.filled.sigma == pytest.approx(0.1)
    stated = LOADED | {"coupling_load": {"value": "100 kg", "source": "scale_ticket"}}
    one = rig(tmp_path, "evidence: {scale_ticket: 10 kg}", **stated)
    assert one.get("coupling_load").sigma == pytest.approx(10 / 12**0.5)  # a rectangle of that width
    sprung = {
        "front": {
            "suspension": {
                "heights": {"light": {"load": "900 kg", "height": "500 mm"}, "heavy": {"load": "1 t", "height": "480 mm"}}
            }
        }
    }
    made = rig(tmp_path, "evidence: {height_by_tape: 12 mm}", tow_vehicle={"axles": sprung})
    assert made.get("tow_vehicle.axles.front.suspension.heights.light.height").sigma == pytest.approx(0.012 / 12**0.5)


@pytest.mark.parametrize(("name", "example", "load"), [
    ("computed_coupling_load", "alder-creek-fifth-wheel", "coupling.vertical"),
    ("computed_coupling_floor", "alder-creek-fifth-wheel", "coupling.vertical"),
    ("springs_model", "juniper-flat-soft-springs", "tow_vehicle.axles.rear.suspension.squat"),
    ("equalized_share", "birch-hollow-travel-trailer", "trailer.axles.tandem"),
])  # fmt: skip
def test_what_models_are_taken_to_support_can_be_settled(name, example, load, tmp_path):
    file = next(path for path in EXAMPLES if path.stem == example)
    most = schema.load(schema.SETTINGS)["properties"]["evidence"]["properties"][name]["x-range"][1]
    usual, wide = (judge(rigs.load(file, s)) for s in (NONE, settled(tmp_path, f"evidence: {{{name}: {most}}}")))

    def spread(report):
        every = report.facts.loads[load, "coupled"].estimates
        return max(expanded(e.value) for e in every if e.method in ("computed", "estimated") or not name.startswith("computed"))

    assert spread(wide) > 1.5 * spread(usual)


def test_the_report_says_what_is_otherwise_than_by_convention(tmp_path):
    report = judge(rig(tmp_path, "evidence:\n  owner_estimate: 30 %\n  scale_ticket: 10 kg"))
    assert words.remarks(report) == (
        "An owner's estimate is taken to be known within 30 % (line 3 of rigmargin.yaml), and not 20 % as by convention.",
        "The step of a scale that states none is taken to be rounded to 10 kg (line 4 of rigmargin.yaml), and not 20 lb as by "
        "convention.",
    )


def test_evidence_reaches_a_verdict(tmp_path):
    # 3850 kg of brochure against 4 t: the margin is 150 kg; 5 % of it is 192.5 kg, 2 % is 77 kg
    parts = {
        "tow_vehicle": {}, "weighings": [],
        "trailer": {"gvwr": "4 t", "tare": {"total": "3850 kg", "source": "brochure"}, "load": {}},
    }  # fmt: skip
    verdicts = [
        found(judge(rig(tmp_path, text, **parts)), "trailer-gross", "trailer").verdict
        for text in ("units: us", "evidence: {brochure: 2 %}")
    ]
    assert verdicts == ["too_close", "within"]


# --- places ------------------------------------------------------------------------------------------------------------


def test_places_are_those_of_the_settings_where_the_rig_states_none(tmp_path):
    made = rig(tmp_path, "places: [us-vt]")
    assert made.places == ("us-vt",)
    assert (made.get("places").file, made.get("places").line) == ("rigmargin.yaml", 2)
    report = judge(made)
    assert any(f.rule.startswith("law/us-vt/") for f in report.findings)
    assert words.remarks(report) == (
        "The places us-vt come from the settings (line 2 of rigmargin.yaml): the rig's own file states none.",
    )


def test_a_rigs_own_places_go_before_those_of_the_settings(tmp_path):
    made = rig(tmp_path, "places: [us-vt]", places=["de"])
    assert made.places == ("de",)
    assert words.remarks(judge(made)) == ()


# --- exceptions --------------------------------------------------------------------------------------------------------


def exceptions(*entries):
    return "exceptions:\n" + "\n".join(f"  - {json.dumps(entry)}" for entry in entries)


ACCEPTED = {"rig": "two.yaml", "rule": "axle-load", "reason": "New springs.", "by": "the officer", "until": "2026-09-01"}
UNTIL = "until 2026-09-01 by the officer (line 3 of rigmargin.yaml): New springs."
HEAVY = [{"state": "coupled", "front": "4000 lb", "rear": "6500 lb", "increment": "2 lb"}]


@pytest.mark.parametrize(
    ("date", "standing", "said"),
    [
        ("2026-08-31", "in_force", f"Accepted {UNTIL} It stays open."),
        ("2026-09-01", "in_force", "It stays open."),
        ("2026-09-02", "expired", f"Was accepted {UNTIL} That day is past on the rig's date."),
        ("", "undated", "Whether that day is past cannot be told: the rig states no date. It stays open."),
    ],
)  # fmt: skip
def test_an_exception_holds_to_its_last_day_on_the_rigs_own_date(date, standing, said, tmp_path):
    parts = {"weighings": HEAVY} | ({"date": date} if date else {})
    report = judge(rig(tmp_path, exceptions(ACCEPTED), **parts))
    finding = found(report, "axle-load", "tow_vehicle.axles.rear")
    assert (finding.verdict, finding.accepted.standing) == ("over", standing)
    assert sentence(finding, report.rig, display(report.rig)).endswith(said)
    assert (words.counts(report)[0][1] == "of them open and no longer accepted") is (standing == "expired")


@pytest.mark.parametrize(
    ("change", "fits"),
    [
        ({}, True),
        ({"rig": "Two axles"}, True),
        ({"rig": "./two.yaml"}, True),
        ({"rig": "other.yaml"}, False),
        ({"rig": "members/two.yaml"}, False),  # a file of that name elsewhere is another rig
        ({"subject": "tow_vehicle.axles.rear"}, True),
        ({"subject": "tow_vehicle.axles.front"}, False),
        ({"state": "coupled"}, True),
        ({"state": "coupled_distributing"}, False),
        ({"rule": "tow-vehicle-gross"}, False),  # it marks that one, and not the axle
    ],
)
def test_an_exception_is_for_one_rig_rule_subject_and_state(change, fits, tmp_path):
    report = judge(rig(tmp_path, exceptions(ACCEPTED | change), weighings=HEAVY))
    assert (found(report, "axle-load", "tow_vehicle.axles.rear").accepted is not None) is fits


def test_of_two_exceptions_for_one_finding_the_later_counts_and_the_other_is_told(tmp_path):
    both = exceptions(ACCEPTED, ACCEPTED | {"until": "2027-01-01"})
    report = judge(rig(tmp_path, both, weighings=HEAVY))
    assert found(report, "axle-load", "tow_vehicle.axles.rear").accepted.by.until == "2027-01-01"
    assert [each.until for each in by_settings.unused(report)] == ["2026-09-01"]


def test_an_exception_that_nothing_open_fits_is_told_and_one_for_another_rig_is_not(tmp_path):
    rear = ACCEPTED | {"subject": "tow_vehicle.axles.rear"}
    text = exceptions(rear, rear | {"rig": "other.yaml"})
    report = judge(rig(tmp_path, text))  # 5100 of 6000 lb: within
    assert found(report, "axle-load", "tow_vehicle.axles.rear").accepted is None
    assert words.remarks(report) == (
        "The exception for axle-load tow_vehicle.axles.rear until 2026-09-01 by the officer (line 3 of rigmargin.yaml) was not "
        "used: nothing that is open fits it, or another goes on for longer. Delete or correct it.",
    )
    assert json.loads(machine.render(report))["settings"]["unused"] == 1


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_exceptions_and_reserves_change_no_verdict_no_count_and_no_exit_code(path, tmp_path):
    """Every finding of every example is accepted at once, and every rule has half of its limit in reserve."""
    plain = judge(rigs.load(path))
    every = [
        {"rig": plain.rig.name, "rule": f.rule, "subject": f.subject, "reason": "r", "by": "b", "until": "2099-01-01"}
        | ({"state": f.state} if f.state else {})
        for f in plain.findings
    ]
    reserves = ", ".join(f"{rule}: 50 %" for rule in dict.fromkeys(f.rule for f in plain.findings))
    marked = judge(rigs.load(path, settled(tmp_path, f"reserve: {{{reserves}}}\n{exceptions(*every)}")))
    assert (marked.counts, marked.overall, EXIT[marked.overall]) == (plain.counts, plain.overall, EXIT[plain.overall])
    bare = [f._replace(reserve=None, accepted=None) for f in marked.findings]
    assert [(f.key, f.verdict, f.margin, f.load) for f in bare] == [
        (f.key, f.verdict, f.margin, f.load) for f in plain.findings
    ]
    accepted = [f.verdict for f in marked.findings if f.accepted]
    assert len(accepted) == sum(f.verdict in by_settings.OPEN for f in plain.findings)
    assert not {"within", "at_limit", "rule_failed", "note", "not_applicable"}.intersection(accepted)
    assert json.loads(machine.render(marked))["counts"] == json.loads(machine.render(plain))["counts"]


def test_settings_that_do_not_concern_a_rig_change_no_byte_of_its_report(tmp_path):
    text = f"units: metric\nplaces: [de]\n{exceptions(ACCEPTED)}"
    for path in EXAMPLES[:4]:
        assert machine.render(judge(rigs.load(path, settled(tmp_path, text)))) == machine.render(judge(rigs.load(path)))


# --- rules -------------------------------------------------------------------------------------------------------------


def test_ids_that_are_none_are_told_with_the_nearest(tmp_path):
    text = "reserve: {paylod: 1 %, trailer.axels: 1 %, trailer.axles.tandem: 1 %, combination: 1 %, law/us-vt/mirrors: 1 %}\n"
    kept = settled(tmp_path, text + exceptions(ACCEPTED | {"rule": "axleload"}))
    told = [str(p).partition("rigmargin.yaml:")[2] for p in by_settings.unknown(kept, plugins.load())]
    subject = "expected the id of a rule, or a subject such as trailer"
    assert told[:2] == [
        f"2:11: reserve.paylod: found 'paylod'; {subject}; write 'payload', if that is meant",
        f"2:24: reserve.trailer.axels: found 'trailer.axels'; {subject}; write 'trailer.axles', if that is meant",
    ]
    assert (
        told[-1] == "4:5: exceptions[0].rule: found 'axleload'; expected the id of a rule; write 'axle-load', if that is meant"
    )
    assert not any("tandem" in line or "combination" in line for line in told)


def test_python_of_a_folder_that_nobody_named_is_not_run_and_that_is_told(tmp_path):
    folder = tmp_path / "ours"
    folder.mkdir()
    (folder / "trap.py").write_text(f"open({str(tmp_path / 'ran')!r}, 'w').close()\n", "utf-8")
    sources, failures = local.sources(str(folder), runs=False)
    assert sources == []
    (failure,) = failures
    assert failure.name == "ours/trap.py"
    assert "was not run" in failure.reason and "--rules" in failure.reason and str(tmp_path) not in failure.reason
    ruleset = plugins.load(unrun=(str(folder),))
    assert not (tmp_path / "ran").exists()
    report = judge(rigs.load(EXAMPLES[0]), ruleset)
    assert [f.rule for f in report.findings if f.verdict == "rule_failed"] == ["ours/trap.py"]
