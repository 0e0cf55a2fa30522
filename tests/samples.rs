//! The committed sample meshes are exactly what their generator makes, and as large as allowed.

#[path = "../sample-meshes/generator/mod.rs"]
mod generator;

use std::path::Path;

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

#[test]
fn the_dense_kidney_has_about_two_hundred_thousand_triangles() {
    let sample = generator::make(&generator::dense()).unwrap();
    assert!((190_000..210_000).contains(&sample.triangles), "{} triangles", sample.triangles);
}
