"""The whole model: every table of the workbook in one book."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from takeoff.engine.check import check
from takeoff.engine.tables import Book, Table
from takeoff.job.inputs import Inputs
from takeoff.model.boxes import allowances, grounds, makeup, roles, runs, spares, tails, types, work
from takeoff.model.cost import (
    best_mix,
    bid,
    boxes,
    control,
    counts,
    decision,
    each,
    guards,
    labor,
    make_up_range,
    material,
    own_lines,
    pair,
    parts,
    proofs,
    quantities,
    routing,
    seams,
    spacing,
    states,
    stops,
    totals,
    weights,
)
from takeoff.model.cost.invented import invented_tables
from takeoff.model.frame import Frame
from takeoff.model.givens import (
    catalogs,
    conditions,
    constructions,
    facts,
    inputs,
    job,
    metals,
    practice,
    prices,
    quotes,
    scopes,
    wages,
    words,
)
from takeoff.model.order import cable_priced, changes, crew_choice, rest
from takeoff.model.order.cables import CableOrder, cable_orders
from takeoff.model.order.order import order_tables
from takeoff.model.rules import (
    circuits,
    fault_loop,
    findings,
    inspection,
    open_facts,
    options,
    paths,
    plan,
    resistance,
    run_checks,
    short_time,
    spaces,
)
from takeoff.model.swap import blocked, break_even, measured, mixed, ranges, sharing, swap, whole
from takeoff.model.swap.risk import risk_tables
from takeoff.model.trace.terms import trace_tables

MAKERS: tuple[Callable[[Frame], Table], ...] = (
    scopes.scopes_table,
    totals.plan_sums_table,
    totals.plan_flags_table,
    totals.against_base_table,
    *(stops.stop_list_table, stops.stop_lines_table, stops.stop_count_table),
    *(stops.stop_names_table, stops.circuit_stops_table),
    states.demonstration_table,
    *(pair.ranks_table, pair.pair_table, pair.pair_parts_table, pair.pair_bars_table),
    decision.moves_table,
    decision.sureness_table,
    weights.circuit_weights_table,
    weights.heaviest_table,
    decision.decision_table,
    parts.parts_table,
    parts.basis_table,
    counts.box_counts_table,
    inputs.held_inputs_table,
    *(wages.burden_lines_table, wages.crew_rates_table, wages.labor_rate_table),
    *(practice.areas_table, practice.area_work_table, practice.own_work_table, practice.condition_hours_table),
    practice.learning_slope_table,
    practice.learning_table,
    practice.type_practice_table,
    job.schedule_table,
    job.circuits_table,
    job.wirings_table,
    job.voltages_table,
    job.compared_table,
    job.base_table,
    run_checks.alikes_table,
    catalogs.code_table,
    words.words_table,
    quotes.quotes_table,
    quotes.quote_lines_table,
    prices.list_costs_table,
    prices.held_families_table,
    prices.unit_costs_table,
    metals.metal_prices_table,
    catalogs.box_choices_table,
    constructions.in_use_table,
    constructions.steps_table,
    constructions.rates_table,
    constructions.part_costs_table,
    constructions.driver_costs_table,
    allowances.sizes_in_force_table,
    allowances.parts_in_force_table,
    types.type_counts_table,
    types.types_table,
    types.type_sums_table,
    roles.roles_table,
    roles.fill_table,
    roles.joints_table,
    runs.runs_table,
    runs.run_costs_table,
    runs.orders_table,
    tails.tails_table,
    spares.spares_table,
    grounds.make_up_now_table,
    grounds.grounds_table,
    grounds.grounds_now_table,
    makeup.makeup_table,
    makeup.fits_table,
    work.work_table,
    work.costs_table,
    work.built_table,
    facts.facts_asked_table,
    facts.fact_choices_table,
    facts.space_answers_table,
    conditions.conditions_table,
    conditions.temperatures_table,
    conditions.sizes_table,
    run_checks.ampacities_table,
    run_checks.run_tests_table,
    run_checks.option_runs_table,
    options.check_list_table,
    spaces.space_outcomes_table,
    spaces.space_tests_table,
    options.options_table,
    plan.plan_places_table,
    plan.plan_table,
    plan.wiring_table,
    resistance.ohms_table,
    resistance.run_ohms_table,
    paths.paths_table,
    fault_loop.far_ends_table,
    fault_loop.faults_table,
    short_time.melting_table,
    short_time.short_times_table,
    short_time.curves_table,
    circuits.circuit_tests_table,
    circuits.verdicts_table,
    inspection.inspected_table,
    open_facts.open_facts_table,
    findings.circuit_outcomes_table,
    findings.findings_table,
    boxes.boxes_table,
    each.each_table,
    seams.seams_table,
    boxes.box_outcomes_table,
    quantities.area_totals_table,
    quantities.by_area_table,
    best_mix.mix_places_table,
    best_mix.mix_choices_table,
    best_mix.mix_counts_table,
    best_mix.best_mix_table,
    best_mix.simplicity_table,
    swap.swap_circuits_table,
    swap.swap_areas_table,
    rest.rest_now_table,
    swap.relearning_table,
    whole.swap_table,
    sharing.swap_by_area_table,
    sharing.plan_heads_table,
    sharing.sharing_table,
    break_even.break_evens_table,
    break_even.break_even_points_table,
    ranges.spreads_table,
    ranges.cases_table,
    ranges.swings_table,
    ranges.tornado_table,
    changes.run_sums_table,
    changes.package_changes_table,
    cable_priced.cable_way_table,
    cable_priced.cable_more_table,
    cable_priced.cable_priced_table,
    own_lines.bid_lines_table,
    own_lines.late_changes_table,
    own_lines.line_prices_table,
    bid.bid_rates_table,
    bid.bid_table,
    bid.bid_sheet_table,
    quantities.mix_table,
    quantities.efforts_table,
    quantities.quantities_table,
    labor.labor_table,
    labor.labor_lines_table,
    labor.labor_difference_table,
    labor.labor_basis_table,
    material.small_parts_table,
    material.material_table,
    counts.home_runs_table,
    make_up_range.tail_minutes_table,
    make_up_range.ground_built_table,
    make_up_range.ground_efforts_table,
    make_up_range.ground_hours_table,
    make_up_range.make_up_range_table,
    proofs.reading_table,
    proofs.figures_table,
    proofs.proofs_table,
)


CONTROL: tuple[Callable[[Frame], Table], ...] = (
    roles.control_roles_table,
    roles.control_joints_table,
    roles.joint_sums_table,
    control.control_lines_table,
)
"""Tables of a job that has control pairs."""

SOME: tuple[Callable[[Frame], Iterable[Table]], ...] = (
    *(spacing.spacing_tables, counts.stock_tables, routing.route_hours_tables),
    *(mixed.mixed_tables, measured.measured_tables),
)
"""Tables that only some jobs have."""

GIVEN: tuple[Callable[[Frame, Inputs], Table], ...] = (
    *(inputs.numbers_table, inputs.dates_table, inputs.choices_table),
    *(inputs.texts_table, inputs.built_with_table, inputs.accepted_table),
)
"""Tables of the inputs."""

LATE: tuple[Callable[[Frame], Table], ...] = (
    states.job_stops_table,
    states.standing_table,
    states.master_table,
    totals.totals_table,
)
"""Tables that read whether the cutting plans and the risk are still those of the build."""


def build_book(
    frame: Frame,
    given: Inputs,
    planned: bool = True,
    find_rest: Callable[[Book, list[CableOrder]], rest.Rest] | None = None,
) -> tuple[Book, list[CableOrder], rest.Rest]:
    """Return the book of one build, whose values are computed when they are read, every cable's order, what remains.

    Parameters
    ----------
    frame
        Wired job, make-up types, catalogs and plans compared.
    given
        Every input by name.
    planned
        Whether the cable order is planned: a price by packages needs it, the search for the best mix does not.
    find_rest
        Says what remains from the book and its orders; all of it where nobody does.
    """
    tables = [*catalogs.catalog_tables(frame), *(make(frame) for make in MAKERS)]
    tables += [make(frame) for make in CONTROL if frame.control_boxes]
    tables += [table for make in SOME for table in make(frame)] + [make(frame, given) for make in GIVEN]
    book = Book(tables, given)
    orders = cable_orders(book, frame, float(given["cut_waste_ft"])) if planned else []
    book.add(cable_priced.bought_tables(book, frame, orders))
    left = find_rest(book, orders) if find_rest else rest.rest_of(book, frame, orders)
    book.add([*rest.rest_tables(book, frame, left), *blocked.blocked_tables(book, frame)])
    check(book)
    return book, orders, left


def complete(book: Book, frame: Frame, given: Inputs, orders: Sequence[CableOrder]) -> None:
    """Add what no formula can compute, cutting plans and draws of the risk, and compute every column."""
    checked = set(book.tables)
    book.add([*risk_tables(book, frame, given), *order_tables(book, frame, orders)])
    book.add([make(frame) for make in LATE])
    book.add([*crew_choice.crew_tables(book, frame), *invented_tables(book, frame)])
    book.add(trace_tables(book, frame))
    book.add(guards.guard_tables(book))
    book.add([guards.error_cells_table(book, [*guards.NAMES.values(), "error_cells"])])
    check(book, checked=checked)
    for table in list(book.tables.values()):
        for column in table.columns:
            book.values(table.name, column.name)
