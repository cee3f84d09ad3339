"""Cloth over foam by the plain library route, for checks and benchmarks: slow, and independent of the solver."""

import numpy as np
from scipy.optimize import minimize
from scipy.spatial import ConvexHull

from silhouette.cloth.chain import Strips
from silhouette.cloth.foam_curve import Law


def plain_girth(strips: Strips, foam: Law, pull: float) -> float:
    """Girth of one level at rest under a tension (N/m): foam energy plus tension times the hull, by L-BFGS-B."""
    body, out, loose = strips.body[0], strips.outward[0], strips.loose[0]
    soft = np.flatnonzero(~strips.firm[0])
    inner, outer = strips.inner[0][soft], strips.outer[0][soft]
    thick = loose.copy()

    def hull(part: np.ndarray) -> tuple[float, np.ndarray]:
        thick[soft] = part
        points = body + thick[:, None] * out
        found = ConvexHull(points)
        ring = found.vertices
        after = points[np.roll(ring, -1)] - points[ring]
        after /= np.linalg.norm(after, axis=1)[:, None]
        turn = np.zeros(len(points))
        turn[ring] = ((np.roll(after, 1, axis=0) - after) * out[ring]).sum(1)
        return float(found.area), turn[soft]

    def total(part: np.ndarray) -> tuple[float, np.ndarray]:
        strain = 1 - part / loose[soft]
        first, second = foam.work(strain)
        stress = foam.stress(strain)[0]
        around, turn = hull(part)
        stored = (loose[soft] * (outer * first - (outer - inner) * second)).sum()
        return stored + pull * around, pull * turn - stress * (outer - (outer - inner) * strain)

    bounds = [(t * (1 - foam.lock * 0.98), t) for t in loose[soft]]
    found = minimize(
        total, loose[soft] * 0.9, jac=True, bounds=bounds, method="L-BFGS-B", options={"maxiter": 400, "maxls": 40}
    )
    return hull(found.x)[0]
