"""The assembly a model's placement paths spell out, as a tree for formats that keep one."""

from __future__ import annotations

from dataclasses import dataclass, field

from furnigen.mesh.model import MeshInstance, MeshModel


@dataclass(frozen=True, eq=False)
class AssemblyTree:
    """One level: its own copies first, then what it is made of, both in the order they were placed."""

    name: str
    instances: list[MeshInstance] = field(default_factory=list)
    children: dict[str, AssemblyTree] = field(default_factory=dict)


def assembly_tree(model: MeshModel) -> AssemblyTree:
    """The tree of `MeshInstance.path`, under one root that has the model's name."""
    root = AssemblyTree(model.name)
    for instance in model.instances:
        level = root
        for name in instance.path:
            level = level.children.setdefault(name, AssemblyTree(name))
        level.instances.append(instance)
    return root
