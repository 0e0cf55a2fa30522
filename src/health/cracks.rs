//! Closes cracks: open edges whose ends lie within a hair of one another are joined.

use hashbrown::HashMap;

use crate::mesh::{Mesh, Vec3, runs_to, starts_at, triangle_area};

use super::Repair;
use super::census::Census;

/// Corners are joined over at most this share of the mesh's diagonal …
const SHARE_OF_DIAGONAL: f64 = 1e-5;
/// … and never over more than this, mm: well under any coat.
const REACH_MM_MAX: f64 = 0.02;

/// A mesh with cracks closed.
pub struct Closed {
    /// The mesh.
    pub mesh: Mesh,
    /// What was done.
    pub repair: Repair,
}

/// Over how much corners are joined, mm.
pub fn reach_mm(mesh: &Mesh) -> f64 {
    let (low, high) = mesh.bounding_box().unwrap_or_default();
    (SHARE_OF_DIAGONAL * (high - low).length()).min(REACH_MM_MAX)
}

/// Joins corners of open edges that lie within reach of one another, only where two open edges
/// then become one closed edge. `None` where there are no such edges.
pub fn close(mesh: &Mesh, census: &Census, reach: f64) -> Option<Closed> {
    let mut corners: Vec<u32> =
        census.open.iter().flat_map(|h| [starts_at(mesh, *h), runs_to(mesh, *h)]).collect();
    corners.sort_unstable();
    corners.dedup();
    let near = near_corners(mesh, &corners, reach);

    let mut pairs: HashMap<[u32; 2], Vec<[u32; 2]>, foldhash::fast::FixedState> =
        HashMap::default();
    for h in &census.open {
        let ends = [starts_at(mesh, *h), runs_to(mesh, *h)];
        let [a, b] = ends.map(|v| near.root(v));
        if a != b {
            pairs.entry([a.min(b), a.max(b)]).or_default().push(ends);
        }
    }
    let mut joined = Joined::new(&corners);
    let mut keys: Vec<_> = pairs.keys().copied().collect();
    keys.sort_unstable();
    for key in keys {
        if let [[a, b], [c, d]] = pairs[&key][..] {
            let (c, d) = if near.root(a) == near.root(c) { (c, d) } else { (d, c) };
            joined.join(a, c);
            joined.join(b, d);
        }
    }
    apply(mesh, &joined, reach)
}

fn apply(mesh: &Mesh, joined: &Joined, reach: f64) -> Option<Closed> {
    let moved = joined.moved();
    if moved == 0 {
        return None;
    }
    let (mut area, mut triangles) = (0.0, Vec::with_capacity(mesh.triangles().len()));
    for (t, corners) in mesh.triangles().iter().enumerate() {
        let [a, b, c] = corners.map(|v| joined.root(v));
        if [a, b, c] != *corners {
            area += triangle_area(mesh.corners(t));
        }
        if a != b && b != c && c != a {
            triangles.push([a, b, c]);
        }
    }
    // A triangle whose corners move by up to the reach sweeps at most area × reach, plus what its
    // own growth adds; twice that covers both.
    let volume_bound_mm3 = 2.0 * area * reach;
    let repair = Repair { code: "merged-vertices", count: moved, area_mm2: 0.0, volume_bound_mm3 };
    Some(Closed { mesh: mesh.with_triangles(triangles), repair })
}

/// Groups of corners that are one and the same, each named by its lowest.
struct Joined {
    parent: HashMap<u32, u32, foldhash::fast::FixedState>,
}

impl Joined {
    fn new(corners: &[u32]) -> Self {
        Self { parent: corners.iter().map(|v| (*v, *v)).collect() }
    }

    fn root(&self, mut v: u32) -> u32 {
        while let Some(&up) = self.parent.get(&v).filter(|up| **up != v) {
            v = up;
        }
        v
    }

    fn join(&mut self, a: u32, b: u32) {
        let (a, b) = (self.shortened(a), self.shortened(b));
        if a != b {
            self.parent.insert(a.max(b), a.min(b));
        }
    }

    /// The root of a corner, to which the way from it is made shorter.
    fn shortened(&mut self, v: u32) -> u32 {
        let root = self.root(v);
        let mut at = v;
        while let Some(up) = self.parent.insert(at, root).filter(|up| *up != root && at != root) {
            at = up;
        }
        root
    }

    fn moved(&self) -> usize {
        self.parent.iter().filter(|(v, up)| v != up).count()
    }
}

/// So many corners of a cell are compared with others: all, but where a mesh is finer by far than
/// anything that can be cast.
const COMPARED: usize = 64;

/// Groups corners that lie within `reach` of one another, by a grid of that cell size.
fn near_corners(mesh: &Mesh, corners: &[u32], reach: f64) -> Joined {
    let mut near = Joined::new(corners);
    let cell = |p: Vec3| (p / reach).floor().to_array().map(|x| x as i64);
    let mut grid: HashMap<[i64; 3], Vec<u32>, foldhash::fast::FixedState> = HashMap::default();
    for &v in corners {
        let p = mesh.vertices()[v as usize];
        let [x, y, z] = cell(p);
        for (dx, dy, dz) in
            (-1..=1).flat_map(|x| (-1..=1).flat_map(move |y| (-1..=1).map(move |z| (x, y, z))))
        {
            for &w in grid.get(&[x + dx, y + dy, z + dz]).into_iter().flatten() {
                if mesh.vertices()[w as usize].distance(p) <= reach {
                    near.join(v, w);
                }
            }
        }
        let cell = grid.entry([x, y, z]).or_default();
        if cell.len() < COMPARED {
            cell.push(v);
        }
    }
    near
}
