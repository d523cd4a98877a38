"""Markings against a corpus of real ones and an independent parser, and sizes against their arithmetic."""

import json
import subprocess
import sys
import zipfile

import pytest

from rigmargin.spec.marking import NotAMarking, parse

#: Run where the corpus was unpacked and nowhere else: it holds a package called ``tests``, as this project does.
READ = """
import json
from tests.sample_codes import sample_codes
from tire_codes import TireCodeParser
found = []
for code in sorted(set(sample_codes)):
    try:
        specs = TireCodeParser(code).parse().to_dict()
    except Exception:  # what its parser cannot read is a marking without specifications here
        specs = None
    else:
        specs.pop("FORMAT")
    found.append([code, specs])
print(json.dumps(found))
"""
#: What stands in the corpus and on no sidewall: "ZR" in a service, two services with a stroke between, a C before the size.
NO_MARKINGS = {"35X12.50R18LT 123ZRY", "35X12.5R18 123ZRW", "35X12.5R20 121ZR", "40X15.5R24 128Q/125Q", "C165/45R16 74V"}


@pytest.fixture(scope="module")
def corpus(tmp_path_factory):
    """The sample markings of the PyPI package tire-codes (MIT licence) and what its own parser makes of them."""
    folder = tmp_path_factory.mktemp("corpus")
    pip = (sys.executable, "-m", "pip", "--disable-pip-version-check", "download", "-q", "--no-deps")
    got = subprocess.run(
        [*pip, "--only-binary=:all:", "tire-codes==0.1.0"], cwd=folder, capture_output=True, text=True, check=False
    )
    assert got.returncode == 0, f"tire-codes cannot be fetched, and its markings are not kept here: {got.stderr.strip()[-200:]}"
    (wheel,) = folder.glob("*.whl")
    zipfile.ZipFile(wheel).extractall(folder)
    said = subprocess.run([sys.executable, "-I", "-c", f"import sys; sys.path.insert(0, '.')\n{READ}"], cwd=folder,
                          capture_output=True, text=True, check=True)  # fmt: skip
    return json.loads(said.stdout)


def test_the_corpus_is_read_whole(corpus):
    assert len(corpus) == 1564
    refused = {}
    for code, _ in corpus:
        try:
            found = parse(code)
        except NotAMarking as error:
            refused[code] = error.wrong
        else:
            assert parse(str(found)) == found
    assert all(1 <= one.at <= len(code) for code, wrong in refused.items() for one in wrong)
    assert refused.keys() == NO_MARKINGS


def test_the_corpus_is_split_as_by_the_other_parser(corpus):
    # where that parser has load index and symbol at all: it takes both from the size where the marking has none, and cuts
    # 17.5 down to 17
    compared = 0
    for code, specs in corpus:
        if (
            specs is None
            or code in NO_MARKINGS
            or ".5" in code.split(" ")[0].split("R")[-1]
            or not specs["SPEED_RATING"]
            or not specs["LOAD_INDEX"]
        ):
            continue
        found = parse(code)
        if not found.speed_symbol:
            continue
        compared += 1
        dual = f"/{specs['LOAD_INDEX_DUAL']}" if specs["LOAD_INDEX_DUAL"] else ""
        assert f"{found.load_index}{found.speed_symbol}" == f"{specs['LOAD_INDEX']}{dual}{specs['SPEED_RATING']}", code
        assert found.rim == float(specs["WHEEL_DIAMETER"]), code
        if specs["OVERALL_DIAMETER"]:
            assert found.diameter == pytest.approx(float(specs["OVERALL_DIAMETER"]) * 0.0254)
        else:
            diameter = float(specs["WHEEL_DIAMETER"]) * 25.4 + 2 * float(specs["WIDTH"]) * float(specs["ASPECT_RATIO"]) / 100
            assert found.diameter == pytest.approx(diameter / 1000), code
    assert compared > 1400


@pytest.mark.parametrize(
    ("size", "millimetres", "inches"),
    [
        # rim code x 25.4 + 2 x width x aspect / 100, by hand
        ("ST235/80R16", 782.4, 30.80),
        ("ST225/75R15", 718.5, 28.29),
        ("ST205/75R15", 688.5, 27.11),
        ("P235/75R15", 733.5, 28.88),
        ("LT275/70R18", 842.2, 33.16),
        ("LT235/80R17", 807.8, 31.80),
        ("LT235/85R16", 805.9, 31.73),
        ("225/75R16C", 743.9, 29.29),
        ("225/70R19.5", 810.3, 31.90),
        ("205/55R16", 631.9, 24.88),
    ],
)
def test_overall_diameter(size, millimetres, inches):
    found = parse(size).diameter
    assert found * 1000 == pytest.approx(millimetres, abs=0.051)
    assert found / 0.0254 == pytest.approx(inches, abs=0.006)


def test_an_open_parser_of_codes_agrees():
    # it prints 8 ply and 26.1 in for ST205/75R14D; exactly 26.11
    found = parse("ST205/75R14D")
    assert found.plies == 8
    assert found.diameter / 0.0254 == pytest.approx(26.11, abs=0.005)


def test_a_flotation_size_begins_with_its_diameter():
    # a package for flotation sizes gives 35x12.50R20 as 0.8890 m across
    assert parse("35x12.50R20LT").diameter == pytest.approx(0.8890, rel=1e-6)
