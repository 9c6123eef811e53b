"""Load the catalogs, lay the user's own rows over them by key, and validate the whole.

A catalog is a CSV file in `catalogs/`. What its columns mean and accept stands in `schema.csv`, which
validation, the workbook's headings and the documentation read alike. A column `editions` says for
which code editions a row holds; the row is loaded once for each of them, with a column `edition`.
"""

from __future__ import annotations

from pathlib import Path

from takeoff.catalog.rows import FIXED, FIXED_KEY, NUMBER, Catalog, Catalogs, ColumnRule, Row, convert
from takeoff.text.problems import Problem, Problems, fail, nearest, visible
from takeoff.text.read import RawTable, read_table

LONGEST_TEXT = 1000
"""Characters of a catalog text: a row of the workbook shows no more."""

OTHER_TABLES = {".xlsx", ".xls", ".xlsm", ".ods", ".tsv"}
"""Endings of files that a user may take for catalogs; they are named, not passed over."""


def areas_cmil(catalogs: Catalogs) -> dict[str, float]:
    """Return the cross section of every conductor size in circular mils, smallest first: sizes compare by it."""
    areas = {str(row["awg"]): float(str(row["area_cmil"])) for row in catalogs["conductors"]}
    return dict(sorted(areas.items(), key=lambda size: size[1]))


def catalog_folder() -> Path:
    """Return the folder of the shipped catalogs: inside an installed package, else beside it."""
    here = Path(__file__).parent.parent
    inside = here / "catalogs"
    return inside if inside.is_dir() else here.parent / "catalogs"


def load_catalogs(overlay: Path | None = None, earlier: Path | None = None) -> Catalogs:
    """Load every catalog, with the user's rows laid over the shipped ones.

    Parameters
    ----------
    overlay
        Folder with CSV files named as the shipped ones. A row with a known key replaces the columns
        it fills; a row with a new key is added. Rows without a source name the file as theirs.
    earlier
        Folder with shipped catalogs of an earlier build, which count in place of those of today.

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
    problems = Problems("catalogs")
    for catalog in catalogs.values():
        problems.found += _lay_over(catalog, shipped / f"{catalog.name}.csv", shipped=True)
        if earlier and (earlier / f"{catalog.name}.csv").is_file():
            problems.found += _lay_over(catalog, earlier / f"{catalog.name}.csv", shipped=True)
    for catalog, path in _overlay_files(overlay, catalogs, problems.found):
        problems.found += _lay_over(catalog, path, shipped=False)
    for catalog in catalogs.values():
        problems.found += _finish(catalog, catalogs)
    problems.stop_on_errors()
    return catalogs


def _overlay_files(overlay: Path | None, catalogs: Catalogs, found: list[Problem]) -> list[tuple[Catalog, Path]]:
    """Return the user's files with the catalogs they lie over; name those that are no catalog."""
    if overlay is None:
        return []
    try:
        paths = sorted(overlay.iterdir()) if overlay.is_dir() else None
    except OSError as reason:
        raise fail(visible(str(overlay)), f"cannot be read ({reason.strerror})", "give another folder") from None
    if paths is None:
        raise fail(visible(str(overlay)), "is not a folder", "give a folder with CSV files named as the catalogs")
    files = []
    known = [c for c in catalogs if c != "schema"]
    for path in paths:
        name = path.stem.casefold()
        if path.suffix.casefold() in OTHER_TABLES:
            found.append(Problem(visible(path.name), None, "", "", "is not read", "catalogs are CSV files"))
        elif path.suffix.casefold() == ".csv" and name in known:
            files.append((catalogs[name], path))
        elif path.suffix.casefold() == ".csv":
            found.append(
                Problem(visible(path.name), None, "", "", "is not a catalog of this tool", nearest(name, known))
            )
    return files


def _lay_over(catalog: Catalog, path: Path, shipped: bool) -> list[Problem]:
    """Merge the rows of one file into a catalog by key; return what is wrong with the file's form."""
    table = read_table(path)
    problems = Problems(table.file)
    header = _catalog_header(catalog, table, problems)
    if problems.found:
        return problems.found
    seen: dict[str, int] = {}
    for number, cells in table.rows:
        if len(cells) > len(header):
            problems.error(number, "", cells[len(header)], "has more cells than the header", "quote text with commas")
            continue
        given = {h: c.strip() for h, c in zip(header, cells, strict=False) if c.strip()}
        given.setdefault("source", "" if shipped else f"user catalog {table.file}, row {number}")
        given = {rule.column: rule.default for rule in catalog.key_columns if rule.default} | given
        for row in _editions_of(given):
            key = "|".join(_key_text(rule, row) for rule in catalog.key_columns)
            if key.casefold() in seen:
                problems.error(
                    number, catalog.key_columns[-1].column, key, f"has the key of row {seen[key.casefold()]}",
                    "one row for each key",
                )  # fmt: skip
            seen[key.casefold()] = number
            if not shipped:
                _check_fixed(catalog, key, row, number, problems)
            catalog.lay({**row, "key": key, "_file": table.file, "_row": number})
    return problems.found


def _catalog_header(catalog: Catalog, table: RawTable, problems: Problems) -> list[str]:
    known = [rule.column for rule in catalog.columns]
    header = [h.strip().casefold() for h in table.header]
    for name in dict.fromkeys(header):
        if name not in known:
            problems.error(
                table.header_row, name or "(blank)", "", "is not a column of this catalog", nearest(name, known)
            )
        elif header.count(name) > 1:
            problems.error(table.header_row, name, "", "stands twice in the header", "one column of each name")
    keys = [rule.column for rule in catalog.key_columns if not rule.default]
    for missing in (k for k in keys if k not in header):
        problems.error(
            table.header_row, missing, "", "is missing from the header", "the key columns " + ", ".join(keys)
        )
    return header


def _check_fixed(catalog: Catalog, key: str, row: Row, number: int, problems: Problems) -> None:
    """Report a user's row that adds a key, or changes an entry, on which the tool itself relies."""
    for rule in catalog.columns:
        known = {text.casefold() for text in catalog.texts(rule.column)} if rule.part == FIXED_KEY else set()
        if rule.part == FIXED_KEY and str(row[rule.column]).casefold() not in known:
            message = "has no row of its own here: the tool uses each by name"
            problems.error(
                number, rule.column, str(row[rule.column]), message, nearest(key, catalog.texts(rule.column))
            )
        if rule.part == FIXED and key in catalog and rule.column in row:
            now = catalog[key].get(rule.column, "")
            if row[rule.column] != now:
                problems.error(number, rule.column, str(row[rule.column]), "cannot be changed:", f"accepted: {now}")


def _key_text(rule: ColumnRule, row: Row) -> str:
    """Return one part of a key; a number is spelled in one way."""
    text = str(row.get("edition" if rule.column == "editions" else rule.column, ""))
    if rule.kind.partition(" ")[0] in ("number", "whole") and NUMBER.fullmatch(text):
        return f"{float(text):.15g}"
    return text


def _editions_of(given: dict[str, str]) -> list[Row]:
    if "editions" not in given:
        return [dict(given)]
    return [{**given, "edition": e} for e in given["editions"].split()]


def _finish(catalog: Catalog, catalogs: Catalogs) -> list[Problem]:
    """Convert the texts of a merged catalog to their kinds; return what does not fit."""
    found: list[Problem] = []
    for row in catalog:
        for rule in catalog.columns:
            text = str(row.get(rule.column, "")) or rule.default
            value, wrong = convert(text, rule, catalogs)
            if not text.isprintable() or len(text) > LONGEST_TEXT:
                wrong = "does not print, or is too long:", f"at most {LONGEST_TEXT} characters that print"
            if wrong:
                file, number = str(row["_file"]), int(str(row["_row"]))
                found.append(Problem(file, number, rule.column, text, wrong[0], wrong[1]))
            row[rule.column] = value
    return found
