//! Mesh files, job files, files of systems and of the workshop.

use cavigram::costs::{Rates, Shelf};
use cavigram::formats::{Format, LARGEST_COORDINATE, RawMesh, read};
use cavigram::job::file::{JobFile, KnownOption, Takes, head_of};
use cavigram::materials::{System, begin_from};
use cavigram::mesh::Vec3;
use cavigram::plan::Workshop;
use cavigram::record;

use super::{echoes, fit_to_show};

/// A mesh file is read whole or refused in words; what was read says the same written again.
pub fn mesh_file(bytes: &[u8], name: Option<&str>) {
    let mesh = match read(bytes, name) {
        Ok(mesh) => mesh,
        Err(error) => return fit_to_show(&error.to_string(), Some(error.hint())),
    };
    keeps_its_promises(&mesh);
    let again = read(&written(&mesh), None).expect("what was read can be written and read");
    assert_eq!(corners(&again), corners(&mesh));
}

fn keeps_its_promises(mesh: &RawMesh) {
    assert!(!mesh.triangles.is_empty());
    let mut used = vec![false; mesh.vertices.len()];
    for &v in mesh.triangles.iter().flatten() {
        used[v as usize] = true;
    }
    assert!(used.iter().all(|used| *used), "a vertex that no triangle uses");
    for c in mesh.vertices.iter().flat_map(|v| v.to_array()) {
        assert!(c.abs() <= LARGEST_COORDINATE && c.to_bits() != (-0.0_f64).to_bits());
    }
    for finding in &mesh.findings {
        fit_to_show(&finding.message, finding.hint.as_deref());
    }
    assert!(mesh.unit.is_none() || mesh.format == Format::ThreeMf);
}

/// The mesh as OBJ with all its digits.
fn written(mesh: &RawMesh) -> Vec<u8> {
    let points = mesh.vertices.iter().map(|p| format!("v {:?} {:?} {:?}\n", p.x, p.y, p.z));
    let faces = mesh.triangles.iter().map(|t| t.map(|v| v + 1));
    let faces = faces.map(|[a, b, c]| format!("f {a} {b} {c}\n"));
    points.chain(faces).collect::<String>().into_bytes()
}

fn corners(mesh: &RawMesh) -> Vec<[Vec3; 3]> {
    mesh.triangles.iter().map(|t| t.map(|v| mesh.vertices[v as usize])).collect()
}

/// Some options as `plan` has them; the reader knows none by itself.
pub fn known_options() -> Vec<KnownOption> {
    let rows = [
        ("layers", "skin", Takes::Text, false),
        ("layers", "coats", Takes::Text, false),
        ("layers", "insert", Takes::File, true),
        ("mesh", "accept-holes", Takes::Nothing, false),
        ("mesh", "up", Takes::Text, false),
        ("touching", "touches", Takes::Text, true),
    ];
    rows.map(|(table, name, takes, repeats)| KnownOption {
        table: table.to_owned(),
        name: name.to_owned(),
        takes,
        repeats,
    })
    .to_vec()
}

/// A job file is followed or refused in words; what was read can be written and read again.
pub fn job_file(bytes: &[u8]) {
    let known = known_options();
    if let Ok(text) = std::str::from_utf8(bytes) {
        let _ = head_of(text);
    }
    match JobFile::from_toml(bytes, &known) {
        Ok(job) => {
            let text = job.to_toml();
            let again = JobFile::from_toml(text.as_bytes(), &known)
                .unwrap_or_else(|e| panic!("{e} in what was written:\n{text}"));
            assert_eq!(again.to_toml(), text);
        }
        Err(error) => {
            assert!(error.line >= 1 && error.column >= 1);
            echoes(&error.to_string(), error.kind.hint().as_deref());
        }
    }
}

/// A system file is taken or refused in words; whatever is taken can begin another.
pub fn system_file(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    match System::from_toml(text) {
        Ok(system) => {
            assert!(!system.id.is_empty() && !system.components.is_empty());
            let begun = begin_from(text, "begun-1").expect("a sound text can begin another");
            let begun = System::from_toml(&begun).expect("a text begun from a sound one is sound");
            assert_eq!(begun.id, "begun-1");
        }
        Err(error) => echoes(&error.to_string(), None),
    }
}

/// The workshop's own file is taken or refused in words.
pub fn shop_file(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    match Workshop::from_toml(text) {
        Ok(shop) => assert_eq!(Workshop::from_toml(text).as_ref(), Ok(&shop)),
        Err(error) => echoes(&error.to_string(), error.hint().as_deref()),
    }
}

/// What is on the shelf is taken or refused in words, with a byte-order mark or without.
pub fn stock_file(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let shelf = Shelf::from_toml(text);
    if let Err(error) = &shelf {
        echoes(&error.to_string(), error.hint().as_deref());
    }
    if !text.starts_with('\u{feff}') {
        assert_eq!(Shelf::from_toml(&format!("\u{feff}{text}")), shelf);
    }
}

/// A file of rates is taken or refused in words, with a byte-order mark or without.
pub fn rates_file(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let rates = Rates::from_toml(text);
    if let Err(error) = &rates {
        echoes(&error.to_string(), error.hint().as_deref());
    }
    if !text.starts_with('\u{feff}') {
        assert_eq!(Rates::from_toml(&format!("\u{feff}{text}")), rates);
    }
}

/// A record's lines are read or counted as spoilt; those that were read can be written again.
pub fn record_file(bytes: &[u8]) {
    let log = record::read(bytes);
    for finding in &log.findings {
        echoes(&finding.message, finding.hint.as_deref());
    }
    for (line, entry) in &log.entries {
        assert!(*line >= 1);
        let line = entry.to_line().expect("an entry that was read can be written");
        let again = record::read(line.as_bytes());
        assert_eq!(again.entries, [(1, entry.clone())], "{line}");
    }
}
