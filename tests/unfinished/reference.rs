//! The program's figures against those of other libraries, from `tests/reference/reference.json`.
//!
//! The file is made by `tests/reference/make`: exact sums by trimesh, layers counted over random
//! points with distances and winding numbers by libigl.

use std::path::{Path, PathBuf};

use cavigram::bounds::Bounds;
use cavigram::cavity::{Cavity, CavityRequest};
use cavigram::formats;
use cavigram::health::{self, SoundMesh};
use cavigram::layers::{self, LayerRequest, Layers};
use cavigram::mesh::{Mesh, Vec3};
use serde::Deserialize;

/// Two sums over the same triangles differ by rounding alone, as a share.
const EXACT: f64 = 1e-9;
/// The same where the piece is turned to level a back whose corners are rounded to `f32`.
const TURNED: f64 = 1e-6;
/// How far a layer's value may lie from the truth, as a share of the cavity.
const VALUE_OFF: f64 = 0.002;
/// Standard errors that a count may be off by: 4 are passed once in 16,000 counts.
const ERRORS: f64 = 4.0;
/// The default tolerance of the layers' limits.
const TOLERANCE: f64 = 0.005;
/// Pockets just above the least size that counts may fall below it in a count.
const CLEAR_POCKET_CM3: f64 = 0.12;
/// Both pocket volumes are told as rough ones, as a share.
const POCKET_OFF: f64 = 0.05;

#[derive(Deserialize)]
struct Reference {
    meshes: Vec<MeshReference>,
}

#[derive(Deserialize)]
struct MeshReference {
    file: String,
    source: String,
    mm_per_number: f64,
    known: Option<(String, f64)>,
    triangles: usize,
    vertices: usize,
    watertight: bool,
    bodies: usize,
    cavities: Vec<CavityReference>,
}

#[derive(Deserialize)]
struct CavityReference {
    opening: String,
    below_lip_mm: f64,
    volume_cm3: f64,
    wall_area_cm2: f64,
    opening_area_cm2: f64,
    opening_perimeter_cm: f64,
    depth_mm: f64,
    lean_deg: f64,
    floor_area_cm2: f64,
    steep_area_cm2: f64,
    overhanging_area_cm2: f64,
    doubtful_slope_area_cm2: f64,
    layers: Vec<LayerReference>,
}

#[derive(Deserialize)]
struct LayerReference {
    skin_mm: f64,
    cap_mm: f64,
    skin_cm3: f64,
    skin_se_cm3: f64,
    core_cm3: f64,
    core_se_cm3: f64,
    cap_cm3: f64,
    cap_se_cm3: f64,
    /// `None` where the points lie too far apart to tell.
    core_pockets: Option<Vec<PocketReference>>,
}

#[derive(Deserialize)]
struct PocketReference {
    volume_cm3: f64,
    reaches_opening: bool,
}

/// Gathers what differs, so that one run tells all of it.
#[derive(Default)]
struct Differences(Vec<String>);

impl Differences {
    fn expect(&mut self, fine: bool, told: impl FnOnce() -> String) {
        if !fine {
            self.0.push(told());
        }
    }

    fn close(&mut self, what: &str, ours: f64, theirs: f64, share: f64) {
        let fine = (ours - theirs).abs() <= share * theirs.abs().max(1e-3);
        self.expect(fine, || format!("{what}: {ours} here, {theirs} in the reference"));
    }

    fn assert_none(self) {
        assert!(self.0.is_empty(), "{} differ:\n{}", self.0.len(), self.0.join("\n"));
    }
}

#[test]
fn samples_agree_with_the_reference() {
    let mut differences = Differences::default();
    let mut compared = 0;
    for mesh in references().iter().filter(|m| m.source == "sample") {
        compare(mesh, &root().join("sample-meshes").join(&mesh.file), &mut differences);
        compared += 1;
    }
    assert!(compared >= 5, "only {compared} samples in the reference");
    differences.assert_none();
}

#[test]
fn public_meshes_agree_with_the_reference() {
    let mut differences = Differences::default();
    for mesh in references().iter().filter(|m| m.source != "sample") {
        let path = root().join("tests/reference/public").join(&mesh.file);
        if path.exists() {
            compare(mesh, &path, &mut differences);
        } else {
            eprintln!("{} left out: tests/reference/fetch brings it", mesh.file);
        }
    }
    differences.assert_none();
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn references() -> Vec<MeshReference> {
    let text = std::fs::read_to_string(root().join("tests/reference/reference.json")).unwrap();
    serde_json::from_str::<Reference>(&text).unwrap().meshes
}

fn compare(reference: &MeshReference, path: &Path, differences: &mut Differences) {
    let file = &reference.file;
    let mesh = read_mm(reference, path, differences);
    differences.expect(mesh.triangles().len() == reference.triangles, || {
        format!("{file}: {} triangles, not {}", mesh.triangles().len(), reference.triangles)
    });
    differences.expect(mesh.vertices().len() == reference.vertices, || {
        format!("{file}: {} vertices, not {}", mesh.vertices().len(), reference.vertices)
    });
    let examined = health::examine(mesh);
    let found = &examined.health;
    differences.expect(found.watertight == reference.watertight, || format!("{file}: watertight"));
    differences.expect(found.bodies == reference.bodies, || format!("{file}: bodies"));
    match examined.sound {
        Err(fault) => differences.0.push(format!("{file}: {fault}")),
        Ok(sound) => {
            for cavity in &reference.cavities {
                compare_cavity(file, cavity, &sound, differences);
            }
        }
    }
}

/// The mesh of the file, scaled as the reference tells.
fn read_mm(reference: &MeshReference, path: &Path, differences: &mut Differences) -> Mesh {
    let bytes = std::fs::read(path).unwrap();
    let raw = formats::read(&bytes, Some(&reference.file)).unwrap();
    let mut scale = reference.mm_per_number;
    if let Some((axis, extent_mm)) = &reference.known {
        let along = raw.vertices.iter().map(|v| match axis.as_str() {
            "x" => v.x,
            "y" => v.y,
            _ => v.z,
        });
        let (low, high) =
            along.fold((f64::MAX, f64::MIN), |(low, high), c| (low.min(c), high.max(c)));
        scale = extent_mm / (high - low);
        differences.close(
            &format!("{}: scale", reference.file),
            scale,
            reference.mm_per_number,
            EXACT,
        );
    }
    Mesh::new(raw.vertices.iter().map(|v| *v * scale).collect(), raw.triangles).unwrap()
}

fn compare_cavity(
    file: &str,
    reference: &CavityReference,
    sound: &SoundMesh,
    differences: &mut Differences,
) {
    let place = format!("{file} ({} {} mm)", reference.opening, reference.below_lip_mm);
    let request = CavityRequest {
        up: Vec3::new(0.0, 0.0, 1.0),
        up_given: false,
        opening_auto: reference.opening != "none",
        below_lip_mm: reference.below_lip_mm,
    };
    let cavity = match Cavity::of_casting(sound, &request) {
        Ok(cavity) => cavity,
        Err(fault) => return differences.0.push(format!("{place}: {fault}")),
    };
    compare_measures(&place, reference, &cavity, differences);
    for layer in &reference.layers {
        let request = LayerRequest {
            coats_mm: vec![layer.skin_mm],
            cap_mm: layer.cap_mm,
            tolerance: TOLERANCE,
        };
        let place = format!("{place}, skin {} cap {}", layer.skin_mm, layer.cap_mm);
        let ours = layers::split(&cavity, &request, &|_| ());
        compare_layers(&place, layer, reference.volume_cm3, &ours, differences);
        if let Some(pockets) = &layer.core_pockets {
            compare_pockets(&place, pockets, reference.opening_area_cm2 > 0.0, &ours, differences);
        }
    }
}

fn compare_measures(
    place: &str,
    reference: &CavityReference,
    cavity: &Cavity,
    differences: &mut Differences,
) {
    let ours = cavity.measures();
    let share = if reference.lean_deg > 0.0 { TURNED } else { EXACT };
    let mut close = |what: &str, ours, theirs, share| {
        differences.close(&format!("{place}: {what}"), ours, theirs, share);
    };
    close("volume", ours.volume_mm3.best() / 1e3, reference.volume_cm3, share);
    close("wall", ours.wall_area_mm2 / 1e2, reference.wall_area_cm2, share);
    close("opening", ours.opening_area_mm2 / 1e2, reference.opening_area_cm2, share);
    close("perimeter", ours.opening_perimeter_mm / 10.0, reference.opening_perimeter_cm, share);
    close("depth", ours.fill_mm, reference.depth_mm, share);
    close("lean", ours.tilt_deg.unwrap_or(0.0), reference.lean_deg, 1e-3);
    let slopes = [
        ("floor", ours.slope_area_mm2.floor, reference.floor_area_cm2),
        ("steep", ours.slope_area_mm2.steep, reference.steep_area_cm2),
        ("overhanging", ours.slope_area_mm2.overhanging, reference.overhanging_area_cm2),
    ];
    for (name, ours, theirs) in slopes {
        let doubt = reference.doubtful_slope_area_cm2 + TURNED * reference.wall_area_cm2;
        let off = (ours / 1e2 - theirs).abs();
        differences.expect(off <= doubt, || {
            format!("{place}: {name} {} here, {theirs} in the reference", ours / 1e2)
        });
    }
}

fn compare_layers(
    place: &str,
    reference: &LayerReference,
    cavity_cm3: f64,
    ours: &Layers,
    differences: &mut Differences,
) {
    differences.expect(ours.tolerance_reached, || format!("{place}: tolerance not reached"));
    let layers: [(&str, Bounds, f64, f64); 3] = [
        ("skin", ours.skin_mm3, reference.skin_cm3, reference.skin_se_cm3),
        ("core", ours.core_mm3, reference.core_cm3, reference.core_se_cm3),
        ("cap", ours.cap_mm3, reference.cap_cm3, reference.cap_se_cm3),
    ];
    for (name, ours, theirs, error) in layers {
        let (low, best, high) = (ours.low() / 1e3, ours.best() / 1e3, ours.high() / 1e3);
        // A count of no points has no error of its own: one cell is then the doubt.
        let doubt = ERRORS * error + 1e-6 * cavity_cm3;
        differences.expect(low - doubt <= theirs && theirs <= high + doubt, || {
            format!("{place}: {name} {theirs} ± {error} lies outside {low} to {high}")
        });
        differences.expect((best - theirs).abs() <= VALUE_OFF * cavity_cm3 + doubt, || {
            format!("{place}: {name} {best} here, {theirs} ± {error} in the reference")
        });
    }
}

/// Compares the separate pieces of core; what reaches the opening only where there is one.
fn compare_pockets(
    place: &str,
    reference: &[PocketReference],
    opened: bool,
    ours: &Layers,
    differences: &mut Differences,
) {
    let here = ours.pockets.iter().map(|p| (p.volume_mm3 / 1e3, p.reaches_opening));
    let there = reference.iter().map(|p| (p.volume_cm3, p.reaches_opening));
    let here: Vec<_> = here.filter(|(cm3, _)| *cm3 > CLEAR_POCKET_CM3).collect();
    let there: Vec<_> = there.filter(|(cm3, _)| *cm3 > CLEAR_POCKET_CM3).collect();
    let alike = here.len() == there.len()
        && here.iter().zip(&there).all(|(ours, theirs)| {
            (ours.0 - theirs.0).abs() <= POCKET_OFF * theirs.0 && (!opened || ours.1 == theirs.1)
        });
    differences.expect(alike, || format!("{place}: pockets {here:?} here, {there:?} there"));
}
