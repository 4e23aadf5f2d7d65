"""A PDF whose pages are written out one by one, so that ten thousand labels take no more memory than a sheet.

reportlab's canvas keeps every page until it is saved. Here a page is written as soon as it is done and only
its place in the file is kept; fonts and catalogue follow at the end, in reportlab's own words.

The same input gives the same bytes: no clock is read, and instead of a made-up date the file has none
(CreationDate is optional: ISO 32000-1, 14.3.3).
"""

import zlib
from io import BytesIO
from typing import Any, BinaryIO

from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas

from fieldlog.printing.bookmarks import Mark, write_outline
from fieldlog.printing.fonts import REGULAR, font_name

LANGUAGE = "en"
CREATOR = "fieldlog"
PDF_VERSION = (1, 4)
"""The first that knows a document's language: ISO 32000-1, 14.9.2 (from memory)."""


class _Undated(pdfdoc.PDFInfo):  # type: ignore[misc]  # reportlab has no types
    """What the file says of itself, without a date."""

    def format(self, document: Any) -> Any:
        facts = {"Title": self.title, "Author": self.author, "Subject": self.subject, "Creator": self.creator}
        told = {key: pdfdoc.PDFString(text) for key, text in facts.items()}
        return pdfdoc.PDFDictionary(told).format(document)


class PagedPdf:
    """A canvas to draw on, page after page; `canvas` is reportlab's, to be drawn on but not to be saved."""

    def __init__(
        self, stream: BinaryIO, *, size: tuple[float, float], title: str, author: str, subject: str
    ) -> None:
        """Begin the file; `size` is that of a page [points]."""
        self.canvas = Canvas(
            BytesIO(),
            pagesize=size,
            invariant=1,
            lang=LANGUAGE,
            initialFontName=font_name(REGULAR),
            pdfVersion=PDF_VERSION,
        )
        self.pages = 0
        self._marks: list[Mark] = []
        self._stream = stream
        self._document: Any = self.canvas._doc
        self._document.info = _Undated()
        self.canvas.setTitle(title)
        self.canvas.setAuthor(author)
        self.canvas.setSubject(subject)
        self.canvas.setCreator(CREATOR)
        self._offset = 0
        self._add(pdfdoc.PDFFile(self._document._pdfVersion).format(self._document))

    def mark(self, title: str, *, level: int = 0, at: tuple[float, float] | None = None) -> None:
        """A line of the reader's outline that leads to the page being drawn, or to a place on it [points]."""
        self._marks.append(Mark(title, self._document.thisPageName(), level, at))

    def end_page(self) -> None:
        """Write the page that was drawn; what is drawn from now on stands on the next."""
        document = self._document
        name = document.thisPageName()
        self.canvas.showPage()
        self.pages += 1
        page = document.idToObject[name]
        deflate = pdfdoc.PDFDictionary({"Filter": pdfdoc.PDFName("FlateDecode")})
        code = zlib.compress(page.stream.encode("latin-1"))  # the encoding of reportlab's page streams
        page.Contents = pdfdoc.PDFStream(deflate, code)
        document.Reference(page.Contents, f"{name}Contents")
        for written in (name, f"{name}Contents"):
            self._write(written)
            document.idToObject[written] = None
        document.Pages.pages[-1] = pdfdoc.PDFObjectReference(name)

    def close(self) -> None:
        """Write fonts, page tree, catalogue and the table of places; nothing can be drawn after that."""
        document = self._document
        for font in document.delayedFonts:
            font.addObjects(document)
        document.info.digest(document.signature)
        catalogue, info = document.Reference(document.Catalog), document.Reference(document.info)
        document.Catalog.Outlines = self._write_outline() if self._marks else None
        number = 1
        while number in document.numberToId:  # writing an object may add others behind it
            if document.numberToId[number] not in document.idToOffset:
                self._write(document.numberToId[number])
            number += 1
        table = pdfdoc.PDFCrossReferenceTable()
        table.addsection(0, [document.numberToId[known] for known in range(1, number)])
        start = self._add(table.format(document))
        trailer = pdfdoc.PDFTrailer(startxref=start, Size=number, Root=catalogue, Info=info, ID=document.ID())
        self._add(trailer.format(document))

    def _write_outline(self) -> pdfdoc.PDFObjectReference:
        """Write the outline; each object is forgotten as soon as it is written."""
        document = self._document
        names = [f"Outline{number}" for number in range(len(self._marks) + 1)]
        for name in names:
            document.Reference("", name)
        first, _ = document.idToObjectNumberAndVersion[names[0]]
        for name, told in zip(names, write_outline(self._marks, document, first), strict=True):
            document.idToObject[name] = told
            self._write(name)
            document.idToObject[name] = None
        return pdfdoc.PDFObjectReference(names[0])

    def _write(self, name: str) -> None:
        """Write one object and keep its place."""
        document = self._document
        told = pdfdoc.PDFIndirectObject(name, document.idToObject[name]).format(document)
        document.idToOffset[name] = self._add(told)

    def _add(self, told: bytes) -> int:
        begin = self._offset
        self._stream.write(told)
        self._offset += len(told)
        return begin
