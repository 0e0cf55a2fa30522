//! Sets aside triangles that enclose nothing: without area, or repeats of another.

use hashbrown::{HashMap, HashSet};

use crate::mesh::{EdgeTable, Mesh, area_vector_doubled, triangle_area};

use super::Repair;
use super::census::Census;

/// A triangle is without area when its doubled area is below this share of its longest side
/// squared: corners on one line to within the rounding of `f64`.
const COLLINEAR: f64 = 1e-14;

/// A mesh without empty and repeated triangles, and what was set aside.
pub struct Cleaned {
    /// What is left.
    pub mesh: Mesh,
    /// Its edges.
    pub edges: EdgeTable,
    /// Triangles without area.
    pub degenerate: usize,
    /// Repeats of a triangle, with the same corners in the same direction.
    pub duplicate: usize,
}

/// Sets aside triangles that name a corner twice, exact repeats, and triangles whose corners lie
/// on one line, the last only where the mesh doesn't need them to stay closed: a flat sliver
/// between a long edge and its two halves has no area, but keeps them together.
pub fn set_aside(mesh: Mesh) -> Cleaned {
    let (vertices, mut triangles) = mesh.into_parts();
    let before = triangles.len();
    triangles.retain(|[a, b, c]| a != b && b != c && c != a);
    let mut degenerate = before - triangles.len();
    let mut mesh = Mesh { vertices, triangles };
    let mut edges = EdgeTable::new(&mesh);
    let mut duplicate = 0;
    if Census::take(&mesh, &edges).has_crowded_edges() {
        duplicate = drop_repeats(&mut mesh, &edges);
        if duplicate > 0 {
            edges = EdgeTable::new(&mesh);
        }
    }
    let flat = |t: usize| is_flat(&mesh, t);
    let slivers = (0..mesh.triangles().len()).filter(|t| flat(*t)).count();
    degenerate += slivers;
    if slivers > 0 {
        let kept: Vec<_> = (0..mesh.triangles().len())
            .filter(|t| !flat(*t))
            .map(|t| mesh.triangles()[t])
            .collect();
        let without = mesh.with_triangles(kept);
        let without_edges = EdgeTable::new(&without);
        let unbalanced = |m: &Mesh, e: &EdgeTable| Census::take(m, e).unbalanced;
        if unbalanced(&without, &without_edges) <= unbalanced(&mesh, &edges) {
            (mesh, edges) = (without, without_edges);
        }
    }
    Cleaned { mesh, edges, degenerate, duplicate }
}

fn is_flat(mesh: &Mesh, t: usize) -> bool {
    let [a, b, c] = mesh.corners(t);
    let longest = a.distance_squared(b).max(b.distance_squared(c)).max(c.distance_squared(a));
    area_vector_doubled([a, b, c]).length() <= COLLINEAR * longest
}

/// Drops all but the first of each set of triangles with the same corners in the same direction.
/// Only triangles on an edge that more than one other shares in a direction can have a repeat.
fn drop_repeats(mesh: &mut Mesh, edges: &EdgeTable) -> usize {
    let mut suspects: Vec<u32> = edges
        .iter()
        .filter(|edge| {
            let (forward, back) = edge.directions(mesh);
            forward > 1 || back > 1
        })
        .flat_map(|edge| edge.half_edges().map(|h| h / 3).collect::<Vec<_>>())
        .collect();
    suspects.sort_unstable();
    suspects.dedup();
    let mut seen: HashSet<[u32; 3], foldhash::fast::FixedState> = HashSet::default();
    let mut repeats: Vec<u32> = Vec::new();
    for t in suspects {
        if !seen.insert(from_lowest(mesh.triangles()[t as usize])) {
            repeats.push(t);
        }
    }
    let mut t = 0;
    let mut next = repeats.iter().peekable();
    mesh.triangles.retain(|_| {
        let keep = next.next_if_eq(&&t).is_none();
        t += 1;
        keep
    });
    repeats.len()
}

/// Drops pairs of triangles with the same corners in opposite directions: the wall between two
/// bodies that share a face. It bounds nothing, and nobody can brush it. The volume stays.
/// `None` where there are none.
pub fn drop_inner_faces(mesh: &Mesh, edges: &EdgeTable) -> Option<(Mesh, Repair)> {
    let mut open: HashMap<[u32; 3], Vec<u32>, foldhash::fast::FixedState> = HashMap::default();
    let mut suspects: Vec<u32> = edges
        .iter()
        .filter(|edge| edge.half_edges().len() > 2)
        .flat_map(|edge| edge.half_edges().map(|h| h / 3).collect::<Vec<_>>())
        .collect();
    suspects.sort_unstable();
    suspects.dedup();
    let mut dropped = Vec::new();
    for t in suspects {
        let [a, b, c] = mesh.triangles()[t as usize];
        match open.get_mut(&from_lowest([a, c, b])).and_then(Vec::pop) {
            Some(other) => dropped.extend([t, other]),
            None => open.entry(from_lowest([a, b, c])).or_default().push(t),
        }
    }
    if dropped.is_empty() {
        return None;
    }
    dropped.sort_unstable();
    let kept = (0..mesh.triangles().len())
        .filter(|t| dropped.binary_search(&(*t as u32)).is_err())
        .map(|t| mesh.triangles()[t])
        .collect();
    let area_mm2 = dropped.iter().map(|t| triangle_area(mesh.corners(*t as usize))).sum();
    let repair = Repair::exact("dropped-inner-faces", dropped.len(), area_mm2);
    Some((mesh.with_triangles(kept), repair))
}

/// The same corners in the same direction, beginning with the lowest.
fn from_lowest([a, b, c]: [u32; 3]) -> [u32; 3] {
    if a < b && a < c {
        [a, b, c]
    } else if b < c {
        [b, c, a]
    } else {
        [c, a, b]
    }
}
