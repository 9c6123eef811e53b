"""Changed cells of catalogs as rows of a user's overlay, beside the rows that it has."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from takeoff.addendum.edits import NOT_THERE, Edit
from takeoff.addendum.found import plain_text
from takeoff.build import Build
from takeoff.catalog.rows import Catalog, ColumnRule
from takeoff.job.sources import table_text
from takeoff.text.dates import NOT_GIVEN, iso
from takeoff.text.read import parse_table
from takeoff.workbook.file.reading import Formula, Value

SOURCE = "source"


class Overlays:
    """The user's rows over the catalogs, by file; files that nothing changes stay as they are."""

    def __init__(self, files: Mapping[str, str], fresh: Build) -> None:
        self.files, self.fresh = dict(files), fresh
        self._rows: dict[str, dict[tuple[str, ...], dict[str, str]]] = {}

    def lay(self, edit: Edit, earlier: Build) -> str:
        """Lay a changed cell or an added row over its catalog, or return why it has no place.

        Parameters
        ----------
        edit
            The change.
        earlier
            The build that wrote the workbook: its source goes with a figure.
        """
        catalog = self.fresh.catalogs[edit.table]
        joined = "|".join(edit.key)
        rules = {_shown(rule): rule for rule in catalog.columns}
        if edit.added:
            return self._add(edit, catalog, rules)
        if joined not in catalog:
            return "the new build has no row of this key"
        if edit.column not in rules:
            return "it is no input: what it says is changed by a new build"
        if edit.edited == NOT_THERE and not edit.unit:
            return "it is blank: a blank in a file of yours changes nothing"
        row = self._row(catalog, edit.key)
        row[rules[edit.column].column] = catalog_text(edit.edited, rules[edit.column])
        source = next((rule for rule in catalog.columns if rule.column == SOURCE), None)
        if source and joined in earlier.catalogs[edit.table] and edit.column != SOURCE:
            row.setdefault(SOURCE, str(earlier.catalogs[edit.table][joined][SOURCE]))
        return ""

    def texts(self) -> dict[str, str]:
        """Return every file as text."""
        return {**self.files, **{name: self._text(name) for name in self._rows}}

    def _add(self, edit: Edit, catalog: Catalog, rules: Mapping[str, ColumnRule]) -> str:
        if not all(edit.key):
            return "a row was added without " + ", ".join(rule.title for rule in catalog.key_columns)
        if any(isinstance(value, Formula) for value in edit.added.values()):
            return "a row was added that holds a formula or an error: type a value"
        row = self._row(catalog, edit.key)
        row.update({rules[n].column: catalog_text(v, rules[n]) for n, v in edit.added.items() if n in rules})
        return ""

    def _row(self, catalog: Catalog, key: tuple[str, ...]) -> dict[str, str]:
        """Return the user's row of a key, a new one where there is none."""
        name = next((n for n in self.files if _stem(n) == catalog.name), f"{catalog.name}.csv")
        if name not in self._rows:
            self._rows[name] = dict(_rows_of(name, self.files.get(name, ""), catalog))
        folded = tuple(part.casefold() for part in key)
        columns = [rule.column for rule in catalog.key_columns]
        return self._rows[name].setdefault(folded, dict(zip(columns, key, strict=True)))

    def _text(self, name: str) -> str:
        rows = list(self._rows[name].values())
        catalog = self.fresh.catalogs[_stem(name)]
        used = [rule.column for rule in catalog.columns if any(rule.column in row for row in rows)]
        lines = [used, *([row.get(column, "") for column in used] for row in rows)]
        return table_text(list(enumerate(lines, start=1)))


def catalog_text(value: Value, rule: ColumnRule) -> str:
    """Return what was typed as a catalog file has it: no exponents, dates by year, month and day."""
    kind = rule.kind.partition(" ")[0]
    if kind == "date" and isinstance(value, int | float):
        return iso(value).replace(NOT_GIVEN, "0")
    if value == NOT_THERE:
        return "0" if kind in ("number", "whole", "flag") else ""
    text = plain_text(value)
    return f"{value:.12f}".rstrip("0") if isinstance(value, float) and "e" in text else text


def _shown(rule: ColumnRule) -> str:
    """Return the name of a column on its sheet: a row stands there once for each edition."""
    return "edition" if rule.column == "editions" else rule.column


def _stem(name: str) -> str:
    return name.rpartition(".")[0].casefold()


def _rows_of(name: str, text: str, catalog: Catalog) -> Iterator[tuple[tuple[str, ...], dict[str, str]]]:
    """Yield the rows of a file by key, each once for every edition it holds for, with the source it has by default."""
    if not text:
        return
    table = parse_table(name, text.encode())
    header = [h.strip().casefold() for h in table.header]
    for number, cells in table.rows:
        row = {h: c.strip() for h, c in zip(header, cells, strict=False) if c.strip()}
        row.setdefault(SOURCE, f"user catalog {name}, row {number}")
        for edition in row.get("editions", "").split() or [""]:
            of_edition = {**row, "editions": edition} if edition else row
            yield tuple(of_edition.get(r.column, "").casefold() for r in catalog.key_columns), dict(of_edition)
