"""What the commands of an addendum make: a build that carries changes, files of changes, two workbooks compared."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from takeoff.addendum.altered import Difference, input_differences, schedule_differences
from takeoff.addendum.carry import Carried, as_edited, carried, folded, place_own
from takeoff.addendum.earlier import Earlier, read_earlier
from takeoff.addendum.edits import Edit, Refused
from takeoff.addendum.lay import INPUT_FILE
from takeoff.addendum.moves import Moves
from takeoff.addendum.tables import change_tables, fates
from takeoff.build import Build, Options
from takeoff.engine.check import check
from takeoff.engine.tables import Book
from takeoff.job.sources import CATALOGS, QUOTES
from takeoff.text.problems import Problem, fail, visible
from takeoff.text.transaction import Transaction
from takeoff.workbook.changes_book import write_changes_book

Step = Callable[[str], None]


@contextmanager
def build_carried(options: Options, old: Path, step: Step = lambda _: None) -> Iterator[tuple[Build, Carried]]:
    """Give a build that carries what was changed by hand in an earlier workbook, with the sheet Changes.

    Parameters
    ----------
    options
        The new build.
    old
        The earlier workbook.
    step
        Called with a word for each stage.

    Raises
    ------
    InputError
        What is wrong with the earlier workbook, or with the new build by itself.
    """
    step("reading the earlier workbook")
    earlier = read_earlier(old)
    step("laying its changes over the new build")
    with carried(options, earlier) as done:
        step("splitting what moved by cause")
        made, _ = change_tables(as_edited(earlier), done.build, fates(done))
        book = done.build.book
        book.add(made)
        check(book)
        notices = [*done.build.notices, *(not_carried(r, earlier.file) for r in done.refused)]
        yield replace(done.build, notices=notices), done


def not_carried(refused: Refused, file: str) -> Problem:
    """Return the notice of a change that has no place in the new build."""
    edit = refused.edit
    place = ", ".join(part for part in (edit.sheet, edit.row if edit.key else "", edit.heading) if part)
    value = edit.shown(edit.edited) if edit.heading else ""
    return Problem(file, None, place, value, "was changed by hand and is not carried:", refused.why, "notice")


def write_edits(old: Path, folder: Path) -> tuple[list[str], Earlier, Sequence[Refused]]:
    """Write what was changed by hand in a workbook as files that a build takes, with those that it was made from.

    Returns
    -------
    The options that name the files, the workbook, and the changes that are in no file, each with why.

    Raises
    ------
    InputError
        The workbook cannot be read, or the folder holds something or cannot be written.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise fail(visible(str(folder)), "exists and is not an empty folder", "give a new name")
    earlier = read_earlier(old)
    laid, refused = place_own(earlier)
    made = folded(laid)
    files = dict.fromkeys([INPUT_FILE] * len(made.inputs), next(iter(made.inputs.values()), ""))
    files |= {f"{CATALOGS}/{name}": text for name, text in made.catalogs.items()}
    files |= {f"{QUOTES}/{name}": text for name, text in made.quotes.items()}
    with Transaction() as written:
        for name, text in files.items():
            written.folder((folder / name).parent)
            written.write_text(folder / name, text)
    named = [f"--inputs {folder / INPUT_FILE}"] if made.inputs else []
    named += [f"--catalogs {folder / CATALOGS}"] if made.catalogs else []
    named += [f"--quote {folder / QUOTES / name}" for name in made.quotes]
    return [*named, *([f"--plans {made.plans}"] if made.plans else [])], earlier, [*refused, *earlier.unread]


@dataclass(frozen=True)
class Compared:
    """Two workbooks compared, each as it stands: what moved, what was changed by hand, what they say differently."""

    old: Earlier
    new: Earlier
    found: Moves
    hand: Sequence[tuple[Edit, str]]
    schedule: Sequence[Difference]
    inputs: Sequence[Difference]
    book: Book


def compare(old: Path, new: Path, step: Step = lambda _: None) -> Compared:
    """Return two workbooks compared, each with what was changed in it by hand.

    Raises
    ------
    InputError
        One of them cannot be read.
    """
    step("reading the workbooks")
    books = [read_earlier(path) for path in (old, new)]
    step("splitting what moved by cause")
    hand: list[tuple[Edit, str]] = []
    for book in books:
        _, refused = place_own(book)
        hand += [(r.edit, f"NOT COUNTED in {book.file}: {r.why}") for r in (*refused, *book.unread)]
        without = {r.edit for r in refused}
        hand += [(e, f"changed by hand in {book.file}") for e in book.edits if e not in without]
    first, last = (as_edited(book) for book in books)
    made, found = change_tables(first, last, hand)
    differ = schedule_differences(first, last), input_differences(first, last)
    return Compared(books[0], books[1], found, hand, *differ, Book(made, {}))


def write_compared(compared: Compared, path: Path) -> None:
    """Write two workbooks compared as a workbook of one sheet."""
    intro = f"{compared.old.file} against {compared.new.file}, each as it stands, with what was changed in it by hand."
    with Transaction() as written, written.writing(path) as staged:
        write_changes_book(compared.book, staged, intro)
