"""Whether what was worked out from a file may be taken on trust: by the times of two files, no clock."""

RACY_NS = 2 * 10**9


def is_racy(mtime_ns: int, written_ns: int) -> bool:
    """Whether a file was touched within two seconds of the writing of what was worked out from it.

    Where a file system counts time coarsely, it may have changed once more within the same tick.
    """
    return abs(written_ns - mtime_ns) < RACY_NS
