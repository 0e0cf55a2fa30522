//! Air that a rising level closes in under overhangs, and where to let it out.

use std::collections::BTreeSet;

use rayon::prelude::*;

use crate::mesh::{Mesh, Patches, Vec3, below_level, triangle_area};

use super::Cavity;
use super::pits::Pits;
use super::walls::{PitWall, pit_walls};

/// A pocket of air in the core counts from here on, mm³ …
const CORE_MM3_MIN: f64 = 50.0;
/// … and without a skin from here on: a bubble of 2 mm.
const BARE_MM3_MIN: f64 = 5.0;
/// A pocket whose way out lies nearer than this, seen from above, is not emptied by tilting, mm.
const ASIDE_MM_MIN: f64 = 1.0;
/// About how many places are looked at in a pocket to tell how much of it the core has.
const PLACES: f64 = 40_000.0;
/// Heights that differ by less are one, mm: far under the half millimetre of a pocket's height.
/// A power of two, so that common heights are kept as they are.
const SAME_MM: f64 = 1.0 / 1_048_576.0;

/// The air that stays in a cavity while it is filled.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Air {
    /// Pockets worth telling, largest first.
    pub pockets: Vec<AirPocket>,
    /// How many are too small to be told.
    pub small: usize,
    /// Highest points of what has no opening of its own, along the file's axes, mm: there it has
    /// to be vented in any case.
    pub tops_mm: Vec<Vec3>,
}

/// A pocket of trapped air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AirPocket {
    /// Its volume, mm³; of a pocket in the core about so, by a sample of places.
    pub volume_mm3: f64,
    /// Its highest point on the wall, along the file's axes, mm.
    pub top_mm: Vec3,
    /// The level direction from there to its way out, along the file's axes: the side that has
    /// to be raised for the air to leave. `None` where tilting helps nothing.
    pub raise: Option<Vec3>,
}

/// Where a pocket of trapped air lies in a cavity, in its pouring frame.
#[derive(Debug, Clone, PartialEq)]
pub struct AirShape {
    /// Above this height the air stays, mm.
    pub from_mm: f64,
    /// The triangles of the wall that it lies under, rising.
    pub under: Vec<u32>,
}

impl Air {
    /// The air of several cavities.
    pub fn together(all: impl IntoIterator<Item = Self>) -> Self {
        let mut sum = Self::default();
        for air in all {
            sum.pockets.extend(air.pockets);
            sum.small += air.small;
            sum.tops_mm.extend(air.tops_mm);
        }
        sum.pockets.sort_by(|a, b| b.volume_mm3.total_cmp(&a.volume_mm3));
        sum
    }

    /// Volume of the pockets worth telling, mm³.
    pub fn volume_mm3(&self) -> f64 {
        self.pockets.iter().map(|pocket| pocket.volume_mm3).sum()
    }
}

impl Cavity {
    /// The pockets of air that are trapped under overhangs while it is filled, more than half a
    /// millimetre high. Behind a skin of `skin_mm` they matter as far as the core has them: the
    /// part of a pocket that lies farther than that from the wall, down to where the core's air
    /// would escape, which is the skin's thickness under the wall's own edge.
    ///
    /// A piece without an opening is taken to be vented at its highest point.
    pub fn air(&self, skin_mm: f64) -> Air {
        self.air_and_shapes(skin_mm).0
    }

    /// The same, and where each pocket worth telling lies, in no order: with a skin as far as the
    /// core has it.
    pub fn air_and_shapes(&self, skin_mm: f64) -> (Air, Vec<AirShape>) {
        if self.measures.slope_area_mm2.overhanging <= 0.0 {
            return (Air::default(), Vec::new());
        }
        let (outside, tops) = vented(&self.wall, self.opens_at_mm());
        let held = UpsideDown::of(&self.wall, &outside);
        let least = if skin_mm > 0.0 { CORE_MM3_MIN } else { BARE_MM3_MIN };
        let (worth, mut small): (Vec<&PitWall>, Vec<&PitWall>) =
            held.pockets.iter().partition(|pocket| pocket.volume_mm3 >= least);
        let patches = (skin_mm > 0.0 && !worth.is_empty()).then(|| Patches::new(&self.wall));
        let mut told = Vec::with_capacity(worth.len());
        let mut shapes = Vec::with_capacity(worth.len());
        for pocket in worth {
            let volume_mm3 = match &patches {
                Some(patches) => core_part_mm3(pocket, patches, skin_mm),
                None => pocket.volume_mm3,
            };
            if volume_mm3 < least {
                small.push(pocket);
                continue;
            }
            let aside = held.aside(pocket);
            let raise = (aside.length() >= ASIDE_MM_MIN)
                .then(|| self.frame.direction_to_file(aside.normalize()));
            told.push(AirPocket { volume_mm3, top_mm: self.frame.to_file(top(pocket)), raise });
            let from_mm = -pocket.lip - skin_mm;
            shapes.push(AirShape { from_mm, under: pocket.triangles.clone() });
        }
        let tops_mm = tops.into_iter().map(|top| self.frame.to_file(top)).collect();
        let told = Air::together([Air { pockets: told, ..Air::default() }]);
        (Air { small: small.len(), tops_mm, ..told }, shapes)
    }

    /// Wall from this height on is at the opening, mm; `None` for a closed cavity.
    fn opens_at_mm(&self) -> Option<f64> {
        let rim = self.outline.iter().flatten().map(|p| p.z);
        self.is_open().then(|| rim.fold(self.level_mm, f64::min))
    }
}

/// What a surface upside down holds.
struct UpsideDown {
    pockets: Vec<PitWall>,
    /// By number of the pit: the middle of the places over which its air would leave, mm.
    ways_out: Vec<Vec3>,
}

impl UpsideDown {
    /// A mirror image turns every triangle round once more: the wall faces out of the cavity, its
    /// image into the air there.
    fn of(wall: &Mesh, outside: &[u32]) -> Self {
        // A level ceiling of a piece that was turned stays level.
        let height = |z: f64| (-z / SAME_MM).round() * SAME_MM;
        let vertices = wall.vertices().iter().map(|p| p.with_z(height(p.z))).collect();
        let mirrored = Mesh { vertices, triangles: wall.triangles().to_vec() };
        let pits = Pits::of(&mirrored, outside);
        Self { pockets: pit_walls(&mirrored, &pits, 0.0), ways_out: ways_out(&mirrored, &pits) }
    }

    /// The level way from the middle of a pocket to its way out, mm.
    fn aside(&self, pocket: &PitWall) -> Vec3 {
        (self.ways_out[pocket.pit as usize] - middle(pocket)).with_z(0.0)
    }
}

/// For each pit the middle of its way out: of the edges between vertices at its lip that have a
/// neighbour beyond, no higher; where that is a point, of those vertices.
fn ways_out(mesh: &Mesh, pits: &Pits) -> Vec<Vec3> {
    let place = |v: u32| mesh.vertices()[v as usize];
    let sides = || mesh.triangles().iter().flat_map(|[a, b, c]| [[*a, *b], [*b, *c], [*c, *a]]);
    let mut at_lips = BTreeSet::new();
    for [here, next] in sides() {
        let Some(pit) = pits.owner(here) else { continue };
        let lip = pits.found[pit as usize].lip;
        let at_lip = (place(here).z - lip).abs() <= SAME_MM;
        if at_lip && pits.owner(next) != Some(pit) && place(next).z <= lip + SAME_MM {
            at_lips.insert((pit, here));
        }
    }
    let mut sums = vec![[(0.0, Vec3::ZERO); 2]; pits.found.len()];
    let mut add = |pit: u32, kind: usize, weight: f64, place: Vec3| {
        let (all, sum) = &mut sums[pit as usize][kind];
        (*all, *sum) = (*all + weight, *sum + place * weight);
    };
    at_lips.iter().for_each(|(pit, v)| add(*pit, 0, 1.0, place(*v)));
    for [a, b] in sides() {
        let Some(pit) = pits.owner(a) else { continue };
        if at_lips.contains(&(pit, a)) && at_lips.contains(&(pit, b)) {
            add(pit, 1, place(a).distance(place(b)), 0.5 * (place(a) + place(b)));
        }
    }
    // The lip itself is such a vertex of every pit that anything flows out of.
    sums.into_iter()
        .map(
            |[(count, points), (length, edges)]| {
                if length > 0.0 { edges / length } else { points / f64::max(count, 1.0) }
            },
        )
        .collect()
}

/// The vertices over which air leaves: those at the opening, and of every piece of wall that
/// doesn't reach it the highest; those places apart. A void needs no way out.
fn vented(wall: &Mesh, opens_at_mm: Option<f64>) -> (Vec<u32>, Vec<Vec3>) {
    let at_mouth = |p: &Vec3| opens_at_mm.is_some_and(|mouth| p.z >= mouth);
    let mut outside: Vec<u32> =
        (0u32..).zip(wall.vertices()).filter(|(_, p)| at_mouth(p)).map(|(v, _)| v).collect();
    let mut tops = Vec::new();
    for piece in pieces(wall) {
        if !at_mouth(&wall.vertices()[piece.highest as usize]) && piece.volume_mm3 > 0.0 {
            outside.push(piece.highest);
            tops.push(wall.vertices()[piece.highest as usize]);
        }
    }
    (outside, tops)
}

/// A connected piece of wall.
struct Piece {
    highest: u32,
    /// What a closed one encloses, mm³.
    volume_mm3: f64,
}

fn pieces(wall: &Mesh) -> Vec<Piece> {
    let mut parent: Vec<u32> = (0..wall.vertices().len() as u32).collect();
    let root = |parent: &mut [u32], mut v: u32| {
        while parent[v as usize] != v {
            let up = parent[parent[v as usize] as usize];
            parent[v as usize] = up;
            v = up;
        }
        v
    };
    for corners in wall.triangles() {
        let roots = corners.map(|v| root(&mut parent, v));
        let least = roots[0].min(roots[1]).min(roots[2]);
        roots.into_iter().for_each(|r| parent[r as usize] = least);
    }
    let mut number = vec![u32::MAX; parent.len()];
    let mut found: Vec<Piece> = Vec::new();
    for (t, corners) in wall.triangles().iter().enumerate() {
        let r = root(&mut parent, corners[0]) as usize;
        if number[r] == u32::MAX {
            number[r] = found.len() as u32;
            found.push(Piece { highest: corners[0], volume_mm3: 0.0 });
        }
        let piece = &mut found[number[r] as usize];
        let height = |v: u32| wall.vertices()[v as usize].z;
        for v in corners {
            if height(*v) > height(piece.highest) {
                piece.highest = *v;
            }
        }
        let [a, b, c] = wall.corners(t);
        piece.volume_mm3 += a.dot(b.cross(c)) / 6.0;
    }
    found
}

/// The highest point of a pocket, as the wall stands.
fn top(pocket: &PitWall) -> Vec3 {
    let corners = pocket.wall.vertices().iter();
    let top = corners.reduce(|a, b| if b.z < a.z { b } else { a });
    top.map_or(Vec3::ZERO, |p| p.with_z(-p.z))
}

/// The middle of the wall about a pocket, mm.
fn middle(pocket: &PitWall) -> Vec3 {
    let wall = below_level(&pocket.wall, pocket.lip).0;
    let triangles = 0..wall.triangles().len();
    let (area, moment) = triangles.fold((0.0, Vec3::ZERO), |(area, moment), t| {
        let [a, b, c] = wall.corners(t);
        let own = triangle_area([a, b, c]);
        (area + own, moment + (a + b + c) * (own / 3.0))
    });
    moment / area.max(f64::MIN_POSITIVE)
}

/// How much of a pocket lies farther from the wall than the skin is thick, mm³: down to the
/// skin's thickness under its way out, where the skin on the edge there ends. About so, by
/// places evenly spread.
fn core_part_mm3(pocket: &PitWall, patches: &Patches, skin_mm: f64) -> f64 {
    let corners = || pocket.wall.vertices().iter().filter(|p| p.z <= pocket.lip);
    let (mut low, mut high) = (Vec3::INFINITY, Vec3::NEG_INFINITY);
    for p in corners() {
        let p = p.with_z(-p.z);
        (low, high) = (low.min(p), high.max(p));
    }
    let aside = Vec3::new(skin_mm, skin_mm, 0.0);
    let (low, high) = ((low - aside).with_z(-pocket.lip - skin_mm), high + aside);
    let sides = high - low;
    let step = (sides.x * sides.y * sides.z / PLACES).cbrt();
    if !(step > 0.0 && step.is_finite()) {
        return 0.0;
    }
    let counts = (sides / step).ceil().max(Vec3::ONE);
    let steps = sides / counts;
    let [nx, ny, nz] = counts.to_array().map(|n| n as usize);
    let under_it = |p: Vec3| {
        let hit = patches.first_hit(p, Vec3::Z, high.z - low.z + skin_mm, |_| false);
        hit.is_some_and(|hit| pocket.triangles.binary_search(&hit.triangle).is_ok())
    };
    let width = steps.element_sum() / 3.0;
    // How much of the little box around a place lies in the core: as of a box cut by a plane.
    let share = |p: Vec3| -> f64 {
        let reach = skin_mm + width;
        let distance = patches.nearest(p, reach, None).map_or(reach, |n| n.distance_squared.sqrt());
        let share = ((distance - skin_mm) / width + 0.5).clamp(0.0, 1.0);
        if share > 0.0 && under_it(p) && patches.winding(p) > 0 { share } else { 0.0 }
    };
    let columns = (0..nx * ny).into_par_iter().map(|column| {
        let at = |k: usize| Vec3::new((column % nx) as f64, (column / nx) as f64, k as f64);
        (0..nz).map(|k| share(low + (at(k) + 0.5) * steps)).sum::<f64>()
    });
    // Gathered in order, so that the sum doesn't depend on the number of threads.
    let columns: Vec<f64> = columns.collect();
    columns.into_iter().sum::<f64>() * steps.x * steps.y * steps.z
}
