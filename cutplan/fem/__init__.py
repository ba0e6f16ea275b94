"""Finite elements of flat sheets: mesh, plane stress, plate bending, ribs, condensation.

Needs numpy and scipy; knows nothing of welding. Lengths in mm, forces in N.
"""
