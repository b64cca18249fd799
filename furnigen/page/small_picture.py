"""The preview made small enough to stand in a page."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

WIDTH_PX = 800
QUALITY = 82
"""Of the JPEG, 0 to 100: at this size no block shows beside the piece."""


def small_jpeg(png: bytes, width: int = WIDTH_PX) -> bytes:
    """A PNG as a JPEG of at most this width, pixels; the same bytes for the same picture."""
    from vtkmodules.util.numpy_support import vtk_to_numpy
    from vtkmodules.vtkImagingCore import vtkImageResize
    from vtkmodules.vtkIOImage import vtkJPEGWriter, vtkPNGReader

    reader = vtkPNGReader()
    # reading from memory is called differently from one version of VTK to the next
    with TemporaryDirectory(prefix="furnigen-") as folder:
        file = Path(folder) / "preview.png"
        file.write_bytes(png)
        reader.SetFileName(str(file))
        reader.Update()
    columns, rows, _ = reader.GetOutput().GetDimensions()
    resize = vtkImageResize()
    resize.SetInputData(reader.GetOutput())
    scale = min(1.0, width / columns)
    resize.SetOutputDimensions(round(columns * scale), round(rows * scale), 1)
    writer = vtkJPEGWriter()
    writer.SetInputConnection(resize.GetOutputPort())
    writer.SetQuality(QUALITY)
    writer.WriteToMemoryOn()
    writer.Write()
    return bytes(vtk_to_numpy(writer.GetResult()))  # type: ignore[no-untyped-call]
