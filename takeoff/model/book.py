"""The whole model: every table of the workbook in one book."""

from __future__ import annotations

from collections.abc import Callable

from takeoff.model import (
    boxes,
    catalog_tables,
    circuits,
    conditions,
    crew,
    each,
    faults,
    grounds,
    job,
    labor,
    material,
    methods,
    options,
    paths,
    plan,
    proofs,
    quantities,
    roles,
    run_tests,
    runs,
    short_time,
    spares,
    totals,
    types,
    work,
)
from takeoff.model import inputs as input_tables
from takeoff.model.frame import Frame
from takeoff.settings import Inputs
from takeoff.tables import Book, Table

MAKERS: tuple[Callable[[Frame], Table], ...] = (
    totals.totals_table,
    totals.warnings_table,
    totals.against_base_table,
    totals.box_counts_table,
    job.schedule_table,
    job.circuits_table,
    job.wirings_table,
    job.voltages_table,
    catalog_tables.code_table,
    catalog_tables.unit_costs_table,
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
    quantities.mix_table,
    quantities.quantities_table,
    labor.labor_table,
    labor.labor_lines_table,
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
