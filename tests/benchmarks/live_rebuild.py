"""How long a session takes from a change to what it shows: python live_rebuild.py RECIPE NAME=VALUE ...

Prints, as JSON, medians of 20 changes: until the piece is there with the checks made at once, and until its
strength is.
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

from furnigen.live.session import Session
from furnigen.live.setting import Setting
from furnigen.pipeline.request import Asked
from furnigen.recipes.discovery import recipe_file

CHANGES = 20


def main() -> None:
    """Measure one recipe."""
    recipe, *words = sys.argv[1:]
    values = dict(word.split("=") for word in words)
    with tempfile.TemporaryDirectory() as folder:
        path = recipe_file(recipe).resolve()
        asked = Asked(recipe, values=values)
        session = Session(Setting(asked, path, recipe, f"{folder}/out", Path(folder) / "versions"))
        try:
            _until(session, "strength", 1)
            shown, strong = [], []
            for i in range(CHANGES + 2):
                began = time.perf_counter()
                session.change({"width": f"{1900 + 10 * i} mm"})
                shown.append(_until(session, "piece", i + 2) - began)
                strong.append(_until(session, "strength", i + 2) - began)
                time.sleep(0.05)
            print(json.dumps({"shown_s": median(shown[2:]), "strength_s": median(strong[2:])}))
        finally:
            session.close()


def _until(session: Session, topic: str, number: int) -> float:
    """When a topic of a change is told."""
    seen = 0
    while True:
        seen, news = session.board.newer(seen, 60.0)
        assert news, f"no {topic} in a minute"
        for name, text in news:
            if name == topic and json.loads(text)["number"] == number:
                return time.perf_counter()


if __name__ == "__main__":
    main()
