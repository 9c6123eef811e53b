"""Sheets on which the user changes things, and the catalogs that the job was built with."""

from __future__ import annotations

from takeoff.workbook.sheets.plan import SheetPlan

JOB = (
    SheetPlan(
        "Inputs",
        "input",
        "Change a value here and every sheet follows.",
        (
            "numbers",
            "dates",
            "choices",
            "facts_asked",
            "texts",
            "built_with",
            "work_conditions",
            "crew",
            "burden",
            "ranges",
            "box_sizes",
            "proposal",
        ),
        ("areas", "accepted", "fact_choices"),
        printed=7,
        widths={1: 36, 2: 44, 3: 26, 4: 16, 5: 20, 6: 68, 7: 58},
    ),
    SheetPlan(
        "Prices",
        "input",
        "Quotes, with free rows; waste and tax by family, packages, prices: each, C (100), M (1000); metal in them.",
        ("families", "packages"),
        ("prices", "quotes"),
        widths={1: 26, 2: 44, 7: 46},
    ),
    SheetPlan(
        "Minutes",
        "input",
        "Minutes for one of each counted quantity; a row for one construction goes first. Small parts. Crew steps.",
        ("uses",),
        ("operations", "job_steps"),
        widths={
            1: 24,
            2: 20,
            3: 20,
            4: 44,
            5: 24,
            6: 16,
            7: 9,
            8: 40,
            10: 18,
            11: 16,
            12: 20,
            13: 9,
            14: 9,
            15: 9,
            16: 38,
            17: 50,
            18: 48,
            19: 44,
            20: 34,
        },
        printed=20,
    ),
    SheetPlan(
        "Schedule",
        "input",
        "The circuits, and one row for each box with the run that feeds it; blanks are filled in as the README says.",
        (),
        ("schedule", "circuits"),
        workings={"schedule": "row", "circuits": "alike"},
    ),
    SheetPlan(
        "Bid lines",
        "input",
        "Lines that you add: direct expenses, allowances, alternates, exclusions; and late changes, dated and signed.",
        ("bid_lines", "late_changes"),
    ),
)
"""Inputs of the job, in the order a person meets them."""

CATALOGS = (
    SheetPlan(
        "Catalog",
        "catalog",
        "Constructions, cables, fittings, boxes, devices, the rules for them by edition, and the plans.",
        (
            *(
                "plans",
                "constructions",
                "control_cables",
                "fittings",
                "connectors",
                "egc_rules",
                "spaces",
                "box_styles",
            ),
            *("make_up_styles", "devices", "drivers"),
        ),
        ("cables", "fitting_rules", "space_rules", "box_uses"),
    ),
    SheetPlan(
        "Code tables",
        "catalog",
        "Figures and tables of the code by edition; conductors, voltages, metals, short-time currents.",
        (
            *("editions", "rules", "checks", "facts", "answers", "outcomes", "stops", "units"),
            *("fill_parts", "allowances", "egc_sizes"),
            *("conductors", "breakers", "breaker_bands", "ambient", "adjustments", "systems", "connections", "metals"),
            "short_time",
        ),
    ),
)
"""What the job was built with."""
