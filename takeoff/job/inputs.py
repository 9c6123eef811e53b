"""The inputs of a build: shipped defaults, overridden by a TOML file, overridden by NAME=VALUE.

Which inputs exist, what they accept and what they mean stands in `catalogs/inputs.csv`.
"""

from __future__ import annotations

import datetime as dt
import re
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path

from takeoff.catalog.plans import plans_named, shown_plans
from takeoff.catalog.rows import Catalogs, Row
from takeoff.catalog.stock import STOCKED
from takeoff.job.records import Reading
from takeoff.text.dates import ACCEPTED, NOT_GIVEN, day_number
from takeoff.text.problems import Gather, InputError, Problem, Problems, fail, nearest, visible
from takeoff.text.read import decode, read_bytes

LONGEST_TEXT = 120
"""Characters of an input that is a text: it is shown on one line."""

LONGEST_NUMBER = 10_000
"""Bits of a whole number in an inputs file: it can still be shown."""

PLANS, AREAS, CIRCUITS, BOXES, LINES, LATE = "plans", "areas", "circuits", "boxes", "lines", "late_changes"
PLAN_KEYS = "plans.plan"
"""Names the plans, where an input chooses one: by key, or by title as sheets show it."""

NO_INPUTS = (PLANS, AREAS, CIRCUITS, BOXES, LINES, LATE, STOCKED)
"""Tables of an inputs file that hold no inputs."""

Inputs = Mapping[str, str | int | float]


def load_inputs(catalogs: Catalogs, file: Path | None = None, sets: Sequence[str] = ()) -> Inputs:
    """Return every input by name; see `read_inputs`.

    Raises
    ------
    InputError
        Every unknown name and every value outside what the input accepts.
    """
    values, found = read_inputs(catalogs, file, sets)
    if found:
        raise InputError(found)
    return values


def read_inputs(catalogs: Catalogs, file: Path | None, sets: Sequence[str]) -> tuple[Inputs, list[Problem]]:
    """Return every input by name, and what is wrong; an input that is wrong has its default.

    Parameters
    ----------
    catalogs
        Loaded catalogs; `inputs` holds names, defaults and limits.
    file
        TOML file with `name = value` lines.
    sets
        `NAME=VALUE` texts from the command line; the last one of a name counts.

    Raises
    ------
    InputError
        Every default of the catalog that is not accepted.
    """
    values = _defaults(catalogs)
    found: list[Problem] = []
    if file is not None:
        problems = Problems(visible(file.name))
        gather = Gather()
        for name, value in (gather.result_of(lambda: read_toml(file)) or {}).items():
            if name == PLANS and not isinstance(value, dict):
                accepted = 'a table [plans] with lines such as mine = ["mc-wire", "emt-wire"]'
                problems.error(None, name, _toml_text(value) or "", "is no table of plans:", accepted)
            if name in NO_INPUTS:
                continue
            _apply(values, catalogs, problems, name, _toml_text(value))
        found += [*gather.found, *problems.found]
    problems = Problems("--set")
    for text in sets:
        name, equals, value = text.partition("=")
        if not equals:
            problems.error(None, "", text, "is not of the form NAME=VALUE:", "for example code_edition=2020")
        else:
            _apply(values, catalogs, problems, name.strip(), value.strip())
    return values, found + problems.found


def names_stated(file: Path | None, sets: Sequence[str]) -> frozenset[str]:
    """Return the inputs that the user gave a value, in a file or on the command line, as their catalog spells them."""
    names = [*(read_toml(file) if file else ()), *(text.partition("=")[0].strip() for text in sets)]
    return frozenset(name.casefold() for name in names)


def _defaults(catalogs: Catalogs) -> dict[str, str | int | float]:
    """Return the values of the catalog; a row of the user may be wrong."""
    values: dict[str, str | int | float] = {}
    found: list[Problem] = []
    for row in catalogs["inputs"]:
        values[str(row["key"])], wrong = _convert(row, str(row["value"]), catalogs)
        if wrong:
            place = str(row["_file"]), int(str(row["_row"]))
            found.append(Problem(*place, "value", str(row["value"]), f"is not accepted for {row['key']}:", wrong))
    if found:
        raise InputError(found)
    return values


def choices_of(row: Row, catalogs: Catalogs) -> list[str]:
    """Return the values that a choice input accepts, from its list or from the catalog column it names."""
    text = str(row["choices"])
    catalog, _, column = text.partition(".")
    return catalogs[catalog].texts(column) if column else text.split()


def _apply(
    values: dict[str, str | int | float], catalogs: Catalogs, problems: Problems, name: str, text: str | None
) -> None:
    if name not in catalogs["inputs"]:
        problems.error(None, name, text or "", "is not an input:", nearest(name, catalogs["inputs"].keys))
        return
    if text is None:
        problems.error(None, name, "", "is neither a text, a number nor true or false", "one value for each name")
        return
    row = catalogs["inputs"][name]
    value, wrong = _convert(row, text, catalogs)
    if wrong:
        problems.error(None, name, text, "is not accepted:", wrong)
    else:
        values[str(row["key"])] = value


def _convert(row: Row, text: str, catalogs: Catalogs) -> tuple[str | int | float, str]:
    """Return the value of one input and, where it is not accepted, what would be."""
    if row["kind"] == "number":
        low, high = float(str(row["minimum"])), float(str(row["maximum"]))
        accepted = f"a number from {low:g} to {high:g} {row['unit']}"
        if not re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?", text, re.IGNORECASE | re.ASCII):
            return text, accepted
        number = float(text)
        if not low <= number <= high:
            return text, accepted
        return int(number) if number.is_integer() else number, ""
    if row["kind"] == "date":
        day = 0 if text.casefold() == NOT_GIVEN else day_number(text)
        return (text, f"{ACCEPTED}, or {NOT_GIVEN}") if day is None else (day, "")
    if row["kind"] == "choice":
        choices = choices_of(row, catalogs)
        known, said = {c.casefold(): c for c in choices}, text.casefold()
        exact = known.get(said) or known.get({"true": "yes", "false": "no"}.get(said, ""))
        if row["choices"] == PLAN_KEYS and not exact:
            named = plans_named(text, catalogs)
            return (named[0], "") if len(named) == 1 else (text, "one of " + ", ".join(shown_plans(catalogs)))
        return (exact, "") if exact else (text, "one of " + ", ".join(choices))
    if not text or not text.isprintable() or len(text) > LONGEST_TEXT:
        return text, f"a text of at most {LONGEST_TEXT} characters that print"
    return text, ""


def _toml_text(value: object) -> str | None:
    if isinstance(value, bool):
        return "true" if value else "false"  # as the file says it; a choice takes it for yes and no
    if isinstance(value, list) and value and all(isinstance(text, str) for text in value):
        return ", ".join(value)
    return str(value) if isinstance(value, str | int | float | dt.date) else None


def reading_of(inputs: Inputs, catalogs: Catalogs) -> Reading:
    """Return what the inputs say of reading the schedule: columns without a fact, feet between boxes of a count."""
    kinds = [kind for kind in catalogs["devices"].texts("device_kind") if f"next_{kind}_ft" in inputs]
    spaced = {kind: float(inputs[f"next_{kind}_ft"]) for kind in kinds}
    named = [title.strip() for title in str(inputs["ignore_columns"]).split(",")]
    return Reading([title for title in named if title and title.casefold() != "none"], spaced)


def read_toml(file: Path) -> dict[str, object]:
    """Return what an inputs file holds.

    Raises
    ------
    InputError
        It cannot be read, or is not valid TOML.
    """
    name = visible(file.name)
    text = decode(name, read_bytes(file))
    lines = 'lines such as labor_rate_usd_per_h = 80 or make_up = "through"'
    try:
        found = tomllib.loads(text)
        _refuse_long_numbers(found)
        return found
    except tomllib.TOMLDecodeError as reason:
        raise fail(name, f"is not valid TOML: {reason}", lines) from None
    except (ValueError, RecursionError):
        raise fail(name, "holds a number too long or tables nested too deep", lines) from None


def tables_of(file: Path | None) -> dict[str, object]:
    """Return what an inputs file holds; one that cannot be read is reported where its inputs are."""
    try:
        return read_toml(file) if file else {}
    except InputError:
        return {}


def _refuse_long_numbers(value: object) -> None:
    """Raise ValueError where a table holds a whole number that no decimal text can show."""
    if isinstance(value, dict | list):
        for part in value.values() if isinstance(value, dict) else value:
            _refuse_long_numbers(part)
    elif isinstance(value, int) and value.bit_length() > LONGEST_NUMBER:
        raise ValueError("a number too long")
