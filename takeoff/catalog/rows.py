"""One catalog: its rows found by key, its columns, and what their texts are converted to."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from takeoff.text.dates import ACCEPTED, day_number
from takeoff.text.problems import nearest

Row = dict[str, object]
NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._/-]*")
"""Keys keep to this: nothing that a spreadsheet's lookup takes for a wildcard, an operator or a date."""

NUMBER = re.compile(r"-?(\d+(\.\d*)?|\.\d+)")
LARGEST = 1e9
"""No quantity of a catalog is larger; a spreadsheet keeps fifteen digits."""

RESERVED = {"all", "none", "free", "panel", "circuit", "best-mix"}
"""Words that stand for something else where a key is named."""

KEY, FIXED_KEY, FIXED = "key", "fixed key", "fixed"
"""Parts that a column plays. Of a fixed key the tool's own formulas use each row by name: rows of the
user change what stands in it, they add none. A fixed column keeps its shipped entries."""


@dataclass(frozen=True)
class ColumnRule:
    """One row of schema.csv: what a catalog column means and accepts."""

    catalog: str
    column: str
    part: str
    kind: str
    minimum: str
    maximum: str
    unit: str
    title: str
    role: str
    description: str
    default: str
    source: str

    def accepted(self) -> str:
        """Say in words what the column accepts, as the second half of an error message."""
        first, _, rest = self.kind.partition(" ")
        most = f" nor above {self.maximum}" if self.maximum else ""
        words = {
            "number": f"a number not under {self.minimum or '0'}{most}, with a decimal point",
            "whole": f"a whole number not under {self.minimum or '0'}",
            "flag": "0 or 1",
            "one": "one of " + ", ".join(rest.split()),
            "words": "words out of " + ", ".join(rest.split()),
            "name": "letters, digits and . _ / - only",
            "phrase": "words that print",
            "date": ACCEPTED,
            "editions": "code editions, separated by spaces",
            "refs": f"keys of {rest.partition('.')[0]}, separated by spaces",
        }
        return words.get(first, "a text")


@dataclass
class Catalog:
    """The rows of one catalog, in file order, found by key; keys that differ by case only are one key."""

    name: str
    columns: list[ColumnRule]
    _by_key: dict[str, Row] = field(default_factory=dict)

    @property
    def rows(self) -> list[Row]:
        """The rows in file order."""
        return list(self._by_key.values())

    @property
    def keys(self) -> list[str]:
        """The keys in file order, as they are spelled."""
        return [str(row["key"]) for row in self]

    @property
    def key_columns(self) -> list[ColumnRule]:
        """The columns that make the key, the editions first."""
        keys = [rule for rule in self.columns if KEY in rule.part]
        return sorted(keys, key=lambda rule: rule.column != "editions")

    def __iter__(self) -> Iterator[Row]:
        return iter(self._by_key.values())

    def __len__(self) -> int:
        return len(self._by_key)

    def __getitem__(self, key: str) -> Row:
        return self._by_key[key.casefold()]

    def __contains__(self, key: object) -> bool:
        return str(key).casefold() in self._by_key

    def lay(self, row: Row) -> None:
        """Add a row, or lay its columns over those of the row with its key, which keeps its spelling."""
        folded = str(row["key"]).casefold()
        old = self._by_key.get(folded, {})
        spelled = {rule.column: old[rule.column] for rule in self.key_columns if rule.column in old}
        if old:
            spelled["key"] = old["key"]
        self._by_key[folded] = {**old, **row, **spelled}

    def laid_over(self, rows: Iterable[Row]) -> Catalog:
        """Return a catalog with these rows laid over those of this one, which stays as it is."""
        more = replace(self, _by_key=dict(self._by_key))
        for row in rows:
            more.lay(row)
        return more

    def without(self, rows: Iterable[Row]) -> Catalog:
        """Return a catalog without these rows of this one, which stays as it is."""
        gone = {str(row["key"]).casefold() for row in rows}
        return replace(self, _by_key={key: row for key, row in self._by_key.items() if key not in gone})

    def texts(self, column: str) -> list[str]:
        """Return the distinct texts of one column, in file order."""
        return list(dict.fromkeys(str(row[column]) for row in self))


Catalogs = Mapping[str, Catalog]


def convert(text: str, rule: ColumnRule, catalogs: Catalogs) -> tuple[object, tuple[str, str] | None]:
    """Return the value of a text by its kind and, where it does not fit, what is wrong and what is accepted."""
    kind, _, rest = rule.kind.partition(" ")
    if not text:
        return "", None if kind == "optional" else ("is blank", rule.accepted())
    if kind in ("number", "whole", "flag"):
        return _convert_number(text, rule, kind)
    if kind == "date":
        day = day_number(text)
        return (0, ("is not a date:", rule.accepted())) if day is None else (day, None)
    if kind == "ref":
        return _convert_reference(text, rest, catalogs)
    if kind == "refs":
        words = [_convert_reference(word, rest, catalogs) for word in text.split()]
        return " ".join(str(word) for word, _ in words), next((wrong for _, wrong in words if wrong), None)
    if kind == "editions":
        wrong = [e for e in text.split() if e not in catalogs["editions"]]
        return text, ("is not a code edition:", nearest(wrong[0], catalogs["editions"].keys)) if wrong else None
    if kind in ("one", "words"):
        chosen = [text] if kind == "one" else text.split()
        return text, None if all(w in rest.split() for w in chosen) else ("is not accepted:", rule.accepted())
    if (kind == "name" or (KEY in rule.part and kind != "phrase")) and not NAME.fullmatch(text):
        return text, ("is not a key:", "letters, digits and . _ / - only")
    return text, None


def _convert_number(text: str, rule: ColumnRule, kind: str) -> tuple[object, tuple[str, str] | None]:
    text = {"yes": "1", "no": "0"}.get(text.casefold(), text) if kind == "flag" else text
    if not NUMBER.fullmatch(text) or (kind == "flag" and text not in ("0", "1")):
        return 0, ("is not accepted:", rule.accepted())
    value = float(text)
    if rule.minimum and value < float(rule.minimum):
        return 0, ("is too small:", rule.accepted())
    most = float(rule.maximum or LARGEST)
    if value > most or value < -LARGEST:
        return 0, ("is too large:", f"at most {most:,.0f}")
    if kind == "whole" and not value.is_integer():
        return 0, ("is not accepted:", rule.accepted())
    return int(value) if value.is_integer() else value, None


def _convert_reference(text: str, rest: str, catalogs: Catalogs) -> tuple[object, tuple[str, str] | None]:
    """Return the text as the catalog that it names spells it."""
    target, _, instead = rest.partition(" or ")
    name, _, column = target.partition(".")
    if instead and text.casefold() == instead:
        return instead, None
    catalog = catalogs[name]
    if text in catalog and str(catalog[text][column]).casefold() == text.casefold():
        return str(catalog[text][column]), None
    known = {word.casefold(): word for word in catalog.texts(column)}
    if text.casefold() in known:
        return known[text.casefold()], None
    return text, (f"is not in the catalog {name}:", nearest(text, known.values()))
