"""python -m assistant."""

from __future__ import annotations

import sys

STOPPED = 130
"""Exit code after Ctrl-C, as in `ending`, which may not be loaded yet."""


def main() -> None:
    """Run the command line and end with its exit code."""
    try:
        from assistant.commands.cli import main as _main  # in the meantime somebody may change their mind
        from assistant.system.ending import Stopped, flushed, heed_signals, write_whatever_comes
    except KeyboardInterrupt:
        sys.exit(STOPPED)
    heed_signals()
    write_whatever_comes()
    try:
        code = _main(sys.argv[1:])
    except SystemExit as done:  # help, version, and wrong words of the command
        code = done.code if isinstance(done.code, int) else 1
    except OSError:  # the help could not be written
        code = 1
    except KeyboardInterrupt:  # while the command was loaded: nothing is begun, so there is nothing to tell
        code = STOPPED
    except Stopped as stopped:  # while it was ending already
        code = stopped.code
    sys.exit(flushed(code))


if __name__ == "__main__":
    main()
