"""Convert the rows of a schedule one by one, remembering ids and what each circuit said and where."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from takeoff.job.cells import TradeReader
from takeoff.job.circuits import CircuitReader
from takeoff.job.measures import breaker, size_awg
from takeoff.job.pairs import check_pair
from takeoff.job.placing import Placing, place_room
from takeoff.job.records import BOX_COLUMNS, PANEL, PULLED, RUN_STATES, RUNS_APART, BoxRow, Circuit, Reading, Room
from takeoff.job.words import POLES, Words, bare
from takeoff.text.problems import Problems, nearest
from takeoff.text.words import normal

OF_A_BOX = ("circuit", "device", "run_ft", "run_m", "home_run_ft", "room", "box")
"""A row without any of these is none of a box."""

PLACES = ("circuit", "room", "count", "home_run_ft", "run_ft", "run_m", "next_ft", "fed_from", "area", "note")
"""What a row that places a room says, beside what holds for its circuits."""

LONGEST_RUN_FT = 10_000
MOST_BOXES = 10_000
"""Of one row, by its count."""


class RowReader:
    """Converts row after row into boxes and circuits."""

    def __init__(
        self,
        places: dict[str, int],
        extra: list[tuple[str, int]],
        words: Words,
        problems: Problems,
        reading: Reading,
    ) -> None:
        self.places, self.extra, self.reading, self.problems = places, extra, reading, problems
        self.catalogs = words.catalogs
        self.cell = TradeReader(words, problems)
        self.lines = CircuitReader(self.cell)
        self.boxes: list[BoxRow] = []
        self.counts: dict[int, int] = {}
        self._columns = {place: name for name, place in [*places.items(), *extra]}
        self._ids: dict[str, int] = {}
        self._chains: dict[str, tuple[str, str]] = {}
        self._ceilings: dict[str, tuple[int, float]] = {}
        self._made: list[str] = []
        self._numbers: Counter[str] = Counter()
        self._spaced: dict[str, int] = {}
        self._placed: dict[str, int] = {}

    @property
    def circuits(self) -> dict[str, Circuit]:
        """The circuits by name, in order of appearance."""
        return self.lines.circuits

    def read(self, number: int, cells: list[str], width: int) -> None:
        """Convert one row into its boxes: one, or as many as its count says, or those of the rooms that it places."""
        self.number = self.cell.row = number
        self.cell.check_row(cells, width, self._columns)
        texts = {name: normal(cells[place]) if place < len(cells) else "" for name, place in self.places.items()}
        extra = [normal(cells[place]) if place < len(cells) else "" for _, place in self.extra]
        if not any(texts.get(column) for column in OF_A_BOX):
            said = " ".join(cell.strip() for cell in cells if cell.strip())
            message = "has neither circuit nor device nor length:"
            self.cell.error("", said, message, "delete it where it is a total or a title")
            return
        name = self.lines.name_of(texts)
        asked = texts.get("room", "") if not texts.get("device") else ""
        room = self.reading.rooms.get(asked.casefold())
        count = self.cell.whole("count", texts.get("count", ""), 1, MOST_BOXES) or 1
        self.counts[number] = count * (sum(len(c.boxes) for c in room.circuits) if room else 1)
        if room:
            self._place(room, count, name, texts, extra)
            return
        if asked and self.reading.rooms:
            known = [one.name for one in self.reading.rooms.values()]
            self.cell.error("room", asked, "is no room type:", f"{nearest(asked, known)}; or the device of the box")
            return
        box = self._box(name, texts, extra)
        circuit = self.lines.circuit(name, number, texts) if name else None
        chain = self._chain(box, count, texts)
        self.boxes += chain
        if circuit:
            for one in chain:
                one.circuit = circuit.name
                circuit.boxes.append(one)

    def _box(self, circuit: str, texts: dict[str, str], extra: list[str]) -> BoxRow:
        get = texts.get
        if not circuit:
            self.cell.error("circuit", "", "is blank", "the branch circuit, such as LP1-1")
        poles = next((b[1] for b in [breaker(get("breaker_a", ""))] if b), 0) or get("poles", "")
        before = len(self.problems.found)
        wires = self.cell.roles("wires", get("wires", ""))
        read = len(self.problems.found) == before
        box = BoxRow(
            row=self.number,
            box=get("box", ""),
            circuit=circuit,
            devices=self.cell.devices(get("device", ""), int(poles) if str(poles) in ("1", "2", "3") else 0),
            run_ft=self._run_ft(circuit, texts),
            fed_from=get("fed_from", "") or (PANEL if get("home_run_ft") else ""),
            wires=wires,
            taps=self.cell.roles("taps", get("taps", ""), repeats=True),
            awg=self.cell.size(get("awg", ""), size_awg(get("awg", ""))),
            load_va=self.cell.load(get("load_va", "")),
            control_awg=size_awg(get("control_awg", "")) or get("control_awg", ""),
            control_apart=bool(get("control_ft")),
            control_ft=self._control_ft(get("control_ft", "")),
            space=self.cell.spaces(get("space", "")) or "general",
            area=self.cell.spelled("area", get("area", "") or get("room", "")),
            box_style=self.cell.word("box_style", get("box_style", "")),
            gangs=self.cell.whole("gangs", get("gangs", ""), 0, 12),
            note=get("note", ""),
            extra=extra,
            height_in=self.cell.height_in(get("height_in", "")),
            run_construction=self.cell.word("run_construction", get("run_construction", ""), "construction"),
            pulled=self._pulled(get("run_state", "")),
            ceiling_ft=self.cell.length("ceiling_ft", get("ceiling_ft", ""), "ft", 200),
        )
        if read:
            check_pair(box, self.catalogs, self.problems)
        return box

    def _chain(self, box: BoxRow, count: int, texts: dict[str, str]) -> list[BoxRow]:
        """Return the boxes of a row: each after the first hangs on the one before it, `next_ft` away."""
        next_ft = self.cell.length("next_ft", texts.get("next_ft", ""), "ft", LONGEST_RUN_FT)
        if count == 1:
            box.box = self._id(box.box, box.circuit)
            return [box]
        spaced_by = ""
        if next_ft is None and box.devices:
            kind = str(self.catalogs["devices"][box.devices[0].replace(POLES, "1")]["device_kind"])
            kind = kind if kind in self.reading.next_ft else "equipment"  # a motor stands where equipment does
            self._spaced.setdefault(kind, self.number)
            next_ft, spaced_by = self.reading.next_ft.get(kind, 0.0), f"next_{kind}_ft"
        if box.load_va is not None:
            self.problems.notice(self.number, "load_va", texts["load_va"], f"is taken for each of the {count} boxes:")
        named = box.box
        ids = [self._id(f"{named}-{n}" if named else "", box.circuit) for n in range(1, count + 1)]
        if named:
            self._chains[named.casefold()] = ids[0], ids[-1]
        return [
            replace(box, box=one, run_ft=next_ft or 0.0, control_ft=None, fed_from="", spaced_by=spaced_by)
            if n
            else replace(box, box=one)
            for n, one in enumerate(ids)
        ]

    def _place(self, room: Room, count: int, circuit: str, texts: dict[str, str], extra: list[str]) -> None:
        """Add the boxes and circuits of the rooms that the row places."""
        for column in (c for c in BOX_COLUMNS if c not in PLACES and texts.get(c)):
            self.cell.error(
                column, texts[column], f"is not used where the room {room.name} is placed:", "say it in the room type"
            )
        feet = {
            name: self.cell.length(name, texts.get(name, ""), unit, LONGEST_RUN_FT)
            for name, unit in (("run_ft", "ft"), ("run_m", "m"), ("next_ft", "ft"), ("home_run_ft", "ft"))
        }
        if not circuit:
            self.cell.error("circuit", "", "is blank", "the branch circuit, such as LP1-1")
            return
        first = self._placed.get(room.name, 0) + 1
        self._placed[room.name] = first + count - 1
        place = Placing(
            *(self.number, circuit, texts.get("fed_from", ""), range(first, first + count)),
            *(feet["run_m"] or feet["run_ft"], feet["next_ft"], feet["home_run_ft"]),
            *(self.cell.spelled("area", texts.get("area", "") or room.name), texts.get("note", ""), extra),
        )
        for name, values, boxes in place_room(room, place, self.cell.error):
            line = self.lines.placed(name, self.number, texts, values)
            for box in boxes:
                box.circuit, box.box = line.name, self._id(box.box, line.name)
                line.boxes.append(box)
            self.boxes += boxes

    def finish(self) -> None:
        """Settle what the whole schedule decides: devices by poles, voltages, panels named in fed_from, ceilings."""
        self.lines.finish()
        for box in self.boxes:
            self.cell.row = box.row
            circuit = self.circuits.get(box.circuit)
            poles = str(circuit.poles if circuit else 1)
            box.devices = [key.replace(POLES, poles) for key in box.devices]
            box.fed_from = self._fed_from(box.fed_from, circuit.panel if circuit else "")
            if box.ceiling_ft is not None:
                row, first = self._ceilings.setdefault(box.area, (box.row, box.ceiling_ft))
                if first != box.ceiling_ft:
                    message = f"disagrees with row {row}, which says {first:g}:"
                    self.cell.error("ceiling_ft", f"{box.ceiling_ft:g}", message, "one height for the whole area")
        self._neutrals()
        for box in self.boxes:
            box.ceiling_ft = self._ceilings.get(box.area, (0, None))[1]
        self._tell()

    def _neutrals(self) -> None:
        """Give a neutral to circuits of several poles with a device that connects several hots and a neutral."""
        for circuit in self.circuits.values():
            if circuit.poles == 1 or "neutral" in circuit.said or any(box.wires for box in circuit.boxes):
                continue
            roles = {
                key: str(self.catalogs["devices"][key]["roles"]).split() for b in circuit.boxes for key in b.devices
            }
            need = next((k for k, of in roles.items() if of.count("hot") > 1 and "neutral" in of), "")
            if need:
                circuit.neutral = True
                message = f"of {circuit.name} is taken as yes: {need} needs one"
                self.problems.notice(circuit.row, "neutral", "", message)

    def _tell(self) -> None:
        self.cell.words.tell(self.problems)
        self.lines.tell()
        if self._made:
            message = f"boxes without an id: {len(self._made)}, ids made of circuit and number, such as"
            self.problems.notice(None, "box", self._made[0], message, "check --expanded shows them")
        for kind, row in self._spaced.items():
            value = f"{self.reading.next_ft.get(kind, 0):g}"
            message = f"is blank: the boxes of a count are taken as the input next_{kind}_ft says, ft apart:"
            self.problems.notice(row, "next_ft", value, message)

    def _fed_from(self, text: str, panel: str) -> str:
        if text.casefold() in self._ids or not text:
            return text
        said = self.cell.words.means("from", text) or text
        if said == "above":
            return ""
        if bare(said) in (PANEL, bare(panel), PANEL + bare(panel)):
            return PANEL
        if text.casefold() in self._chains:
            first, last = self._chains[text.casefold()]
            self.cell.error("fed_from", text, f"stands for the boxes {first} to {last}:", "one of them")
        return text

    def _id(self, text: str, circuit: str) -> str:
        if not text:
            self._numbers[circuit] += 1
            while f"{circuit}.{self._numbers[circuit]}".casefold() in self._ids:
                self._numbers[circuit] += 1
            text = f"{circuit}.{self._numbers[circuit]}"
            self._made.append(text)
        if text.casefold() == PANEL:
            self.cell.error("box", text, "is reserved:", "another id; panel stands for the panelboard in fed_from")
        elif text.casefold() in self._ids:
            first = self._ids[text.casefold()]
            self.cell.error("box", text, f"is the id of row {first} too:", "an id that no other box has")
        else:
            self._ids[text.casefold()] = self.number
        return text

    def _control_ft(self, text: str) -> float | None:
        """Return the length of a control cable; None where it follows the run."""
        return None if text.casefold() == RUNS_APART else self.cell.length("control_ft", text, "ft", LONGEST_RUN_FT)

    def _pulled(self, text: str) -> bool:
        """Say whether the feeding run of a box is pulled."""
        state = {bare(one): one for one in RUN_STATES}.get(bare(text))
        if text and state is None:
            self.cell.error("run_state", text, "is no state of a run:", "accepted: " + ", ".join(RUN_STATES))
        return state == PULLED

    def _run_ft(self, circuit: str, texts: dict[str, str]) -> float:
        column = "run_m" if "run_m" in texts else "run_ft"
        run, home = texts.get(column, ""), texts.get("home_run_ft", "")
        if run and home:
            accepted = "the run from the panel in one of them; from box to box of a count it is next_ft"
            self.cell.error("home_run_ft", home, f"stands beside {column}:", accepted)
        elif not run and not home and texts.get("next_ft") and self.lines.begun(circuit):
            return self.cell.length("next_ft", texts["next_ft"], "ft", LONGEST_RUN_FT) or 0.0
        elif not run and not home:
            self.cell.error(column, "", "is blank", "the routed length of the feeding cable")
        elif home:
            fed = texts.get("fed_from", "")
            if fed and self._fed_from(fed, self.lines.panel_of(circuit, texts)) != PANEL:
                self.cell.error(
                    "fed_from", fed, "stands beside home_run_ft:", "panel, or blank: a home run begins there"
                )
            return self.cell.length("home_run_ft", home, "ft", LONGEST_RUN_FT) or 0.0
        unit = "m" if column == "run_m" else "ft"
        return self.cell.length(column, run, unit, LONGEST_RUN_FT) or 0.0
