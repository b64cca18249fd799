"""Check damaged STEP files, each in a process of its own forked from one that has the kernel loaded.

    python tests/attack/step_run.py FIRST COUNT [SECONDS]

prints a line of JSON for each: how it ended (an exit status of `furnigen check`, "crash", "time"), its
message, its findings, the volume of each placed solid. A fork costs a hundredth of a new interpreter with the
kernel; the limits are those that `furnigen.pipeline.guarded_process` sets, which makes one message of a crash
or hang.
"""

from __future__ import annotations

import json
import os
import select
import signal
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from step_mutants import mutant
from step_sources import sources

from furnigen.core.errors import FurnigenError
from furnigen.core.finding import FAIL
from furnigen.pipeline.guarded_process import hold_here
from furnigen.pipeline.step_check import check_step

SECONDS, MEMORY_GIB, COPIES = 30.0, 4.0, 10_000


def checked(path: str) -> dict[str, Any]:
    """What a check says of a file."""
    try:
        report, findings = check_step(path, 0.1, most_copies=COPIES)
    except FurnigenError as error:
        return {"ended": 2, "message": str(error), "findings": [], "volumes": {}}
    except Exception as error:  # the guard makes one message of it; here it is told apart
        return {"ended": "raised", "message": repr(error), "findings": [], "volumes": {}}
    return {
        "ended": int(any(f.status == FAIL for f in findings)),
        "message": "",
        "findings": [f"{f.status} {f.name}: {f.where}" for f in findings if f.status != "pass"],
        "volumes": {row["label"]: row["volume_mm3"] for row in report["placements"]},
        "stated": report["stated"],
    }


def forked(path: str, seconds: float) -> dict[str, Any]:
    """`checked` in a fork of this process."""
    reading, writing = os.pipe()
    child = os.fork()
    if not child:
        try:
            quiet = os.open(os.devnull, os.O_WRONLY)
            os.dup2(quiet, 1), os.dup2(quiet, 2)
            hold_here(seconds, MEMORY_GIB)
            os.write(writing, json.dumps(checked(path)).encode())
        finally:
            os._exit(0)
    os.close(writing)
    parts = []
    while select.select([reading], [], [], seconds)[0]:
        part = os.read(reading, 1 << 16)
        if not part:
            break
        parts.append(part)
    else:
        os.kill(child, signal.SIGKILL)
    os.close(reading)
    status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    if parts:
        found: dict[str, Any] = json.loads(b"".join(parts))
        return found
    ended = "time" if status == -signal.SIGKILL else "crash"
    return {"ended": ended, "message": str(status), "findings": [], "volumes": {}}


def main() -> None:
    """Check the mutants asked for; before them, as number -1, each good file."""
    first, count = int(sys.argv[1]), int(sys.argv[2])
    seconds = float(sys.argv[3]) if len(sys.argv) > 3 else SECONDS
    good = sources()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "model.step")
        for name, text in good.items():
            path.write_text(text, encoding="utf-8")
            print(json.dumps({"number": -1, "source": name, **forked(str(path), seconds)}), flush=True)
        for k in range(first, first + count):
            one = mutant(good, k)
            path.write_text(one.text, encoding="latin-1", errors="replace")
            about = {"number": k, "source": one.source, "kind": one.kind, "what": one.what}
            begun = time.monotonic()
            found = forked(str(path), seconds)
            took = {"seconds": round(time.monotonic() - begun, 2)}
            print(json.dumps(about | found | took), flush=True)


if __name__ == "__main__":
    main()
