"""For all tests: screens are painted without waiting for the next frame, and waiting leaves no core idle."""

import gc
import os

os.environ.setdefault("TEXTUAL_FPS", "1000")


def pytest_xdist_auto_num_workers() -> int:
    """Half as many again as there are cores: many tests wait for a terminal, a disk or a process."""
    return (os.cpu_count() or 2) * 3 // 2


def pytest_collection_finish() -> None:
    """Modules stay to the end of the run, so looking for garbage among them took a fifth of it."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 50, 100)
