"""python -m assistant."""

from __future__ import annotations

import sys

from assistant.cli import main as _main


def main() -> None:
    """Run the command line and end with its exit code."""
    sys.exit(_main(sys.argv[1:]))


if __name__ == "__main__":
    main()
