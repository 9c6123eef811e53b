"""Sheets with the steps between inputs and results; one entry is one sheet."""

from __future__ import annotations

from takeoff.workbook.sheets.plan import SheetPlan

WORKINGS = (
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
    SheetPlan("Bid workings", "working", "From cost to bid, one row for each plan.", ("bid_rates", "bid")),
    SheetPlan(
        "Swap workings",
        "working",
        "The swap by area and as a whole, break-evens, sharing.",
        ("swap", "break_evens", "sharing", "plan_heads", "swap_areas", "swap_circuits"),
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
    SheetPlan(
        "Order workings",
        "working",
        "How packages are counted, and whether runs are as they were when the cutting plans were made.",
        ("run_sums", "run_changes", "order_counts"),
    ),
    SheetPlan("Area totals", "working", "Everything added up by area, for every plan.", ("area_totals",)),
    SheetPlan("Circuit costs", "working", "Every circuit in every plan by its cost.", ("mix_places",)),
    SheetPlan(
        "Crew workings",
        "working",
        "The crew pages: figures of one box in the two plans, its steps and what changes, and the lines of each page.",
        ("crew_boxes", "crew_steps", "crew_lines"),
    ),
    SheetPlan("Proof figures", "working", "Both sides of every proof, in every plan compared.", ("figures",)),
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
)
"""From the arithmetic of one make-up type to the rates in use."""
