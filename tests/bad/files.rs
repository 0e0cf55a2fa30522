//! Files that are cut, miscounted, oddly written or no mesh at all.

use std::io::Write;

use flate2::Compression;
use flate2::write::GzEncoder;

use super::{BOX_CM3, Bad, Outcome, bad, plain, plain_obj};
use crate::bytes::archive::{self, Entry};

pub fn all() -> Vec<Bad> {
    [counts(), lines(), faces(), packed(), no_meshes()].into_iter().flatten().collect()
}

/// The box as PLY text.
pub fn plain_ply() -> String {
    let shape = plain();
    let mut text = format!(
        "ply\nformat ascii 1.0\nelement vertex {}\nproperty double x\nproperty double y\n\
         property double z\nelement face {}\nproperty list uchar int vertex_indices\nend_header\n",
        shape.vertices.len(),
        shape.triangles.len()
    );
    shape.vertices.iter().for_each(|[x, y, z]| text += &format!("{x} {y} {z}\n"));
    shape.triangles.iter().for_each(|[a, b, c]| text += &format!("3 {a} {b} {c}\n"));
    text
}

/// The box as OFF.
pub fn plain_off() -> String {
    let body = plain_ply();
    let body = body.split_once("end_header\n").map_or("", |(_, body)| body);
    format!("OFF\n8 12 18\n{body}")
}

/// The box as ASCII STL.
pub fn plain_ascii() -> String {
    let shape = plain();
    let mut text = String::from("solid box\n");
    for triangle in &shape.triangles {
        text += "facet normal 0 0 0\nouter loop\n";
        for [x, y, z] in triangle.map(|v| shape.vertices[v as usize]) {
            text += &format!("vertex {x} {y} {z}\n");
        }
        text += "endloop\nendfacet\n";
    }
    text + "endsolid box\n"
}

/// The box as the model of a 3MF package.
pub fn plain_model() -> String {
    let shape = plain();
    let points =
        shape.vertices.iter().map(|[x, y, z]| format!("<vertex x=\"{x}\" y=\"{y}\" z=\"{z}\"/>"));
    let faces = shape
        .triangles
        .iter()
        .map(|[a, b, c]| format!("<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>"));
    let object = format!(
        "<object id=\"1\"><mesh><vertices>{}</vertices><triangles>{}</triangles></mesh></object>",
        points.collect::<String>(),
        faces.collect::<String>()
    );
    archive::model("unit=\"millimeter\"", &object, "<item objectid=\"1\"/>")
}

pub fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::default());
    encoder.write_all(bytes).expect("memory takes all");
    encoder.finish().expect("memory takes all")
}

fn counts() -> Vec<Bad> {
    let counted = |count: u32| {
        let mut bytes = plain().stl();
        bytes[80..84].copy_from_slice(&count.to_le_bytes());
        bytes
    };
    let with_tail = [plain().stl(), b"made by hand".to_vec()].concat();
    vec![
        bad(
            "count-high.stl",
            "one triangle more announced than there are",
            counted(13),
            Outcome::Unread("13"),
        ),
        bad(
            "count-low.stl",
            "one triangle fewer announced than there are",
            counted(11),
            Outcome::Unread("11"),
        ),
        bad(
            "count-full.stl",
            "4,294,967,295 triangles announced",
            counted(u32::MAX),
            Outcome::Unread("4294967295"),
        ),
        bad("count-none.stl", "no triangles announced", counted(0), Outcome::Unread("0")),
        bad(
            "tail.stl",
            "12 bytes behind the last triangle",
            with_tail,
            Outcome::told(BOX_CM3, "trailing-bytes"),
        ),
        bad(
            "cut.stl",
            "a binary STL without its last byte",
            plain().stl()[..683].to_vec(),
            Outcome::Unread("12"),
        ),
        bad(
            "cut.ply",
            "a PLY without its last faces",
            plain_ply().rsplitn(4, '\n').last().unwrap_or_default().to_owned(),
            Outcome::Unread("face"),
        ),
        bad(
            "count-high.ply",
            "two billion vertices announced",
            plain_ply().replace("vertex 8", "vertex 2000000000"),
            Outcome::Unread("more than the file can hold"),
        ),
        bad(
            "count-high.off",
            "more faces announced than there are",
            plain_off().replace("8 12", "8 13"),
            Outcome::Unread("face"),
        ),
        bad(
            "count-negative.off",
            "a negative count",
            plain_off().replace("8 12", "-8 12"),
            Outcome::Unread("line 2"),
        ),
    ]
}

fn lines() -> Vec<Bad> {
    let mixed: String = plain_obj()
        .lines()
        .enumerate()
        .map(|(i, line)| format!("{line}{}", ["\n", "\r\n"][i % 2]))
        .collect();
    let old = plain_obj().replace('\n', "\r");
    let wide: Vec<u8> = plain_obj().encode_utf16().flat_map(u16::to_le_bytes).collect();
    let long = format!("# {}\n{}", "x".repeat(1 << 20), plain_obj());
    let long_word = plain_obj().replacen("v 40 0 0", &format!("v {} 0 0", "x".repeat(1 << 20)), 1);
    let name = [b"o caf\xe9 \xff\xfe\n", plain_obj().as_bytes()].concat();
    let solid = [
        b"solid caf\xe9 \xff\n",
        plain_ascii().split_once('\n').map_or("", |(_, rest)| rest).as_bytes(),
    ]
    .concat();
    let header = {
        let mut bytes = plain().stl();
        bytes[..18].copy_from_slice(b"solid made by hand");
        bytes
    };
    vec![
        bad("mixed-lines.obj", "line ends of both kinds in turn", mixed, Outcome::exactly(BOX_CM3)),
        bad(
            "old-lines.obj",
            "carriage returns alone for line ends",
            old,
            Outcome::exactly(BOX_CM3),
        ),
        bad(
            "marked.obj",
            "a byte-order mark in front",
            ["\u{feff}", &plain_obj()].concat(),
            Outcome::exactly(BOX_CM3),
        ),
        bad(
            "wide.obj",
            "text in UTF-16",
            [b"\xff\xfe".to_vec(), wide].concat(),
            Outcome::Unread("UTF-16"),
        ),
        bad("long-line.obj", "a remark of a million letters", long, Outcome::exactly(BOX_CM3)),
        bad(
            "long-word.obj",
            "a number of a million letters x",
            long_word,
            Outcome::Unread("line 2"),
        ),
        bad("bad-name.obj", "a name that is no UTF-8", name, Outcome::exactly(BOX_CM3)),
        bad("bad-solid.stl", "a solid's name that is no UTF-8", solid, Outcome::exactly(BOX_CM3)),
        bad(
            "solid-binary.stl",
            "a binary STL that begins with `solid`",
            header,
            Outcome::exactly(BOX_CM3),
        ),
        bad(
            "tabs.obj",
            "tabs, blanks and empty lines",
            plain_obj().replace(' ', " \t ").replace('\n', " \n\n\t\n"),
            Outcome::exactly(BOX_CM3),
        ),
        bad(
            "zero-bytes.obj",
            "zero bytes in the middle",
            plain_obj().replacen("v 40", "v\0\0 40", 1),
            Outcome::Unread("none of the known mesh formats"),
        ),
    ]
}

fn faces() -> Vec<Bad> {
    let with = |line: &str| plain_obj() + line + "\n";
    let vertices: String = plain_obj()
        .lines()
        .filter(|line| line.starts_with('v'))
        .map(|line| format!("{line}\n"))
        .collect();
    let quads =
        [[1, 3, 4, 2], [5, 6, 8, 7], [1, 2, 6, 5], [3, 7, 8, 4], [1, 5, 7, 3], [2, 4, 8, 6]];
    let faces = |list: &[[u32; 4]]| -> String {
        list.iter().map(|[a, b, c, d]| format!("f {a} {b} {c} {d}\n")).collect()
    };
    let mut bow = quads;
    bow[2].swap(2, 3);
    let backwards = quads.map(|face| face.map(|corner| i64::from(corner) - 9));
    let negative: String =
        backwards.iter().map(|[a, b, c, d]| format!("f {a} {b} {c} {d}\n")).collect();
    let notched = "v 0 0 0\nv 40 0 0\nv 40 30 0\nv 20 10 0\nv 0 30 0\nv 0 0 20\nv 40 0 20\nv 40 30 20\nv 20 10 20\nv 0 30 20\n\
        f 5 4 3 2 1\nf 6 7 8 9 10\nf 1 2 7 6\nf 2 3 8 7\nf 3 4 9 8\nf 4 5 10 9\nf 5 1 6 10\n";
    vec![
        bad(
            "repeated-corner.obj",
            "faces with one corner twice",
            with("f 1 1 2\nf 3 4 3"),
            Outcome::exactly(BOX_CM3),
        ),
        bad(
            "crossing-face.obj",
            "a side whose corners are in the wrong order",
            vertices.clone() + &faces(&bow),
            Outcome::Untrusted("too much is missing"),
        ),
        bad(
            "negative.obj",
            "faces that count backwards",
            vertices.clone() + &negative,
            Outcome::exactly(BOX_CM3),
        ),
        bad(
            "notched.obj",
            "faces with a notch",
            notched,
            Outcome::exactly((40.0 * 30.0 - 40.0 * 20.0 / 2.0) * 20.0 / 1000.0),
        ),
        bad("face-of-two.obj", "a face of two corners", with("f 1 2"), Outcome::Unread("line 21")),
        bad("corner-9.obj", "a corner that isn't there", with("f 1 2 9"), Outcome::Unread("9")),
        bad("corner-0.obj", "a corner of number 0", with("f 0 1 2"), Outcome::Unread("line 21")),
        bad(
            "corner-huge.obj",
            "a corner of 30 digits",
            with(&format!("f 1 2 {}", "9".repeat(30))),
            Outcome::Unread("line 21"),
        ),
        bad("points.obj", "points without faces", vertices, Outcome::Unread("point cloud")),
        bad(
            "corner-8.off",
            "a corner that isn't there",
            plain_off().replacen("3 0 2 3", "3 0 2 8", 1),
            Outcome::Unread("8"),
        ),
        bad(
            "long-list.ply",
            "a face of 255 corners, of which three are there",
            plain_ply().replacen("3 0 2 3", "255 0 2 3", 1),
            Outcome::Unread("line 18"),
        ),
    ]
}

fn packed() -> Vec<Bad> {
    let whole = gzip(plain_obj().as_bytes());
    let picture = archive::zip(&[Entry::stored("picture.png", b"\x89PNG\r\n")]);
    let broken = plain_model().replace("v3=\"3\"", "v3=\"33\"");
    let endless = "<?xml version=\"1.0\"?><!DOCTYPE m [<!ENTITY a \"&b;&b;\"><!ENTITY b \"&a;&a;\">]><model>&a;</model>";
    vec![
        bad(
            "cut.obj.gz",
            "a gzip file cut in the middle",
            whole[..whole.len() / 2].to_vec(),
            Outcome::Unread("cut off"),
        ),
        bad(
            "twice.obj.gz",
            "a gzip file in a gzip file",
            gzip(&whole),
            Outcome::Unread("packed twice"),
        ),
        bad("picture.zip", "an archive with a picture in it", picture, Outcome::Unread("3MF")),
        bad(
            "corner-33.3mf",
            "a package that names a corner that isn't there",
            archive::package(&broken),
            Outcome::Unread("33"),
        ),
        bad(
            "endless.3mf",
            "a package of entities that grow without end",
            archive::package(endless),
            Outcome::Unread("3D/3dmodel.model"),
        ),
        bad(
            "cut.3mf",
            "a package cut in the middle",
            archive::package(&plain_model())[..600].to_vec(),
            Outcome::Unread("damaged"),
        ),
    ]
}

fn no_meshes() -> Vec<Bad> {
    vec![
        bad("empty.stl", "an empty file", "", Outcome::Unread("empty")),
        bad("zeros.stl", "1000 zero bytes", vec![0; 1000], Outcome::Unread("no triangles")),
        bad(
            "prose.obj",
            "prose",
            "It was a bright cold day,\nand nothing was cast.\n",
            Outcome::Unread("no triangles"),
        ),
        bad(
            "page.stl",
            "a web page",
            "<!DOCTYPE html><html><body>not found</body></html>",
            Outcome::Unread("web page"),
        ),
        bad(
            "step.stp",
            "a CAD file in STEP",
            "ISO-10303-21;\nHEADER;\nENDSEC;\n",
            Outcome::Unread("STEP"),
        ),
    ]
}
