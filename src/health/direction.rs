//! Makes the triangles of each body run the same way round.

use crate::mesh::{EdgeTable, Mesh, starts_at, triangle_area};

use super::{Repair, Unsound};

/// A mesh whose neighbouring triangles agree.
pub struct Turned {
    /// The mesh.
    pub mesh: Mesh,
    /// What was done.
    pub repair: Repair,
}

/// Goes from neighbour to neighbour over edges that exactly two triangles share and turns those
/// that disagree; in each body the smaller part (by area) is turned.
///
/// # Errors
/// [`Unsound::NotOrientable`] where going round comes back with the other sign.
pub fn make_consistent(mesh: Mesh, edges: &EdgeTable) -> Result<Turned, Unsound> {
    let count = mesh.triangles().len();
    let mut turn: Vec<Option<bool>> = vec![None; count];
    let (mut turned, mut area_mm2) = (Vec::new(), 0.0);
    for seed in 0..count {
        if turn[seed].is_some() {
            continue;
        }
        let body = spread_from(seed, &mesh, edges, &mut turn)?;
        let area = |t: &&u32| triangle_area(mesh.corners(**t as usize));
        let against: Vec<u32> =
            body.iter().copied().filter(|t| turn[*t as usize] == Some(true)).collect();
        let (whole, part): (f64, f64) =
            (body.iter().map(|t| area(&t)).sum(), against.iter().map(|t| area(&t)).sum());
        if 2.0 * part <= whole {
            turned.extend(against);
            area_mm2 += part;
        } else {
            turned.extend(body.iter().copied().filter(|t| turn[*t as usize] == Some(false)));
            area_mm2 += whole - part;
        }
    }
    let (vertices, mut triangles) = mesh.into_parts();
    turned.iter().for_each(|t| triangles[*t as usize].swap(1, 2));
    let repair = Repair::exact("turned-triangles", turned.len(), area_mm2);
    Ok(Turned { mesh: Mesh { vertices, triangles }, repair })
}

/// Marks every triangle of the body of `seed` with whether it runs against `seed`.
fn spread_from(
    seed: usize,
    mesh: &Mesh,
    edges: &EdgeTable,
    turn: &mut [Option<bool>],
) -> Result<Vec<u32>, Unsound> {
    turn[seed] = Some(false);
    let mut body = vec![seed as u32];
    let mut next = 0;
    while let Some(&t) = body.get(next) {
        next += 1;
        for k in 0..3 {
            let here = 3 * t + k;
            let Some(there) = edges.across(mesh, here) else { continue };
            let same_way = starts_at(mesh, here) == starts_at(mesh, there);
            let wanted = turn[t as usize].map(|own| own != same_way);
            let neighbour = there / 3;
            match turn[neighbour as usize] {
                None => {
                    turn[neighbour as usize] = wanted;
                    body.push(neighbour);
                }
                found if found == wanted => {}
                _ => {
                    let place_mm = mesh.vertices()[starts_at(mesh, here) as usize];
                    return Err(Unsound::NotOrientable { place_mm });
                }
            }
        }
    }
    Ok(body)
}
