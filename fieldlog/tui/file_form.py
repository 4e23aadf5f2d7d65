"""A form that ends in a file: one that is there already is written over only after a second F10."""

from pathlib import Path

from fieldlog.tui.form import FormPage


class FileForm(FormPage):
    """Subclasses have a field 'file'; their `send` asks `may_replace()` once, and writes as it says."""

    again = "F10 again writes over it; or give another name."

    def questions(self, texts: dict[str, str]) -> tuple[str, ...]:
        """A file that would be lost."""
        from fieldlog.printing.whole import is_taken  # noqa: PLC0415 (printing is loaded when asked for)

        path = Path(texts.get("file", "").strip()).expanduser()
        return (f"{path} is there already.",) if is_taken(path) else ()

    def may_replace(self) -> bool:
        """Whether the file was asked about; it is asked about again before the next time."""
        asked, self.asked = self.asked, ()
        return bool(asked)
