"""A table of tickets is read in whichever dialect a spreadsheet wrote it, and says where it is wrong."""

import pytest

from rigmargin.club import tickets
from rigmargin.club.formula import guarded
from rigmargin.spec import schema
from rigmargin.spec.problem import FileProblems

HEAD = "rig,state,on,increment"


@pytest.fixture
def read(tmp_path):
    def write(text, encoding="utf-8"):
        path = tmp_path / "day.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode(encoding))
        return tickets.read(path)

    return write


def said(table):
    """Line, column's number, its name and what was found, of each problem."""
    return [(p.line, p.column, p.path, p.found) for p in table.problems]


def test_every_field_of_a_ticket_is_a_column():
    ticket = schema.at(("weighings", 0))["properties"]
    assert {name.partition(".")[0] for name in tickets.fields()} == set(ticket)
    assert {name for name in tickets.fields() if "." in name} == {"beam.support_to_coupling", "beam.coupling_to_scale"}
    assert tickets.field("trailer_axles.any name") is not None
    assert tickets.field("front.value") is None
    assert tickets.required() == ("rig", "state", "increment", "on")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig"])
@pytest.mark.parametrize("delimiter", [",", ";"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_comma_or_semicolon_with_or_without_byte_order_mark_say_the_same(read, encoding, delimiter, end):
    lines = [
        ["rig", "state", "on", "increment", "front", "at"],
        ["ä.yaml", "alone", "2026-07-04", "20 lb", "4740 lb", '"a""b"'],
    ]
    table = read(end.join(delimiter.join(line) for line in lines) + end, encoding)
    assert not table.problems
    assert [row.texts for row in table.rows] == [
        {"rig": "ä.yaml", "state": "alone", "on": "2026-07-04", "increment": "20 lb", "front": "4740 lb", "at": 'a"b'}
    ]


def test_a_cell_in_quotes_may_hold_the_delimiter_and_line_breaks_and_lines_keep_their_numbers(read):
    table = read(f'{HEAD},note\n"a, b.yaml",alone,,,"two\nlines"\n\nc.yaml,alone,,,\n')
    assert [(row.line, row.texts["rig"]) for row in table.rows] == [(2, "a, b.yaml"), (5, "c.yaml")]
    assert table.rows[0].texts["note"] == "two\nlines"


def test_a_bare_number_takes_the_unit_of_its_column_and_a_unit_of_its_own_stays(read):
    table = read(f'{HEAD} [lb],front [lb],rear\na,alone,,20,4740,3260\nb,alone,,20,2100 kg,3260 lb\nc,alone,,20,"4,740",\n')
    assert [row.texts.get("front") for row in table.rows] == ["4740 lb", "2100 kg", "4,740 lb"]
    assert [row.texts.get("rear") for row in table.rows] == ["3260", "3260 lb", None]


def test_names_aboard_are_a_list_and_parts_a_mapping_in_the_order_of_the_schema(read):
    row = read(
        f"note,trailer_axles.front pair,aboard,{HEAD},beam.support_to_coupling,trailer_axles.rear one\n"
        "x,900 kg,driver | tool box,a,coupled,,10 kg,1 m,800 kg\n"
    ).rows[0]
    ticket = tickets.ticket(row)
    assert ticket == {
        "state": "coupled",
        "increment": "10 kg",
        "trailer_axles": {"front pair": "900 kg", "rear one": "800 kg"},
        "beam": {"support_to_coupling": "1 m"},
        "aboard": ["driver", "tool box"],
        "note": "x",
    }
    assert list(ticket) == ["state", "increment", "trailer_axles", "beam", "aboard", "note"]
    assert tickets.ticket(read(f"{HEAD},aboard\na,alone,,,none\n").rows[0])["aboard"] == "none"


def test_a_figure_for_all_axles_beside_one_for_an_axle_is_kept_for_the_reader_to_refuse(read):
    row = read(f"{HEAD},trailer_axles.x,trailer_axles\na,coupled,,,900 kg,1900 kg\n").rows[0]
    assert tickets.ticket(row)["trailer_axles"] == {"value": "1900 kg", "x": "900 kg"}


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "=HYPERLINK(A1)"])
def test_what_a_spreadsheet_would_compute_is_guarded_and_read_back(read, text):
    assert guarded(text) == f"'{text}"
    assert read(f"{HEAD}\n{guarded(text)},alone,,\n").rows[0].texts["rig"] == text
    assert guarded("a-b.yaml") == "a-b.yaml"
    assert read(f"{HEAD}\n'tis.yaml,alone,,\n").rows[0].texts["rig"] == "'tis.yaml"


def test_everything_wrong_with_the_head_is_told_at_once_with_a_cure(read):
    table = read("rig,Front axel,state,front [lbs],state,note [lb],frnt,,increment\nx,1,alone,2,,3,4,5,6,7\n")
    assert said(table) == [
        (1, 2, "Front axel", "the unknown column 'Front axel'"),
        (1, 4, "front", "the unit 'lbs'"),
        (1, 5, "state", "the column 'state' a second time"),
        (1, 6, "note", "the unit 'lb'"),
        (1, 7, "frnt", "the unknown column 'frnt'"),
        (1, 1, "on", "no column 'on'"),
        (2, 8, "", "'5' in column 8"),
        (2, 10, "", "'7' in column 10"),
    ]
    cures = {p.path: p.cure for p in table.problems}
    assert cures["frnt"] == "write 'front', if that is meant"
    assert not table.complete
    assert "one of kg, t, g, lb, oz" in table.problems[1].expected


@pytest.mark.parametrize(
    ("raw", "line", "found"),
    [
        (b"", 0, "nothing"),
        (b"\n \n,,\n", 0, "nothing"),
        (b"rig,state\n\xff,alone\n", 2, "the byte 0xff"),
        ("rig,state\n".encode("utf-16"), 1, "the byte 0xff"),
        (b'rig,state\n"a"b,alone\n', 2, "a line that is no CSV"),
        (b'rig,state\nx,y\n"a,alone\n', 3, "a line that is no CSV"),
    ],
)
def test_what_is_no_table_is_refused_with_its_line(read, raw, line, found):
    with pytest.raises(FileProblems) as caught:
        read(raw)
    (problem,) = caught.value.problems
    assert problem.line == line
    assert problem.found.startswith(found)
    assert problem.cure


@pytest.mark.parametrize(
    ("raw", "line", "found", "cure"),
    [
        (b"sep=;\r\nrig;state\r\nx;alone\r\n", 1, "a line 'sep='", "delete this line: the line with the columns' names"),
        (b"\n\nSEP=,\nrig,state\n", 3, "a line 'sep='", "delete this line"),
        (b"rig\tstate\ton\tincrement [lb]\nx\talone\t2026-07-04\t20\n", 1, "cells apart by tabs", "save it as CSV with commas"),
    ],
)
def test_what_another_program_wrote_has_one_clear_cure(read, raw, line, found, cure):
    with pytest.raises(FileProblems) as caught:
        read(raw)
    (problem,) = caught.value.problems
    assert (problem.line, problem.found) == (line, found)
    assert problem.cure.startswith(cure)


def test_a_tab_within_a_cell_of_the_head_is_no_table_of_tabs(read):
    assert read(f"{HEAD},\tnote\t\na,alone,,,x\n").rows[0].texts["note"] == "x"


def test_a_file_that_is_none_is_said_so(tmp_path):
    for path in (tmp_path / "absent.csv", tmp_path, "nul\0"):
        with pytest.raises(FileProblems, match="no readable file"):
            tickets.read(path)
