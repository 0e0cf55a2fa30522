//! The committed sample meshes are exactly what their generator makes, and as large as allowed.

#[path = "../sample-meshes/generator/mod.rs"]
mod generator;

use std::path::Path;

use cavigram::bounds::Bounds;
use cavigram::cavity::{self, Cavity, CavityRequest, Mould, MouldRequest};
use cavigram::formats;
use cavigram::health::{self, FillRequest};
use cavigram::layers::{self, LayerRequest};
use cavigram::mesh::{Mesh, Vec3};

/// The largest file that is kept with the project, bytes.
const LARGEST_BYTES: usize = 2_000_000;

fn committed_bytes(file: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-meshes").join(file);
    std::fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

#[test]
fn the_committed_meshes_are_what_the_generator_makes() {
    let pieces = generator::committed().into_iter().map(|piece| generator::make(&piece));
    let scans = generator::committed_scans().into_iter().map(|scan| generator::make_scan(&scan));
    for sample in pieces.chain(scans) {
        let sample = sample.unwrap();
        // Not assert_eq!, which would print both files.
        assert!(
            committed_bytes(sample.file) == sample.bytes,
            "{} differs from what the generator makes: run the generator and commit",
            sample.file
        );
        assert!(sample.bytes.len() < LARGEST_BYTES, "{} is too large", sample.file);
    }
}

/// The rows of the README's tables with so many columns, from the file's name on.
fn readme_rows(columns: usize) -> Vec<Vec<String>> {
    let text = String::from_utf8(committed_bytes("README.md")).unwrap();
    let cells = |line: &str| -> Vec<String> {
        line.trim_matches('|').split('|').map(|c| c.trim().trim_matches('`').to_owned()).collect()
    };
    let rows = text.lines().filter(|line| line.starts_with("| `")).map(cells);
    rows.filter(|row| row.len() == columns).collect()
}

#[test]
fn the_readme_tells_the_triangles_of_every_piece() {
    let rows = readme_rows(5);
    let pieces = generator::committed();
    assert_eq!(rows.len(), pieces.len());
    for (row, piece) in rows.iter().zip(&pieces) {
        let sample = generator::make(piece).unwrap();
        let told = (row[0].as_str(), row[3].replace(',', ""));
        assert_eq!(told, (sample.file, sample.triangles.to_string()));
    }
}

#[test]
fn the_readme_tells_the_figures_of_every_piece() {
    let rows = readme_rows(7);
    assert_eq!(rows.len(), generator::committed().len());
    for row in &rows {
        let numbers: Vec<f64> = row[1..].iter().map(|c| c.parse().unwrap()).collect();
        let (cavity, split) = figures(&row[0]);
        let measures = cavity.measures();
        let exact = [
            measures.volume_mm3.best() / 1e3,
            measures.wall_area_mm2 / 1e2,
            measures.opening_area_mm2 / 1e2,
        ];
        for (told, ours) in numbers.iter().zip(exact) {
            // Two decimals are told.
            assert!((told - ours).abs() < 0.0051, "{}: {told} in the README, {ours}", row[0]);
        }
        for (told, ours) in numbers[3..].iter().zip(split) {
            let (low, high) = (ours.low() / 1e3 - 0.0051, ours.high() / 1e3 + 0.0051);
            assert!(low <= *told && *told <= high, "{}: {told}, not {low} to {high}", row[0]);
        }
    }
}

/// The cavity and its skin, core and cap at the usual thicknesses.
fn figures(file: &str) -> (Cavity, [Bounds; 3]) {
    let raw = formats::read(&committed_bytes(file), Some(file)).unwrap();
    let scale = match file {
        "injection-pad-inch.stl" => 25.4,
        "forearm-photo-scan.obj" => 41.7,
        _ => 1.0,
    };
    let corners = raw.vertices.iter().map(|v| *v * scale).collect();
    let sound = health::examine(Mesh::new(corners, raw.triangles).unwrap()).sound.unwrap();
    let request = CavityRequest {
        up: Vec3::new(0.0, 0.0, 1.0),
        up_given: false,
        opening_auto: true,
        below_lip_mm: 0.0,
    };
    let cavity = Cavity::of_casting(&sound, &request).unwrap();
    let request = LayerRequest { coats_mm: vec![2.0], cap_mm: 3.0, tolerance: 0.005 };
    let split = layers::split(&cavity, &request, &|_| ());
    (cavity, [split.skin_mm3, split.core_mm3, split.cap_mm3])
}

#[test]
fn the_dense_kidney_has_about_two_hundred_thousand_triangles() {
    let sample = generator::make(&generator::dense()).unwrap();
    assert!((190_000..210_000).contains(&sample.triangles), "{} triangles", sample.triangles);
}

/// A half ellipsoid holds ⅔ π a b c (handbook formula, from memory); the facets of the block's grid lie inside it.
#[test]
fn the_block_has_two_impressions_of_known_size() {
    let (mould, up) = mould("two-impressions.stl", false);
    assert_eq!(mould.count(), 2);
    for (number, [a, b, c]) in [(1, [22.0, 20.0, 16.0]), (2, [18.0, 16.0, 12.0])] {
        let drawn = 2.0 / 3.0 * std::f64::consts::PI * a * b * c;
        let held = mould.impression(number).unwrap().measures().volume_mm3.best();
        assert!(held < drawn && held > 0.985 * drawn, "{held} of {drawn}");
    }
    assert_eq!(up, Vec3::Z);
    // All of the level rim, and neither the outside nor the other impression.
    let rim: f64 = 112.0 * 60.0
        - [1, 2]
            .map(|n| mould.impression(n).unwrap().measures().opening_area_mm2)
            .iter()
            .sum::<f64>();
    let flange = mould.impression(1).unwrap().flange_area_mm2(200.0);
    assert!((flange / rim - 1.0).abs() < 1e-9, "{flange} of {rim}");
}

/// Limits over noise, lean and holes hold what was drawn: 56.30 cm³ by cells of 0.1 mm. Noise on
/// the rim may move the lip by its height, 0.1 mm, all over the opening.
#[test]
fn the_scanned_mould_holds_what_was_drawn() {
    let drawn = shoulder_mm3(0.25);
    let (mould, up) = mould("shoulder-mould-scan.ply", true);
    assert_eq!(mould.count(), 1);
    let lean = up.dot(Vec3::Z).acos().to_degrees();
    assert!((lean - 1.5).abs() < 0.05, "{lean}");
    let measures = *mould.impression(1).unwrap().measures();
    let (volume, lip) = (measures.volume_mm3, 0.1 * measures.opening_area_mm2);
    assert!(volume.low() - lip <= drawn && drawn <= volume.high() + lip, "{volume:?}, {drawn}");
    assert!(volume.high() - volume.low() < 0.01 * drawn);
}

/// The two bowls of the scanned mould, summed in cells of `step` mm.
fn shoulder_mm3(step: f64) -> f64 {
    let bowls = [([50.0, 40.0], [36.0, 28.0], 24.0), ([72.0, 44.0], [26.0, 22.0], 17.0)];
    let under = |x: f64, y: f64| {
        bowls.iter().fold(0.0, |deep: f64, ([cx, cy], [a, b], c)| {
            let left = 1.0 - ((x - cx) / a).powi(2) - ((y - cy) / b).powi(2);
            deep.max(c * left.max(0.0).sqrt())
        })
    };
    let cells = |side: f64| (0..(side / step) as usize).map(move |k| (k as f64 + 0.5) * step);
    cells(112.0)
        .flat_map(|x| cells(80.0).map(move |y| (x, y)))
        .map(|(x, y)| under(x, y))
        .sum::<f64>()
        * step
        * step
}

/// A sample that shows a mould, and its up: the rim's where that is asked for.
fn mould(file: &str, by_the_rim: bool) -> (Mould, Vec3) {
    let raw = formats::read(&committed_bytes(file), Some(file)).unwrap();
    let looked = health::look_over(Mesh::new(raw.vertices, raw.triangles).unwrap());
    let (mut health, surface) = (looked.health, looked.surface.unwrap());
    let outer = cavity::read_open(&surface, None, false).unwrap();
    let how = FillRequest::default();
    let surface = surface.fill_holes(outer.map(|o| o.outer), how, &mut health).unwrap();
    let request = |up, up_from_rim| MouldRequest { up, up_from_rim, below_lip_mm: 0.0 };
    if outer.is_none() {
        let block = surface.close(&mut health).unwrap();
        return (Mould::of_block(&block, &request(Vec3::Z, false)).unwrap(), Vec3::Z);
    }
    let sheet = surface.into_sheet(0, &mut health).unwrap();
    let up = if by_the_rim { cavity::up_of_sheet(&sheet).unwrap() } else { Vec3::Z };
    let sheet = sheet.faced(up, &mut health);
    (Mould::of_sheet(&sheet, &request(up, by_the_rim)).unwrap(), up)
}
