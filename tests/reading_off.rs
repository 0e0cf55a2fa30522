//! OFF and files packed with gzip are read right in all the shapes in which they occur.

mod bytes;

use std::io::Write;

use bytes::{
    TETRAHEDRON, TETRAHEDRON_OBJ, assert_tetrahedra, assert_tetrahedron, stl_ascii, stl_binary,
};
use cavigram::formats::{Format, read};
use flate2::Compression;
use flate2::write::GzEncoder;

const PLAIN: &str = "OFF\n4 4 6\n0 0 0\n0 4.5 0\n3 0 0\n0 0 5.25\n\
    3 0 1 2\n3 0 2 3\n3 0 3 1\n3 2 1 3\n";

#[test]
fn off_is_read_in_all_the_forms_that_occur() {
    let points = "0 0 0\n0 4.5 0\n3 0 0\n0 0 5.25\n";
    let forms: [(&str, Vec<u8>); 15] = [
        ("plain", PLAIN.into()),
        ("counts behind the keyword", PLAIN.replace("OFF\n", "OFF ").into()),
        ("counts glued to the keyword", PLAIN.replace("OFF\n", "OFF").into()),
        ("no number of edges", PLAIN.replace("4 4 6", "4 4").into()),
        ("wrong number of edges", PLAIN.replace("4 4 6", "4 4 -1").into()),
        ("CR LF", PLAIN.replace('\n', "\r\n").into()),
        ("CR", PLAIN.replace('\n', "\r").into()),
        ("byte order mark", [b"\xEF\xBB\xBF", PLAIN.as_bytes()].concat()),
        ("comments", format!("# by hand\n\n{}", PLAIN.replace('\n', " # why\n#\n\n")).into()),
        ("Latin-1 comment", [PLAIN.as_bytes(), b"# f\xFCr Daumen"].concat()),
        ("colours of faces", PLAIN.replace("3 2 1 3", "3 2 1 3 255 0 0").into()),
        ("colours", PLAIN.replace("OFF", "COFF").replace("5.25", "5.25 0.5 0.5 1 1").into()),
        ("normals", PLAIN.replace("OFF", "NOFF").replace("4.5 0", "4.5 0 0 0 1").into()),
        ("texture", PLAIN.replace("OFF", "STOFF").replace("5.25", "5.25 .5 .5").into()),
        ("exponents", PLAIN.replace(points, "0 0 0\n0 45e-1 0\n+3 0 0\n0 0 5.25E0\n").into()),
    ];
    assert_tetrahedra(&forms, Format::Off, "Latin-1 comment");
}

#[test]
fn polygons_of_off_are_cut() {
    let text = "OFF 5 1 0\n0 0 0\n2 0 0\n3 1 0\n2 2 0\n0 2 0\n5 0 1 2 3 4\n";
    let mesh = read(text.as_bytes(), Some("a.off")).unwrap();
    assert_eq!(mesh.triangles, [[0, 1, 2], [0, 2, 3], [0, 3, 4]]);
}

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::default());
    encoder.write_all(bytes).unwrap();
    encoder.finish().unwrap()
}

#[test]
fn packed_files_are_read_as_what_is_in_them() {
    let ascii = stl_ascii("t", &TETRAHEDRON);
    let binary = stl_binary(&TETRAHEDRON);
    let files: [(&[u8], Format); 4] = [
        (ascii.as_bytes(), Format::StlAscii),
        (TETRAHEDRON_OBJ.as_bytes(), Format::Obj),
        (PLAIN.as_bytes(), Format::Off),
        (&binary, Format::StlBinary),
    ];
    for (bytes, format) in files {
        for name in [None, Some("a.obj.gz"), Some("A.STL.GZ"), Some("scan")] {
            let mesh = read(&gzip(bytes), name).unwrap();
            assert_tetrahedron(&mesh, format);
        }
        let (first, second) = bytes.split_at(bytes.len() / 3);
        let members = [gzip(first), gzip(&[]), gzip(second)].concat();
        assert_tetrahedron(&read(&members, None).unwrap(), format);
    }
}
