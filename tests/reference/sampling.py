"""Layer volumes of a cavity by stratified random points, with their standard errors.

Inside is told by the winding number, distance to the wall by libigl's tree of triangles.
"""

from dataclasses import dataclass

import igl
import numpy as np
from scipy import ndimage

BATCH = 100_000


@dataclass
class Points:
    """Two random points in each cell of a regular lattice over the cavity's box, x fastest last.

    `inside` and `distance` have the shape (cells x, cells y, cells z, 2); `distance` to the wall
    is infinite outside the cavity. Lengths in mm.
    """

    cell: np.ndarray
    height: np.ndarray
    inside: np.ndarray
    distance: np.ndarray

    @property
    def cell_volume(self):
        return float(np.prod(self.cell))


def scatter(cavity, count, seed):
    """Points over the box of the cavity, about `count` of them within it, classified."""
    low, high = cavity.solid.bounds.copy()
    high[2] = cavity.fill
    edge = (cavity.volume / (count / 2)) ** (1 / 3)
    cells = np.maximum(np.ceil((high - low) / edge).astype(int), 1)
    cell = (high - low) / cells
    corner = np.stack(np.meshgrid(*map(np.arange, cells), indexing="ij"), axis=-1)
    jitter = np.random.default_rng(seed).random((*cells, 2, 3))
    points = (low + (corner[..., None, :] + jitter) * cell).reshape(-1, 3)
    inside = winding(cavity.solid, points) > 0.5
    distance = np.full(len(points), np.inf)
    distance[inside] = distance_to(cavity.wall, points[inside])
    shape = (*cells, 2)
    return Points(
        cell,
        points[:, 2].reshape(shape),
        inside.reshape(shape),
        distance.reshape(shape),
    )


def winding(mesh, points):
    vertices, faces = arrays(mesh)
    return np.concatenate(
        [igl.fast_winding_number(vertices, faces, part) for part in batches(points)]
    )


def distance_to(mesh, points):
    vertices, faces = arrays(mesh)
    squares = [igl.point_mesh_squared_distance(part, vertices, faces)[0] for part in batches(points)]
    return np.sqrt(np.concatenate(squares))


def arrays(mesh):
    return np.array(mesh.vertices, dtype=np.float64), np.array(mesh.faces, dtype=np.int64)


def batches(points):
    return [points[n : n + BATCH] for n in range(0, len(points), BATCH)]


def volume(points, belongs):
    """Volume of the points that belong, and its standard error.

    In each cell the mean of two independent points is unbiased, and a quarter of the square of
    their difference is unbiased for that mean's variance.
    """
    value = belongs.mean(axis=-1).sum() * points.cell_volume
    apart = belongs[..., 0] != belongs[..., 1]
    return float(value), float(np.sqrt(apart.sum() / 4) * points.cell_volume)


def layers(points, cavity, skin_mm, cap_mm):
    """Skin, core and cap as pairs of volume and standard error, mm³.

    The skin is what the other two leave of the exact volume, which is known better than counted.
    """
    rest = points.inside & (points.distance > skin_mm)
    in_cap = rest & (points.height > cavity.fill - cap_mm) & (cavity.opening_area > 0)
    unskinned, skin_error = volume(points, rest)
    skin = (cavity.volume - unskinned, skin_error)
    return {"skin": skin, "core": volume(points, rest & ~in_cap), "cap": volume(points, in_cap)}


def pockets(points, cavity, skin_mm, cap_mm, least_mm3):
    """Separate pieces of core of at least `least_mm3`, largest first: volume in mm³ and whether
    what is not skin joins it to the opening. None where the points are too far apart to tell.

    A cell is joined to its neighbours once cautiously (both of its points must belong, across
    sides only) and once generously (either point, across edges and corners too).
    """
    rest = points.inside & (points.distance > skin_mm)
    opened = cavity.opening_area > 0
    core = rest & ~((points.height > cavity.fill - cap_mm) & opened)
    sides, corners = (ndimage.generate_binary_structure(3, n) for n in (1, 3))
    cautious = pieces(points, core.all(-1), rest.all(-1), core, sides, opened, least_mm3)
    generous = pieces(points, core.any(-1), rest.any(-1), core, corners, opened, least_mm3)
    alike = [reaches for _, reaches in cautious] == [reaches for _, reaches in generous]
    return generous if alike else None


def pieces(points, core_cells, rest_cells, core, structure, opened, least_mm3):
    """The pieces that cells form, each with the volume of the core's points in it."""
    joined, _ = ndimage.label(rest_cells, structure)
    at_opening = np.setdiff1d(joined[:, :, -1], [0]) if opened else []
    labels, _ = ndimage.label(core_cells, structure)
    found = []
    for n, place in enumerate(ndimage.find_objects(labels), start=1):
        piece = labels[place] == n
        size = core[place][piece].mean(axis=-1).sum() * points.cell_volume
        if size >= least_mm3:
            found.append((float(size), bool(np.isin(joined[place][piece][0], at_opening))))
    return sorted(found, reverse=True)
