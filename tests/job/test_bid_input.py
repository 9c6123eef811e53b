"""What is wrong with lines of the bid and late changes in the inputs file: the exact sentences, all in one pass."""

from __future__ import annotations

import pytest

from takeoff.build import compute
from takeoff.text.problems import InputError
from tests.priced import laid

A_LINE = '[[lines]]\nkind = "allowance"\ntext = "sum"\n'
A_CHANGE = '[[late_changes]]\ndate = 2026-11-20\ntext = "change"\n'
DAY = "a date such as 2026-11-25, or a month such as 2026-11"
BAD = [
    ("lines = 4\n", ['lines: is no list of tables: "4"; [[lines]] with lines below it']),
    ('late_changes = ["x"]\n', ['late_changes: is no list of tables: "x"; [[late_changes]] with lines below it']),
    (
        '[[lines]]\ntext = "sum"\n',
        ["lines[1].kind: is no kind of line; one of direct, allowance, alternate, exclusion"],
    ),
    (
        A_LINE + '[[lines]]\nkind = "extra"\ntext = "sum"\n',
        ['lines[2].kind: is no kind of line: "extra"; one of direct, allowance, alternate, exclusion'],
    ),
    ('[[lines]]\nkind = "allowance"\n', ["lines[1].text: is no text of a line; 1 to 120 characters"]),
    (A_LINE.replace("sum", " "), ["lines[1].text: is no text of a line; 1 to 120 characters"]),
    (
        A_LINE.replace("sum", "x" * 121),
        [f'lines[1].text: is no text of a line: "{"x" * 57}..."; 1 to 120 characters'],
    ),
    (A_LINE + 'hours = "two"\n', ['lines[1].hours: is not accepted: "two"; a number from -1,000,000 to 1,000,000']),
    (A_LINE + "tax_pct = 31\n", ['lines[1].tax_pct: is not accepted: "31"; a number from 0 to 30']),
    (A_LINE + "markup_pct = -5\n", ['lines[1].markup_pct: is not accepted: "-5"; a number from 0 to 1,000']),
    (
        A_LINE + "material_usd = inf\n",
        ['lines[1].material_usd: is not accepted: "inf"; a number from -1,000,000,000 to 1,000,000,000'],
    ),
    (
        A_LINE + "material_usd = true\n",
        ['lines[1].material_usd: is not accepted: "True"; a number from -1,000,000,000 to 1,000,000,000'],
    ),
    (A_LINE + 'taken = "yes"\n', ['lines[1].taken: is said of a line that is no alternate: "yes"; leave it out']),
    (
        '[[lines]]\nkind = "alternate"\ntext = "sum"\ntaken = "maybe"\n',
        ['lines[1].taken: is neither yes nor no: "maybe"; yes or no'],
    ),
    (
        '[[lines]]\nkind = "direct"\ntext = "lift"\nmarkup_pct = 5\n',
        ["lines[1].markup_pct: is given for a direct expense; it is marked up with the job"],
    ),
    (
        '[[lines]]\nkind = "exclusion"\ntext = "fire stopping"\nhours = 3\n',
        ['lines[1]: has money or hours: "exclusion"; text only; an exclusion is not in the bid'],
    ),
    (
        A_LINE + "price = 5\n",
        ["lines[1].price: is no part of a line; accepted: kind, text, material_usd, tax_pct, hours, markup_pct, taken"],
    ),
    ('[[late_changes]]\ntext = "change"\n', [f"late_changes[1].date: is not a date; {DAY}"]),
    (A_CHANGE.replace("2026-11-20", '"20.11.2026"'), [f'late_changes[1].date: is not a date: "20.11.2026"; {DAY}']),
    (
        A_CHANGE + "usd = nan\n",
        ['late_changes[1].usd: is not accepted: "nan"; a number from -1,000,000,000 to 1,000,000,000'],
    ),
    (A_CHANGE + "amount = 5\n", ["late_changes[1].amount: is no part of a line; accepted: date, text, usd"]),
    (
        A_LINE + "tax_pct = 31\nhours = nan\n" + A_CHANGE + 'usd = "less"\n',
        [
            'lines[1].tax_pct: is not accepted: "31"; a number from 0 to 30',
            'lines[1].hours: is not accepted: "nan"; a number from -1,000,000 to 1,000,000',
            'late_changes[1].usd: is not accepted: "less"; a number from -1,000,000,000 to 1,000,000,000',
        ],
    ),
    (
        'bond_pct = 21\nprofit_basis = "keystone"\nprofit_pct = 91\n',
        [
            'bond_pct: is not accepted: "21"; a number from 0 to 20 %',
            'profit_basis: is not accepted: "keystone"; one of markup, margin',
            'profit_pct: is not accepted: "91"; a number from 0 to 90 %',
        ],
    ),
]


@pytest.mark.parametrize(("toml", "messages"), BAD, ids=[str(n) for n, _ in enumerate(BAD)])
def test_bad_lines_of_the_bid(tmp_path, toml: str, messages: list[str]):
    with pytest.raises(InputError) as wrong:
        compute(laid(tmp_path, toml=toml))
    assert str(wrong.value).splitlines() == [f"i.toml:{m}" for m in messages]
