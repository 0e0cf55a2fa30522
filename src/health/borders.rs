//! The border of a surface as directed rings: what a patch has to run along to close it.

use hashbrown::HashMap;

use crate::mesh::{EdgeTable, Mesh, Vec3};

use super::Hole;

/// A border ring: its corners in the order in which the missing surface runs along them, so that
/// a patch in that order faces as its surroundings do. No corner comes twice.
#[derive(Debug, Clone, PartialEq)]
pub struct Ring {
    /// Numbers of the corners, at least three.
    pub corners: Vec<u32>,
    /// Where it is.
    pub hole: Hole,
}

/// The border rings of a surface whose triangles agree, largest first.
///
/// Every edge that is run through more often one way than the other is missing in the other way,
/// so the missing edges leave every corner as often as they reach it, whatever branches there:
/// followed until a corner comes again they fall into rings.
pub fn rings(mesh: &Mesh, edges: &EdgeTable) -> Vec<Ring> {
    let parts = edges.fold_ranges(Vec::new, |missing: &mut Vec<[u32; 2]>, edge| {
        let (forward, back) = edge.directions(mesh);
        missing.extend((back..forward).map(|_| [edge.high, edge.low]));
        missing.extend((forward..back).map(|_| [edge.low, edge.high]));
    });
    let found = follow(mesh, &parts.concat());
    let mut rings: Vec<Ring> = found
        .into_iter()
        .map(|corners| Ring { hole: Hole::around(mesh, &corners), corners })
        .collect();
    rings.sort_by(|a, b| b.hole.size_mm.total_cmp(&a.hole.size_mm));
    rings
}

impl Hole {
    /// The hole within a loop of corners.
    pub(super) fn around(mesh: &Mesh, corners: &[u32]) -> Self {
        let (mut low, mut high, mut sum) = (Vec3::INFINITY, Vec3::NEG_INFINITY, Vec3::ZERO);
        for v in corners {
            let p = mesh.vertices()[*v as usize];
            (low, high, sum) = (low.min(p), high.max(p), sum + p);
        }
        Self {
            centre_mm: sum / corners.len() as f64,
            size_mm: (high - low).max_element(),
            edges: corners.len(),
        }
    }
}

fn follow(mesh: &Mesh, missing: &[[u32; 2]]) -> Vec<Vec<u32>> {
    let mut leaving: HashMap<u32, Vec<usize>, foldhash::fast::FixedState> = HashMap::default();
    for (k, [from, _]) in missing.iter().enumerate() {
        leaving.entry(*from).or_default().push(k);
    }
    let mut used = vec![false; missing.len()];
    let mut rings = Vec::new();
    for first in 0..missing.len() {
        if used[first] {
            continue;
        }
        let mut path = vec![missing[first][0]];
        let mut place: HashMap<u32, usize, foldhash::fast::FixedState> = HashMap::default();
        place.insert(path[0], 0);
        let mut next = Some(first);
        while let Some(k) = next {
            used[k] = true;
            let here = missing[k][1];
            match place.get(&here) {
                Some(&start) => {
                    let ring = path[start..].to_vec();
                    path.truncate(start + 1);
                    for v in &ring[1..] {
                        place.remove(v);
                    }
                    rings.push(ring);
                    if path.len() == 1 {
                        break;
                    }
                }
                None => {
                    place.insert(here, path.len());
                    path.push(here);
                }
            }
            let came_from = path[path.len().saturating_sub(2)];
            next = leaving
                .get_mut(&here)
                .and_then(|leaving| sharpest(mesh, missing, leaving, &used, [came_from, here]));
        }
    }
    // Two corners enclose nothing; balanced edges never leave such a ring.
    rings.retain(|ring| ring.len() > 2);
    rings
}

/// So many edges of a corner are compared: more leave it only where a mesh is no surface there.
const COMPARED: usize = 256;

/// Of the missing edges that leave a corner the one that turns back most sharply: where holes
/// touch in a corner, the gap between two edges of one hole is usually the narrowest. Used ones
/// among those compared are taken off the list.
fn sharpest(
    mesh: &Mesh,
    missing: &[[u32; 2]],
    leaving: &mut Vec<usize>,
    used: &[bool],
    [from, here]: [u32; 2],
) -> Option<usize> {
    let mut k = 0;
    while k < leaving.len().min(COMPARED) {
        if used[leaving[k]] {
            leaving.swap_remove(k);
        } else {
            k += 1;
        }
    }
    let at = |v: u32| mesh.vertices()[v as usize];
    let back = (at(from) - at(here)).normalize_or_zero();
    let cosine = |k: usize| (at(missing[k][1]) - at(here)).normalize_or_zero().dot(back);
    let free = leaving.iter().copied().take(COMPARED);
    free.reduce(|best, k| if cosine(k) > cosine(best) { k } else { best })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lone_triangle_is_closed_by_its_reverse() {
        let points = vec![Vec3::ZERO, Vec3::X, Vec3::Y];
        let mesh = Mesh::new(points, vec![[0, 1, 2]]).unwrap();
        let found = rings(&mesh, &EdgeTable::new(&mesh));
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].corners, [1, 0, 2]);
    }
}
