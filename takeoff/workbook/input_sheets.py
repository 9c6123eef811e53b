"""Sheets on which the user changes things: those of the job, and the catalogs."""

from __future__ import annotations

from takeoff.workbook.sheet_plan import SheetPlan

JOB = (
    SheetPlan(
        "Inputs",
        "input",
        "Change a value here and every sheet follows.",
        ("numbers", "dates", "choices", "texts", "built_with", "families", "packages", "accepted"),
    ),
    SheetPlan(
        "Minutes",
        "input",
        "Minutes for one of each counted quantity, in working order; a row for one construction goes first.",
        ("operations", "uses"),
    ),
    SheetPlan("Job steps", "input", "Steps, key points, reasons and safety points of the crew pages.", ("job_steps",)),
    SheetPlan(
        "Prices", "input", "What one unit of measure costs: each, C for a hundred, M for a thousand.", ("prices",)
    ),
    SheetPlan(
        "Labor rate",
        "input",
        "Wages, fringes, taxes and insurance that make the labor rate; replace every figure with your own.",
        ("crew", "burden"),
    ),
    SheetPlan(
        "Areas",
        "input",
        "Conditions of the work in every area, what is already installed there, and the factors of the conditions.",
        ("areas", "work_conditions"),
    ),
    SheetPlan(
        "Bid lines",
        "input",
        "Lines that you add: direct expenses, allowances, alternates, exclusions; and late changes, dated and signed.",
        ("bid_lines", "late_changes"),
    ),
    SheetPlan(
        "Ranges",
        "input",
        "What may come out otherwise than estimated, low, likely and high; words of the proposal.",
        ("ranges", "proposal"),
    ),
    SheetPlan(
        "Quotes", "input", "Supplier quotes as read, one row for each price; an expired one is flagged.", ("quotes",)
    ),
    SheetPlan(
        "Schedule",
        "input",
        "One row for each box with the run that feeds it; blanks are filled in as the README says.",
        ("schedule",),
    ),
    SheetPlan("Circuit data", "input", "The circuits as read.", ("circuits",)),
)
"""Inputs of the job, in the order a person meets them."""

CATALOGS = (
    SheetPlan(
        "Constructions",
        "input",
        "Properties of the constructions, and the cables and raceways each comes in.",
        ("constructions", "cables"),
    ),
    SheetPlan(
        "Fittings",
        "input",
        "Connectors and couplings by family and size, and wire connectors by conductors joined.",
        ("fittings", "connectors"),
    ),
    SheetPlan(
        "Rules",
        "input",
        "Which ground path, fitting and kind of space goes with which construction, by edition.",
        ("egc_rules", "fitting_rules", "space_rules", "spaces"),
    ),
    SheetPlan(
        "Box catalog",
        "input",
        "Box volumes, and which box serves which style and gangs.",
        ("box_sizes", "box_uses", "box_styles"),
    ),
    SheetPlan(
        "Devices", "input", "What each device of the schedule connects, and what is counted.", ("devices", "drivers")
    ),
    SheetPlan(
        "Code tables",
        "input",
        "Figures and tables of the code, by edition.",
        ("editions", "rules", "checks", "fill_parts", "allowances", "egc_sizes", "outcomes", "units"),
    ),
    SheetPlan(
        "Plans",
        "input",
        "What is compared: the first construction of a plan that may serve a circuit is used.",
        ("plans",),
    ),
    SheetPlan(
        "Conductors and fault tables",
        "input",
        "Sizes, ampacity, correction, adjustment, voltages, metals, short-time currents.",
        ("conductors", "breakers", "ambient", "adjustments", "systems", "connections", "metals", "short_time"),
    ),
)
"""Catalogs the job was built with."""
