"""Eight schedules of every kind, small: a sample, mixed constructions, control pairs, patient care, multiwire, rooms, odd texts, metric."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from takeoff.build import Options
from tests.changes import SCHEDULE as MIXED
from tests.conftest import SAMPLES
from tests.priced import laid


@dataclass(frozen=True)
class Texts:
    """The texts of a build."""

    schedule: str
    toml: str = ""
    compared: str = ""
    sets: tuple[str, ...] = ()
    quotes: Mapping[str, str] = field(default_factory=dict)
    catalogs: Mapping[str, str] = field(default_factory=dict)


QUOTE = "item,unit,price,date,valid until,discount\nac-12-2,M,842,2026-11-10,2026-12-10,5\nsquare-4x1.5,C,214,2026-11-10,,\n"

CONTROL = """box,circuit,device,run_ft,fed_from,wires,control_awg,control_wiring,area,space
C0,LC-1,dimmer-control,31,panel,A N,,,hall,
C1,LC-1,luminaire-control,12,,S1 N D1 D2,16,,hall,
C2,LC-1,luminaire-control,9,,S1 N D1 D2,16,,hall,
C3,LC-3,dimmer-control,40,panel,A N,,,store,
C4,LC-3,luminaire-control,15,,S1 N D1 D2,18,,store,damp
C5,LC-5,duplex,22,panel,,,,store,
"""

PATIENT = """box,circuit,device,run_ft,fed_from,space,area,breaker_a
H1,EP-1,duplex-hg,61,panel,patient-care,exam 1,20
H2,EP-1,duplex-hg,12,,patient-care,exam 1,
H3,EP-1,duplex-hg+duplex-hg,9,,patient-care,exam 1,
H4,EP-3,duplex-hg,48,panel,patient-care,exam 2,20
H5,EP-3,duplex,17,,,corridor,
H6,EP-5,switch,33,panel,,corridor,15
H7,EP-5,luminaire,10,,,corridor,
"""

MULTIWIRE = """box,circuit,device,run_ft,fed_from,wires,awg,breaker_a,space,repeat
M1,"MP-1,3",junction,52,panel,A B N,12,20,,2
M2,"MP-1,3",duplex,8,M1,A N,12,,,
M3,"MP-1,3",duplex,14,M1,B N,12,,,
M4,"MP-5,7,9",junction,47,panel,A B C N,10,30,,
M5,"MP-5,7,9",duplex,12,M4,A N,10,,,
M6,"MP-5,7,9",duplex,11,M4,B N,10,,damp,
M7,"MP-5,7,9",duplex,13,M4,C N,10,,,
M8,MP-2,equipment-3p,70,panel,A B C,8,40,,
"""

ROOMS = """box,circuit,device,run_ft,fed_from,count,next_ft,area,repeat
A,RP-1,duplex,60,panel,,,101,3
B,RP-1,duplex,12,,4,8.5,101,
C,RP-1,gfci,9,,,,102,
D,RP-3,switch,30,panel,,,102,
E,RP-3,luminaire,12,,6,7,102,
"""

ODD = (
    "box,circuit,panel,device,run_ft,fed_from,area,note\n"
    '007,1E5,1,duplex,20,panel,TRUE,"=1+1"\n'
    "1E5,1E5,1,duplex,12,007,2026-01-02,#N/A\n"
    "TRUE,007,1,gfci,15,panel,#N/A,-5\n"
    "#N/A,007,1,duplex,9,TRUE,*,+2\n"
    "*,2026-01-02,TRUE,duplex,30,panel,?,@x\n"
    "?,2026-01-02,TRUE,duplex,8,*,~,'q\n"
    "~,*,#N/A,switch,25,panel,=,a\n"
    "~*,*,#N/A,luminaire,7,~,007,b\n"
    "=,=,?,duplex,18,panel,1E5,c\n"
    "  lead,=,?,duplex,6,=,  lead,d\n"
    f"{unicodedata.normalize('NFD', 'Caf' + chr(233))},~,~,duplex,11,panel,{unicodedata.normalize('NFC', 'Caf' + chr(233))},e\n"
    f"{chr(0x212B)}1,~,~,duplex,10,{unicodedata.normalize('NFC', 'Caf' + chr(233))},{unicodedata.normalize('NFD', 'Caf' + chr(233))},f\n"
    "1/2,FALSE,0.1,duplex,21,panel,1/2,g\n"
    "01,FALSE,0.1,duplex,5,1/2,01,h\n"
    "1,FALSE,0.1,duplex,4,01,1,i\n"
    ">5,TRUE,1E5,duplex,14,panel,>5,j\n"
    "<>,TRUE,1E5,gfci,3,>5,<>,k\n"
)

ODD_TOML = """[areas."*"]
installed_pct = 25
[areas."?"]
height = "from-ladder"
[areas."007"]
occupancy = "occupied"
[circuits."*"]
repeat = 2
[plans]
"007" = ["ac", "mc-wire"]
"true" = ["mc-wire"]
[[lines]]
kind = "direct"
text = "=1+1"
material_usd = 100
[[lines]]
kind = "allowance"
text = "007"
hours = 2
[[lines]]
kind = "alternate"
text = "TRUE"
material_usd = 50
taken = "yes"
[[lines]]
kind = "exclusion"
text = "#N/A"
[[late_changes]]
date = 2026-11-20
text = "1E5"
usd = -25
"""

ITEMS = ("007", "7", "7.0", "1E2", "100", "TRUE1", "2026-01-02", "3/4", "1-2")
"""Items that a spreadsheet would take for numbers, some of them for the same one."""

ODD_CATALOGS = {
    "prices": "item,title,family,unit,price_usd,date,source\n"
    + "".join(f"{item},item {n},small,each,{n}.25,2026-01,illustrative\n" for n, item in enumerate(ITEMS, start=1)),
    "uses": "use,driver,item,quantity,source\n"
    + "".join(f"u{n},cable_ft,{item},{n},illustrative\n" for n, item in enumerate(ITEMS, start=1)),
}

METRIC = """Circuit No.;Fixture;Length (m);Fed by;Brkr;Zone
LP1-1;Duplex outlet;18;panel;20;Est
LP1-1;Duplex outlet;3.6;;;Est
LP1-3;Light switch;12;panel;;Est
LP1-3;Downlight;4.5;;;Est
LP1-3;Downlight;3;;;Ouest
"""

BID = """estimate_date = 2026-11-20
install_date = 2027-04-15
status_date = 2026-12-01
contingency_pct = 3
[areas."exam 1"]
height = "from-ladder"
installed_pct = 20
[circuits.EP-5]
work_state = "pulled"
"""

DIRECT = """[[lines]]
kind = "direct"
text = "lift"
material_usd = 1150
hours = 3
"""

LINES = """[[lines]]
kind = "allowance"
text = "permit"
material_usd = 500
tax_pct = 5
markup_pct = 10
[[lines]]
kind = "alternate"
text = "heavier boxes"
material_usd = 70
taken = "yes"
[[late_changes]]
date = 2026-11-20
text = "supplier called"
usd = -25
"""

JOBS: Mapping[str, Texts] = {
    "small": Texts((SAMPLES / "small.csv").read_text(encoding="utf-8"), LINES, quotes={"q.csv": QUOTE}),
    "mixed": Texts(MIXED, LINES, compared="ac-first,mc-wire-first,mc-armor-first"),
    "control": Texts(CONTROL),
    "patient": Texts(PATIENT, BID + DIRECT + LINES, quotes={"q.csv": QUOTE}),
    "multiwire": Texts(MULTIWIRE, compared="ac-first,mc-wire-first,emt"),
    "rooms": Texts(ROOMS),
    "odd": Texts(ODD, ODD_TOML, "007,true,mc-armor-first", catalogs=ODD_CATALOGS),
    "metric": Texts(METRIC, sets=("make_up=through",)),
}


def options_of(folder: Path, name: str) -> Options:
    """Lay the texts of a schedule into a folder, and return the options of its build."""
    job = JOBS[name]
    texts = {"quotes": dict(job.quotes), "catalogs": dict(job.catalogs)}
    return laid(folder, *job.sets, toml=job.toml, compared=job.compared, schedule=job.schedule, **texts)
