"""Pictures put beside each other in one."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

from furnigen.core.errors import InputError


def side_by_side(pictures: Sequence[bytes]) -> bytes:
    """PNG pictures in a row, from left to right, as one PNG; all as tall as the tallest.

    Raises: InputError for what is no PNG.
    """
    from vtkmodules.vtkCommonCore import vtkObject
    from vtkmodules.vtkFiltersCore import vtkImageAppend
    from vtkmodules.vtkImagingCore import vtkImageResize
    from vtkmodules.vtkIOImage import vtkPNGReader, vtkPNGWriter

    vtkObject.GlobalWarningDisplayOff()  # what is wrong is said here, in one message
    images = []
    with TemporaryDirectory() as folder:
        for n, picture in enumerate(pictures):
            file = Path(folder) / f"{n}.png"
            file.write_bytes(picture)
            reader = vtkPNGReader()
            reader.SetFileName(str(file))
            reader.Update()
            image = reader.GetOutput()
            if not picture.startswith(b"\x89PNG") or min(image.GetDimensions()[:2]) < 2:
                raise InputError("picture", f"{len(picture)} bytes", "is not a PNG that can be read")
            images.append(image)
    tall = max(image.GetDimensions()[1] for image in images)
    row = vtkImageAppend()
    row.SetAppendAxis(0)
    for image in images:
        width, height, _ = image.GetDimensions()
        sized = vtkImageResize()
        sized.SetInputData(image)
        sized.SetOutputDimensions(round(width * tall / height), tall, 1)
        sized.Update()
        row.AddInputData(sized.GetOutput())
    writer = vtkPNGWriter()
    writer.SetInputConnection(row.GetOutputPort())
    writer.WriteToMemoryOn()
    writer.Write()
    return bytes(memoryview(writer.GetResult()))
