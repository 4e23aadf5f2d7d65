"""The bench of the store says every measure with what stands beside it, as a table that can be pasted."""

from demo.bench_store import Figures, table


def test_the_table_has_a_column_a_size_and_what_stands_beside_in_brackets() -> None:
    small = Figures(size=1000, data_mb=216.4)
    small.put("seal", 0.0008, **{"write and fsync": 0.0003})
    small.put("peak memory of verify [MB]", 30.2)
    large = Figures(size=20_000, data_mb=4315)
    large.put("seal", 1.5)
    large.put("peak memory of verify [MB]", 71)
    assert table([small, large]) == [
        "| | 1,000 x 40 (216 MB) | 20,000 x 40 (4,315 MB) |",
        "| --- | --- | --- |",
        "| seal | 0.80 ms (write and fsync 0.30 ms) | 1.50 s |",
        "| peak memory of verify [MB] | 30 MB | 71 MB |",
    ]
