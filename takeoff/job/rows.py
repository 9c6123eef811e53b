"""Convert the rows of a schedule one by one, remembering ids and what each circuit said and where."""

from __future__ import annotations

import re

from takeoff.catalog.rows import Catalogs
from takeoff.job.cells import CellReader
from takeoff.job.records import CIRCUIT_COLUMNS, BoxRow, Circuit
from takeoff.text.problems import Problems, nearest

FT_PER_M = 1 / 0.3048
"""The international foot is exactly 0.3048 m (NIST Special Publication 811, appendix B)."""

ROLE = re.compile(r"A|B|C|N|NA|NB|NC|IG|S[1-9]\d?|T[1-9]\d?")
ROLE_HELP = "hots A B C, neutral N (or NA NB NC), legs S1 S2, travelers T1 T2, isolated ground IG"


class RowReader:
    """Converts row after row into boxes and circuits."""

    def __init__(
        self, places: dict[str, int], extra: list[tuple[str, int]], catalogs: Catalogs, problems: Problems
    ) -> None:
        self.places, self.extra, self.catalogs = places, extra, catalogs
        self.cell = CellReader(catalogs, problems)
        self.boxes: list[BoxRow] = []
        self.circuits: dict[str, Circuit] = {}
        self._columns = {place: name for name, place in [*places.items(), *extra]}
        self._ids: dict[str, int] = {}
        self._names: dict[str, Circuit] = {}
        self._said: dict[tuple[str, str], tuple[int, str]] = {}
        self._ratings = sorted({float(str(r["rating_a"])) for r in catalogs["breakers"]})

    def read(self, number: int, cells: list[str], width: int) -> None:
        """Convert one row."""
        self.number = self.cell.row = number
        self.cell.check_row(cells, width, self._columns)
        texts = {name: cells[place].strip() if place < len(cells) else "" for name, place in self.places.items()}
        get = texts.get
        box = BoxRow(
            row=number,
            box=self._box_id(get("box", "")),
            circuit=get("circuit", ""),
            devices=self._devices(get("device", "")),
            run_ft=self._run_ft(texts),
            fed_from=get("fed_from", ""),
            wires=self._roles("wires", get("wires", "")),
            taps=self._roles("taps", get("taps", ""), repeats=True),
            awg=self._awg(get("awg", "")),
            load_va=self.cell.number("load_va", get("load_va", ""), 0, 1e6),
            space=self.cell.one_of("space", get("space", ""), "spaces") or "general",
            area=get("area", ""),
            box_style=self.cell.one_of("box_style", get("box_style", ""), "box_styles"),
            gangs=self.cell.whole("gangs", get("gangs", ""), 0, 12),
            note=get("note", ""),
            extra=[cells[place].strip() if place < len(cells) else "" for _, place in self.extra],
        )
        self.boxes.append(box)
        if not box.circuit:
            self.cell.error("circuit", "", "is blank", "the branch circuit, such as LP1-1")
        else:
            self._circuit(box, texts)

    def _circuit(self, box: BoxRow, texts: dict[str, str]) -> None:
        name = box.circuit
        circuit = self._names.get(name.casefold())
        if circuit is None:
            circuit = Circuit(name, self.number, name.rpartition("-")[0] or name)
            self._names[name.casefold()] = self.circuits[name] = circuit
        box.circuit = circuit.name
        circuit.boxes.append(box)
        for column in CIRCUIT_COLUMNS:
            text = texts.get(column, "")
            if not text:
                continue
            value = self._circuit_value(column, text)
            first = self._said.setdefault((circuit.name, column), (self.number, text))
            if value is not None and first[0] == self.number:
                setattr(circuit, column, value)
                if column == "poles" and (circuit.name, "neutral") not in self._said:
                    circuit.neutral = value == 1
            elif value is not None and self._circuit_value(column, first[1], quiet=True) != value:
                self.cell.error(
                    column,
                    text,
                    f'disagrees with row {first[0]}, which says "{first[1]}":',
                    "one value for the whole circuit",
                )

    def _circuit_value(self, column: str, text: str, quiet: bool = False) -> object:
        if column == "panel":
            return text
        if column in ("neutral", "continuous"):
            return self.cell.yes_no(column, text, quiet)
        if column == "construction":
            return (
                "free" if text.casefold() == "free" else self.cell.one_of(column, text, "constructions", quiet) or None
            )
        if column == "breaker_a":
            value = self.cell.number(column, text, 1, 6000, quiet)
            if value is not None and value not in self._ratings:
                shown = ", ".join(f"{r:g}" for r in self._ratings)
                self.cell.error(column, text, "is not a standard rating:", f"accepted: {shown}", quiet)
                return None
            return value
        if column == "volts":
            return self.cell.number(column, text, 1, 1000, quiet)
        return self.cell.whole(column, text, 1, {"poles": 3, "repeat": 10_000}[column], quiet)

    def _box_id(self, text: str) -> str:
        if not text:
            self.cell.error("box", "", "is blank", "an id that no other box has")
        elif text.casefold() == "panel":
            self.cell.error("box", text, "is reserved:", "another id; panel stands for the panelboard in fed_from")
        elif text.casefold() in self._ids:
            self.cell.error(
                "box", text, f"is the id of row {self._ids[text.casefold()]} too:", "an id that no other box has"
            )
        else:
            self._ids[text.casefold()] = self.number
        return text

    def _devices(self, text: str) -> list[str]:
        keys, known = [k.strip() for k in text.split("+")], self.catalogs["devices"]
        if not text:
            self.cell.error("device", "", "is blank", "device keys joined by +, or junction")
            return []
        for key in keys:
            if key not in known:
                self.cell.error("device", key or text, "is not a device of the catalog:", nearest(key, known.keys))
        return [str(known[k]["key"]) for k in keys if k in known]

    def _run_ft(self, texts: dict[str, str]) -> float:
        column = "run_m" if "run_m" in texts else "run_ft"
        if not texts[column]:
            self.cell.error(column, "", "is blank", "the routed length of the feeding cable")
            return 0.0
        limit = 3000 if column == "run_m" else 10_000
        value = self.cell.number(column, texts[column], 0, limit)
        if value == 0:
            self.cell.error(column, texts[column], "is not a length:", f"more than 0 and up to {limit}")
        return (value or 0.0) * (FT_PER_M if column == "run_m" else 1)

    def _roles(self, column: str, text: str, repeats: bool = False) -> list[str]:
        roles = text.upper().split()
        for role in roles:
            if not ROLE.fullmatch(role):
                self.cell.error(column, role, "is not a conductor role:", ROLE_HELP)
        for role in sorted({r for r in roles if roles.count(r) > 1}) if not repeats else ():
            self.cell.error(column, text, f"names {role} twice:", "each conductor of a cable once")
        return roles

    def _awg(self, text: str) -> str:
        size = re.sub(r"^#|\s*awg$", "", text.casefold()).strip()
        known = self.catalogs["conductors"]
        if size and size not in known:
            self.cell.error("awg", text, "is not a conductor size of the catalog:", nearest(size, known.keys))
        return str(known[size]["key"]) if size in known else ""
