"""Convert the texts of one row, reporting what cannot be converted with its row and column."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from takeoff.catalog.rows import Catalogs
from takeoff.job.measures import length_ft, load_va
from takeoff.job.words import SAID, Words, bare, candidates
from takeoff.text.problems import Problems, nearest

YES = {
    **dict.fromkeys(("yes", "y", "true", "1"), True),
    **dict.fromkeys(("no", "n", "false", "0"), False),
}

LENGTHS = "such as 85, 85', 12'-6\", 85 ft or 26 m"

LONGEST_TEXT = 32_000
"""Characters of an entry; a cell of a worksheet holds 32,767."""

CONTROL_SPACES = "\x0b\x0c\x1c\x1d\x1e\x1f\x85"
"""Control characters that Python takes for spaces."""


ROLE = re.compile(r"A|B|C|N|NA|NB|NC|IG|S[1-9]\d?|T[1-9]\d?|D[12]")
ROLE_HELP = "hots A B C, neutral N (or NA NB NC), legs S1 S2, travelers T1 T2, isolated ground IG, control pair D1 D2"


class CellReader:
    """Converts cells of the row it stands at."""

    def __init__(self, catalogs: Catalogs, problems: Problems) -> None:
        self.catalogs, self.problems = catalogs, problems
        self.row = 0

    def error(self, column: str, value: str, message: str, accepted: str) -> None:
        """Report something wrong with a cell of the row."""
        self.problems.error(self.row, column, value, message, accepted)

    def check_row(self, cells: Sequence[str], width: int, columns: Mapping[int, str]) -> None:
        """Report cells with characters that cannot be shown, and cells beyond the header.

        Parameters
        ----------
        cells
            The texts of the row.
        width
            How many columns the header has.
        columns
            Names of the columns, by place.
        """
        for place, cell in enumerate(cells):
            self._characters(columns.get(place, f"column {place + 1}"), cell)
        if len(cells) > width:
            spill = ",".join(cells[width:])
            self.error(
                "",
                spill,
                f"has {len(cells)} cells, the header has {width}; too many:",
                "quote text that holds a delimiter",
            )

    def _characters(self, column: str, cell: str) -> None:
        if cell.isprintable() and len(cell) <= LONGEST_TEXT:
            return
        if len(cell) > LONGEST_TEXT:
            self.error(
                column, cell, f"has {len(cell):,} characters:", f"at most {LONGEST_TEXT:,}, a cell holds no more"
            )
        wrong = next((c for c in cell if not c.isprintable() and (not c.isspace() or c in CONTROL_SPACES)), "")
        if wrong:
            self.error(
                column, cell, f"holds the control character U+{ord(wrong):04X}:", "delete it and type the entry again"
            )

    def one_of(self, column: str, text: str, catalog: str) -> str:
        """Return a key as the catalog spells it; nothing where the cell is blank or the key unknown."""
        known = self.catalogs[catalog]
        if text and text not in known:
            self.error(column, text, "is not in the catalog:", nearest(text, known.keys))
        return str(known[text]["key"]) if text in known else ""

    def number(self, column: str, text: str, low: float, high: float) -> float | None:
        """Return a number within limits; None where the cell is blank or holds none."""
        if not text:
            return None
        if not re.fullmatch(r"\d+(\.\d*)?|\.\d+", text):
            self.error(column, text, "is not a number:", "digits with a decimal point, no unit and no thousands mark")
            return None
        return self.within(column, text, float(text), low, high)

    def within(self, column: str, text: str, value: float, low: float, high: float) -> float | None:
        """Return the value of a cell where it is within limits."""
        if low <= value <= high:
            return value
        self.error(column, text, "is out of range:", f"from {low:g} to {high:g}")
        return None

    def whole(self, column: str, text: str, low: int, high: int) -> int | None:
        """Return a whole number within limits; None where the cell is blank or holds none."""
        value = self.number(column, text, low, high)
        if value is not None and not value.is_integer():
            self.error(column, text, "is not a whole number:", f"from {low} to {high}")
            return None
        return None if value is None else int(value)


class TradeReader(CellReader):
    """Converts cells of a schedule, with the words and measures of the trade."""

    def __init__(self, words: Words, problems: Problems) -> None:
        super().__init__(words.catalogs, problems)
        self.words = words
        self._spellings: dict[tuple[str, str], tuple[int, str]] = {}
        self._told: set[tuple[str, str]] = set()

    def spelled(self, column: str, text: str) -> str:
        """Return a name as the first row spells it: names that differ by case only are one."""
        row, first = self._spellings.setdefault((column, text.casefold()), (self.row, text))
        if first != text and (column, text) not in self._told:
            self._told.add((column, text))
            self.problems.notice(self.row, column, text, f'is read as "{first}", as row {row} spells it:')
        return first

    def word(self, column: str, text: str, kind: str = "") -> str:
        """Return a key as its catalog spells it; nothing where the cell is blank or the key not known.

        `kind` is what the words of a column stand for, where it is not named so.
        """
        kind = kind or column
        key = self.words.key_of(kind, text) if text else ""
        if text and not key:
            self.error(column, text, "is not in the catalog:", candidates(self.words, kind, text))
        elif text and text not in self.catalogs[SAID[kind]]:
            self.words.take(self.row, column, text, key)
        return key

    def spaces(self, text: str) -> str:
        """Return the kinds of space of a box, separated by spaces: `patient-care plenum`, `damp + assembly`."""
        whole = self.words.key_of("space", text) if text else ""
        parts = re.split(r"\s*[+,;/&]\s*", text)
        if not whole and len(parts) == 1 and all(self.words.key_of("space", word) for word in text.split()):
            parts = text.split()
        keys = [self.word("space", part) for part in ([text] if whole else parts)]
        return " ".join(dict.fromkeys(key for key in keys if key))

    def devices(self, text: str, poles: int = 0) -> list[str]:
        """Return the keys of the devices in a box; one that depends on the poles of the circuit keeps their place."""
        if not text:
            self.error("device", "", "is blank", "device keys joined by +, or junction")
            return []
        keys: list[str] = []
        for part in (p.strip() for p in text.split("+")):
            key = self.words.key_of("device", part)
            if not key:
                accepted = candidates(self.words, "device", part, poles)
                self.error("device", part or text, "is not a device of the catalog:", accepted)
            elif part not in self.catalogs["devices"]:
                self.words.take(self.row, "device", part, key)
            keys += key.split("+") if key else []
        return keys

    def yes_no(self, column: str, text: str) -> bool | None:
        """Return whether the cell says yes; None where it says neither."""
        said = YES.get(text.casefold(), YES.get(self.words.means("yes_no", text)))
        if said is None:
            self.error(column, text, "is neither yes nor no:", "yes or no")
        return said

    def length(self, column: str, text: str, unit: str, most_ft: float) -> float | None:
        """Return a length in feet, more than nothing; None where the cell is blank or holds none."""
        if not text:
            return None
        value = length_ft(text, unit, lambda word: self.words.means("unit", word))
        if value is None:
            self.error(column, text, "is not a length:", LENGTHS)
        elif value == 0:
            self.error(column, text, "is not a length:", f"more than 0 and up to {most_ft:g} ft")
        else:
            return self.within(column, text, value, 0, most_ft)
        return None

    def size(self, text: str, size: str) -> str:
        """Return a conductor size as the catalog spells it; nothing where the cell is blank or the size not known."""
        known = self.catalogs["conductors"]
        if text and size not in known:
            accepted = f"the size alone, such as #12; {nearest(size or bare(text), known.keys)}"
            self.error("awg", text, "is not a conductor size of the catalog:", accepted)
        return str(known[size]["key"]) if size in known else ""

    def height_in(self, text: str) -> float | None:
        """Return a height in inches; None where the cell is blank or holds none."""
        value = self.length("height_in", text, "in", 200)
        return None if value is None else round(value * 12, 6)

    def load(self, text: str) -> float | None:
        """Return a load in VA; None where the cell is blank or holds none."""
        value = load_va(text) if text else None
        if text and value is None:
            self.error("load_va", text, "is not a load:", "VA, such as 180, 1500 VA or 1.5 kVA")
        return None if value is None else self.within("load_va", text, value, 0, 1e6)

    def roles(self, column: str, text: str, repeats: bool = False) -> list[str]:
        """Return conductor roles; a cable has each once."""
        roles = text.upper().split()
        for role in roles:
            if not ROLE.fullmatch(role):
                self.error(column, role, "is not a conductor role:", ROLE_HELP)
        for role in sorted({r for r in roles if roles.count(r) > 1}) if not repeats else ():
            self.error(column, text, f"names {role} twice:", "each conductor of a cable once")
        return roles
