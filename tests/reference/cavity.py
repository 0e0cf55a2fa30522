"""The cavity of a casting mesh and its exact measures, by trimesh.

The definitions are those that the documentation of the program gives; the way to them is its own.
"""

from dataclasses import dataclass

import numpy as np
import trimesh
from scipy.spatial import ConvexHull

FLAT_MM = 0.05  # corners of a flat back lie this close to its plane
LEAN_DEG = 10.0  # a facet that faces up within this may be a back


@dataclass
class Cavity:
    """Lengths in mm, up is +z. `solid` is the whole casting, the cavity its part below `fill`."""

    solid: trimesh.Trimesh
    wall: trimesh.Trimesh
    fill: float
    opening_area: float
    opening_perimeter: float
    volume: float
    lean_deg: float


def load(entry):
    """The mesh in mm, and the millimetres for each number in the file."""
    mesh = trimesh.load(entry.path, force="mesh", process=True)
    factor = entry.mm_per_number
    if entry.known:
        axis, extent_mm = entry.known
        factor = extent_mm / mesh.extents["xyz".index(axis)]
    return mesh, trimesh.Trimesh(mesh.vertices * factor, mesh.faces, process=False), factor


def find(mesh, opening):
    """The cavity that an opening of the catalogue leaves of a closed mesh."""
    if opening.kind == "cut":
        return cut(mesh, opening.below_lip_mm)
    back = flat_back(mesh) if opening.kind == "auto" else None
    return closed(mesh) if back is None else open_at(mesh, back)


def closed(mesh):
    top = mesh.bounds[1][2]
    return Cavity(mesh, mesh, top, 0.0, 0.0, mesh.volume, 0.0)


def flat_back(mesh):
    """Faces of the largest flat facet that faces up and reaches the highest level, or None."""
    up = np.cos(np.radians(LEAN_DEG))
    top = mesh.vertices[:, 2].max()
    fit = [
        n
        for n, faces in enumerate(mesh.facets)
        if mesh.facets_normal[n][2] > up
        and mesh.vertices[mesh.faces[faces]][..., 2].max() > top - FLAT_MM
    ]
    if not fit:
        return None
    best = max(fit, key=lambda n: mesh.facets_area[n])
    if mesh.facets_area[best] < 0.02 * ConvexHull(mesh.vertices[:, :2]).volume:
        return None
    normal = mesh.facets_normal[best]
    offset = mesh.vertices[mesh.faces[mesh.facets[best]]].mean(axis=(0, 1)) @ normal
    corners = np.abs(mesh.vertices @ normal - offset) < FLAT_MM
    return np.flatnonzero(corners[mesh.faces].all(axis=1))


def open_at(mesh, back):
    """Turned so that the back is level, the wall is all but the back."""
    normal = mesh.area_faces[back] @ mesh.face_normals[back]
    normal /= np.linalg.norm(normal)
    turned = mesh.copy()
    turned.apply_transform(trimesh.geometry.align_vectors(normal, [0, 0, 1]))
    rest = np.setdiff1d(np.arange(len(mesh.faces)), back)
    wall = trimesh.Trimesh(turned.vertices, turned.faces[rest], process=False)
    patch = trimesh.Trimesh(turned.vertices, turned.faces[back], process=False)
    return Cavity(
        turned,
        wall,
        float(np.average(patch.triangles_center[:, 2], weights=patch.area_faces)),
        patch.area,
        border_length(patch),
        turned.volume,
        float(np.degrees(np.arccos(normal[2]))),
    )


def border_length(patch):
    edges, count = np.unique(np.sort(patch.edges, axis=1), axis=0, return_counts=True)
    border = patch.vertices[edges[count == 1]]
    return float(np.linalg.norm(border[:, 0] - border[:, 1], axis=1).sum())


def cut(mesh, below_lip_mm):
    """What lies below a level; its wall is the surface below it."""
    fill = mesh.bounds[1][2] - below_lip_mm
    vertices, faces, _ = trimesh.intersections.slice_faces_plane(
        mesh.vertices, mesh.faces, plane_normal=[0, 0, -1], plane_origin=[0, 0, fill]
    )
    wall = trimesh.Trimesh(vertices, faces, process=False)
    # The area vectors of a closed surface add up to nothing, so the opening's is what is missing;
    # its tetrahedra with an apex in the fill level have no volume.
    opening_area = -float(wall.area_faces @ wall.face_normals[:, 2])
    corners = wall.triangles - [0, 0, fill]
    volume = np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])).sum() / 6
    segments = trimesh.intersections.mesh_plane(mesh, [0, 0, 1], [0, 0, fill])
    perimeter = np.linalg.norm(segments[:, 0] - segments[:, 1], axis=1).sum()
    return Cavity(mesh, wall, fill, opening_area, float(perimeter), float(volume), 0.0)


def slope_areas(wall):
    """Wall area by the angle of its inward normal to up: floor, steep, overhanging; and the area
    of triangles within 0.01° of a limit, which may be counted on either side of it."""
    area = wall.area_faces
    angle = np.degrees(np.arccos(np.clip(-wall.face_normals[:, 2], -1, 1)))
    doubt = (np.abs(angle - 30) < 0.01) | (np.abs(angle - 90) < 0.01)
    floor, over = angle < 30, angle > 90
    return area[floor].sum(), area[~floor & ~over].sum(), area[over].sum(), area[doubt].sum()
