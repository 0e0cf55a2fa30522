//! Air that a rising level closes in under overhangs.

use crate::mesh::{Mesh, Vec3};

use super::pits::Pits;
use super::walls::pit_walls;

/// The air trapped in a cavity.
#[derive(Debug, Clone, PartialEq)]
pub struct Trapped {
    /// Volume of each pocket, largest first, mm³.
    pub volumes_mm3: Vec<f64>,
    /// The highest point of the largest, mm, in the frame of the wall.
    pub top_mm: Vec3,
}

/// The pockets under a wall's overhangs, more than half a millimetre high.
///
/// Upside down, trapped air is what a surface holds: its lip is the level at which it would
/// escape. The way out is the wall's open border in the fill level.
pub fn trapped_air(wall: &Mesh, fill_mm: f64) -> Option<Trapped> {
    // A mirror image turns every triangle round once more: the wall faces out of the cavity, its
    // image into the air there.
    let vertices = wall.vertices().iter().map(|p| Vec3::new(p.x, p.y, -p.z)).collect();
    let mirrored = Mesh { vertices, triangles: wall.triangles().to_vec() };
    let outside: Vec<u32> =
        (0u32..).zip(wall.vertices()).filter(|(_, p)| p.z >= fill_mm).map(|(v, _)| v).collect();
    let pits = Pits::of(&mirrored, &outside);
    let pockets = pit_walls(&mirrored, &pits, 0.0);
    let largest = pockets.first()?;
    let top = largest.wall.vertices().iter().min_by(|a, b| a.z.total_cmp(&b.z))?;
    Some(Trapped {
        volumes_mm3: pockets.iter().map(|pocket| pocket.volume_mm3).collect(),
        top_mm: Vec3::new(top.x, top.y, -top.z),
    })
}
