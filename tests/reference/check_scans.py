"""Runs the program on files that other libraries write, and on meshes with holes.

A sample with holes: its intact volume (trimesh) must lie within the program's limits, and the
volume that the generalized winding number of the open mesh encloses (libigl, random points;
Jacobson, Kavan, Sorkine 2013) must agree with the program's. A 3MF package written by trimesh, with
a transform on its item: its volume must follow the package's unit and the transform.
"""

import io
import math
import re
import sys
import tempfile
import zipfile
from pathlib import Path

import igl
import numpy as np
import trimesh

from catalogue import SAMPLES
from program import told

SEED = 20261126
POINTS = 400_000
ERRORS = 4.0  # standard errors that a count may be off by
# Share of the area punched out in 20 holes: what the value may be off, how wide the limits.
SHARES = ((0.01, 0.003, 0.05), (0.03, 0.01, 0.12), (0.05, 0.02, 0.20))
# How far the winding number of an open mesh may pass over its holes otherwise than a patch.
OPEN_OFF = 0.01


def survey(path, *options):
    path = Path(path).resolve()
    return told(path.parent, "survey", path, *options)


def with_holes(mesh, share, random):
    """Twenty round holes of about equal area beside the flat back, none touching another."""
    centres, areas = mesh.triangles_center, mesh.area_faces
    wall = mesh.face_normals[:, 2] < 0.9
    each = share * mesh.area / 20
    gone = np.zeros(len(mesh.faces), dtype=bool)
    taken = np.zeros(len(mesh.vertices), dtype=bool)
    made = 0
    while made < 20:
        middle = centres[random.choice(np.flatnonzero(wall))]
        near = np.linalg.norm(centres - middle, axis=1)
        hole = wall & (near < math.sqrt(each / math.pi))
        corners = np.unique(mesh.faces[hole])
        if areas[hole].sum() > 0.8 * each and not taken[corners].any():
            gone |= hole
            taken[corners] = True
            made += 1
    return trimesh.Trimesh(mesh.vertices, mesh.faces[~gone], process=False)


def enclosed(mesh, random):
    """Volume where the generalized winding number is over one half, with its standard error."""
    low, high = mesh.bounds
    points = random.uniform(low, high, (POINTS, 3))
    vertices = np.ascontiguousarray(mesh.vertices, dtype=np.float64)
    faces = np.ascontiguousarray(mesh.faces, dtype=np.int64)
    share = float((igl.fast_winding_number(vertices, faces, points) > 0.5).mean())
    box = float(np.prod(high - low))
    return box * share, box * math.sqrt(share * (1 - share) / POINTS)


def expect(fine, what):
    print(("ok " if fine else "DIFFERS ") + what)
    return 0 if fine else 1


def check_holes(folder):
    random = np.random.default_rng(SEED)
    failed = 0
    for name in ("kidney.stl", "heel-leaning.stl", "pebble.stl"):
        mesh = trimesh.load(SAMPLES / name, process=True)
        for share, off, width in SHARES:
            opened = with_holes(mesh, share, random)
            path = folder / "opened.off"
            opened.export(path)
            cavity = survey(path, "--unit", "mm", "--as", "casting", "--accept-holes")["cavity"]
            keys = ("volume_cm3", "volume_low_cm3", "volume_high_cm3")
            value, low, high = (1000 * cavity[key] for key in keys)
            around, error = enclosed(opened, random)
            fine = low <= mesh.volume <= high and abs(value / mesh.volume - 1) <= off
            fine &= (high - low) / mesh.volume <= width
            fine &= abs(value - around) <= OPEN_OFF * mesh.volume + ERRORS * error
            failed += expect(
                fine,
                f"{name}, {share:.0%} in 20 holes: {value:.0f} ({low:.0f} to {high:.0f}) mm³,"
                f" intact {mesh.volume:.0f}, by winding number {around:.0f} ± {error:.0f}",
            )
    return failed


def check_package(folder):
    """3MF core specification: the model's unit, and an item's transform on its object."""
    scene = trimesh.Scene()
    turn = trimesh.transformations.rotation_matrix(0.4, (1, 2, 3), (5, 0, 0))
    scene.add_geometry(trimesh.creation.box((2.0, 1.5, 1.0)), transform=turn)
    package = trimesh.exchange.threemf.export_3MF(scene)
    failed = 0
    for word, short, unit in (("millimeter", "mm", 1.0), ("inch", "in", 25.4)):
        path = folder / f"{word}.3mf"
        write_in(path, package, word)
        told = survey(path, "--opening", "none")
        expected = 3.0 * unit**3
        extent = trimesh.load(path).extents * unit
        fine = told["mesh"]["unit"] == short
        fine &= math.isclose(1000 * told["cavity"]["volume_cm3"], expected, rel_tol=1e-6)
        fine &= np.allclose(told["mesh"]["extent_mm"], extent, rtol=1e-6)
        failed += expect(fine, f"3MF of a turned box, its numbers in {word}: {expected:.1f} mm³")
    return failed


def write_in(path, package, unit):
    """The package with another unit for its model; the library writes no other itself."""
    with zipfile.ZipFile(io.BytesIO(package)) as old, zipfile.ZipFile(path, "w") as new:
        for name in old.namelist():
            content = old.read(name)
            if name.endswith(".model"):
                changed = re.sub(rb'unit="\w+"', f'unit="{unit}"'.encode(), content, count=1)
                assert unit.encode() in changed
                content = changed
            new.writestr(name, content)


def main():
    with tempfile.TemporaryDirectory() as folder:
        failed = check_holes(Path(folder)) + check_package(Path(folder))
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
