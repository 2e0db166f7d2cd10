"""A finite-element look at the built solid: mesh, linear elastic solution, stresses, hand formulas beside them.

An optional extra: gmsh makes the mesh, CalculiX or scikit-fem solves. None of them is imported before it is used.
"""

from __future__ import annotations


class FemError(RuntimeError):
    """The solid could not be meshed or solved; the text says what, why and what to do."""


class MissingToolError(FemError):
    """A program or package that this optional extra needs is not there; the text says how to install it."""
