"""All measurements, one table after the other:

    python -m tests.benchmarks            all of them, about half an hour on two processors
    python -m tests.benchmarks growth     one or more by name

speed: reading and commands against reference runs; growth: time and memory with length; desk: start
and a key press; paths: tracks; natural: what a path review finds in captured motion and in
spoilt twins of it; picture: points followed in movies; many: 200 lines on one worker and on
two, and again.
"""

from __future__ import annotations

import subprocess
import sys

# The thousand lines of the promise: python -m tests.benchmarks.many_speed
TABLES = {
    "speed": ("speed",),
    "growth": ("growth",),
    "desk": ("desk_speed",),
    "planning": ("planning_speed",),
    "paths": ("paths_speed",),
    "natural": ("natural",),
    "motion": ("motion_speed",),
    "picture": ("picture_tracks",),
    "many": ("many_speed", "200"),
}


def main(names: list[str]) -> int:
    """Print the tables named, or all, each measured in a process of its own."""
    unknown = [name for name in names if name not in TABLES]
    if unknown:
        print(f"no table {unknown[0]!r}; there are {', '.join(TABLES)}", file=sys.stderr)
        return 2
    failed = 0
    for name in names or TABLES:
        module, *arguments = TABLES[name]
        print(f"\n## {name}\n", flush=True)
        command = [sys.executable, "-m", f"tests.benchmarks.{module}", *arguments]
        failed += bool(subprocess.run(command, check=False).returncode)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
