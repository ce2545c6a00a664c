"""Commands for tests of the alarm: small programs that do what an owner's own might do, or fail as one might."""

from __future__ import annotations

import sys
from pathlib import Path

WRITES = """
import sys
with open({out!r}, "a") as file:
    file.write("|".join(sys.argv[1:]) + "\\n")
"""
FAILS = """
import sys
print("dialling", flush=True)
print("\\n  The line is dead.\\nand more", file=sys.stderr)
sys.exit(3)
"""
HANGS = """
import subprocess, sys, time
child = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(60)"])
with open({out!r}, "w") as file:
    file.write(str(child.pid))
time.sleep(60)
"""
PRINTS = """
import sys
for _ in range(200):
    sys.stdout.write("x" * 50_000)
    sys.stderr.write("y" * 50_000)
sys.exit(1)
"""


def command(folder: Path, program: str, name: str = "call") -> tuple[str, ...]:
    """Write a program into a folder, and return the words that run it; what it writes goes to `NAME.out` there."""
    file = folder / f"{name}.py"
    file.write_text(program.replace("{out!r}", repr(str(folder / f"{name}.out"))), encoding="utf-8")
    return sys.executable, str(file)
