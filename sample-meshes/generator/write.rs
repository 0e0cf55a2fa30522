//! Surface to file bytes. Numbers are rounded first, so that what is checked is what is written.

use std::fmt::Write as _;
use std::io;

use super::pieces::{Form, Piece};
use super::surface::Surface;

/// The surface in the file's unit and at the file's precision.
pub fn as_written(mut surface: Surface, piece: &Piece) -> Surface {
    for corner in &mut surface.corners {
        if let Some([sine, cosine]) = piece.lean {
            let [x, _, z] = *corner;
            (corner[0], corner[2]) = (cosine * x + sine * z, cosine * z - sine * x);
        }
        *corner = corner.map(|c| round(c / piece.unit_mm, piece.form));
    }
    surface
}

fn round(value: f64, form: Form) -> f64 {
    match form {
        Form::StlBinary | Form::PlyBinary => f64::from(value as f32),
        // As many digits as are printed.
        Form::StlAscii | Form::Obj => (value * 1e4).round() / 1e4 + 0.0,
    }
}

/// The bytes of the file. An OBJ file says in words where its numbers are millimetres.
///
/// # Errors
/// What the STL writer says.
pub fn bytes(surface: &Surface, form: Form, name: &str, in_mm: bool) -> io::Result<Vec<u8>> {
    match form {
        Form::StlBinary => stl_binary(surface),
        Form::StlAscii => Ok(stl_ascii(surface, name)),
        Form::Obj => Ok(obj(surface, name, in_mm)),
        Form::PlyBinary => Ok(ply_binary(surface)),
    }
}

fn stl_binary(surface: &Surface) -> io::Result<Vec<u8>> {
    let triangles = surface.triangles.iter().map(|t| stl_io::Triangle {
        normal: stl_io::Normal::new([0.0; 3]),
        vertices: t.map(|v| stl_io::Vertex::new(surface.corners[v as usize].map(|c| c as f32))),
    });
    let mut bytes = Vec::new();
    stl_io::write_stl(&mut bytes, triangles.collect::<Vec<_>>().iter())?;
    Ok(bytes)
}

fn stl_ascii(surface: &Surface, name: &str) -> Vec<u8> {
    let mut text = format!("solid {name}\n");
    for triangle in &surface.triangles {
        // A normal of zero: it follows from the order of the corners.
        text.push_str("facet normal 0 0 0\nouter loop\n");
        for &v in triangle {
            push_line(&mut text, "vertex", surface.corners[v as usize]);
        }
        text.push_str("endloop\nendfacet\n");
    }
    text.push_str("endsolid\n");
    text.into_bytes()
}

fn ply_binary(surface: &Surface) -> Vec<u8> {
    let mut bytes = format!(
        "ply\nformat binary_little_endian 1.0\nelement vertex {}\nproperty float x\n\
         property float y\nproperty float z\nelement face {}\n\
         property list uchar uint vertex_indices\nend_header\n",
        surface.corners.len(),
        surface.triangles.len()
    )
    .into_bytes();
    for number in surface.corners.iter().flatten() {
        bytes.extend((*number as f32).to_le_bytes());
    }
    for triangle in &surface.triangles {
        bytes.push(3);
        triangle.iter().for_each(|v| bytes.extend(v.to_le_bytes()));
    }
    bytes
}

fn obj(surface: &Surface, name: &str, in_mm: bool) -> Vec<u8> {
    let mut text = format!("# {name}{}\n", if in_mm { ", in mm" } else { "" });
    for &corner in &surface.corners {
        push_line(&mut text, "v", corner);
    }
    for triangle in &surface.triangles {
        let [a, b, c] = triangle.map(|v| v + 1);
        // Writing to a string can't fail.
        let _ = writeln!(text, "f {a} {b} {c}");
    }
    text.into_bytes()
}

fn push_line(text: &mut String, word: &str, [x, y, z]: [f64; 3]) {
    let _ = writeln!(text, "{word} {x} {y} {z}");
}
