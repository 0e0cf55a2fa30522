//! From pits to the walls of the cavities they make.

use crate::mesh::{Mesh, below_level};

use super::parts::volume_under;
use super::pits::Pits;

/// The surface that bounds the liquid of one pit, and what stands over it.
#[derive(Debug, Clone, PartialEq)]
pub struct PitWall {
    /// Number of the pit in [`Pits::found`].
    pub pit: u32,
    /// Every triangle of which some part lies under the lip, uncut, facing out of the liquid.
    /// What is cut off as noise is raised far over the lip, so that a cut at the lip leaves it
    /// out and stays closed.
    pub wall: Mesh,
    /// Their numbers in the mould's mesh, rising.
    pub triangles: Vec<u32>,
    /// The lip, mm.
    pub lip: f64,
    /// Height of its lowest point, mm.
    pub bottom: f64,
    /// What it holds up to the lip, mm³.
    pub volume_mm3: f64,
}

/// The walls of all pits of a mould that stands with +z up, largest volume first (ties by the
/// lowest point's vertex). Corners within `rounding` mm of a lip lie in it.
pub fn pit_walls(mesh: &Mesh, pits: &Pits, rounding: f64) -> Vec<PitWall> {
    let wet = |v: u32| {
        let pit = pits.owner(v)?;
        (mesh.vertices()[v as usize].z < pits.found[pit as usize].lip - rounding).then_some(pit)
    };
    let mut of_pit: Vec<Vec<u32>> = vec![Vec::new(); pits.found.len()];
    for (t, corners) in mesh.triangles().iter().enumerate() {
        // All wet corners of a triangle belong to one pit: they are joined under its lip.
        if let Some(pit) = corners.iter().find_map(|v| wet(*v)) {
            of_pit[pit as usize].push(t as u32);
        }
    }
    let mut number = vec![u32::MAX; mesh.vertices().len()];
    let mut walls: Vec<(u32, PitWall)> = Vec::with_capacity(of_pit.len());
    for (k, triangles) in of_pit.into_iter().enumerate() {
        let pit = pits.found[k];
        let wall = cut_out(mesh, &triangles, &mut number, |v, z| {
            if (z - pit.lip).abs() <= rounding {
                pit.lip
            } else if z < pit.lip && pits.owner(v) != Some(k as u32) {
                f64::INFINITY
            } else {
                z
            }
        });
        let volume_mm3 = volume_under(&below_level(&wall, pit.lip).0, pit.lip);
        let bottom = mesh.vertices()[pit.deepest as usize].z;
        let wall = PitWall { pit: k as u32, wall, triangles, lip: pit.lip, bottom, volume_mm3 };
        walls.push((pit.deepest, wall));
    }
    walls.sort_by(|a, b| b.1.volume_mm3.total_cmp(&a.1.volume_mm3).then(a.0.cmp(&b.0)));
    walls.into_iter().map(|(_, wall)| wall).collect()
}

/// The listed triangles turned round, with heights as `height` has them of a vertex and its own;
/// an infinite one stands for as far over the rest as the mesh is large. `number` is `u32::MAX`
/// all through, before and after.
fn cut_out(
    mesh: &Mesh,
    triangles: &[u32],
    number: &mut [u32],
    height: impl Fn(u32, f64) -> f64,
) -> Mesh {
    let mut vertices = Vec::new();
    let mut used = Vec::new();
    let mut turned = Vec::with_capacity(triangles.len());
    for t in triangles {
        let [a, b, c] = mesh.triangles()[*t as usize].map(|v| {
            if number[v as usize] == u32::MAX {
                number[v as usize] = vertices.len() as u32;
                let mut p = mesh.vertices()[v as usize];
                p.z = height(v, p.z);
                vertices.push(p);
                used.push(v);
            }
            number[v as usize]
        });
        turned.push([a, c, b]);
    }
    used.into_iter().for_each(|v| number[v as usize] = u32::MAX);
    let finite = || vertices.iter().map(|p| p.z).filter(|z| z.is_finite());
    let low = finite().fold(f64::INFINITY, f64::min);
    let high = finite().fold(f64::NEG_INFINITY, f64::max);
    let raised = high + (high - low);
    vertices.iter_mut().filter(|p| p.z == f64::INFINITY).for_each(|p| p.z = raised);
    Mesh { vertices, triangles: turned }
}
