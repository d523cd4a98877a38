"""The questions and words as data: each points at something, and the schema knows every word of theirs."""

import json

import pytest

from rigmargin.spec import places, schema, words
from rigmargin.spec.words import UNKNOWN
from rigmargin.start import questions, reading, wording
from rigmargin.start.answers import Answers

EACH = [each for each in questions.every() if not each.aside]


@pytest.mark.parametrize("question", EACH, ids=lambda q: q.ask)
def test_a_question_has_its_words_from_the_schema(question):
    what, _, where = question.node["description"].partition(". ")
    assert question.node["title"] and what and where.endswith(".")


def _words(path):
    return set((schema.at(tuple(path.split("."))) or {}).get("enum", ()))


def test_conditions_compare_with_words_that_the_field_can_have():
    found = [c for q in questions.every() for c in (*q.when, *q.section.when)] + [
        c for each in words.every().values() for w in each for c in w.when
    ]
    assert len(found) > 30
    for condition in found:
        allowed = places.listed()["countries"] if condition.path == "place" else _words(condition.path)
        assert set(condition.words) <= allowed | {UNKNOWN}, condition


def test_what_a_condition_looks_at_is_asked_before():
    order = [q.ask for q in questions.every()]
    for number, question in enumerate(questions.every()):
        for condition in (*question.when, *question.section.when):
            path = "places" if condition.path == "place" else condition.path
            assert order.index(path) < number, question.ask


def test_a_regional_word_is_declared_by_the_schema_for_its_field():
    for field, term in words.terms().items():
        node = schema.at(tuple(field.split(".")))
        for word in words.every()[term]:
            assert not word.label or word.label in node["x-synonyms"], (field, word)


def test_every_synonym_of_a_field_that_is_asked_is_some_places_word():
    """Label words that say the same as another of the same place are left out by name."""
    others = {"s", "capacity_weight", "curb", "uvw", "miro", "kerb", "tare", "towing_limit"}
    asked = {q.path[: n + 1] for q in EACH for n in range(len(q.path)) if q.path[0] != "weighings"}
    used = {(field, w.label) for field, term in words.terms().items() for w in words.every()[term]}
    for path in asked:
        for synonym in (schema.at(path) or {}).get("x-synonyms", ()):
            assert synonym in others or (".".join(path), synonym) in used, (path, synonym)


@pytest.mark.parametrize(
    ("places", "trailer", "tow_word", "combination", "coupling", "trailer_word"),
    [
        (["us-co"], "travel_trailer", "gvwr", "gcwr", "max_tongue_weight", "gvwr"),
        (["ca"], "travel_trailer", "gvwr", "gcwr", "max_tongue_weight", "gvwr"),
        (["gb"], "caravan", "mam", "train_mass", "max_noseweight", "mtplm"),
        (["ie"], "boat", "mam", "train_mass", "max_noseweight", "mam"),
        (["au-nsw"], "caravan", "gvm", "gcm", "max_ball_load", "atm"),
        (["nz"], "caravan", "gvm", "gcm", "max_ball_load", "atm"),
        (["de"], "caravan", "max_mass", "max_combination_mass", "max_coupling_load", "max_mass"),
        ([], "caravan", "max_mass", "max_combination_mass", "max_coupling_load", "max_mass"),
    ],
)
def test_each_place_has_its_own_words(places, trailer, tow_word, combination, coupling, trailer_word):
    answers = Answers({"places": places, "trailer": {"kind": trailer}, "coupling": {"kind": "weight_carrying"}})
    assert answers.name(("tow_vehicle", "max_mass")) == tow_word
    assert answers.name(("tow_vehicle", "max_combination_mass")) == combination
    assert answers.name(("tow_vehicle", "max_coupling_load")) == coupling
    assert answers.name(("trailer", "max_mass")) == trailer_word


LABELS_ELSEWHERE = {
    "us": ("on a European plate", "in Australia", "in Europe", "MTPLM", "S value", "towbar"),
    "ca": ("on a European plate", "in Australia", "in Europe", "MTPLM", "S value", "towbar"),
    "gb": ("GVWR", "GAWR", "GCWR", "in Australia", "certification label", "tongue", "receiver", "a scale ticket"),
    "ie": ("GVWR", "GAWR", "GCWR", "in Australia", "certification label", "tongue", "receiver", "a scale ticket"),
    "de": ("GVWR", "GAWR", "GCWR", "in Australia", "MTPLM", "certification label", "tongue", "receiver", "a scale ticket"),
    "au": ("GVWR", "GAWR", "GCWR", "European plate", "MTPLM", "certification label", "tongue", "receiver", "owner's manual"),
    "nz": ("GVWR", "GAWR", "GCWR", "European plate", "MTPLM", "certification label", "tongue", "receiver", "owner's manual"),
}


def _asked(place, coupling):
    answers = Answers({"places": [place], "coupling": {"kind": coupling}, "trailer": {"kind": "caravan"}})
    figures = [q for q in EACH if "tyres" not in q.path and q.asked(answers.known)]
    return {q.ask: " ".join(wording.asked(q, answers, "kg")) for q in figures}


@pytest.mark.parametrize("coupling", ["weight_carrying", "european_ball"])
@pytest.mark.parametrize("place", LABELS_ELSEWHERE)
def test_where_a_figure_is_printed_is_told_of_the_readers_own_papers(place, coupling):
    for ask, text in _asked(place, coupling).items():
        for label in LABELS_ELSEWHERE[place]:
            assert label not in text, (ask, text)


def test_the_codes_of_european_papers_are_asked_for():
    """F.1, F.3, O.1 and O.2 of the registration certificate; entries 16, 18 and 19 of the certificate of conformity."""
    said = _asked("de", "european_ball")
    for ask, codes in {
        "tow_vehicle.max_mass": ("F.1", "16.1"),
        "tow_vehicle.max_combination_mass": ("16.4", "F.3"),
        "tow_vehicle.axles.front.max_load": ("16.2",),
        "tow_vehicle.max_trailer_mass.braked": ("O.1", "O.2", "18.1", "18.3", "18.4"),
        "tow_vehicle.max_coupling_load": ("19",),
        "trailer.max_mass": ("F.1",),
    }.items():
        assert all(code in said[ask] for code in codes), said[ask]


def test_every_phrase_that_is_looked_for_in_the_schema_is_in_it():
    text = json.dumps(schema.rig(), ensure_ascii=False)
    for term in words.IN_PLAIN_TEXTS:
        if term.startswith("at_"):
            assert words.neutral(term).one in text, term


@pytest.mark.parametrize(
    ("place", "said", "typed"),
    [("us", "surge", "surge"), ("au", "override", "override"), ("nz", "indirect (overrun)", "indirect"),
     ("de", "inertia (overrun)", "inertia"), ("gb", "overrun", "overrun")],
)  # fmt: skip
def test_a_regions_word_for_a_choice_is_shown_and_taken(place, said, typed):
    brakes = next(q for q in EACH if q.ask == "trailer.brakes.actuation")
    assert f"2 for {said}" in wording.asked(brakes, Answers({"places": [place]}), "")
    assert reading.chosen(brakes, typed) == reading.chosen(brakes, "2") == "overrun"
    assert reading.chosen(brakes, "towbar") == "towbar"  # a word of some region, and no choice here


def test_hitch_parts_tickets_and_titles_are_in_the_words_of_the_place():
    said = _asked("au", "weight_carrying")
    assert said["coupling.parts.receiver.max_vertical_load"].startswith("Towbar: maximum vertical load, in kg.")
    assert said["coupling.parts.ball mount.max_towed_mass"].startswith("Tow ball mount: maximum towed mass, in kg.")
    assert said["weighings.alone.increment"].startswith("Ticket: smallest step of the weighbridge, in kg.")
    said = _asked("us", "weight_carrying")
    assert said["tow_vehicle.max_mass"].startswith("Tow vehicle: gross vehicle weight rating (GVWR), in kg.")
    assert said["coupling.parts.receiver.max_towed_mass"].startswith("Receiver: maximum trailer weight, in kg.")


def test_bars_are_spoken_of_to_those_who_have_them():
    section = next(q.section for q in EACH if q.ask == "weighings.coupled.front")
    told = {kind: section.told({"coupling.kind": kind}.get) for kind in ("european_ball", "weight_distributing")}
    assert "bars" not in told["european_ball"] and "slack bars" in told["weight_distributing"]


def test_a_fifth_wheel_has_a_pin_and_not_a_tongue():
    answers = Answers({"places": ["us"], "coupling": {"kind": "fifth_wheel"}})
    assert answers.name(("coupling_load",)) == "pin_weight"


def test_the_word_that_the_file_uses_already_stays():
    answers = Answers({"places": ["us"], "tow_vehicle": {"gvm": "3200 kg"}})
    assert answers.at(("tow_vehicle", "max_mass")) == "3200 kg"
    assert answers.settles(("tow_vehicle", "max_mass"))


def test_one_figure_for_all_uses_and_names_of_the_owners_own_settle_what_is_asked():
    trailer = {"axles": {"tandem": {"number": 2}}, "unloaded": "900 kg"}
    answers = Answers({"tow_vehicle": {"max_trailer_mass": {"value": "2 t"}}, "trailer": trailer})
    assert answers.settles(("tow_vehicle", "max_trailer_mass", "braked"))
    assert answers.settles(("trailer", "unloaded", "total"))
    assert answers.settles(("trailer", "axles", "axle", "number"))
    assert not answers.settles(("tow_vehicle", "axles", "front", "max_load"))
