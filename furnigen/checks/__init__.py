"""Checks: each reads the description or the meshes and returns findings."""
