"""What catalog rows must say together: every rule with its sentence, and keys that differ by case only."""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.catalog.crosscheck import crosscheck
from takeoff.catalog.load import load_catalogs
from takeoff.text.problems import InputError
from tests.conftest import Counter

CONSTRUCTION = (
    "construction,title,wiring_kind,egc_kind,egc_size_rule,armor,bond_strip,bare_conductor,anti_short_bushing,"
    "fitting_family,support_near_in,support_interval_ft,support_section,source\n"
    "{key},of the test,cable,armor,listed,1,1,0,1,ac,12,4.5,320.30,test\n"
)
DEVICE = (
    "device,title,connects,roles,yokes,gangs_each,terminals_each,box_style,load_va,self_grounding,bond,fill_leads,"
    "lead_awg,fill_ground_leads,terminal_blocks,source\n"
    "{key},of the test,{connects},{roles},{yokes},{gangs},{terminals},square,0,0,1,0,circuit,0,0,test\n"
)
STYLE = "box_style,title,metal,clamps,support_fittings,source\n{key},of the test,1,0,0,test\n"
SIZE = "awg,area_cmil,copper_60c_a,copper_limit_a,source\n{key},1000,0,0,test\n"
OPERATION = "operation,construction,title,driver,minutes,step,source\n"
OPEN_ARMOR = '"cut the armor, slide it off, look at the cut, take off the wrap"'


def device(
    key: str = "odd",
    connects: str = "terminals",
    roles: str = "hot",
    yokes: int = 1,
    gangs: int = 1,
    terminals: int = 1,
) -> str:
    return DEVICE.format(key=key, connects=connects, roles=roles, yokes=yokes, gangs=gangs, terminals=terminals)


def found(folder: Path, **texts: str) -> list[str]:
    """Return the sentences about catalogs laid over the shipped ones, each catalog read without a problem."""
    for name, text in texts.items():
        (folder / f"{name}.csv").write_text(text, encoding="utf-8")
    catalogs = load_catalogs(folder)
    try:
        crosscheck(catalogs)
    except InputError as wrong:
        return [str(p) for p in wrong.problems]
    return []


RESERVED = 'is a word with a meaning of its own: "{key}"; another key'
NO_ROW = 'editions.csv:2:edition: has no row in the catalog {name} for {missing}: "2099"; rows for every edition'

RULES = [
    *(
        (
            f"reserved construction {key}",
            "constructions",
            CONSTRUCTION.format(key=key),
            [f"constructions.csv:2:construction: {RESERVED.format(key=key)}"],
        )
        for key in ("all", "none", "free", "panel", "circuit", "Free")
    ),
    (
        "plan with the name of a construction",
        "plans",
        "plan,title,members\nAC,plan of the test,ac emt-wire\n",
        ['plans.csv:2:plan: is the key of a construction: "AC"; another key'],
    ),
    (
        "plan with the name of the best mix",
        "plans",
        "plan,title,members\nbest-mix,plan of the test,ac\n",
        [f"plans.csv:2:plan: {RESERVED.format(key='best-mix')}"],
    ),
    ("reserved device", "devices", device("panel"), [f"devices.csv:2:device: {RESERVED.format(key='panel')}"]),
    (
        "reserved style",
        "box_styles",
        STYLE.format(key="none"),
        [f"box_styles.csv:2:box_style: {RESERVED.format(key='none')}"],
    ),
    (
        "reserved size",
        "conductors",
        SIZE.format(key="Circuit"),
        [f"conductors.csv:2:awg: {RESERVED.format(key='Circuit')}"],
    ),
    (
        "an edition alone",
        "editions",
        "edition,title,source\n2099,of the test,test\n",
        [
            NO_ROW.format(
                name="rules",
                missing="area_rounding_pct, bundle_area, bundle_each, bundle_pct, bundle_total, continuous_pct, egc_extra_allowance, "
                "egc_first_count, insulated_cables, isolated_set_allowance, knockout_v, table_8_c",
            ),
            NO_ROW.format(
                name="fill_parts", missing="clamps, conductor, lead, support-fitting, terminal-block, yoke-gang"
            ),
            NO_ROW.format(
                name="checks",
                missing="box_fill, cable, control, egc_increase, egc_kind, egc_size, fault_path, fitting, isolated, knockout, load, "
                "multiwire, overcurrent, receptacle, space, switch_neutral, voltage_drop",
            ),
            NO_ROW.format(name="allowances", missing="10, 12, 14, 16, 18, 6, 8"),
            NO_ROW.format(
                name="ambient",
                missing="104, 113, 122, 131, 140, 149, 158, 167, 176, 185, 50, 59, 68, 77, 86, 95",
            ),
            NO_ROW.format(name="adjustments", missing="1000000, 20, 3, 30, 40, 6, 9"),
            NO_ROW.format(name="egc_sizes", missing="any size"),
            NO_ROW.format(name="breakers", missing="any size"),
        ],
    ),
    (
        "none beside a role",
        "devices",
        device(roles="hot none"),
        ['devices.csv:2:roles: says none beside others: "hot none"; none alone, or roles'],
    ),
    (
        "terminals without roles",
        "devices",
        device(roles="none"),
        [
            'devices.csv:2:connects: does not fit the roles of the device: "terminals"; none where roles is none, and only there'
        ],
    ),
    (
        "leads without roles",
        "devices",
        device(connects="leads", roles="none", yokes=0),
        [
            'devices.csv:2:connects: does not fit the roles of the device: "leads"; none where roles is none, and only there'
        ],
    ),
    (
        "roles without connections",
        "devices",
        device(connects="none", roles="hot neutral", yokes=0),
        [
            'devices.csv:2:connects: does not fit the roles of the device: "none"; none where roles is none, and only there'
        ],
    ),
    (
        "a yoke without conductors",
        "devices",
        device(connects="none", roles="none", yokes=2),
        [
            'devices.csv:2:yokes: is a yoke without conductors: "2"; 0, or roles: a yoke takes room by its largest conductor'
        ],
    ),
    (
        "a yoke on no gang",
        "devices",
        device(gangs=0),
        ['devices.csv:2:gangs_each: is no gang for a device on a yoke: "0"; 1 or more'],
    ),
    (
        "terminals that are none",
        "devices",
        device(terminals=0),
        ['devices.csv:2:terminals_each: is no terminal for a device with terminals: "0"; 1 or more'],
    ),
    (
        "several things of one device in one pass",
        "devices",
        device(roles="hot none", gangs=0, terminals=0),
        [
            'devices.csv:2:roles: says none beside others: "hot none"; none alone, or roles',
            'devices.csv:2:gangs_each: is no gang for a device on a yoke: "0"; 1 or more',
            'devices.csv:2:terminals_each: is no terminal for a device with terminals: "0"; 1 or more',
        ],
    ),
    (
        "an operation with two drivers",
        "operations",
        f"{OPERATION}open-armor,ac,{OPEN_ARMOR},entries,1,5,test\n",
        ['operations.csv:2:driver: differs among the rows of open-armor: "entries"; "armor_ends", as in the first'],
    ),
    (
        "an operation at two places of the order",
        "operations",
        f"{OPERATION}open-armor,ac,{OPEN_ARMOR},armor_ends,1,6,test\n",
        ['operations.csv:2:step: differs among the rows of open-armor: "6"; "5", as in the first'],
    ),
    (
        "an operation with two titles",
        "operations",
        f"{OPERATION}strap,all,strap it,runs,1,4,test\nstrap,ac,tie it,runs,1,4,test\n",
        ['operations.csv:3:title: differs among the rows of strap: "tie it"; "strap it", as in the first'],
    ),
    (
        "a fitting size that the family lacks",
        "cables",
        "construction,awg,conductors,fitting_size\nac,12,2,1-1/4\n",
        ['cables.csv:2:fitting_size: is no size of the fitting family ac: "1-1/4"; a size of the catalog fittings'],
    ),
    (
        "a wire EGC in an armor-type cable",
        "cables",
        "construction,awg,conductors,egc_awg\nac,12,2,12\n",
        ['cables.csv:2:egc_awg: does not fit the construction ac: "12"; none, its armor is the EGC'],
    ),
    (
        "no wire EGC in a wire-type cable",
        "cables",
        "construction,awg,conductors,egc_awg\nmc-wire,12,2,none\n",
        ['cables.csv:2:egc_awg: does not fit the construction mc-wire: "none"; the size of its wire-type EGC'],
    ),
    (
        "no wire EGC where armor and wire ground",
        "cables",
        "construction,awg,conductors,egc_awg\nac-redundant,12,2,none\n",
        ['cables.csv:2:egc_awg: does not fit the construction ac-redundant: "none"; the size of its wire-type EGC'],
    ),
    (
        "no bare conductor to size by the aluminum column",
        "cables",
        "construction,awg,conductors,bare_awg\nmc-armor,12,2,none\n",
        ['cables.csv:2:bare_awg: is sized by the aluminum column: "none"; the size of its bare conductor'],
    ),
    (
        "a conductor pulled into a cable",
        "cables",
        "construction,awg,conductors,wire_item\nac,12,2,wire-12\n",
        ['cables.csv:2:wire_item: does not fit a cable: "wire-12"; none, the cable brings its conductors'],
    ),
    (
        "no conductor for a raceway",
        "cables",
        "construction,awg,conductors,wire_item\nemt-wire,12,2,none\n",
        ['cables.csv:2:wire_item: does not fit a raceway: "none"; the conductor pulled in'],
    ),
    (
        "no EGC for a raceway",
        "cables",
        "construction,awg,conductors,egc_item\nemt-wire,12,2,none\n",
        ['cables.csv:2:egc_item: does not fit the construction emt-wire: "none"; the EGC pulled in'],
    ),
    (
        "an EGC pulled into a cable",
        "cables",
        "construction,awg,conductors,egc_item\nmc-wire,12,2,wire-12\n",
        ['cables.csv:2:egc_item: does not fit the construction mc-wire: "wire-12"; none'],
    ),
    (
        "a price for nothing",
        "prices",
        "item,price_usd\nnone,0.01\n",
        ['prices.csv:2:price_usd: is a price for nothing: "0.01"; 0; the item none stands where nothing is bought'],
    ),
]


@pytest.mark.parametrize(("name", "text", "messages"), [r[1:] for r in RULES], ids=[r[0] for r in RULES])
def test_rows_that_do_not_fit_are_named(tmp_path: Path, name: str, text: str, messages: list[str]):
    assert found(tmp_path, **{name: text}) == messages


def test_the_shipped_catalogs_fit_together(tmp_path: Path):
    assert found(tmp_path) == []


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("devices", device()),
        ("devices", device(connects="leads", terminals=0)),  # leads need no terminal
        ("devices", device(connects="none", roles="none", yokes=0, gangs=0, terminals=0)),
        ("operations", f"{OPERATION}open-armor,ac,{OPEN_ARMOR},armor_ends,1,5,test\n"),
        ("constructions", CONSTRUCTION.format(key="free-form")),
        ("prices", "item,price_usd\nnone,0\n"),
        ("cables", "construction,awg,conductors,fitting_size\nac,12,2,1/2\n"),
        ("constructions", "construction,egc_size_rule\nmc-armor,listed\n"),
    ],
)
def test_rows_that_fit_are_let_through(tmp_path: Path, name: str, text: str):
    assert found(tmp_path, **{name: text}) == []


def test_all_catalogs_are_checked_in_one_pass_by_file_and_row(tmp_path: Path):
    problems = found(
        tmp_path,
        prices="item,price_usd\nnone,2\n",
        devices=device("panel", terminals=0),
        cables="construction,awg,conductors,egc_awg,bare_awg\nmc-armor,12,3,12,none\nac,12,2,12,\n",
    )
    assert [p.split(": ")[0] for p in problems] == [
        "cables.csv:2:egc_awg",
        "cables.csv:2:bare_awg",
        "cables.csv:3:egc_awg",
        "devices.csv:2:device",
        "devices.csv:2:terminals_each",
        "prices.csv:2:price_usd",
    ]


def test_a_build_stops_at_rows_that_do_not_fit(count: Counter):
    with pytest.raises(InputError) as wrong:
        count("box,circuit,device,run_ft\nB1,P-1,duplex,10\n", prices="item,price_usd\nnone,2\n")
    assert [str(p) for p in wrong.value.problems] == [
        'prices.csv:2:price_usd: is a price for nothing: "2"; 0; the item none stands where nothing is bought'
    ]


def test_a_key_in_capitals_changes_the_row_of_the_same_key(tmp_path: Path):
    assert found(tmp_path, prices="item,price_usd\nMC-WIRE-12-2,999\n") == []
    prices = load_catalogs(tmp_path)["prices"]
    assert len(prices) == len(load_catalogs()["prices"])
    assert prices["mc-wire-12-2"]["price_usd"] == 999
    assert prices["mc-wire-12-2"]["item"] == "mc-wire-12-2"


def test_a_price_in_capitals_is_paid(count: Counter):
    schedule = "box,circuit,device,run_ft\nB1,P-1,duplex,23\n"
    once = count(schedule, compared="mc-wire-first").box("B1", "mc-wire-first")["material_cost"]
    again = count(schedule, compared="mc-wire-first", prices="item,price_usd\nMC-WIRE-12-2,1850\n")
    # 1000 USD more for 1000 ft; 23 + 1 + 6 ft with 5 % waste
    assert again.box("B1", "mc-wire-first")["material_cost"] - once == pytest.approx(30 * 1.05)


def test_two_rows_of_one_key_in_two_cases_are_one_too_many(tmp_path: Path):
    with pytest.raises(InputError) as wrong:
        found(tmp_path, prices="item,price_usd\nmc-wire-12-2,9\nMC-Wire-12-2,8\n")
    assert [str(p) for p in wrong.value.problems] == [
        'prices.csv:3:item: has the key of row 2 "MC-Wire-12-2"; one row for each key'
    ]


def test_what_a_row_refers_to_is_found_in_any_case(tmp_path: Path):
    assert found(tmp_path, uses="use,driver,item,quantity\nmine,CABLE_FT,Cable-Strap,2\n") == []
    use = load_catalogs(tmp_path)["uses"]["MINE"]
    assert (use["driver"], use["item"]) == ("cable_ft", "cable-strap")


@pytest.mark.parametrize(
    ("plain", "capitals"), [("duplex", "DUPLEX"), ("switch+duplex", "Switch+DUPLEX"), ("exit-sign", "Exit-Sign")]
)
def test_a_device_counts_in_any_case(count: Counter, plain: str, capitals: str):
    # runs of a leg, so that a switch finds one
    schedule = "box,circuit,device,run_ft,wires\nB1,P-1,{},10,A N\nB2,P-1,junction,9,S1 N\n"
    one, other = (count(schedule.format(d)).results for d in (plain, capitals))
    assert one["boxes"] == other["boxes"]
    assert one["plans"] == other["plans"]


def test_styles_spaces_and_constructions_count_in_any_case(count: Counter):
    head = "box,circuit,device,run_ft,box_style,space,construction\n"
    one, other = (count(head + f"B1,P-1,duplex,10,{w}\n") for w in ("device,damp,emt-wire", "DEVICE,Damp,EMT-Wire"))
    assert one.results["boxes"] == other.results["boxes"]
    assert other.box("B1", "ac-first")["wired_as"] == "emt-wire"
