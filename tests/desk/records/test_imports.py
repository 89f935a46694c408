"""A table of dogs: every problem by row and column, and nothing half written."""

import pytest
from hypothesis import given
from hypothesis import strategies as some

from kennelward import desk
from kennelward.desk.import_table import read_table
from kennelward.kennel import facts as f
from kennelward.terms import BadInput
from tests.desk.conftest import AT

GOOD = """name,sex,born,chip,dam,sire,pen
Tansy,bitch,2021-04-03,276098100000001,,,Long run
Brock,male,03.05.2020,276098100000002,,,Long run
Pip,f,2025-11-30,,Tansy,Brock,
"""


@pytest.fixture
def kennel(kennel):
    """The kennel with one pen."""
    pen = f.PenDescribed(pen=desk.new_id(), name="Long run", pen_kind="adults")
    desk.record(
        [desk.NewEntry(entry=desk.new_id(), fact=pen)], kennel=kennel, by="M", at=AT
    )
    return kennel


def read(kennel, data, **more):
    data = data.encode() if isinstance(data, str) else data
    return desk.import_dogs(kennel=kennel, data=data, by="Mara Lind", at=AT, **more)


def problems(report):
    return [(one.row, one.column) for one in report.problems]


def test_dry_run_writes_nothing(kennel):
    """It only tells."""
    report = read(kennel, GOOD)
    assert (len(report.rows), report.problems, report.written) == (3, (), 0)
    assert desk.snapshot(kennel).dogs == {}


def test_good_table_is_written(kennel):
    """Dogs, parents by name, pens by name; no arrival, so no quarantine falls due."""
    report = read(kennel, GOOD, dry_run=False)
    assert report.written == 3
    book = desk.snapshot(kennel)
    dogs = {card.name: card for card in book.dogs.values()}
    assert dogs["Pip"].described.dam == dogs["Tansy"].dog
    assert dogs["Pip"].described.sire == dogs["Brock"].dog
    assert str(dogs["Brock"].described.born_on) == "2020-05-03"
    assert dogs["Brock"].described.sex == "dog"
    assert book.name_of(dogs["Tansy"].pen) == "Long run"
    assert book.of(f.Arrived) == ()
    assert desk.verify(kennel).ok


def test_arrival_is_written_where_the_table_gives_one(kennel):
    """Then it is an arrival."""
    read(
        kennel,
        "name,sex,born,pen,arrived\nA,f,2024-01-01,long run,2026-02-27\n",
        dry_run=False,
    )
    (arrived,) = desk.snapshot(kennel).of(f.Arrived)
    assert str(arrived.happened_on) == "2026-02-27"


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_any_separator_and_letters(kennel, separator, encoding):
    """What spreadsheet programs write: a byte-order mark, semicolons, tabs."""
    text = "Name;Sex;Date of birth\r\nZoë d'Été;Bitch;2024-01-01\r\n".replace(
        ";", separator
    )
    report = read(kennel, text.encode(encoding))
    assert [row.described.name for row in report.rows] == ["Zoë d'Été"]
    assert report.problems == ()


def test_wrong_separator_in_the_header_is_said(kennel):
    """A separator nobody uses: the first row is shown and what is allowed is said."""
    with pytest.raises(BadInput, match=r"comma, semicolon or tab"):
        read(kennel, "name~sex~born\nA~f~2024-01-01\n")


def test_header_and_rows_separated_differently(kennel):
    """The header by commas, the rows by semicolons: each row's cells are missing."""
    report = read(kennel, "name,sex,born\nA;f;2024-01-01\n")
    assert problems(report) == [(2, "born"), (2, "sex")]


@pytest.mark.parametrize(
    ("line", "column"),
    [
        (",f,2024-01-01,,,,", "name"),
        ("A,maybe,2024-01-01,,,,", "sex"),
        ("A,,2024-01-01,,,,", "sex"),
        ("A,f,,,,,", "born"),
        ("A,f,2024-02-30,,,,", "born"),
        ("A,f,01/02/2024,,,,", "born"),
        ("A,f,2026-03-03,,,,", "born"),
        ("A,f,1999-01-01,,,,", "born"),
        ("A,f,2024-01-01,2.76098E+14,,,", "chip"),
        ("A,f,2024-01-01,276-098:1,,,", "chip"),
        ("A,f,2024-01-01,,Nobody,,", "dam"),
        ("A,f,2024-01-01,,,Tansy,", "sire"),
        ("A,f,2024-01-01,,,,Nowhere", "pen"),
        ("A,f,2020-01-01,,Tansy,,", "dam"),
        ("Tansy,f,2021-04-03,,,,", "name"),
        ("A,f,2024-01-01,276098100000001,,,", "chip"),
        ("ñ" * 201 + ",f,2024-01-01,,,,", "name"),
    ],
)
def test_each_problem_names_row_and_column(kennel, line, column):
    """And the table is not written, not even its good rows."""
    report = read(kennel, GOOD + line + "\n", dry_run=False)
    assert (5, column) in problems(report)
    assert {row for row, _ in problems(report)} == {5}
    assert report.written == 0
    assert desk.snapshot(kennel).dogs == {}


def test_good_rows_are_written_where_problems_are_accepted(kennel):
    """Only when told; a child of a bad row loses that parent, not its place."""
    text = GOOD.replace("Tansy,bitch,2021-04-03", "Tansy,bitch,2021-04-33")
    report = read(kennel, text, dry_run=False, accept_problems=True)
    assert report.written == 1  # Brock; Pip's dam is unknown now
    assert problems(report) == [(2, "born"), (4, "dam")]
    assert [card.name for card in desk.snapshot(kennel).dogs.values()] == ["Brock"]


def test_importing_twice_is_noticed(kennel):
    """Dogs that are in the book are not written again."""
    read(kennel, GOOD, dry_run=False)
    again = read(kennel, GOOD, dry_run=False)
    assert again.written == 0
    assert {row for row, _ in problems(again)} == {2, 3, 4}
    assert len(desk.snapshot(kennel).dogs) == 3


def test_rows_are_counted_as_a_spreadsheet_does(kennel):
    """Empty lines count; a quoted cell may hold a line break."""
    text = 'name,sex,born\n\n"A\nB",f,2024-01-01\nC,?,2024-01-01\n'
    report = read(kennel, text)
    assert [row.row for row in report.rows] == [3]
    assert problems(report) == [(4, "sex")]


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "empty"),
        (b" \n ", "empty"),
        (b"name,sex,born\n", "no dogs"),
        (b"name,sex\nA,f\n", "no column born"),
        (b"name,dog,sex,born\nA,A,f,2024-01-01\n", "mean the same"),
        (b"name,sex,born\nA,f,2024-01-01,x,y\n", "row 2 has 5 cells"),
        (b"name,sex,born\nA\x00,f,2024-01-01\n", "null"),
        (b"PK\x03\x04\xff\xff", "save the sheet as CSV"),
        (b"\x81\x8d\x8f", "no text"),
        (b'name,sex,born\n"' + b"a" * 200_000, "cannot be read"),
        (b"name,sex,born\n" + b"A,f,2024-01-01\n" * 2001, "2000 at once"),
        (b"x" * (2 * 1024 * 1024 + 1), "is the most"),
    ],
)
def test_what_is_no_table_is_refused(kennel, data, says):
    """One sentence, and what to do."""
    with pytest.raises(BadInput, match=says):
        read(kennel, data)


def test_emoji_quotes_and_long_names(kennel):
    """Kept as typed."""
    name = '🐾 O\'Brien "the" ' + "é" * 180
    quoted = '"' + name.replace('"', '""') + '"'
    report = read(kennel, f"name,sex,born\n{quoted},f,2024-01-01\n", dry_run=False)
    assert report.problems == ()
    assert [card.name for card in desk.snapshot(kennel).dogs.values()] == [name]


@given(
    some.one_of(
        some.binary(max_size=300),
        some.text(alphabet='name,sex;born\t|"\n\r\x00é2024-', max_size=120).map(
            lambda text: ("name,sex,born\n" + text).encode()
        ),
    )
)
def test_any_bytes_are_a_table_or_one_sentence(data):
    """Nothing else comes out of reading a file."""
    try:
        said = read_table(data).rows
    except BadInput as error:
        said = str(error)
    assert 0 < len(said) < 400
