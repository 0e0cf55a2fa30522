//! T-junctions: corners that lie on an open edge of a triangle that doesn't have them. The
//! triangle is split there, so that both sides of the seam have the same corners.

use hashbrown::HashMap;

use crate::mesh::{HalfEdge, Mesh, Patches, runs_to, starts_at, triangle_area};

use super::Repair;

/// A mesh whose open edges are split at the corners that lie on them.
pub struct Split {
    /// The mesh.
    pub mesh: Mesh,
    /// What was done.
    pub repair: Repair,
}

/// Corners that edges may be split at, beside so many for each triangle. Where very many open edges
/// lie along one line, each has the corners of most others on it, by the square of their number:
/// that is no seam, and stays as it is.
const SPLITS_AT_LEAST: usize = 10_000;
const SPLITS_PER_TRIANGLE: usize = 10;

/// Splits open edges at the corners of other open edges that lie within `reach` of them and
/// farther than that from their ends. `None` where there are none, or far too many.
pub fn split(mesh: &Mesh, open: &[HalfEdge], reach: f64) -> Option<Split> {
    let ends = |h: HalfEdge| [starts_at(mesh, h), runs_to(mesh, h)];
    let mut corners: Vec<u32> = open.iter().flat_map(|h| ends(*h)).collect();
    corners.sort_unstable();
    corners.dedup();
    // A tree over the corners alone, each a triangle of no size: edges of any length among corners
    // of any density.
    let points = mesh.with_triangles(corners.into_iter().map(|v| [v; 3]).collect());
    let points = Patches::new(&points.triangles_in_neighbour_order());
    let mut inserted: HashMap<u32, Vec<(HalfEdge, Vec<u32>)>, foldhash::fast::FixedState> =
        HashMap::default();
    let most = SPLITS_AT_LEAST + SPLITS_PER_TRIANGLE * mesh.triangles().len();
    let mut count = 0;
    for &h in open {
        let opposite = mesh.triangles()[h as usize / 3][(h as usize + 2) % 3];
        let found = on_edge(mesh, &points, ends(h), opposite, reach);
        if !found.is_empty() {
            count += found.len();
            if count > most {
                return None;
            }
            inserted.entry(h / 3).or_default().push((h, found));
        }
    }
    if count == 0 {
        return None;
    }
    let (mut area_mm2, mut triangles) = (0.0, Vec::with_capacity(mesh.triangles().len() + count));
    for (t, corners) in mesh.triangles().iter().enumerate() {
        match inserted.get(&(t as u32)) {
            None => triangles.push(*corners),
            Some(sides) => {
                area_mm2 += triangle_area(mesh.corners(t));
                triangles.extend(fans(*corners, sides));
            }
        }
    }
    // The sides of a split triangle move by at most the reach: it sweeps no more than twice its
    // area times that.
    let volume_bound_mm3 = 2.0 * area_mm2 * reach;
    let repair = Repair { code: "split-t-junctions", count, area_mm2, volume_bound_mm3 };
    Some(Split { mesh: mesh.with_triangles(triangles), repair })
}

/// The corners that lie on an edge, in their order along it.
fn on_edge(mesh: &Mesh, points: &Patches, [a, b]: [u32; 2], opposite: u32, reach: f64) -> Vec<u32> {
    let at = |v: u32| mesh.vertices()[v as usize];
    let (start, along) = (at(a), at(b) - at(a));
    let length = along.length();
    if length <= 2.0 * reach {
        return Vec::new();
    }
    let direction = along.normalize_or_zero();
    let mut found: Vec<(f64, u32)> = Vec::new();
    points.for_each_beside([start, at(b)], reach, |[v, ..]| {
        let place = (at(v) - start).dot(direction);
        let off = (at(v) - start - direction * place).length();
        let inside = place > reach && place < length - reach;
        if inside && off <= reach && v != opposite {
            found.push((place, v));
        }
    });
    found.sort_by(|p, q| p.0.total_cmp(&q.0).then(p.1.cmp(&q.1)));
    found.into_iter().map(|(_, v)| v).collect()
}

/// A triangle cut at corners on its sides, one side after the other: what has the side becomes
/// a fan about the corner across.
fn fans(corners: [u32; 3], sides: &[(HalfEdge, Vec<u32>)]) -> Vec<[u32; 3]> {
    let mut pieces = vec![corners];
    for (h, inserted) in sides {
        let k = *h as usize % 3;
        let [a, b] = [corners[k], corners[(k + 1) % 3]];
        let Some((i, k)) = pieces.iter().enumerate().find_map(|(i, piece)| {
            (0..3).find(|k| piece[*k] == a && piece[(k + 1) % 3] == b).map(|k| (i, k))
        }) else {
            continue;
        };
        let across = pieces[i][(k + 2) % 3];
        let chain: Vec<u32> = [&[a], &inserted[..], &[b]].concat();
        let fan = chain.windows(2).map(|w| [w[0], w[1], across]);
        pieces.splice(i..=i, fan);
    }
    // A corner that stands on two sides leaves a piece that names it twice.
    pieces.retain(|[a, b, c]| a != b && b != c && c != a);
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn corners_on_two_sides_cut_a_triangle_into_four() {
        let pieces = fans([0, 1, 2], &[(0, vec![3, 4]), (1, vec![5])]);
        assert_eq!(pieces, [[0, 3, 2], [3, 4, 2], [1, 5, 4], [5, 2, 4]]);
    }
}
