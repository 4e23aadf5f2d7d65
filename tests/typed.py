"""What a person may type as a length, for the tests of everything that reads it."""

from hypothesis import settings
from hypothesis import strategies as st

# No example is timed: the first one that needs pint waits for it to load.
untimed = settings(deadline=None)

# Text in a mm field, millimetres, unit it was read in. Inches: multiplied by 25.4 by hand.
GOOD_LENGTHS = [
    (text, value_mm, unit)
    for value_mm, unit, texts in [
        ("234.1", "mm", ["234.1", "234,1", "234,1 mm", "234.1mm", "  234.1 mm  ", "234.1 MM", "234.10"]),
        ("165.4", "mm", ["165,4"]),
        ("165", "mm", ["165"]),
        ("0", "mm", ["0"]),
        ("7", "mm", ["007"]),
        ("0.5", "mm", [".5"]),
        ("0.234", "mm", ["0,234"]),
        ("1.234", "mm", ["1.234"]),
        ("1.2345", "mm", ["1,2345"]),
        ("0.12345678", "mm", ["0.12345678"]),
        ("1000000", "mm", ["1000000"]),
        ("5", "mm", ["5 millimetres"]),
        ("234.1", "cm", ["23.41 cm"]),
        ("25", "cm", ["2.5 Cm"]),
        ("165.4", "m", ["0.1654 m"]),
        ("1000000", "m", ["1000 m"]),
        ("2000", "m", ["2 meters"]),
        ("25.4", "in", ["1 in", "1 Inch", "1 IN."]),
        ("233.934", "in", ["9.21 in", '9.21"']),
        ("234.1626", "in", ["9.219 in"]),
        ("304.8", "in", ["12 inches"]),
        ("234.15625", "in", ["9 7/32 in", "9  7/32 in", "9 7/32in"]),
        ("165.1", "in", ['6-1/2"', "6 1/2 in", "6 1/2 ″"]),
        ("5.55625", "in", ["7/32 in"]),
        ("0.396875", "in", ['1/64"']),
        ("0.1984375", "in", ["1/128 in"]),
        ("2.54", "in", ["1/10 in"]),
        ("914.4", "ft", ["3 ft"]),
        ("3048", "ft", ["10'", "10 feet"]),
        ("152.4", "ft", ["1/2 ft"]),
        ("101.6", "ft", ["1/3 ft"]),
        ("1676.4", "ft", ["5 1/2 ft"]),
    ]
    for text in texts
]

# Text in a mm field and what its refusal has to say.
BAD_LENGTHS = [
    (text, says)
    for says, texts in [
        ("is empty", ["", "   ", "\t\n"]),
        ("is not a number", ["abc", "about nine inches", "mm", "nan", "nan mm", "inf", "Infinity mm", "."]),
        ("is not a number", ["/"]),
        ("exponent", ["1e400", "1e400 mm", "2E3", "5e-3 mm"]),
        ("calculation", ["12 mm + 1 in", "12+1", "9**9**9", "2^64", "(5)"]),
        ("not in a unit of length", ["5 m/s", "5 kg", "5 furlongs", "5 µm", "5 \u212am"]),
        ("negative", ["-5", "-5 mm", "- 5", "−5", "-1/2 in"]),
        ("plus sign", ["+5"]),
        ("longer than 40 characters", ["9" * 41, "9" * 10_000, "5 " + "m" * 10_000]),
        ("digits other than 0 to 9", ["２３４", "234,１", "٢٣٤", "9½ in", "5²"]),
        ("zero below the line", ["1/0 in", "0/0 in"]),
        ("write 6 1/2 in", ["6 1/2", "6-1/2"]),
        ("write 7/32 in", ["7/32"]),
        ("write a decimal number of mm", ["6 1/2 mm"]),
        ("inches and feet only", ["6 1/2 m"]),
        ("more than one fraction", ["6 1/2 1/2", "6 1/2 1/2 in", "1/2/3 in"]),
        ("not between 0 and 1", ["97/32 in", "9 35/32 in", "9 0/32 in", "9 32/32 in"]),
        ("no exact value", ["1/3 in"]),
        ("mixes a decimal and a fraction", ["6.5 1/2 in", "1/2.5 in"]),
        ("half a fraction", ["6 1/ in"]),
        ("two separators", ["1.234,5", "1,234.5", "1.234.567", "1,234,567", "1..5"]),
        ("write 1.234 or 1234", ["1,234", "1,234 in"]),
        ("write 234.156 or 234156", ["234,156 mm"]),
        ("write 0.234 or 234", [",234"]),
        ("no digit after the separator", ["234.", "234, mm"]),
        ("more than one number", ["1 234,5", "12 13", "5x15", "1' 6\"", "0x10", "1_000", "12-13"]),
        ("more than 8 decimals", ["0.123456789"]),
        ("write at most 1000000 mm", ["1000000.00000001", "1001 m", "39371 in"]),
        ("far too large", ["9" * 40]),
        ("can not be seen", ["5\x00mm", "5\nmm", "5\u202emm", "5\ud800mm"]),
    ]
    for text in texts
]


def short(value: str) -> str:
    """The name of a case in a test report, where 10,000 characters would help nobody."""
    return ascii(value)[1:31]


def assert_one_sentence(message: str, what: str) -> None:
    assert message.startswith(f"{what} ")
    assert message.isprintable(), "an error is one line without control characters"
    assert len(message) < 200


ANY_TEXT = st.text(max_size=60) | st.text(alphabet="0123456789.,/ -+*\"'inmcftkglbseE", max_size=45)
