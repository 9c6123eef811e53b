"""What every style of ground make-up comes to in every plan: ground terminations, hours, and what they save.

How grounds are made up is a choice of the trade: it decides much of the difference between constructions, and so
every style stands beside the one in force.
"""

from __future__ import annotations

from takeoff.engine.aggregates import SumBy, SumProducts
from takeoff.engine.expr import Expr, col, equal, ratio, when
from takeoff.engine.lookups import At, CellAt
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.boxes.grounds import (
    ARMOR,
    PIGTAILS,
    RULES,
    TAILS,
    WIRE,
    GroundKind,
    effort_key,
    egc_of,
    ground_classes,
    kinds_of,
)
from takeoff.model.frame import Frame
from takeoff.model.givens.constructions import PIGTAIL, operations_of
from takeoff.model.givens.wages import only

HOURS = "#,##0.0;-#,##0.0;0.0"


def tail_minutes_table(frame: Frame) -> Table:
    """Minutes for one pigtail or jumper cut on site, in every construction."""
    names = [str(o["operation"]) for o in operations_of(frame)]
    mine = [n for n, o in enumerate(operations_of(frame)) if o["driver"] == PIGTAIL]
    classes = [(n, m) for n, m in enumerate(frame.constructions, start=1) if m in set(ground_classes(frame).values())]
    rows = [(n, place, m) for n in mine for place, m in classes]
    rows = rows or [(0, place, m) for place, m in classes]
    return Table(
        "tail_minutes",
        "Minutes for a ground pigtail cut on site",
        [
            Field("operation", "operation", role="key"),
            Field("construction", "construction", role="key"),
            Field("line", "line", "no."),
            Field("counts", "is of pigtails", "0/1"),
        ],
        [
            Column(
                "minutes",
                "minutes each",
                "min",
                At("operations", "minutes", At("steps", "used_row", col("line")), 0) * col("counts"),
                format="0.00",
            )
        ],
        {
            "operation": [names[n] for n, *_ in rows],
            "construction": [m for *_, m in rows],
            "line": [n * len(frame.constructions) + place for n, place, _ in rows],
            "counts": [int(bool(mine)) for _ in rows],
        },
    )


def ground_built_table(frame: Frame) -> Table:
    """How often every kind is built, by rule: the same rows as the grounds, panels left out."""
    keys = kinds_of(frame)
    rows = [(rule, kind, key) for rule in RULES for kind, key in keys.items()]
    return Table(
        "ground_built",
        "Boxes built by kind of grounds",
        [
            Field("key", "kind and EGC", role="key", width=12),
            Field("rule", "made up by", role="key"),
            Field("is_box", "a box", "0/1"),
        ],
        [
            Column(
                f"count_{n}",
                f"in the job as {p}",
                "ea",
                SumBy("built", f"count_{n}", {"ground_key": col("key")}) * col("is_box"),
                head=p,
                format="#,##0",
            )
            for n, p in enumerate(frame.compared, start=1)
        ],
        {
            "key": [f"{key}|{ARMOR if rule == ARMOR else WIRE}" for rule, _, key in rows],
            "rule": [rule for rule, *_ in rows],
            "is_box": [int(kind.place == "box") for _, kind, _ in rows],
        },
        {"counts": [n for n, _ in frame.per_compared("count")]},
    )


def ground_efforts_table(frame: Frame) -> Table:
    """Minutes on the grounds of one box that a style changes, by kind and construction, and how often they count."""
    kinds = {kind: key for kind, key in kinds_of(frame).items() if kind.place == "box"}
    places = {kind: n for n, kind in enumerate(kinds_of(frame), start=1)}
    count = len(places)
    classes = list(dict.fromkeys(ground_classes(frame).values()))
    constructions = frame.catalogs["constructions"]
    plain = [(f"{key}|{m}", kind, m, egc_of(constructions[m])) for kind, key in kinds.items() for m in classes]
    mixed = [make_up for make_up in frame.types.by_key.values() if make_up.other_egcs]
    found = [
        effort_key(t, m, frame, kinds_of(frame), ground_classes(frame)) for t in mixed for m in frame.constructions
    ]
    rows = list(dict.fromkeys([*plain, *found]))
    styles = list(frame.catalogs["make_up_styles"])

    def row_by(kind: GroundKind, egc: str, tails: int) -> int:
        if egc == ARMOR:
            return 2 * count + places[kind]
        return places[kind] + count * tails

    def minutes(n: int) -> Expr:
        def made(name: str) -> Expr:
            return At("grounds", name, col(f"row_{n}"))

        def rate(name: str) -> Expr:
            return At("rates", name, col("place"))

        tail = SumBy("tail_minutes", "minutes", {"construction": col("construction")})
        share = ratio(At("make_up_styles", "pigtail_minutes_pct", col(f"style_{n}")), 100, 0)
        ends = made("ground_splice_ends") * rate("ground_splice_ends")
        ends = (
            ends + made("ground_screw_ends") * rate("ground_screw_ends") + made("bonded") * rate("ground_device_ends")
        )
        return ends + made("ground_pigtails") * tail * share

    numbered = list(enumerate(styles, start=1))
    return Table(
        "ground_efforts",
        "Minutes on grounds by style",
        [
            Field("key", "kind, as minutes go", role="key", width=15),
            Field("construction", "as in", role="key", width=13),
            Field("place", "row of the rates", "no."),
            *(Field(f"row_{n}", f"row of the grounds, {s['key']}", "no.") for n, s in numbered),
            *(Field(f"style_{n}", f"row of the style {s['key']}", "no.") for n, s in numbered),
        ],
        [
            *(
                Column(
                    f"effort_{n}",
                    f"labor counts as {p}",
                    "ea",
                    SumBy("built", f"effort_{n}", {"ground_class": col("key")}),
                    head=p,
                    format="#,##0.0",
                )
                for n, p in enumerate(frame.compared, start=1)
            ),
            *(Column(f"minutes_{n}", f"minutes by {s['key']}", "min", minutes(n), format="0.00") for n, s in numbered),
        ],
        {
            "key": [key for key, *_ in rows],
            "construction": [m for _, _, m, _ in rows],
            "place": [frame.constructions.index(m) + 1 for _, _, m, _ in rows],
            **{f"row_{n}": [row_by(kind, e, int(str(s["egc_tails"]))) for _, kind, _, e in rows] for n, s in numbered},
            **{f"style_{n}": [n] * len(rows) for n, _ in numbered},
        },
        {"minutes": [f"minutes_{n}" for n, _ in numbered]},
    )


def ground_hours_table(frame: Frame) -> Table:
    """Hours on grounds that a style changes, of the whole job."""
    styles = list(frame.catalogs["make_up_styles"])
    return Table(
        "ground_hours",
        "Hours on grounds by style",
        [Field("style", "style", role="key", width=14), Field("place", "place of the style", "no.")],
        [
            Column(
                f"hours_{n}",
                f"hours as {p}",
                "h",
                ratio(SumProducts("ground_efforts", [f"effort_{n}", ("minutes", col("place"))], {}), 60, 0),
                "splices, screws, green terminals, pigtails; what every style has alike is left out",
                HOURS,
                p,
            )
            for n, p in enumerate(frame.compared, start=1)
        ],
        {"style": [s["key"] for s in styles], "place": list(range(1, len(styles) + 1))},
        {"hours": [f"hours_{n}" for n, _ in enumerate(frame.compared, start=1)]},
        key="style",
    )


def make_up_range_table(frame: Frame) -> Table:
    """Every style in every plan, beside the one in force: ground terminations, labor, and what is saved."""
    plans = list(enumerate(frame.compared, start=1))
    rows = [(n, s, place, p) for n, s in enumerate(frame.catalogs["make_up_styles"], start=1) for place, p in plans]
    base = col("first") + only("base", "place")

    def terminations(rule: object) -> Expr:
        return SumProducts("ground_built", [("counts", col("place")), "grounds.ground_terminations"], {"rule": rule})

    def hours(style: Expr) -> Expr:
        return CellAt("ground_hours", "hours", style, col("place"))

    def less_than_base(name: str) -> Expr:
        return At("make_up_range", name, base) - col(name)

    now = only("make_up_now", "row")
    return Table(
        "make_up_range",
        "Ground make-up by style, a choice of the trade: what the plans come to in each",
        [
            Field("style", "style", role="key", width=14),
            Field("title", "grounds are made up", role="key", width=46),
            Field("called", "plan", role="key", width=18),
            Field("plan", "plan key"),
            Field("rule", "rule key"),
            Field("style_place", "place of the style", "no."),
            Field("place", "place of the plan", "no."),
            Field("first", "row before its plans", "no."),
        ],
        [
            Column(
                "ground_terminations",
                "ground terminations",
                "ea",
                terminations(col("rule")) + terminations(ARMOR),
                "at boxes",
                "#,##0",
            ),
            Column(
                "fewer",
                "fewer than in the base",
                "ea",
                less_than_base("ground_terminations"),
                "the base made up in the same style",
                "#,##0;-#,##0;0",
            ),
            Column(
                "labor_hours",
                "labor",
                "h",
                At("plan_sums", "labor_hours", col("place")) + hours(col("style_place")) - hours(now),
                "labor of the plan with its grounds made up so",
                "#,##0.0",
            ),
            Column(
                "saved_hours",
                "labor saved against the base",
                "h",
                less_than_base("labor_hours"),
                "negative: takes longer than the base",
                HOURS,
            ),
            Column(
                "state",
                "in force",
                "",
                when(equal(col("style_place"), now), "in force", "-"),
                "chosen by ground_make_up",
                width=10,
            ),
        ],
        {
            "style": [s["key"] for _, s, *_ in rows],
            "title": [s["title"] for _, s, *_ in rows],
            "called": [frame.titles[p] for *_, p in rows],
            "plan": [p for *_, p in rows],
            "rule": [TAILS if s["egc_tails"] else PIGTAILS for _, s, *_ in rows],
            "style_place": [n for n, *_ in rows],
            "place": [place for *_, place, _ in rows],
            "first": [(n - 1) * len(plans) for n, *_ in rows],
        },
        key="style",
    )
