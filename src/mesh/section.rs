//! What lies under a level, and the section at it.

use hashbrown::HashMap;

use super::{Mesh, Vec3};

/// The level section of a closed surface.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Area enclosed, mm².
    pub area_mm2: f64,
    /// Directed pieces of outline, the inside on their left seen from above, mm.
    pub outline: Vec<[Vec3; 2]>,
}

impl Section {
    /// Length of the outline, mm.
    pub fn perimeter_mm(&self) -> f64 {
        self.outline.iter().map(|[a, b]| a.distance(*b)).sum()
    }
}

/// The part of an outward mesh that lies under `z = level`, and the section there, taken as the
/// limit from below: a flat face that lies in the level itself belongs to neither.
///
/// Triangles that pass through the level are cut along it; the new vertices are shared by the
/// triangles on both sides of each cut edge, so no cracks appear.
pub fn below_level(mesh: &Mesh, level: f64) -> (Mesh, Section) {
    let mut cut = Cut { mesh, level, vertices: mesh.vertices.clone(), new: HashMap::default() };
    let mut triangles = Vec::new();
    let mut outline = Vec::new();
    for corners in &mesh.triangles {
        let under = corners.map(|v| mesh.vertices[v as usize].z < level);
        match under.iter().filter(|u| **u).count() {
            3 => triangles.push(*corners),
            2 => {
                let k = under.iter().position(|u| !u).unwrap_or(0);
                let [top, a, b] = [corners[k], corners[(k + 1) % 3], corners[(k + 2) % 3]];
                let (on_a, on_b) = (cut.crossing(a, top), cut.crossing(b, top));
                triangles.push([a, b, on_b]);
                triangles.push([a, on_b, on_a]);
                outline.push([cut.vertices[on_a as usize], cut.vertices[on_b as usize]]);
            }
            1 => {
                let k = under.iter().position(|u| *u).unwrap_or(0);
                let [low, a, b] = [corners[k], corners[(k + 1) % 3], corners[(k + 2) % 3]];
                let (on_a, on_b) = (cut.crossing(low, a), cut.crossing(low, b));
                triangles.push([low, on_a, on_b]);
                outline.push([cut.vertices[on_b as usize], cut.vertices[on_a as usize]]);
            }
            _ => {}
        }
    }
    // A corner that lies in the level itself gives cut triangles without area.
    triangles.retain(|[a, b, c]| a != b && b != c && c != a);
    outline.retain(|[a, b]| a != b);
    let below = Mesh { vertices: cut.vertices, triangles };
    let area_mm2 = enclosed_area(&outline);
    (below, Section { area_mm2, outline })
}

struct Cut<'a> {
    mesh: &'a Mesh,
    level: f64,
    vertices: Vec<Vec3>,
    new: HashMap<(u32, u32), u32, foldhash::fast::FixedState>,
}

impl Cut<'_> {
    /// The vertex where the edge from one end to the other passes through the level.
    fn crossing(&mut self, low: u32, high: u32) -> u32 {
        let [p, q] = [low, high].map(|v| self.mesh.vertices[v as usize]);
        if q.z == self.level {
            return high;
        }
        let (vertices, level) = (&mut self.vertices, self.level);
        *self.new.entry((low, high)).or_insert_with(|| {
            let mut point = p + (q - p) * ((level - p.z) / (q.z - p.z));
            point.z = level;
            vertices.push(point);
            (vertices.len() - 1) as u32
        })
    }
}

/// Area enclosed by directed pieces of outline: the shoelace formula about a local origin.
fn enclosed_area(outline: &[[Vec3; 2]]) -> f64 {
    let Some([origin, _]) = outline.first() else { return 0.0 };
    outline
        .iter()
        .map(|[a, b]| {
            let (a, b) = (a - *origin, b - *origin);
            0.5 * (a.x * b.y - a.y * b.x)
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pyramid() -> Mesh {
        let v = vec![
            Vec3::new(0.0, 0.0, 0.0),
            Vec3::new(6.0, 0.0, 0.0),
            Vec3::new(6.0, 6.0, 0.0),
            Vec3::new(0.0, 6.0, 0.0),
            Vec3::new(3.0, 3.0, 6.0),
        ];
        let t = vec![[0, 2, 1], [0, 3, 2], [0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]];
        Mesh::new(v, t).unwrap()
    }

    /// Prismoid, references G8: the section of the pyramid at half height is 3 × 3.
    #[test]
    fn a_pyramid_is_cut_half_way_up() {
        let (below, section) = below_level(&pyramid(), 3.0);
        assert!((section.area_mm2 - 9.0).abs() < 1e-12);
        assert!((section.perimeter_mm() - 12.0).abs() < 1e-12);
        let full = pyramid().area_mm2();
        assert!((below.area_mm2() - (36.0 + 0.75 * (full - 36.0))).abs() < 1e-12);
    }

    #[test]
    fn a_face_in_the_level_belongs_to_neither() {
        let upside_down = pyramid().into_parts();
        let v = upside_down.0.iter().map(|p| Vec3::new(p.x, p.y, -p.z)).collect();
        let mesh = Mesh::new(v, upside_down.1).unwrap().reversed();
        let (below, section) = below_level(&mesh, 0.0);
        assert_eq!(below.triangles().len(), 4);
        assert!((section.area_mm2 - 36.0).abs() < 1e-12);
        let (all, none) = below_level(&mesh, 1.0);
        assert_eq!((all.triangles().len(), none.area_mm2), (6, 0.0));
    }
}
