"""The columns of a schedule by the user's headings: known ones, aliases, facts in disguise, columns carried through."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from difflib import get_close_matches

from takeoff.job.measures import breaker, length_ft, size_awg
from takeoff.job.records import BOX_COLUMNS, CIRCUIT_COLUMNS, Reading, fact_columns
from takeoff.job.words import Words, bare, tokens
from takeoff.text.headings import plain, read_header
from takeoff.text.problems import Problems
from takeoff.text.read import RawTable

MOST_EXTRA = 200
"""Columns carried through: more are no schedule."""

LENGTHS = ("run_ft", "run_m", "home_run_ft")

MOSTLY = 0.6
"""A column of which this share of the entries reads as a fact looks like one."""

Columns = tuple[dict[str, int], list[tuple[str, int]]]
"""The place of each known column by name, and the other columns by heading."""


def read_columns(table: RawTable, words: Words, reading: Reading, problems: Problems) -> Columns:
    """Return where each column stands."""
    ignored = {bare(title) for title in reading.ignored}
    heard = [h for h in table.header if bare(h) and bare(h) not in ignored]
    known = (*BOX_COLUMNS, *CIRCUIT_COLUMNS, *fact_columns(words.catalogs))
    ours = {plain(c): c for c in known if bare(c) not in ignored}
    bared = {bare(name): name for name in ours.values()}
    meant = {plain(h): words.means("heading", h) or bared.get(bare(h), "") for h in heard if plain(h) not in ours}
    said = {heading: name for heading, name in meant.items() if name}
    places, extra = read_header(table, {**said, **ours}, problems)
    problems.titles = {name: " ".join(table.header[at].split()) for name, at in places.items()}
    problems.titles = {name: title for name, title in problems.titles.items() if plain(title) in said}
    row = table.header_row
    _needed(table, places, extra, words, problems)
    if len(extra) > MOST_EXTRA:
        problems.error(row, "", str(len(extra)), "columns that are not used:", f"at most {MOST_EXTRA}")
    elif extra:
        names = ", ".join(name for name, _ in extra)
        problems.notice(row, "", names, "columns carried through to the workbook but not used:")
    for title in reading.ignored:
        if bare(title) not in {bare(h) for h in table.header}:
            problems.notice(row, "", title, "is named in ignore_columns and stands in no heading:")
    if problems.titles:
        shown = ", ".join(f'"{title}" as {name}' for name, title in problems.titles.items())
        problems.notice(row, "", "", f"headings taken: {shown}")
    if "room" in places and "area" in places:
        extra.append((" ".join(table.header[places["room"]].split()), places["room"]))
    return places, extra


def check_carried(
    table: RawTable, extra: Iterable[tuple[str, int]], words: Words, reading: Reading, problems: Problems
) -> None:
    """Report columns that are not known, but whose name or entries look like a fact the tool uses.

    The user renames such a column, or says that it holds no such fact.
    """
    ignored = {bare(title) for title in reading.ignored}
    for title, at in extra:
        entries = _entries(table, at)
        if bare(title) in ignored or not entries or words.means("heading", title) == "room":
            continue
        name, why = _looks_like(title, entries, words)
        if name:
            message = f"is not a column of the schedule, but {why} like {name}, such as"
            accepted = f'rename it, or say that it is none of the kind: ignore_columns = "{title}"'
            problems.error(table.header_row, title, entries[0], f"{message}:", accepted)


def _needed(
    table: RawTable, places: dict[str, int], extra: list[tuple[str, int]], words: Words, problems: Problems
) -> None:
    """Report the columns that must be there and are not, or that stand beside one another."""
    for name in ("circuit", "device"):
        if name not in places:
            like = [title for title, at in extra if _looks_like(title, _entries(table, at), words)[0] == name]
            like = like or get_close_matches(name, [title for title, _ in extra], 1)
            found = f"found: {', '.join(h for h in table.header if h.strip())}"
            accepted = f'rename "{like[0]}", which looks like it' if like else found
            problems.error(table.header_row, name, "", "is missing from the header", accepted)
    if "run_ft" in places and "run_m" in places:
        problems.error(table.header_row, "run_m", "", "stands beside run_ft", "the length in one unit only")
    elif not any(name in places for name in LENGTHS):
        problems.error(table.header_row, "run_ft", "", "is missing from the header", "a column run_ft or run_m")


def _entries(table: RawTable, at: int) -> list[str]:
    return [text for _, cells in table.rows if at < len(cells) and (text := cells[at].strip())]


def _looks_like(title: str, entries: Sequence[str], words: Words) -> tuple[str, str]:
    """Return the column that an unknown one looks like, and what of it does."""
    for word in tokens(title):
        if name := words.means("fact", word):
            return name, "its name looks"
    for name, fits in _contents(words).items():
        if entries and sum(map(fits, entries)) >= MOSTLY * len(entries):
            return name, "its entries look"
    return "", ""


def _contents(words: Words) -> dict[str, Callable[[str], bool]]:
    """Return what tells an entry of a column from a mere number or remark."""

    def unit_of(word: str) -> str:
        return words.means("unit", word)

    return {
        "device": lambda text: all(words.key_of("device", part) for part in text.split("+")),
        "space": lambda text: bool(words.key_of("space", text)) and text.casefold() != "none",
        "construction": lambda text: bool(words.key_of("construction", text)),
        "breaker_a": lambda text: bool(breaker(text) and (breaker(text) or (0, 0))[1]) and not text.isdigit(),
        "awg": lambda text: bool(size_awg(text)) and not text.isdigit(),
        "run_ft": lambda text: length_ft(text, "ft", unit_of) is not None and not text.replace(".", "").isdigit(),
    }
