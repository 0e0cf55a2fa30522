"""Compares the sections that the program draws with those of reference libraries.

The cavity's section: the mesh cut by trimesh along the drawing's own plane, its area by the
divergence theorem in the plane. Skin, core and cap: points of the plane counted by their distance
from the wall (libigl), as the layers are defined.
"""

import math
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import igl
import numpy as np
import trimesh

from catalogue import ENTRIES, SAMPLES
from cavity import find, load
from program import program

FILES = ("kidney.stl", "two-lobes.stl", "pebble.stl", "fingertip.stl")
SKIN_MM, CAP_MM = 2.0, 3.0
OFF = 0.005  # share of the section that a drawn area may be off
POINTS = 1_000_000
ERRORS = 4.0  # standard errors that a count may be off by


def drawn(path):
    """Areas by name, and the plane, from the drawing itself."""
    with tempfile.TemporaryDirectory() as folder:
        drawing = Path(folder) / "section.svg"
        line = [program(), "plan", path, "--unit", "mm", "--section", drawing]
        line += ["--skin", f"{SKIN_MM}mm", "--cap", f"{CAP_MM}mm"]
        subprocess.run(line, check=True, capture_output=True)
        text = drawing.read_text()
    areas = {}
    for tag in re.findall(r"<path [^>]*>", text):
        what = re.search(r'data-what="([^"]*)"', tag)
        if what:
            areas[what.group(1)] = float(re.search(r'data-area-mm2="([^"]*)"', tag).group(1))
    plane = [
        np.array(re.search(rf'{key}="([^"]*)"', text).group(1).split(), dtype=float)
        for key in ("data-through-mm", "data-right", "data-seen-along")
    ]
    return areas, plane


def cut_area(mesh, through, normal):
    """Area enclosed by the mesh in a plane: half the integral of position times outward normal."""
    lines, faces = trimesh.intersections.mesh_plane(mesh, normal, through, return_faces=True)
    outward = mesh.face_normals[faces]
    outward = outward - np.outer(outward @ normal, normal)
    outward /= np.linalg.norm(outward, axis=1)[:, None]
    middles = lines.mean(axis=1) - through
    lengths = np.linalg.norm(lines[:, 1] - lines[:, 0], axis=1)
    return 0.5 * float(np.sum(np.einsum("ij,ij->i", middles, outward) * lengths))


def counted(cavity, through, right, along, random):
    """Areas of skin, core and cap with their standard errors, by random points of the plane."""
    up = np.cross(right, along)
    up = up if up[2] > 0 else -up
    flat = (cavity.solid.vertices - through) @ np.column_stack([right, up])
    low, high = flat.min(axis=0), flat.max(axis=0)
    uv = low + random.random((POINTS, 2)) * (high - low)
    points = through + uv[:, :1] * right + uv[:, 1:] * up
    solid = cavity.solid
    inside = igl.fast_winding_number(solid.vertices, solid.faces, points) > 0.5
    points = points[inside & (points[:, 2] <= cavity.fill)]
    wall = cavity.wall
    squared = igl.point_mesh_squared_distance(points, wall.vertices, wall.faces)[0]
    skin = squared <= SKIN_MM**2
    # A closed cavity has no cap.
    cap_mm = CAP_MM if cavity.opening_area > 0 else 0.0
    cap = ~skin & (points[:, 2] > cavity.fill - cap_mm)
    rectangle = float(np.prod(high - low))

    def area(count):
        share = count / POINTS
        return share * rectangle, rectangle * math.sqrt(share * (1 - share) / POINTS)

    return {
        "coat 1": area(skin.sum()),
        "cap": area(cap.sum()),
        "core": area((~skin & ~cap).sum()),
    }


def main():
    random = np.random.default_rng(20261126)
    compared = failed = 0

    def expect(fine, what):
        nonlocal compared, failed
        compared += 1
        if not fine:
            failed += 1
            print(f"DIFFERS {what}")

    for entry in ENTRIES:
        if entry.file not in FILES or entry.source != "sample":
            continue
        _, mesh, _ = load(entry)
        areas, (through, right, along) = drawn(SAMPLES / entry.file)
        cavity = find(mesh, entry.openings[0])
        exact = cut_area(cavity.solid, through, along)
        whole = areas["cavity"]
        expect(abs(whole / exact - 1) <= OFF, f"{entry.file}: cavity {whole} against {exact}")
        told = []
        for name, (truth, error) in counted(cavity, through, right, along, random).items():
            own = areas.get(name, 0.0)
            fine = abs(own - truth) <= OFF * exact + ERRORS * error
            expect(fine, f"{entry.file}: {name} {own} against {truth}")
            told.append(f"{name} {100 * (own - truth) / exact:+.2f} %")
        print(f"{entry.file}: cavity {100 * (whole / exact - 1):+.3f} %, {', '.join(told)}")
    expect(compared >= 4 * len(FILES), f"only {compared} compared")
    print(f"{compared} compared, {failed} differ")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
