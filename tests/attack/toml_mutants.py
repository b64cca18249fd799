"""Mutants of parameter files, family files and their tables, the same for each seed."""

from __future__ import annotations

from cases import Case
from family_mutants import FamilyMaker
from parameter_mutants import ParameterMaker


def toml_case(seed: int) -> Case:
    """The mutant of a number: a parameter file, or every other time a family file."""
    return (FamilyMaker if seed % 2 else ParameterMaker)(seed).build()
