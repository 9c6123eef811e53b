"""Sheets with the steps between inputs and results: a sheet reads those to its right, and inputs where they stand."""

from __future__ import annotations

from takeoff.workbook.sheets.plan import GROUND_PATH, SheetPlan

WORKINGS = (
    SheetPlan(
        "Lines",
        "working",
        "Each box in each plan line by line, and what the lines add up to: make-ups, runs, hours, areas.",
        (
            *("open_facts", "mix", "efforts", "small_parts", "orders", "spacing", "run_changes"),
            "joint_sums",
        ),
        (
            *("each", ("verdicts", "mix_places"), "circuit_stops", "inspected", "area_totals", "labor_lines"),
            *("joints", "home_runs", "spaced_runs"),
            *("built", "ground_built", "ground_efforts"),
        ),
        right={"small_parts": {"ground_hours": 7, "tails": 12, "run_sums": 21, "route_hours": 26}},
    ),
    SheetPlan(
        GROUND_PATH,
        "working",
        "The longest run in every construction, what conductors and fittings withstand, ground faults of all circuits.",
        ("curves", "short_times", "far_ends", "circuit_tests"),
        ("paths", "faults"),
    ),
    SheetPlan(
        "Types",
        "working",
        "Boxes alike are one type: its conductors, grounds, fill, box, work and material in each construction.",
        (),
        (
            ("makeup", "fits", "work", "costs"),
            *("type_counts", "type_practice", ("types", "type_sums"), "roles", "control_joints", "fill", "spares"),
            *("grounds_now", "grounds"),
        ),
    ),
    SheetPlan(
        "Wiring",
        "working",
        "What each kind of circuit could be wired in by the rules, and what each plan wires each circuit in.",
        (
            *("check_list", "space_answers", "space_outcomes", "ampacities", "control_lines"),
            *("plan", "swap_circuits", "seams"),
        ),
        (
            "run_tests",
            "space_tests",
            "option_runs",
            "options",
            "plan_places",
            "wiring",
        ),
    ),
    SheetPlan(
        "Rates",
        "working",
        "What one of everything costs and takes: prices, labor rate, minutes, runs, conditions; guards of inputs.",
        (
            *(
                "compared",
                "base",
                "wirings",
                "conditions",
                "temperatures",
                "melting",
                "sizes",
                "code",
                "labor_rate",
                "held_inputs",
                "held_families",
            ),
            *("make_up_now", "tail_minutes", "cable_way", "package_changes", "control_roles"),
            *(
                "crew_rates",
                "burden_lines",
                "learning_slope",
                "rest_now",
                "sizes_in_force",
                "parts_in_force",
                "in_use",
                "rates",
                "driver_costs",
                "part_costs",
            ),
            *(("runs", "run_costs"), "run_ohms", "box_choices", "metal_prices", "own_work", "area_work"),
            *("guarded_numbers", "guarded_choices", "guarded_texts", "guard_words"),
            "words",
        ),
        (
            *("boxes", "alikes", "voltages", "steps", "ohms", "list_costs", "unit_costs"),
            *("quote_lines", "learning"),
        ),
    ),
)
"""From the boxes of every plan down to what one of everything costs."""
