"""Prints the table of speed and memory: python tests/benchmarks/table.py."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from targets import TARGETS


def main() -> int:
    """Measure every target; 1 when one is missed."""
    missed = 0
    print(f"{'what':<66} {'measured':>9} {'target':>9}")
    for target in TARGETS:
        with tempfile.TemporaryDirectory() as folder:
            value = target.figures(Path(folder))[-1]
        good = target.met(value)
        missed += not good
        print(f"{target.name:<66} {value:>9.2f} {target.bound:>9} {'' if good else ' MISSED'}")
    return int(missed > 0)


if __name__ == "__main__":
    sys.exit(main())
