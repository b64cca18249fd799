"""Check damaged STEP files, each in a process of its own forked from one that has the kernel loaded.

    python tests/attack/step_run.py FIRST COUNT [STRIDE]

prints a line of JSON for each: how it ended (an exit status of `furnigen check`, "crash", "time"), its
message, its findings, the volume of each placed solid. The limits are those that
`furnigen.pipeline.guarded_process` sets, which makes one message of a crash or hang.
"""

from __future__ import annotations

import json
import tempfile
from functools import partial
from pathlib import Path
from typing import Any

from forked import forked, numbers_asked
from step_mutants import mutant
from step_sources import sources

from furnigen.core.errors import FurnigenError
from furnigen.core.finding import FAIL
from furnigen.pipeline.step_check import check_step

SECONDS, COPIES = 20.0, 10_000


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


def main() -> None:
    """Check the mutants asked for; before them, as number -1, each good file."""
    good = sources()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "model.step")
        look = partial(checked, str(path))
        for name, text in good.items():
            path.write_text(text, encoding="utf-8")
            print(json.dumps({"number": -1, "source": name} | forked(look, SECONDS)), flush=True)
        for k in numbers_asked():
            one = mutant(good, k)
            path.write_text(one.text, encoding="latin-1", errors="replace")
            about = {"number": k, "source": one.source, "kind": one.kind, "what": one.what}
            print(json.dumps(about | forked(look, SECONDS)), flush=True)


if __name__ == "__main__":
    main()
