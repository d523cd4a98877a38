"""Sidewall markings taken apart: every form, every trap, what is wrong and at which character, and back to text again."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigmargin.spec.marking import PLIES, VERSIONS, NotAMarking, parse


def parts(text):
    found = parse(text)
    return found.size, found.type, found.load_index, found.speed_symbol, found.load_range, found.ply_rating, found.version


@pytest.mark.parametrize(
    ("text", "size", "type_", "index", "symbol", "letter", "ply", "version"),
    [
        ("LT275/70R18 125/122S E", "LT275/70R18", "light_truck", "125/122", "S", "E", None, ""),
        ("P235/75R15 105S", "P235/75R15", "passenger", "105", "S", "", None, ""),
        ("235/75R15 109T XL", "235/75R15", "passenger", "109", "T", "", None, "extra_load"),
        ("235/75R15 109T EXTRA LOAD", "235/75R15", "passenger", "109", "T", "", None, "extra_load"),
        ("235/75R15 109T RF", "235/75R15", "passenger", "109", "T", "", None, "extra_load"),
        ("P235/75R15 SL", "P235/75R15", "passenger", "", "", "", None, "standard_load"),
        ("ST235/80R16 124/120L E", "ST235/80R16", "special_trailer", "124/120", "L", "E", None, ""),
        ("ST205/75R14D", "ST205/75R14", "special_trailer", "", "", "D", None, ""),
        ("35x12.50R20LT", "35x12.50R20LT", "light_truck", "", "", "", None, ""),
        ("31X10.50R15LT/C", "31x10.50R15LT", "light_truck", "", "", "C", None, ""),
        ("31x10.50R15 LT C", "31x10.50R15LT", "light_truck", "", "", "C", None, ""),
        ("LT35x12.50R20 121Q", "LT35x12.50R20", "light_truck", "121", "Q", "", None, ""),
        ("225/70R19.5 128/126N", "225/70R19.5", "commercial", "128/126", "N", "", None, ""),
        ("11R22.5 146/143L LRG", "11R22.5", "commercial", "146/143", "L", "G", None, ""),
        ("185R14C 102/100Q", "185R14C", "commercial", "102/100", "Q", "", None, ""),
        ("185R14 82T", "185R14", "passenger", "82", "T", "", None, ""),
        ("4.80-8 LRC", "4.80-8", "", "", "", "C", None, ""),
        ("7.50-16LT LOAD RANGE E", "7.50-16LT", "light_truck", "", "", "E", None, ""),
        ("4.80-12ST LR B", "4.80-12ST", "special_trailer", "", "", "B", None, ""),
        ("205/75R16C 10PR 113/111R", "205/75R16C", "commercial", "113/111", "R", "", 10, ""),
        ("ST205/90-15 8 PR", "ST205/90-15", "special_trailer", "", "", "", 8, ""),
        ("LT265/75R16/E 123R", "LT265/75R16", "light_truck", "123", "R", "E", None, ""),
        ("205/55 R16 91V", "205/55R16", "passenger", "91", "V", "", None, ""),
        ("205/55ZR16 (91Y)", "205/55ZR16", "passenger", "91", "Y", "", None, ""),
        ("lt275/70r18 125/122s e", "LT275/70R18", "light_truck", "125/122", "S", "E", None, ""),
        ("225/65R17 102H M+S", "225/65R17", "passenger", "102", "H", "", None, ""),
        ("195/50R13C 104/101A8", "195/50R13C", "commercial", "104/101", "A8", "", None, ""),
    ],
)  # fmt: skip
def test_each_form(text, size, type_, index, symbol, letter, ply, version):
    assert parts(text) == (size, type_, index, symbol, letter, ply, version)


@pytest.mark.parametrize("text", ["225/75R16C 121/120R", "225/75R16 C 121/120R", "225/75R16C121/120R"])
def test_a_c_behind_the_rim_is_no_load_range(text):
    if text == "225/75R16C121/120R":  # nor is it guessed where the words run into each other
        with pytest.raises(NotAMarking, match="character 10: found"):
            parse(text)
    else:
        assert parts(text) == ("225/75R16C", "commercial", "121/120", "R", "", None, "")


def test_behind_a_light_truck_size_it_is_one():
    assert parse("LT215/85R16C").load_range == "C"
    assert parse("LT215/85R16 C").load_range == "C"
    assert parse("LT215/85R16 C").type == "light_truck"


@pytest.mark.parametrize("letter", "ABCDEFGHJ")
def test_a_letter_alone_is_a_load_range_and_no_speed_symbol(letter):
    found = parse(f"LT275/70R18 125/122S {letter}")
    assert (found.speed_symbol, found.load_range) == ("S", letter)
    assert parse(f"ST235/80R16 124/120 {letter}").speed_symbol == ""


def test_half_inches_are_not_cut_off():
    assert parse("225/70R19.5 128/126N").rim == 19.5
    assert parse("11R22.5").rim == 22.5


@pytest.mark.parametrize(
    ("text", "at", "said"),
    [
        ("T145/80D18 103M", 1, "the marking of a temporary spare (T)"),
        ("225/70R19,5 128/126N", 10, "a decimal comma; expected a decimal point; write '225/70R19.5 128/126N'"),
        ("225/70R19.7 128N", 10, "'.7'; expected a rim code in whole or half inches"),
        ("205/55R61 91T", 8, "'61'; expected a rim of 8 to 25 inches"),
        (
            "LT275/70R18 125/122 S E",
            21,
            "'S' apart from the load index; expected the speed symbol close behind it; write 125/122S",
        ),
        ("ST235/80R16 129/125 M", 21, "write 129/125M if it is the speed symbol, LRM if it is the load range"),
        ("LT275/70R18 122/125S", 13, "'122/125'; expected single/dual, the larger first"),
        ("750R16 116N", 1, "'750'; expected a width in millimetres that ends in 5, from 125; write 7.50R16 if"),
        ("500-10", 1, "write 5.00-10 if the width is moulded in inches"),
        ("350-8", 1, "write 3.50-8 if"),
        ("235/750R15", 5, "'750'; expected an aspect ratio of 25 to 100"),
        ("230/75R15", 1, "'230'; expected a width in millimetres that ends in 5, from 125; copy the width again"),
        ("205/55R16 91Z", 11, "the speed symbol 'Z'"),
        ("205/55R16 91I", 11, "there is no I, O, X or Z"),
        ("205/55R16 291T", 11, "'291'; expected a load index of 0 to 279"),
        ("ST205/90-15 LOAD RANGE K", 13, "the load range 'K'; expected one of A, B, C"),
        ("LT215/85R16 D E", 15, "a second load range, 'E'"),
        ("205/55R16 91T 94T", 15, "a second load index, '94T'"),
        ("205/55R16 91T 7PR", 15, "an even ply rating from 2 to 24"),
        ("205/55R16 91T winter", 15, "'winter'; expected a load index with its speed symbol"),
        ("205/55R16T", 10, "'T'; expected a load range"),
        ("205/55R16 O", 11, "'O'; expected a load range"),
        ("   ", 4, "nothing; expected a size such as LT275/70R18 125/122S E"),
        ("91T", 1, "'91T'; expected a size"),
    ],
)
def test_what_is_wrong_is_told_with_its_place(text, at, said):
    with pytest.raises(NotAMarking) as caught:
        parse(text)
    assert [wrong.at for wrong in caught.value.wrong] == [at]
    assert said in str(caught.value)


def test_all_that_is_wrong_is_told_at_once():
    with pytest.raises(NotAMarking) as caught:
        parse("T145/80D30 91Z winter")
    assert [wrong.at for wrong in caught.value.wrong] == [1, 9, 12, 16]


def test_the_load_range_tells_the_ply_rating():
    # ST205/75R14D: 8 PR (a page that quotes the TRA 2010 year book, and an open parser of tyre codes)
    assert parse("ST205/75R14D").plies == 8
    assert parse("LT275/70R18 125/122S E").plies == 10
    assert parse("205/75R16C 10PR").plies == 10
    assert parse("205/55R16 91T").plies is None


SIZES = st.one_of(
    st.builds(
        "{}{}/{}{}{}".format, st.sampled_from(["", "P", "LT", "ST"]), st.integers(12, 44).map(lambda n: 10 * n + 5),
        st.integers(6, 19).map(lambda n: 5 * n), st.sampled_from(["R", "ZR", "D", "-"]),
        st.sampled_from(["13", "16", "19.5", "22.5"]),
    ),
    st.builds("{}R{}C".format, st.integers(14, 23).map(lambda n: 10 * n + 5), st.integers(12, 17)),
    st.builds("{}x{}.50R{}LT".format, st.integers(28, 40), st.integers(9, 14), st.integers(15, 22)),
    st.builds("{}.{}0-{}".format, st.integers(4, 9), st.integers(0, 9), st.integers(8, 16)),
)  # fmt: skip
SYMBOLS = [*(f"A{n}" for n in range(1, 9)), *"BCDEFGJKLMNPQRSTUHVWY"]


@given(SIZES, st.integers(0, 279), st.data())
def test_what_is_written_is_read_again(size, single, data):
    dual = data.draw(st.none() | st.integers(0, single))
    words = [
        f"{single}{'' if dual is None else f'/{dual}'}{data.draw(st.sampled_from(SYMBOLS))}",
        data.draw(st.sampled_from(["", *VERSIONS])),
        data.draw(st.sampled_from(["", *(f"LR{letter}" for letter in PLIES)])),
        data.draw(st.sampled_from(["", *(f"{n}PR" for n in PLIES.values())])),
    ]
    found = parse(" ".join([size, *filter(None, words)]))
    assert found.size == size
    assert f"{found.load_index}{found.speed_symbol}" == words[0]
    assert found.version == VERSIONS.get(words[1], "")
    assert found.load_range == words[2][2:]
    assert f"{found.ply_rating or ''}" == words[3][:-2]
    assert parse(str(found)) == found


@given(st.text(max_size=40) | st.text("LTSP0123456789/RxX.,- ECD", max_size=30))
def test_any_text_is_read_or_refused_at_a_place_inside_it(text):
    wrong = ()
    try:
        found = parse(text)
    except NotAMarking as refused:
        wrong = refused.wrong
    else:
        assert parse(str(found)) == found
    assert all(1 <= one.at <= len(text) + 1 and one.found and one.expected and one.cure for one in wrong)
