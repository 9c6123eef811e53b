"""Sheets that are read: results, proofs, sources."""

from __future__ import annotations

from takeoff.workbook.sheets.plan import ABOUT, COLUMNS, CREW, GROUND_PATH, PROPOSAL, SOURCES, SUMMARY, SWAP, SheetPlan

FRONT = (
    SheetPlan(
        SUMMARY,
        "result",
        "One page: totals, what to look at first, boxes by size, charts.",
        ("totals", "warnings", "box_counts"),
    ),
    SheetPlan(ABOUT, "result", "What it is, how to use it, what it was built from, and what it cannot do.", ()),
)
"""What stands in front of all."""

RESULTS = (
    SheetPlan(
        "Bid",
        "result",
        "From cost to bid in every plan compared; your own lines one by one: sheet Line prices.",
        ("bid_sheet",),
    ),
    SheetPlan(
        "Line prices",
        "result",
        "Your own lines priced: direct expenses, allowances, alternates taken or not, exclusions to copy.",
        ("line_prices",),
    ),
    SheetPlan(SWAP, "result", "One plan against another on what remains of the work.", ("swap_by_area",)),
    SheetPlan(
        "Labor difference",
        "result",
        "Which operations the swap saves, and whether their minutes are illustrative, measured or from elsewhere.",
        ("labor_basis", "labor_difference"),
    ),
    SheetPlan(PROPOSAL, "result", "One page to sign: what a public construction contract asks of a change.", ()),
    SheetPlan(
        "Sensitivity",
        "result",
        "How the net saving of the swap moves with every range, and the chance that it comes to so much or less.",
        ("tornado", "risk_curve"),
    ),
    SheetPlan(
        "Order",
        "result",
        "What to buy in packages, rounded up once for the job; cable by the cutting plan of the build.",
        ("order_state", "order_plans", "order_list"),
    ),
    SheetPlan(
        "Cable order",
        "result",
        "Every cable of every plan: what the cutting plan buys, beside feet with waste and the least there can be.",
        ("cable_orders",),
    ),
    SheetPlan(
        "Cutting plan",
        "result",
        "Every run is one uncut length: which runs come out of which coil or reel, and what is left of it.",
        ("coils",),
    ),
    SheetPlan(
        "Areas and mix",
        "result",
        "Totals by area; the cheapest construction that may serve each circuit, and what it costs to keep to one plan.",
        ("simplicity", "best_mix", "mix_counts", "by_area", "mix_choices"),
    ),
    SheetPlan(CREW, "result", "One page to print for each of the most frequent make-up types.", ()),
    SheetPlan(
        "Boxes",
        "result",
        "Each box in each construction compared: terminations, splices, fill, box, labor and material of one box.",
        ("results",),
    ),
    SheetPlan(
        "Circuits",
        "result",
        "Each circuit in each construction compared: outcome of each check, labor and material of all times built.",
        ("circuit_outcomes",),
    ),
    SheetPlan(
        "Findings",
        "result",
        "How every check came out, circuits counted as often as they are built; sections of the edition in force.",
        ("findings",),
    ),
    SheetPlan(
        "Rules tested",
        "result",
        "Every check with its section in the edition in force, and whether a plan passes over a construction by it.",
        ("check_list",),
    ),
    SheetPlan(
        GROUND_PATH,
        "result",
        "The ground path of each construction over length, and what conductors and fittings withstand.",
        ("curves", "lengths", "short_times", "melting"),
    ),
    SheetPlan(
        "Labor",
        "result",
        "Hours of every operation, side by side; the sums are of the rows that a filter shows.",
        ("labor",),
    ),
    SheetPlan(
        "Material",
        "result",
        "Quantity with waste and cost of every item, side by side; the sums are of the rows that a filter shows.",
        ("material",),
    ),
    SheetPlan(
        "Quantities",
        "result",
        "What is counted in the job, panel ends included: these quantities call for labor and small parts.",
        ("quantities",),
    ),
)
"""Results, those of the bid and the swap first."""

END = (
    SheetPlan(
        "Checks",
        "result",
        "What was read equals what is shown, and totals equal the sums of their parts: no difference may remain.",
        ("master", "proofs", "reading"),
    ),
    SheetPlan(COLUMNS, "result", "Every computed column: where it stands, what it is, and its first formula.", ()),
    SheetPlan(SOURCES, "result", "Cautions, notices, and where every figure comes from.", ()),
)
"""Proofs and sources."""
