"""Lines that the user adds to a bid: direct expenses, allowances, alternates, exclusions, and late changes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from takeoff.text.dates import ACCEPTED, NOT_GIVEN, day_number
from takeoff.text.problems import Problems, nearest

BLANK = "-"
"""Kind and text of a line that is still free."""

KINDS = ("direct", "allowance", "alternate", "exclusion")
"""direct: an expense of the job, marked up with it. The others have their own tax, hours and markup; an
alternate counts where it is taken, an exclusion says what is not in the bid and has no money."""

LONGEST_TEXT = 120
LARGEST_USD, MOST_HOURS, LARGEST_PCT = 1e9, 1e6, 1000.0


@dataclass(frozen=True)
class BidLine:
    """One line: material before tax, USD; its own tax and markup, %; hours at the labor rate in force."""

    kind: str = BLANK
    text: str = BLANK
    material_usd: float = 0.0
    tax_pct: float = 0.0
    hours: float = 0.0
    markup_pct: float = 0.0
    taken: str = "no"


@dataclass(frozen=True)
class LateChange:
    """A change on the day of the bid: a day number, what it is, and a signed amount, USD."""

    date: int = 0
    text: str = BLANK
    usd: float = 0.0


@dataclass(frozen=True)
class BidLines:
    """What the inputs file adds to the bid."""

    lines: Sequence[BidLine] = ()
    late: Sequence[LateChange] = ()


LIMITS = {
    "material_usd": (-LARGEST_USD, LARGEST_USD),
    "tax_pct": (0.0, 30.0),
    "hours": (-MOST_HOURS, MOST_HOURS),
    "markup_pct": (0.0, LARGEST_PCT),
    "usd": (-LARGEST_USD, LARGEST_USD),
}
"""Numbers of a line, each with the lowest and the highest accepted."""


def read_bid_lines(lines: object, late: object, file: str) -> BidLines:
    """Return the lines of the tables `lines` and `late_changes` of the inputs file.

    Parameters
    ----------
    lines, late
        Lists of tables, one for each line, as `[[lines]]` and `[[late_changes]]` give them.
    file
        Name of the inputs file, for messages.

    Raises
    ------
    InputError
        Every entry that is not accepted, by table and number of the line.
    """
    problems = Problems(file)
    found = [_line(n, entries, problems) for n, entries in _entries("lines", lines, problems)]
    changes = [_change(n, entries, problems) for n, entries in _entries("late_changes", late, problems)]
    problems.stop_on_errors()
    return BidLines(found, changes)


def _entries(table: str, given: object, problems: Problems) -> list[tuple[int, Mapping[str, object]]]:
    listed = given if isinstance(given, list) else [given]
    for entry in listed:
        if not isinstance(entry, dict):
            problems.error(None, table, str(entry), "is no list of tables:", f"[[{table}]] with lines below it")
    return [(n, entry) for n, entry in enumerate(listed, start=1) if isinstance(entry, dict)]


def _line(number: int, entries: Mapping[str, object], problems: Problems) -> BidLine:
    place = f"lines[{number}]"
    fields = ("kind", "text", "material_usd", "tax_pct", "hours", "markup_pct", "taken")
    _known(place, entries, fields, problems)
    kind, taken = str(entries.get("kind", "")), str(entries.get("taken", "no")).casefold()
    taken = {"true": "yes", "false": "no"}.get(taken, taken)
    if kind not in KINDS:
        problems.error(None, f"{place}.kind", kind, "is no kind of line:", "one of " + ", ".join(KINDS))
    if taken not in ("yes", "no"):
        problems.error(None, f"{place}.taken", taken, "is neither yes nor no:", "yes or no")
    if taken == "yes" and kind != "alternate":
        problems.error(None, f"{place}.taken", taken, "is said of a line that is no alternate:", "leave it out")
    numbers = {name: _number(place, name, entries, problems) for name in fields[2:6]}
    if kind == "exclusion" and any(numbers.values()):
        problems.error(None, place, kind, "has money or hours:", "text only; an exclusion is not in the bid")
    if kind == "direct" and numbers["markup_pct"]:
        problems.error(None, f"{place}.markup_pct", "", "is given for a direct expense", "it is marked up with the job")
    return BidLine(kind, _text(place, entries, problems), **numbers, taken=taken)


def _change(number: int, entries: Mapping[str, object], problems: Problems) -> LateChange:
    place = f"late_changes[{number}]"
    _known(place, entries, ("date", "text", "usd"), problems)
    said = str(entries.get("date", ""))
    day = 0 if said == NOT_GIVEN else day_number(said)
    if day is None:
        problems.error(None, f"{place}.date", said, "is not a date:", ACCEPTED)
    return LateChange(day or 0, _text(place, entries, problems), _number(place, "usd", entries, problems))


def _known(place: str, entries: Mapping[str, object], known: Sequence[str], problems: Problems) -> None:
    for name in entries:
        if name not in known:
            problems.error(None, f"{place}.{name}", "", "is no part of a line", nearest(name, known))


def _text(place: str, entries: Mapping[str, object], problems: Problems) -> str:
    text = str(entries.get("text", "")).strip()
    if not text or not text.isprintable() or len(text) > LONGEST_TEXT:
        problems.error(None, f"{place}.text", text, "is no text of a line:", f"1 to {LONGEST_TEXT} characters")
    return text


def _number(place: str, name: str, entries: Mapping[str, object], problems: Problems) -> float:
    value = entries.get(name, 0)
    low, high = LIMITS[name]
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        problems.error(
            None, f"{place}.{name}", str(value), "is not accepted:", f"a number from {low:,.0f} to {high:,.0f}"
        )
        return 0.0
    return float(value)
