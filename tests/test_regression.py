"""Regression check: no computed column moves unseen. What is right is tested elsewhere, by hand."""

from __future__ import annotations

from tests.regression import KEPT, OTHERS, SAMPLE, books_kept, kept_text


def test_every_column_comes_to_what_is_kept() -> None:
    kept, found = (text.splitlines() for text in (KEPT.read_text(encoding="utf-8"), kept_text(books_kept())))
    moved = sorted({f"{line} was" for line in {*kept} - {*found}} | {f"{line} is" for line in {*found} - {*kept}})
    said = "where this is meant: python -m tests.regression, and look at the difference of the file"
    assert not moved, "\n".join([f"{len(moved)} lines differ; {said}", *moved[:40]])
    assert found == kept


def test_a_changed_sign_is_seen() -> None:
    """Bid less base of one plan, turned: of the sample its column is another one, of other schedules its table."""
    books = books_kept()
    kept = kept_text(books).splitlines()
    for book in books.values():
        book._arrays["totals", "difference"] = -1 * book.values("totals", "difference")
    found = kept_text(books).splitlines()
    moved = [a.split(",")[:3] for a, b in zip(kept, found, strict=True) if a != b]
    assert moved == [[SAMPLE, "totals", "difference"], *([name, "totals", "all"] for name in OTHERS)]
