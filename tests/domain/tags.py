"""Hoist IDs of every prefix and number that may be given out, for tests of laws."""

from hypothesis import assume, settings
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_36

from fieldlog.domain.tag_id import make_id

ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"

untimed = settings(deadline=None)

prefixes = st.text(alphabet="ABCDEFGHIJKLMNOPQRSTUVWXYZ", min_size=2, max_size=4)
numbers = st.integers(1, 9_999) | st.integers(1, 999_999)


@st.composite
def hoist_ids(draw: st.DrawFn) -> str:
    prefix, number = draw(prefixes), draw(numbers)
    assume(mod_37_36.calc_check_digit(f"{prefix}{number:04}") not in "OI")
    return make_id(prefix, number)
