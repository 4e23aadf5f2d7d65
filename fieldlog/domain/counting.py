"""How many of a thing, in words: on every screen, paper and command line alike."""


def counted(number: int, what: str) -> str:
    """A number of things.

    Example: '1 defect', '3 defects', '20,000 hoists'.
    """
    return f"{number:,} {what}{'' if number == 1 else 's'}"
