"""Rows of the book on roller chain, several at once."""

import numpy as np
import pytest

from linkwright.services.calculations import evaluate, find_calculation
from linkwright.services.rows import Row, shipped_rows

ROWS = [
    row
    for row in shipped_rows()
    if row.file == "roller.toml" and not any(isinstance(v, str) for v in row.inputs.values())
]


@pytest.mark.parametrize("row", ROWS, ids=[row.id for row in ROWS])
def test_arrays_give_each_member_what_it_gets_alone(row: Row) -> None:
    """Every calculation on numbers broadcasts, and members do not mix."""
    entry = find_calculation(row.calculation or "")
    alone = evaluate(entry, row.inputs)
    several = evaluate(entry, {key: [value, value] for key, value in row.inputs.items()})
    for name, value in alone.results.items():
        np.testing.assert_allclose(several.results[name], [value, value], rtol=1e-9, err_msg=name)
