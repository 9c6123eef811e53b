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
        widths={1: 29, 2: 35, 3: 32, 4: 10.5, 5: 22, 6: 47, 7: 24.5},
    ),
    SheetPlan(
        "Prices",
        "input",
        "Quotes, with free rows; waste and tax by family, packages, prices: each, C (100), M (1000); metal in them.",
        ("families", "packages"),
        ("prices", "quotes"),
        widths={1: 26, 2: 81, 7: 31, 22: 60},
    ),
    SheetPlan(
        "Minutes",
        "input",
        "Minutes for one of each counted quantity; a row for one construction goes first. Small parts. Crew steps.",
        ("uses",),
        ("operations", "job_steps"),
        widths=dict(
            enumerate((24, 20, 20, 54, 24, 28, 9, 16, 2, 20, 17, 20, 9, 9, 9, 38, 54, 48, 47, 44), start=1),
        ),
    ),
    SheetPlan(
        "Schedule",
        "input",
        "The circuits, and one row for each box with the run that feeds it; blanks are filled in as the README says.",
        (),
        ("schedule", "circuits"),
        workings={"schedule": "row", "circuits": "alike"},
        widths={
            3: 12.8,
            4: 19.5,
            7: 12,
            9: 26.2,
            10: 13.5,
            13: 22.6,
            16: 25.4,
            17: 8.5,
            34: 8.5,
            40: 9,
            42: 12.5,
            44: 9,
            48: 13,
            49: 16,
            51: 9.5,
            53: 17,
        },
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
