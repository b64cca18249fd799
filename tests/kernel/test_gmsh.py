"""Our STEP read back by gmsh (its own reader and mass properties) against the description.

gmsh: https://gmsh.info, the package of that name on PyPI. It runs in a process of its own, for it
carries another build of the kernel.
"""

from __future__ import annotations

import json
import math
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from kernel_pieces import glaze_case, part

from furnigen import (
    Draft,
    bullnose,
    butt,
    cross_bolt,
    find_stock,
    mitre,
    ring_upright,
    with_hardware,
)
from furnigen.core.pose import Pose
from furnigen.kernel.solids import solids
from furnigen.kernel.step import step_bytes
from furnigen.parts.cuts import Bore, BoxCut
from furnigen.parts.forms.leg_lean import resultant_degrees
from furnigen.parts.forms.prism import Prism
from furnigen.parts.forms.turned_leg import TurnedLeg
from furnigen.parts.volume.moments import centroid_mm, volume_mm3
from furnigen.piece.description import Piece, Placement
from furnigen.recipes.discovery import find_recipe

READER = """
import json, sys
import gmsh

gmsh.initialize(interruptible=False)
gmsh.option.setNumber("General.Terminal", 0)
gmsh.option.setString("Geometry.OCCTargetUnit", "MM")
tags = gmsh.model.occ.importShapes(sys.argv[1])
found = []
for dim, tag in tags:
    assert dim == 3, "only solids are expected"
    _, loops = gmsh.model.occ.getSurfaceLoops(tag)
    surfaces = [int(s) for loop in loops for s in loop]
    found.append({
        "volume": gmsh.model.occ.getMass(3, tag),
        "centre": gmsh.model.occ.getCenterOfMass(3, tag),
        "inertia": list(gmsh.model.occ.getMatrixOfInertia(3, tag)),
        "faces": [[gmsh.model.occ.getMass(2, s), *gmsh.model.occ.getCenterOfMass(2, s)] for s in surfaces],
    })
print(json.dumps(found))
gmsh.finalize()
"""


def read_by_gmsh(piece: Piece, folder: Path) -> list[dict[str, Any]]:
    path = folder / "model.step"
    path.write_bytes(step_bytes(piece, solids(piece)))
    done = subprocess.run(
        [sys.executable, "-c", READER, str(path)], capture_output=True, text=True, check=True
    )
    found: list[dict[str, Any]] = json.loads(done.stdout.splitlines()[-1])
    return found


def nearest(found: list[dict[str, Any]], centre: tuple[float, float, float]) -> dict[str, Any]:
    return min(found, key=lambda f: math.dist(f["centre"], centre))


def test_every_volume_and_centre_is_the_described_one(tmp_path: Path) -> None:
    """Millimetres: a volume read in other units would be off by at least 25.4³."""
    piece = glaze_case()
    cut = {"shelf": 18 * 250 * 6.0, "side": 3 * math.pi * 5**2 / 4 * 12}
    found = read_by_gmsh(piece, tmp_path)
    assert len(found) == len(piece.placements)
    for placement in piece.placements:
        one = piece.part_of(placement)
        removed = cut.get(one.name, 0.0)
        volume = one.form.volume_mm3 - removed
        centre = np.array(one.form.centroid_mm) * one.form.volume_mm3
        for c in one.cuts:
            middle: np.ndarray[tuple[int, ...], np.dtype[np.float64]]
            if isinstance(c, BoxCut):
                middle = np.array(c.pose.apply(tuple(s / 2 for s in c.size)))  # type: ignore[arg-type]
            else:
                assert isinstance(c, Bore)
                middle = (np.array(c.start) + np.array(c.end)) / 2
            centre -= middle * removed / len(one.cuts)
        x, y, z = centre / volume
        at = placement.pose.apply((float(x), float(y), float(z)))
        seen = nearest(found, at)
        # where a plane cuts a cone, a reader approximates the edge in the cone's own parameters
        rel, near = (1e-9, 1e-6) if one.form.flat or one.name == "rod" else (1e-6, 1e-4)
        assert seen["volume"] == pytest.approx(volume, rel=rel), placement.label
        assert seen["centre"] == pytest.approx(at, abs=near), placement.label
        found.remove(seen)
    assert not found


def test_hardware_and_loose_parts_are_read_with_their_volumes(tmp_path: Path) -> None:
    """A frame's corners with keys, screwed to a board: each of its solids has the closed form's volume."""
    ply, draft = find_stock("birch-ply-18"), Draft("frame")
    t = ply.thickness_mm
    frame = ring_upright(
        draft, "f", ply, x=0.0, depth=300, height=400, member=50, boards="flat", corner=mitre("key")
    )
    draft.board("shelf", ply, (t, 0, 350), (600, 300, 350 + t), grain="x")
    draft.join(frame["top"], "shelf", butt(screws=3))
    draft.board("end", ply, (600, 0, 0), (600 + t, 300, 400), grain="z")
    draft.join("end", "shelf", cross_bolt(2))
    piece = with_hardware(draft.done())
    assert {"key", "screw", "bolt", "barrel nut"} <= {p.role for p in piece.placements}
    found = read_by_gmsh(piece, tmp_path)
    assert len(found) == len(piece.placements)
    for placement in piece.placements:
        one = piece.part_of(placement)
        at = placement.pose.apply(centroid_mm(one))
        seen = nearest(found, at)
        assert seen["volume"] == pytest.approx(volume_mm3(one), rel=1e-6), placement.label
        assert seen["centre"] == pytest.approx(at, abs=1e-4), placement.label
        found.remove(seen)


@pytest.mark.parametrize(("rake", "splay"), [(5.0, 10.0), (12.0, 4.0)])
def test_a_trimmed_leg_ends_in_ellipses_of_the_formula(rake: float, splay: float, tmp_path: Path) -> None:
    """Areas pi a b of the two level ends, a and b worked out here from the cone's own equation."""
    leg = TurnedLeg(420, 44, 26, resultant_degrees(rake, splay))
    piece = Piece("leg", "Leg", (part(leg, "leg"),), (Placement("leg.1", 0, Pose()),))
    (seen,) = read_by_gmsh(piece, tmp_path)
    t = math.radians(leg.lean)
    slope = (44 - 26) / 2 / (420 / math.cos(t))
    ends = [f for f in seen["faces"] if min(abs(f[3]), abs(f[3] - 420)) < 1e-6]
    assert len(ends) == 2
    for area, x, _, z in ends:
        r = (44 if z > 1 else 26) / 2
        # along the lean the two outlines of the cone, at +-1 side, meet the level plane at distances
        # d with d cos t = r +- slope d sin t from where the axis does
        out, back = r / (math.cos(t) + slope * math.sin(t)), r / (math.cos(t) - slope * math.sin(t))
        a = (out + back) / 2
        # a level section of a cone about its axis keeps b² = a² (1 - e²), e = sin t / cos(half angle)
        e = math.sin(t) / math.cos(math.atan(slope))
        b = a * math.sqrt(1 - e * e)
        assert area == pytest.approx(math.pi * a * b, rel=1e-8)
        axis_x = (420 - z) * math.tan(t)
        assert abs(x - axis_x) == pytest.approx(abs(out - back) / 2, abs=1e-6)


def test_a_nosing_is_half_a_cylinder(tmp_path: Path) -> None:
    """18 x 300 x 600 mm: (291 x 18 + pi 9² / 2) x 600, and a round face of pi 9 x 600 about y = 9 mm."""
    piece = Piece("shelf", "Shelf", (part(bullnose(600, 300, 18), "shelf"),), (Placement("s", 0, Pose()),))
    (seen,) = read_by_gmsh(piece, tmp_path)
    flat, half = 291 * 18, math.pi * 81 / 2
    assert seen["volume"] == pytest.approx((flat + half) * 600, rel=1e-9)
    across = (flat * (9 + 300) / 2 + half * (9 - 12 / math.pi)) / (flat + half)
    assert seen["centre"] == pytest.approx((300, across, 9), abs=1e-6)
    (nosing,) = (f for f in seen["faces"] if f[2] < 9 - 1e-6)
    assert nosing[0] == pytest.approx(math.pi * 9 * 600, rel=1e-9)
    assert nosing[2] == pytest.approx(9 - 2 * 9 / math.pi, abs=1e-6)


@pytest.mark.parametrize("recipe", ["ring_rack", "ladder_rack"])
def test_shared_sub_assemblies_are_seen_as_often_as_they_stand(recipe: str, tmp_path: Path) -> None:
    piece = find_recipe(recipe)()
    found = read_by_gmsh(piece, tmp_path)
    assert len(found) == len(piece.placements)
    for placement in piece.placements:
        part = piece.part_of(placement)
        at = placement.pose.apply(centroid_mm(part))
        seen = nearest(found, at)
        assert seen["volume"] == pytest.approx(volume_mm3(part), rel=1e-8), placement.label
        assert seen["centre"] == pytest.approx(at, abs=1e-5), placement.label
        found.remove(seen)


def test_a_handed_part_is_not_mirrored(tmp_path: Path) -> None:
    """Products of inertia change sign in a mirror image: gmsh's must be those of the polygon placed."""
    wedge = Prism(100, 60, 10, ((0, 0), (100, 0), (40, 60), (0, 60)))
    piece = Piece("wedge", "Wedge", (part(wedge, "wedge"),), (Placement("w", 0, Pose.turned("z", 90.0)),))
    (seen,) = read_by_gmsh(piece, tmp_path)
    # split in a 40 x 60 rectangle and a triangle of legs 60, 60: product of inertia about own axes
    # of the whole, int xy dA = sum(A x y) + own, own of a right triangle with legs b, h: -b² h² / 72
    areas = np.array([40 * 60.0, 60 * 60 / 2])
    centres = np.array([[20.0, 30.0], [60.0, 20.0]])
    own = np.array([0.0, -(60.0**2) * 60.0**2 / 72])
    middle = areas @ centres / areas.sum()
    product = float((areas * np.prod(centres - middle, axis=1) + own).sum()) * 10
    # turned a quarter, x' = -y and y' = x, so int x'y' = -int xy; the inertia matrix holds -int x'y'
    assert seen["inertia"][1] == pytest.approx(product, rel=1e-8)
    assert product < 0
