//! Where a surface holds liquid: the merge tree of height over its vertices and edges.
//!
//! The surface is swept upward, vertex by vertex. What lies under the level falls into pieces; a
//! piece begins at a lowest point with air above it (a pit) or at the outside, and two pieces
//! join at the lowest pass between them. A lowest point with air *below* it (a hanging edge)
//! begins no piece: the air under it reaches down to the surface straight below, so it belongs
//! to the piece of that, or to the outside where there is none. So the pieces of surface are the
//! pieces of air under the level, whatever hangs or overhangs.

use rayon::prelude::*;

use crate::mesh::{Mesh, Patches, Vec3};

/// A pit less deep than this does not count, and two pits whose saddle lies farther than this
/// under the lip are one, mm.
const NOISE_MM: f64 = 0.5;

/// No pit, no vertex.
const NONE: u32 = u32::MAX;
/// The piece of air that is not held.
const OUTSIDE: u32 = u32::MAX - 1;

/// A place that holds liquid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pit {
    /// The highest level that holds, mm.
    pub lip: f64,
    /// Its lowest vertex.
    pub deepest: u32,
}

/// Every pit of a surface.
#[derive(Debug, Clone, PartialEq)]
pub struct Pits {
    /// Those that count, in the order in which a rising level finds their lips.
    pub found: Vec<Pit>,
    /// Some air is closed in: no level reaches the outside from it.
    pub has_hollow: bool,
    owner: Vec<u32>,
}

impl Pits {
    /// The pit that a vertex drains into, as a number in `found`; `None` for the outside and for
    /// what is cut off as noise. The vertex may lie over the lip.
    pub fn owner(&self, vertex: u32) -> Option<u32> {
        Some(self.owner[vertex as usize]).filter(|k| *k != NONE)
    }

    /// The pits of a surface whose normals point into the air, +z up; `outside` lists vertices
    /// over which liquid runs out: a sheet's outer border.
    ///
    /// Assumptions: the surface is closed but for edges between vertices of `outside`, and
    /// neighbouring triangles agree on their direction.
    pub fn of(mesh: &Mesh, outside: &[u32]) -> Self {
        let field = Field::new(mesh, outside);
        let tree = Tree::grow(&field);
        let mut leaf_owner = vec![NONE; tree.nodes.len()];
        let mut found = Vec::new();
        for &(node, lip) in &tree.closed {
            tree.impressions(node, field.height(lip), &field, |deepest, lip, leaves| {
                for leaf in leaves {
                    leaf_owner[leaf as usize] = found.len() as u32;
                }
                found.push(Pit { lip, deepest: field.order[deepest as usize] });
            });
        }
        let owner_of = |v: usize| match tree.label[field.rank[v] as usize] {
            OUTSIDE => NONE,
            leaf => leaf_owner[leaf as usize],
        };
        let owner = (0..mesh.vertices().len()).into_par_iter().map(owner_of).collect();
        Self { found, has_hollow: tree.has_hollow, owner }
    }
}

/// The vertices in rising order (ties by number), each with the lower ones it is linked to.
/// "Rank" is a vertex's place in that order.
struct Field<'a> {
    mesh: &'a Mesh,
    order: Vec<u32>,
    rank: Vec<u32>,
    /// Where each rank's lower neighbours begin; one more than there are vertices.
    starts: Vec<u32>,
    lower: Vec<u32>,
    /// By rank: what a hanging point is linked to straight below, or `OUTSIDE`; else `NONE`.
    link: Vec<u32>,
}

impl<'a> Field<'a> {
    fn new(mesh: &'a Mesh, outside: &[u32]) -> Self {
        let heights: Vec<f64> = mesh.vertices().par_iter().map(|p| p.z).collect();
        let mut order: Vec<u32> = (0..heights.len() as u32).collect();
        order.par_sort_unstable_by(|a, b| {
            heights[*a as usize].total_cmp(&heights[*b as usize]).then(a.cmp(b))
        });
        let mut rank = vec![0u32; order.len()];
        order.iter().enumerate().for_each(|(r, v)| rank[*v as usize] = r as u32);
        let (starts, lower) = lower_neighbours(mesh, &rank);
        let mut link = vec![NONE; order.len()];
        outside.iter().for_each(|v| link[rank[*v as usize] as usize] = OUTSIDE);
        let mut field = Self { mesh, order, rank, starts, lower, link };
        field.link_hanging_points();
        field
    }

    fn lower(&self, rank: usize) -> &[u32] {
        &self.lower[self.starts[rank] as usize..self.starts[rank + 1] as usize]
    }

    fn point(&self, rank: u32) -> Vec3 {
        self.mesh.vertices()[self.order[rank as usize] as usize]
    }

    fn height(&self, rank: u32) -> f64 {
        self.point(rank).z
    }

    /// Links every lowest point with air below it to the surface straight under it.
    fn link_hanging_points(&mut self) {
        let hanging = self.hanging_points();
        let lowest = self.order.first().map_or(0.0, |v| self.mesh.vertices()[*v as usize].z);
        let (bottom, high): (Vec<u32>, Vec<u32>) =
            hanging.into_iter().partition(|r| self.height(*r) <= lowest);
        bottom.into_iter().for_each(|r| self.link[r as usize] = OUTSIDE);
        if high.is_empty() {
            return;
        }
        let patches = Patches::new(self.mesh);
        let links: Vec<u32> = high.par_iter().map(|r| self.straight_below(*r, &patches)).collect();
        for (r, below) in high.into_iter().zip(links) {
            self.link[r as usize] = below;
        }
    }

    /// Ranks of the lowest points that have air below them.
    ///
    /// A lowest point's triangles, seen from it, all rise; drawn on a level plane over it they
    /// surround the point of the zenith counter-clockwise where the air is above them.
    fn hanging_points(&self) -> Vec<u32> {
        let is_lowest = |r: usize| self.lower(r).is_empty() && self.link[r] == NONE;
        let lowest: Vec<u32> = (0..self.order.len())
            .into_par_iter()
            .filter(|r| is_lowest(*r))
            .map(|r| r as u32)
            .collect();
        let mut drawn = vec![0.0; lowest.len()];
        // A level neighbour is taken for one that rises a little: far less than any slope.
        let size = self.mesh.bounding_box().map_or(1.0, |(a, b)| (b - a).max_element());
        let least_rise = 1e-9 * size.max(f64::MIN_POSITIVE);
        for corners in self.mesh.triangles() {
            let ranks = corners.map(|v| self.rank[v as usize]);
            let k = (0..3).min_by_key(|k| ranks[*k]).unwrap_or(0);
            let Ok(place) = lowest.binary_search(&ranks[k]) else { continue };
            let [a, b] = [(k + 1) % 3, (k + 2) % 3].map(|j| {
                let d = self.point(ranks[j]) - self.point(ranks[k]);
                (d, d.z.max(least_rise))
            });
            drawn[place] += (a.0.x * b.0.y - a.0.y * b.0.x) / (a.1 * b.1);
        }
        // A vertex without a triangle is no part of the surface.
        lowest.into_iter().zip(drawn).filter(|(_, area)| *area <= 0.0).map(|(r, _)| r).collect()
    }

    /// The rank of a vertex that bounds the same air lower down, or `OUTSIDE`.
    fn straight_below(&self, rank: u32, patches: &Patches) -> u32 {
        let p = self.point(rank);
        let mut first: Option<(f64, u32, i32)> = None;
        patches.for_each_under(p, |t, step| {
            let height = height_at(self.mesh.corners(t as usize), p);
            if first.is_none_or(|(best, ..)| height > best) {
                first = Some((height, t, step));
            }
        });
        let Some((_, t, step)) = first else { return OUTSIDE };
        let ranks = self.mesh.triangles()[t as usize].map(|v| self.rank[v as usize]);
        let below = ranks[0].min(ranks[1]).min(ranks[2]);
        // A sheet's back, seen from below its edge, bounds no air that is held.
        if step < 0 && below < rank { below } else { OUTSIDE }
    }
}

/// By rank, the ranks of the lower neighbours. Each edge is run through once in either
/// direction, so the falling half-edges name each edge once; those along a border may be
/// missing, but both their ends lie outside.
fn lower_neighbours(mesh: &Mesh, rank: &[u32]) -> (Vec<u32>, Vec<u32>) {
    let falling = |corners: &[u32; 3]| {
        let ranks = corners.map(|v| rank[v as usize]);
        [(ranks[0], ranks[1]), (ranks[1], ranks[2]), (ranks[2], ranks[0])]
    };
    let mut starts = vec![0u32; rank.len() + 1];
    for (from, to) in mesh.triangles().iter().flat_map(falling) {
        starts[from as usize + 1] += u32::from(from > to);
    }
    for r in 1..starts.len() {
        starts[r] += starts[r - 1];
    }
    let mut next = starts.clone();
    let mut lower = vec![0u32; starts.last().map_or(0, |n| *n as usize)];
    for (from, to) in mesh.triangles().iter().flat_map(falling) {
        if from > to {
            let slot = &mut next[from as usize];
            lower[*slot as usize] = to;
            *slot += 1;
        }
    }
    (starts, lower)
}

/// Height of a triangle straight under or over `p`; drawn into the triangle's own range, which
/// matters where it stands upright.
fn height_at([a, b, c]: [Vec3; 3], p: Vec3) -> f64 {
    let normal = (b - a).cross(c - a);
    let (low, high) = (a.z.min(b.z).min(c.z), a.z.max(b.z).max(c.z));
    let height = a.z - (normal.x * (p.x - a.x) + normal.y * (p.y - a.y)) / normal.z;
    if height.is_nan() { high } else { height.clamp(low, high) }
}

/// A piece of held air: a lowest point, or two pieces joined over a saddle. Ranks.
#[derive(Debug, Clone, Copy)]
struct Node {
    deepest: u32,
    saddle: u32,
    children: Option<[u32; 2]>,
}

/// How the pieces join while the level rises.
struct Tree {
    nodes: Vec<Node>,
    /// Pieces that reached the outside, with the rank of the vertex where they did.
    closed: Vec<(u32, u32)>,
    /// By rank: the lowest point that the surface falls to from here, or `OUTSIDE`.
    label: Vec<u32>,
    has_hollow: bool,
}

/// The tree while it grows: union-find over ranks, each root with its piece.
struct Growing {
    parent: Vec<u32>,
    node: Vec<u32>,
    nodes: Vec<Node>,
    closed: Vec<(u32, u32)>,
}

impl Tree {
    fn grow(field: &Field) -> Self {
        let count = field.order.len();
        // The last element stands for the outside.
        let mut sets = Growing {
            parent: (0..=count as u32).collect(),
            node: vec![NONE; count + 1],
            nodes: Vec::new(),
            closed: Vec::new(),
        };
        sets.node[count] = OUTSIDE;
        let mut label = vec![NONE; count];
        for r in 0..count {
            let lower = field.lower(r);
            let mut here = match field.link[r] {
                NONE => None,
                OUTSIDE => Some(sets.root(count as u32)),
                below => Some(sets.root(below)),
            };
            label[r] = match (field.link[r], lower.iter().min()) {
                (NONE, None) => sets.begin(r as u32),
                (NONE, Some(lowest)) => label[*lowest as usize],
                (OUTSIDE, _) => OUTSIDE,
                (below, _) => label[below as usize],
            };
            for neighbour in lower {
                let there = sets.root(*neighbour);
                here = Some(match here {
                    Some(here) if here != there => sets.join(here, there, r as u32),
                    _ => there,
                });
            }
            if let Some(root) = here {
                sets.parent[r] = root;
            }
        }
        let has_hollow = (0..=count).any(|r| sets.parent[r] == r as u32 && sets.node[r] < OUTSIDE);
        Self { nodes: sets.nodes, closed: sets.closed, label, has_hollow }
    }

    /// The impressions that a piece with this lip makes: calls `found` with the rank of each
    /// one's deepest vertex, its lip and its lowest points.
    ///
    /// Where the last two pieces joined close under the lip, the shallower is cut off if it is
    /// noise; if not, each is an impression by itself, with the saddle for its lip.
    fn impressions(
        &self,
        node: u32,
        lip: f64,
        field: &Field,
        mut found: impl FnMut(u32, f64, Vec<u32>),
    ) {
        let mut open = vec![(node, lip)];
        while let Some((mut node, lip)) = open.pop() {
            let whole = loop {
                let Node { saddle, children, .. } = self.nodes[node as usize];
                let Some(children) = children else { break true };
                let level = field.height(saddle);
                if lip - level > NOISE_MM {
                    break true;
                }
                let [deep, shallow] = self.by_depth(children);
                if level - field.height(self.nodes[shallow as usize].deepest) < NOISE_MM {
                    node = deep;
                    continue;
                }
                open.extend([(shallow, level), (deep, level)]);
                break false;
            };
            let deepest = self.nodes[node as usize].deepest;
            if whole && lip - field.height(deepest) > NOISE_MM {
                found(deepest, lip, self.leaves(node));
            }
        }
    }

    fn by_depth(&self, [a, b]: [u32; 2]) -> [u32; 2] {
        let deepest = |n: u32| self.nodes[n as usize].deepest;
        if deepest(a) < deepest(b) { [a, b] } else { [b, a] }
    }

    fn leaves(&self, node: u32) -> Vec<u32> {
        let (mut open, mut leaves) = (vec![node], Vec::new());
        while let Some(node) = open.pop() {
            match self.nodes[node as usize].children {
                Some(children) => open.extend(children),
                None => leaves.push(node),
            }
        }
        leaves
    }
}

impl Growing {
    fn root(&mut self, mut r: u32) -> u32 {
        while self.parent[r as usize] != r {
            let up = self.parent[self.parent[r as usize] as usize];
            self.parent[r as usize] = up;
            r = up;
        }
        r
    }

    /// A new piece with its lowest point at this rank; its number.
    fn begin(&mut self, r: u32) -> u32 {
        let node = self.nodes.len() as u32;
        self.nodes.push(Node { deepest: r, saddle: r, children: None });
        self.node[r as usize] = node;
        node
    }

    /// Joins two pieces at the vertex of rank `at`; the root of both.
    fn join(&mut self, a: u32, b: u32, at: u32) -> u32 {
        let (root, other) = (a.min(b), a.max(b));
        let pair = [root, other].map(|r| self.node[r as usize]);
        let joined = match pair {
            [OUTSIDE, OUTSIDE] => OUTSIDE,
            [OUTSIDE, held] | [held, OUTSIDE] => {
                self.closed.push((held, at));
                OUTSIDE
            }
            _ => {
                let deepest = pair.map(|n| self.nodes[n as usize].deepest);
                let deepest = deepest[0].min(deepest[1]);
                self.nodes.push(Node { deepest, saddle: at, children: Some(pair) });
                self.nodes.len() as u32 - 1
            }
        };
        self.parent[other as usize] = root;
        self.node[root as usize] = joined;
        root
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A square grid of heights, 1 mm apart, its border outside.
    fn grid(rows: &[&[f64]]) -> (Mesh, Vec<u32>) {
        let (n, m) = (rows.len(), rows[0].len());
        let mut vertices = Vec::new();
        let mut outside = Vec::new();
        for (y, row) in rows.iter().enumerate() {
            for (x, z) in row.iter().enumerate() {
                if x == 0 || y == 0 || x + 1 == m || y + 1 == n {
                    outside.push(vertices.len() as u32);
                }
                vertices.push(Vec3::new(x as f64, y as f64, *z));
            }
        }
        let mut triangles = Vec::new();
        for y in 0..n - 1 {
            for x in 0..m - 1 {
                let at = |dx: usize, dy: usize| ((y + dy) * m + x + dx) as u32;
                triangles.extend([[at(0, 0), at(1, 0), at(1, 1)], [at(0, 0), at(1, 1), at(0, 1)]]);
            }
        }
        (Mesh::new(vertices, triangles).unwrap(), outside)
    }

    fn lips(row: &[f64]) -> Vec<(f64, f64)> {
        let wall = vec![9.0; row.len()];
        let (mesh, outside) = grid(&[&wall, row, &wall]);
        let pits = Pits::of(&mesh, &outside);
        let mut lips: Vec<_> = pits
            .found
            .iter()
            .map(|pit| (pit.lip, mesh.vertices()[pit.deepest as usize].z))
            .collect();
        lips.sort_by(|a, b| a.1.total_cmp(&b.1));
        lips
    }

    #[test]
    fn the_lip_is_the_lowest_way_out() {
        assert_eq!(lips(&[9.0, 1.0, 5.0]), [(5.0, 1.0)]);
        assert_eq!(lips(&[9.0, 4.6, 5.0]), []);
        assert_eq!(lips(&[1.0, 4.0, 5.0]), []);
    }

    #[test]
    fn a_low_saddle_makes_one_pit_and_a_high_one_two() {
        assert_eq!(lips(&[9.0, 1.0, 4.0, 2.0, 5.0]), [(5.0, 1.0)]);
        assert_eq!(lips(&[9.0, 1.0, 4.6, 2.0, 5.0]), [(4.6, 1.0), (4.6, 2.0)]);
    }

    #[test]
    fn shallow_branches_close_under_the_lip_are_cut_off() {
        let (mesh, outside) = grid(&[&[9.0; 6], &[9.0, 1.0, 3.0, 4.7, 4.4, 5.0], &[9.0; 6]]);
        let pits = Pits::of(&mesh, &outside);
        assert_eq!(pits.found.len(), 1);
        assert_eq!(pits.found[0].lip, 5.0);
        let owners: Vec<_> = (6..12).map(|v| pits.owner(v)).collect();
        assert_eq!(owners[1..3], [Some(0), Some(0)]);
        assert_eq!(owners[4], None);
    }

    #[test]
    fn a_surface_seen_from_below_has_no_pits() {
        let (mesh, outside) = grid(&[&[9.0; 3], &[9.0, 1.0, 9.0], &[9.0; 3]]);
        assert_eq!(Pits::of(&mesh, &outside).found.len(), 1);
        assert_eq!(Pits::of(&mesh.reversed(), &outside).found.len(), 0);
    }
}
