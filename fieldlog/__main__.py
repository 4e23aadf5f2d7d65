"""python -m fieldlog."""

import sys

from fieldlog.cli import main

__all__ = ["main"]

if __name__ == "__main__":
    sys.exit(main())
