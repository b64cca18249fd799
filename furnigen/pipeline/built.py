"""The one pipeline: a piece and all that is worked out from it, each stage when something first asks for it.

    description -> solids -> meshes -> overlaps and contacts -> load path, order of assembly
                -> what the loads do -> findings -> report -> files

The command line, the Python face, families, remedies and the mockup all hold a `Built`. A group of checks
asks for the stages it needs: fit needs none; sag and strength take what touches from the description, without
the kernel, unless solids are checked as well.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from furnigen.checks.fit import check_fit
from furnigen.core.errors import InputError
from furnigen.core.finding import Finding, any_failed
from furnigen.core.progress import Sink, silent
from furnigen.core.threads import in_one_thread
from furnigen.formats.report import (
    Json,
    building_report,
    json_bytes,
    piece_report,
    sag_report,
    solid_report,
    strength_report,
)
from furnigen.page.inserts import Inserts
from furnigen.piece.description import Piece
from furnigen.piece.hardware_places import with_hardware
from furnigen.pipeline.examined import Examined
from furnigen.pipeline.made import Made, WrittenPiece
from furnigen.pipeline.options import ALL_GROUPS, MakeOptions, check_groups, planned_files, read_formats
from furnigen.pipeline.part_cache import PartCache
from furnigen.pipeline.picture_beside import drawn, start_picture
from furnigen.pipeline.remedy_work import Checked, within
from furnigen.pipeline.result_folder import check_writable, write_folder
from furnigen.pipeline.writers import file_writers, page_of

if TYPE_CHECKING:
    from furnigen.checks.construction import ConstructionChecks
    from furnigen.checks.solids import SolidChecks
    from furnigen.mesh.contacts import Contact
    from furnigen.mesh.model import MeshModel, PartMesh
    from furnigen.mesh.support import GroundContact
    from furnigen.strength.assess import LoadedBoards, Strength

Touching = tuple[tuple["Contact", ...], tuple["GroundContact", ...]]
"""What touches what, and what stands on floor and walls."""
Advise = Callable[[list[Finding]], tuple[list[Finding], list[Json]]]
"""Puts computed remedies into findings; returns them and the remedies as the report lists them."""

_STRENGTH = frozenset({"sag", "strength", "standing"})
_MESHED = frozenset({"solid", "building"})

T = TypeVar("T")


def _stage(work: Callable[[Built], T]) -> cached_property[T]:
    """Something worked out when it is first asked for, and kept; linear algebra in it runs in one thread."""
    return cached_property(in_one_thread(work))


class Built:
    """A piece and what is worked out from it: solids, meshes, findings, report, files, each when asked for.

    Attributes:
        piece: the description.
        options: tolerance, units, what its strength is held to.
        loaded_boards, assessed: its boards under load, and all that loads do, where they were found before
            (`furnigen.pipeline.together`).

    Made by `furnigen.build`. Every stage may raise GeometryError naming the part that can not be made.

    >>> from furnigen import build, find_recipe
    >>> built = build(find_recipe("crate_wall")())
    >>> [f.name for f in built.findings if f.status == "fail"]
    []
    >>> built.report["bounds_mm"]["max"]
    [1200.0, 250.0, 1800.0]
    """

    def __init__(
        self,
        piece: Piece,
        options: MakeOptions | None = None,
        *,
        parts_cache: PartCache | None = None,
        advise: Advise | None = None,
        on_step: Sink = silent,
        light: bool = False,
    ) -> None:
        """Hold a piece; nothing is worked out yet.

        Args:
            parts_cache: makes solids and meshes; that of a family keeps those of parts it has met before.
            advise: finds remedies for what fails.
            on_step: is told what is being done.
            light: meshes come from the description, without the kernel: for trials of remedies.
        """
        self.piece, self.options = piece, options or MakeOptions()
        self._parts = PartCache() if parts_cache is None else parts_cache
        self._advise, self._on_step, self._light = advise, on_step, light
        self._examined: dict[frozenset[str], Examined] = {}
        self.loaded_boards: LoadedBoards | None = None
        self.assessed: Strength | None = None

    def __repr__(self) -> str:
        """Which piece it is of."""
        piece = self.piece
        return f"<Built {piece.name}: {len(piece.parts)} parts, {len(piece.placements)} placements>"

    # -- stages --------------------------------------------------------------------------------

    @_stage
    def solids(self) -> tuple[Any, ...]:
        """The kernel's solid (OCP TopoDS_Solid, mm) of each distinct part, in the order of `piece.parts`.

        `furnigen.to_cadquery` and `Part.to_cadquery` give them as CadQuery wraps them.
        """
        self._on_step("loading the kernel")
        return self._parts.solids(self.piece)

    @_stage
    def meshes(self) -> MeshModel:
        """The closed mesh of each distinct part (mm, in its own frame), and where each copy of it stands."""
        if self._light:
            from furnigen.mesh.light_mesh import light_model

            return light_model(self.piece, None, self.options.tolerance_mm)
        self._on_step("loading the kernel")
        return self._parts.mesh_of(self.piece, self.options.tolerance_mm)

    @cached_property
    def shown(self) -> Piece:
        """The piece as files and pictures show it: with its hardware as parts where that is asked for."""
        return with_hardware(self.piece) if self.options.with_hardware else self.piece

    @_stage
    def shown_meshes(self) -> MeshModel:
        """The meshes of the piece as files and pictures show it."""
        bare = self.shown is self.piece
        return self.meshes if bare else self._parts.mesh_of(self.shown, self.options.tolerance_mm)

    @_stage
    def solid_checks(self) -> SolidChecks:
        """Overlaps, contacts, and what stands on floor and walls."""
        from furnigen.checks.solids import check_solid

        meshes = self.meshes
        self._on_step(f"checking {len(self.piece.placements)} placements")
        return check_solid(meshes, self.piece.walls, self.options.tolerance_mm)

    @_stage
    def construction(self) -> ConstructionChecks:
        """Joints, load path, order of assembly, movement of the wood."""
        from furnigen.checks.construction import check_construction

        solid = self.solid_checks
        self._on_step("finding the order of assembly")
        return check_construction(self.piece, solid, self.options.tolerance_mm)

    @_stage
    def touching(self) -> Touching:
        """What touches, from the description: enough for strength and standing."""
        return self._touches(self.piece.without_loose)

    @_stage
    def boards_touching(self) -> Touching:
        """What touches, without holes for hardware: boards bear on the same places, found far sooner."""
        from furnigen.mesh.light_mesh import without_hardware_holes

        frame = self.piece.without_loose
        return self._touches(replace(frame, parts=tuple(without_hardware_holes(p) for p in frame.parts)))

    def _touches(self, piece: Piece) -> Touching:
        from furnigen.mesh.light_mesh import light_contacts

        drawn = light_contacts(piece, self.custom_meshes, self.options.tolerance_mm)
        return drawn.contacts, drawn.support.grounded

    @_stage
    def custom_meshes(self) -> dict[str, PartMesh]:
        """Meshes, by part name, of the parts whose form only the kernel can make.

        The kernel is not loaded where there are none.
        """
        if not self.piece.has_custom_forms:
            return {}

        named = zip(self.meshes.parts, self.piece.parts, strict=True)
        return {mesh.name: mesh for mesh, part in named if part.form.needs_kernel}

    # -- checks --------------------------------------------------------------------------------

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Results of all checks, remedies included, in a fixed order: what `furnigen check` shows."""
        return self.findings_of(ALL_GROUPS)

    def findings_of(self, groups: Collection[str]) -> tuple[Finding, ...]:
        """Results of some groups of checks.

        Args:
            groups: names from `furnigen.pipeline.options.GROUPS`.

        Raises: InputError for an unknown group; GeometryError naming a part that can not be made.
        """
        return self._examine(groups).findings

    @property
    def report(self) -> Json:
        """The report as plain data: lengths in mm, masses in kg; no files."""
        return self.report_of(ALL_GROUPS)

    def report_of(self, groups: Collection[str], files: Iterable[str] = (), basis: bool = True) -> Json:
        """The report with the results of some groups of checks.

        Args:
            files: names of files that go with it.
            basis: whether it lists the methods and values behind them.

        Raises: as `findings_of`.
        """
        found = self._examine(groups)
        return self._reported(found, found.findings, files, basis)

    def _reported(
        self, found: Examined, findings: Iterable[Finding], files: Iterable[str], basis: bool = True
    ) -> Json:
        findings = tuple(findings)
        report = piece_report(self.piece, findings, list(files), self.options.units) | found.rows
        if not basis:
            return report
        from furnigen.formats.basis import basis_of, basis_rows

        return report | {"basis": basis_rows(basis_of(self.piece, findings, found.strength or found.loaded))}

    def strength_of(self, groups: Collection[str]) -> Strength | None:
        """What the loads do, as some groups of checks found it; None where part of the piece is not carried.

        Raises: as `findings_of`.
        """
        return self._examine(groups).strength

    def _examine(self, groups: Collection[str]) -> Examined:
        asked = frozenset(groups)
        if asked not in self._examined:
            check_groups(groups)
            self._examined[asked] = self._examined_anew(asked)
        return self._examined[asked]

    @in_one_thread
    def _examined_anew(self, groups: frozenset[str]) -> Examined:
        findings: list[Finding] = check_fit(self.piece) if "fit" in groups else []
        parts: list[Callable[[], Json]] = []
        if groups & _MESHED:
            parts.append(lambda: solid_report(self.solid_checks))
        if "solid" in groups:
            findings += self.solid_checks.findings
            if self.shown is not self.piece:
                from furnigen.checks.hardware import check_hardware_room

                findings += check_hardware_room(self.piece, self.shown_meshes, self.options.tolerance_mm)
        if "building" in groups:
            findings += self.construction.findings
            parts.append(lambda: building_report(self.piece, self.construction))
        strength: Strength | None = None
        loaded: LoadedBoards | None = None
        if groups & _STRENGTH:
            found, strong, strength, loaded = self._strength(groups, findings)
            findings += found
            parts.append(strong)
        return Examined(tuple(findings), tuple(parts), strength, loaded)

    def _strength(
        self, groups: frozenset[str], before: list[Finding]
    ) -> tuple[list[Finding], Callable[[], Json], Strength | None, LoadedBoards | None]:
        from furnigen.checks.strength import check_sag, check_strength, in_groups

        self._on_step("loading the shelves")
        only_sag = groups & _STRENGTH == {"sag"}
        # loose parts bear nothing by themselves: their joints do
        frame = self.piece.without_loose
        if groups & _MESHED:
            from furnigen.checks.construction import frame_touching

            touching = frame_touching(self.piece, self.solid_checks)
        else:
            touching = self.boards_touching if only_sag else self.touching
        demands = self.options.demands
        loaded: LoadedBoards | None = None
        strength: Strength | None = None
        if only_sag:
            found, loaded = check_sag(frame, *touching, demands, self.loaded_boards)
        else:
            path = self.construction.frame_path if "building" in groups else None
            found, strength = check_strength(frame, *touching, demands, path, self.assessed)
            found = in_groups(found, groups)
        remedies: list[Json] = []
        if self._advise is not None and any_failed(found):
            self._on_step("looking for remedies")
            with within(Checked(self.piece, groups, (*before, *found), loaded, strength)):
                found, remedies = self._advise(found)

        def rows() -> Json:
            return sag_report(loaded, remedies) if only_sag else strength_report(strength, remedies)

        return found, rows, strength, loaded

    # -- files ---------------------------------------------------------------------------------

    def make(self, formats: str | Iterable[str] | None = None, groups: Collection[str] = ALL_GROUPS) -> Made:
        """The content of its files and its report, as data; nothing is written.

        Args:
            formats: names from `furnigen.pipeline.options.MAKE_FORMATS`; those of the options when None.
            groups: the checks made.

        Raises: InputError for an unknown format or group; GeometryError naming a part that can not be made.
        """
        asked = self.options.formats if formats is None else read_formats(formats)
        check_groups(groups)
        options, inserts = self.options, Inserts()
        files: dict[str, bytes] = {}
        late: list[Finding] = []
        more: Json = {}
        with ThreadPoolExecutor(max_workers=1) as beside:
            pixels = options.picture_px
            picture = start_picture(beside, self.shown_meshes, pixels) if "picture" in asked else None
            found = self._examine(groups)
            writers = file_writers(
                self.piece,
                asked,
                options.units,
                options.list_style,
                lambda: self.solids,
                lambda: self.shown_meshes,
                lambda: self._parts.step_bytes(self.shown),
                self._on_step,
                late,
                more,
                lambda: (self.construction.assembly, self.custom_meshes),
                inserts,
                options.shop,
            )
            for name, make in writers.items():
                self._on_step(f"writing {name}")
                files.update(make())
            if picture is not None:
                self._on_step("drawing the picture")
                files.update(drawn(picture, late))
        findings = (*found.findings, *late)
        if "page" in asked:
            files["index.html"] = b""  # the report and the page name each other
        report = self._reported(found, findings, files) | more
        if "page" in asked:
            self._on_step("writing page")
            files["index.html"] = page_of(report, findings, self.shown_meshes, files, options.units, inserts)
        files["report.json"] = json_bytes(report)
        return Made(report, findings, files)

    def write(self, folder: str | Path, formats: str | Iterable[str] | None = None) -> WrittenPiece:
        """Write a folder of results, as `furnigen make --out FOLDER --formats LIST` does, by the same rules.

        The folder takes its place in one step. Files in it that a person added stay; one of ours that a
        person changed is kept beside the new one; a folder that furnigen did not make is never replaced.

        Args:
            folder: where; made with the folders above it when it is not there.
            formats: such as ("step", "glb") or "step,glb"; those usual when None. report.json comes with
                them.

        Returns: the folder, the names of the files, findings and report.

        Raises:
            InputError: an unknown format.
            OutputError: the folder is a file, is not furnigen's, or can not be written.
            GeometryError: a part can not be made.
        """
        asked = self.options.formats if formats is None else read_formats(formats)
        if not isinstance(folder, str | Path) or not str(folder):
            raise InputError("folder", repr(folder), "must be the path of a folder")
        where = Path(folder)
        check_writable(where, planned_files(asked))
        made = self.make(asked)
        self._on_step("writing the folder")
        left, names = write_folder(where, made.files), tuple(sorted(made.files))
        return WrittenPiece(
            **vars(left), folder=where, files=names, findings=made.findings, report=made.report
        )
