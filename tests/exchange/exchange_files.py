"""Small STEP files written by hand (AP214, ISO 10303-42 to -44): cubes, assemblies, placements."""

from __future__ import annotations

from itertools import count

ORIGIN = ("(0.,0.,0.)", "(0.,0.,1.)", "(1.,0.,0.)")
_SIDES = ((0, 2, 3, 1), (4, 5, 7, 6), (0, 1, 5, 4), (2, 6, 7, 3), (0, 4, 6, 2), (1, 3, 7, 5))


def step_file(rows: str) -> str:
    """A whole file of some rows, with a context in millimetres (#10)."""
    return (
        "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\n"
        "FILE_NAME('by hand','2026-01-01T00:00:00',(''),(''),'','','');\n"
        "FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));\nENDSEC;\nDATA;\n"
        "#1=APPLICATION_CONTEXT('design');\n#2=PRODUCT_CONTEXT('',#1,'mechanical');\n"
        "#3=PRODUCT_DEFINITION_CONTEXT('part definition',#1,'design');\n"
        "#9=( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.) );\n"
        "#10=( GEOMETRIC_REPRESENTATION_CONTEXT(3) GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((#11))"
        " GLOBAL_UNIT_ASSIGNED_CONTEXT((#9,#12,#13)) REPRESENTATION_CONTEXT('','') );\n"
        "#11=UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.E-07),#9,'distance_accuracy_value','');\n"
        "#12=( NAMED_UNIT(*) PLANE_ANGLE_UNIT() SI_UNIT($,.RADIAN.) );\n"
        "#13=( NAMED_UNIT(*) SI_UNIT($,.STERADIAN.) SOLID_ANGLE_UNIT() );\n"
        f"{rows}\nENDSEC;\nEND-ISO-10303-21;\n"
    )


def _base(n: int) -> int:
    return 1000 * (n + 1)


def _axes(first: int, place: tuple[str, str, str] = ORIGIN) -> str:
    point, z, x = place
    return (
        f"#{first}=AXIS2_PLACEMENT_3D('',#{first + 1},#{first + 2},#{first + 3});\n"
        f"#{first + 1}=CARTESIAN_POINT('',{point});\n#{first + 2}=DIRECTION('',{z});\n"
        f"#{first + 3}=DIRECTION('',{x});"
    )


def _product(n: int, name: str, kind: str, items: str) -> str:
    b = _base(n)
    return (
        f"#{b}=PRODUCT_DEFINITION('design','',#{b + 1},#3);\n"
        f"#{b + 1}=PRODUCT_DEFINITION_FORMATION('','',#{b + 2});\n"
        f"#{b + 2}=PRODUCT('{name}','{name}','',(#2));\n"
        f"#{b + 3}=PRODUCT_DEFINITION_SHAPE('','',#{b});\n"
        f"#{b + 4}=SHAPE_DEFINITION_REPRESENTATION(#{b + 3},#{b + 5});\n"
        f"#{b + 5}={kind}('',({items}),#10);\n{_axes(b + 6)}"
    )


def product(n: int, name: str, solid: str) -> str:
    """A product of one solid, from `cube` of the same number."""
    b = _base(n)
    return f"{_product(n, name, 'ADVANCED_BREP_SHAPE_REPRESENTATION', f'#{b + 6},#{b + 20}')}\n{solid}"


def assembly(n: int, name: str) -> str:
    """A product without a shape of its own."""
    return _product(n, name, "SHAPE_REPRESENTATION", f"#{_base(n) + 6}")


def usage(parent: int, child: int, copy: int, place: tuple[str, str, str] = ORIGIN) -> str:
    """A copy of one product in another."""
    b = _base(parent) + 500 + 20 * copy
    rep, outer = _base(child) + 5, _base(parent) + 5
    return (
        f"#{b}=CONTEXT_DEPENDENT_SHAPE_REPRESENTATION(#{b + 1},#{b + 3});\n"
        f"#{b + 1}=( REPRESENTATION_RELATIONSHIP('','',#{rep},#{outer})"
        f" REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION(#{b + 2})"
        " SHAPE_REPRESENTATION_RELATIONSHIP() );\n"
        f"#{b + 2}=ITEM_DEFINED_TRANSFORMATION('','',#{_base(child) + 6},#{b + 5});\n"
        f"#{b + 3}=PRODUCT_DEFINITION_SHAPE('','',#{b + 4});\n"
        f"#{b + 4}=NEXT_ASSEMBLY_USAGE_OCCURRENCE('{copy}','copy {copy} of {child}','',"
        f"#{_base(parent)},#{_base(child)},$);\n{_axes(b + 5, place)}"
    )


def cube(n: int, side: float = 10.0) -> str:
    """A solid cube with a corner at the origin, its rows numbered for product `n`."""
    b = _base(n)
    number = count(b + 30)
    rows = []

    def row(text: str) -> int:
        rows.append(f"#{(k := next(number))}={text};")
        return k

    corners = [tuple(side * ((i >> axis) & 1) for axis in range(3)) for i in range(8)]
    points = [row(f"CARTESIAN_POINT('',({x},{y},{z}))") for x, y, z in corners]
    vertices = [row(f"VERTEX_POINT('',#{p})") for p in points]
    edges: dict[tuple[int, int], int] = {}
    faces = []
    for loop in _SIDES:
        used = []
        for a, c in zip(loop, (*loop[1:], loop[0]), strict=True):
            low, high = min(a, c), max(a, c)
            if (low, high) not in edges:
                way = tuple((q - p) / side for p, q in zip(corners[low], corners[high], strict=True))
                vector = row(
                    f"VECTOR('',#{row(f'DIRECTION({chr(39) * 2},({way[0]},{way[1]},{way[2]}))')},1.)"
                )
                line = row(f"LINE('',#{points[low]},#{vector})")
                edges[low, high] = row(f"EDGE_CURVE('',#{vertices[low]},#{vertices[high]},#{line},.T.)")
            used.append(row(f"ORIENTED_EDGE('',*,*,#{edges[low, high]},.{'T' if a < c else 'F'}.)"))
        bound = row(f"FACE_OUTER_BOUND('',#{row(f'EDGE_LOOP({chr(39) * 2},({_listed(used)}))')},.T.)")
        o, p, q = (corners[k] for k in loop[:3])
        u, v = ([(b - a) / side for a, b in zip(o, end, strict=True)] for end in (p, q))
        z = (u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0])
        axes = row(
            f"AXIS2_PLACEMENT_3D('',#{points[loop[0]]},"
            f"#{row(f'DIRECTION({chr(39) * 2},({z[0]},{z[1]},{z[2]}))')},"
            f"#{row(f'DIRECTION({chr(39) * 2},({u[0]},{u[1]},{u[2]}))')})"
        )
        faces.append(row(f"ADVANCED_FACE('',(#{bound}),#{row(f'PLANE({chr(39) * 2},#{axes})')},.T.)"))
    shell = row(f"CLOSED_SHELL('',({_listed(faces)}))")
    return "\n".join([f"#{b + 20}=MANIFOLD_SOLID_BREP('',#{shell});", *rows])


def _listed(numbers: list[int]) -> str:
    return ",".join(f"#{n}" for n in numbers)
