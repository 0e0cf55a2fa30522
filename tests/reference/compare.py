"""Times what general-purpose geometry libraries take for parts of the job.

    compare.py body FILE           writes the body
    compare.py trimesh FILE        reading, health, volume and area
    compare.py open3d FILE EDGE    the skin, by an octree down to cells of EDGE mm
"""

import resource
import sys
import time
from contextlib import contextmanager

import numpy as np

SKIN_MM = 2.0
VOLUME_MM3 = 400_000.0
FREQUENCY = 224  # each of an icosahedron's 20 triangles is cut into its square


@contextmanager
def timed(what):
    start = time.monotonic()
    yield
    print(f"  {what}: {time.monotonic() - start:.2f} s")


def peak_memory():
    print(f"  peak memory: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MiB")


def write_body(path):
    """A smooth organ-like closed body around the origin."""
    import trimesh

    sphere = fine_sphere()
    x, y, z = sphere.vertices.T
    radius = 1 + 0.25 * x * y + 0.15 * z * x * x - 0.2 * y * y * y + 0.03 * (8 * x * y * z) ** 2
    body = trimesh.Trimesh(
        sphere.vertices * radius[:, None] * [1.5, 1.0, 0.8], sphere.faces, process=False
    )
    body.apply_scale((VOLUME_MM3 / body.volume) ** (1 / 3))
    body.export(path)
    print(f"body: {len(body.faces)} triangles, {body.volume / 1e3:.3f} cm³")


def fine_sphere():
    """An icosahedron with its faces cut evenly and drawn onto the unit sphere."""
    import trimesh

    n = FREQUENCY
    i, j = np.array([(i, j) for i in range(n + 1) for j in range(n + 1 - i)]).T
    weights = np.stack([n - i - j, i, j], axis=1) / n
    number = np.full((n + 2, n + 2), -1)
    number[i, j] = np.arange(len(i))
    up = np.stack([number[i, j], number[i + 1, j], number[i, j + 1]], axis=1)[i + j < n]
    down = np.stack([number[i + 1, j], number[i + 1, j + 1], number[i, j + 1]], axis=1)
    faces = np.concatenate([up, down[i + j < n - 1]])
    coarse = trimesh.creation.icosahedron()
    vertices = np.concatenate([weights @ coarse.vertices[face] for face in coarse.faces])
    faces = np.concatenate([faces + k * len(weights) for k in range(len(coarse.faces))])
    # Corners along shared edges come out equal only up to rounding.
    _, first, place = np.unique(
        np.round(vertices, 9), axis=0, return_index=True, return_inverse=True
    )
    unit = vertices[first] / np.linalg.norm(vertices[first], axis=1)[:, None]
    return trimesh.Trimesh(unit, place.ravel()[faces], process=False)


def run_trimesh(path):
    import trimesh

    print(f"trimesh {trimesh.__version__}")
    start = time.monotonic()
    with timed("reading and joining corners"):
        mesh = trimesh.load(path, process=True)
    with timed("closed, consistent, bodies"):
        health = mesh.is_watertight, mesh.is_winding_consistent, mesh.body_count
    with timed("volume and area"):
        volume, area = mesh.volume, mesh.area
    print(f"  in all: {time.monotonic() - start:.2f} s; closed, consistent, bodies: {health}")
    print(f"  volume {volume / 1e3:.4f} cm³, area {area / 1e2:.4f} cm²")
    print(f"  area × {SKIN_MM} mm: {area * SKIN_MM / 1e3:.3f} cm³")
    peak_memory()


def run_open3d(path, finest_mm):
    import open3d

    print(f"Open3D {open3d.__version__}, octree down to {finest_mm} mm")
    start = time.monotonic()
    with timed("reading"):
        mesh = open3d.t.io.read_triangle_mesh(path)
    with timed("tree of triangles"):
        scene = open3d.t.geometry.RaycastingScene()
        scene.add_triangles(mesh)
    with timed("skin"):
        skin, slack, queries = octree_skin(open3d, scene, mesh, finest_mm)
    print(f"  in all: {time.monotonic() - start:.2f} s; {queries} distance queries")
    print(f"  skin {skin / 1e3:.3f} cm³, cells left undecided {slack / 1e3:.3f} cm³")
    peak_memory()


def octree_skin(open3d, scene, mesh, finest_mm):
    """Volume of points within SKIN_MM of the surface, of the cells that stay undecided, queries.

    A cell whose centre's distance differs from every limit by more than half its diagonal is
    decided whole; at the finest level its centre decides.
    """
    low, high = mesh.get_min_bound().numpy(), mesh.get_max_bound().numpy()
    levels = int(np.ceil(np.log2((high - low).max() / finest_mm)))
    edge = finest_mm * 2.0**levels
    cells, skin, queries = (low + high)[None] / 2, 0.0, 0
    halves = np.stack(np.meshgrid(*[[-0.25, 0.25]] * 3), axis=-1).reshape(-1, 3)
    while True:
        tensor = open3d.core.Tensor(cells.astype(np.float32))
        depth = -scene.compute_signed_distance(tensor).numpy()
        queries += len(cells)
        reach = edge * np.sqrt(3) / 2
        undecided = (np.abs(depth) <= reach) | (np.abs(depth - SKIN_MM) <= reach)
        in_skin = (depth >= 0) & (depth <= SKIN_MM)
        if edge <= finest_mm:
            return (skin + in_skin.sum() * edge**3, undecided.sum() * edge**3, queries)
        skin += (in_skin & ~undecided).sum() * edge**3
        cells = (cells[undecided][:, None] + halves * edge).reshape(-1, 3)
        edge /= 2


def main(arguments):
    match arguments:
        case ["body", path]:
            write_body(path)
        case ["trimesh", path]:
            run_trimesh(path)
        case ["open3d", path, edge]:
            run_open3d(path, float(edge))
        case _:
            sys.exit(__doc__)


if __name__ == "__main__":
    main(sys.argv[1:])
