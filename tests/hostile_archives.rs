//! Archives and packed files that are broken, locked, or that swell: refused in words, in time
//! and in little memory.

mod bytes;

use std::io::Write;

use bytes::archive::{Entry, model, package, relationships, tetrahedron, zip, zip64};
use bytes::edits::{apply, edits};
use bytes::{TETRAHEDRON, TETRAHEDRON_INDICES, stl_ascii};
use cavigram::formats::{ModelFault, PackingFault, RawMesh, ReadError};
use flate2::Compression;
use flate2::write::{DeflateEncoder, GzEncoder};
use proptest::prelude::*;

const ITEM: &str = "<item objectid=\"1\"/>";

#[track_caller]
fn read(bytes: &[u8]) -> Result<RawMesh, ReadError> {
    let result = cavigram::formats::read(bytes, None);
    if let Err(error) = &result {
        let message = error.to_string();
        assert!(message.chars().count() < 200 && !message.contains(char::is_control), "{message}");
        assert!(!error.hint().is_empty(), "{message}");
    }
    result
}

#[track_caller]
fn refusal(bytes: &[u8]) -> ReadError {
    read(bytes).expect_err("should be refused")
}

#[track_caller]
fn packing_fault(bytes: &[u8]) -> PackingFault {
    match refusal(bytes) {
        ReadError::Packing(fault) => fault,
        ReadError::InPart { error, .. } => match *error {
            ReadError::Packing(fault) => fault,
            other => panic!("{other}"),
        },
        other => panic!("{other}"),
    }
}

/// What is wrong with a package whose model has this in its resources and build.
#[track_caller]
fn fault_of(text: &str) -> ModelFault {
    match refusal(&package(text)) {
        ReadError::InPart { part, error } => match *error {
            ReadError::Model { fault, .. } => {
                assert_eq!(part, "3D/3dmodel.model");
                fault
            }
            other => panic!("{other}"),
        },
        other => panic!("{other}"),
    }
}

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::default());
    encoder.write_all(bytes).unwrap();
    encoder.finish().unwrap()
}

fn sound() -> String {
    model("", &tetrahedron("id=\"1\""), ITEM)
}

// ---- cut and changed

#[test]
fn packed_files_cut_anywhere_are_refused() {
    for whole in [package(&sound()), gzip(stl_ascii("t", &TETRAHEDRON).as_bytes())] {
        assert!(read(&whole).is_ok());
        for length in 0..whole.len() {
            assert!(read(&whole[..length]).is_err(), "cut at {length}");
        }
    }
    let packed = gzip(stl_ascii("t", &TETRAHEDRON).as_bytes());
    assert_eq!(packing_fault(&packed[..packed.len() - 3]), PackingFault::Cut);
}

#[test]
fn a_model_cut_anywhere_is_refused() {
    let text = sound();
    let end = text.rfind("</model>").unwrap() + "</model>".len();
    for length in 0..end {
        assert!(read(&package(&text[..length])).is_err(), "cut at {length}");
    }
    assert_eq!(read(&package(&text[..end])).unwrap().triangles, TETRAHEDRON_INDICES);
}

#[test]
fn every_change_of_a_byte_of_packed_data_is_survived_and_data_is_checked() {
    for whole in [package(&sound()), gzip(stl_ascii("t", &TETRAHEDRON).as_bytes())] {
        let intact = read(&whole).unwrap();
        for at in 0..whole.len() {
            for change in [1, 0x10, 0x80, 0xFF] {
                let mut changed = whole.clone();
                changed[at] ^= change;
                if let Ok(mesh) = read(&changed) {
                    assert_eq!(mesh, intact, "byte {at}");
                }
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn many_changes_of_a_model_are_survived(
        edits in edits(8),
    ) {
        let holder = "<object id=\"2\"><components><component objectid=\"1\" \
            transform=\"1 0 0 0 1 0 0 0 1 0 0 0\"/></components></object>";
        let text = model("unit=\"inch\"", &(tetrahedron("id=\"1\"") + holder), "<item objectid=\"2\"/>");
        let mut bytes = text.into_bytes();
        apply(&mut bytes, &edits, b"<>/\"' 0129.-e");
        let part = Entry::stored("3D/3dmodel.model", &bytes);
        let _ = read(&zip(&[relationships("/3D/3dmodel.model"), part]));
    }
}

// ---- swelling

/// So many spaces, deflated: about a thousandth of that.
fn spaces(count: usize) -> Vec<u8> {
    let mut encoder = DeflateEncoder::new(Vec::new(), Compression::best());
    let piece = vec![b' '; 1 << 20];
    for _ in 0..count >> 20 {
        encoder.write_all(&piece).unwrap();
    }
    encoder.finish().unwrap()
}

#[test]
fn an_entry_that_swells_is_refused_before_it_is_unpacked() {
    let bomb = |size: u32| Entry {
        stored: spaces(64 << 20),
        size,
        ..Entry::deflated("3D/3dmodel.model", b"")
    };
    let with = |entry| zip(&[relationships("/3D/3dmodel.model"), entry]);
    for size in [64 << 20, u32::MAX - 1] {
        let error = packing_fault(&with(bomb(size)));
        assert!(matches!(error, PackingFault::Swells(_)), "{error}");
    }
    // One that says too little is found out when it goes on.
    assert_eq!(packing_fault(&with(bomb(1000))), PackingFault::Damaged);
    // Few bytes may swell as they like, and a real model packs well.
    let padded = sound() + &" ".repeat(8 << 20);
    assert!(read(&package(&padded)).is_ok());
}

#[test]
fn parts_that_swell_only_together_are_refused() {
    let text = model("", &tetrahedron("id=\"1\""), "") + &" ".repeat(15 << 20);
    let names = ["3D/a.model", "3D/b.model"];
    let mut entries: Vec<Entry> = names.map(|n| Entry::deflated(n, text.as_bytes())).into();
    let uses = names.map(|n| format!("<item objectid=\"1\" p:path=\"/{n}\"/>")).concat();
    entries.push(Entry::deflated("3D/3dmodel.model", model("", "", &uses).as_bytes()));
    entries.push(relationships("/3D/3dmodel.model"));
    assert!(matches!(packing_fault(&zip(&entries)), PackingFault::Swells(_)));
}

#[test]
fn a_gzip_file_that_swells_is_refused_while_it_is_unpacked() {
    let mut file = b"\x1F\x8B\x08\0\0\0\0\0\0\x03".to_vec();
    file.extend(spaces(64 << 20));
    assert!(matches!(packing_fault(&file), PackingFault::Swells(_)));
}

#[test]
fn files_that_are_packed_twice_or_hold_no_mesh_are_refused() {
    let text = stl_ascii("t", &TETRAHEDRON);
    for twice in [gzip(&gzip(text.as_bytes())), gzip(&package(&sound()))] {
        assert_eq!(packing_fault(&twice), PackingFault::Twice);
    }
    assert_eq!(refusal(&gzip(b"")), ReadError::Empty);
    assert_eq!(refusal(&gzip(b"plain prose")), ReadError::Unknown);
    let trailing = [gzip(text.as_bytes()), b"more".to_vec()].concat();
    assert!(matches!(packing_fault(&trailing), PackingFault::Damaged | PackingFault::Cut));
}

// ---- odd archives

#[test]
fn archives_that_are_no_package_are_refused_in_words() {
    let stl = Entry::stored("a.stl", stl_ascii("t", &TETRAHEDRON).as_bytes());
    assert_eq!(packing_fault(&zip(&[stl])), PackingFault::NoModel);
    assert_eq!(packing_fault(&zip(&[])), PackingFault::NoModel);
    assert_eq!(packing_fault(b"PK\x03\x04 and no more"), PackingFault::Damaged);
    let missing = packing_fault(&zip(&[relationships("/3D/gone.model")]));
    assert_eq!(missing, PackingFault::PartMissing);
    let part = Entry::deflated("3D/3dmodel.model", sound().as_bytes());
    let with = |entry: Entry| zip(&[relationships("/3D/3dmodel.model"), entry]);
    assert_eq!(packing_fault(&with(Entry { flags: 1, ..part.clone() })), PackingFault::Locked);
    let method = packing_fault(&with(Entry { method: 14, ..part.clone() }));
    assert_eq!(method, PackingFault::Method);
    let wrong = Entry { crc: part.crc ^ 1, ..part.clone() };
    assert_eq!(packing_fault(&with(wrong)), PackingFault::Damaged);
    let shorter = Entry { size: part.size + 1, ..part.clone() };
    assert_eq!(packing_fault(&with(shorter)), PackingFault::Damaged);
    let again = Entry { name: "3D/3DMODEL.model".into(), ..part.clone() };
    let twice = zip(&[relationships("/3D/3dmodel.model"), part, again]);
    assert_eq!(packing_fault(&twice), PackingFault::PartTwice);
}

// ---- odd models

#[test]
fn entities_are_never_written_out() {
    let laughs = "<!DOCTYPE m [<!ENTITY a \"ha\"><!ENTITY b \"&a;&a;&a;&a;\">]>\n<model ";
    assert_eq!(fault_of(&sound().replace("<model ", laughs)), ModelFault::DocumentType);
    let unknown = sound().replace("id=\"1\"", "id=\"&a;\"");
    assert_eq!(fault_of(&unknown), ModelFault::Xml);
}

#[test]
fn odd_xml_is_refused() {
    let text = sound();
    assert_eq!(fault_of("<html/>"), ModelFault::NoModel);
    assert_eq!(fault_of(&text.replace("core/2015/02", "core/2035/02")), ModelFault::NoModel);
    assert_eq!(fault_of(&text.replace("</mesh>", "</m>")), ModelFault::Xml);
    assert_eq!(fault_of(&text.replace("</model>", "")), ModelFault::Cut);
    assert_eq!(
        fault_of(&text.replace("<model ", "<model unit=\"ell\" ")),
        ModelFault::Unit("ell".into())
    );
    let deep = format!("{}{}", "<a>".repeat(70_000), "</a>".repeat(70_000));
    let text = text.replace("<resources>", &format!("<resources>{deep}"));
    assert_eq!(fault_of(&text), ModelFault::TooDeep(64));
    let latin = Entry::stored("3D/3dmodel.model", &[sound().as_bytes(), b"<!-- \xFC -->"].concat());
    let error = refusal(&zip(&[relationships("/3D/3dmodel.model"), latin]));
    assert!(error.to_string().contains("UTF-8"), "{error}");
}

#[test]
fn what_is_named_must_be_there_once_and_hold_no_cycle() {
    let one = tetrahedron("id=\"1\"");
    let fault = |resources: &str, build: &str| fault_of(&model("", resources, build));
    assert_eq!(fault(&one, "<item objectid=\"2\"/>"), ModelFault::NoObject(2));
    assert_eq!(fault(&(one.clone() + &one), ITEM), ModelFault::Twice(1));
    assert_eq!(fault(&tetrahedron("id=\"1\" type=\"other\""), ITEM), ModelFault::NeverBuilt(1));
    let holder = |id: u32, of: u32| {
        format!(
            "<object id=\"{id}\"><components><component objectid=\"{of}\"/></components></object>"
        )
    };
    assert_eq!(fault(&(holder(1, 2) + &holder(2, 1)), ITEM), ModelFault::Cycle(1));
    assert_eq!(fault(&holder(1, 1), ITEM), ModelFault::Cycle(1));
    let chain: String = (1..200).map(|i| holder(i, i + 1)).collect();
    assert_eq!(fault(&chain, ITEM), ModelFault::ComponentsTooDeep(64));
    let flat = "<item objectid=\"1\" transform=\"1 0 0 2 0 0 0 0 1 0 0 0\"/>";
    assert_eq!(fault(&one, flat), ModelFault::Flat);
}

/// Ten components of ten components, and so on: a thousand million tetrahedra in 3 kB.
#[test]
fn components_that_multiply_are_refused() {
    let ten = |id: u32| {
        let of = format!("<component objectid=\"{}\"/>", id + 1).repeat(10);
        format!("<object id=\"{id}\"><components>{of}</components></object>")
    };
    let resources: String = (1..10).map(ten).collect::<String>() + &tetrahedron("id=\"10\"");
    let fault = fault_of(&model("", &resources, ITEM));
    assert!(matches!(fault, ModelFault::TooMuch { .. }), "{fault}");
}

/// Few triangles, but positions that no triangle uses, copied forty thousand times.
#[test]
fn positions_that_multiply_are_refused() {
    let many = |id: u32, times: usize| {
        let of = format!("<component objectid=\"{}\"/>", id + 1).repeat(times);
        format!("<object id=\"{id}\"><components>{of}</components></object>")
    };
    let unused = "<vertex x=\"1\" y=\"1\" z=\"1\"/>".repeat(2000) + "</vertices>";
    let last = tetrahedron("id=\"4\"").replace("</vertices>", &unused);
    let resources = many(1, 40) + &many(2, 40) + &many(3, 25) + &last;
    let fault = fault_of(&model("", &resources, ITEM));
    assert!(matches!(fault, ModelFault::TooMuch { .. }), "{fault}");
}

#[test]
fn shapes_and_extensions_that_are_not_read_are_refused() {
    let lattice = "<b:beamlattice xmlns:b=\"urn:b\"/></mesh>";
    let text = sound().replace("</mesh>", lattice);
    assert_eq!(fault_of(&text), ModelFault::Shape("beamlattice".into()));
    let needed = "<model requiredextensions=\"p q\" xmlns:q=\"urn:q\" ";
    let text = sound().replace("<model ", needed);
    assert_eq!(fault_of(&text), ModelFault::Extension("q".into()));
}

#[test]
fn numbers_of_a_model_are_checked_with_line_and_column() {
    let message =
        |from: &str, to: &str| refusal(&package(&sound().replacen(from, to, 1))).to_string();
    for bad in ["nan", "inf", "-INF", "1e999"] {
        let text = message("x=\"3\"", &format!("x=\"{bad}\""));
        assert!(text.contains("line 4, column") && text.contains("not a finite"), "{text}");
    }
    assert!(message("x=\"3\"", "x=\"1e20\"").contains("too large"));
    assert!(message("x=\"3\"", "x=\"three\"").contains("`x` is no number: `three`"));
    assert!(message("x=\"3\" ", "").contains("`x` is missing"));
    assert!(message("v3=\"2\"", "v3=\"4\"").contains("vertex 4, but there are only 4"));
    assert!(message("v3=\"2\"", "v3=\"-1\"").contains("`v3` is no number"));
    let item = "objectid=\"1\" transform=\"1 0 0 0 1 0 0 0 1 0 0";
    assert!(message("objectid=\"1\"", &format!("{item}\"")).contains("`transform` is no number"));
    assert!(message("objectid=\"1\"", &format!("{item} nan\"")).contains("not a finite"));
    let far = message("objectid=\"1\"", &format!("{item} 9e12\""));
    assert!(far.contains("build item 1") && far.contains("too large"), "{far}");
    let empty = model("", "<object id=\"1\"/>", ITEM);
    assert!(refusal(&package(&empty)).to_string().contains("no triangles"));
}

/// UTF-16 in either byte order, with its mark or without: refused by its name, in the model and in
/// the relationships.
#[test]
fn text_in_utf_16_is_refused_by_name() {
    let swapped = |bytes: Vec<u8>| bytes.chunks(2).flat_map(|pair| [pair[1], pair[0]]).collect();
    let wide = |text: &str| -> [Vec<u8>; 4] {
        let plain: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
        let marked = [b"\xFF\xFE".as_slice(), &plain].concat();
        [marked.clone(), swapped(marked), plain.clone(), swapped(plain)]
    };
    let text = sound().replace("encoding=\"UTF-8\"", "encoding=\"UTF-16\"");
    for model in wide(&text) {
        let model = Entry::deflated("3D/3dmodel.model", &model);
        let error = refusal(&zip(&[relationships("/3D/3dmodel.model"), model]));
        let ReadError::InPart { error: inner, .. } = &error else { panic!("{error}") };
        assert!(matches!(**inner, ReadError::Model { fault: ModelFault::Wide, .. }), "{error}");
        assert!(error.to_string().contains("UTF-16"), "{error}");
    }
    let relationships = relationships("/3D/3dmodel.model").stored;
    for wide in wide(std::str::from_utf8(&relationships).unwrap()) {
        let model = Entry::deflated("3D/3dmodel.model", sound().as_bytes());
        let error = packing_fault(&zip(&[Entry::stored("_rels/.rels", &wide), model]));
        assert_eq!(error, PackingFault::Wide);
        assert!(error.to_string().contains("UTF-16"), "{error}");
    }
}

/// A package that announces hundreds of millions of parts costs no more than its own bytes.
#[test]
fn announced_parts_take_no_room() {
    let whole = zip64(&[Entry::deflated("3D/3dmodel.model", sound().as_bytes())]);
    let end = whole.len() - 98;
    assert!(whole[end..].starts_with(b"PK\x06\x06"));
    for count in [2, 1 << 16, 1 << 29, 1 << 40, u64::MAX] {
        let mut changed = whole.clone();
        for at in [24, 32] {
            changed[end + at..end + at + 8].copy_from_slice(&count.to_le_bytes());
        }
        packing_fault(&changed);
        // The directory's length as it would have to be.
        let length = count.saturating_mul(46);
        changed[end + 40..end + 48].copy_from_slice(&length.to_le_bytes());
        packing_fault(&changed);
    }
}

#[test]
fn packages_with_64_bit_fields_cut_anywhere_are_refused() {
    let whole = zip64(&[Entry::deflated("3D/3dmodel.model", sound().as_bytes())]);
    for end in 0..whole.len() {
        refusal(&whole[..end]);
    }
}
