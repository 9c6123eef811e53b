"""One box of each type on the crew pages in two plans: what it is wired in, its counts, fill, box, fitting.

The construction of a page is the preferred one of the plan where it wires any box of the type in it, else
the one that it wires most of them in: nobody is taught a construction that a rule refuses where the box stands.
"""

from __future__ import annotations

from collections.abc import Mapping

from takeoff.catalog.job_steps import FROM, TO
from takeoff.engine.expr import Head, as_expr, begins, call, col, equal, flag, given, ratio, same, when
from takeoff.engine.lookups import At, CellAt, Match, PlaceAcross, look
from takeoff.engine.tables import Column, Field, Table
from takeoff.model.boxes.types import CONTROL_COUNTS
from takeoff.model.frame import Frame

SIDES = ("from", "to")
"""The two plans side by side: what the crew knows, and what it learns."""

BOXES = " boxes of this type"
ALIKE, MARKED = "NOTHING CHANGES HERE", "what changes stands below"
BUSHING, NO_BUSHING = "anti-short bushing at every end", "no bushing asked for"
SAME_FITTING = "Fitting as before, marked "
OTHER_FITTING = "STOP: ANOTHER FITTING. Read the carton: marked "
BY_CARTON, UNKNOWN, NO_RULE = "only if its carton names this cable too", "taken for no", "no rule was given"
HOLD = "HOLD POINT before the second box: another person looks at fitting, seat and carton, and signs: " + "_" * 20

NONE_ALIKE = "-"
WARNING = ("says_fitting", "says_other", "says_hold")
"""What stands first on every page where the fitting changes."""

CAUTION = (
    "Counts and estimates only. De-energize, lock out and verify before opening any box.",
    "The adopted code, the authority having jurisdiction and the instructions of cable, fitting, box and device "
    "decide.",
)
"""What stands on every page that a crew holds, line by line."""

THINGS = {
    "none": "unchanging",
    "cable": "wired_as",
    "box": "chosen_box",
    "supports": "supports",
    "fitting": "fitting_family",
    "path": "egc_kind",
}
"""What may differ though a step is done as often, by the word of the step: a column of the boxes."""


def crew_boxes_table(frame: Frame, pages: Mapping[str, str]) -> Table:
    """One row for each type of a page in each of the two plans: what it is wired in, its counts, fill and box.

    Parameters
    ----------
    frame
        Wired job, make-up types, catalogs and plans compared.
    pages
        Types of the pages, each with the types that read alike, as text.
    """
    rows = [(t, side) for t in pages for side in SIDES]
    constructions = list(enumerate(frame.constructions, start=1))
    rank = [f"rank_{n}" for n, _ in constructions]
    preferred = begins(col("members"), Head() & " ")
    count = CellAt("built", "counts", Match("makeup", "key", col("type") & "|" & Head()), col("plan_place"))
    construction, called = (At("in_use", name, col("construction_place")) for name in ("row", "called"))
    make_up = Match("makeup", "key", col("type") & "|" & col("wired_as"))
    run = Match("runs", "key", col("largest_run") & "|" & col("wired_as"))
    the_other = At("crew_boxes", "fitting_family", col("other_row"))
    rule = given("code_edition") & "|" & col("wired_as") & "|" & the_other

    def made(table: str, name: str, title: str, unit: str = "ea", form: str = "") -> Column:
        return Column(name, title, unit, At(table, name, col("makeup_row")), format=form)

    def of_type(name: str, title: str) -> Column:
        return Column(name, title, "ea", look("types", name, col("type"), by="type"))

    def own(name: str, title: str, unit: str = "", form: str = "") -> Column:
        return Column(name, title, unit, At("in_use", name, col("construction_place")), format=form)

    ends = col("circuit_terminations") & "|" & col("ground_terminations") & "|" & col("ground_pigtails")
    other = col("type") & "|" & when(same(col("side"), SIDES[0]), SIDES[1], SIDES[0])
    room = call("up", col("sum_in3") * 1000) & "|" & col("chosen_box")
    return Table(
        "crew_boxes",
        "Crew pages, figures of one box",
        [
            Field("key", "key", role="key", width=12),
            Field("type", "type", role="key"),
            Field("side", "side", role="key"),
            Field("alike", "reads alike too", width=30),
            Field("largest_run", "largest run"),
        ],
        [
            Column("plan", "plan", "", when(same(col("side"), SIDES[0]), given(FROM), given(TO)), width=14),
            Column("plan_place", "place of the plan", "no.", Match("compared", "plan", col("plan"))),
            Column("members", "constructions of the plan", "", look("plans", "members", col("plan")) & " ", width=30),
            Column("built", "built in the job", "ea", look("types", "count", col("type"), by="type"), format="#,##0"),
            *(Column(f"wired_{n}", f"wired in {m}", "ea", count, format="#,##0", head=m) for n, m in constructions),
            *(
                Column(
                    f"rank_{n}",
                    f"rank of {m}",
                    "no.",
                    when(preferred, col(f"wired_{n}") * col("built"), col(f"wired_{n}")),
                    "boxes wired so; the preferred construction of the plan goes before all others",
                    head=m,
                )
                for n, m in constructions
            ),
            Column("highest", "highest rank", "no.", call("max", *(col(n) for n in rank))),
            Column("construction_place", "place of the construction", "no.", PlaceAcross("rank", col("highest"))),
            own("near_ft", "secured within", "ft", "0.0"),
            own("interval_ft", "secured every", "ft", "0.0"),
            Column("unchanging", "nothing that differs", "", as_expr("-")),
            Column(
                "wired_as",
                "wired as",
                "",
                At("in_use", "construction", col("construction_place")),
                "the preferred construction of the plan where any box of the type has it, else that of most of them",
                width=14,
            ),
            Column("chosen_box", "chosen box", "", At("fits", "chosen_box", make_up)),
            Column(
                "supports",
                "supports, in words",
                "",
                call("up", col("near_ft") * 1000) & "|" & call("up", col("interval_ft") * 1000),
                "secured within and every, in thousandths of a foot",
            ),
            own("fitting_family", "fitting family"),
            own("egc_kind", "EGC kind"),
            Column("title", "construction", "", At("constructions", "title", construction), width=40),
            Column("makeup_row", "row of the make-up", "no.", make_up),
            Column(
                "so", "wired so", "ea", CellAt("built", "counts", col("makeup_row"), col("plan_place")), format="#,##0"
            ),
            of_type("circuit_terminations", "circuit terminations"),
            made("makeup", "ground_terminations", "ground terminations"),
            *(of_type(n, n.replace("_", " ")) for n in CONTROL_COUNTS if frame.control_boxes),
            made("makeup", "ground_splices", "ground splices"),
            made("work", "ground_pigtails", "ground pigtails and jumpers"),
            made("makeup", "egc_ends", "EGC ends that come in"),
            made("fits", "sum_in3", "sum of fill", "in3", "0.00"),
            made("fits", "chosen_volume_in3", "its volume", "in3", "0.0"),
            Column(
                "full_pct",
                "box full",
                "%",
                ratio(col("sum_in3") * 100, col("chosen_volume_in3"), 0),
                "fill of the chosen box; 0 where there is none",
                format="0",
            ),
            Column("fitting_row", "row of the fitting", "no.", At("runs", "fitting_row", run)),
            Column(
                "marking", "marking on the carton", "", At("fittings", "marking", col("fitting_row"), "-"), width=30
            ),
            made("work", "minutes", "labor in the box", "min", "0.0"),
            Column(
                "drawn",
                "what the drawing shows",
                "",
                called & "|" & ends & "|" & room,
                "construction, terminations, ground pigtails, fill in thousandths, box: a drawing holds while it is so",
                width=44,
            ),
            Column(
                "says_plan",
                "plan, in words",
                "",
                as_expr("plan ") & At("plan_sums", "title", col("plan_place")) & ": wired as " & called,
                width=40,
            ),
            Column(
                "says_wired",
                "construction, in words",
                "",
                col("title") & "; " & col("so") & " of " & col("built") & BOXES,
                width=60,
            ),
            Column(
                "bushing",
                "bushing, in words",
                "",
                when(equal(At("in_use", "anti_short_bushing", col("construction_place")), 1), BUSHING, NO_BUSHING),
                "320.40",
            ),
            Column("size_row", "row of the box", "no.", Match("box_sizes", "box", col("chosen_box"), missing_ok=True)),
            Column(
                "box",
                "box",
                "",
                when(equal(col("size_row"), 0), col("chosen_box"), At("box_sizes", "title", col("size_row"))),
            ),
            Column(
                "says_parts",
                "parts, in words",
                "",
                col("box")
                & "; "
                & At("fittings", "fitting_size", col("fitting_row"), "-")
                & " in fitting marked "
                & col("marking")
                & "; "
                & col("bushing"),
                width=60,
            ),
            Column("other_row", "row of the other side", "no.", Match("crew_boxes", "key", other)),
            Column("new_fitting", "another fitting", "0/1", as_expr(1) - flag(same(col("fitting_family"), the_other))),
            Column("rule_row", "row of the fitting rule", "no.", Match("fitting_rules", "key", rule, missing_ok=True)),
            Column(
                "other_outcome",
                "outcome of the other fitting here",
                "",
                At("fitting_rules", "outcome", col("rule_row"), UNKNOWN),
                "what the fitting of the other side would come to",
            ),
            Column(
                "other_said",
                "the same for a crew",
                "",
                when(same(col("other_outcome"), "look"), BY_CARTON, col("other_outcome") & " here"),
            ),
            Column(
                "says_rule",
                "fitting of the other side here, in words",
                "",
                as_expr("The other one, marked ")
                & At("crew_boxes", "marking", col("other_row"))
                & ": "
                & col("other_said")
                & ", "
                & At("fitting_rules", "section", col("rule_row"), NO_RULE),
                width=30,
            ),
            Column(
                "says_fitting",
                "fitting, in words",
                "",
                when(equal(col("new_fitting"), 0), SAME_FITTING, OTHER_FITTING) & col("marking"),
                width=60,
            ),
            Column(
                "says_other", "fitting known", "", when(equal(col("new_fitting"), 0), "", col("says_rule")), width=30
            ),
            Column("says_hold", "hold point, in words", "", when(equal(col("new_fitting"), 0), "", HOLD), width=60),
            Column(
                "says_change",
                "what changes, in words",
                "",
                when(same(col("drawn"), At("crew_boxes", "drawn", col("other_row"))), ALIKE, MARKED),
                width=60,
            ),
        ],
        {
            "key": [f"{t}|{s}" for t, s in rows],
            "type": [t for t, _ in rows],
            "side": [s for _, s in rows],
            "alike": [pages[t] for t, _ in rows],
            "largest_run": [frame.types.by_key[t].largest_run for t, _ in rows],
        },
        {"rank": rank, "things": list(THINGS.values())},
    )
