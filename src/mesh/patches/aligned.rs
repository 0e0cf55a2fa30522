//! Triangles seen along axes in which their boxes are small.

use super::{Placed, box_of};
use crate::mesh::Vec3;
use crate::mesh::fit::principal_axes;

/// Corners along the file's axes, or along those in which most of the triangles run, whichever
/// gives smaller boxes: long slivers side by side that lean against the file's axes all stand in
/// one another's boxes there.
pub fn corners(placed: &[Placed]) -> Vec<[Vec3; 3]> {
    let as_they_are: Vec<[Vec3; 3]> = placed.iter().map(|t| t.corners).collect();
    let Some(axes) = principal_axes(placed.iter().map(|t| longest_side(&t.corners))) else {
        return as_they_are;
    };
    let turned: Vec<[Vec3; 3]> = as_they_are
        .iter()
        .map(|corners| corners.map(|p| Vec3::from_array(axes.map(|axis| axis.dot(p)))))
        .collect();
    if size_of_boxes(&turned) < 0.5 * size_of_boxes(&as_they_are) { turned } else { as_they_are }
}

fn longest_side([a, b, c]: &[Vec3; 3]) -> Vec3 {
    let longer = |p: Vec3, q: Vec3| if q.length_squared() > p.length_squared() { q } else { p };
    longer(longer(*b - *a, *c - *b), *a - *c)
}

/// The area of all their sides: what else stands in a box goes with it.
fn size_of_boxes(triangles: &[[Vec3; 3]]) -> f64 {
    let sides = triangles.iter().map(|corners| {
        let (low, high) = box_of(corners);
        high - low
    });
    sides.map(|d| d.x * d.y + d.y * d.z + d.z * d.x).sum()
}
