//! Hollows inside a piece, or between it and the board it stands on: nothing that is poured around
//! it ever reaches them.

use hashbrown::HashSet;

use crate::bounds::Bounds;
use crate::mesh::{EdgeTable, Mesh, Patches, Vec3};

use super::Cavity;
use super::parts::volume_under;

/// A connected piece of wall.
struct Piece {
    triangles: Vec<u32>,
    closed: bool,
}

impl Cavity {
    /// The piece as it is from outside while it stands on its back: hollows filled that are closed,
    /// or that open into the back alone; and how much that adds, mm³.
    pub fn with_hollows_filled(mut self) -> (Self, f64) {
        let pieces = pieces(&self.wall);
        let mesh_of = |piece: &Piece| {
            let triangles = piece.triangles.iter().map(|t| self.wall.triangles()[*t as usize]);
            self.wall.with_triangles(triangles.collect())
        };
        let (mut dropped, mut hollows) = (Vec::new(), Vec::new());
        let (mut bodies, mut open_ends) = (Vec::new(), HashSet::new());
        for (k, piece) in pieces.iter().enumerate() {
            let mesh = mesh_of(piece);
            let volume_mm3 = match piece.closed {
                true => mesh.signed_volume_mm3(),
                false => volume_under(&mesh, self.level_mm),
            };
            if volume_mm3 < 0.0 {
                open_ends.extend((!piece.closed).then(|| corners_of(&mesh)).into_iter().flatten());
                hollows.push(Patches::new(&mesh));
                dropped.push((k, volume_mm3, mesh.area_mm2()));
            } else if piece.closed {
                bodies.push((k, mesh, volume_mm3));
            }
        }
        if hollows.is_empty() {
            return (self, 0.0);
        }
        // What lies in a hollow goes with it.
        for (k, mesh, volume_mm3) in bodies {
            let corner = mesh.triangles().first().map(|t| mesh.vertices()[t[0] as usize]);
            if corner.is_some_and(|p| hollows.iter().any(|hollow| hollow.winding(p) < 0)) {
                dropped.push((k, volume_mm3, mesh.area_mm2()));
            }
        }
        let kept = (0..pieces.len()).filter(|k| dropped.iter().all(|(d, ..)| d != k));
        let mut left: Vec<u32> = kept.flat_map(|k| pieces[k].triangles.iter().copied()).collect();
        left.sort_unstable();
        let triangles = left.iter().map(|t| self.wall.triangles()[*t as usize]).collect();
        let added_mm3 = -dropped.iter().map(|(_, volume, _)| volume).sum::<f64>();
        let area_mm2: f64 = dropped.iter().map(|(_, _, area)| area).sum();
        self.wall = self.wall.with_triangles(triangles);
        let measures = &mut self.measures;
        measures.volume_mm3 = measures.volume_mm3 + Bounds::exact(added_mm3);
        measures.wall_area_mm2 -= area_mm2;
        measures.surface_area_mm2 -= area_mm2;
        self.outline.retain(|ends| !ends.iter().all(|p| open_ends.contains(&key(*p))));
        (self, added_mm3)
    }
}

/// A point as a key: where two pieces of outline meet it is the same to the last bit.
fn key(p: Vec3) -> [u64; 3] {
    p.to_array().map(f64::to_bits)
}

fn corners_of(mesh: &Mesh) -> Vec<[u64; 3]> {
    mesh.triangles().iter().flatten().map(|v| key(mesh.vertices()[*v as usize])).collect()
}

/// The connected pieces of a mesh, in the order of their first triangles.
fn pieces(mesh: &Mesh) -> Vec<Piece> {
    let edges = EdgeTable::new(mesh);
    let count = mesh.triangles().len();
    let mut seen = vec![false; count];
    let mut pieces = Vec::new();
    for first in 0..count {
        if std::mem::replace(&mut seen[first], true) {
            continue;
        }
        let (mut triangles, mut closed, mut next) = (vec![first as u32], true, 0);
        while let Some(&t) = triangles.get(next) {
            next += 1;
            for h in 3 * t..3 * t + 3 {
                match edges.across(mesh, h).map(|other| other / 3) {
                    None => closed = false,
                    Some(other) => {
                        if !std::mem::replace(&mut seen[other as usize], true) {
                            triangles.push(other);
                        }
                    }
                }
            }
        }
        pieces.push(Piece { triangles, closed });
    }
    pieces
}
