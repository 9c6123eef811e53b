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
SWAP, PROPOSAL = "Swap", "Proposal"
"""Sheets with a page or a chart of their own, in the modules of their names."""

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
        ("numbers", "dates", "choices", "texts", "built_with", "families", "packages", "accepted"),
    ),
    SheetPlan(
        "Minutes",
        "input",
        "Minutes for one of each counted quantity, in working order; a row for one construction goes first.",
        ("operations", "uses"),
    ),
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
        "Bid",
        "result",
        "From cost to bid in every plan compared; lines of the user with their own tax, hours and markup.",
        ("bid_sheet",),
    ),
    SheetPlan(SWAP, "result", "One plan against another on what remains of the work.", ("swap_by_area",)),
    SheetPlan(
        "Sensitivity",
        "result",
        "How the net saving of the swap moves with every range, and the chance that it comes to so much or less.",
        ("tornado", "risk_curve"),
    ),
    SheetPlan(PROPOSAL, "result", "One page to sign: what a public construction contract asks of a change.", ()),
    SheetPlan(
        "Order",
        "result",
        "What to buy in packages, rounded up once for the job; cable by the cutting plan of the build.",
        ("order_state", "cable_orders", "order_list"),
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
    SheetPlan(
        "Crew rates",
        "working",
        "What an hour of the crew costs, built up from wages, fringes, taxes and insurance.",
        ("labor_rate", "crew_rates", "burden_lines"),
    ),
    SheetPlan(
        "Practice",
        "working",
        "Factors of the conditions of the work, and what a crew learns on boxes of one type.",
        ("learning_slope", "area_work", "own_work", "type_practice", "learning"),
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
    SheetPlan("Line prices", "working", "Lines that the user adds to the bid, priced.", ("line_prices",)),
    SheetPlan("Bid workings", "working", "From cost to bid, one row for each plan.", ("bid_rates", "bid")),
    SheetPlan(
        "Swap workings",
        "working",
        "The swap by area and as a whole, break-evens, sharing.",
        ("swap", "break_evens", "sharing", "plan_heads", "swap_areas"),
    ),
    SheetPlan(
        "Range workings",
        "working",
        "The net saving with one range at a time at its low and high end, and with all of them at their means.",
        ("spreads", "swings", "cases"),
    ),
    SheetPlan(
        "Risk",
        "working",
        "Draws computed on the build, and whether what they rest on was changed since.",
        ("risk", "risk_basis", "risk_ranges"),
    ),
    SheetPlan("Area totals", "working", "Everything added up by area, for every plan.", ("area_totals",)),
    SheetPlan("Circuit costs", "working", "Every circuit in every plan by its cost.", ("mix_places",)),
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
        "Quote lines",
        "working",
        "Each quoted price as cost of one: which counts, whether it has expired, slips of the unit of measure.",
        ("quote_lines",),
    ),
    SheetPlan(
        "Unit costs",
        "working",
        "Cost of one item with the waste of its family; figures of the code in force; boxes by volume.",
        ("code", "box_choices", "list_costs", "unit_costs"),
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
