//! Well-formed files are read right, in all the shapes in which they occur.
//!
//! Oracles: `stl_io`'s own writer and reader, `tobj`'s own reader, closed forms.

mod bytes;

use std::io::Cursor;

use bytes::{
    Corners, TETRAHEDRON, TETRAHEDRON_OBJ, assert_tetrahedron, stl_ascii, stl_binary,
    stl_binary_with,
};
use cavigram::finding::Severity;
use cavigram::formats::{Format, RawMesh, read};
use cavigram::mesh::Vec3;
use proptest::prelude::*;

fn read_whole(bytes: &[u8]) -> RawMesh {
    read(bytes, None).unwrap_or_else(|error| panic!("{error}"))
}

fn area(mesh: &RawMesh) -> f64 {
    triangle_areas(mesh).sum()
}

fn triangle_areas(mesh: &RawMesh) -> impl Iterator<Item = f64> {
    mesh.triangles.iter().map(|t| {
        let [a, b, c] = t.map(|v| mesh.vertices[v as usize]);
        (b - a).cross(c - a).length() / 2.0
    })
}

/// What `stl_io` makes of the file: its indices are by first appearance too.
fn by_stl_io(bytes: &[u8]) -> (Vec<[f32; 3]>, Vec<[u32; 3]>) {
    let mesh = stl_io::read_stl(&mut Cursor::new(bytes)).unwrap();
    let faces = mesh.faces.iter().map(|f| f.vertices.map(|v| v as u32)).collect();
    (mesh.vertices.into_iter().map(|v| v.0).collect(), faces)
}

// ---- binary STL

#[test]
fn the_same_mesh_comes_from_all_three_formats() {
    let binary = stl_binary(&TETRAHEDRON);
    assert_tetrahedron(&read_whole(&binary), Format::StlBinary);
    let ascii = stl_ascii("t", &TETRAHEDRON);
    assert_tetrahedron(&read_whole(ascii.as_bytes()), Format::StlAscii);
    assert_tetrahedron(&read_whole(TETRAHEDRON_OBJ.as_bytes()), Format::Obj);
    assert!(read_whole(&binary).findings.is_empty());
}

#[test]
fn content_wins_over_the_name() {
    let binary = stl_binary(&TETRAHEDRON);
    for name in ["a.obj", "a.ply", "obj", "", "A.STL", "no ending", "x.3mf"] {
        let mesh = read(&binary, Some(name)).unwrap();
        assert_tetrahedron(&mesh, Format::StlBinary);
        let mesh = read(TETRAHEDRON_OBJ.as_bytes(), Some(name)).unwrap();
        assert_tetrahedron(&mesh, Format::Obj);
    }
}

#[test]
fn a_header_that_begins_with_solid_is_still_binary() {
    for count in (1..=300).chain([1000, 0x0A0A, 0x1A00, 0x2020]) {
        let triangles: Vec<Corners> =
            (0..count).map(|i| [[i as f32, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]).collect();
        for header in [&b"solid "[..], b"solid part\n", b"SOLID", b"solid a\nfacet normal 0 0 1\n"]
        {
            let mesh = read_whole(&stl_binary_with(header, count as u32, &triangles));
            assert_eq!(mesh.format, Format::StlBinary);
            assert_eq!(mesh.triangles.len(), count);
        }
    }
}

/// Reference F3: one reader failed for these counts only (0x1A ends a file read as text).
#[test]
fn counts_with_the_byte_0x1a_are_read() {
    let all: Vec<Corners> = (0..0x1B00)
        .map(|i| [[i as f32, 0.0, 0.0], [i as f32, 1.0, 0.0], [i as f32, 0.0, 1.0]])
        .collect();
    for count in 0x1A00..=0x1AFF {
        let mesh = read_whole(&stl_binary(&all[..count]));
        assert_eq!((mesh.triangles.len(), mesh.vertices.len()), (count, 3 * count));
    }
}

#[test]
fn negative_zero_is_zero_in_every_format() {
    let mirrored = TETRAHEDRON.map(|t| t.map(|p| p.map(|c| if c == 0.0 { -0.0 } else { c })));
    let mixed = [TETRAHEDRON[0], mirrored[1], TETRAHEDRON[2], mirrored[3]];
    assert_tetrahedron(&read_whole(&stl_binary(&mixed)), Format::StlBinary);
    let ascii = stl_ascii("t", &mixed);
    assert!(ascii.contains("-0"));
    assert_tetrahedron(&read_whole(ascii.as_bytes()), Format::StlAscii);
    let obj = TETRAHEDRON_OBJ.replace("v 0 0 0", "v -0 0 -0.0");
    assert_tetrahedron(&read_whole(obj.as_bytes()), Format::Obj);
}

#[test]
fn stored_singles_become_doubles_exactly() {
    let third = 1.0_f32 / 3.0;
    let mesh =
        read_whole(&stl_binary(&[[[third, 0.1, 16_777_217.0], [1e-40, 0.0, 0.0], [1.0; 3]]]));
    assert_eq!(mesh.vertices[0].x, f64::from(third));
    assert_eq!(mesh.vertices[0].y, f64::from(0.1_f32));
    assert_eq!(mesh.vertices[1].x, f64::from(1e-40_f32));
}

#[test]
fn trailing_bytes_are_told_and_left_out() {
    for trailer in [&b"\n"[..], b"made by hand", &[0; 50], &[0; 100], &[b'x'; 50], &[255; 49]] {
        let mut bytes = stl_binary_with(b"solid", 4, &TETRAHEDRON);
        bytes.extend(trailer);
        let mesh = read_whole(&bytes);
        assert_tetrahedron(&mesh, Format::StlBinary);
        let [finding] = &mesh.findings[..] else { panic!("{:?}", mesh.findings) };
        assert_eq!((finding.code, finding.severity), ("trailing-bytes", Severity::Warning));
        assert!(finding.message.starts_with(&format!("{} bytes", trailer.len())));
    }
}

#[test]
fn stored_normals_and_attributes_are_not_used() {
    let mut bytes = stl_binary(&TETRAHEDRON);
    bytes[84..88].copy_from_slice(&f32::MAX.to_le_bytes());
    bytes[132..134].copy_from_slice(&[0xAB, 0xCD]);
    assert_tetrahedron(&read_whole(&bytes), Format::StlBinary);

    let ascii = stl_ascii("t", &TETRAHEDRON).replacen("normal 0 0 0", "normal 1e300 -7 .5", 1);
    assert_tetrahedron(&read_whole(ascii.as_bytes()), Format::StlAscii);
}

/// A bumpy grid of squares: neighbours share corners, across all parts that are welded apart.
fn grid(columns: u32, rows: u32) -> Vec<Corners> {
    let point = |i: u32, j: u32| [i as f32 * 0.5, j as f32 * 0.25, ((i * 7 + j * 3) % 5) as f32];
    (0..rows)
        .flat_map(|j| (0..columns).map(move |i| (i, j)))
        .flat_map(|(i, j)| {
            let [a, b, c, d] = [point(i, j), point(i + 1, j), point(i + 1, j + 1), point(i, j + 1)];
            [[a, b, c], [a, c, d]]
        })
        .collect()
}

#[test]
fn large_files_get_the_same_numbers_as_from_one_pass_on_any_number_of_threads() {
    let triangles = grid(300, 300);
    assert!(triangles.len() > 5 * (1 << 15), "too few to be welded in parts");
    let bytes = stl_binary(&triangles);
    let (vertices, faces) = by_stl_io(&bytes);
    for threads in [1, 2, 7] {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let mesh = pool.install(|| read_whole(&bytes));
        assert_eq!(mesh.triangles, faces);
        assert_eq!(mesh.vertices.len(), 301 * 301);
        let as_read = vertices.iter().map(|v| Vec3::from_array(v.map(f64::from)));
        assert!(as_read.eq(mesh.vertices.iter().copied()));
    }
}

fn coordinate() -> impl Strategy<Value = f32> {
    prop_oneof![(-4_i8..4).prop_map(|n| f32::from(n) + 0.5), -1e6_f32..1e6, Just(1.0e-30)]
}

fn soup() -> impl Strategy<Value = Vec<Corners>> {
    let point = prop::array::uniform3(coordinate());
    prop::collection::vec(prop::array::uniform3(point), 1..40)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn binary_agrees_with_the_writer_and_reader_of_stl_io(soup in soup()) {
        let triangles: Vec<_> = soup
            .iter()
            .map(|t| stl_io::Triangle {
                normal: stl_io::Normal::new([0.0, 0.0, 1.0]),
                vertices: t.map(stl_io::Vertex::new),
            })
            .collect();
        let mut bytes = Vec::new();
        stl_io::write_stl(&mut bytes, triangles.iter()).unwrap();
        let (vertices, faces) = by_stl_io(&bytes);
        let mesh = read_whole(&bytes);
        prop_assert_eq!(&mesh.triangles, &faces);
        let widened: Vec<_> = vertices.iter().map(|v| Vec3::from_array(v.map(f64::from))).collect();
        prop_assert_eq!(&mesh.vertices, &widened);
    }

    #[test]
    fn ascii_agrees_with_the_reader_of_stl_io(soup in soup()) {
        let text = stl_ascii("soup", &soup);
        let (vertices, faces) = by_stl_io(text.as_bytes());
        let mesh = read_whole(text.as_bytes());
        prop_assert_eq!(&mesh.triangles, &faces);
        let rounded: Vec<_> =
            mesh.vertices.iter().map(|v| v.to_array().map(|c| c as f32)).collect();
        prop_assert_eq!(rounded, vertices);
    }

    #[test]
    fn obj_triangles_agree_with_the_reader_of_tobj(soup in soup()) {
        let mut text = String::new();
        for [x, y, z] in soup.iter().flatten() {
            text += &format!("v {x} {y} {z}\n");
        }
        for i in 0..soup.len() {
            let from_the_end = 3 * (soup.len() - i) - 1;
            text += &format!("f {} -{from_the_end} {}\n", 3 * i + 1, 3 * i + 3);
        }
        let options = tobj::LoadOptions::default();
        let no_materials = |_: &std::path::Path| Err(tobj::LoadError::OpenFileFailed);
        let (models, _) = tobj::load_obj_buf(&mut text.as_bytes(), &options, no_materials).unwrap();
        let theirs = &models[0].mesh;
        let mesh = read_whole(text.as_bytes());
        prop_assert_eq!(mesh.triangles.len() * 3, theirs.indices.len());
        for (ours, theirs_at) in mesh.triangles.iter().flatten().zip(&theirs.indices) {
            let at = *theirs_at as usize * 3;
            let position = mesh.vertices[*ours as usize].to_array();
            prop_assert_eq!(&position[..], &theirs.positions[at..at + 3]);
        }
    }
}

// ---- ASCII STL

#[test]
fn ascii_is_read_in_all_the_forms_that_occur() {
    let plain = stl_ascii("t", &TETRAHEDRON);
    let with_name = |name: &[u8]| {
        let mut bytes = b"solid ".to_vec();
        bytes.extend(name);
        bytes.extend(plain.strip_prefix("solid t").unwrap().as_bytes());
        bytes
    };
    let after = |start: &[u8]| [start, plain.as_bytes()].concat();
    let before = |end: &[u8]| [plain.as_bytes(), end].concat();
    let forms: [(&str, Vec<u8>); 14] = [
        ("upper case", plain.to_uppercase().into()),
        ("odd case", plain.replace("facet", "Facet").replace("loop", "lOOp").into()),
        ("CR LF", plain.replace('\n', "\r\n").into()),
        ("CR", plain.replace('\n', "\r").into()),
        ("blank lines and tabs", plain.replace('\n', "\n\n").replace("  ", "\t").into()),
        ("byte order mark", after(b"\xEF\xBB\xBF")),
        ("leading space", after(b" \r\n\t ")),
        ("no name", plain.replace("solid t", "solid").into()),
        ("Latin-1 name", with_name(b"Gu\xDFform f\xFCr Ohr")),
        ("name with keywords", with_name(b"facet normal solid endsolid")),
        ("no line end at the end", plain.trim_end().into()),
        ("padding of old systems", before(b"\x1A\0\0")),
        ("exponents and signs", plain.replace("4.5", "+45.0E-001").replace(" 3 ", " 3. ").into()),
        ("one long line", plain.replace('\n', " ").replacen("solid t ", "solid t\n", 1).into()),
    ];
    for (form, bytes) in forms {
        let mesh = read(&bytes, None).unwrap_or_else(|error| panic!("{form}: {error}"));
        assert_tetrahedron(&mesh, Format::StlAscii);
    }
}

#[test]
fn several_ascii_solids_are_one_mesh() {
    let halves = stl_ascii("one", &TETRAHEDRON[..2]) + &stl_ascii("", &TETRAHEDRON[2..]);
    assert_tetrahedron(&read_whole(halves.as_bytes()), Format::StlAscii);
    let with_empty = stl_ascii("nothing", &[]) + &halves + "solid\nendsolid";
    assert_tetrahedron(&read_whole(with_empty.as_bytes()), Format::StlAscii);
}

#[test]
fn ascii_numbers_keep_all_their_digits() {
    let text = stl_ascii("t", &TETRAHEDRON).replace("4.5", "0.123456789012345");
    assert_eq!(read_whole(text.as_bytes()).vertices[1].y, 0.123456789012345);
}

// ---- OBJ

#[test]
fn obj_is_read_in_all_the_forms_that_occur() {
    let plain = TETRAHEDRON_OBJ;
    let decorated = "mtllib a b.mtl\no body\nvt 0 0\nvn 0 0 1\nvn 0 1 0\ns off\nusemtl red\n";
    let faces = |from: &str, to: &str| {
        let (vertices, faces) = plain.split_once("f ").unwrap();
        format!("{vertices}{decorated}f {}", faces.replace(from, to)).into_bytes()
    };
    let forms: [(&str, Vec<u8>); 17] = [
        ("CR LF", plain.replace('\n', "\r\n").into()),
        ("CR", plain.replace('\n', "\r").into()),
        ("byte order mark", [b"\xEF\xBB\xBF", plain.as_bytes()].concat()),
        ("Latin-1 comment", [&b"# f\xFCr Gie\xDFer\n"[..], plain.as_bytes()].concat()),
        ("comment ending in a backslash", format!("# C:\\models\\\n{plain}").into()),
        ("comments behind", plain.replace('\n', " # why\n").into()),
        ("groups", plain.replace("f 1 4 2", "g top lid\nusemtl blue\nf 1 4 2\no next").into()),
        ("tabs and spaces", plain.replace(' ', " \t ").into()),
        (
            "continuation",
            plain.replace("1 3 4", "1 \\\n3 \\\r\n4").replace("v 3 0", "v 3\\\n0").into(),
        ),
        ("negative numbers", plain.replace("f 3 2 4", "f -2 -3 -1").into()),
        ("weights of one", plain.replace("v 3 0 0", "v 3 0 0 1.0").into()),
        ("colours", plain.replace("v 3 0 0", "v 3 0 0 0.5 0.5 1").into()),
        ("faces before their vertices", {
            let (vertices, faces) = plain.split_once("f ").unwrap();
            format!("f {faces}{vertices}").into()
        }),
        ("normals", faces("2", "2//1")),
        ("texture", faces("2", "2/1")),
        ("texture and normals", faces("2", "2/-1/2")),
        ("lines, points and curves beside", format!("{plain}l 1 2 3\np 1\ncurv 0 1 1 2\n").into()),
    ];
    for (form, bytes) in forms {
        let mesh = read(&bytes, None).unwrap_or_else(|error| panic!("{form}: {error}"));
        assert_tetrahedron(&mesh, Format::Obj);
    }
}

/// Exporters that leave `vn` out may still name normals in the faces.
#[test]
fn numbers_of_normals_that_are_nowhere_given_do_not_matter() {
    let text = TETRAHEDRON_OBJ.replace("f 1 2 3", "f 1//7 2//-9 3//1");
    assert_tetrahedron(&read_whole(text.as_bytes()), Format::Obj);
}

#[test]
fn a_last_obj_line_without_an_end_is_noted() {
    let mesh = read_whole(TETRAHEDRON_OBJ.trim_end().as_bytes());
    assert_tetrahedron(&mesh, Format::Obj);
    assert_eq!(mesh.findings[0].code, "no-line-end");
    let comment_at_end = format!("{TETRAHEDRON_OBJ}# that was all");
    for complete in [TETRAHEDRON_OBJ, &comment_at_end] {
        assert!(read_whole(complete.as_bytes()).findings.is_empty());
    }
}

#[test]
fn normals_and_texture_never_split_a_corner() {
    let text = "v 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 1 0\nvt 0 0\nvt 1 1\nvn 0 0 1\nvn 1 0 0\n\
                f 1/1/1 2/2/2 3/1/1\nf 1/2/2 4/1/1 2/1/2\n";
    let mesh = read_whole(text.as_bytes());
    assert_eq!(mesh.triangles, [[0, 1, 2], [0, 2, 1]]);
}

// ---- OBJ faces with more than three corners

fn one_face(corners: &[Vec3]) -> RawMesh {
    let mut text = String::new();
    for p in corners {
        text += &format!("v {} {} {}\n", p.x, p.y, p.z);
    }
    text += "f";
    for i in 1..=corners.len() {
        text += &format!(" {i}");
    }
    read_whole((text + "\n").as_bytes())
}

fn flat(corners: &[(f64, f64)]) -> Vec<Vec3> {
    corners.iter().map(|&(x, y)| Vec3::new(x, y, 0.0)).collect()
}

#[test]
fn a_convex_face_becomes_a_fan_from_its_first_corner() {
    let mesh = one_face(&flat(&[(0.0, 0.0), (2.0, 0.0), (3.0, 1.0), (2.0, 2.0), (0.0, 2.0)]));
    assert_eq!(mesh.triangles, [[0, 1, 2], [0, 2, 3], [0, 3, 4]]);
}

#[test]
fn a_notched_face_keeps_its_area_from_whichever_corner_it_begins() {
    // An arrow head: a fan from its second or fourth corner would cover 27 instead of 9.
    let arrow = flat(&[(0.0, 0.0), (3.0, -3.0), (0.0, 3.0), (-3.0, -3.0)]);
    let exact = 9.0;
    for start in 0..4 {
        let mut turned = arrow.clone();
        turned.rotate_left(start);
        for reversed in [false, true] {
            if reversed {
                turned.reverse();
            }
            let mesh = one_face(&turned);
            assert_eq!(mesh.triangles.len(), 2);
            assert!((area(&mesh) - exact).abs() < 1e-12, "{} from {start}", area(&mesh));
        }
    }
}

#[test]
fn corners_on_straight_sides_make_no_triangle_without_area() {
    let square = [
        (0.0, 0.0),
        (1.0, 0.0),
        (2.0, 0.0),
        (3.0, 0.0),
        (3.0, 1.0),
        (3.0, 3.0),
        (1.5, 3.0),
        (0.0, 3.0),
        (0.0, 2.0),
        (0.0, 1.0),
    ];
    for start in 0..square.len() {
        let mut turned = flat(&square);
        turned.rotate_left(start);
        let mesh = one_face(&turned);
        assert_eq!(mesh.triangles.len(), 8);
        assert!(triangle_areas(&mesh).all(|a| a > 0.1), "from {start}");
        assert!((area(&mesh) - 9.0).abs() < 1e-12);
    }
}

/// Here every ear that is left at some point has a corner that the face passes twice.
#[test]
fn a_corner_that_a_face_passes_twice_is_no_obstacle_to_itself() {
    let outer = [(4.0, 2.0), (8.0, 1.0), (3.0, 6.0), (1.0, 0.0)];
    let hole = [(2.0, 2.0), (3.0, 5.0), (4.0, 4.0)];
    let face = [&outer[..], &outer[..1], &hole[..], &hole[..1]].concat();
    let mesh = one_face(&flat(&face));
    assert!(mesh.findings.is_empty());
    assert_eq!(area(&mesh), shoelace(&outer) + shoelace(&hole));
}

#[test]
fn a_face_that_crosses_itself_is_cut_up_and_told() {
    let mesh = one_face(&flat(&[(0.0, 0.0), (2.0, 2.0), (2.5, 0.0), (0.0, 2.0), (-1.0, 1.0)]));
    assert_eq!(mesh.triangles.len(), 3);
    assert_eq!(mesh.findings[0].code, "crossing-faces");
}

#[test]
fn a_face_without_area_gives_triangles_without_area() {
    let mesh = one_face(&flat(&[(0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (3.0, 0.0)]));
    assert_eq!((mesh.triangles.len(), area(&mesh)), (2, 0.0));
}

#[test]
fn a_spiral_of_thousands_of_corners_is_cut_up_in_no_time() {
    let turns = 40.0 * std::f64::consts::PI;
    let along = |i: usize, inset: f64| {
        let angle = turns * i as f64 / 4000.0;
        let radius = 1.0 + angle / 10.0 - inset;
        (radius * angle.cos(), radius * angle.sin())
    };
    let there = (0..4000).map(|i| along(i, 0.0));
    let back = (0..4000).rev().map(|i| along(i, 0.2));
    let spiral: Vec<_> = there.chain(back).collect();
    let mesh = one_face(&flat(&spiral));
    assert_eq!(mesh.triangles.len(), 7998);
    assert!(mesh.findings.is_empty());
    assert!((area(&mesh) - shoelace(&spiral).abs()).abs() < 1e-9);
}

/// Area of a flat polygon by Gauss's formula.
fn shoelace(corners: &[(f64, f64)]) -> f64 {
    let next = corners.iter().cycle().skip(1);
    corners.iter().zip(next).map(|(a, b)| a.0 * b.1 - a.1 * b.0).sum::<f64>() / 2.0
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// A face with a hole, cut open along a bridge from border to border that is run twice.
    #[test]
    fn a_face_that_runs_round_a_hole_keeps_its_area(
        outer in prop::collection::vec(2.0_f64..5.0, 3..12),
        inner in prop::collection::vec(0.1_f64..0.9, 3..12),
    ) {
        let outer = star(&outer);
        let mut inner = star(&inner);
        inner[1..].reverse();
        let exact = shoelace(&outer) + shoelace(&inner);
        // Round the outer border, over the bridge, round the hole, and back over the bridge.
        let face = [&outer[..], &outer[..1], &inner[..], &inner[..1]].concat();
        let mesh = one_face(&flat(&face));
        prop_assert!(mesh.findings.is_empty());
        prop_assert_eq!(mesh.triangles.len(), outer.len() + inner.len());
        prop_assert!((area(&mesh) - exact).abs() < 1e-12);
    }

    #[test]
    fn a_star_shaped_face_in_any_plane_keeps_its_area(
        radii in prop::collection::vec(0.2_f64..5.0, 4..60),
        lean in prop::array::uniform3(-1.0_f64..1.0),
        shift in prop::array::uniform3(-1e3_f64..1e3),
    ) {
        let corners = star(&radii);
        let normal = Vec3::from_array(lean) + Vec3::new(0.0, 0.0, 1e-3);
        let e1 = across(normal);
        let e2 = normal.normalize().cross(e1);
        let placed: Vec<Vec3> =
            corners.iter().map(|&(x, y)| e1 * x + e2 * y + Vec3::from_array(shift)).collect();
        let mesh = one_face(&placed);
        prop_assert_eq!(mesh.triangles.len(), radii.len() - 2);
        prop_assert!(mesh.findings.is_empty());
        let exact = shoelace(&corners).abs();
        let error = area(&mesh) - exact;
        prop_assert!(error.abs() < 1e-9 * exact.max(1.0), "{error} of {exact}");
    }
}

/// Corners at these distances from the origin, turning counter-clockwise from the x axis.
fn star(radii: &[f64]) -> Vec<(f64, f64)> {
    let angle = |i: usize| std::f64::consts::TAU * i as f64 / radii.len() as f64;
    radii.iter().enumerate().map(|(i, r)| (r * angle(i).cos(), r * angle(i).sin())).collect()
}

/// A unit vector across this one.
fn across(direction: Vec3) -> Vec3 {
    let axis = if direction.x.abs() < direction.y.abs() { Vec3::X } else { Vec3::Y };
    direction.cross(axis).normalize()
}
