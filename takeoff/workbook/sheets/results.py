"""Sheets that are read: results in front, and what the workbook says of itself at the end."""

from __future__ import annotations

from takeoff.workbook.sheets.plan import (
    ABOUT,
    BID,
    BOXES,
    BREAKDOWN,
    CHANGED,
    CHECKS,
    CIRCUITS,
    CREW,
    INSPECTION,
    ORDER,
    PROPOSAL,
    SUMMARY,
    SWAP,
    TRACE,
    WORKINGS,
    SheetPlan,
)

FRONT = (
    SheetPlan(
        SUMMARY,
        "result",
        "One page: what to use and why, the plans side by side, the stop list, what makes the difference.",
        ("totals",),
    ),
    SheetPlan(
        CHECKS,
        "result",
        "What stands against a total: figures still invented, inputs not accepted, proofs that do not agree.",
        ("standing", "invented_rates", "invented_styles", "invented_tails", "invented_spacing"),
        ("proofs", "invented_prices", "invented_minutes", "error_cells"),
        ("master", "job_stops"),
        printed=15,
        widths={
            **dict(enumerate((48.6, 18.2, 9.3, 9.3, 9.2, 9.2, 9.4, 57.4, 7.2, 8.8, 51.2, 8.8), start=1)),
            **dict.fromkeys(range(13, 16), 8.4),
            17: 80,
        },
        right={
            "standing": {"reading": 11},
            "invented_rates": {"invented_conditions": 8, "invented_families": 11},
            "invented_styles": {"invented_metals": 8, "invented_cable": 11},
            "invented_tails": {"invented_routes": 8, "invented_stock": 11},
        },
    ),
    SheetPlan(
        BID,
        "result",
        "From cost to bid in every plan compared; your own lines one by one: sheet Breakdown.",
        ("bid_sheet",),
    ),
    SheetPlan(
        TRACE,
        "result",
        "What a figure is made of, for a plan and a scope chosen here; operations and items lead to their input rows.",
        ("trace_choice", "trace_sums", "trace_bid", "trace_labor"),
        (
            *(
                "trace_material",
                "trace_built",
                "trace_runs",
                "trace_joints",
                "trace_control",
                "trace_cables",
                "scopes",
                "trace_keys",
            ),
            *("trace_figures", "trace_mix", "trace_counted", "trace_parts"),
        ),
        printed=8,
        widths={1: 25, 2: 60, 3: 12, 4: 32},
    ),
    SheetPlan(
        SWAP,
        "result",
        "One plan against another on what remains of the work; cable by the foot with waste.",
        ("decision_days", "tornado", "mixed_boxes", "blocked", "swap_by_area", "risk_curve"),
    ),
    SheetPlan(PROPOSAL, "result", "Two pages to sign: what a public construction contract asks of a change."),
    SheetPlan(
        ORDER,
        "result",
        "What to buy in packages, rounded up once for the job; cable by the cutting plan of the build.",
        ("order_state", "order_plans", "cable_orders"),
        ("order_list", "coils", "rest_coils"),
        workings={"cable_orders": "gap_ft"},
        widths={1: 28, 2: 80, 3: 15, 4: 20},
    ),
    SheetPlan(CREW, "result", "One page to print for each of the most frequent make-up types."),
    SheetPlan(
        WORKINGS,
        "working",
        "Plans against each other: the bid step by step, the swap, its ranges and risk, the crew pages, the proofs.",
        (
            *("decision", "pair", "pair_parts", "pair_bars", "heaviest", "moves", "sureness", "ranks"),
            *("demonstration", "stop_list", "stop_lines", "stop_names", "stop_count"),
            *(
                "figures",
                "bid_rates",
                "bid",
                "plan_heads",
                "relearning",
                "swap",
                "break_evens",
                "break_even_points",
                "sharing",
            ),
            *(
                "spreads",
                "swings",
                "cases",
                "risk",
                "risk_basis",
                "risk_ranges",
                "crew_boxes",
                "step_texts",
                "swap_areas",
            ),
            *("mixed_work", "measured_ranges", "measured_lines", "blocked_kinds"),
        ),
        ("crew_lines", "crew_steps", "circuit_weights"),
    ),
    SheetPlan(
        BREAKDOWN,
        "result",
        "Labor by operation, material by item, quantities and areas, side by side; the cheapest for each circuit.",
        (
            *(
                "plan_sums",
                "plan_flags",
                "against_base",
                "basis",
                "parts",
                "simplicity",
                "best_mix",
                "mix_counts",
                *("box_counts", "stock"),
            ),
            *("cable_priced", "cable_more", "rest_state", "make_up_range"),
            *(
                "condition_hours",
                "line_prices",
                "labor_basis",
                "labor",
                "labor_difference",
                "quantities",
                "by_area",
            ),
        ),
        ("cable_bought", ("material", "rest_list"), "rest_cable"),
        printed=16,
        widths={1: 27, 2: 62.5, 3: 20, 5: 14.4, 10: 14.4, 18: 80, 19: 84},
    ),
    SheetPlan(
        CIRCUITS,
        "result",
        "How every check came out, with its section; each circuit, the plans side by side, and the cheapest of them.",
        ("findings",),
        (("circuit_outcomes", "mix_choices"),),
        printed=24,
        widths={1: 22, 3: 18.3, **dict.fromkeys(range(4, 7), 17.6), 7: 9.6, **dict.fromkeys(range(8, 16), 8.5)},
    ),
    SheetPlan(
        INSPECTION,
        "result",
        "By panel and circuit in the plan that is to be built: rule, section, figures, outcome, what is open.",
    ),
    SheetPlan(
        BOXES,
        "result",
        "Each box with the plans side by side: terminations, splices, fill, box, labor and material of one box.",
        (),
        ("box_outcomes",),
        printed=29,
        widths={2: 12, 3: 22.6, 4: 15.4, **dict.fromkeys(range(20, 23), 19.4)},
    ),
)
"""Results, each to the left of what it reads."""

CHANGES = SheetPlan(
    CHANGED,
    "result",
    "Against an earlier workbook, as of the build: what moved by which cause, what was changed by hand, what is new.",
    ("change_moves", "change_hand", "change_schedule", "change_inputs"),
)
"""What an addendum changed: only where an earlier workbook is carried over."""

END = (
    SheetPlan(
        ABOUT, "result", "What it is, how to use it, what it was built from, its words and sources, what it cannot do."
    ),
)
