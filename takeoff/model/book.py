"""The whole model: every table of the workbook in one book."""

from __future__ import annotations

from collections.abc import Callable

from takeoff.engine.tables import Book, Table
from takeoff.job.inputs import Inputs
from takeoff.model.boxes import makeup as grounds
from takeoff.model.boxes import roles, runs, spares, types, work
from takeoff.model.cost import best_mix as mix
from takeoff.model.cost import bid, boxes, each, labor, material, proofs, quantities, totals
from takeoff.model.frame import Frame
from takeoff.model.givens import catalogs as catalog_tables
from takeoff.model.givens import conditions, job, practice, prices, wages
from takeoff.model.givens import constructions as methods
from takeoff.model.givens import inputs as input_tables
from takeoff.model.order import crew
from takeoff.model.order import cutting as cable_tables
from takeoff.model.order.cables import CableOrder, cable_orders
from takeoff.model.order.order import order_tables
from takeoff.model.rules import circuits, options, paths, plan, short_time
from takeoff.model.rules import fault_loop as faults
from takeoff.model.rules import run_checks as run_tests
from takeoff.model.swap import break_even, ranges, sharing, swap
from takeoff.model.swap.risk import risk_tables

MAKERS: tuple[Callable[[Frame], Table], ...] = (
    totals.totals_table,
    totals.warnings_table,
    totals.against_base_table,
    totals.box_counts_table,
    wages.burden_lines_table,
    wages.crew_rates_table,
    wages.labor_rate_table,
    practice.areas_table,
    practice.area_work_table,
    practice.own_work_table,
    practice.learning_slope_table,
    practice.learning_table,
    practice.type_practice_table,
    job.schedule_table,
    job.circuits_table,
    job.wirings_table,
    job.voltages_table,
    catalog_tables.code_table,
    prices.quotes_table,
    prices.quote_lines_table,
    prices.list_costs_table,
    prices.unit_costs_table,
    catalog_tables.box_choices_table,
    methods.methods_table,
    methods.steps_table,
    methods.rates_table,
    methods.part_costs_table,
    methods.driver_costs_table,
    types.types_table,
    types.type_sums_table,
    roles.roles_table,
    roles.fill_table,
    runs.runs_table,
    runs.run_costs_table,
    runs.orders_table,
    spares.spares_table,
    grounds.makeup_table,
    grounds.fits_table,
    work.work_table,
    work.costs_table,
    conditions.conditions_table,
    conditions.temperatures_table,
    conditions.sizes_table,
    run_tests.run_tests_table,
    options.check_list_table,
    options.space_tests_table,
    options.options_table,
    plan.plan_places_table,
    plan.plan_table,
    paths.ohms_table,
    paths.run_ohms_table,
    paths.paths_table,
    faults.far_ends_table,
    faults.faults_table,
    short_time.melting_table,
    short_time.short_times_table,
    short_time.curves_table,
    short_time.lengths_table,
    circuits.circuit_tests_table,
    circuits.verdicts_table,
    circuits.circuit_outcomes_table,
    circuits.findings_table,
    boxes.boxes_table,
    each.each_table,
    boxes.results_table,
    mix.area_totals_table,
    mix.by_area_table,
    mix.mix_places_table,
    mix.mix_choices_table,
    mix.mix_counts_table,
    mix.best_mix_table,
    mix.simplicity_table,
    swap.swap_circuits_table,
    swap.swap_areas_table,
    swap.swap_table,
    sharing.swap_by_area_table,
    sharing.plan_heads_table,
    sharing.sharing_table,
    break_even.break_evens_table,
    ranges.spreads_table,
    ranges.cases_table,
    ranges.swings_table,
    ranges.tornado_table,
    cable_tables.run_sums_table,
    bid.bid_lines_table,
    bid.late_changes_table,
    bid.line_prices_table,
    bid.bid_rates_table,
    bid.bid_table,
    bid.bid_sheet_table,
    quantities.mix_table,
    quantities.quantities_table,
    labor.labor_table,
    labor.labor_lines_table,
    labor.labor_difference_table,
    labor.labor_basis_table,
    material.small_parts_table,
    material.material_lines_table,
    material.material_table,
    totals.home_runs_table,
    proofs.reading_table,
    proofs.figures_table,
    proofs.proofs_table,
    proofs.master_table,
)


def build_book(frame: Frame, inputs: Inputs) -> Book:
    """Return the book of one build; values are computed when they are read.

    Parameters
    ----------
    frame
        Wired job, make-up types, catalogs and constructions compared.
    inputs
        Every input by name.
    """
    tables = [*catalog_tables.catalog_tables(frame), *(make(frame) for make in MAKERS)]
    tables += [
        make(frame, inputs)
        for make in (
            input_tables.numbers_table,
            input_tables.dates_table,
            input_tables.choices_table,
            input_tables.texts_table,
            input_tables.built_with_table,
            input_tables.accepted_table,
            crew.crew_boxes_table,
            crew.crew_steps_table,
            crew.crew_lines_table,
        )
    ]
    return Book(tables, inputs)


def complete(book: Book, frame: Frame, inputs: Inputs) -> list[CableOrder]:
    """Add what no formula can compute, cutting plans and draws of the risk, and compute every column.

    Returns
    -------
    The cable order of every cable in every plan.
    """
    orders = cable_orders(book, frame, float(inputs["cut_waste_ft"]))
    book.add(risk_tables(book, frame, inputs))
    book.add(order_tables(book, frame, orders))
    for table in list(book.tables.values()):
        for column in table.columns:
            book.values(table.name, column.name)
    return orders
