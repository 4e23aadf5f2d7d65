"""A page of an inspection in hand: it hears of others, and keeps what its fields hold at the very end."""

from fieldlog.tui.hearing import HearsOthers
from fieldlog.tui.work import InspectionWork


class WorkPage(HearsOthers):
    """Subclasses call `take_in_hand` when they are made, and put their fields into the work in `gather`."""

    work: InspectionWork

    def take_in_hand(self, work: InspectionWork) -> None:
        """The inspection that this page is of."""
        self.work = work
        self.meanwhile = work.meanwhile

    def gather(self) -> None:
        """Put what stands in the fields into the content of the inspection, as every key does."""

    def keep_last(self) -> None:
        """Keep a key that was typed but not handled yet, where the app can not go on; from any thread."""
        self.gather()
        self.work.keep_last()
