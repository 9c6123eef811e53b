"""Guards of input cells by hand: what typed cells hold that is not accepted, and which cell is named."""

from __future__ import annotations

from takeoff.engine.tables import Book, Field, Table
from takeoff.model.cost.guards import guard_tables

COUNTS = Field("count", "count", role="input", minimum=1, maximum=8, whole=True)
SPARE = Field("spare", "spare", role="input", minimum=1, maximum=8, blank=True)
NOTE = Field("note", "note", role="input", maximum=4)
WORD = Field("word", "word", role="input", choices="red,green")
TEAM = Field("team", "team", role="input", minimum=1, maximum=8, whole=True)


def guarded() -> dict[str, list[object]]:
    """Return count, place, whether open, and named cell of each guarded column."""
    lines = Table(
        "lines",
        "Lines",
        [Field("key", "key", role="key"), COUNTS, SPARE, NOTE, WORD],
        [],
        {
            "key": ["a", "b", "c", "d", "e"],
            "count": [2, 0, 8, 2.5, 9],  # 0 and 9 are outside, 2.5 is broken
            "spare": [2, "", 8, 1, 3],
            "note": ["fine", "four", "", "longer", "b"],
            "word": ["red", "GREEN", "green", "red", "blue"],
        },
    )
    one = Table("one", "One", [Field("key", "key", role="key"), TEAM], [], {"key": ["a"], "team": [2.5]})
    book = Book([lines, one], {})
    tables = guard_tables(book)
    book.add(tables)
    names = ("wrong", "at", "open", "cell")
    return {
        str(title): values
        for table in tables
        if table.columns
        for title, *values in zip(table.data["title"], *(book.values(table.name, n) for n in names), strict=True)
    }


def test_the_first_cell_that_is_not_accepted_is_named() -> None:
    found = guarded()
    assert found["Lines: count"] == [2, 2, 1, "lines.count 2"]
    assert found["Lines: note"] == [2, 3, 1, "lines.note 3"]
    assert found["Lines: word"] == [1, 5, 1, "lines.word 5"]


def test_a_column_that_holds_what_is_accepted_names_no_cell() -> None:
    assert guarded()["Lines: spare"] == [0, 0, 0, "-"]


def test_a_broken_number_alone_opens_the_guard_and_the_one_cell_is_named() -> None:
    assert guarded()["One: team"] == [0, 0, 1, "one.team 1"]
