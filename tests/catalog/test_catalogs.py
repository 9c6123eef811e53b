"""The catalogs: every row has a source, every table agrees with a published copy or a computed relation."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from takeoff.catalog.load import areas_cmil, load_catalogs
from takeoff.catalog.rows import Catalogs
from takeoff.model.givens.catalogs import SHOWN
from takeoff.text.problems import InputError
from tests.conftest import ROOT, Counter
from tests.copies import PUBLISHED, WORKED, number, published, worked


def test_every_row_has_a_source_and_invented_figures_say_so(catalogs: Catalogs):
    for catalog in catalogs.values():
        assert all(str(row["source"]).strip() for row in catalog), catalog.name
    invented = [*catalogs["prices"], *catalogs["operations"], *catalogs["families"]]
    real = [r for r in invented if "illustrative" not in str(r["source"])]
    assert [r["item"] for r in real] == ["none"]


def test_every_published_row_and_every_case_names_its_source():
    for folder, read in ((PUBLISHED, published), (WORKED, worked)):
        found = list(folder.glob("*.csv"))
        assert len(found) > 2
        for path in found:
            assert all(row["source"] for row in read(path.stem)), path.name


def test_volume_allowances_against_the_published_table(catalogs: Catalogs):
    for edition in ("2017", "2020", "2023"):
        ours = {str(r["awg"]): r["volume_in3"] for r in catalogs["allowances"] if r["edition"] == edition}
        assert ours == {r["awg"]: float(r["volume_in3"]) for r in published("volume_allowances")}


def test_box_volumes_against_the_published_table(catalogs: Catalogs):
    table = {r["box"]: float(r["volume_in3"]) for r in published("box_volumes")}
    ours = {r["key"]: r["volume_in3"] for r in catalogs["box_sizes"] if r["key"] in table}
    assert ours == table
    masonry = [k for k in catalogs["box_sizes"].keys if k.startswith("masonry")]
    for key in masonry:  # the table gives a volume for each gang
        base, _, gangs = key.rpartition("-")
        assert catalogs["box_sizes"][key]["volume_in3"] == int(gangs[0]) * table[f"{base}-1gang"]


def test_grounding_conductor_sizes_against_the_published_table(catalogs: Catalogs):
    table = [(float(r["breaker_a"]), r["copper_awg"], r["aluminum_awg"]) for r in published("egc_sizes")]
    for edition in ("2017", "2020", "2023"):
        rows = [r for r in catalogs["egc_sizes"] if r["edition"] == edition]
        assert [(r["breaker_a"], r["copper_awg"], r["aluminum_awg"]) for r in rows] == table
    areas = areas_cmil(catalogs)
    for before, after in pairwise(table):
        assert before[0] < after[0]
        assert areas[before[1]] < areas[after[1]]
        assert areas[before[2]] < areas[after[2]]
    assert all(areas[copper] < areas[aluminum] for _, copper, aluminum in table)


def test_trap_4_a_20_a_circuit_asks_10_awg_of_aluminum(catalogs: Catalogs):
    row = catalogs["egc_sizes"]["2023|20"]
    assert (row["copper_awg"], row["aluminum_awg"]) == ("12", "10")


def test_ampacities_against_the_published_column(catalogs: Catalogs):
    table = {r["awg"]: float(r["copper_60c_a"]) for r in published("copper_60c")}
    ours = {str(r["awg"]): r["copper_60c_a"] for r in catalogs["conductors"] if r["copper_60c_a"]}
    assert ours == table


def test_areas_against_the_definition_of_the_gauge(catalogs: Catalogs):
    """ASTM B258: d = 5 x 92^((36 - n) / 39) mil, area = d^2; the code's table rounds within 0.3 %."""
    for awg, area in areas_cmil(catalogs).items():
        assert (5 * 92 ** ((36 - int(awg)) / 39)) ** 2 == pytest.approx(area, rel=0.003), awg


def test_raceway_sizes_hold_their_conductors(catalogs: Catalogs):
    """NEC Chapter 9 Tables 1, 4 and 5 (EMT, thermoplastic nylon-jacketed conductors; from memory).

    53 % of the tubing for one conductor, 31 % for two, 40 % for more.
    """
    wire = {"14": 0.0097, "12": 0.0133, "10": 0.0211, "8": 0.0366, "6": 0.0507, "4": 0.0824, "3": 0.0973, "2": 0.1158}
    tube = {"1/2": 0.304, "3/4": 0.533, "1": 0.864, "1-1/4": 1.496}
    for row in (r for r in catalogs["cables"] if str(r["construction"]).startswith("emt")):
        inside = int(number(row["conductors"])) + (row["egc_awg"] != "none")
        need = number(row["conductors"]) * wire[str(row["awg"])] + wire.get(str(row["egc_awg"]), 0)
        share = {1: 0.53, 2: 0.31}.get(inside, 0.40)
        fits = [size for size, area in tube.items() if need <= share * area]
        assert row["fitting_size"] == fits[0], row["key"]


def test_the_bond_strip_does_not_grow_with_the_cable(catalogs: Catalogs):
    """Trap 3: the strip under the armor of Type AC stays 16 AWG aluminum (UL 4; NEC 320.100)."""
    strips = {str(r["bare_awg"]) for r in catalogs["cables"] if str(r["construction"]).startswith("ac")}
    assert strips == {"16"}


def test_bushings_are_required_for_type_ac_only(catalogs: Catalogs):
    """NEC 320.40; the fittings of Type MC need none."""
    required = {r["key"] for r in catalogs["constructions"] if r["anti_short_bushing"]}
    assert required == {"ac", "ac-redundant"}


def test_support_distances_against_the_code(catalogs: Catalogs):
    """NEC 320.30(B): 12 in and 4.5 ft; 330.30(B): 12 in and 6 ft; 358.30(A): 36 in and 10 ft."""
    ours = {r["key"]: (r["support_near_in"], r["support_interval_ft"]) for r in catalogs["constructions"]}
    assert ours["ac"] == ours["ac-redundant"] == (12, 4.5)
    assert ours["mc-wire"] == ours["mc-armor"] == ours["mc-redundant"] == (12, 6)
    assert ours["emt-wire"] == (36, 10)


def test_every_construction_has_a_rule_for_every_space_edition_and_fitting(catalogs: Catalogs):
    for edition in catalogs["editions"].keys:
        for construction in catalogs["constructions"].keys:
            assert f"{edition}|{construction}" in catalogs["egc_rules"]
            for space in catalogs["spaces"].keys:
                assert f"{edition}|{construction}|{space}" in catalogs["space_rules"]
            for family in catalogs["fittings"].texts("fitting_family"):
                assert f"{edition}|{construction}|{family}" in catalogs["fitting_rules"]


def test_every_cable_has_its_fitting(catalogs: Catalogs):
    for row in catalogs["cables"]:
        family = catalogs["constructions"][str(row["construction"])]["fitting_family"]
        assert f"{family}|{row['fitting_size']}" in catalogs["fittings"]


def test_every_catalog_is_shown_in_the_workbook(catalogs: Catalogs):
    apart = {
        "schema",
        "aliases",
        "form_columns",
        "inputs",
        "cautions",
        "limits",
        "definitions",
        "timing_points",
        "timing_advice",
        "training",
        "minute_ranges",
        "learning",
        "sources",
    }  # shown as notices where taken, on the form, as inputs, on the sheets about and sources, on the blank sheets of a time study, in the training pack, as is learning; ranges of measured minutes are read by other tables
    assert set(SHOWN) == set(catalogs) - apart


def test_every_csv_has_a_schema():
    shipped = {p.stem for p in (ROOT / "catalogs").glob("*.csv")}
    assert shipped == set(load_catalogs())


def test_a_patient_care_circuit_needs_both_paths(catalogs: Catalogs):
    """NEC 517.13(A) and (B): the armor recognized by itself, and an insulated copper conductor; trap 11."""
    outcome = {c: catalogs["space_rules"][f"2023|{c}|patient-care"]["outcome"] for c in catalogs["constructions"].keys}
    assert [c for c, o in outcome.items() if o == "meets"] == ["ac-redundant", "mc-redundant", "emt-wire"]


def overlay(folder: Path, **texts: str) -> Path:
    for name, text in texts.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    return folder


def test_an_overlay_changes_the_columns_it_fills_and_names_itself_as_source(tmp_path: Path):
    catalogs = load_catalogs(overlay(tmp_path, prices="item,price_usd\nmc-wire-12-2,999\n"))
    row = catalogs["prices"]["mc-wire-12-2"]
    assert (row["price_usd"], row["unit"]) == (999, "M")
    assert row["source"] == "user catalog prices.csv, row 2"
    assert load_catalogs()["prices"]["mc-wire-12-2"]["price_usd"] != 999


EGC_FIGURES = ("egc_first_count", "egc_extra_allowance", "isolated_set_allowance")


def test_a_new_construction_and_a_new_edition_need_rows_only(count: Counter):
    """Rows alone: a construction of our own invention, and an edition whose grounds all count by a quarter."""
    catalogs = load_catalogs()
    checks, figures = catalogs["checks"].texts("check"), catalogs["rules"].texts("rule")
    bands, counts = catalogs["ambient"].texts("to_f"), catalogs["adjustments"].texts("ccc_to")
    files = {
        "editions": "edition,title,source\n2099,an edition of the test,test\n",
        "constructions": "construction,title,wiring_kind,egc_kind,egc_size_rule,armor,bond_strip,bare_conductor,"
        "anti_short_bushing,fitting_family,support_near_in,support_interval_ft,support_section,source\n"
        "mc-double,cable of the test,cable,wire,copper,1,0,0,0,mc,12,6,330.30,test\n",
        "cables": "construction,awg,conductors,egc_awg,bare_awg,sheath_item,wire_item,egc_item,fitting_size,"
        "route_factor,source\nmc-double,12,2,10,none,mc-wire-12-2,none,none,3/8,1,test\n",
        "rules": "rule,editions,value,unit,section,title,source\negc_first_count,2099,1,EGC,314.16,first,test\n"
        "egc_extra_allowance,2099,0.5,allowance,314.16,further,test\n"
        "isolated_set_allowance,2099,0,allowance,314.16,isolated,test\n"
        + "".join(f"{f},2099,1,x,T,of the test,test\n" for f in figures if f not in EGC_FIGURES),
        "allowances": "awg,editions,volume_in3,section,source\n"
        + "".join(f"{awg},2099,{4 if awg == 10 else 3},T,test\n" for awg in (18, 16, 14, 12, 10, 8, 6)),
        "checks": "check,editions,section,title,source\n" + "".join(f"{c},2099,T,of the test,test\n" for c in checks),
        "ambient": "to_f,editions,factor_60c,factor_75c,factor_90c,section,source\n"
        + "".join(f"{f},2099,1,1,1,T,test\n" for f in bands),
        "adjustments": "ccc_to,editions,percent,section,source\n" + "".join(f"{c},2099,100,T,test\n" for c in counts),
        "fill_parts": "part,editions,allowances_each,section,title,source\nconductor,2099,1,T,conductor,test\n"
        "yoke-gang,2099,2,T,yoke,test\n"
        + "".join(f"{p},2099,1,T,{p},test\n" for p in ("lead", "clamps", "support-fitting", "terminal-block")),
        "egc_sizes": "breaker_a,editions,copper_awg,aluminum_awg,section,source\n20,2099,12,10,T,test\n",
        "breakers": "rating_a,editions,source\n20,2099,test\n",
    }
    counted = count(
        "box,circuit,device,run_ft\nA,P-1,duplex,20\nB,P-1,duplex,9\n",
        "code_edition=2099",
        compared="mc-double-first",
        **files,
    )
    # four conductors and a yoke of 3 in3 each, two 10 AWG grounds: 1 + 0.5 allowances of 4 in3
    assert counted.box("A", "mc-double-first")["fill_in3"] == 4 * 3 + 2 * 3 + 1.5 * 4
    assert counted.counts("A", "mc-double-first") == (8, 2, 6, 1)


def test_an_overlay_of_inputs_and_of_fixed_keys_in_capitals(tmp_path: Path):
    files = {
        "inputs": "name,value\nlabor_rate_usd_per_h,50\n",
        "rules": "rule,editions,value\nEGC_FIRST_COUNT,2023,5\n",
    }
    catalogs = load_catalogs(overlay(tmp_path, **files))
    assert catalogs["inputs"]["labor_rate_usd_per_h"]["value"] == "50"
    assert catalogs["rules"]["2023|egc_first_count"]["value"] == 5


BAD_OVERLAYS = [
    (
        "prices",
        "item,prise_usd\nmc-wire-12-2,9\n",
        "prices.csv:1:prise_usd: is not a column of this catalog; accepted: item, title, family, unit, price_usd, date, source",
    ),
    ("prices", "price_usd\n9\n", "prices.csv:1:item: is missing from the header; the key columns item"),
    (
        "prices",
        "item,price_usd\nmc-wire-12-2,9\nmc-wire-12-2,8\n",
        'prices.csv:3:item: has the key of row 2 "mc-wire-12-2"; one row for each key',
    ),
    (
        "prices",
        "item,price_usd\nmc-wire-12-2,-9\n",
        'prices.csv:2:price_usd: is too small: "-9"; a number not under 0, with a decimal point',
    ),
    (
        "prices",
        "item,price_usd\nmc-wire-12-2,9 USD\n",
        'prices.csv:2:price_usd: is not accepted: "9 USD"; a number not under 0, with a decimal point',
    ),
    (
        "prices",
        "item,unit\nmc-wire-12-2,K\n",
        'prices.csv:2:unit: is not in the catalog units: "K"; accepted: each, C, M, ft',
    ),
    ("prices", "item,price_usd\nnew-cable,9\n", "prices.csv:2:title: is blank; a text"),
    (
        "constructions",
        "construction,egc_kind\nac,strip\n",
        'constructions.csv:2:egc_kind: is not accepted: "strip"; one of wire, armor, both',
    ),
    (
        "devices",
        "device,self_grounding\nduplex,maybe\n",
        'devices.csv:2:self_grounding: is not accepted: "maybe"; 0 or 1',
    ),
    (
        "allowances",
        "awg,editions,volume_in3\n12,2026,2.25\n",
        'allowances.csv:2:editions: is not a code edition: "2026"; accepted: 2017, 2020, 2023',
    ),
    ("price", "item,price_usd\nmc-wire-12-2,9\n", "price.csv: is not a catalog of this tool; did you mean prices?"),
    (
        "operations",
        "operation,construction,minutes,driver\nopen-armor,all,1,armour_ends\n",
        'operations.csv:2:driver: is not in the catalog drivers: "armour_ends"; did you mean armor_ends or ground_bar_ends?',
    ),
    (
        "devices",
        "device,title,connects,roles,yokes,gangs_each,terminals_each,box_style,load_va,self_grounding,bond,fill_leads,lead_awg,fill_ground_leads,terminal_blocks,source\nwall*,x,terminals,hot,1,1,1,square,0,0,1,0,circuit,0,0,t\n",
        'devices.csv:2:device: is not a key: "wall*"; letters, digits and . _ / - only',
    ),
]


@pytest.mark.parametrize(
    ("name", "text", "message"), BAD_OVERLAYS, ids=[f"{n}-{i}" for i, (n, _, _) in enumerate(BAD_OVERLAYS)]
)
def test_bad_overlays_are_named(tmp_path: Path, name: str, text: str, message: str):
    with pytest.raises(InputError) as wrong:
        load_catalogs(overlay(tmp_path, **{name: text}))
    assert message in [str(p) for p in wrong.value.problems]


def test_no_plan_is_called_like_a_construction(catalogs: Catalogs):
    """A plan prefers a construction and falls back on others: who reads a title must not take one for the other."""
    constructions = {str(row[n]).casefold() for row in catalogs["constructions"] for n in ("title", "short_title")}
    assert constructions.isdisjoint(str(row["title"]).casefold() for row in catalogs["plans"])
