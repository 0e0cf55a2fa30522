"""Writes reference.json: the samples and the public meshes, measured by other libraries."""

import json
import platform
from importlib.metadata import version

from catalogue import ENTRIES, PUBLIC, REFERENCE
from record import POINTS, SEED, mesh_record

ABOUT = (
    "Made by tests/reference/make. Volumes, areas and lengths are exact sums by trimesh; layers are"
    " counted over stratified random points, with inside (winding number) and distance by libigl."
    " Keys ending in _se are standard errors."
)


def main():
    meshes = []
    for entry in ENTRIES:
        meshes.append(mesh_record(entry))
        print(entry.file, flush=True)
    libraries = {name: version(name) for name in ("trimesh", "libigl", "numpy", "scipy")}
    reference = {
        "about": ABOUT,
        "versions": {"python": platform.python_version(), **libraries},
        "packages": {
            "libcgal-demo": (PUBLIC / "packages/libcgal-demo.version").read_text().strip(),
            "bunny": "1.0.1",
        },
        "points": POINTS,
        "seed": SEED,
        "meshes": meshes,
    }
    REFERENCE.write_text(json.dumps(reference, indent=1) + "\n")


if __name__ == "__main__":
    main()
