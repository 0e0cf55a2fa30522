//! PLY is read right in all the shapes in which it occurs.
//!
//! Oracles: files written by `ply-rs-bw`, files written by hand after the format's description.

mod bytes;

use bytes::{TETRAHEDRON_INDICES, assert_tetrahedra, assert_tetrahedron};
use cavigram::finding::Severity;
use cavigram::formats::{Format, RawMesh, read};
use ply_rs_bw::ply::{
    DefaultElement, ElementDef, Encoding, Ply, Property, PropertyDef, PropertyType, ScalarType,
};
use ply_rs_bw::writer::Writer;
use proptest::prelude::*;

fn read_whole(bytes: &[u8]) -> RawMesh {
    read(bytes, None).unwrap_or_else(|error| panic!("{error}"))
}

const ASCII: &str = "ply\nformat ascii 1.0\ncomment four faces\n\
    element vertex 4\nproperty float x\nproperty float y\nproperty float z\n\
    element face 4\nproperty list uchar int vertex_indices\nend_header\n\
    0 0 0\n0 4.5 0\n3 0 0\n0 0 5.25\n\
    3 0 1 2\n3 0 2 3\n3 0 3 1\n3 2 1 3\n";

const CORNERS: [[f64; 3]; 4] =
    [[0.0, 0.0, 0.0], [0.0, 4.5, 0.0], [3.0, 0.0, 0.0], [0.0, 0.0, 5.25]];

/// The tetrahedron with all numbers of these types, in the byte order asked for.
fn binary(big: bool, coordinate: &str, count: &str, index: &str, header_end: &str) -> Vec<u8> {
    let order = if big { "big" } else { "little" };
    let mut file = format!(
        "ply\nformat binary_{order}_endian 1.0\nelement vertex 4\nproperty {coordinate} x\n\
         property {coordinate} y\nproperty {coordinate} z\nelement face 4\n\
         property list {count} {index} vertex_index\nend_header\n"
    )
    .replace('\n', header_end)
    .into_bytes();
    let mut put = |kind: &str, value: f64| {
        let mut bytes = match kind {
            "char" | "int8" => (value as i8).to_le_bytes().to_vec(),
            "uchar" | "uint8" => (value as u8).to_le_bytes().to_vec(),
            "short" | "int16" => (value as i16).to_le_bytes().to_vec(),
            "ushort" | "uint16" => (value as u16).to_le_bytes().to_vec(),
            "int" | "int32" => (value as i32).to_le_bytes().to_vec(),
            "uint" | "uint32" => (value as u32).to_le_bytes().to_vec(),
            "float" | "float32" => (value as f32).to_le_bytes().to_vec(),
            _ => value.to_le_bytes().to_vec(),
        };
        if big {
            bytes.reverse();
        }
        file.extend(bytes);
    };
    // Whole numbers, so that they fit every type; the test scales them.
    CORNERS.iter().flatten().for_each(|&c| put(coordinate, c * 4.0));
    for triangle in TETRAHEDRON_INDICES {
        let [a, b, c] = triangle;
        put(count, 3.0);
        // The file's numbering is that of `CORNERS`, which is the reader's own.
        [a, b, c].into_iter().for_each(|v| put(index, f64::from(v)));
    }
    file
}

#[test]
fn every_type_of_number_is_read_in_both_byte_orders() {
    let coordinates = ["char", "int16", "short", "int", "int32", "float", "float32", "double"];
    let counts = ["char", "uchar", "uint8", "short", "ushort", "int", "uint32"];
    for big in [false, true] {
        for (i, coordinate) in coordinates.iter().enumerate() {
            for (j, count) in counts.iter().enumerate() {
                let index = counts[(i + j) % counts.len()];
                for line_end in ["\n", "\r\n", "\r"] {
                    let file = binary(big, coordinate, count, index, line_end);
                    let mut mesh = read_whole(&file);
                    mesh.vertices.iter_mut().for_each(|v| *v /= 4.0);
                    assert_tetrahedron(&mesh, Format::PlyBinary);
                    assert!(mesh.findings.is_empty());
                }
            }
        }
    }
}

/// Behind a header whose lines end in LF or CR the body may begin with the other's byte.
#[test]
fn a_body_that_begins_like_a_line_end_is_not_cut() {
    for (line_end, first) in [("\n", b'\r'), ("\n", b'\n'), ("\r", b'\n'), ("\r\n", b'\r')] {
        let mut file = binary(false, "float", "uchar", "int", line_end);
        let body = file.len() - 4 * 12 - 4 * 13;
        file[body] = first;
        let mesh = read_whole(&file);
        assert_eq!(mesh.vertices[0].x, f64::from(f32::from_le_bytes([first, 0, 0, 0])));
        assert_eq!(mesh.triangles.len(), 4);
    }
}

#[test]
fn ascii_is_read_in_all_the_forms_that_occur() {
    let extra = "property uchar red\nproperty list int float weights\nproperty double z\n";
    let forms: [(&str, Vec<u8>); 12] = [
        ("plain", ASCII.into()),
        ("CR LF", ASCII.replace('\n', "\r\n").into()),
        ("CR", ASCII.replace('\n', "\r").into()),
        ("other list name", ASCII.replace("vertex_indices", "vertex_index").into()),
        (
            "Latin-1 comment",
            [&b"ply\ncomment G\xFCte\nobj_info 1 2\n"[..], &ASCII.as_bytes()[4..]].concat(),
        ),
        ("blank lines", ASCII.replace("\n3 0 2", "\n\n \n3 0 2").into()),
        ("no line end", ASCII.trim_end().into()),
        ("padding", format!("{ASCII}\n\n\0\0\x1A").into()),
        (
            "extra properties",
            ASCII
                .replace("property float z\n", extra)
                .replace(
                    "0 0 0\n0 4.5 0\n3 0 0\n0 0 5.25\n",
                    "0 0 255 0 0\n0 4.5 1 2 .5 -7 0\n3 0 9 1 3 0\n0 0 0 0 5.25\n",
                )
                .into(),
        ),
        (
            "extra elements",
            ASCII
                .replace(
                    "element vertex",
                    "element camera 1\nproperty float f\nelement nothing 7\nelement vertex",
                )
                .replace(
                    "end_header\n",
                    "element edge 2\nproperty list uchar int ends\nend_header\n8.5\n",
                )
                .replace("3 2 1 3\n", "3 2 1 3\n2 0 1\n0\n")
                .into(),
        ),
        (
            "face properties on both sides",
            ASCII
                .replace("property list uchar", "property int group\nproperty list uchar")
                .replace("end_header", "property float quality\nend_header")
                .replace(
                    "\n3 0 1 2\n3 0 2 3\n3 0 3 1\n3 2 1 3\n",
                    "\n7 3 0 1 2 .5\n7 3 0 2 3 .5\n7 3 0 3 1 .5\n7 3 2 1 3 1e9\n",
                )
                .into(),
        ),
        ("faces first", {
            let (head, body) = ASCII.split_once("end_header\n").unwrap();
            let (vertex, face) = head.split_once("element face").unwrap();
            let (start, vertex) = vertex.split_once("element vertex").unwrap();
            let (points, faces) = body.split_at(body.find("3 0 1 2").unwrap());
            format!("{start}element face{face}element vertex{vertex}end_header\n{faces}{points}")
                .into()
        }),
    ];
    assert_tetrahedra(&forms, Format::PlyAscii, "no line end");
}

#[test]
fn polygons_are_cut_and_seams_joined() {
    // A square whose second half names copies of two corners, and a point that nobody names.
    let text = "ply\nformat ascii 1.0\nelement vertex 7\nproperty float x\nproperty float y\n\
        property float z\nelement face 2\nproperty list uchar int vertex_indices\nend_header\n\
        9 9 9\n0 0 0\n2 0 0\n2 2 0\n0 2 0\n-0 0 0\n2 2 -0\n4 1 2 3 4\n3 5 6 2\n";
    let mesh = read_whole(text.as_bytes());
    assert_eq!(mesh.triangles, [[0, 1, 2], [0, 2, 3], [0, 2, 1]]);
    assert_eq!(mesh.vertices.len(), 4);
}

/// Every other triangle of a strip runs the other way; −1 and doubled corners join strips.
#[test]
fn strips_of_triangles_are_read() {
    let text = ASCII
        .replace("element face 4\n", "element tristrips 1\n")
        .replace("3 0 1 2\n3 0 2 3\n3 0 3 1\n3 2 1 3\n", "13 0 1 2 3 -1 0 3 1 -1 0 0 1 -1\n");
    let mesh = read_whole(text.as_bytes());
    assert_eq!(mesh.triangles, [[0, 1, 2], [2, 1, 3], [0, 3, 1]]);
}

#[test]
fn bytes_behind_a_binary_body_are_told() {
    let mut file = binary(true, "double", "uchar", "uint", "\n");
    file.extend(b"\n\n");
    let mesh = read_whole(&file);
    assert_eq!(mesh.triangles.len(), 4);
    let [finding] = &mesh.findings[..] else { panic!("{:?}", mesh.findings) };
    assert_eq!((finding.code, finding.severity), ("trailing-bytes", Severity::Warning));
}

/// The mesh as `ply-rs-bw` writes it, with a colour and a normal beside.
fn written_elsewhere(points: &[[f32; 3]], faces: &[Vec<i32>], encoding: Encoding) -> Vec<u8> {
    let mut ply = Ply::<DefaultElement>::new();
    ply.header.encoding = encoding;
    let mut vertex = ElementDef::new("vertex".to_owned());
    for name in ["nx", "x", "y", "z"] {
        let kind = PropertyType::Scalar(ScalarType::Float);
        vertex.properties.insert(name.to_owned(), PropertyDef::new(name.to_owned(), kind));
    }
    let mut face = ElementDef::new("face".to_owned());
    let list = PropertyType::List(ScalarType::UChar, ScalarType::Int);
    let name = "vertex_index".to_owned();
    face.properties.insert(name.clone(), PropertyDef::new(name.clone(), list));
    ply.header.elements.insert("vertex".to_owned(), vertex);
    ply.header.elements.insert("face".to_owned(), face);
    let mut vertices = Vec::new();
    for p in points {
        let mut element = DefaultElement::default();
        for (name, value) in ["nx", "x", "y", "z"].into_iter().zip([0.5, p[0], p[1], p[2]]) {
            element.insert(name.to_owned(), Property::Float(value));
        }
        vertices.push(element);
    }
    let mut records = Vec::new();
    for corners in faces {
        let mut element = DefaultElement::default();
        element.insert(name.clone(), Property::ListInt(corners.clone()));
        records.push(element);
    }
    ply.payload.insert("vertex".to_owned(), vertices);
    ply.payload.insert("face".to_owned(), records);
    let mut bytes = Vec::new();
    Writer::new().write_ply(&mut bytes, &mut ply).unwrap();
    bytes
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn what_another_writer_writes_is_read(
        points in prop::collection::vec(prop::array::uniform3(-1e6_f32..1e6), 3..30),
        faces in prop::collection::vec(prop::array::uniform3(any::<prop::sample::Index>()), 1..30),
    ) {
        let faces: Vec<Vec<i32>> = faces
            .iter()
            .map(|f| f.iter().map(|i| i.index(points.len()) as i32).collect())
            .collect();
        let encodings =
            [Encoding::Ascii, Encoding::BinaryLittleEndian, Encoding::BinaryBigEndian];
        for encoding in encodings {
            let mesh = read_whole(&written_elsewhere(&points, &faces, encoding));
            prop_assert_eq!(mesh.triangles.len(), faces.len());
            for (ours, theirs) in mesh.triangles.iter().flatten().zip(faces.iter().flatten()) {
                // The text has as many digits as tell one single from the next.
                let position = mesh.vertices[*ours as usize].to_array().map(|c| c as f32);
                prop_assert_eq!(position, points[*theirs as usize]);
            }
        }
    }
}
