"""Faults found while rule files are read: collected, so that all can be mended at once."""

from collections.abc import Collection, Iterable

from fieldlog.errors import Problem, RulebookError


class MisfitError(ValueError):
    """A value that does not fit its place. Caught where the place is known.

    `problems` are what is wrong and what to do, each with its place inside the value ('' for all of it).
    """

    def __init__(self, wrong: str = "", todo: str = "", *, inside: Iterable[Problem] = ()) -> None:
        super().__init__(wrong)
        self.problems = tuple(inside) or (Problem(place="", wrong=wrong, todo=todo),)


class Faults:
    """The faults of a whole folder of rule files, in the order they were found."""

    def __init__(self) -> None:
        self._problems: list[Problem] = []

    def add(self, place: str, wrong: str, todo: str = "") -> None:
        """Note what is wrong at `place` and what to do about it."""
        self._problems.append(Problem(place=place, wrong=wrong, todo=todo))

    def add_misfit(self, place: str, misfit: MisfitError) -> None:
        """Note all that did not fit at `place`."""
        for problem in misfit.problems:
            self.add(place + problem.place, problem.wrong, problem.todo)

    @property
    def problems(self) -> tuple[Problem, ...]:
        """All faults noted so far."""
        return tuple(self._problems)

    def raise_if_any(self) -> None:
        """Raise RulebookError with every fault noted so far."""
        if self._problems:
            count = len(self._problems)
            heading = (
                f"The rulebook has {count} fault{'s' if count > 1 else ''}; nothing starts on faulty rules:"
            )
            raise RulebookError(heading, self._problems)


def near(word: str, known: Collection[str]) -> str:
    """What to do about an unknown word: the nearest known one, or all of them where they are few."""
    import difflib  # noqa: PLC0415  only a faulty file pays for it

    close = difflib.get_close_matches(word, known, n=1)
    if close:
        return f"Did you mean '{close[0]}'?"
    return f"Known: {', '.join(known)}." if 0 < len(known) <= 12 else ""
