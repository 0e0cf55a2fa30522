//! The surface around a hole, as far as it tells how the missing part may go.

use std::collections::VecDeque;

use hashbrown::HashMap;

use crate::mesh::{Mesh, Vec3, area_vector_doubled};

/// The most corners that are looked at around one hole.
const CORNERS_MAX: usize = 4000;

/// The triangles at each corner of a mesh.
pub struct Around {
    starts: Vec<u32>,
    triangles: Vec<u32>,
}

impl Around {
    /// Sorts the triangles of a mesh by corner.
    pub fn new(mesh: &Mesh) -> Self {
        let mut starts = vec![0u32; mesh.vertices().len() + 1];
        for v in mesh.triangles().iter().flatten() {
            starts[*v as usize + 1] += 1;
        }
        for v in 1..starts.len() {
            starts[v] += starts[v - 1];
        }
        let mut next = starts.clone();
        let mut triangles = vec![0u32; 3 * mesh.triangles().len()];
        for (t, corners) in mesh.triangles().iter().enumerate() {
            for v in corners {
                triangles[next[*v as usize] as usize] = t as u32;
                next[*v as usize] += 1;
            }
        }
        Self { starts, triangles }
    }

    fn of(&self, v: u32) -> &[u32] {
        &self.triangles[self.starts[v as usize] as usize..self.starts[v as usize + 1] as usize]
    }
}

/// What lies around a ring.
pub struct Surroundings {
    /// Corners within reach, the ring's own first, mm.
    pub points: Vec<Vec3>,
    /// Area vectors of the triangles within reach, mm², with how far from the ring along the
    /// surface their nearest corner lies, mm.
    pub facets: Vec<(Vec3, f64)>,
}

impl Surroundings {
    /// Goes out from a ring over the surface, up to about `reach` mm along its edges; at least
    /// the triangles at the ring itself are looked at.
    pub fn of(ring: &[u32], mesh: &Mesh, around: &Around, reach: f64) -> Self {
        let mut away: HashMap<u32, f64, foldhash::fast::FixedState> = HashMap::default();
        let mut facets: HashMap<u32, f64, foldhash::fast::FixedState> = HashMap::default();
        let mut order: Vec<u32> = Vec::new();
        let mut queue: VecDeque<u32> = ring.iter().copied().collect();
        away.extend(ring.iter().map(|v| (*v, 0.0)));
        order.extend(ring);
        let mut facet_order = Vec::new();
        while let Some(v) = queue.pop_front() {
            let here = away[&v];
            for &t in around.of(v) {
                let nearest = facets.entry(t).or_insert_with(|| {
                    facet_order.push(t);
                    here
                });
                *nearest = nearest.min(here);
                for &w in &mesh.triangles()[t as usize] {
                    let [p, q] = [v, w].map(|v| mesh.vertices()[v as usize]);
                    let there = here + p.distance(q);
                    if there <= reach && order.len() < CORNERS_MAX.max(ring.len()) {
                        away.entry(w).or_insert_with(|| {
                            order.push(w);
                            queue.push_back(w);
                            there
                        });
                    }
                }
            }
        }
        let vector = |t: &u32| 0.5 * area_vector_doubled(mesh.corners(*t as usize));
        Self {
            points: order.iter().map(|v| mesh.vertices()[*v as usize]).collect(),
            facets: facet_order.iter().map(|t| (vector(t), facets[t])).collect(),
        }
    }

    /// The lean that all but a share of the area within `reach` stays under, against a unit
    /// normal, radians.
    pub fn lean(&self, normal: Vec3, reach: f64, share_over: f64) -> f64 {
        let near = self.facets.iter().filter(|(_, away)| *away <= reach);
        let mut leans: Vec<(f64, f64)> = near
            .map(|(vector, _)| (vector.length(), *vector))
            .filter(|(area, _)| *area > 0.0)
            .map(|(area, vector)| ((vector.dot(normal) / area).clamp(-1.0, 1.0).acos(), area))
            .collect();
        leans.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut left = share_over * leans.iter().map(|(_, area)| area).sum::<f64>();
        for (lean, area) in &leans {
            left -= area;
            if left <= 0.0 {
                return *lean;
            }
        }
        // Nothing around that has an area: it may lean anywhere.
        std::f64::consts::PI
    }
}
