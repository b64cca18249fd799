"""The CAD kernel: the only code that uses CadQuery. Imported when a solid is really wanted.

Importing any module of this package starts the kernel (`furnigen.kernel.start`), so whatever is
missing from the machine is reported in one place, as a GeometryError.

furnigen's own forms are built with OCP, CadQuery's binding of the Open CASCADE kernel, so they come
out as the same shapes that CadQuery wraps; the rest of CadQuery (which draws in VTK, a DXF library
and two solvers, more than half of its starting time) is imported only for a user's own function.
"""

from furnigen.kernel.start import load_kernel

load_kernel()
