"""Reading STEP files: our own, and what other programs write."""

from __future__ import annotations

import errno
import io
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import cadquery as cq
import numpy as np
import pytest
from kernel_pieces import board, glaze_case, is_closed_manifold, mesh_volume, part
from OCP.Interface import Interface_Static
from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer

from furnigen.catalogue.materials import find_material
from furnigen.core.errors import InputError
from furnigen.core.pose import Pose
from furnigen.kernel.measure import measure
from furnigen.kernel.solids import solids
from furnigen.kernel.step import step_bytes
from furnigen.kernel.step_reader import read_step
from furnigen.piece.description import Piece, Placement
from furnigen.pipeline.part_cache import PartCache
from furnigen.pipeline.step_meshes import step_mesh_model


def ours(piece: Piece) -> str:
    return step_bytes(piece, solids(piece)).decode()


def two_boards() -> Piece:
    copies = (Placement("shelf.1", 0, Pose()), Placement("shelf.2", 0, Pose.at(0, 0, 200)))
    return Piece("rack", "Rack", (part(board(), "shelf"),), copies)


def plain(shape: Any) -> str:
    """A STEP file of one shape as the kernel writes it by itself: no assembly, no colour, no material."""
    writer, stream = STEPControl_Writer(), io.BytesIO()
    writer.Transfer(shape, STEPControl_AsIs)
    writer.WriteStream(stream)
    return stream.getvalue().decode()


def saved(folder: Path, text: str | bytes, name: str = "model.step") -> Path:
    path = folder / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


def test_our_own_file_comes_back_as_it_was(tmp_path: Path) -> None:
    piece = glaze_case()
    path = saved(tmp_path, ours(piece))
    file = read_step(path)
    assert file.name == "Glaze case"
    by_label = {copy.label: copy for copy in file.copies}
    assert set(by_label) == set(piece.by_label)
    assert len(file.solids) == 7
    assert file.without_solid == ()
    for label, placement in piece.by_label.items():
        copy = by_label[label]
        one = piece.part_of(placement)
        solid = file.solids[copy.solid]
        assert copy.path == placement.path
        assert solid.name == one.name
        assert solid.material == one.stock.material
        assert solid.colour == pytest.approx(find_material(one.stock.material).colour, abs=1e-6)
        np.testing.assert_allclose(copy.matrix, placement.pose.matrix(), atol=1e-9)


def test_the_mesh_of_a_file_is_the_mesh_of_the_piece(tmp_path: Path) -> None:
    piece = glaze_case()
    model = step_mesh_model(saved(tmp_path, ours(piece)), tolerance_mm=0.05)
    expected = PartCache().mesh_of(piece, 0.05)
    volume = {p.name: mesh_volume(p.vertices, p.faces) for p in expected.parts}
    assert {p.name for p in model.parts} == set(volume) - {"never placed"}
    for one in model.parts:
        assert is_closed_manifold(one.faces), one.name
        # round parts are meshed in another way: their volumes differ by what a polygon lacks of a circle
        rel = 0.02 if one.curved else 1e-9
        assert mesh_volume(one.vertices, one.faces) == pytest.approx(volume[one.name], rel=rel)


def test_names_in_any_script_come_back(tmp_path: Path) -> None:
    name = "Böden 東 𝄞 'a' \\X2\\ " + "long " * 30 + "end"
    piece = Piece("räck", "Räck", (part(board(), name),), (Placement(name + "1", 0, Pose()),))
    file = read_step(saved(tmp_path, ours(piece)))
    assert (file.name, file.solids[0].name, file.copies[0].label) == ("Räck", name, name + "1")


def test_other_units_become_millimetres(tmp_path: Path) -> None:
    """300 x 100 x 18 written as metres are 300 m long."""
    text = ours(two_boards()).replace("SI_UNIT(.MILLI.,.METRE.)", "SI_UNIT($,.METRE.)")
    file = read_step(saved(tmp_path, text))
    assert measure(file.solids[0].shape).box.size == pytest.approx((300e3, 100e3, 18e3))
    assert file.copies[1].matrix[2, 3] == pytest.approx(200e3)


def test_inches_from_another_writer_become_millimetres(tmp_path: Path) -> None:
    path = tmp_path / "inches.step"
    assembly = cq.Assembly(name="box").add(cq.Workplane().box(2, 3, 4, centered=False), name="block")
    assembly.export(str(path), unit="INCH", write_pcurves=False)
    text = path.read_text()
    assert "INCH" in text
    # the writer leaves the kernel working in inches: neither reading nor writing may follow it
    assert Interface_Static.CVal_s("xstep.cascade.unit") == "INCH"
    try:
        assert measure(read_step(path).solids[0].shape).box.size == pytest.approx((50.8, 76.2, 101.6))
        again = read_step(saved(tmp_path, ours(two_boards())))
        assert measure(again.solids[0].shape).box.size == pytest.approx((300, 100, 18))
    finally:
        Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
        Interface_Static.SetCVal_s("write.step.unit", "MM")


def test_nested_assemblies_with_shared_parts(tmp_path: Path) -> None:
    """Two frames of two legs, each frame at its own place, as CadQuery's own assembly writer has them."""
    leg = cq.Workplane().box(10, 10, 100, centered=False)
    path = tmp_path / "frames.step"
    whole = cq.Assembly(name="table")
    for k in (0, 1):
        frame = cq.Assembly(name=f"frame.{k}")
        frame.add(leg, name=f"left.{k}", color=cq.Color(1, 0, 0))
        frame.add(leg, name=f"right.{k}", loc=cq.Location((200, 0, 0)))
        whole.add(frame, loc=cq.Location((0, 300 * k, 0), (0, 0, 1), 90))
    whole.export(str(path))
    model = step_mesh_model(path)
    assert model.name == "table"
    assert len({i.label for i in model.instances}) == 4
    assert [i.path for i in model.instances] == [("frame.0",)] * 2 + [("frame.1",)] * 2
    assert {i.part for i in model.instances[:2]} == {i.part for i in model.instances[2:]}
    middles = sorted((model.world_vertices(i).mean(axis=0) for i in model.instances), key=lambda m: m[1])
    # a quarter turn about z sends (200, 0) to (0, 200) and the middle (5, 5) to (-5, 5)
    np.testing.assert_allclose(middles, [(-5, 5, 50), (-5, 205, 50), (-5, 305, 50), (-5, 505, 50)], atol=1e-9)


def test_one_solid_without_assembly_or_look(tmp_path: Path) -> None:
    model = step_mesh_model(saved(tmp_path, plain(solids(two_boards())[0]), "board.stp"))
    assert model.name == "board"
    (copy,) = model.instances
    assert copy.path == ()
    assert model.parts[0].material == "unknown"
    assert mesh_volume(model.parts[0].vertices, model.parts[0].faces) == pytest.approx(300 * 100 * 18)


def test_nameless_parts_are_numbered(tmp_path: Path) -> None:
    text = ours(two_boards())
    text = re.sub(r"PRODUCT\('[^']*','[^']*'", "PRODUCT('',''", text)
    text = re.sub(r"OCCURRENCE\('(\d)','[^']*'", r"OCCURRENCE('\1',''", text)
    file = read_step(saved(tmp_path, text, "nameless.step"))
    assert file.name == "nameless"
    assert [c.label for c in file.copies] == ["solid.1", "solid.2"]
    assert [s.name for s in file.solids] == ["solid.1"]


def test_names_of_digits_alone_are_names(tmp_path: Path) -> None:
    copies = (Placement("12", 0, Pose()), Placement("13", 0, Pose.at(0, 0, 200)))
    text = ours(Piece("rack", "2026", (part(board(), "7"),), copies))
    file = read_step(saved(tmp_path, text))
    assert (file.name, [c.label for c in file.copies]) == ("2026", ["12", "13"])
    assert [(s.name, s.product) for s in file.solids] == [("7", "7")]
    # an identifier that stands where no name is given is none: the kernel calls the copy by it
    fewer = re.sub(r"(USAGE_OCCURRENCE\('2',)'13'", r"\1''", text)
    assert fewer != text
    assert [c.label for c in read_step(saved(tmp_path, fewer)).copies] == ["12", "7"]


def test_repeated_names_are_told_apart(tmp_path: Path) -> None:
    text = ours(two_boards()).replace("'shelf.2'", "'shelf.1'")
    assert [c.label for c in read_step(saved(tmp_path, text)).copies] == ["shelf.1", "shelf.1.2"]


def test_a_part_of_several_solids_is_split(tmp_path: Path) -> None:
    pair = cq.Compound.makeCompound(
        [cq.Solid.makeBox(10, 10, 10), cq.Solid.makeBox(5, 5, 5, pnt=cq.Vector(50, 0, 0))]
    )
    assembly = cq.Assembly(name="tray").add(pair, name="feet", loc=cq.Location((0, 0, 7)))
    path = tmp_path / "tray.step"
    assembly.export(str(path))
    model = step_mesh_model(path)
    assert len(model.instances) == 2
    assert len({i.label for i in model.instances}) == 2
    lows = sorted(tuple(model.world_vertices(i).min(axis=0)) for i in model.instances)
    assert lows == [pytest.approx((0, 0, 7)), pytest.approx((50, 0, 7))]


def test_sheets_beside_solids_are_reported(tmp_path: Path) -> None:
    assembly = cq.Assembly(name="mixed").add(cq.Solid.makeBox(10, 10, 10), name="block")
    assembly.add(cq.Face.makePlane(10, 10), name="label")
    path = tmp_path / "mixed.step"
    assembly.export(str(path))
    file = read_step(path)
    assert [c.label for c in file.copies] == ["block"]
    assert file.without_solid == ("label",)


def mapped(text: str, x_axis: float, scale: float) -> str:
    """The one solid of a file placed by a mapped item with a transformation operator (ISO 10303-42)."""
    found = re.search(r"#(\d+) = ADVANCED_BREP_SHAPE_REPRESENTATION\('',\(#(\d+),#(\d+)\),#(\d+)\);", text)
    assert found
    shown, axes, solid, context = found.groups()
    n = max(int(i) for i in re.findall(r"\n#(\d+) =", text))
    text = text.replace(found[0], f"#{shown} = SHAPE_REPRESENTATION('',(#{axes},#{n + 1}),#{context});")
    return text.replace(
        "ENDSEC;\nEND-ISO",
        f"#{n + 1} = MAPPED_ITEM('',#{n + 2},#{n + 4});\n"
        f"#{n + 2} = REPRESENTATION_MAP(#{axes},#{n + 3});\n"
        f"#{n + 3} = ADVANCED_BREP_SHAPE_REPRESENTATION('',(#{axes},#{solid}),#{context});\n"
        f"#{n + 4} = CARTESIAN_TRANSFORMATION_OPERATOR_3D('','','',"
        f"#{n + 5},#{n + 6},#{n + 8},{scale},#{n + 7});\n"
        f"#{n + 5} = DIRECTION('',({x_axis},0.,0.));\n"
        f"#{n + 6} = DIRECTION('',(0.,1.,0.));\n"
        f"#{n + 7} = DIRECTION('',(0.,0.,1.));\n"
        f"#{n + 8} = CARTESIAN_POINT('',(0.,0.,0.));\n"
        "ENDSEC;\nEND-ISO",
    )


def test_a_mirrored_or_scaled_copy_is_refused(tmp_path: Path) -> None:
    """The kernel reads both as plain rotations; to go on would check another piece than the file holds."""
    text = plain(solids(two_boards())[0])
    assert len(read_step(saved(tmp_path, mapped(text, 1.0, 1.0))).copies) == 1
    for x_axis, scale in ((-1.0, 1.0), (1.0, 2.0)):
        with pytest.raises(InputError, match="mirrors or scales a copy of a part"):
            read_step(saved(tmp_path, mapped(text, x_axis, scale)))


def test_what_cannot_be_read_is_refused_by_name(tmp_path: Path) -> None:
    text = ours(two_boards())
    empty = "ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\nENDSEC;\nEND-ISO-10303-21;\n"
    cases = {
        "nothing.step": (b"", "is not a STEP file"),
        "words.step": (b"a shopping list", "is not a STEP file"),
        "bytes.step": (bytes(range(256)) * 20, "is not a STEP file"),
        "start.step": (b"ISO-10303-21;", "is not a STEP file that the kernel can read, or is cut short"),
        "short.step": (text[: len(text) // 2].encode(), "or is cut short"),
        "empty.step": (empty.encode(), "holds no shape"),
        "broken.step": (
            text.replace("CARTESIAN_POINT", "CARTESIAN_PINT", 30).encode(),
            r"the placement of shelf\.1 has no origin that can be read",
        ),
        "sheet.step": (plain(cq.Face.makePlane(10, 10).wrapped).encode(), "holds no solid"),
    }
    for name, (content, message) in cases.items():
        with pytest.raises(InputError, match=rf"{name}: .*{message}"):
            read_step(saved(tmp_path, content, name))


def test_a_folder_and_a_missing_file_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is a folder; name a STEP file in it"):
        read_step(tmp_path)
    with pytest.raises(InputError, match="does not exist"):
        read_step(tmp_path / "none.step")


def test_an_unreadable_file_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def locked(self: Path) -> bytes:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(self))

    path = saved(tmp_path, ours(two_boards()))
    monkeypatch.setattr(Path, "read_bytes", locked)
    with pytest.raises(InputError, match=r"model.step: cannot be read: Permission denied"):
        read_step(path)


def test_two_processes_read_the_same_order(tmp_path: Path) -> None:
    path = saved(tmp_path, ours(glaze_case()))
    script = (
        "import sys; from furnigen.kernel.step_reader import read_step\n"
        "f = read_step(sys.argv[1]); print([c.label for c in f.copies], [s.name for s in f.solids])"
    )
    here = read_step(path)
    there = subprocess.run(
        [sys.executable, "-c", script, str(path)], capture_output=True, text=True, check=True
    ).stdout
    assert there == f"{[c.label for c in here.copies]} {[s.name for s in here.solids]}\n"
