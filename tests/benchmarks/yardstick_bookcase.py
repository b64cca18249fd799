"""The yardstick: the same bookcase by hand, in plain CadQuery, as a careful script author would write it.

Builds every distinct board once and places copies, intersects all pairs whose bounding boxes meet, cuts the
housing where one board is let into another, and writes STEP and STL.

Run as: python yardstick_bookcase.py REPORT.json FOLDER, where the report is that of the furnigen piece (only
sizes and places of its boards are read), so that both make the same case.
"""

import json
import sys
from itertools import combinations
from pathlib import Path

import cadquery as cq

report = json.loads(Path(sys.argv[1]).read_text())
folder = Path(sys.argv[2])
boards = {
    p["name"]: cq.Workplane().box(p["length"], p["width"], p["thickness"], centered=False).val()
    for p in report["parts"]
}


def location(pose: list[list[float]]) -> cq.Location:
    x = cq.Vector(*(row[0] for row in pose[:3]))
    z = cq.Vector(*(row[2] for row in pose[:3]))
    return cq.Location(cq.Plane(cq.Vector(*(row[3] for row in pose[:3])), x, z))


placed = []
for p in report["placements"]:
    solid = boards[p["part"]].moved(location(p["pose"]))
    placed.append([p["label"], solid, solid.BoundingBox()])

housed = 0
for a, b in combinations(placed, 2):
    box_a, box_b = a[2], b[2]
    apart = (
        box_a.xmax < box_b.xmin or box_b.xmax < box_a.xmin
        or box_a.ymax < box_b.ymin or box_b.ymax < box_a.ymin
        or box_a.zmax < box_b.zmin or box_b.zmax < box_a.zmin
    )  # fmt: skip
    if not apart and a[1].intersect(b[1]).Volume() > 1e-3:
        # what a board is let into was placed before it
        a[1] = a[1].cut(b[1])
        housed += 1
print(f"{len(placed)} boards, {housed} housed")
assembly = cq.Assembly(name="bookcase")
for label, solid, _ in placed:
    assembly.add(solid, name=label)
assembly.export(str(folder / "yardstick.step"))
cq.exporters.export(cq.Workplane(assembly.toCompound()), str(folder / "yardstick.stl"))
