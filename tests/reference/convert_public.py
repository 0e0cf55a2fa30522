"""Writes the public meshes, which come as OFF and JSON, as STL or OBJ into public/."""

import io
import json
import tarfile

import numpy as np
import trimesh

from catalogue import DEBIAN, ENTRIES, PUBLIC

PACKAGES = PUBLIC / "packages"


def load(entry, archive):
    if entry.source.startswith(DEBIAN):
        member = archive.extractfile("data/meshes/" + entry.source.removeprefix(DEBIAN))
        return trimesh.load(io.BytesIO(member.read()), file_type="off", process=True)
    data = json.loads((PACKAGES / "bunny.json").read_text())
    return trimesh.Trimesh(data["positions"], data["cells"], process=True)


def main():
    with tarfile.open(PACKAGES / "data.tar.gz") as archive:
        for entry in ENTRIES:
            if entry.source == "sample":
                continue
            mesh = load(entry, archive)
            # Without texture or normals: positions and faces are all that is measured.
            plain = trimesh.Trimesh(np.array(mesh.vertices), np.array(mesh.faces), process=False)
            plain.export(entry.path)


if __name__ == "__main__":
    main()
