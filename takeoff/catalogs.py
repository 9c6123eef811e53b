"""Load the catalogs, lay the user's own rows over them by key, and validate the whole.

A catalog is a CSV file in `catalogs/`. What its columns mean and accept stands in `schema.csv`, which
validation, the workbook's headings and the documentation read alike. A column `editions` says for
which code editions a row holds; the row is loaded once for each of them, with a column `edition`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from takeoff.problems import Problem, Problems, fail, nearest
from takeoff.textin import read_table

Row = dict[str, object]
NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._/-]*")
"""Keys keep to this: nothing that a spreadsheet's lookup takes for a wildcard, an operator or a date."""


@dataclass(frozen=True)
class ColumnRule:
    """One row of schema.csv: what a catalog column means and accepts."""

    catalog: str
    column: str
    part: str
    kind: str
    minimum: str
    unit: str
    title: str
    role: str
    description: str
    source: str

    def accepted(self) -> str:
        """Say in words what the column accepts, as the second half of an error message."""
        first, _, rest = self.kind.partition(" ")
        words = {
            "number": f"a number not under {self.minimum or '0'}, with a decimal point",
            "flag": "0 or 1",
            "one": "one of " + ", ".join(rest.split()),
            "words": "words out of " + ", ".join(rest.split()),
            "name": "letters, digits and . _ / - only",
            "editions": "code editions, separated by spaces",
        }
        return words.get(first, "a text")


@dataclass
class Catalog:
    """The rows of one catalog, in file order, found by key."""

    name: str
    columns: list[ColumnRule]
    rows: list[Row] = field(default_factory=list)
    by_key: dict[str, Row] = field(default_factory=dict)

    def __iter__(self) -> Iterator[Row]:
        return iter(self.rows)

    def __getitem__(self, key: str) -> Row:
        return self.by_key[key]

    def __contains__(self, key: object) -> bool:
        return key in self.by_key

    def texts(self, column: str) -> list[str]:
        """Return the distinct texts of one column, in file order."""
        return list(dict.fromkeys(str(row[column]) for row in self.rows))


Catalogs = Mapping[str, Catalog]


def areas_cmil(catalogs: Catalogs) -> dict[str, float]:
    """Return the cross section of every conductor size in circular mils, smallest first: sizes compare by it."""
    areas = {str(row["awg"]): float(str(row["area_cmil"])) for row in catalogs["conductors"]}
    return dict(sorted(areas.items(), key=lambda size: size[1]))


def catalog_folder() -> Path:
    """Return the folder of the shipped catalogs: inside an installed package, else beside it."""
    here = Path(__file__).parent
    inside = here / "catalogs"
    return inside if inside.is_dir() else here.parent / "catalogs"


def load_catalogs(overlay: Path | None = None) -> Catalogs:
    """Load every catalog, with the user's rows laid over the shipped ones.

    Parameters
    ----------
    overlay
        Folder with CSV files named as the shipped ones. A row with a known key replaces the columns
        it fills; a row with a new key is added. Rows without a source name the file as theirs.

    Raises
    ------
    InputError
        Every wrong file, column, value, key and reference, in one pass.
    """
    shipped = catalog_folder()
    schema = [ColumnRule(*cells) for _, cells in read_table(shipped / "schema.csv").rows]
    catalogs: dict[str, Catalog] = {}
    for rule in schema:
        catalogs.setdefault(rule.catalog, Catalog(rule.catalog, [])).columns.append(rule)
    found: list[Problem] = []
    for catalog in catalogs.values():
        found += _lay_over(catalog, shipped / f"{catalog.name}.csv", shipped=True)
    for path in _overlay_files(overlay, catalogs, found):
        found += _lay_over(catalogs[path.stem], path, shipped=False)
    for catalog in catalogs.values():
        found += _finish(catalog, catalogs)
    problems = Problems("catalogs")
    problems.found = found
    problems.stop_on_errors()
    return catalogs


def _overlay_files(overlay: Path | None, catalogs: Catalogs, found: list[Problem]) -> list[Path]:
    if overlay is None:
        return []
    if not overlay.is_dir():
        raise fail(str(overlay), "is not a folder", "give a folder with CSV files named as the catalogs")
    files = sorted(overlay.glob("*.csv"))
    for path in files:
        if path.stem not in catalogs or path.stem == "schema":
            known = [c for c in catalogs if c != "schema"]
            found.append(Problem(path.name, None, "", "", "is not a catalog of this tool", nearest(path.stem, known)))
    return [p for p in files if p.stem in catalogs and p.stem != "schema"]


def _lay_over(catalog: Catalog, path: Path, shipped: bool) -> list[Problem]:
    """Merge the rows of one file into a catalog by key; return what is wrong with the file's form."""
    table = read_table(path)
    problems = Problems(table.file)
    known = [rule.column for rule in catalog.columns]
    header = [h.strip().lower() for h in table.header]
    for name in header:
        if name not in known:
            problems.error(1, name or "(blank)", "", "is not a column of this catalog", nearest(name, known))
        if header.count(name) > 1 and name in known:
            problems.error(1, name, "", "stands twice in the header", "one column of each name")
    keys = [rule.column for rule in catalog.columns if rule.part == "key"]
    for missing in (k for k in keys if k not in header):
        problems.error(1, missing, "", "is missing from the header", "the key columns " + ", ".join(keys))
    if problems.found:
        return problems.found
    seen: dict[str, int] = {}
    for number, cells in table.rows:
        if len(cells) > len(header):
            problems.error(number, "", cells[len(header)], "has more cells than the header", "quote text with commas")
            continue
        given = {h: c.strip() for h, c in zip(header, cells, strict=False) if c.strip()}
        given.setdefault("source", "" if shipped else f"user catalog {table.file}, row {number}")
        for row in _editions_of(given):
            key = "|".join(str(row.get("edition" if k == "editions" else k, "")) for k in _edition_first(keys))
            if key.casefold() in seen:
                problems.error(
                    number, keys[0], key, f"has the key of row {seen[key.casefold()]}", "one row for each key"
                )
            seen[key.casefold()] = number
            row = {**catalog.by_key.get(key, {}), **row, "key": key, "_file": table.file, "_row": number}
            catalog.by_key[key] = row
    catalog.rows = list(catalog.by_key.values())
    return problems.found


def _edition_first(keys: list[str]) -> list[str]:
    return sorted(keys, key=lambda k: k != "editions")


def _editions_of(given: dict[str, str]) -> list[Row]:
    if "editions" not in given:
        return [dict(given)]
    return [{**given, "edition": e} for e in given["editions"].split()]


def _finish(catalog: Catalog, catalogs: Catalogs) -> list[Problem]:
    """Convert the texts of a merged catalog to their kinds; return what does not fit."""
    found: list[Problem] = []
    for row in catalog.rows:
        for rule in catalog.columns:
            text = row.get(rule.column, "")
            value, wrong = _convert(str(text), rule, catalogs)
            if wrong:
                file, number = str(row["_file"]), int(str(row["_row"]))
                found.append(Problem(file, number, rule.column, str(text), wrong[0], wrong[1]))
            row[rule.column] = value
    return found


def _convert(text: str, rule: ColumnRule, catalogs: Catalogs) -> tuple[object, tuple[str, str] | None]:
    kind, _, rest = rule.kind.partition(" ")
    if not text:
        return "", None if kind == "optional" else ("is blank", rule.accepted())
    if kind in ("number", "flag"):
        text = {"yes": "1", "no": "0"}.get(text.lower(), text) if kind == "flag" else text
        if not re.fullmatch(r"-?\d+(\.\d*)?", text) or (kind == "flag" and text not in "01"):
            return 0, ("is not accepted:", rule.accepted())
        value = float(text)
        if rule.minimum and value < float(rule.minimum):
            return 0, ("is too small:", rule.accepted())
        return int(value) if value.is_integer() else value, None
    if kind == "ref":
        target, _, instead = rest.partition(" or ")
        name, _, column = target.partition(".")
        if text == instead or any(str(r.get(column)) == text for r in _rows_by_text(catalogs[name], text)):
            return text, None
        return text, (f"is not in the catalog {name}:", nearest(text, catalogs[name].texts(column)))
    if kind == "editions":
        wrong = [e for e in text.split() if e not in catalogs["editions"]]
        return text, ("is not a code edition:", nearest(wrong[0], catalogs["editions"].by_key)) if wrong else None
    if kind in ("one", "words"):
        chosen = [text] if kind == "one" else text.split()
        fits = all(w in rest.split() for w in chosen)
        return text, None if fits else ("is not accepted:", rule.accepted())
    if (kind == "name" or rule.part == "key") and not NAME.fullmatch(text):
        return text, ("is not a key:", "letters, digits and . _ / - only")
    return text, None


def _rows_by_text(catalog: Catalog, text: str) -> list[Row]:
    """Return the row with this key, or all rows where the column is not the whole key."""
    return [catalog.by_key[text]] if text in catalog.by_key else catalog.rows
