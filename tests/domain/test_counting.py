"""One is told as one, every other number in the plural, thousands apart."""

import pytest

from fieldlog.domain.counting import counted


@pytest.mark.parametrize(
    ("number", "told"),
    [(0, "0 hoists"), (1, "1 hoist"), (2, "2 hoists"), (999, "999 hoists"), (20000, "20,000 hoists")],
)
def test_a_number_of_things(number: int, told: str) -> None:
    assert counted(number, "hoist") == told
