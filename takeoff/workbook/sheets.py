"""Which tables stand on which sheet, in the order a person reads; one entry is one sheet."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class SheetPlan:
    """A sheet of tables, one below the other; `kind` is input, working or result."""

    title: str
    kind: str
    intro: str
    tables: tuple[str, ...]


SUMMARY, ABOUT, SOURCES, COLUMNS, GROUND_PATH = "Summary", "About", "Sources", "Columns", "Ground path"
CREW = "Crew"
"""Sheets with a page or a chart of their own: summary.py, about.py, columns.py, ground_path.py, crew.py."""

SHEETS = (
    SheetPlan(
        SUMMARY,
        "result",
        "One page: totals, what to look at first, boxes by size, charts.",
        ("totals", "warnings", "box_counts"),
    ),
    SheetPlan(ABOUT, "result", "What it is, how to use it, what it was built from, and what it cannot do.", ()),
    SheetPlan(
        "Inputs",
        "input",
        "Change a value here and every sheet follows.",
        ("numbers", "choices", "texts", "built_with", "families", "accepted"),
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
        "Schedule",
        "input",
        "One row for each box with the run that feeds it; blanks are filled in as the README says.",
        ("schedule",),
    ),
    SheetPlan("Circuit data", "input", "The circuits as read.", ("circuits",)),
    SheetPlan(
        "Types",
        "working",
        "Boxes with the same make-up are one type: what it is, how often it is built, and its circuit side.",
        ("types",),
    ),
    SheetPlan(
        "Conductors",
        "working",
        "Every conductor role of every type: how many ends meet, and whether they land, pass or are spliced.",
        ("roles",),
    ),
    SheetPlan(
        "Bonds and fill",
        "working",
        "What each type brings to the ground path and to box fill, whatever the construction.",
        ("type_sums", "fill", "spares"),
    ),
    SheetPlan(
        "Make-up",
        "working",
        "The ground path of one box of each type in each construction: what is spliced and what lands where.",
        ("makeup",),
    ),
    SheetPlan(
        "Box fill",
        "working",
        "Fill with the grounding conductors of the construction, and the smallest box that holds it.",
        ("fits",),
    ),
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
    SheetPlan(CREW, "result", "One page to print for each of the most frequent make-up types.", ()),
    SheetPlan(
        "Box data", "working", "One row for each box: its type and what is the same in every construction.", ("boxes",)
    ),
    SheetPlan(
        "Box workings",
        "working",
        "Each box in each construction compared: where its figures stand, feet, minutes and cost by part.",
        ("each",),
    ),
    SheetPlan("Box work", "working", "The counted quantities of one box and the minutes they take.", ("work",)),
    SheetPlan("Box material", "working", "The material of one box, and how often it is built.", ("costs",)),
    SheetPlan("Runs", "working", "The catalog cable that serves each kind of run in each construction.", ("runs",)),
    SheetPlan(
        "Run rates",
        "working",
        "What a foot of each kind of run costs and takes, its ends and its supports.",
        ("run_costs",),
    ),
    SheetPlan("Run totals", "working", "The runs of the job and the feet bought, by kind.", ("orders",)),
    SheetPlan(
        "Run checks",
        "working",
        "Each kind of run of each circuit in each construction: its ground conductor, and what its conductors carry.",
        ("run_tests",),
    ),
    SheetPlan(
        "Circuit workings",
        "working",
        "Each circuit in each plan compared: where its figures stand, checks, hours and cost.",
        ("verdicts",),
    ),
    SheetPlan(
        "Options",
        "working",
        "Each circuit in each construction: every check, and why a plan passes over a construction.",
        ("options",),
    ),
    SheetPlan("Spaces", "working", "Each kind of space of each circuit in each construction.", ("space_tests",)),
    SheetPlan(
        "Circuit checks",
        "working",
        "Checks that come out the same in every construction: load, shared neutrals, isolated grounds, voltage drop.",
        ("circuit_tests", "voltages"),
    ),
    SheetPlan(
        "Paths",
        "working",
        "From the panel to every box: feet, resistance, current, voltage drop; a box stands behind the one feeding it.",
        ("paths",),
    ),
    SheetPlan(
        "Faults",
        "working",
        "A ground fault at the farthest box of every circuit in every construction.",
        ("faults",),
    ),
    SheetPlan("Far ends", "working", "The farthest box of every circuit.", ("far_ends",)),
    SheetPlan("Ohms", "working", "Resistance of cables, raceways and runs.", ("run_ohms", "ohms")),
    SheetPlan(
        "Conditions",
        "working",
        "What the inputs for temperature come to, and sizes.",
        ("conditions", "temperatures", "sizes", "wirings"),
    ),
    SheetPlan(
        "Plan places", "working", "The constructions of each plan, in order, for every circuit.", ("plan_places",)
    ),
    SheetPlan(
        "Wiring plan",
        "working",
        "What each circuit is wired in: the first of the plan that may serve it, or as the circuit data say.",
        ("plan",),
    ),
    SheetPlan(
        "Crew workings",
        "working",
        "The crew pages: figures of one box in the two plans, its steps and what changes, and the lines of each page.",
        ("crew_boxes", "crew_steps", "crew_lines"),
    ),
    SheetPlan("Home runs", "working", "Terminations at the panel ends of home runs.", ("home_runs",)),
    SheetPlan(
        "Base", "working", "Totals against the base; n/c where one of the two is not complete.", ("against_base",)
    ),
    SheetPlan("Mix", "working", "Counted quantities by what was compared and what was wired.", ("mix",)),
    SheetPlan("Labor lines", "working", "Counted quantity x minutes for one.", ("labor_lines",)),
    SheetPlan(
        "Material lines",
        "working",
        "Where the quantity of every item comes from, with waste, and what it costs.",
        ("material_lines", "small_parts"),
    ),
    SheetPlan(
        "Rates", "working", "Minutes and small parts for one of each counted quantity.", ("rates", "driver_costs")
    ),
    SheetPlan(
        "Rate lines",
        "working",
        "Constructions at work as figures, and the minutes and small parts in use.",
        ("methods", "part_costs", "steps"),
    ),
    SheetPlan(
        "Unit costs",
        "working",
        "Cost of one item with the waste of its family; figures of the code in force; boxes by volume.",
        ("code", "box_choices", "unit_costs"),
    ),
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
    SheetPlan(
        "Checks",
        "result",
        "What was read equals what is shown, and totals equal the sums of their parts: no difference may remain.",
        ("master", "proofs", "figures", "reading"),
    ),
    SheetPlan(COLUMNS, "result", "Every computed column: where it stands, what it is, and its first formula.", ()),
    SheetPlan(SOURCES, "result", "Cautions, notices, and where every figure comes from.", ()),
)

KIND_WORDS = {
    "input": "Input sheet",
    "working": "Working sheet: formulas only",
    "result": "Result sheet: formulas only",
}
