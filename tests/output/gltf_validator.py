"""The Khronos glTF validator (npm package gltf-validator), run by node."""

from __future__ import annotations

import json
import os
import subprocess
import tempfile
from pathlib import Path
from typing import Any

PACKAGE = "gltf-validator@2.0.0-dev.3.10"
_SCRIPT = """
const validator = require('gltf-validator');
const bytes = new Uint8Array(require('fs').readFileSync(0));
validator.validateBytes(bytes).then(report => console.log(JSON.stringify(report)));
"""


def node_modules(cache: Path) -> Path:
    """A node_modules folder that holds the validator.

    FURNIGEN_NODE_MODULES names one; else node_modules beside pyproject.toml; else npm installs it
    once into `cache`.
    """
    named = os.environ.get("FURNIGEN_NODE_MODULES")
    if named:
        return Path(named)
    for folder in (Path(__file__).parents[2] / "node_modules", cache / "node_modules"):
        if (folder / "gltf-validator").is_dir():
            return folder
    cache.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=cache) as fresh:
        command = ["npm", "install", "--no-save", "--no-audit", "--no-fund", "--prefix", fresh, PACKAGE]
        subprocess.run(command, check=True, capture_output=True, text=True)
        try:
            (Path(fresh) / "node_modules").rename(cache / "node_modules")
        except OSError:  # another test process was first
            assert (cache / "node_modules" / "gltf-validator").is_dir()
    return cache / "node_modules"


def validate(data: bytes, modules: Path) -> dict[str, Any]:
    """The validator's report on a GLB."""
    run = subprocess.run(
        ["node", "-e", _SCRIPT],
        input=data,
        env={**os.environ, "NODE_PATH": str(modules)},
        check=True,
        capture_output=True,
    )
    report: dict[str, Any] = json.loads(run.stdout)
    return report
