//! Pictures of a wall: shaded, and tinted by what it is like there.

use rayon::prelude::*;

use crate::mesh::{Mesh, Patches, Vec3, area_vector_doubled};

use super::view::{NOTHING, Seen};

/// A picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Red, green and blue of each pixel, row by row from the top.
    pub rgb: Vec<u8>,
}

/// How a band of a tint looks: its colour, and lines that tell it without colour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ink {
    /// Red, green, blue.
    pub colour: [u8; 3],
    /// What is drawn over it.
    pub lines: Lines,
}

/// Lines over a tint.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lines {
    /// None.
    Plain,
    /// Dots.
    Dots,
    /// Rising to the right.
    Rising,
    /// Rising and falling.
    Crossed,
}

/// Every picture is made this much larger and then brought down, against jagged edges.
pub const FINER: usize = 2;
/// Of the light, so much comes from all sides.
const AMBIENT: f64 = 0.22;
/// Inside, as seen through the opening, it is so much darker.
const INSIDE: f64 = 0.72;
/// Lines of a tint are so many fine pixels apart.
const LINES_APART: usize = 20;
/// Shades of a tint: few, so that the picture stays small.
const SHADES: f64 = 12.0;
/// Half-thicknesses are looked for at pixels so far apart, and drawn between them.
const LATTICE: usize = 8;
/// Neighbours on the lattice belong together up to so many pixels' worth of distance.
const TOGETHER: f64 = 4.0;

/// Slopes of the wall, by the angle of the inward normal to up.
pub const SLOPES: [Ink; 3] = [
    Ink { colour: [246, 243, 232], lines: Lines::Plain },
    Ink { colour: [178, 205, 224], lines: Lines::Rising },
    Ink { colour: [226, 142, 74], lines: Lines::Crossed },
];
/// Half-thickness of the piece beside the skin: under it, to twice, to four times, beyond.
pub const THICKNESSES: [Ink; 4] = [
    Ink { colour: [226, 142, 74], lines: Lines::Crossed },
    Ink { colour: [178, 205, 224], lines: Lines::Rising },
    Ink { colour: [222, 232, 238], lines: Lines::Dots },
    Ink { colour: [246, 243, 232], lines: Lines::Plain },
];
/// Where those bands end, in skins.
pub const THICKNESS_ENDS: [f64; 3] = [1.0, 2.0, 4.0];

/// What is seen of a wall, and how light it is: the same for every picture from one side.
pub struct Lit<'a> {
    seen: &'a Seen,
    wall: &'a Mesh,
    /// At every fine pixel, 0 to 1; 0 beside the piece.
    light: Vec<f64>,
}

impl<'a> Lit<'a> {
    /// Lets light fall on it.
    pub fn new(seen: &'a Seen, wall: &'a Mesh) -> Self {
        let light = |t: &u32| if *t == NOTHING { 0.0 } else { light(seen, wall, *t) };
        Self { seen, wall, light: seen.triangles.par_iter().map(light).collect() }
    }
}

/// The wall in shades of grey.
pub fn shaded(lit: &Lit) -> Picture {
    picture(lit, |_, light| [48.0 + 200.0 * light; 3])
}

/// The wall tinted by its slope; over a height at which its mould parts it is turned over, as each
/// half is brushed with its open side up.
pub fn by_slope(lit: &Lit, parting_mm: Option<f64>) -> Picture {
    let Lit { seen, wall, .. } = lit;
    let cos_floor = 30f64.to_radians().cos();
    let band = |at: usize| {
        let corners = wall.corners(seen.triangles[at] as usize);
        let is_upper =
            parting_mm.is_some_and(|mm| corners.iter().map(|p| p.z).sum::<f64>() > 3.0 * mm);
        let down = area_vector_doubled(corners).normalize_or_zero().z;
        let up = if is_upper { down } else { -down };
        if up > cos_floor {
            0
        } else if up >= 0.0 {
            1
        } else {
            2
        }
    };
    picture(lit, |at, light| ink(seen, at, &SLOPES[band(at)], light))
}

/// The wall tinted by the half-thickness of the piece beside a skin of `skin_mm`.
pub fn by_thickness(lit: &Lit, patches: &Patches, level_mm: Option<f64>, skin_mm: f64) -> Picture {
    let Lit { seen, wall, .. } = lit;
    let lattice = Thicknesses::of(seen, wall, patches, level_mm, skin_mm);
    let band = |at: usize| {
        let half = lattice.at(seen, at % seen.width, at / seen.width) / skin_mm;
        THICKNESS_ENDS.iter().take_while(|end| half >= **end).count()
    };
    picture(lit, |at, light| ink(seen, at, &THICKNESSES[band(at)], light))
}

/// The colour of a fine pixel of a tinted wall.
fn ink(seen: &Seen, at: usize, ink: &Ink, light: f64) -> [f64; 3] {
    let (x, y) = (at % seen.width, at / seen.width);
    let rising = (x + y) % LINES_APART < 3;
    let falling = (x + seen.height * LINES_APART - y) % LINES_APART < 3;
    let half = LINES_APART / 2;
    let dot = x % half < 3 && y % half < 3 && (x / half + y / half).is_multiple_of(2);
    let line = match ink.lines {
        Lines::Plain => false,
        Lines::Dots => dot,
        Lines::Rising => rising,
        Lines::Crossed => rising || falling,
    };
    let light = (light * SHADES).round() / SHADES;
    let tone = 0.62 + 0.38 * light;
    ink.colour.map(|c| if line { 40.0 } else { f64::from(c) * tone })
}

/// Brings a finely drawn picture down: `colour` is asked for the fine pixels on which the wall is
/// seen, and told how light it is there.
fn picture(lit: &Lit, colour: impl Fn(usize, f64) -> [f64; 3] + Sync) -> Picture {
    let seen = lit.seen;
    let (width, height) = (seen.width / FINER, seen.height / FINER);
    let fine = |x: usize, y: usize| -> [f64; 3] {
        let at = y * seen.width + x;
        if seen.edges[at] {
            return [0.0; 3];
        }
        if seen.triangles[at] == NOTHING {
            return [255.0; 3];
        }
        if seen.is_outline(x, y) {
            return [30.0; 3];
        }
        colour(at, lit.light[at])
    };
    let rgb = (0..height).into_par_iter().flat_map_iter(|row| {
        (0..width).flat_map(move |column| {
            let mut sum = [0.0; 3];
            for k in 0..FINER * FINER {
                let one = fine(column * FINER + k % FINER, row * FINER + k / FINER);
                (0..3).for_each(|c| sum[c] += one[c]);
            }
            sum.map(|s| (s / (FINER * FINER) as f64).round() as u8)
        })
    });
    Picture { width: width as u32, height: height as u32, rgb: rgb.collect() }
}

/// How light a triangle is, 0 to 1: light falls over the left shoulder of who looks.
fn light(seen: &Seen, wall: &Mesh, triangle: u32) -> f64 {
    let normal = area_vector_doubled(wall.corners(triangle as usize)).normalize_or_zero();
    let turned = seen.camera().turned(normal);
    let from_inside = turned.z < 0.0;
    let turned = if from_inside { -turned } else { turned };
    let from = Vec3::new(-0.45, 0.55, 0.70).normalize();
    // Wrapped round the piece, so that no side of it is flat.
    let towards = (0.5 + 0.5 * turned.dot(from)).max(0.0);
    let lit = AMBIENT + (1.0 - AMBIENT) * towards * towards.sqrt();
    if from_inside { INSIDE * lit } else { lit }
}

/// Half-thicknesses at pixels evenly apart, mm, with the places they belong to.
struct Thicknesses {
    across: usize,
    found: Vec<Option<(Vec3, f64)>>,
}

impl Thicknesses {
    fn of(
        seen: &Seen,
        wall: &Mesh,
        patches: &Patches,
        level_mm: Option<f64>,
        skin_mm: f64,
    ) -> Self {
        let across = seen.width.div_ceil(LATTICE);
        let down = seen.height.div_ceil(LATTICE);
        let beyond = 1.5 * THICKNESS_ENDS[THICKNESS_ENDS.len() - 1] * skin_mm;
        let look = |k: usize| {
            let (x, y) = ((k % across) * LATTICE, (k / across) * LATTICE);
            let (triangle, place) = seen.place(x, y)?;
            let half = half_thickness(wall, patches, triangle, place, level_mm, beyond);
            Some((place, half))
        };
        Self { across, found: (0..across * down).into_par_iter().map(look).collect() }
    }

    /// At a fine pixel: between the neighbours on the lattice that belong to the same surface.
    fn at(&self, seen: &Seen, x: usize, y: usize) -> f64 {
        let Some((_, place)) = seen.place(x, y) else { return f64::INFINITY };
        let reach = TOGETHER * LATTICE as f64 * seen.pixel_mm();
        let (left, top) = (x / LATTICE, y / LATTICE);
        let (mut sum, mut weights) = (0.0, 0.0);
        let mut nearest = (f64::INFINITY, f64::INFINITY);
        for (column, row) in [(left, top), (left + 1, top), (left, top + 1), (left + 1, top + 1)] {
            if column >= self.across {
                continue;
            }
            let Some((other, half)) = self.found.get(row * self.across + column).copied().flatten()
            else {
                continue;
            };
            let apart = other.distance(place);
            if apart < nearest.0 {
                nearest = (apart, half);
            }
            if apart <= reach {
                let off =
                    |a: usize, b: usize| 1.0 - a.abs_diff(b * LATTICE) as f64 / LATTICE as f64;
                let weight = (off(x, column) * off(y, row)).max(1e-6);
                sum += weight * half;
                weights += weight;
            }
        }
        if weights > 0.0 { sum / weights } else { nearest.1 }
    }
}

/// Half the way along the inward normal to the next wall, or all of it to the level surface, mm;
/// `beyond` where it is more.
fn half_thickness(
    wall: &Mesh,
    patches: &Patches,
    triangle: u32,
    place: Vec3,
    level_mm: Option<f64>,
    beyond: f64,
) -> f64 {
    let inward = -area_vector_doubled(wall.corners(triangle as usize)).normalize_or_zero();
    let hit = patches.first_hit(place, inward, 2.0 * beyond, |other| other == triangle);
    let to_wall = hit.map_or(beyond, |hit| 0.5 * hit.distance);
    let to_level = match level_mm {
        Some(level) if inward.z > 0.0 => (level - place.z).max(0.0) / inward.z,
        _ => beyond,
    };
    to_wall.min(to_level).min(beyond)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::view::{Camera, Size};

    /// A level square seen from above by its outer side, and by its inner side where it is turned.
    fn seen(turned: bool) -> (Mesh, Seen) {
        let corners = [[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]];
        let vertices = corners.map(|[x, y]| Vec3::new(x, y, 0.0)).to_vec();
        let triangles =
            if turned { vec![[0, 2, 1], [0, 3, 2]] } else { vec![[0, 1, 2], [0, 2, 3]] };
        let wall = Mesh::new(vertices, triangles).unwrap();
        let size = Size { width: 40, highest: 40, margin: 8, step: FINER };
        let seen = Seen::of(&wall, Camera::from_side(-Vec3::Y, 90.0), size);
        (wall, seen)
    }

    #[test]
    fn light_falls_on_the_piece_alone() {
        let (wall, seen) = seen(false);
        let lit = Lit::new(&seen, &wall);
        let middle = 20 * seen.width + 20;
        // The light leans from the line of sight by an angle of cosine 0.70 / |(-0.45, 0.55, 0.70)|.
        let towards = 0.5 + 0.5 * 0.70 / f64::sqrt(0.45 * 0.45 + 0.55 * 0.55 + 0.70 * 0.70);
        let light = AMBIENT + (1.0 - AMBIENT) * towards.powf(1.5);
        assert!((lit.light[middle] - light).abs() < 1e-12, "{}, not {light}", lit.light[middle]);
        for (triangle, light) in seen.triangles.iter().zip(&lit.light) {
            assert_eq!(*triangle == NOTHING, *light == 0.0);
        }
        let picture = shaded(&lit);
        let pixel = |x: usize, y: usize| picture.rgb[3 * (y * picture.width as usize + x)];
        assert_eq!(f64::from(pixel(10, 10)), (48.0 + 200.0 * light).round());
        assert_eq!(pixel(0, 0), 255);
    }

    #[test]
    fn the_inside_is_darker() {
        let ((outer, from_outside), (inner, from_inside)) = (seen(false), seen(true));
        let (outside, inside) = (Lit::new(&from_outside, &outer), Lit::new(&from_inside, &inner));
        let middle = 20 * from_outside.width + 20;
        assert!((inside.light[middle] - INSIDE * outside.light[middle]).abs() < 1e-12);
    }
}
