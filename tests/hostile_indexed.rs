//! Broken PLY and OFF files: one clear error with its place, never a panic, never a part of a
//! mesh.

mod bytes;

use bytes::TETRAHEDRON_INDICES;
use bytes::edits::{apply, edits};
use cavigram::formats::{Format, Place, PlyFault, RawMesh, ReadError};
use proptest::prelude::*;

const OFF: &str = "OFF\n4 4 6\n0 0 0\n0 4.5 0\n3 0 0\n0 0 5.25\n\
    3 0 1 2\n3 0 2 3\n3 0 3 1\n3 2 1 3\n";

const PLY: &str = "ply\nformat ascii 1.0\nelement vertex 4\nproperty float x\n\
    property float y\nproperty float z\nelement face 4\n\
    property list uchar int vertex_indices\nend_header\n\
    0 0 0\n0 4.5 0\n3 0 0\n0 0 5.25\n3 0 1 2\n3 0 2 3\n3 0 3 1\n3 2 1 3\n";

/// The tetrahedron, with a quality beside each vertex.
fn binary(big: bool) -> Vec<u8> {
    let order = if big { "binary_big_endian" } else { "binary_little_endian" };
    let head = PLY.split_inclusive("end_header\n").next().unwrap();
    let head = head.replace("ascii", order).replace("float z", "float z\nproperty double quality");
    let mut file = head.into_bytes();
    let put = |file: &mut Vec<u8>, bytes: &[u8]| {
        let turned: Vec<u8> =
            if big { bytes.iter().rev().copied().collect() } else { bytes.to_vec() };
        file.extend(turned);
    };
    let corners = [[0.0_f32, 0.0, 0.0], [0.0, 4.5, 0.0], [3.0, 0.0, 0.0], [0.0, 0.0, 5.25]];
    for corner in corners {
        corner.iter().for_each(|c| put(&mut file, &c.to_le_bytes()));
        put(&mut file, &0.5_f64.to_le_bytes());
    }
    for triangle in TETRAHEDRON_INDICES {
        file.push(3);
        triangle.iter().for_each(|v| put(&mut file, &v.to_le_bytes()));
    }
    file
}

/// Bytes before the body, of a vertex and of a face.
const VERTEX: usize = 20;
const FACE: usize = 13;

fn body() -> usize {
    binary(false).len() - 4 * (VERTEX + FACE)
}

#[track_caller]
fn read(bytes: &[u8]) -> Result<RawMesh, ReadError> {
    let result = cavigram::formats::read(bytes, None);
    match &result {
        Ok(mesh) => {
            let used = mesh.triangles.iter().flatten().max().unwrap();
            assert_eq!(*used as usize + 1, mesh.vertices.len(), "a vertex that nothing uses");
            assert!(mesh.vertices.iter().all(|v| v.is_finite()));
        }
        Err(error) => {
            let message = error.to_string();
            assert!(message.chars().count() < 200, "{message}");
            assert!(!message.contains(char::is_control) && !error.hint().is_empty(), "{message}");
        }
    }
    result
}

#[track_caller]
fn refusal(bytes: &[u8]) -> ReadError {
    read(bytes).expect_err("should be refused")
}

// ---- cut off

#[test]
fn files_cut_anywhere_are_refused() {
    for big in [false, true] {
        let whole = binary(big);
        assert_eq!(read(&whole).unwrap().triangles, TETRAHEDRON_INDICES);
        for length in 0..whole.len() {
            assert!(read(&whole[..length]).is_err(), "cut at {length}");
        }
    }
    for whole in [PLY, OFF] {
        // The last number has one digit, so only the line end can go unnoticed.
        for length in 0..whole.len() - 1 {
            assert!(read(&whole.as_bytes()[..length]).is_err(), "cut at {length}");
        }
        let mesh = read(whole.trim_end().as_bytes()).unwrap();
        assert_eq!(mesh.findings[0].code, "no-line-end");
    }
    let cut =
        |kind: &'static str, whole, bytes| ReadError::PlyCut { kind, announced: 4, whole, bytes };
    let file = binary(false);
    let end = body() + 4 * VERTEX + 2 * FACE + 5;
    assert_eq!(refusal(&file[..end]), cut("face", 2, end));
    let end = body() + VERTEX - 1;
    assert_eq!(refusal(&file[..end]), cut("vertex", 0, end));
}

// ---- changed

#[test]
fn every_change_of_a_single_byte_is_survived() {
    for file in [binary(false), binary(true), PLY.into(), OFF.into()] {
        for at in 0..file.len() {
            let mut changed = file.clone();
            for value in 0..=u8::MAX {
                changed[at] = value;
                let _ = read(&changed);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3000))]

    #[test]
    fn many_changes_are_survived(
        which in 0_usize..4,
        edits in edits(12),
    ) {
        let mut file = [binary(false), binary(true), PLY.into(), OFF.into()][which].clone();
        apply(&mut file, &edits, b"0123456789 -.e\nfp");
        let _ = read(&file);
    }
}

// ---- counts

#[test]
fn counts_beyond_the_file_are_refused_without_making_room_for_them() {
    for count in ["5000", "4294967296", "18446744073709551615"] {
        for (from, kind) in [("element vertex 4", "vertex"), ("element face 4", "face")] {
            let to = format!("element {kind} {count}");
            let text = PLY.replace(from, &to);
            let fault = ReadError::PlyHeader { line: 9, fault: PlyFault::TooMany };
            assert_eq!(refusal(text.as_bytes()), fault);
            let file = replaced(&binary(false), from, &to);
            assert!(matches!(refusal(&file), ReadError::PlyCut { .. }));
        }
    }
    for counts in ["400 4 6", "4 400 6", "4000000000 4000000000 0"] {
        let error = refusal(OFF.replace("4 4 6", counts).as_bytes());
        assert!(matches!(error, ReadError::OffCounts { line: 2, .. }), "{error}");
    }
    // Records that take no room may be any number.
    let endless = "element nothing 18446744073709551615\nelement vertex 4";
    assert!(read(&replaced(&binary(true), "element vertex 4", endless)).is_ok());
    assert!(read(PLY.replace("element vertex 4", endless).as_bytes()).is_ok());
}

fn replaced(file: &[u8], from: &str, to: &str) -> Vec<u8> {
    let at = file.windows(from.len()).position(|w| w == from.as_bytes()).unwrap();
    [&file[..at], to.as_bytes(), &file[at + from.len()..]].concat()
}

#[test]
fn counts_that_are_too_small_are_refused_in_text() {
    let more = |line| ReadError::Unexpected {
        line,
        expected: "the end of the file",
        found: "3 2 1 3".into(),
    };
    let ply = PLY.replace("element face 4", "element face 3");
    assert_eq!(refusal(ply.as_bytes()), more(17));
    let error = refusal(OFF.replace("4 4 6", "4 3 6").as_bytes());
    assert!(error.to_string().starts_with("line 10: `3` stands where the end"), "{error}");
}

// ---- numbers

#[test]
fn a_nan_anywhere_is_told_with_its_place() {
    for big in [false, true] {
        for vertex in 0..4 {
            for (within, length) in [(0, 4), (4, 4), (8, 4), (12, 8)] {
                let mut file = binary(big);
                let byte = file.len() - 4 * (VERTEX + FACE) + vertex * VERTEX + within;
                file[byte..byte + length].fill(0xFF);
                let number = vertex as u64 + 1;
                let place = Place::Record { kind: "vertex", number, byte };
                assert_eq!(refusal(&file), ReadError::NotFinite { place });
            }
        }
    }
    for bad in ["nan", "-inf", "1e999"] {
        let place = Place::Line(12);
        let text = PLY.replace("3 0 0\n", &format!("3 {bad} 0\n"));
        assert_eq!(refusal(text.as_bytes()), ReadError::NotFinite { place });
        let text = OFF.replace("\n3 0 0\n", &format!("\n3 0 0 1 {bad}\n"));
        assert_eq!(refusal(text.as_bytes()), ReadError::NotFinite { place: Place::Line(5) });
        let text = OFF.replace("3 0 3 1", &format!("3 0 3 1 {bad}"));
        assert_eq!(refusal(text.as_bytes()), ReadError::NotFinite { place: Place::Line(9) });
    }
    let huge = OFF.replace("5.25", "1e13");
    let place = Place::Line(6);
    assert_eq!(refusal(huge.as_bytes()), ReadError::TooLarge { place, value: 1e13 });
}

#[test]
fn a_bad_index_is_told_with_its_place() {
    for (word, index) in [("4", 4), ("-1", -1), ("2147483647", i64::from(i32::MAX))] {
        let bad = |line| ReadError::Index { place: Place::Line(line), index, count: 4 };
        let face = format!("3 0 {word} 1");
        assert_eq!(refusal(PLY.replace("3 0 3 1", &face).as_bytes()), bad(16));
        assert_eq!(refusal(OFF.replace("3 0 3 1", &face).as_bytes()), bad(9));
    }
    let mut file = binary(false);
    let third = body() + 4 * VERTEX + 2 * FACE;
    file[third + 5..third + 9].copy_from_slice(&7_i32.to_le_bytes());
    let place = Place::Record { kind: "face", number: 3, byte: third };
    assert_eq!(refusal(&file), ReadError::Index { place, index: 7, count: 4 });
    let half = PLY.replace("3 0 3 1", "3 0 2.5 1");
    assert_eq!(
        refusal(half.as_bytes()),
        ReadError::NotWhole { place: Place::Line(16), value: 2.5 }
    );
}

#[test]
fn faces_without_three_corners_are_told() {
    for corners in 0..3 {
        let face = ["0", "1 0", "2 0 3"][corners];
        let short = |line| ReadError::FaceTooShort { place: Place::Line(line), corners };
        assert_eq!(refusal(PLY.replace("3 0 3 1", face).as_bytes()), short(16));
        assert_eq!(refusal(OFF.replace("3 0 3 1", face).as_bytes()), short(9));
    }
}

// ---- structure

#[test]
fn odd_headers_of_ply_are_told_with_their_line() {
    let fault = |line, fault| ReadError::PlyHeader { line, fault };
    let cases = [
        ("format ascii 1.0\n", "", fault(8, PlyFault::NoFormat)),
        ("element vertex 4\n", "", fault(3, PlyFault::PropertyFirst)),
        ("float y", "float x", fault(5, PlyFault::Twice)),
        ("element face 4", "element vertex 4", fault(7, PlyFault::Twice)),
        ("float z", "float w", fault(3, PlyFault::NoCoordinates)),
        ("float z", "list uchar float z", fault(3, PlyFault::NoCoordinates)),
        ("vertex_indices", "corners", fault(7, PlyFault::NoCornerList)),
        ("list uchar int", "list uchar float", fault(7, PlyFault::NoCornerList)),
    ];
    for (from, to, error) in cases {
        assert_eq!(refusal(PLY.replacen(from, to, 1).as_bytes()), error, "{from} {to}");
    }
    let message = |from: &str, to: &str| refusal(PLY.replacen(from, to, 1).as_bytes()).to_string();
    assert!(message("format ascii 1.0", "format ascii 2.0").starts_with("line 2: `format ascii 2"));
    assert!(message("float y", "half y").starts_with("line 5: `property half y`"));
    assert!(message("element face 4", "element face -4").starts_with("line 7: `-4`"));
    assert!(message("uchar int", "float int").starts_with("line 8: `property list"));
    assert!(message("end_header", "endheader").contains("`endheader`"));
    assert_eq!(
        refusal(PLY.split("end_header").next().unwrap().as_bytes()),
        ReadError::TextCut { line: 8, expected: "`end_header`" }
    );
}

#[test]
fn lines_with_too_many_or_too_few_numbers_are_told() {
    let unexpected =
        |line, expected, found: &str| ReadError::Unexpected { line, expected, found: found.into() };
    let ply = |from: &str, to: &str| refusal(PLY.replace(from, to).as_bytes());
    assert_eq!(ply("3 0 3 1", "3 0 3 1 2"), unexpected(16, "the end of the line", "2"));
    assert_eq!(ply("3 0 3 1", "3 0 3"), unexpected(16, "a number", "the end of the line"));
    assert_eq!(ply("0 4.5 0", "0 4,5 0"), ReadError::Comma { line: 11, found: "4,5".into() });
    let off = |from: &str, to: &str| refusal(OFF.replace(from, to).as_bytes());
    let corners = "a face with all its corners";
    assert_eq!(off("3 0 3 1", "3 0 3"), unexpected(9, corners, "the end of the line"));
    assert_eq!(off("3 0 3 1", "3 0 b 1"), unexpected(9, "the number of a vertex", "b"));
    let vertex = "a vertex with 3 coordinates";
    assert_eq!(off("0 4.5 0", "0 4.5"), unexpected(4, vertex, "the end of the line"));
}

#[test]
fn points_without_faces_are_called_a_point_cloud() {
    let cloud = ReadError::PointCloud { points: 4 };
    let (points, _) = PLY.split_once("3 0 1 2").unwrap();
    let none = points.replace("element face 4", "element face 0");
    assert_eq!(refusal(none.as_bytes()), cloud);
    let (start, rest) = points.split_once("element face").unwrap();
    let without = format!("{start}{}", &rest[rest.find("end_header").unwrap()..]);
    assert_eq!(refusal(without.as_bytes()), cloud);
    let head = without.replace("ascii", "binary_little_endian");
    let head = head.split_inclusive("end_header\n").next().unwrap();
    let cloud_of = [head.as_bytes(), &[0; 48]].concat();
    assert_eq!(refusal(&cloud_of), cloud);
    assert_eq!(refusal(b"OFF\n4 0 0\n0 0 0\n1 0 0\n0 1 0\n0 0 1\n"), cloud);
    assert!(refusal(b"OFF 1 0 0\n0 0 0\n").to_string().contains("point cloud"));
    let nothing = b"ply\nformat ascii 1.0\nelement vertex 0\nend_header\n";
    assert_eq!(refusal(nothing), ReadError::NoTriangles(Format::PlyAscii));
    assert_eq!(refusal(b"OFF 0 0 0\n"), ReadError::NoTriangles(Format::Off));
}

#[test]
fn kinds_of_off_that_are_not_read_are_named() {
    for file in [&b"OFF BINARY\n\0\0\0\x04"[..], b"4OFF\n1 0 0\n", b"# a\nnOFF\n3\n"] {
        assert!(matches!(refusal(file), ReadError::OffKind { .. }));
    }
}
