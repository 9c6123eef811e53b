"""Words that say an outcome, found by what they depend on, so that no formula chooses inside a choice."""

from __future__ import annotations

from takeoff.engine.expr import Expr, as_expr
from takeoff.engine.lookups import look
from takeoff.engine.tables import Field, Table
from takeoff.job.quotes import SAMPLE
from takeoff.model.frame import INVENTED, NOTHING, Frame

NO_BOX = "none in the catalog"
PULL_BOX = "size by 314.28"
BAD_CHOICE = "CHOOSE a plan and a scope from the lists: what stands there is in none of them"

OTHER_THINGS = {"cable": "CABLE", "box": "BOX", "supports": "SUPPORTS", "fitting": "FITTING", "path": "GROUND PATH"}
"""What a step of the crew pages is done with, by the word of its row: what it is called where it changes."""

SAME, DISAPPEARS = "same", "DISAPPEARS"
CHANGES = {(0, 0): SAME, (0, 1): SAME, (-1, 0): DISAPPEARS, (-1, 1): "FEWER", (1, 0): "NEW", (1, 1): "MORE"}
"""Change of a count, less -1 and more 1, by whether the step is done in both plans."""

WORDS = {
    "box": {"0|0": "panel", "0|1": "panel", "1|0": PULL_BOX, "1|1": NO_BOX},
    "fill": {"0|0": "meets", "0|1": "meets", "1|0": "look", "1|1": "fails"},
    "price": {
        **{f"0|0|{invented}|0": word for invented, word in enumerate(("price list", INVENTED))},
        **{f"0|1|{invented}|0": word for invented, word in enumerate(("quote", SAMPLE))},
        **dict.fromkeys(("0|1|0|1", "0|1|1|1"), "EXPIRED QUOTE"),
        **{
            f"1|{quoted}|{invented}|{expired}": "MISSING"
            for quoted in (0, 1)
            for invented in (0, 1)
            for expired in (0, 1)
        },
    },
    "quote": {"0|0": "-", "1|0": "EXPIRED", "0|1": "NOT COUNTED", "1|1": "NOT COUNTED"},
    "trace": {
        "1|1": "all boxes of the job, as often as they are built; they stand on Summary",
        "1|2": "the boxes of the area, as often as they are built; they stand on Breakdown, by area",
        "1|3": "the boxes of the circuit, as often as it is built; they stand on Lines",
        "1|4": "the box with the run that feeds it; it stands on Boxes, there for one, here for all times built",
        "0|1": BAD_CHOICE,
        **dict.fromkeys(("0|2", "0|3", "0|4"), BAD_CHOICE),
    },
    "loop": {
        **dict.fromkeys(("0|-1", "0|0", "0|1"), "-"),
        "1|-1": "READS LOWER",
        "1|0": "agrees",
        "1|1": "READS HIGHER",
    },
    "change": {
        f"{count}|{both}|{thing}": f"{word}, OTHER {thing}".removeprefix(f"{SAME}, ")
        if both and thing != NOTHING
        else word
        for (count, both), word in CHANGES.items()
        for thing in (NOTHING, *OTHER_THINGS.values())
    },
    "decide": {
        **dict.fromkeys(("0|0|0", "0|1|0", "0|0|1", "0|1|1"), "no dates are given"),
        "1|0|0": "open",
        "1|0|1": "PAST: decided today, nothing is saved any more",
        **dict.fromkeys(("1|1|0", "1|1|1"), "nothing is saved on any day"),
    },
    "verdict": {
        "0|0|0": "GO: it saves as estimated, on the average, and with the chance asked for",
        "0|0|1": "WAIT: it saves, but prices, invented figures or stale draws are to be settled first",
        "0|1|0": "WAIT: it saves on the average, with less than the chance asked for",
        "0|1|1": "WAIT: less than the chance asked for, and prices, invented figures or stale draws to settle",
        **dict.fromkeys(
            ("1|0|0", "1|0|1", "1|1|0", "1|1|1"), "NO: decided today it saves nothing, as estimated or on the average"
        ),
    },
    "apart": {
        "0": "estimate and chance point the same way",
        "1": "ESTIMATE AND CHANCE POINT APART: ranges have unequal ends, see which; decide on what is expected",
    },
}
"""Where no box is chosen, and how its check is met: a box, sized by its fill. Price: missing, quoted,
illustrative, expired. Change of a count: less -1, more 1; in both plans; another thing. Loop: read and
predicted; beyond the class of the instrument. Trace: both choices are of the lists, level of the scope."""


def words_table(_: Frame) -> Table:
    """The words of every subject by what they depend on."""
    rows = [(f"{subject}|{key}", word) for subject, words in WORDS.items() for key, word in words.items()]
    return Table(
        "words",
        "Words for outcomes",
        [Field("key", "subject and outcome", role="key", width=17), Field("word", "word", width=18)],
        [],
        {"key": [key for key, _ in rows], "word": [word for _, word in rows]},
    )


def word_for(subject: str, key: Expr) -> Expr:
    """Return the word of a subject for what it depends on."""
    return look("words", "word", as_expr(f"{subject}|") & key)
