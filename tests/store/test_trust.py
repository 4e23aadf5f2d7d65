"""What was worked out within two seconds of a file's own time is not trusted, on either side of it."""

import pytest

from fieldlog.store.trust import is_racy


@pytest.mark.parametrize(
    ("apart", "racy"),
    [
        (-2_000_000_000, False),
        (-1_999_999_999, True),
        (0, True),
        (1_999_999_999, True),
        (2_000_000_000, False),
    ],
)
def test_two_seconds_apart_are_enough(apart: int, racy: bool) -> None:
    assert is_racy(10**18 + apart, 10**18) is racy
