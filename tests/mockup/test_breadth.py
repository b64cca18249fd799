"""Every recipe makes a printable mockup both ways, or says what is impossible and which scale would do.

And the scale it names does: it is tried.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from hypothesis import HealthCheck, given, note, settings
from hypothesis import strategies as st
from mockups import admesh_repairs, failed, made, read_strictly, stl

import furnigen
from furnigen import InputError, Piece, find_recipe, list_recipes
from furnigen.pipeline.made import Made
from furnigen.recipes.discovery import read_parameter_file
from furnigen.recipes.parameters import Parameter

RECIPES = list_recipes()
STUDIO = sorted((Path(furnigen.__file__).parent.parent / "recipes" / "studio").glob("*.toml"))
BEDS = ((180.0, 180.0, 180.0), (220.0, 220.0, 250.0))
SCALES = ("1:6", "1:10", "1:12", "1:20", "1:24")
MOST_PARTS = 40
"""Pieces of more parts take minutes, and show nothing else."""


def prints_or_tells(piece: Piece, scale: str, bed: tuple[float, float, float], way: str) -> bool:
    """Make one mockup; whether it can be made. Where not, the scale it names must do."""
    try:
        result = made(piece, scale, way, bed)
    except InputError as error:
        named = re.search(r"1:(\d+) (?:would fit|or larger)", error.fits)
        assert named, f"{error} names no scale"
        if "would fit" in error.fits:
            made(piece, f"1:{named[1]}", way, bed)
        return False
    for name, where, remedy in failed(result):
        assert name.endswith("-walls"), (name, where, remedy)
        assert re.search(r"1:\d+ or larger", remedy)
    others_agree(result, way)
    return True


def others_agree(result: Made, way: str) -> None:
    """Whether admesh, lib3mf and trimesh find every bed whole, within it, and of the volume told."""
    told = json.loads(result.files["mockup.json"])
    volumes = {p["name"]: p["volume_mm3"] for p in told["ways"][way]["pieces"]}
    for bed in told["beds"]:
        path = f"{way}/{bed['name']}"
        with TemporaryDirectory() as folder:
            assert set(admesh_repairs(result.files[f"{path}.stl"], Path(folder)).values()) == {0}, path
        laid = stl(result.files[f"{path}.stl"])
        assert laid.volume == pytest.approx(sum(volumes[name] for name in bed["pieces"]), rel=1e-5)
        margin = np.array([told["printer"]["margin_mm"]] * 2 + [0.0]) - 2e-2  # places are rounded to 1/64 mm
        assert (laid.bounds[0] > margin).all()
        assert (laid.bounds[1] < np.array(told["printer"]["bed_mm"]) - margin).all()
        named = read_strictly(result.files[f"{path}.3mf"])
        assert {name: mesh.volume for name, mesh in named.items()} == pytest.approx(
            {name: volumes[name] for name in bed["pieces"]}, rel=1e-5
        )


def studio_piece(path: Path) -> Piece:
    """What a parameter file of the studio asks for."""
    file = read_parameter_file(path)
    recipe = find_recipe(file.recipe)
    return recipe(**recipe.read(file.parameters, file.units or "mm"))


def every_scale_and_bed(test):
    """A slow test of each way, scale and bed."""
    test = pytest.mark.parametrize("bed", BEDS, ids=lambda b: f"bed{b[0]:.0f}")(test)
    test = pytest.mark.parametrize("scale", SCALES)(test)
    return pytest.mark.slow(pytest.mark.parametrize("way", ["whole", "kit"])(test))


@every_scale_and_bed
@pytest.mark.parametrize("recipe", RECIPES, ids=lambda r: r.name)
def test_every_recipe_at_every_scale_on_every_bed(recipe, way: str, scale: str, bed) -> None:
    prints_or_tells(recipe(), scale, bed, way)


@every_scale_and_bed
@pytest.mark.parametrize("path", STUDIO, ids=lambda p: p.stem)
def test_the_studio_at_every_scale_on_every_bed(path: Path, way: str, scale: str, bed) -> None:
    prints_or_tells(studio_piece(path), scale, bed, way)


@pytest.mark.parametrize("recipe", RECIPES, ids=lambda r: r.name)
@pytest.mark.parametrize("way", ["whole", "kit"])
@pytest.mark.slow
def test_a_recipe_prints_at_a_twelfth(recipe, way: str) -> None:
    result = made(recipe(), "1:12", way, BEDS[1])
    assert failed(result) == []
    others_agree(result, way)


def values(parameter: Parameter) -> st.SearchStrategy:
    """What a parameter allows, few of what is counted: large pieces take minutes."""
    low, high = parameter.low, parameter.high
    if parameter.kind in ("length", "angle"):
        return st.sampled_from([parameter.default, low, high]) | st.floats(low, high)
    if parameter.kind == "count":
        return st.integers(int(low), min(int(high), int(low) + 3))
    if parameter.kind == "choice":
        return st.sampled_from(parameter.options)
    return st.just(parameter.default)


@st.composite
def pieces(draw) -> Piece | None:
    recipe = draw(st.sampled_from(RECIPES))
    keywords = draw(st.fixed_dictionaries({}, optional={p.name: values(p) for p in recipe.parameters}))
    note(f"{recipe.name} {keywords}")
    try:
        piece = recipe(**keywords)
    except InputError:
        return None
    return piece if len(piece.placements) <= MOST_PARTS else None


TRIED = settings(deadline=None, print_blob=True, suppress_health_check=list(HealthCheck))


@settings(TRIED, max_examples=25, derandomize=True)
@given(piece=pieces(), scale=st.sampled_from(SCALES), bed=st.sampled_from(BEDS))
@pytest.mark.slow
def test_any_parameters_print_whole(piece, scale, bed) -> None:
    if piece is not None:
        prints_or_tells(piece, scale, bed, "whole")


@pytest.mark.slow
@pytest.mark.parametrize("way", ["whole", "kit"])
@settings(TRIED, max_examples=40)
@given(piece=pieces(), scale=st.sampled_from(SCALES), bed=st.sampled_from(BEDS))
def test_any_parameters_print_either_way(way: str, piece, scale, bed) -> None:
    if piece is not None:
        prints_or_tells(piece, scale, bed, way)
