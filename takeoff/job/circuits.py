"""What the rows say of their circuits: each thing once, on any row, and nothing against it on another."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from takeoff.job.cells import TradeReader
from takeoff.job.measures import breaker, voltages
from takeoff.job.records import (
    CIRCUIT_COLUMNS,
    LOOP_COLUMNS,
    LOOP_MOST,
    UNKNOWN,
    WORK_STATES,
    Circuit,
    fact_columns,
)
from takeoff.job.words import bare
from takeoff.text.dates import ACCEPTED, day_number, iso

NUMBERS = re.compile(r"\d+(\s*[,/&-]\s*\d+)*")
"""A circuit that is named by numbers only: those of its panel."""

MARK = re.compile(r"^(#|ckt\.?|cct\.?|circuit)\s*", re.IGNORECASE)
POLES = re.compile(r"[\s-]*p(oles?)?$", re.IGNORECASE)


class CircuitReader:
    """Gathers the circuits; stands at the row of its cell reader."""

    def __init__(self, cell: TradeReader) -> None:
        self.cell = cell
        self.circuits: dict[str, Circuit] = {}
        self._names: dict[str, Circuit] = {}
        self._said: dict[tuple[str, str], tuple[int, str, object]] = {}
        self._numbered: tuple[str, str] = "", ""
        self._joined: tuple[int, str, str] | None = None
        self._ratings = sorted({float(str(r["rating_a"])) for r in cell.catalogs["breakers"]})
        self._facts = fact_columns(cell.catalogs)

    def name_of(self, texts: Mapping[str, str]) -> str:
        """Return the circuit of a row; numbers are joined with the panel given, `LP1` and `3` to `LP1-3`."""
        said, panel = texts.get("circuit", ""), texts.get("panel", "")
        text = MARK.sub("", said)
        if not NUMBERS.fullmatch(text) or "panel" not in texts:
            return said
        if not panel and self._numbered[0] == text:
            return self._numbered[1]
        if not panel:
            if self._joined:
                self.cell.error("panel", "", f"is blank beside the circuit {text}", "the panel that the number is of")
            return said
        name = f"{panel}-{text}"
        self._numbered = text, name
        self._joined = self._joined or (self.cell.row, text, name)
        return name

    def begun(self, name: str) -> bool:
        """Say whether a row above is of a circuit, so that it has a box to go on from."""
        return name.casefold() in self._names

    def panel_of(self, name: str, texts: Mapping[str, str]) -> str:
        """Return the panel of a row's circuit as far as it is known when the row is read."""
        known = self._names.get(name.casefold())
        return texts.get("panel", "") or (known.panel if known else _panel(name))

    def circuit(self, name: str, row: int, texts: Mapping[str, str]) -> Circuit:
        """Return the circuit of a row, with what the row says of it."""
        circuit = self._names.get(name.casefold())
        if circuit is None:
            circuit = Circuit(name, row, self.cell.spelled("panel", _panel(name)))
            self._names[name.casefold()] = self.circuits[name] = circuit
        for column, text, value in self._statements(texts):
            self._say(circuit, column, text, value)
        return circuit

    def placed(self, name: str, row: int, texts: Mapping[str, str], values: Mapping[str, object]) -> Circuit:
        """Return the circuit of a room that a row places: what the row says of it, then what its room type says."""
        circuit = self.circuit(name, row, texts)
        for column, value in values.items():
            text = f"{value:g}" if isinstance(value, float) else str(value)
            self._say(circuit, column, text, value)
        return circuit

    def _say(self, circuit: Circuit, column: str, text: str, value: object) -> None:
        row, first_text, first = self._said.setdefault((circuit.name, column), (self.cell.row, text, value))
        if first != value:
            message = f'disagrees with row {row}, which says "{first_text}":'
            self.cell.error(column, text, message, "one value for the whole circuit")
        else:
            circuit.said[column] = value

    def _statements(self, texts: Mapping[str, str]) -> Iterator[tuple[str, str, object]]:
        for column in (*CIRCUIT_COLUMNS, *self._facts):
            text = texts.get(column, "")
            value = self._value(column, text) if text else None
            if value is not None:
                yield column, text, value
            poles = (breaker(text) or (0, 0))[1] if column == "breaker_a" else 0
            if poles:
                yield "poles", text, poles

    def _value(self, column: str, text: str) -> object:
        cell = self.cell
        if column == "panel":
            return cell.spelled(column, text)
        if column in self._facts:
            return self._answer(column, text)
        if column in ("neutral", "continuous"):
            return cell.yes_no(column, text)
        if column == "construction":
            return "free" if text.casefold() == "free" else cell.word(column, text) or None
        of_its_own = {"work_state": self._state, "breaker_a": self._rating, "volts": self._volts}
        if column in of_its_own:
            return of_its_own[column](text)
        if column in LOOP_COLUMNS:
            return self._reading(column, text)
        if column == "poles":
            text = POLES.sub("", text)
        return cell.whole(column, text, 1, {"poles": 3, "repeat": 10_000}[column])

    def _volts(self, text: str) -> object:
        found = voltages(text)
        if not found:
            self.cell.error("volts", text, "is not a voltage:", "such as 120, 277 V or 208Y/120")
        return found if found and all(self.cell.within("volts", text, v, 1, 1000) for v in found) else None

    def _reading(self, column: str, text: str) -> object:
        """Return what was read of the fault loop."""
        if column == "loop_date":
            day = day_number(text)
            if day is None:
                self.cell.error(column, text, "is not a date:", ACCEPTED)
            return None if day is None else iso(day)
        return self.cell.number(column, text, 0, LOOP_MOST[column])

    def _state(self, text: str) -> str | None:
        found = {bare(state): state for state in WORK_STATES}.get(bare(text))
        if found is None:
            self.cell.error("work_state", text, "is no state of the work:", "accepted: " + ", ".join(WORK_STATES))
        return found

    def _answer(self, column: str, text: str) -> str | None:
        """Return an answer to a fact as its choices spell it; a yes or no in any word for it."""
        choices = str(self.cell.catalogs["facts"][column]["choices"]).split()
        if "yes" in choices and text.casefold() != UNKNOWN:
            said = self.cell.yes_no(column, text)
            return None if said is None else ("no", "yes")[said]
        found = {c.casefold(): c for c in choices}.get(text.casefold())
        if found is None:
            self.cell.error(column, text, "is no answer:", "accepted: " + ", ".join(choices))
        return found

    def _rating(self, text: str) -> float | None:
        found = breaker(text)
        if not found:
            self.cell.error("breaker_a", text, "is not a breaker:", "such as 20, 20A/1P, 30/2 or 2P-30")
        elif found[0] not in self._ratings:
            shown = ", ".join(f"{r:g}" for r in self._ratings)
            self.cell.error("breaker_a", text, "is not a standard rating:", f"accepted: {shown}")
        else:
            return found[0]
        return None

    def finish(self) -> None:
        """Give every circuit what was said of it; of a system of two voltages, that of its poles."""
        for circuit in self.circuits.values():
            for column, value in circuit.said.items():
                if column in self._facts:
                    circuit.facts[column] = str(value)
                else:
                    setattr(circuit, column, value)
            if "neutral" not in circuit.said:
                circuit.neutral = circuit.poles == 1
            volts = circuit.said.get("volts")
            if isinstance(volts, tuple):
                circuit.volts = volts[0] if circuit.poles == 1 else volts[-1]

    def tell(self) -> None:
        """Say once that numbers were joined with their panel."""
        if self._joined:
            row, text, name = self._joined
            message = f"is a number of its panel, taken as {name}, and so are the others:"
            self.cell.problems.notice(row, "circuit", text, message)


def _panel(name: str) -> str:
    return name.rpartition("-")[0] or name
