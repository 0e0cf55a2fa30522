//! An organ-like closed body of about 400 cm³ with a flat back, of any number of triangles.

use cavigram::mesh::Vec3;

/// The body as the bytes of a binary STL file, in mm: a ball with bumps, its top cut level.
pub fn organ_stl(triangles: usize) -> Vec<u8> {
    let side = (triangles as f64 / 12.0).sqrt().round() as i64;
    let mut bytes = vec![0u8; 80];
    bytes.extend((12 * side * side).try_into().unwrap_or(u32::MAX).to_le_bytes());
    for axis in 0..3 {
        for sign in [-1, 1] {
            for (i, j) in (0..side).flat_map(|i| (0..side).map(move |j| (i, j))) {
                let at = |a: i64, b: i64| {
                    let mut cell = [0; 3];
                    cell[axis] = sign * side;
                    cell[(axis + 1) % 3] = 2 * a - side;
                    cell[(axis + 2) % 3] = 2 * b - side;
                    point(cell, side)
                };
                let [a, b, c, d] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
                let halves = if sign > 0 { [[a, b, c], [a, c, d]] } else { [[a, c, b], [a, d, c]] };
                halves.iter().for_each(|corners| push(&mut bytes, corners));
            }
        }
    }
    bytes
}

fn push(bytes: &mut Vec<u8>, corners: &[Vec3; 3]) {
    bytes.extend([0u8; 12]);
    for p in corners {
        for x in [p.x, p.y, p.z] {
            bytes.extend((x as f32).to_le_bytes());
        }
    }
    bytes.extend([0u8; 2]);
}

/// A place on the surface of a cube, pushed out to the body.
fn point(cell: [i64; 3], side: i64) -> Vec3 {
    let even = cell.map(|c| (c as f64 / side as f64 * std::f64::consts::FRAC_PI_4).tan());
    let q = Vec3::from_array(even).normalize();
    let bumps = 0.15 * (3.0 * q.x).sin() * (2.0 * q.y).cos() + 0.1 * (4.0 * q.z + q.x).sin();
    let p = q * (47.5 * (1.0 + bumps));
    // Cut level near the top: every point above is moved down the line to the middle.
    const LEVEL_MM: f64 = 26.0;
    if p.z > LEVEL_MM { p * (LEVEL_MM / p.z) } else { p }
}
