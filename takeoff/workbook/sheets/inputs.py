"""Sheets on which the user changes things: those of the job, and the catalogs."""

from __future__ import annotations

from takeoff.workbook.sheets.plan import SheetPlan

JOB = (
    SheetPlan(
        "Inputs",
        "input",
        "Change a value here and every sheet follows.",
        ("numbers", "dates", "choices", "texts", "built_with", "accepted"),
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
        "Waste and packages",
        "input",
        "Waste, discount, escalation and tax by family of material, and how things are sold.",
        ("families", "packages"),
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
        "Conditions of the work in every area, and what is already installed there.",
        ("areas",),
    ),
    SheetPlan(
        "Work conditions",
        "input",
        "Labor of a box and its run is multiplied by one factor of each kind: chosen on Areas and Circuit data.",
        ("work_conditions",),
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
        "What may come out otherwise than estimated: low, likely and high.",
        ("ranges",),
    ),
    SheetPlan("Proposal words", "input", "Sentences of the sheet Proposal.", ("proposal",)),
    SheetPlan(
        "Quotes",
        "input",
        "Supplier quotes as read, one row for each price; the sheet Quote lines flags expired and suspect ones.",
        ("quotes",),
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
