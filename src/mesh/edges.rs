//! Which triangles meet along which edge.

use rayon::prelude::*;

use super::Mesh;

/// One side of a triangle as a directed edge: triangle number times three plus the corner it
/// starts from.
pub type HalfEdge = u32;

/// Every edge of a mesh with the half-edges that run along it, in either direction.
///
/// Stored by the edge's lower vertex, so that building is one counting sort: about linear in
/// the number of triangles.
#[derive(Debug, Clone, PartialEq)]
pub struct EdgeTable {
    /// Where each vertex's entries begin; one more than there are vertices.
    starts: Vec<u32>,
    /// Higher vertex in the upper half, half-edge in the lower.
    entries: Vec<u64>,
}

/// An edge: its two vertices and the half-edges along it.
#[derive(Debug, Clone, Copy)]
pub struct Edge<'a> {
    /// The lower vertex number.
    pub low: u32,
    /// The higher vertex number.
    pub high: u32,
    entries: &'a [u64],
}

impl<'a> Edge<'a> {
    /// The half-edges along this edge, in the order of their triangles.
    pub fn half_edges(&self) -> impl ExactSizeIterator<Item = HalfEdge> + 'a {
        self.entries.iter().map(|e| *e as u32)
    }

    /// How many half-edges run from the lower to the higher vertex, and how many back.
    pub fn directions(&self, mesh: &Mesh) -> (usize, usize) {
        let forward = self.half_edges().filter(|h| starts_at(mesh, *h) == self.low).count();
        (forward, self.entries.len() - forward)
    }
}

/// The vertex that a half-edge starts from.
pub fn starts_at(mesh: &Mesh, half_edge: HalfEdge) -> u32 {
    mesh.triangles()[half_edge as usize / 3][half_edge as usize % 3]
}

/// The vertex that a half-edge runs to.
pub fn runs_to(mesh: &Mesh, half_edge: HalfEdge) -> u32 {
    mesh.triangles()[half_edge as usize / 3][(half_edge as usize + 1) % 3]
}

impl EdgeTable {
    /// Sorts the half-edges of `mesh` by edge.
    ///
    /// Assumptions: no triangle names a vertex twice; fewer than 2³² / 3 triangles.
    pub fn new(mesh: &Mesh) -> Self {
        let mut starts = vec![0u32; mesh.vertices().len() + 1];
        for_each_half_edge(mesh, |low, _, _| starts[low as usize + 1] += 1);
        for i in 1..starts.len() {
            starts[i] += starts[i - 1];
        }
        let mut next = starts.clone();
        let mut entries = vec![0u64; 3 * mesh.triangles().len()];
        for_each_half_edge(mesh, |low, high, half_edge| {
            let slot = &mut next[low as usize];
            entries[*slot as usize] = u64::from(high) << 32 | u64::from(half_edge);
            *slot += 1;
        });
        sort_each_vertex(&starts, &mut entries);
        Self { starts, entries }
    }

    /// All edges, by lower then higher vertex.
    pub fn iter(&self) -> impl Iterator<Item = Edge<'_>> {
        (0..self.starts.len() as u32 - 1).flat_map(|low| self.edges_of(low))
    }

    /// The edges whose lower vertex is `low`.
    pub fn edges_of(&self, low: u32) -> impl Iterator<Item = Edge<'_>> {
        let range = self.starts[low as usize] as usize..self.starts[low as usize + 1] as usize;
        self.entries[range].chunk_by(|a, b| a >> 32 == b >> 32).map(move |entries| Edge {
            low,
            high: (entries[0] >> 32) as u32,
            entries,
        })
    }

    /// The edge between two vertices, if any triangle has it.
    pub fn between(&self, a: u32, b: u32) -> Option<Edge<'_>> {
        let (low, high) = (a.min(b), a.max(b));
        let range = self.starts[low as usize] as usize..self.starts[low as usize + 1] as usize;
        // Sought by halves: the hub of a fan may have edges by the thousand.
        let of_low = &self.entries[range];
        let from = of_low.partition_point(|e| (e >> 32) < u64::from(high));
        let count = of_low[from..].partition_point(|e| e >> 32 == u64::from(high));
        let entries = &of_low[from..from + count];
        (count > 0).then_some(Edge { low, high, entries })
    }

    /// The triangle across a half-edge where exactly two meet there.
    pub fn across(&self, mesh: &Mesh, half_edge: HalfEdge) -> Option<HalfEdge> {
        let edge = self.between(starts_at(mesh, half_edge), runs_to(mesh, half_edge))?;
        match edge.entries {
            [a, b] if *a as u32 == half_edge => Some(*b as u32),
            [a, b] if *b as u32 == half_edge => Some(*a as u32),
            _ => None,
        }
    }

    /// Folds over all edges in parallel, in vertex ranges whose results come in order.
    pub fn fold_ranges<T: Send>(
        &self,
        make: impl Fn() -> T + Sync,
        visit: impl Fn(&mut T, Edge<'_>) + Sync,
    ) -> Vec<T> {
        const RANGE: usize = 1 << 15;
        let vertices = self.starts.len() - 1;
        (0..vertices.div_ceil(RANGE))
            .into_par_iter()
            .map(|k| {
                let mut state = make();
                for low in k * RANGE..((k + 1) * RANGE).min(vertices) {
                    self.edges_of(low as u32).for_each(|edge| visit(&mut state, edge));
                }
                state
            })
            .collect()
    }
}

fn for_each_half_edge(mesh: &Mesh, mut visit: impl FnMut(u32, u32, HalfEdge)) {
    for (t, &[a, b, c]) in mesh.triangles().iter().enumerate() {
        for (k, (from, to)) in [(a, b), (b, c), (c, a)].into_iter().enumerate() {
            visit(from.min(to), from.max(to), (3 * t + k) as HalfEdge);
        }
    }
}

/// Sorts each vertex's stretch of entries, in parallel over stretches.
fn sort_each_vertex(starts: &[u32], entries: &mut [u64]) {
    const PIECES: usize = 64;
    let vertices = starts.len() - 1;
    let mut jobs = Vec::new();
    let mut rest = entries;
    let mut done = 0;
    for k in 0..PIECES {
        let (first, last) = (vertices * k / PIECES, vertices * (k + 1) / PIECES);
        let (piece, tail) = rest.split_at_mut(starts[last] as usize - done);
        done = starts[last] as usize;
        jobs.push((&starts[first..=last], piece));
        rest = tail;
    }
    jobs.into_par_iter().for_each(|(starts, piece)| {
        for w in starts.windows(2) {
            piece[(w[0] - starts[0]) as usize..(w[1] - starts[0]) as usize].sort_unstable();
        }
    });
}
