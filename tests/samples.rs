//! The committed sample meshes are exactly what their generator makes, and as large as allowed.

#[path = "../sample-meshes/generator/mod.rs"]
mod generator;

use std::path::Path;

use cavigram::bounds::Bounds;
use cavigram::cavity::{Cavity, CavityRequest};
use cavigram::formats;
use cavigram::health;
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
    for piece in generator::committed() {
        let sample = generator::make(&piece).unwrap();
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
    let scale = if file.contains("inch") { 25.4 } else { 1.0 };
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
