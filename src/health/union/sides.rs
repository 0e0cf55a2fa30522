//! How many bodies lie on either side of each piece of surface.

use rayon::prelude::*;

use super::pieces::Pieces;
use crate::health::bodies::Bodies;
use crate::mesh::{EdgeTable, Mesh, Patches, Vec3, Work, area_vector_doubled};

/// Places within a triangle to look from, as weights of its corners.
const PLACES: [[f64; 3]; 4] =
    [[0.34, 0.33, 0.33], [0.5, 0.3, 0.2], [0.2, 0.5, 0.3], [0.25, 0.2, 0.55]];
/// How far to lean from the normal to look past edges that a look straight out meets.
const LEANS: [[f64; 2]; 4] = [[0.013, 0.021], [0.31, -0.17], [-0.23, 0.37], [-0.41, -0.29]];
/// A line that passes a triangle's side within this share of its size may have missed it.
const CLOSE_TO_SIDE: f64 = 1e-7;
/// Triangles this close to parallel can lie on one another: the sine of their angle.
const PARALLEL: f64 = 1e-5;

/// The cut mesh in sheets: connected pieces that meet nothing else inside.
pub struct Sides<'a> {
    mesh: &'a Mesh,
    patches: &'a Patches,
    pieces: &'a Pieces,
    sheets: Bodies,
    /// Pieces of each triangle of the whole mesh, as ranges of the cut one.
    first_piece: Vec<u32>,
    near: f64,
    work: &'a Work,
}

/// What is seen from a place on a sheet.
struct Seen {
    /// Bodies outside, whatever lies on the sheet passed.
    outside: i32,
    /// Bodies inside.
    inside: i32,
    /// Another sheet with the same direction lies here and comes first.
    doubled: bool,
}

impl<'a> Sides<'a> {
    /// Sorts the pieces into sheets.
    pub fn new(
        mesh: &'a Mesh,
        patches: &'a Patches,
        pieces: &'a Pieces,
        reach: f64,
        work: &'a Work,
    ) -> Self {
        let sheets = Bodies::sheets(&pieces.mesh, &EdgeTable::new(&pieces.mesh));
        let mut first_piece = vec![0u32; mesh.triangles().len() + 1];
        pieces.of.iter().for_each(|t| first_piece[*t as usize + 1] += 1);
        for t in 1..first_piece.len() {
            first_piece[t] += first_piece[t - 1];
        }
        Self { mesh, patches, pieces, sheets, first_piece, near: 4.0 * reach, work }
    }

    /// Which pieces bound the union; `None` where that can't be seen, or the work is over.
    pub fn kept(&self) -> Option<Vec<bool>> {
        let largest = self.sheets.largest(&self.pieces.mesh);
        // All are looked at before one that can't be seen ends it: how much work that is must not
        // hang on the order.
        let kept: Vec<Option<bool>> = largest
            .into_par_iter()
            .map(|piece| {
                let seen = if self.work.is_over() { None } else { self.look(piece) }?;
                Some(seen.outside <= 0 && seen.inside >= 1 && !seen.doubled)
            })
            .collect();
        let kept: Vec<bool> = kept.into_iter().collect::<Option<_>>()?;
        let of_piece = |t: usize| kept[self.sheets.of(t) as usize];
        Some((0..self.pieces.of.len()).map(of_piece).collect())
    }

    fn look(&self, piece: u32) -> Option<Seen> {
        let corners = self.pieces.mesh.corners(piece as usize);
        let normal =
            area_vector_doubled(self.mesh.corners(self.pieces.of[piece as usize] as usize))
                .normalize_or_zero();
        let aside = normal.any_orthonormal_vector();
        let across = normal.cross(aside);
        PLACES.iter().flat_map(|place| LEANS.iter().map(move |lean| (place, lean))).find_map(
            |(place, lean)| {
                let from = corners[0] * place[0] + corners[1] * place[1] + corners[2] * place[2];
                let along = normal + aside * lean[0] + across * lean[1];
                self.look_along(piece, from, along.normalize_or_zero(), normal)
            },
        )
    }

    /// Counts what a line from a piece outward meets; `None` where it comes too close to a side.
    fn look_along(&self, piece: u32, from: Vec3, along: Vec3, normal: Vec3) -> Option<Seen> {
        let own = self.pieces.of[piece as usize];
        let mut seen = Seen { outside: 0, inside: 1, doubled: false };
        let (mut clear, mut met) = (true, 0);
        self.patches.for_each_along(from, along, |t, corners| {
            met += 1;
            if t == own || !clear {
                return;
            }
            let facing = area_vector_doubled(corners);
            let size = facing.length();
            let slant = facing.dot(along);
            if size == 0.0 {
                return;
            }
            let parallel = facing.cross(normal).length() <= PARALLEL * size;
            let height = facing.dot(from - corners[0]) / size;
            let on_it = parallel && height.abs() <= self.near;
            let at = if on_it {
                from - facing * (height / size)
            } else if slant.abs() <= 1e-9 * size {
                clear &= height.abs() > self.near || !self.may_touch(from, along, corners);
                return;
            } else {
                from - along * (facing.dot(from - corners[0]) / slant)
            };
            let distance = along.dot(at - from);
            if !on_it && distance < -self.near {
                return;
            }
            match inside(at, corners, facing) {
                Some(false) => {}
                None => clear = false,
                Some(true) if on_it => {
                    let same = facing.dot(normal) > 0.0;
                    seen.inside += if same { 1 } else { -1 };
                    match self.piece_at(t, at).map(|other| self.sheets.of(other as usize)) {
                        Some(other) => {
                            seen.doubled |= same && other < self.sheets.of(piece as usize);
                        }
                        None => clear = false,
                    }
                }
                Some(true) if distance <= self.near => clear = false,
                Some(true) => seen.outside += if slant > 0.0 { 1 } else { -1 },
            }
        });
        self.work.add(met);
        seen.inside += seen.outside;
        clear.then_some(seen)
    }

    /// A triangle that the line runs along lies where the line passes.
    fn may_touch(&self, from: Vec3, along: Vec3, corners: [Vec3; 3]) -> bool {
        let normal = area_vector_doubled(corners);
        let across = normal.cross(along).normalize_or_zero();
        let over = corners.map(|p| across.dot(p - from));
        over.iter().any(|h| *h >= -self.near) && over.iter().any(|h| *h <= self.near)
    }

    /// The piece of a triangle that holds a place.
    fn piece_at(&self, t: u32, at: Vec3) -> Option<u32> {
        let pieces = self.first_piece[t as usize]..self.first_piece[t as usize + 1];
        if pieces.len() == 1 {
            return pieces.into_iter().next();
        }
        let holds = |piece: &u32| {
            let corners = self.pieces.mesh.corners(*piece as usize);
            inside(at, corners, area_vector_doubled(corners)) == Some(true)
        };
        pieces.into_iter().find(holds)
    }
}

/// A place of a triangle's plane lies in the triangle; `None` close to one of its sides.
fn inside(at: Vec3, corners: [Vec3; 3], facing: Vec3) -> Option<bool> {
    let whole = facing.length_squared();
    let shares = [0, 1, 2].map(|k| {
        let (a, b) = (corners[k] - at, corners[(k + 1) % 3] - at);
        a.cross(b).dot(facing) / whole
    });
    if shares.iter().any(|s| *s < -CLOSE_TO_SIDE) {
        Some(false)
    } else if shares.iter().all(|s| *s > CLOSE_TO_SIDE) {
        Some(true)
    } else {
        None
    }
}
