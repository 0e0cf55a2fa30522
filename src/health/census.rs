//! Counts edges by what meets along them, and gathers open ones into holes.

use hashbrown::HashMap;

use crate::mesh::{EdgeTable, HalfEdge, Mesh, runs_to, starts_at};

use super::Hole;

/// How the edges of a mesh are shared.
#[derive(Debug, Default)]
pub struct Census {
    /// Half-edges without any other triangle.
    pub open: Vec<HalfEdge>,
    /// Edges with more than two triangles.
    pub non_manifold: usize,
    /// Edges whose two triangles run the same way.
    pub inconsistent: usize,
    /// Edges run through more often one way than the other.
    pub unbalanced: usize,
}

impl Census {
    /// Counts the edges.
    pub fn take(mesh: &Mesh, edges: &EdgeTable) -> Self {
        let parts = edges.fold_ranges(Self::default, |census, edge| {
            let (forward, back) = edge.directions(mesh);
            census.unbalanced += usize::from(forward != back);
            match forward + back {
                1 => census.open.extend(edge.half_edges()),
                2 => census.inconsistent += usize::from(forward != back),
                _ => census.non_manifold += 1,
            }
        });
        parts.into_iter().fold(Self::default(), |mut all, part| {
            all.open.extend(part.open);
            all.non_manifold += part.non_manifold;
            all.inconsistent += part.inconsistent;
            all.unbalanced += part.unbalanced;
            all
        })
    }

    /// Some edge has two triangles that run through it the same way.
    pub fn has_crowded_edges(&self) -> bool {
        self.inconsistent > 0 || self.non_manifold > 0
    }

    /// The border loops of the open edges, largest first.
    pub fn holes(&self, mesh: &Mesh) -> Vec<Hole> {
        let mut holes: Vec<Hole> =
            loops(mesh, &self.open).iter().map(|corners| Hole::around(mesh, corners)).collect();
        holes.sort_by(|a, b| b.size_mm.total_cmp(&a.size_mm));
        holes
    }
}

/// Follows open edges, whichever way they run, until a corner comes a second time: that closes
/// a loop, and what led up to it goes on. So two holes that touch at a corner count as two.
fn loops(mesh: &Mesh, open: &[HalfEdge]) -> Vec<Vec<u32>> {
    let mut at: HashMap<u32, Vec<usize>, foldhash::fast::FixedState> = HashMap::default();
    let ends: Vec<[u32; 2]> =
        open.iter().map(|h| [starts_at(mesh, *h), runs_to(mesh, *h)]).collect();
    for (k, [a, b]) in ends.iter().enumerate() {
        at.entry(*a).or_default().push(k);
        at.entry(*b).or_default().push(k);
    }
    // How many of a corner's edges are known to be used: however many meet there, each is passed
    // over once.
    let mut passed: HashMap<u32, usize, foldhash::fast::FixedState> = HashMap::default();
    let mut used = vec![false; open.len()];
    let mut loops = Vec::new();
    for first in 0..open.len() {
        let mut path = vec![ends[first][0]];
        let mut place: HashMap<u32, usize, foldhash::fast::FixedState> = HashMap::default();
        place.insert(path[0], 0);
        while let Some(here) = path.last().copied() {
            let (edges, passed) = (&at[&here], passed.entry(here).or_default());
            *passed += edges[*passed..].iter().take_while(|k| used[**k]).count();
            let Some(&k) = edges.get(*passed) else { break };
            used[k] = true;
            let next = if ends[k][0] == here { ends[k][1] } else { ends[k][0] };
            match place.get(&next) {
                Some(&start) => {
                    let ring: Vec<u32> = path[start..].to_vec();
                    path.truncate(start + 1);
                    for v in &ring[1..] {
                        place.remove(v);
                    }
                    loops.push(ring);
                }
                None => {
                    place.insert(next, path.len());
                    path.push(next);
                }
            }
        }
        if path.len() > 1 {
            loops.push(path);
        }
    }
    loops
}
