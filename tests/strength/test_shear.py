"""Shear deflection: counted once, on top where the modulus is free of it and never where it holds it."""

from __future__ import annotations

import pytest
from strength_facts import G

from furnigen.catalogue.materials import find_material, list_materials
from furnigen.catalogue.stock import find_stock
from furnigen.checks.strength import check_strength
from furnigen.drafting.draft import Draft
from furnigen.joints.pins import shelf_pins
from furnigen.mesh.light_mesh import light_contacts
from furnigen.strength.assess import assess
from furnigen.strength.formulas.shear import find_shear


def test_every_material_says_how_its_shear_counts() -> None:
    for material in list_materials():
        rule = find_shear(material)
        assert rule.apart == (rule.g_mpa is not None)
        assert rule.why.startswith("added, G " if rule.apart else "left in the modulus: ")


def test_which_moduli_hold_shear() -> None:
    """The handbook's beams were measured without a correction (Table 5-3, looked up); a modulus that follows
    from the plies alone (beams.md 4, hand-derived) can hold none."""
    assert not find_shear(find_material("oak-northern-red")).apart
    assert not find_shear(find_material("mdf-12-19")).apart
    flat, edge = (find_shear(find_material("plywood-birch-18"), flat=f) for f in (True, False))
    # across its plies 170 to 210 N/mm², in its plane 620 (Handbook of Finnish Plywood, from memory)
    assert (flat.apart, edge.apart) == (True, True)
    assert flat.g_mpa is not None
    assert 170 <= flat.g_mpa <= 210
    assert edge.g_mpa == 620


def bay(stock: str, clear: float, thick: float):
    board = find_stock(stock)
    draft = Draft("bay", fit_mm=0.0)
    side = find_stock("birch-ply-18@18")
    draft.board("left", side, (0, 0, 0), (18, 300, 600), grain="z", role="side")
    draft.board("right", side, (18 + clear, 0, 0), (36 + clear, 300, 600), grain="z", role="side")
    draft.board("shelf", board, (18, 0, 300), (18 + clear, 300, 300 + thick))
    for name in ("left", "right"):
        draft.join(name, "shelf", shelf_pins())
    draft.load("shelf", "40 kg/m")
    return draft.done()


@pytest.mark.parametrize(
    ("stock", "material", "thick", "g"),
    [("birch-ply-18@18", "plywood-birch-18", 18.0, 200.0), ("mdf-18@18", "mdf-12-19", 18.0, None)],
)
@pytest.mark.parametrize("clear", [300.0, 900.0])
def test_sag_of_a_short_and_a_long_shelf_by_hand(stock, material, thick, g, clear) -> None:
    """5 w L⁴ / 384 E I, and w L² / 8 (5/6 G A) on top or not (Wood Handbook Eq. 9-2)."""
    piece = bay(stock, clear, thick)
    piece = piece.without_loose
    touching = light_contacts(piece)
    (board,) = assess(piece, touching.contacts, touching.support.grounded).boards
    assert board.result is not None
    first, last = (s.at for s in board.span.stations)
    span = last - first
    wood = find_material(material)
    w = (40 / 1000 + 300 * thick * wood.density_kg_m3 * 1e-9) * G
    bent = 5 * w * span**4 / (384 * wood.moe_mpa * 300 * thick**3 / 12)
    sheared = w * span**2 / (8 * 5 / 6 * g * 300 * thick) if g else 0.0
    assert board.result.first_mm == pytest.approx(bent + sheared, rel=3e-3)
    if g and clear == 300.0:
        assert sheared > 0.15 * bent  # far from nothing in a short shelf of plywood
    told = check_strength(piece, touching.contacts, touching.support.grounded)[1]
    assert told is not None
    assert ("added" in board.result.shelf.shear.why) == (g is not None)
