//! 3MF packages are read right: units, parts, components, placements (reference F7).

mod bytes;

use bytes::archive::{Entry, model, package, relationships, tetrahedron, zip, zip64};
use bytes::assert_tetrahedron;
use cavigram::formats::{Format, RawMesh, read};
use cavigram::mesh::Vec3;
use cavigram::units::LengthUnit;

const ITEM: &str = "<item objectid=\"1\"/>";

fn read_whole(bytes: &[u8]) -> RawMesh {
    read(bytes, None).unwrap_or_else(|error| panic!("{error}"))
}

fn read_model(resources: &str, build: &str) -> RawMesh {
    read_whole(&package(&model("", resources, build)))
}

/// Signed, by the divergence theorem.
fn volume(mesh: &RawMesh) -> f64 {
    let corners = mesh.triangles.iter().map(|t| t.map(|v| mesh.vertices[v as usize]));
    corners.map(|[a, b, c]| a.dot(b.cross(c)) / 6.0).sum()
}

fn box_of(mesh: &RawMesh) -> [Vec3; 2] {
    let all = || mesh.vertices.iter().copied();
    [all().fold(mesh.vertices[0], Vec3::min), all().fold(mesh.vertices[0], Vec3::max)]
}

/// The tetrahedron's own.
const VOLUME: f64 = 3.0 * 4.5 * 5.25 / 6.0;

#[test]
fn every_unit_is_told_and_millimetres_where_there_is_none() {
    let units = [
        ("", LengthUnit::Millimetre),
        ("unit=\"micron\"", LengthUnit::Micrometre),
        ("unit=\"millimeter\"", LengthUnit::Millimetre),
        ("unit=\"centimeter\"", LengthUnit::Centimetre),
        ("unit=\"inch\"", LengthUnit::Inch),
        ("unit=\"foot\"", LengthUnit::Foot),
        ("unit=\"meter\"", LengthUnit::Metre),
    ];
    for (attribute, unit) in units {
        let mesh = read_whole(&package(&model(attribute, &tetrahedron("id=\"1\""), ITEM)));
        assert_tetrahedron(&mesh, Format::ThreeMf);
        assert_eq!(mesh.unit, Some(unit));
        assert!(mesh.findings.is_empty());
    }
}

#[test]
fn only_what_the_build_reaches_counts() {
    let objects: String = [
        tetrahedron("id=\"1\""),
        tetrahedron("id=\"2\" type=\"model\""),
        tetrahedron("id=\"3\" type=\"support\""),
        tetrahedron("id=\"4\" type=\"other\""),
    ]
    .concat();
    assert_tetrahedron(&read_model(&objects, ITEM), Format::ThreeMf);
    let mesh = read_model(&objects, "<item objectid=\"3\"/><item objectid=\"2\"/>");
    assert_tetrahedron(&mesh, Format::ThreeMf);
    assert_eq!(mesh.findings[0].code, "supports-left-out");
}

/// Numbers worked by hand: rows times the matrix, component first, then item.
#[test]
fn components_and_items_are_placed_from_inside_out() {
    let turned = "transform=\"0 1 0 -1 0 0 0 0 1 10 0 0\"";
    let holder = format!(
        "<object id=\"2\"><components><component objectid=\"1\" {turned}/>\
         <component objectid=\"1\"/></components></object>"
    );
    let build = "<item objectid=\"2\" transform=\"2 0 0 0 1 0 0 0 1 0 0 100\"/>";
    let mesh = read_model(&(tetrahedron("id=\"1\"") + &holder), build);
    assert_eq!(mesh.triangles.len(), 8);
    // (3, 0, 0) goes to (10, 3, 0), then to (20, 3, 100); (0, 4.5, 0) to (11, 0, 100).
    for expected in [[20.0, 3.0, 100.0], [11.0, 0.0, 100.0], [6.0, 0.0, 100.0]] {
        assert!(mesh.vertices.contains(&Vec3::from_array(expected)), "{expected:?}");
    }
    assert_eq!(volume(&mesh), 2.0 * 2.0 * VOLUME);
    assert_eq!(box_of(&mesh)[1], Vec3::new(20.0, 4.5, 105.25));
}

#[test]
fn a_mirroring_placement_keeps_the_volumes_sign() {
    for mirror in ["-1 0 0 0 1 0 0 0 1", "0 1 0 1 0 0 0 0 1", "-1 0 0 0 -1 0 0 0 -1"] {
        let build = format!("<item objectid=\"1\" transform=\"{mirror} 0 0 0\"/>");
        let mesh = read_model(&tetrahedron("id=\"1\""), &build);
        assert_eq!(volume(&mesh), VOLUME);
    }
    // Twice mirrored is not mirrored: a component within an item.
    let holder = "<object id=\"2\"><components><component objectid=\"1\" \
        transform=\"1 0 0 0 1 0 0 0 -1 0 0 0\"/></components></object>";
    let build = "<item objectid=\"2\" transform=\"1 0 0 0 1 0 0 0 -1 0 0 0\"/>";
    let mesh = read_model(&(tetrahedron("id=\"1\"") + holder), build);
    assert_tetrahedron(&mesh, Format::ThreeMf);
}

#[test]
fn the_model_is_found_by_its_relationship_whatever_its_name() {
    let text = model("", &tetrahedron("id=\"1\""), ITEM);
    let decoy = Entry::stored("3D/3dmodel.model", b"<model/>");
    for (target, name) in [
        ("/Other/part one.model", "Other/part one.model"),
        ("/Other/part%20one.model", "Other/part one.model"),
        ("Other/Piece.MODEL", "other/piece.model"),
        ("/a.xml", "a.xml"),
    ] {
        let part = Entry::deflated(name, text.as_bytes());
        let file = zip(&[decoy.clone(), part, relationships(target)]);
        assert_tetrahedron(&read_whole(&file), Format::ThreeMf);
    }
    // Without relationships the only model is meant, or the one of the usual name.
    let part = Entry::stored("3D/3dmodel.model", text.as_bytes());
    let other = Entry::stored("3D/other.model", b"<model/>");
    for entries in [vec![part.clone()], vec![other, part]] {
        assert_tetrahedron(&read_whole(&zip(&entries)), Format::ThreeMf);
    }
}

#[test]
fn objects_of_other_parts_are_found() {
    let far = model("", &tetrahedron("id=\"7\""), "");
    let root = model(
        "requiredextensions=\"p\"",
        "<object id=\"1\"><components><component objectid=\"7\" p:path=\"/3D/far.model\"/>\
         </components></object>",
        ITEM,
    );
    let by_item = model("", "", "<item objectid=\"7\" p:path=\"/3D/far.model\"/>");
    for text in [root, by_item] {
        let file = zip(&[
            relationships("/3D/3dmodel.model"),
            Entry::deflated("3D/3dmodel.model", text.as_bytes()),
            Entry::deflated("3D/far.model", far.as_bytes()),
        ]);
        assert_tetrahedron(&read_whole(&file), Format::ThreeMf);
    }
}

/// Prefixes are free; elements of other namespaces are not the model's.
#[test]
fn names_are_told_apart_by_their_namespace() {
    let text = model("", &tetrahedron("id=\"1\""), ITEM)
        .replace("xmlns=\"http", "xmlns=\"urn:other\" xmlns:c=\"http")
        .replace("<model", "<c:model")
        .replace("</model", "</c:model");
    let mut prefixed = text;
    for name in ["resources", "object", "mesh", "vertices", "vertex", "triangles", "triangle"]
        .into_iter()
        .chain(["build", "item"])
    {
        for end in [" ", ">", "/>"] {
            prefixed = prefixed
                .replace(&format!("<{name}{end}"), &format!("<c:{name}{end}"))
                .replace(&format!("</{name}{end}"), &format!("</c:{name}{end}"));
        }
    }
    let foreign = "<vertex x=\"1\" y=\"1\" z=\"1\"/><item objectid=\"9\"/>";
    let file = package(&prefixed.replace("</c:vertices>", &format!("{foreign}</c:vertices>")));
    assert_tetrahedron(&read_whole(&file), Format::ThreeMf);
}

/// As programs write that don't know beforehand how large a part gets.
#[test]
fn packages_with_64_bit_fields_are_read() {
    let text = model("", &tetrahedron("id=\"1\""), ITEM);
    let entries =
        [relationships("/3D/3dmodel.model"), Entry::deflated("3D/3dmodel.model", text.as_bytes())];
    assert_tetrahedron(&read_whole(&zip64(&entries)), Format::ThreeMf);
}
