"""Meshes of a piece: one per distinct part, placed many times; the only code that uses trimesh."""
