"""What every table of the model is built from: the wired job, its make-up types, the catalogs, the choice."""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from takeoff.catalog.control import IN_BOTH, IN_CABLE, IN_ITS_OWN
from takeoff.catalog.load import areas_cmil
from takeoff.catalog.plans import Plan, construction_titles, titles_of
from takeoff.catalog.rows import KEY, Catalog, Catalogs, ColumnRule
from takeoff.engine.tables import Field
from takeoff.job.bid_lines import BidLines
from takeoff.job.overrides import AS_PLANNED
from takeoff.job.quotes import QuoteLine
from takeoff.job.records import PARTLY
from takeoff.wiring.asked import cases_of_spaces, facts_asked
from takeoff.wiring.circuits import TestedRun, kind_of_stretch, spaces_of, tested_runs
from takeoff.wiring.kinds import pair_of_kind, parts_of_kind
from takeoff.wiring.places import Places
from takeoff.wiring.stretches import Stretch, stretches_of
from takeoff.wiring.tree import Job, WiredBox
from takeoff.wiring.types import Types

INVENTED = "illustrative"
"""The id in the catalog sources with which the source of an invented figure begins."""

MEASURED = "time study"
"""The words with which the source of a measured figure begins."""

FREE = "free"
"""Stands for the construction of a circuit that is not held to one."""

PLANNED = AS_PLANNED
"""What the workbook shows for it."""

NOTHING = "none"
"""Stands where nothing is bought or nothing is found; the price list has a row for it, at 0."""


@dataclass(frozen=True)
class Frame:
    """The givens of one build.

    `plans` are what is compared; `constructions` are those they name, and those that single circuits are held to.
    `stated` are the inputs that the user gave a value. In a frame `of_rest`, what remains, pulled runs need nothing.
    """

    job: Job
    types: Types
    catalogs: Catalogs
    plans: Sequence[Plan]
    quotes: Sequence[QuoteLine] = ()
    places: Places = field(default_factory=Places)
    bid_lines: BidLines = field(default_factory=BidLines)
    stated: frozenset[str] = frozenset()
    of_rest: bool = False

    @cached_property
    def constructions(self) -> list[str]:
        """Constructions that any circuit may be wired in, in the order of the plans."""
        first = (plan.members[0] for plan in self.plans)
        named = (member for plan in self.plans for member in plan.members)
        held = (c.construction for c in self.job.circuits if c.construction != FREE)
        runs = (own for box in self.job.boxes if (own := box.held or box.home))
        return list(dict.fromkeys((*first, *named, *held, *runs)))

    @cached_property
    def compared(self) -> list[str]:
        """Keys of the plans compared."""
        return [plan.key for plan in self.plans]

    @cached_property
    def titles(self) -> dict[str, str]:
        """What the plans compared are called, by key."""
        return dict(zip(self.compared, titles_of(self.plans), strict=True))

    @cached_property
    def called(self) -> dict[str, str]:
        """What the constructions in use are called, by key."""
        return construction_titles(self.catalogs, self.constructions)

    def per_titled(self, stem: str) -> list[tuple[str, str, str]]:
        """Return a column name, the title above it and the key for each plan compared."""
        return [(f"{stem}_{n}", title, plan) for n, (plan, title) in enumerate(self.titles.items(), start=1)]

    def per_compared(self, stem: str) -> list[tuple[str, str]]:
        """Return a column name and the key above it for each plan compared; names hold no key of the user."""
        return [(f"{stem}_{n}", p) for n, p in enumerate(self.compared, start=1)]

    @cached_property
    def pairs(self) -> list[tuple[str, str]]:
        """Each plan compared, with each construction that one of its circuits may be wired in."""
        return [(p, w) for p in self.compared for w in self.constructions]

    @cached_property
    def box_lines(self) -> dict[str, list[object]]:
        """Box number, stretch and plan of every box in each plan compared, stretch by stretch and plan by plan."""
        numbers = {id(box): n for n, box in enumerate(self.job.boxes, start=1)}
        lines = [
            (numbers[id(box)], key, plan)
            for key, stretch in self.stretches.items()
            for plan in self.compared
            for box in stretch.boxes
        ]
        return dict(zip(("no", "stretch_key", "plan"), map(list, zip(*lines, strict=True)), strict=True))

    @cached_property
    def stretches(self) -> dict[str, Stretch]:
        """Stretches by key, circuit by circuit; the first one of a circuit has the key of its circuit."""
        found: dict[str, Stretch] = {}
        for key, boxes in self.boxes_of_circuit.items():
            found |= {f"{key}.{s.place + 1}" if s.place else key: s for s in stretches_of(boxes)}
        return found

    @property
    def changes(self) -> bool:
        """Say whether any circuit may change its construction at a box."""
        return len(self.stretches) > len(self.circuit_keys)

    @cached_property
    def pulled(self) -> bool:
        """Say whether any run is pulled already in a circuit of which others are not."""
        return any(circuit.work_state == PARTLY for circuit in self.job.circuits)

    @cached_property
    def stretch_of_box(self) -> dict[int, str]:
        """Key of the stretch that feeds each box, by the id of the box."""
        return {id(box): key for key, stretch in self.stretches.items() for box in stretch.boxes}

    @cached_property
    def stretch_names(self) -> dict[str, str]:
        """Name of every stretch by its key."""
        return {key: stretch.name for key, stretch in self.stretches.items()}

    def circuit_of(self, stretch: Stretch) -> list[WiredBox]:
        """Return the boxes of the circuit of a stretch."""
        return self.boxes_of_circuit[self.circuit_keys[stretch.circuit.name]]

    @cached_property
    def stretch_circuits(self) -> list[int]:
        """Row of the circuit of every stretch, counted from 1."""
        places = places_of(self.circuit_keys)
        return [places[stretch.circuit.name] + 1 for stretch in self.stretches.values()]

    def runs_tested(self, kind: str) -> list[TestedRun]:
        """Return the kinds of run of a kind of stretch as the rules see them."""
        stretch, spaces = self.alikes[kind], self.catalogs["spaces"]
        return tested_runs(stretch.boxes, self.circuit_of(stretch), [str(r["space"]) for r in spaces if r["jacketed"]])

    def spaces_of(self, kind: str) -> list[str]:
        """Return the kinds of space whose rules hold for a kind of stretch."""
        return spaces_of(self.alikes[kind].boxes)

    @cached_property
    def lines_of(self) -> dict[str, array[int]]:
        """Lines of the boxes in each plan compared, counted from 1, in the order of the boxes."""
        found = {plan: array("l", [0]) * len(self.job.boxes) for plan in self.compared}
        for n, (no, plan) in enumerate(zip(self.box_lines["no"], self.box_lines["plan"], strict=True)):
            found[str(plan)][int(str(no)) - 1] = n + 1
        return found

    @cached_property
    def alike_of(self) -> dict[str, str]:
        """Key of the kind of circuit, by key of the stretch: they are alike where every rule sees the same in them."""
        kinds: dict[tuple[object, ...], str] = {}
        found: dict[str, str] = {}
        for key, stretch in self.stretches.items():
            rules = kind_of_stretch(stretch.boxes, self.circuit_of(stretch))
            mine = (*rules, *(tuple(plan.members_for(key)) for plan in self.plans))
            found[key] = kinds.setdefault(mine, f"K{len(kinds) + 1:03}")
        return found

    @cached_property
    def tested_runs(self) -> dict[TestedRun, int]:
        """Kinds of run as the rules see them, with the place of each, counted from 1."""
        found = dict.fromkeys(run for kind in self.alikes for run in self.runs_tested(kind))
        return {run: n for n, run in enumerate(found, start=1)}

    @cached_property
    def cases_of_spaces(self) -> dict[tuple[str, str], str]:
        """What decides on a kind of space, by construction in use and space, where a fact does."""
        return cases_of_spaces(self.catalogs, self.constructions)

    @cached_property
    def facts_asked(self) -> dict[tuple[str, str], str]:
        """Answers as far as they are known, by kind of circuit and fact, in the order of the kinds."""
        cases = self.cases_of_spaces
        asked = {
            kind: facts_asked(s.boxes, self.circuit_of(s), self.catalogs, cases) for kind, s in self.alikes.items()
        }
        return {(kind, fact): answer for kind, found in asked.items() for fact, answer in found.items()}

    @cached_property
    def space_cases(self) -> list[tuple[str, str, str]]:
        """Kind of circuit, kind of space and construction where a fact decides on the space."""
        found = ((kind, s, m) for kind in self.alikes for s in self.spaces_of(kind) for m in self.constructions)
        return [(kind, s, m) for kind, s, m in found if (m, s) in self.cases_of_spaces]

    @cached_property
    def alikes(self) -> dict[str, Stretch]:
        """The first stretch of every kind, by the key of the kind."""
        found: dict[str, Stretch] = {}
        for key, kind in self.alike_of.items():
            found.setdefault(kind, self.stretches[key])
        return found

    @cached_property
    def run_kinds(self) -> list[str]:
        """Cable configurations that the job's runs need, largest conductors last."""
        rank = areas_cmil(self.catalogs)
        kinds = {(rank[b.run.awg], len(b.run.roles), b.run.kind) for b in self.job.boxes}
        return [kind for _, _, kind in sorted(kinds)]

    def cable_family(self, construction: str, kind: str) -> str:
        """Return the family of catalog cables that a run kind is looked up in; a raceway takes any conductors."""
        _, awg, isolated = parts_of_kind(kind)
        cable = self.catalogs["constructions"][construction]["wiring_kind"] == "cable"
        pair = NOTHING if self.pair_apart(construction, kind) else pair_of_kind(kind)[0] or NOTHING
        return f"{construction}|{awg}|{int(isolated and cable)}|{pair}"

    def pair_apart(self, construction: str, kind: str) -> bool:
        """Return whether the control pair of a run kind has a cable of its own: as said, or no cable holds both."""
        conductors, awg, isolated = parts_of_kind(kind)
        pair, apart = pair_of_kind(kind)
        asked = {"construction": construction, "awg": awg, "isolated": int(isolated), "control_awg": pair}
        found = (c for c in self.catalogs["cables"] if all(c[n] == value for n, value in asked.items()))
        return bool(pair) and (apart or not any(int(str(c["conductors"])) >= conductors for c in found))

    @cached_property
    def control_boxes(self) -> list[int]:
        """Numbers of the boxes whose feeding run brings a control pair, counted from 1."""
        return [n for n, box in enumerate(self.job.boxes, start=1) if box.run.control_awg]

    @cached_property
    def control_cases(self) -> list[tuple[str, str, str]]:
        """Kind of circuit, construction and case of the answers, where a circuit has a control pair."""
        pairs = {
            kind: [b.run.kind for b in stretch.boxes if b.run.control_awg] for kind, stretch in self.alikes.items()
        }
        cases = {frozenset([True]): IN_ITS_OWN, frozenset([False]): IN_CABLE}
        return [
            (kind, m, cases.get(frozenset(self.pair_apart(m, run) for run in runs), IN_BOTH))
            for kind, runs in pairs.items()
            for m in self.constructions
            if runs
        ]

    @cached_property
    def sizes(self) -> list[str]:
        """Conductor sizes of the catalog, AWG, the smallest cross section first."""
        return list(areas_cmil(self.catalogs))

    @cached_property
    def boxes_of_circuit(self) -> dict[str, list[WiredBox]]:
        """Boxes of every circuit in schedule order, by circuit key."""
        found: dict[str, list[WiredBox]] = {key: [] for key in self.circuit_keys.values()}
        for box in self.job.boxes:
            found[self.circuit_keys[box.circuit.name]].append(box)
        return found

    @cached_property
    def circuit_keys(self) -> dict[str, str]:
        """Key of each circuit: made here, so that no name of the user is ever looked up by a formula."""
        width = max(3, len(str(len(self.job.circuits))))
        return {c.name: f"C{n:0{width}}" for n, c in enumerate(self.job.circuits, start=1)}


def fields_of(catalog: Catalog) -> list[Field]:
    """Return the fields of a catalog table: its key first, which is a column of its own where it is joined."""
    keys = [rule.column for rule in catalog.columns if KEY in rule.part]
    fields = [Field("key", "key", role="key")] if len(keys) > 1 else []
    for rule in catalog.columns:
        name = "edition" if rule.column == "editions" else rule.column
        role = "key" if [rule.column] == keys else rule.role
        width = 46 if name in ("source", "reason", "meaning", "note") else 0
        title, unit = "edition" if name == "edition" else rule.title, "date" if rule.kind == "date" else rule.unit
        low, high, whole = float(rule.minimum or 0), float(rule.maximum or 0), rule.kind == "whole"
        made = Field(name, title, unit, role, _choices(rule), "", width, minimum=low, maximum=high, whole=whole)
        fields.append(made)
    return fields


def key_of(catalog: Catalog) -> str:
    """Return the column that rows of a catalog table are looked up by."""
    keys = [rule.column for rule in catalog.columns if KEY in rule.part]
    return keys[0] if len(keys) == 1 else "key"


def _choices(rule: ColumnRule) -> str:
    kind, *rest = rule.kind.split()
    found = {"ref": rest[0] if rest else "", "one": ",".join(rest), "flag": "0,1"}
    return found.get(kind, "") if rule.role == "input" else ""


def places_of(keys: Iterable[str]) -> dict[str, int]:
    """Return the place of each key, counted from 0."""
    return {key: place for place, key in enumerate(keys)}
