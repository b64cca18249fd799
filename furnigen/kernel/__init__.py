"""The CAD kernel: the only code that meets CadQuery. Imported when a solid is really wanted."""
