"""How long asset tags take and how large they are, beside drawing nothing but their codes the plainest ways.

`python -m demo.bench labels` calls `run`. Each measurement is made in a process of its own, so that its peak
memory is its own too. fieldlog's side is the whole tag, seven texts and the code, on A4 sheets of 24; the
other sides draw the bare codes of the same texts on as many sheets: reportlab's own widget, and segno's
modules as rectangles, one for each run of dark modules in a row.
"""

import json
import resource
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from itertools import count, islice
from pathlib import Path
from time import perf_counter
from typing import Any, BinaryIO, overload

from fieldlog.domain.label_content import TAG, LabelContent
from fieldlog.domain.tag_id import make_id, may_be_given_out, scan_text

ROUNDS_OF = {1_000: 3, 10_000: 1}
"""How many labels, and how often they are measured: ten thousand take the widget a minute and more."""
SHEET = "a4-3x8-70x37"
A_SHEET = 24
MOST_BYTES = 1_000
"""What a label may take at most: the aim that was set."""

NAMES = {
    "fieldlog": "fieldlog: whole asset tags",
    "widget": "reportlab's QR widget: codes alone",
    "segno": "segno's rectangles: codes alone",
}


class Tags(Sequence[LabelContent]):
    """Tags of an invented works, each made when it is asked for: a batch that is nowhere held as a whole."""

    def __init__(self, ids: Sequence[str]) -> None:
        self.ids = ids

    def __len__(self) -> int:
        return len(self.ids)

    @overload
    def __getitem__(self, index: int) -> LabelContent: ...

    @overload
    def __getitem__(self, index: slice) -> "Tags": ...

    def __getitem__(self, index: int | slice) -> "LabelContent | Tags":
        if isinstance(index, slice):
            return Tags(self.ids[index])
        hoist_id = self.ids[index]
        texts = {
            "id": hoist_id,
            "capacity": f"{500 + 250 * (index % 8)} kg",
            "chain": "5 x 15 mm, T",
            "site": "filter house",
            "place": f"bay {index % 97}",
            "shop": "Saltmarsh Water Works",
            "maker": f"Fenwright Heron 5, {4000 + index}",
        }
        return LabelContent(kind=TAG, texts=texts, code=scan_text(hoist_id))


def ids(many: int) -> list[str]:
    """So many IDs as a shop gives them out."""
    numbers: Iterator[int] = (number for number in count(1) if may_be_given_out("SW", number))
    return [make_id("SW", number) for number in islice(numbers, many)]


def by_fieldlog(stream: BinaryIO, hoist_ids: Sequence[str]) -> None:
    """Whole asset tags."""
    from fieldlog.printing.labels import write
    from fieldlog.printing.templates import load_template

    write(stream, Tags(hoist_ids), load_template(SHEET), title="tags", author="bench")


def _sheets(canvas: Any, hoist_ids: Sequence[str], draw: Callable[[str, float, float], None]) -> None:
    for index, hoist_id in enumerate(hoist_ids):
        if index and index % A_SHEET == 0:
            canvas.showPage()
        row, column = divmod(index % A_SHEET, 3)
        draw(scan_text(hoist_id), 20 + column * 190.0, 760 - row * 100.0)
    canvas.save()


def by_widget(stream: BinaryIO, hoist_ids: Sequence[str]) -> None:
    """The codes alone, by the widget that comes with reportlab."""
    from reportlab.graphics.barcode.qr import QrCodeWidget
    from reportlab.graphics.renderPDF import draw
    from reportlab.graphics.shapes import Drawing
    from reportlab.pdfgen.canvas import Canvas

    canvas = Canvas(stream, pageCompression=1)

    def code(text: str, x: float, y: float) -> None:
        drawing = Drawing(60, 60)
        drawing.add(QrCodeWidget(text, barLevel="Q", barWidth=60, barHeight=60))
        draw(drawing, canvas, x, y)

    _sheets(canvas, hoist_ids, code)


def by_segno(stream: BinaryIO, hoist_ids: Sequence[str]) -> None:
    """The codes alone, segno's modules drawn as rectangles in one path."""
    import segno
    from reportlab.pdfgen.canvas import Canvas

    canvas = Canvas(stream, pageCompression=1)

    def code(text: str, x: float, y: float) -> None:
        matrix = segno.make(text, error="q", micro=False, boost_error=False).matrix
        canvas.saveState()
        canvas.translate(x, y)
        canvas.scale(2, 2)
        path = canvas.beginPath()
        for row, cells in enumerate(matrix):
            start = None
            for column, dark in enumerate((*cells, 0)):
                if dark and start is None:
                    start = column
                elif not dark and start is not None:
                    path.rect(start, len(matrix) - row, column - start, 1)
                    start = None
        canvas.drawPath(path, stroke=0, fill=1)
        canvas.restoreState()

    _sheets(canvas, hoist_ids, code)


MAKERS = {"fieldlog": by_fieldlog, "widget": by_widget, "segno": by_segno}


def measure(name: str, many: int) -> dict[str, float]:
    """Seconds, bytes and the growth of peak memory [MB] of one job in this process, after a warm start."""
    hoist_ids = ids(many)
    with tempfile.TemporaryFile() as stream:
        MAKERS[name](stream, hoist_ids[:A_SHEET])
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with tempfile.TemporaryFile() as stream:
        begin = perf_counter()
        MAKERS[name](stream, hoist_ids)
        seconds = perf_counter() - begin
        size = stream.seek(0, 2)
    grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
    return {"seconds": seconds, "bytes": size, "mb": grown / 1024}


def _in_own_process(name: str, many: int) -> dict[str, float]:
    """The quickest of a few rounds; memory and size are the same in all."""
    rounds = []
    for _ in range(ROUNDS_OF.get(many, 1)):
        command = [sys.executable, "-m", f"{__package__}.bench_labels", name, str(many)]
        done = subprocess.run(
            command, cwd=Path(__file__).parents[1], capture_output=True, text=True, check=True
        )
        rounds.append(json.loads(done.stdout))
    quickest: dict[str, float] = min(rounds, key=lambda told: told["seconds"])
    return quickest


def run(say: Callable[[str], None]) -> None:
    """Measure all sides at every count; one line each, and what was to be reached."""
    say(f"{'':<8}{'':<38}{'ms a label':>11}{'bytes a label':>15}{'memory grown by':>17}")
    for many in ROUNDS_OF:
        found = {name: _in_own_process(name, many) for name in MAKERS}
        for name, told in found.items():
            say(
                f"{many:<8,}{NAMES[name]:<38}{told['seconds'] / many * 1000:>11.2f}"
                f"{told['bytes'] / many:>15.0f}{told['mb']:>14.1f} MB"
            )
        ours, best = found["fieldlog"], min(found[name]["seconds"] for name in ("widget", "segno"))
        reached = ours["seconds"] <= best and ours["bytes"] / many < MOST_BYTES
        say(
            f"{many:<8,}to reach: no slower than the faster of the two, under 1 kB a label:"
            f" {'reached' if reached else 'not reached'}, {ours['seconds'] / best:.2f} of its time"
        )


if __name__ == "__main__":
    print(json.dumps(measure(sys.argv[1], int(sys.argv[2]))))
