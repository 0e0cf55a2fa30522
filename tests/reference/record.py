"""What reference.json holds of a mesh, in the units of its key names."""

import hashlib

import cavity as cavities
import sampling

POINTS = 350_000  # within the cavity: standard errors stay below 0.05 % of its volume
POCKET_MM3 = 100.0
SEED = 7


def digits(value, count):
    return float(f"{value:.{count}g}")


def exact(value):
    return digits(value, 12)


def sampled(value):
    return digits(value, 7)


def mesh_record(entry, seed=SEED):
    raw, mesh, factor = cavities.load(entry)
    return {
        "file": entry.file,
        "source": entry.source,
        "sha256": hashlib.sha256(entry.path.read_bytes()).hexdigest(),
        "mm_per_number": factor,
        "known": list(entry.known) if entry.known else None,
        "triangles": len(mesh.faces),
        "vertices": len(mesh.vertices),
        "watertight": bool(mesh.is_watertight),
        "bodies": int(mesh.body_count),
        "extent_mm": [exact(e) for e in mesh.extents],
        "volume_cm3": exact(mesh.volume / 1e3),
        "surface_area_cm2": exact(mesh.area / 1e2),
        "cavities": [cavity_record(entry, mesh, opening, seed) for opening in entry.openings],
    }


def cavity_record(entry, mesh, opening, seed):
    cavity = cavities.find(mesh, opening)
    points = sampling.scatter(cavity, POINTS, seed)
    floor, steep, over, doubt = cavities.slope_areas(cavity.wall)
    counted, error = sampling.volume(points, points.inside)
    if abs(counted - cavity.volume) > 4 * error:
        raise ValueError(f"{entry.file}: {counted} mm³ by points, {cavity.volume} by its surface")
    return {
        "opening": opening.kind,
        "below_lip_mm": opening.below_lip_mm,
        "volume_cm3": exact(cavity.volume / 1e3),
        "counted_volume_cm3": sampled(counted / 1e3),
        "counted_volume_se_cm3": digits(error / 1e3, 3),
        "wall_area_cm2": exact(cavity.wall.area / 1e2),
        "opening_area_cm2": exact(cavity.opening_area / 1e2),
        "opening_perimeter_cm": exact(cavity.opening_perimeter / 10),
        "depth_mm": exact(cavity.fill - cavity.solid.bounds[0][2]),
        "lean_deg": digits(cavity.lean_deg, 6),
        "floor_area_cm2": exact(floor / 1e2),
        "steep_area_cm2": exact(steep / 1e2),
        "overhanging_area_cm2": exact(over / 1e2),
        "doubtful_slope_area_cm2": exact(doubt / 1e2),
        "layers": [layer_record(points, cavity, *thick) for thick in entry.layers_mm],
    }


def layer_record(points, cavity, skin_mm, cap_mm):
    record = {"skin_mm": skin_mm, "cap_mm": cap_mm}
    for name, (value, error) in sampling.layers(points, cavity, skin_mm, cap_mm).items():
        record[f"{name}_cm3"] = sampled(value / 1e3)
        record[f"{name}_se_cm3"] = digits(error / 1e3, 3)
    found = sampling.pockets(points, cavity, skin_mm, cap_mm, POCKET_MM3)
    record["core_pockets"] = found and [
        {"volume_cm3": digits(size / 1e3, 4), "reaches_opening": reaches} for size, reaches in found
    ]
    return record
