"""What is wrong with the user's input: one pass, the exact sentence, exit code 2, nothing written."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner

from takeoff.cli import app

HEAD = "box,circuit,device,run_ft,fed_from,wires,taps,awg,breaker_a,poles,volts,neutral,continuous,space,box_style,gangs,repeat,construction,load_va\n"
"""All columns that a bad entry can stand in."""


def row(**cells: str) -> str:
    """Return a row that is right but for the cells given."""
    values = {"box": "B1", "circuit": "P-1", "device": "duplex", "run_ft": "10", **cells}
    return ",".join(values.get(name, "") for name in HEAD.strip().split(",")) + "\n"


BAD_ROWS = [
    (
        "reserved id",
        row(box="Panel"),
        ['s.csv:2:box: is reserved: "Panel"; another id; panel stands for the panelboard in fed_from'],
    ),
    ("duplicate id", row() + row(box="b1"), ['s.csv:3:box: is the id of row 2 too: "b1"; an id that no other box has']),
    ("no circuit", row(circuit=""), ["s.csv:2:circuit: is blank; the branch circuit, such as LP1-1"]),
    ("no device", row(device=""), ["s.csv:2:device: is blank; device keys joined by +, or junction"]),
    (
        "unknown device",
        row(device="duplexx"),
        [
            's.csv:2:device: is not a device of the catalog: "duplexx"; did you mean duplex (duplex receptacle) or gfci (receptacle with ground-fault protection) or duplex-hg (hospital grade duplex receptacle)?'
        ],
    ),
    (
        "one of two unknown",
        row(device="duplex+lamp"),
        [
            's.csv:2:device: is not a device of the catalog: "lamp"; accepted: receptacle: duplex, gfci, duplex-hg, duplex-ig, receptacle-2p, receptacle-2p-wide; switch: switch, sensor, dimmer, switch-3way, switch-4way, sensor-leads, sensor-neutral, dimmer-leads, dimmer-control, sensor-control; luminaire: luminaire, exit-sign, emergency-light, smoke, luminaire-control; equipment: equipment-1p, equipment-2p, equipment-3p; motor: motor-1p, motor-2p, motor-3p; compressor: compressor-2p, compressor-3p; welder: welder-2p; fire-pump: fire-pump-3p; other: terminal-block, junction'
        ],
    ),
    ("no length", row(run_ft=""), ["s.csv:2:run_ft: is blank; the routed length of the feeding cable"]),
    ("length nil", row(run_ft="0"), ['s.csv:2:run_ft: is not a length: "0"; more than 0 and up to 10000 ft']),
    (
        "length negative",
        row(run_ft="-5"),
        ['s.csv:2:run_ft: is not a length: "-5"; such as 85, 85\', 12\'-6", 85 ft or 26 m'],
    ),
    (
        "length with a word",
        row(run_ft="about 12 ft"),
        ['s.csv:2:run_ft: is not a length: "about 12 ft"; such as 85, 85\', 12\'-6", 85 ft or 26 m'],
    ),
    (
        "length with thousands mark",
        row(run_ft='"1,250"'),
        ['s.csv:2:run_ft: is not a length: "1,250"; such as 85, 85\', 12\'-6", 85 ft or 26 m'],
    ),
    ("length too long", row(run_ft="10001"), ['s.csv:2:run_ft: is out of range: "10001"; from 0 to 10000']),
    (
        "length not a number",
        row(run_ft="nan"),
        ['s.csv:2:run_ft: is not a length: "nan"; such as 85, 85\', 12\'-6", 85 ft or 26 m'],
    ),
    (
        "unknown parent",
        row() + row(box="B2", fed_from="B9"),
        ['s.csv:3:fed_from: is not a box of the schedule: "B9"; accepted: B1, or panel'],
    ),
    (
        "parent of another circuit",
        row() + row(box="B2", circuit="P-3", fed_from="B1"),
        ['s.csv:3:fed_from: is in circuit P-1 (row 2), this box in P-3: "B1"; a box of the same circuit, or panel'],
    ),
    (
        "feeds itself",
        row(fed_from="B1"),
        [
            "s.csv:2:fed_from: a loop that the panel does not feed: B1 (row 2); feed one of them from panel or from a box that the panel feeds"
        ],
    ),
    (
        "loop of three",
        row(fed_from="B3") + row(box="B2", fed_from="B1") + row(box="B3", fed_from="B2"),
        [
            "s.csv:2:fed_from: a loop that the panel does not feed: B1 (row 2), B2 (row 3), B3 (row 4); feed one of them from panel or from a box that the panel feeds"
        ],
    ),
    (
        "unknown role",
        row(wires="A N X"),
        [
            's.csv:2:wires: is not a conductor role: "X"; hots A B C, neutral N (or NA NB NC), legs S1 S2, travelers T1 T2, isolated ground IG, control pair D1 D2'
        ],
    ),
    ("role twice", row(wires="A N A"), ['s.csv:2:wires: names A twice: "A N A"; each conductor of a cable once']),
    (
        "no neutral for a receptacle",
        row(wires="A B"),
        [
            's.csv:2:wires: duplex: needs a neutral that no run of the box brings; its runs carry "A B"; correct wires, or say with taps what it uses'
        ],
    ),
    (
        "no leg for a switch",
        row(device="switch"),
        [
            's.csv:2:wires: switch: needs a switch leg that no run of the box brings; its runs carry "A N"; put what it feeds in rows behind it, or say with wires what each run brings'
        ],
    ),
    (
        "no isolated ground",
        row(device="duplex-ig"),
        [
            's.csv:2:wires: duplex-ig: needs an isolated ground that no run of the box brings; its runs carry "A N"; correct wires, or say with taps what it uses'
        ],
    ),
    (
        "no second traveler",
        row(device="switch-3way", wires="A N T1"),
        [
            's.csv:2:wires: switch-3way: needs a traveler that no run of the box brings; its runs carry "A N T1"; correct wires, or say with taps what it uses'
        ],
    ),
    (
        "a hot from nowhere",
        row() + row(box="B2", wires="A B N"),
        [
            's.csv:3:wires: B1 (row 2) feeds this box but is fed with A N only: "B"; carry it through the feeding run, or take it out here'
        ],
    ),
    (
        "taps of a role not there",
        row(taps="B N"),
        [
            's.csv:2:taps: duplex: no run of the box brings B; its runs carry "A N"; correct wires, or say with taps what it uses'
        ],
    ),
    (
        "too few taps",
        row(taps="A"),
        ['s.csv:2:taps: conductors named: 1, connections: 2: "A"; one for each connection, in device order: duplex 2'],
    ),
    (
        "unknown size",
        row(awg="11"),
        ['s.csv:2:awg: is not a conductor size of the catalog: "11"; the size alone, such as #12; did you mean 1?'],
    ),
    (
        "breaker of no standard rating",
        row(breaker_a="22"),
        [
            's.csv:2:breaker_a: is not a standard rating: "22"; accepted: 10, 15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110'
        ],
    ),
    ("four poles", row(poles="4"), ['s.csv:2:poles: is out of range: "4"; from 1 to 3']),
    ("half a pole", row(poles="1.5"), ['s.csv:2:poles: is not a whole number: "1.5"; from 1 to 3']),
    (
        "voltage of text",
        row(volts="line"),
        ['s.csv:2:volts: is not a voltage: "line"; such as 120, 277 V or 208Y/120'],
    ),
    ("neither yes nor no", row(neutral="perhaps"), ['s.csv:2:neutral: is neither yes nor no: "perhaps"; yes or no']),
    (
        "unknown space",
        row(space="swamp"),
        [
            's.csv:2:space: is not in the catalog: "swamp"; accepted: general, patient-care, assembly, stage, plenum, damp, wet, hazardous'
        ],
    ),
    (
        "unknown style",
        row(box_style="round"),
        [
            's.csv:2:box_style: is not in the catalog: "round"; accepted: square, octagon, octagon-stud, device, device-clamps, masonry, cast'
        ],
    ),
    ("gangs out of range", row(gangs="99"), ['s.csv:2:gangs: is out of range: "99"; from 0 to 12']),
    ("repeat nil", row(repeat="0"), ['s.csv:2:repeat: is out of range: "0"; from 1 to 10000']),
    (
        "unknown construction",
        row(construction="mc"),
        [
            's.csv:2:construction: is not in the catalog: "mc"; did you mean mc-wire (Type MC, insulated copper EGC) or mc-armor (Type MC, armor with bare aluminum as EGC) or mc-redundant (Type MC for patient care, armor and insulated copper EGC)?'
        ],
    ),
    (
        "load negative",
        row(load_va="-1"),
        ['s.csv:2:load_va: is not a load: "-1"; VA, such as 180, 1500 VA or 1.5 kVA'],
    ),
    (
        "rows that disagree",
        row(breaker_a="20") + row(box="B2", breaker_a="30"),
        ['s.csv:3:breaker_a: disagrees with row 2, which says "20": "30"; one value for the whole circuit'],
    ),
    (
        "a control character",
        row(box="B\x07"),
        ['s.csv:2:box: holds the control character U+0007: "B<U+0007>"; delete it and type the entry again'],
    ),
    (
        "too many cells",
        row().replace("\n", ",x\n"),
        ['s.csv:2: has 20 cells, the header has 19; too many: "x"; quote text that holds a delimiter'],
    ),
    ("no size for the breaker", row(breaker_a="110") + row(box="B2", circuit="P-3", breaker_a="110", awg="1"), []),
    (
        "everything in one pass",
        row(box="", device="lamp", run_ft="x", space="swamp") + row(box="B2", circuit="P-3", fed_from="B7"),
        [
            's.csv:2:run_ft: is not a length: "x"; such as 85, 85\', 12\'-6", 85 ft or 26 m',
            's.csv:2:space: is not in the catalog: "swamp"; accepted: general, patient-care, assembly, stage, plenum, damp, wet, hazardous',
            's.csv:3:fed_from: is not a box of the schedule: "B7"; accepted: panel',
        ],
    ),
]

BAD_FILES = [
    (
        "own column twice",
        b"box,circuit,device,run_ft,Phase,phase\nB1,P-1,duplex,10,1,2\n",
        's.csv:1:phase: stands twice in the header: "phase"; one column of each name',
    ),
    (
        "a heading too long",
        b"box,circuit,device,run_ft," + b"x" * 101 + b"\nB1,P-1,duplex,10,1\n",
        f's.csv:1:column 5: is no heading: "{"x" * 57}..."; at most 100 characters that print',
    ),
    (
        "a text too long for a cell",
        b"box,circuit,device,run_ft,note\nB1,P-1,duplex,10," + b"x" * 32001 + b"\n",
        f's.csv:2:note: has 32,001 characters: "{"x" * 57}..."; at most 32,000, a cell holds no more',
    ),
    ("empty", b"", "s.csv: is empty; a header row and one row for each box"),
    ("blank lines", b"\n\n \n", "s.csv: is empty; a header row and one row for each box"),
    ("header only", b"box,circuit,device,run_ft\n", "s.csv:2:box: no row follows the header; one row for each box"),
    (
        "missing column",
        b"box,circuit,run_ft\nB1,P-1,10\n",
        "s.csv:1:device: is missing from the header; found: box, circuit, run_ft",
    ),
    (
        "misspelt column",
        b"box,circuit,devise,run_ft\nB1,P-1,duplex,10\n",
        's.csv:1:device: is missing from the header; rename "devise", which looks like it',
    ),
    (
        "no length column",
        b"box,circuit,device\nB1,P-1,duplex\n",
        "s.csv:1:run_ft: is missing from the header; a column run_ft or run_m",
    ),
    (
        "both units",
        b"box,circuit,device,run_ft,run_m\nB1,P-1,duplex,10,3\n",
        "s.csv:1:run_m: stands beside run_ft; the length in one unit only",
    ),
    (
        "column twice",
        b"box,circuit,device,run_ft,Run FT\nB1,P-1,duplex,10,3\n",
        's.csv:1:run_ft: stands twice in the header: "Run FT"; one column of each name',
    ),
    (
        "column without a name",
        b"box,circuit,device,run_ft,\nB1,P-1,duplex,10,note\n",
        "s.csv:1:column 5: has entries but no heading; give it a name",
    ),
    ("binary", b"box\x00\x01\x02\xff\xfe,zz", "s.csv: is not a text file; give a CSV file in UTF-8, or an .xlsx"),
    (
        "latin-1",
        b"box,circuit,device,run_ft,area\nB1,P-1,duplex,10,caf\xe9\n",
        "s.csv: is not in UTF-8: byte 52 on line 2 does not fit; save it as CSV UTF-8",
    ),
    (
        "open quote",
        b'box,circuit,device,run_ft\nB1,"P-1,duplex,10\n',
        "s.csv: row 2 or later has a quote that does not end properly (unexpected end of data); close the quote",
    ),
    (
        "old workbook",
        b"\xd0\xcf\x11\xe0rest",
        "s.csv: is a workbook of the old binary kind, or has a password; save it as .xlsx without one, or as CSV UTF-8",
    ),
    (
        "zip that is no workbook",
        b"PK\x03\x04rest",
        "s.csv: is not a workbook that can be read; give an .xlsx whose sheets are the table, without a password",
    ),
]


def run(folder: Path, content: bytes, *more: str) -> tuple[int, list[str]]:
    """Build from a file's content; return the exit code and what stands on stderr, line by line."""
    (folder / "s.csv").write_bytes(content)
    done = CliRunner().invoke(app, ["build", str(folder / "s.csv"), "-o", str(folder / "out.xlsx"), *more])
    assert "Traceback" not in done.output
    return done.exit_code, done.stderr.splitlines()


@pytest.mark.parametrize(("text", "messages"), [b[1:] for b in BAD_ROWS if b[2]], ids=[b[0] for b in BAD_ROWS if b[2]])
def test_bad_rows(tmp_path: Path, text: str, messages: list[str]):
    code, lines = run(tmp_path, (HEAD + text).encode())
    assert code == 2
    assert [m for m in messages if m not in lines] == [], lines
    assert sorted(p.name for p in tmp_path.iterdir()) == ["s.csv"]


@pytest.mark.parametrize(("content", "message"), [b[1:] for b in BAD_FILES], ids=[b[0] for b in BAD_FILES])
def test_bad_files(tmp_path: Path, content: bytes, message: str):
    assert run(tmp_path, content) == (2, [message])


def test_there_are_forty_of_them():
    assert len(BAD_ROWS) + len(BAD_FILES) >= 40


def test_a_missing_file_and_a_folder(tmp_path: Path):
    done = CliRunner().invoke(app, ["check", str(tmp_path / "none.csv")])
    assert (done.exit_code, done.stderr) == (
        2,
        f"{tmp_path / 'none.csv'}: does not exist; check the path and the spelling\n",
    )
    done = CliRunner().invoke(app, ["check", str(tmp_path)])
    assert (done.exit_code, done.stderr) == (
        2,
        f"{tmp_path}: is a folder, not a file; give the path of a CSV or .xlsx file\n",
    )


def test_a_file_of_more_than_100_mb_is_not_read(tmp_path: Path):
    path = tmp_path / "huge.csv"
    with path.open("wb") as out:
        out.truncate(120_000_000)
    done = CliRunner().invoke(app, ["check", str(path)])
    assert (done.exit_code, done.stderr) == (2, "huge.csv: is 120 MB, more than 100 MB; split the job\n")


def test_a_million_rows_are_refused_in_one_sentence(tmp_path: Path):
    path = tmp_path / "long.csv"
    path.write_text("box,circuit,device,run_ft\n" + "b,c,d,1\n" * 1_000_000)
    done = CliRunner().invoke(app, ["check", str(path)])
    assert (done.exit_code, done.stderr) == (
        2,
        "long.csv: has more than 150,000 rows; split the job, for example by panel\n",
    )


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--set", "code_edition=2019"], '--set:code_edition: is not accepted: "2019"; one of 2017, 2020, 2023'),
        (
            ["--set", "labor_rate_usd_per_h=-1"],
            '--set:labor_rate_usd_per_h: is not accepted: "-1"; a number from 0 to 1000 USD/h',
        ),
        (
            ["--set", "labor_rate_usd_per_h=inf"],
            '--set:labor_rate_usd_per_h: is not accepted: "inf"; a number from 0 to 1000 USD/h',
        ),
        (["--set", "labor_rate"], '--set: is not of the form NAME=VALUE: "labor_rate"; for example code_edition=2020'),
        (
            ["--set", "labour_rate_usd_per_h=50"],
            '--set:labour_rate_usd_per_h: is not an input: "50"; did you mean labor_rate_usd_per_h or overhead_usd_per_h?',
        ),
        (
            ["--plans", "ac-first,mc"],
            '--plans: is not a plan: "mc"; accepted: ac-first (AC first), mc-wire-first (MC wire EGC first), mc-armor-first (MC armor EGC first), ac-redundant-first (AC for patient care first), mc-redundant-first (MC for patient care first), emt (EMT throughout), emt-as-egc (EMT as EGC first)',
        ),
        (["--plans", "ac-first,AC-First"], '--plans: stands twice: "AC-First"; each one once'),
    ],
)
def test_bad_options(tmp_path: Path, arguments: list[str], message: str):
    assert run(tmp_path, (HEAD + row()).encode(), *arguments) == (2, [message])


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("labor_rate = 80\n", 'i.toml:labor_rate: is not an input: "80"; did you mean labor_rate_usd_per_h?'),
        (
            "labor_rate_usd_per_h = [1, 2]\n",
            "i.toml:labor_rate_usd_per_h: is neither a text, a number nor true or false; one value for each name",
        ),
        (
            "labor_rate_usd_per_h = true\n",
            'i.toml:labor_rate_usd_per_h: is not accepted: "true"; a number from 0 to 1000 USD/h',
        ),
        (
            "make_up = \n",
            'i.toml: is not valid TOML: Invalid value (at line 1, column 11); lines such as labor_rate_usd_per_h = 80 or make_up = "through"',
        ),
    ],
)
def test_bad_input_files(tmp_path: Path, text: str, message: str):
    (tmp_path / "i.toml").write_text(text)
    assert run(tmp_path, (HEAD + row()).encode(), "--inputs", str(tmp_path / "i.toml")) == (2, [message])


def test_a_date_that_a_spreadsheet_made_of_an_id_is_named(tmp_path: Path):
    import datetime as dt

    book = openpyxl.Workbook()
    book.active.append(["box", "circuit", "device", "run_ft"])
    book.active.append([dt.date(2026, 1, 2), "P-1", "duplex", 10])
    book.save(tmp_path / "s.xlsx")
    done = CliRunner().invoke(app, ["check", str(tmp_path / "s.xlsx")])
    assert done.exit_code == 2
    assert done.stderr == (
        's.xlsx:2:box: is a date or time: "2026-01-02 00:00:00"; format the column as text and type the entry again\n'
    )
