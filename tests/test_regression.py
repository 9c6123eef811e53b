"""Regression check: no computed column of the sample moves unseen. What is right is tested elsewhere, by hand."""

from __future__ import annotations

from tests.regression import KEPT, book_of_sample, kept_text


def test_every_column_of_the_sample_comes_to_what_is_kept() -> None:
    kept, found = (text.splitlines() for text in (KEPT.read_text(encoding="utf-8"), kept_text(book_of_sample())))
    moved = sorted({f"{line} was" for line in {*kept} - {*found}} | {f"{line} is" for line in {*found} - {*kept}})
    said = "where this is meant: python -m tests.regression, and look at the difference of the file"
    assert not moved, "\n".join([f"{len(moved)} lines differ; {said}", *moved[:40]])
    assert found == kept


def test_a_changed_sign_of_any_plan_is_seen() -> None:
    """Bid less base of one plan, turned: its line is another one, and no other of the table is."""
    book = book_of_sample()
    kept = kept_text(book).splitlines()
    place = "totals", "difference"
    book._arrays[place] = -1 * book.values(*place)
    found = kept_text(book).splitlines()
    assert [a.split(",")[:2] for a, b in zip(kept, found, strict=True) if a != b] == [list(place)]
