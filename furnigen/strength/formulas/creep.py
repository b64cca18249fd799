"""How sag grows with time.

Eurocode 5 (EN 1995-1-1 2.2.3 and 3.1.4): what stays for good sags w (1 + k_def), what comes and goes
w (1 + psi2 k_def), psi2 being the share of it that is always there. A shelf of books never empties: its
load counts as staying (psi2 = 1); other shelves as storage, psi2 = 0.8 (EN 1990 category E). k_def depends
on the material and the climate, furnigen/catalogue/data/creep.csv:

    class 1  heated rooms          class 2  unheated, roofed          class 3  in the weather

The American rule (NDS 3.5.2, from memory) multiplies the sag of the lasting load by 1.5 for seasoned wood
and 2.0 for panels, indoors. The European MDF industry guide adds at most half to the first sag of painted or
foiled shelves. Both are far below Eurocode 5 for particleboard and MDF; Eurocode 5 is the default as the
cautious and the best documented one.
"""

from __future__ import annotations

from dataclasses import dataclass

from furnigen.catalogue.materials import Material, Source, row_for_material
from furnigen.core.errors import InputError

CLIMATES = {
    1: "heated rooms (service class 1)",
    2: "unheated, roofed (service class 2)",
    3: "in the weather (service class 3)",
}
RULES = ("eurocode", "nds", "mdf-guide")
_NDS = {"hardwood": 1.5, "softwood": 1.5, "lvl": 1.5, "plywood": 2.0, "osb": 2.0}


@dataclass(frozen=True, slots=True)
class Creep:
    """The creep factor of a material.

    Attributes:
        factor: what lasting sag grows by, as a share of the first sag (k_def).
        grade: the row it was read from.
        source: where from.
        note: where another grade stands in for the material's own.
    """

    factor: float
    grade: str
    source: Source
    note: str = ""

    def final(self, lasting: float, passing: float = 0.0, sustained: float = 0.0) -> float:
        """Sag in the long run (in the unit of the sags given).

        Args:
            lasting: first sag under what stays for good, own weight included.
            passing: first sag under what comes and goes.
            sustained: share of the passing load that is always there (psi2), 0 to 1.

        Raises: InputError for a share outside 0 to 1.
        """
        if not 0 <= sustained <= 1:
            raise InputError("sustained share of the load", f"{sustained:g}", "must be from 0 to 1")
        return lasting * (1 + self.factor) + passing * (1 + sustained * self.factor)


def _eurocode(material: Material, climate: int) -> Creep:
    row = row_for_material(material, "creep")
    text = row[f"class_{climate}"]
    if not text:
        fit = [n for n in CLIMATES if row[f"class_{n}"]]
        raise InputError(
            f"climate for {material.name}",
            CLIMATES[climate],
            f"{row['grade']} is not made for it: {row['source']}",
            f"it may stand in {' or '.join(CLIMATES[n] for n in fit)}",
        )
    return Creep(float(text), row["grade"], Source(row["source"], row["provenance"]), row["note"])


def find_creep(material: Material, climate: int = 1, rule: str = "eurocode") -> Creep:
    """The creep factor of a material in a climate by one of RULES.

    Raises: InputError for an unknown climate or rule, a climate the material can not stand in, or a
    material the rule does not cover.
    """
    if climate not in CLIMATES:
        allowed = "; ".join(f"{n} {words}" for n, words in CLIMATES.items())
        raise InputError("climate", climate, f"must be {allowed}")
    if rule == "eurocode":
        return _eurocode(material, climate)
    if rule not in RULES:
        raise InputError("creep rule", rule, f"must be {', '.join(RULES)}")
    if climate != 1:
        raise InputError("climate", CLIMATES[climate], f"the rule {rule} is for heated rooms", "use eurocode")
    if rule == "nds":
        if material.kind not in _NDS:
            raise InputError("creep rule", rule, f"does not cover {material.kind}", "use eurocode")
        source = Source("NDS 3.5.2, K_cr in dry service", "memory")
        return Creep(_NDS[material.kind] - 1, f"K_cr {_NDS[material.kind]:g}", source)
    if material.kind != "mdf":
        raise InputError("creep rule", rule, f"is for mdf, not {material.kind}", "use eurocode")
    source = Source("European MDF industry guide, shelves chapter", "looked-up")
    return Creep(0.5, "MDF, painted or foiled", source, "up to half is added: the upper end is taken")
