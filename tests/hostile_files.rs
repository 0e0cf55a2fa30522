//! Broken, cut and foreign files: one clear error with its place, never a panic, never a part of
//! a mesh.

mod bytes;

use bytes::edits::{apply, edits};
use bytes::{
    Corners, TETRAHEDRON, TETRAHEDRON_INDICES, TETRAHEDRON_OBJ, stl_ascii, stl_binary,
    stl_binary_with,
};
use cavigram::formats::{Element, Format, LARGEST_COORDINATE, Place, RawMesh, ReadError};
use cavigram::mesh::Vec3;
use proptest::prelude::*;

const NAMES: [Option<&str>; 4] = [None, Some("scan.stl"), Some("SCAN.OBJ"), Some("scan.dat")];

/// Reads, and checks what must hold of every result.
#[track_caller]
fn read(bytes: &[u8], name: Option<&str>) -> Result<RawMesh, ReadError> {
    let result = cavigram::formats::read(bytes, name);
    match &result {
        Ok(mesh) => assert_keeps_its_promises(mesh),
        Err(error) => assert_is_fit_to_show(error),
    }
    result
}

#[track_caller]
fn assert_keeps_its_promises(mesh: &RawMesh) {
    assert!(!mesh.triangles.is_empty());
    let mut seen = 0;
    for &v in mesh.triangles.iter().flatten() {
        assert!((v as usize) < mesh.vertices.len());
        assert!(v <= seen || mesh.format == Format::Obj, "not in order of appearance");
        seen = seen.max(v + 1);
    }
    assert_eq!(seen as usize, mesh.vertices.len(), "a vertex that no triangle uses");
    for c in mesh.vertices.iter().flat_map(|v| v.to_array()) {
        assert!(c.abs() <= LARGEST_COORDINATE && c.to_bits() != (-0.0_f64).to_bits());
    }
}

#[track_caller]
fn assert_is_fit_to_show(error: &ReadError) {
    let message = error.to_string();
    assert!(message.chars().count() < 160 && !message.contains(char::is_control), "{message}");
    assert!(!error.hint().is_empty() && !message.contains(error.hint()), "{message}");
}

#[track_caller]
fn refusal(bytes: &[u8]) -> ReadError {
    read(bytes, None).expect_err("should be refused")
}

// ---- cut off

#[test]
fn a_binary_stl_cut_anywhere_is_refused() {
    let whole = stl_binary_with(b"solid made by hand", 4, &TETRAHEDRON);
    for length in 0..whole.len() {
        for name in NAMES {
            assert!(read(&whole[..length], name).is_err(), "cut at {length}, {name:?}");
        }
    }
    assert_eq!(refusal(&whole[..283]), ReadError::StlCut { announced: 4, whole: 3, bytes: 283 },);
    let blank = stl_binary(&TETRAHEDRON);
    assert_eq!(read(&blank[..83], Some("a.stl")), Err(ReadError::StlHeaderCut { bytes: 83 }));
    assert_eq!(refusal(&blank[..84]), ReadError::StlCut { announced: 4, whole: 0, bytes: 84 });
}

#[test]
fn an_ascii_stl_cut_anywhere_is_refused() {
    let text = stl_ascii("tet", &TETRAHEDRON);
    let complete = text.rfind("endsolid").unwrap() + "endsolid".len();
    for length in 0..=text.len() {
        for name in NAMES {
            match read(&text.as_bytes()[..length], name) {
                Ok(mesh) => {
                    assert!(length >= complete, "cut at {length}");
                    assert_eq!(mesh.triangles, TETRAHEDRON_INDICES);
                }
                Err(_) => assert!(length < complete, "cut at {length}"),
            }
        }
    }
    let cut = &text[..text.rfind("vertex").unwrap()];
    assert_eq!(refusal(cut.as_bytes()), ReadError::TextCut { line: 27, expected: "`vertex`" });
}

/// OBJ has no end mark: what is left after a cut can be a complete file. Then it must be read as
/// exactly that: all faces whose lines are there.
#[test]
fn an_obj_cut_anywhere_is_refused_or_read_as_what_is_left() {
    let text = TETRAHEDRON_OBJ.replace("f 1 4 2", "f 1/1 4/2 2/1\nvt 0 0\nvt 1 1");
    let mut read_whole = 0;
    for length in 0..=text.len() {
        let cut = &text[..length];
        for name in NAMES {
            match (read(cut.as_bytes(), name), faces_of(cut)) {
                (Ok(mesh), Some(faces)) => {
                    read_whole += 1;
                    assert_eq!(corner_positions(&mesh), faces, "cut at {length}");
                }
                (Err(_), None) => {}
                (result, faces) => panic!("cut at {length}: {result:?}, expected {faces:?}"),
            }
        }
    }
    // Counted by hand: 2 ends of each plain face, 4 of the one with texture, 6 of the last `vt`.
    assert_eq!(read_whole, (3 * 2 + 4 + 6) * NAMES.len());
}

fn corner_positions(mesh: &RawMesh) -> Vec<[Vec3; 3]> {
    mesh.triangles.iter().map(|t| t.map(|v| mesh.vertices[v as usize])).collect()
}

/// A strict reading of plain triangles; `None` where anything is missing or wrong.
fn faces_of(text: &str) -> Option<Vec<[Vec3; 3]>> {
    let statements = |word| text.lines().filter_map(move |line| line.strip_prefix(word));
    let mut vertices = Vec::new();
    for line in text.lines().filter(|line| line.split(' ').next() == Some("v")) {
        let numbers: Option<Vec<f64>> = line.split(' ').skip(1).map(|w| w.parse().ok()).collect();
        let [x, y, z] = numbers?[..] else { return None };
        vertices.push(Vec3::new(x, y, z));
    }
    let texture_count = statements("vt").count();
    let mut faces = Vec::new();
    for line in text.lines().filter(|line| line.split(' ').next() == Some("f")) {
        let mut corners = Vec::new();
        for word in line.split_whitespace().skip(1) {
            let (vertex, texture) = word.split_once('/').unwrap_or((word, ""));
            let texture = if texture.is_empty() { 1 } else { texture.parse::<usize>().ok()? };
            if texture == 0 || (texture_count > 0 && texture > texture_count) {
                return None;
            }
            corners.push(*vertices.get(vertex.parse::<usize>().ok()?.checked_sub(1)?)?);
        }
        faces.push(corners.try_into().ok()?);
    }
    (!faces.is_empty()).then_some(faces)
}

// ---- changed

fn small_files() -> [Vec<u8>; 6] {
    [
        stl_binary(&TETRAHEDRON),
        stl_binary_with(b"solid of four", 4, &TETRAHEDRON),
        stl_ascii("tet", &TETRAHEDRON).into(),
        TETRAHEDRON_OBJ.into(),
        b"v 0 0 0\nv 2 0 0\nv 2 2 0\nv 1 1 0\nv 0 2 0\nvt 0 0\nvn 0 0 1\n\
          f 1/1/1 2/-1/-1 3//1 4/1 \\\n 5\nf -1 -2 -3\n"
            .to_vec(),
        [stl_ascii("a", &TETRAHEDRON[..1]), stl_ascii("b", &TETRAHEDRON[1..])].concat().into(),
    ]
}

#[test]
fn every_change_of_a_single_byte_is_survived() {
    for file in small_files() {
        assert!(read(&file, None).is_ok());
        for at in 0..file.len() {
            let mut changed = file.clone();
            for value in 0..=u8::MAX {
                changed[at] = value;
                let _ = read(&changed, None);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3000))]

    #[test]
    fn many_changes_are_survived(which in 0_usize..6, edits in edits(12), name in 0_usize..4) {
        let mut file = small_files()[which].clone();
        apply(&mut file, &edits, b"0123456789 -./e\nfv");
        let _ = read(&file, NAMES[name]);
    }

    #[test]
    fn words_in_any_order_are_survived(
        words in prop::collection::vec(0_usize..VOCABULARY.len(), 1..80),
    ) {
        for start in ["", "solid a\nfacet normal 0 0 1\n", "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n"] {
            let mut text = String::from(start);
            for &word in &words {
                text += VOCABULARY[word];
                text += if word % 3 == 0 { "\n" } else { " " };
            }
            let _ = read(text.as_bytes(), None);
        }
    }

    #[test]
    fn noise_is_survived(bytes in prop::collection::vec(any::<u8>(), 0..400), name in 0_usize..4) {
        let _ = read(&bytes, NAMES[name]);
    }
}

const VOCABULARY: [&str; 34] = [
    "v",
    "f",
    "vt",
    "vn",
    "o",
    "g",
    "usemtl",
    "mtllib",
    "s",
    "l",
    "p",
    "fo",
    "1",
    "2",
    "3",
    "-1",
    "0",
    "1/1",
    "1//1",
    "-9999999999999999999999",
    "9223372036854775807",
    "1e400",
    "nan",
    "0.5",
    "\\",
    "#",
    "solid",
    "endsolid",
    "facet",
    "normal",
    "outer",
    "loop",
    "vertex",
    "endloop",
];

// ---- counts of binary STL

#[test]
fn a_count_that_is_too_large_is_refused_without_making_room_for_it() {
    for announced in [5, 1000, 0x00FF_FFFF, u32::MAX] {
        let error = refusal(&stl_binary_with(b"", announced, &TETRAHEDRON));
        assert_eq!(error, ReadError::StlCut { announced, whole: 4, bytes: 284 });
    }
}

#[test]
fn a_count_that_is_too_small_is_refused_where_whole_triangles_follow() {
    for announced in 0..4 {
        let error = read(&stl_binary_with(b"", announced, &TETRAHEDRON), Some("a.stl"));
        assert_eq!(error, Err(ReadError::StlCountTooSmall { announced, present: 4 }));
    }
}

#[test]
fn no_triangles_is_an_error_in_every_format() {
    let binary = ReadError::NoTriangles(Format::StlBinary);
    assert_eq!(refusal(&stl_binary(&[])), binary);
    let padded = [stl_binary(&[]), vec![0; 7]].concat();
    assert_eq!(read(&padded, Some("a.stl")), Err(binary));
    let ascii = ReadError::NoTriangles(Format::StlAscii);
    assert_eq!(refusal(stl_ascii("a", &[]).as_bytes()), ascii);
    assert_eq!(read(b"# nothing\n", Some("a.obj")), Err(ReadError::NoTriangles(Format::Obj)));
}

/// Both together: a wrong count must not hide a NaN, nor the other way round.
#[test]
fn bytes_after_the_last_triangle_excuse_nothing() {
    let mut file = stl_binary(&TETRAHEDRON);
    file.extend(b"trailer");
    file[84 + 12..84 + 16].copy_from_slice(&f32::NAN.to_le_bytes());
    let place = Place::Triangle { triangle: 1, byte: 96 };
    assert_eq!(refusal(&file), ReadError::NotFinite { place });
}

// ---- numbers

#[test]
fn a_coordinate_that_is_no_number_is_told_with_triangle_and_byte() {
    for bad in [f32::NAN, -f32::NAN, f32::INFINITY, f32::NEG_INFINITY] {
        for triangle in 0..4 {
            for i in 0..9 {
                let mut triangles = TETRAHEDRON;
                triangles[triangle][i / 3][i % 3] = bad;
                let byte = 84 + 50 * triangle + 12 + 4 * i;
                let place = Place::Triangle { triangle: triangle + 1, byte };
                let error = refusal(&stl_binary(&triangles));
                assert_eq!(error, ReadError::NotFinite { place });
            }
        }
    }
}

/// Normals are not used; but a file with a NaN is refused whole.
#[test]
fn a_stored_normal_that_is_no_number_is_told_with_its_place() {
    for bad in [f32::NAN, f32::INFINITY] {
        for axis in 0..3 {
            let byte = 84 + 2 * 50 + 4 * axis;
            let mut file = stl_binary(&TETRAHEDRON);
            file[byte..byte + 4].copy_from_slice(&bad.to_le_bytes());
            let place = Place::Triangle { triangle: 3, byte };
            assert_eq!(refusal(&file), ReadError::NormalNotFinite { place });
        }
    }
    let text = stl_ascii("a", &TETRAHEDRON);
    for bad in ["nan", "-nan(ind)", "-1.#IND", "inf", "1e999"] {
        let changed = text.replacen("normal 0 0 0", &format!("normal 0 {bad} 0"), 1);
        let error = refusal(changed.as_bytes());
        assert_eq!(error, ReadError::NormalNotFinite { place: Place::Line(2) });
        assert!(error.hint().contains("normals are not needed"));
        for statement in ["vn 0 0", "vt 0.5"] {
            let obj = TETRAHEDRON_OBJ.replace("f 1 4 2", &format!("{statement} {bad}\nf 1 4 2"));
            let place = Place::Line(8);
            assert_eq!(refusal(obj.as_bytes()), ReadError::NotFinite { place });
        }
    }
}

#[test]
fn the_first_of_several_faults_is_told_on_any_number_of_threads() {
    let mut triangles: Vec<Corners> = vec![TETRAHEDRON[0]; 200_000];
    for broken in [199_999, 150_000, 70_001] {
        triangles[broken][2][1] = f32::NAN;
    }
    let file = stl_binary(&triangles);
    let place = Place::Triangle { triangle: 70_002, byte: 84 + 50 * 70_001 + 12 + 28 };
    for threads in [1, 4] {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        assert_eq!(pool.install(|| refusal(&file)), ReadError::NotFinite { place });
    }
}

#[test]
fn a_coordinate_beyond_anything_real_is_refused() {
    let mut triangles = TETRAHEDRON;
    triangles[3][0][2] = -1e31;
    let place = Place::Triangle { triangle: 4, byte: 254 };
    let value = f64::from(-1e31_f32);
    assert_eq!(refusal(&stl_binary(&triangles)), ReadError::TooLarge { place, value });
    let text = TETRAHEDRON_OBJ.replace("v 3 0 0", "v 3e99 0 0");
    let place = Place::Line(4);
    assert_eq!(refusal(text.as_bytes()), ReadError::TooLarge { place, value: 3e99 });
}

#[test]
fn odd_numbers_in_text_are_told_with_their_line() {
    let comma = |found: &str| ReadError::Comma { line: 4, found: found.into() };
    let no_number =
        |found: &str| ReadError::Unexpected { line: 4, expected: "a number", found: found.into() };
    let not_finite = ReadError::NotFinite { place: Place::Line(4) };
    let cases = [
        ("4,5", comma("4,5")),
        ("1.000,5", comma("1.000,5")),
        ("nan", not_finite.clone()),
        ("-NaN", not_finite.clone()),
        ("inf", not_finite.clone()),
        ("-Infinity", not_finite.clone()),
        ("1e999", not_finite.clone()),
        ("nan(ind)", not_finite.clone()),
        ("-1.#IND", not_finite.clone()),
        ("1.#QNAN0", not_finite),
        ("four", no_number("four")),
        ("0x10", no_number("0x10")),
        ("4.5.6", no_number("4.5.6")),
        ("\u{1}\u{2}", no_number("\u{FFFD}\u{FFFD}")),
        ("123456789012345678901234567890z", no_number("123456789012345678901234…")),
    ];
    for (number, error) in cases {
        let ascii = format!(
            "solid a\nfacet normal 0 0 1\nouter loop\nvertex 1 {number} 3\nvertex 1 0 0\n\
             vertex 0 1 0\nendloop\nendfacet\nendsolid a\n"
        );
        assert_eq!(refusal(ascii.as_bytes()), error);
        let obj = format!("v 0 0 0\nv 1 0 0\nv 0 1 0\nv 1 {number} 3\nf 1 2 3\n");
        assert_eq!(refusal(obj.as_bytes()), error);
    }
}

// ---- ASCII STL

#[test]
fn a_wrong_word_in_ascii_stl_is_told_with_its_line() {
    let text = stl_ascii("a", &TETRAHEDRON);
    let unexpected =
        |line, expected, found: &str| ReadError::Unexpected { line, expected, found: found.into() };
    let cases = [
        ("outer loop", "outer circle", unexpected(3, "`loop`", "circle")),
        ("    endloop", "      vertex 1 2 3", unexpected(7, "`endloop`", "vertex")),
        ("endfacet", "end", unexpected(8, "`endfacet`", "end")),
        ("facet normal 0 0 0", "facet normal 0 0", unexpected(3, "a number", "outer")),
        ("vertex 0 0 0", "vertex 0 0", unexpected(5, "a number", "vertex")),
        ("vertex 0 0 0", "vertex 0 0 0 0", unexpected(4, "`vertex`", "0")),
        ("  facet", "  color 1 0 0\n  facet", unexpected(2, "`facet` or `endsolid`", "color")),
    ];
    for (from, to, error) in cases {
        assert_eq!(refusal(text.replacen(from, to, 1).as_bytes()), error);
    }
    for line_end in ["\r\n", "\r"] {
        let odd = text.replace("endsolid a", "endsolid a\nmore").replace('\n', line_end);
        assert_eq!(refusal(odd.as_bytes()), unexpected(31, "`solid`", "more"));
    }
    assert_eq!(read(b"facet", Some("a.stl")), Err(unexpected(1, "`solid`", "facet")));
}

// ---- OBJ

/// The tetrahedron with its line 8, `f 1 4 2`, replaced.
fn obj_with_line_8(statement: &str) -> String {
    TETRAHEDRON_OBJ.replace("f 1 4 2", statement)
}

#[test]
fn a_bad_number_in_an_obj_face_is_told_with_its_line() {
    let bad =
        |index: i64| ReadError::ObjIndex { line: 8, element: Element::Vertex, index, count: 4 };
    let cases = [("0", 0), ("5", 5), ("-5", -5), ("9223372036854775807", i64::MAX)];
    for (word, index) in cases.into_iter().chain([("-9223372036854775808", i64::MIN)]) {
        assert_eq!(refusal(obj_with_line_8(&format!("f 1 {word} 2")).as_bytes()), bad(index));
    }
    // Negative numbers count back from where the face stands, not from the end.
    let early = TETRAHEDRON_OBJ.replace("v 0 0 5.25", "f -1 -2 -4\nv 0 0 5.25");
    let error = ReadError::ObjIndex { line: 5, element: Element::Vertex, index: -4, count: 3 };
    assert_eq!(refusal(early.as_bytes()), error);
}

/// Texture and normal numbers are not used, but a wrong one shows that the file is damaged.
#[test]
fn a_bad_texture_or_normal_number_is_told_too() {
    let given = "vt 0 0\nvn 0 0 1\nvn 0 1 0\n";
    let cases = [
        ("f 1/2 4 2", Element::TextureCoordinate, 2, 1),
        ("f 1/0 4 2", Element::TextureCoordinate, 0, 1),
        ("f 1 4//3 2", Element::Normal, 3, 2),
        ("f 1 4 2/1/-9223372036854775808", Element::Normal, i64::MIN, 2),
    ];
    for (statement, element, index, count) in cases {
        let error = refusal((String::from(given) + &obj_with_line_8(statement)).as_bytes());
        assert_eq!(error, ReadError::ObjIndex { line: 11, element, index, count });
    }
}

#[test]
fn a_face_without_three_corners_is_told_with_its_line() {
    for (statement, corners) in [("f 1 4", 2), ("f 1", 1), ("f", 0), ("f # 1 2 3", 0)] {
        let error = ReadError::FaceTooShort { place: Place::Line(8), corners };
        assert_eq!(refusal(obj_with_line_8(statement).as_bytes()), error);
    }
    let long = format!("f{}", " 1".repeat(20_001));
    let error = refusal(obj_with_line_8(&long).as_bytes());
    assert_eq!(
        error,
        ReadError::FaceTooLong { place: Place::Line(8), corners: 20_001, most: 20_000 }
    );
}

#[test]
fn odd_obj_statements_are_told_with_their_line() {
    let unexpected =
        |expected, found: &str| ReadError::Unexpected { line: 8, expected, found: found.into() };
    let corner = |found: &str| unexpected("a face corner, such as 7 or 7/3/5,", found);
    let vertex = |found: &str| unexpected("a vertex with 3 coordinates", found);
    let cases = [
        ("f 1 4 x", corner("x")),
        ("f 1 4 /2", corner("/2")),
        ("f 1 4 2/3/4/5", corner("2/3/4/5")),
        ("f 1 4 2.0", corner("2.0")),
        ("f 1 4 99999999999999999999", corner("99999999999999999999")),
        ("v 1 2", vertex("v 1 2")),
        ("v", vertex("v")),
        ("v 1 2 3 4 5", vertex("v 1 2 3 4 5")),
        ("v 1 2 3 v 4 5 6", unexpected("a number", "v")),
        ("v 1 2 3 0.5", ReadError::ObjWeight { line: 8 }),
        ("v 1 2 3 0", ReadError::ObjWeight { line: 8 }),
        ("surf 0 1 0 1 1 2 3 4", ReadError::ObjStatement { line: 8, word: "surf" }),
        ("call other.obj", ReadError::ObjStatement { line: 8, word: "call" }),
    ];
    for (statement, error) in cases {
        assert_eq!(refusal(obj_with_line_8(statement).as_bytes()), error);
    }
}

#[test]
fn an_obj_that_ends_within_a_statement_is_told() {
    let cut = |line, expected| ReadError::TextCut { line, expected };
    let vertices = "v 0 0 0\nv 1 0 0\nv 0 1 0\n";
    let at = |end: &str| refusal(format!("{vertices}{end}").as_bytes());
    assert_eq!(at("v 1 2"), cut(4, "a vertex with 3 coordinates"));
    assert_eq!(at("f 1 2 \\"), cut(4, "the rest of the line before"));
    assert_eq!(at("f 1 2 \\\n"), cut(4, "the rest of the line before"));
    assert_eq!(at("f 1 2 3\nf 1 2"), ReadError::FaceTooShort { place: Place::Line(5), corners: 2 });
}

#[test]
fn points_without_faces_are_called_a_point_cloud() {
    assert_eq!(refusal(b"v 0 0 0\nv 1 0 0\np 1 2\n"), ReadError::PointCloud { points: 2 });
}

// ---- other files

#[test]
fn files_that_are_no_mesh_are_named() {
    let cases: [(&[u8], &str); 10] = [
        (b"<!DOCTYPE html>\n<html><body>404</body></html>", "web page"),
        (b"\xEF\xBB\xBF  <?xml version=\"1.0\"?><amf/>", "marked-up"),
        (b"\x89PNG\r\n\x1A\n\0\0\0\rIHDR", "picture"),
        (b"\xFF\xD8\xFF\xE0\0\x10JFIF", "picture"),
        (b"GIF89a\x01\0", "picture"),
        (b"%PDF-1.7\n", "PDF"),
        (b"glTF\x02\0\0\0", "glTF"),
        (b"\xFF\xFEs\0o\0l\0i\0d\0", "UTF-16"),
        (b"\xFE\xFF\0s\0o\0l\0i\0d", "UTF-16"),
        (b"ISO-10303-21;\nHEADER;\n", "STEP"),
    ];
    for (bytes, name) in cases {
        let error = refusal(bytes);
        assert!(matches!(error, ReadError::NotAMesh { .. }), "{error}");
        assert!(error.to_string().contains(name), "{error}");
    }
}

#[test]
fn nothing_and_junk_get_one_clear_message() {
    for empty in [&b""[..], b"\n", b" \t\r\n", b"\xEF\xBB\xBF", b"\x1A"] {
        for name in NAMES {
            let error = read(empty, name).unwrap_err();
            assert_eq!(error, ReadError::Empty, "{empty:?}");
        }
    }
    let prose = "Volume of the mould: 40 cm3. From the wall inward, 2 mm.\nvalues 1 2 3\n";
    for junk in [prose.as_bytes(), &[0; 20], &[0; 300], &[0, 255, 7, 9], b"soli", b"{\"a\":1}"] {
        assert_eq!(refusal(junk), ReadError::Unknown);
    }
}
