//! Small mesh files made in memory.

// Every test file takes only some of them.
#![allow(dead_code)]

pub mod archive;
pub mod edits;

use cavigram::formats::{Format, RawMesh, read};
use cavigram::mesh::Vec3;

/// One triangle: three corners.
pub type Corners = [[f32; 3]; 3];

/// A tetrahedron with one corner at the origin, its faces outward.
pub const TETRAHEDRON: [Corners; 4] = {
    let [o, x, y, z] = [[0.0, 0.0, 0.0], [3.0, 0.0, 0.0], [0.0, 4.5, 0.0], [0.0, 0.0, 5.25]];
    [[o, y, x], [o, x, z], [o, z, y], [x, y, z]]
};

/// The numbers that a reader gives the tetrahedron's corners.
pub const TETRAHEDRON_INDICES: [[u32; 3]; 4] = [[0, 1, 2], [0, 2, 3], [0, 3, 1], [2, 1, 3]];

/// Binary STL with this header text and count, whatever the triangles are.
pub fn stl_binary_with(header: &[u8], count: u32, triangles: &[Corners]) -> Vec<u8> {
    let mut bytes = vec![0; 80];
    bytes[..header.len()].copy_from_slice(header);
    bytes.extend(count.to_le_bytes());
    for corners in triangles {
        bytes.extend([0; 12]);
        bytes.extend(corners.iter().flatten().flat_map(|c| c.to_le_bytes()));
        bytes.extend([0; 2]);
    }
    bytes
}

/// Binary STL with a blank header and its true count.
pub fn stl_binary(triangles: &[Corners]) -> Vec<u8> {
    stl_binary_with(b"", triangles.len() as u32, triangles)
}

/// One ASCII solid of this name.
pub fn stl_ascii(name: &str, triangles: &[Corners]) -> String {
    let mut text = format!("solid {name}\n");
    for corners in triangles {
        text += "  facet normal 0 0 0\n    outer loop\n";
        for [x, y, z] in corners {
            text += &format!("      vertex {x} {y} {z}\n");
        }
        text += "    endloop\n  endfacet\n";
    }
    text + &format!("endsolid {name}\n")
}

/// The tetrahedron as OBJ.
pub const TETRAHEDRON_OBJ: &str = "# four faces\n\
    v 0 0 0\nv 0 4.5 0\nv 3 0 0\nv 0 0 5.25\n\
    f 1 2 3\nf 1 3 4\nf 1 4 2\nf 3 2 4\n";

/// Whether the mesh is the tetrahedron, numbered by first appearance.
#[track_caller]
pub fn assert_tetrahedron(mesh: &RawMesh, format: Format) {
    assert_eq!(mesh.format, format);
    assert_eq!(mesh.triangles, TETRAHEDRON_INDICES);
    let expected = [[0.0, 0.0, 0.0], [0.0, 4.5, 0.0], [3.0, 0.0, 0.0], [0.0, 0.0, 5.25]];
    assert_eq!(mesh.vertices, expected.map(Vec3::from_array));
    let signs = mesh.vertices.iter().flat_map(|v| v.to_array());
    assert!(signs.into_iter().all(f64::is_sign_positive), "a -0.0 is left");
}

/// Whether each of these forms of a file is read as the tetrahedron, with a note for one of them.
#[track_caller]
pub fn assert_tetrahedra(forms: &[(&str, Vec<u8>)], format: Format, noted: &str) {
    for (form, bytes) in forms {
        let mesh = read(bytes, None).unwrap_or_else(|error| panic!("{form}: {error}"));
        assert_tetrahedron(&mesh, format);
        assert_eq!(mesh.findings.len(), usize::from(*form == noted), "{form}");
    }
}
