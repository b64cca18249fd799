"""Pack the scripts of the pages: `python -m furnigen.page.bundle`.

npm fetches three.js and esbuild at the versions of `package.json` into a folder that is thrown away, esbuild
packs what each of `ENTRIES` uses, and the results are kept in `bundle/` beside the licence of three.js. Only
this command needs a network; what it wrote is committed.
"""

from __future__ import annotations

import gzip
import shutil
import subprocess
from pathlib import Path
from tempfile import TemporaryDirectory

ROOM = Path(__file__).parent
BUNDLE = ROOM / "bundle"
ENTRIES = {"viewer": "src/main.js", "family": "src/family/main.js", "live": "src/live/main.js"}
"""Where the script of each page begins: of a piece, of a family, of live work."""


def bundled() -> tuple[dict[str, str], str]:
    """The packed scripts by the names of `ENTRIES`, and the licence of three.js, made anew.

    Raises: CalledProcessError, OSError where npm or esbuild are not there or fail.
    """
    with TemporaryDirectory(prefix="furnigen-page-") as made:
        work = Path(made)
        shutil.copy(ROOM / "package.json", work)
        shutil.copytree(ROOM / "src", work / "src")
        quiet = ("--no-audit", "--no-fund", "--no-package-lock", "--ignore-scripts", "--loglevel=error")
        subprocess.run(["npm", "install", *quiet], cwd=work, check=True, stdout=subprocess.DEVNULL)
        options = (
            "--bundle",
            "--minify",
            "--format=iife",
            "--target=es2022",
            "--charset=utf8",
            "--legal-comments=none",
        )
        packed = {
            name: subprocess.run(
                ["npx", "--no-install", "esbuild", entry, *options], cwd=work, check=True, capture_output=True
            ).stdout.decode("utf-8")
            for name, entry in ENTRIES.items()
        }
        licence = (work / "node_modules" / "three" / "LICENSE").read_text(encoding="utf-8")
    return packed, licence


def main() -> None:
    """Write the bundle."""
    scripts, licence = bundled()
    BUNDLE.mkdir(exist_ok=True)
    for name, script in scripts.items():
        (BUNDLE / f"{name}.js.gz").write_bytes(gzip.compress(script.encode(), 9, mtime=0))
    (BUNDLE / "three.LICENSE.txt").write_text(licence, encoding="utf-8")


if __name__ == "__main__":
    main()
