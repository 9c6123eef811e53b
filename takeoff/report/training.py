"""What the training pack says of each construction: points of the catalog, steps of the job, boxes to watch."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from takeoff.build import Build
from takeoff.catalog.rows import Catalogs, Row
from takeoff.model.frame import INVENTED
from takeoff.model.givens.words import DISAPPEARS, SAME
from takeoff.model.order.crew import steps_of
from takeoff.model.order.crew_boxes import ALIKE, SIDES
from takeoff.wiring.places import NO_AREA

ALL, NO_CURVE = "all", 99.95
"""What stands for every construction; the curve from which no learning is seen, as it is shown."""

PIGTAIL, LEFT_LONG, JUMPER = "a pigtail of the splice", "a ground wire left long", "a jumper from the box screw"
BY_SCREWS = "its screws, where listed as self-grounding"
"""What grounds a device."""

MADE_UP = "; made-up readings"
"""Behind what a study shows that was not timed."""

NO_SIZE = "-"
"""How full a box is that has no size by its fill: what stands for it says why."""

GO, NEW, OTHERWISE = "Steps that go", "Steps that are new", "Done otherwise"
IN_SOME_BOXES = {DISAPPEARS: "none in some boxes", "NEW": "new in some boxes"}

FLAGS = ("bond_strip", "bare_conductor", "anti_short_bushing")


def features(construction: Row) -> set[str]:
    """Return the words that say what a construction has, as `where` of the catalog training names them."""
    kind = construction["egc_kind"]
    has = {"any", str(construction["wiring_kind"])}
    has.add("no-wire" if kind == "armor" else "wire")
    has.add("armor-no-path" if kind == "wire" else "armor-path")
    return has | {name.replace("_", "-") for name in FLAGS if construction[name]}


def of_both(catalogs: Catalogs, pair: Sequence[str]) -> set[str]:
    """Return the words for a box where two constructions meet: what either has, and what only both together have."""
    rows = [catalogs["constructions"][c] for c in pair]
    has = set().union(*(features(row) for row in rows))
    has.add("one-fitting" if len({str(row["fitting_family"]) for row in rows}) == 1 else "other-fitting")
    return has if "wire" in has else has | {"no-egc"}


def of_inputs(build: Build) -> set[str]:
    """Return the words for how the job bonds its devices."""
    chosen = {"self-grounding": ("self_grounding", "yes"), "switch-screws": ("switch_bond", "screws")}
    has = {word for word, (name, value) in chosen.items() if str(build.inputs[name]) == value}
    style = build.catalogs["make_up_styles"][str(build.inputs["ground_make_up"])]
    return has | ({"long-tails"} if style["egc_tails"] else set())


def facts_of(catalogs: Catalogs, construction: str) -> dict[str, str]:
    """Return the figures and words of a construction that points fill in, by name."""
    row = catalogs["constructions"][construction]
    asked = bool(row["anti_short_bushing"])
    marking = next(
        (str(f["marking"]) for f in catalogs["fittings"] if f["fitting_family"] == row["fitting_family"]), "-"
    )
    return {
        "near": f"{float(str(row['support_near_in'])):g}",
        "every": f"{float(str(row['support_interval_ft'])):g}",
        "marking": marking,
        "bushing": "Yes, one at every end, in sight."
        if asked
        else "No, unless the instructions of the fitting ask for one.",
        "bushing_said": "Anti-short bushing at every end, in sight." if asked else "No anti-short bushing asked for.",
    }


def points(catalogs: Catalogs, has: set[str], topic: str, facts: Mapping[str, str]) -> list[str]:
    """Return the texts of a topic that hold for what a construction has, in order, filled in."""
    return [str(row["text"]).format_map(facts) for row in rows_of(catalogs, has, topic)]


def rows_of(catalogs: Catalogs, has: set[str], topic: str) -> list[Row]:
    """Return the rows of a topic that hold for what a construction has, in order."""
    rows = [r for r in catalogs["training"] if r["topic"] == topic and set(str(r["where"]).split()) <= has]
    return sorted(rows, key=lambda r: float(str(r["place"])))


def constructions_used(build: Build) -> list[str]:
    """Return the constructions that the two plans of the crew pages wire any box in, those of the pages first."""
    book, plans = build.book, {str(build.inputs[f"crew_{side}"]) for side in SIDES}
    wired = zip(book.values("each", "plan"), book.values("each", "wired_as"), strict=True)
    used = {str(w) for plan, w in wired if plan in plans}
    first = [str(w) for w in book.values("crew_boxes", "wired_as")]
    return list(dict.fromkeys([w for w in first if w in used] + [c for c in build.frame.constructions if c in used]))


def steps_done(build: Build, construction: str) -> list[str]:
    """Return the steps that any box of the job has in a construction alone, in working order."""
    book, has = build.book, features(build.catalogs["constructions"][construction])
    mine = book.values("work", "construction") == construction
    alone = [not build.types.by_key[str(t)].others for t in book.values("work", "type")]
    of_boxes = mine & (book.values("work", "boxes") > 0) & np.array(alone)
    devices = build.catalogs["devices"]
    somewhere = {
        "any": True,
        "wire": "wire" in has,
        "armor": "no-wire" in has,
        "isolated": any(m.isolated_ends for m in build.types.by_key.values() if m.place == "box"),
        "no-yoke": any(devices[d]["connects"] == "leads" for m in build.types.by_key.values() for d in m.devices),
    }
    return [
        str(step["step"])
        for step in steps_of(build.frame)
        if somewhere[str(step["where"])] and book.values("work", str(step["driver"]))[of_boxes].max() > 0
    ]


def steps_by_change(build: Build) -> dict[str, list[str]]:
    """Return the steps of the job pages that go, those that are new, and those that change in some of the boxes.

    A step goes only where no box of the pages has it any more: what one kind of box loses another one may keep.
    """
    words: dict[str, list[str]] = {}
    steps = list(build.frame.catalogs["job_steps"])
    book = build.book
    alike = {
        str(t)
        for t, said in zip(*(book.values("crew_boxes", n) for n in ("type", "says_change")), strict=True)
        if said == ALIKE
    }
    for kind, row, change in zip(*(book.values("crew_lines", n) for n in ("type", "step_row", "change")), strict=True):
        if row and str(kind) not in alike:
            words.setdefault(str(steps[int(row) - 1]["step"]), []).append(str(change))
    found: dict[str, list[str]] = {GO: [], NEW: [], OTHERWISE: []}
    for step, said in words.items():
        changed = list(dict.fromkeys(w for w in said if w != SAME))
        if changed in ([DISAPPEARS], ["NEW"]) and SAME not in said:
            found[GO if changed == [DISAPPEARS] else NEW].append(step)
        elif changed:
            told = sorted(IN_SOME_BOXES.get(w, w.lower()) for w in changed)
            found[OTHERWISE].append(f"{step} ({'; '.join(told)})")
    return found


def changes(build: Build) -> list[tuple[str, str, str]]:
    """Return what two constructions have differently or alike: what it is, and how it is in each."""
    book = build.book
    pair = [str(w) for w in book.values("crew_boxes", "wired_as")[:2]]
    rows = [build.catalogs["constructions"][c] for c in pair]
    facts = [facts_of(build.catalogs, c) for c in pair]
    has = [features(row) for row in rows]
    job = of_inputs(build)
    by_screws = (BY_SCREWS, BY_SCREWS) if "self-grounding" in job else ()

    def said(title: str, texts: Sequence[str]) -> tuple[str, str, str]:
        return title, texts[0], texts[1]

    def yes(title: str, word: str, there: str, lacking: str) -> tuple[str, str, str]:
        return said(title, [there if word in h else lacking for h in has])

    return [
        said("construction", [str(r["title"]) for r in rows]),
        said("fitting, marked", [f["marking"] for f in facts]),
        yes("anti-short bushing", "anti-short-bushing", "at every end, in sight", "none asked for"),
        yes("bond strip", "bond-strip", "folded back or cut at the armor", "none"),
        yes("bare conductor", "bare-conductor", "cut flush at the armor, before the fitting", "none"),
        yes("ground wire in the cable", "wire", "one from every cable", "none comes in"),
        said("the box is grounded by", [_box_ground(h) for h in has]),
        yes(
            "the device is grounded by", "wire", *(by_screws or (LEFT_LONG if "long-tails" in job else PIGTAIL, JUMPER))
        ),
        said("secured within, then every", [f"{f['near']} in, {f['every']} ft" for f in facts]),
        said("ground path", [points(build.catalogs, h, "path", f)[0] for h, f in zip(has, facts, strict=True)]),
    ]


def _box_ground(has: set[str]) -> str:
    ways = {"wire": "the wire on its screw", "armor-path": "the fitting"}
    return ", and ".join(way for word, way in ways.items() if word in has)


def _plans(build: Build) -> list[str]:
    return [str(build.inputs[f"crew_{side}"]) for side in SIDES]


def tight_boxes(build: Build, least_pct: float) -> list[tuple[str, ...]]:
    """Return the boxes of the two plans from a share of their volume on, those without a size before the fullest."""
    book, found = build.book, []
    at_box = {key for key, made in build.types.by_key.items() if made.place == "box"}
    counts = {p: book.values("built", f"count_{n}") for n, p in enumerate(build.frame.compared, start=1)}
    described = dict(zip(book.values("types", "type"), book.values("types", "description"), strict=True))
    for n, key in enumerate(book.values("fits", "key")):
        kind, _, construction = str(key).partition("|")
        volume = float(book.values("fits", "chosen_volume_in3")[n])
        boxes = max(float(counts[p][n]) for p in _plans(build))
        full = 100 * float(book.values("fits", "sum_in3")[n]) / volume if volume else math.inf
        if boxes and kind in at_box and full >= least_pct - 1e-9:
            title = str(build.catalogs["constructions"][construction]["title"])
            said = (
                str(described[kind]),
                f"{boxes:.0f}",
                title,
                box_title(build.catalogs, str(book.values("fits", "chosen_box")[n])),
            )
            found.append((full, (kind, *said, f"{full:.0f}" if volume else NO_SIZE)))
    return [row for _, row in sorted(found, key=lambda f: (-f[0], f[1]))]


def box_title(catalogs: Catalogs, box: str) -> str:
    """Return what a box is called; where none has a size, what stands in its place."""
    boxes = catalogs["box_sizes"]
    return str(boxes[box]["title"]) if box in boxes else box


def per_room(build: Build) -> list[tuple[str, ...]]:
    """Return terminations of one box on average, in all and of grounds, by room and in both plans, panel ends apart."""
    book = build.book
    circuit = dict(zip(book.values("types", "type"), book.values("types", "circuit_terminations"), strict=True))
    rows = zip(book.values("boxes", "area"), book.values("boxes", "type"), book.values("boxes", "repeat"), strict=True)
    boxes = [(str(area), str(kind), float(repeat)) for area, kind, repeat in rows]
    number = dict(zip(book.values("boxes", "no"), boxes, strict=True))
    grounds: dict[tuple[str, str], float] = {}
    for no, plan, row in zip(*(book.values("each", n) for n in ("no", "plan", "makeup_row")), strict=True):
        area, _, repeat = number[no]
        key = area, str(plan)
        ends = float(book.values("makeup", "ground_terminations")[int(row) - 1])
        grounds[key] = grounds.get(key, 0.0) + ends * repeat
    found = []
    for area in dict.fromkeys(a for a, *_ in boxes):
        mine = [(kind, repeat) for a, kind, repeat in boxes if a == area]
        count = sum(repeat for _, repeat in mine)
        ends = sum(float(circuit[kind]) * repeat for kind, repeat in mine)
        said = [f"{v / count:.1f}" for p in _plans(build) for v in (ends + grounds[area, p], grounds[area, p])]
        found.append((area or NO_AREA, f"{count:.0f}", *said))
    return found


def unchanged(build: Build) -> list[tuple[str, ...]]:
    """Return the types whose boxes are all made up in both plans as they are in the other: nothing changes there."""
    book, plans = build.book, _plans(build)
    kinds = dict(zip(book.values("boxes", "no"), book.values("boxes", "type"), strict=True))
    ways: dict[float, set[float]] = {}
    for no, plan, row in zip(*(book.values("each", n) for n in ("no", "plan", "makeup_row")), strict=True):
        if plan in plans:
            ways.setdefault(no, set()).add(row)
    stay = set(kinds.values()) - {kinds[no] for no, rows in ways.items() if len(rows) > 1}
    rows = zip(*(book.values("types", n) for n in ("type", "description", "count")), strict=True)
    return [(str(t), str(d), f"{float(n):.0f}") for t, d, n in rows if t in stay]


def estimates_reached(build: Build) -> list[tuple[str, ...]]:
    """Return what a time study held against the estimate, of what the two plans wire in, and when it is reached.

    Each row: the work, construction, minutes of the estimate and of the next one, the learning curve, and when.
    """
    catalogs, used = build.catalogs, [ALL, *constructions_used(build)]
    titles = {str(o["operation"]): str(o["title"]) for o in catalogs["operations"]}
    found = []
    for row in catalogs["learning"]:
        construction = str(row["construction"])
        if construction not in used:
            continue
        title = "all" if construction == ALL else str(catalogs["constructions"][construction]["title"])
        minutes = (f"{float(str(row[name])):.2f}" for name in ("estimate_minutes", "now_minutes"))
        curve = float(str(row["curve_pct"]))
        said = f"{curve:.0f} %" if curve < NO_CURVE else "none seen"
        found.append((used.index(construction), (titles[str(row["operation"])], title, *minutes, said, _when(row))))
    return [row for _, row in sorted(found, key=lambda f: f[0])]


def _when(row: Row) -> str:
    units, days = (int(float(str(row[name]))) for name in ("more_units", "more_days"))
    said = {
        "now": "reached",
        "later": f"after {units} more by each worker, {days} day{'s' * (days != 1)} like those of the study",
        "not-in-sight": "not in sight: practice alone does not bring it",
    }[str(row["reached"])]
    return said + MADE_UP * str(row["source"]).startswith(INVENTED)


def of_all(build: Build, at: int) -> str:
    """Return how many of all boxes of a type are wired so."""
    so, every = (float(build.book.values("crew_boxes", name)[at]) for name in ("so", "built"))
    return f"{so:,.0f} of {every:,.0f} boxes"
