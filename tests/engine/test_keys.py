"""Keys as whole numbers, against the library pandas, which numbers keys as they come too."""

import numpy as np
import pandas as pd
from hypothesis import given
from hypothesis import strategies as st

from takeoff.engine.keys import keys_of
from takeoff.engine.tables import array_of

KEYS = st.sampled_from(["ac-first", "AC-first", "", "1", 1, 1.0, 0.0, -0.0, 2.5])
ROWS = st.lists(st.tuples(KEYS, KEYS), max_size=30)


@given(rows=ROWS, others=ROWS, columns=st.integers(1, 2))
def test_keys_are_numbered_as_by_a_library(
    rows: list[tuple[object, ...]], others: list[tuple[object, ...]], columns: int
):
    def arrays(of: list[tuple[object, ...]]) -> list[np.ndarray]:
        return [array_of([row[n] for row in of]) for n in range(columns)]

    found = keys_of(arrays(rows))
    wanted = pd.Series([row[:columns] for row in rows], dtype=object)
    assert found.of_rows.tolist() == pd.factorize(wanted)[0].tolist()
    first = wanted.drop_duplicates()
    there = pd.Index(first, tupleize_cols=False).get_indexer(
        pd.Index([o[:columns] for o in others], tupleize_cols=False)
    )
    assert found.find(arrays(others)).tolist() == there.tolist()
    assert found.first_rows.tolist() == [*(first.index + 1), 0]
    last = wanted.drop_duplicates(keep="last").index + 1
    assert sorted(found.last_rows.tolist()) == sorted([*last, 0])
    assert found.counts.tolist() == [*wanted.value_counts(sort=False).tolist(), 0]
