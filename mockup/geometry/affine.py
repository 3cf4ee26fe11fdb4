"""Affine maps of the plane: x' = a x + c y + e, y' = b x + d y + f, the order that SVG writes.

y runs down, so a positive angle turns clockwise on the sheet.

References
----------
SVG 2, section 8.5 (the transform property): ``matrix(a b c d e f)``.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Affine:
    """One affine map; ``(p @ q)`` does q first, then p."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def __matmul__(self, inner: "Affine") -> "Affine":
        """Compose: the result does ``inner`` first."""
        return Affine(
            self.a * inner.a + self.c * inner.b,
            self.b * inner.a + self.d * inner.b,
            self.a * inner.c + self.c * inner.d,
            self.b * inner.c + self.d * inner.d,
            self.a * inner.e + self.c * inner.f + self.e,
            self.b * inner.e + self.d * inner.f + self.f,
        )

    def apply(self, points: Points) -> Points:
        """Map points, (n, 2) floats, to a new array of the same shape."""
        x, y = points[:, 0], points[:, 1]
        return np.column_stack((self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f))

    @property
    def determinant(self) -> float:
        """Signed factor by which areas grow; negative where the map flips."""
        return self.a * self.d - self.b * self.c

    @property
    def inverse(self) -> "Affine":
        """The map that undoes this one; its determinant must not be 0."""
        det = self.determinant
        a, b, c, d = self.d / det, -self.b / det, -self.c / det, self.a / det
        return Affine(a, b, c, d, -(a * self.e + c * self.f), -(b * self.e + d * self.f))

    @property
    def stretch(self) -> float:
        """Largest factor by which a length grows (the matrix's spectral norm)."""
        return float(np.linalg.norm(np.array([[self.a, self.c], [self.b, self.d]]), 2))


IDENTITY = Affine()


def translation(x: float, y: float) -> Affine:
    """Move by (x, y)."""
    return Affine(e=x, f=y)


def scaling(x: float, y: float | None = None) -> Affine:
    """Scale about the origin."""
    return Affine(a=x, d=x if y is None else y)


def rotation(degrees: float) -> Affine:
    """Turn about the origin, clockwise on the sheet (y runs down)."""
    sine, cosine = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
    return Affine(cosine, sine, -sine, cosine)


def bearing(degrees: float) -> Points:
    """Unit vector, (2,), of a direction on the sheet, clockwise from the top."""
    return np.array([math.sin(math.radians(degrees)), -math.cos(math.radians(degrees))])


def about(x: float, y: float, turn: Affine) -> Affine:
    """Do ``turn`` about the point (x, y) instead of the origin."""
    return translation(x, y) @ turn @ translation(-x, -y)
