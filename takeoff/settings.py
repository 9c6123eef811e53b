"""The inputs of a build: shipped defaults, overridden by a TOML file, overridden by NAME=VALUE.

Which inputs exist, what they accept and what they mean stands in `catalogs/inputs.csv`.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path

from takeoff.catalogs import Catalogs, Row
from takeoff.problems import Problems, fail, nearest
from takeoff.textin import decode, read_bytes

Inputs = Mapping[str, str | int | float]


def load_inputs(catalogs: Catalogs, file: Path | None = None, sets: Sequence[str] = ()) -> Inputs:
    """Return every input by name.

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
        Every unknown name and every value outside what the input accepts.
    """
    values = {str(r["name"]): _convert(r, str(r["value"]), catalogs)[0] for r in catalogs["inputs"]}
    if file is not None:
        problems = Problems(file.name)
        for name, value in _read_toml(file).items():
            _apply(values, catalogs, problems, name, _toml_text(value))
        problems.stop_on_errors()
    problems = Problems("--set")
    for text in sets:
        name, equals, value = text.partition("=")
        if not equals:
            problems.error(None, "", text, "is not of the form NAME=VALUE:", "for example code_edition=2020")
        else:
            _apply(values, catalogs, problems, name.strip(), value.strip())
    problems.stop_on_errors()
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
        problems.error(None, name, text or "", "is not an input:", nearest(name, catalogs["inputs"].by_key))
        return
    if text is None:
        problems.error(None, name, "", "is neither a text, a number nor true or false", "one value for each name")
        return
    value, wrong = _convert(catalogs["inputs"][name], text, catalogs)
    if wrong:
        problems.error(None, name, text, "is not accepted:", wrong)
    else:
        values[name] = value


def _convert(row: Row, text: str, catalogs: Catalogs) -> tuple[str | int | float, str]:
    """Return the value of one input and, where it is not accepted, what would be."""
    if row["kind"] == "number":
        low, high = float(str(row["minimum"])), float(str(row["maximum"]))
        accepted = f"a number from {low:g} to {high:g} {row['unit']}"
        try:
            number = float(text)
        except ValueError:
            return text, accepted
        if not math.isfinite(number) or not low <= number <= high:
            return text, accepted
        return int(number) if number.is_integer() else number, ""
    if row["kind"] == "choice":
        choices = choices_of(row, catalogs)
        exact = {c.casefold(): c for c in choices}.get(text.casefold())
        return (exact, "") if exact else (text, "one of " + ", ".join(choices))
    if not text or not text.isprintable():
        return text, "a text on one line"
    return text, ""


def _toml_text(value: object) -> str | None:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value) if isinstance(value, str | int | float) else None


def _read_toml(file: Path) -> dict[str, object]:
    text = decode(file.name, read_bytes(file))
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as reason:
        raise fail(
            file.name, f"is not valid TOML: {reason}", 'lines such as labor_rate_usd_per_h = 80 or make_up = "through"'
        ) from None
