//! Scans as a workshop gets them: the surface of a mould, with rim, noise and holes, and a mould
//! block from a drawing. Built from level grids of heights, so +z is up and the rim lies at 0.

use super::implicit::Random;
use super::pieces::Form;
use super::surface::Surface;
use super::vector::Point;

/// A scan, or a drawing of a mould, to be made.
pub struct Scan {
    pub file: &'static str,
    pub form: Form,
    pub surface: Surface,
}

const SEED: u64 = 20_261_126;

/// The scans whose files lie beside the generator.
pub fn committed_scans() -> Vec<Scan> {
    vec![open_mould(), two_impressions()]
}

/// A bowl that a mould has: half an ellipsoid hanging from the rim.
struct Bowl {
    centre: [f64; 2],
    half: [f64; 2],
    depth: f64,
}

impl Bowl {
    /// How deep it lies under the rim at a place, mm; 0 beside it.
    fn under(&self, [x, y]: [f64; 2]) -> f64 {
        let [u, v] = [(x - self.centre[0]) / self.half[0], (y - self.centre[1]) / self.half[1]];
        self.depth * (1.0 - u * u - v * v).max(0.0).sqrt()
    }
}

/// A level grid of corners over `[0, sides]`, its heights told by `height`.
fn grid(
    sides: [f64; 2],
    step: f64,
    mut height: impl FnMut([f64; 2]) -> f64,
) -> (Surface, [u32; 2]) {
    let [nx, ny] = sides.map(|side| (side / step).round() as u32);
    let mut corners = Vec::new();
    for j in 0..=ny {
        for i in 0..=nx {
            let place = [f64::from(i) * step, f64::from(j) * step];
            corners.push([place[0], place[1], height(place)]);
        }
    }
    let mut triangles = Vec::new();
    for j in 0..ny {
        for i in 0..nx {
            let at = |di: u32, dj: u32| (j + dj) * (nx + 1) + i + di;
            triangles.push([at(0, 0), at(1, 0), at(1, 1)]);
            triangles.push([at(0, 0), at(1, 1), at(0, 1)]);
        }
    }
    (Surface { corners, triangles }, [nx, ny])
}

/// The mould of a shoulder pad as a hand-held scanner gives it: open at the back, a tenth of a
/// millimetre of noise, two places that it didn't see, and not quite level.
fn open_mould() -> Scan {
    let bowls = [
        Bowl { centre: [50.0, 40.0], half: [36.0, 28.0], depth: 24.0 },
        Bowl { centre: [72.0, 44.0], half: [26.0, 22.0], depth: 17.0 },
    ];
    let mut random = Random::from_seed(SEED);
    let (mut surface, _) = grid([112.0, 80.0], 1.0, |place| {
        let deep = bowls.iter().map(|bowl| bowl.under(place)).fold(0.0, f64::max);
        random.between(-0.1, 0.1) - deep
    });
    let unseen: [([f64; 2], f64); 2] = [([40.0, 34.0], 5.0), ([78.0, 52.0], 3.5)];
    let gone = |corner: Point| {
        unseen.iter().any(|([x, y], radius)| {
            let [dx, dy] = [corner[0] - x, corner[1] - y];
            dx * dx + dy * dy < radius * radius
        })
    };
    let corners = surface.corners.clone();
    surface.triangles.retain(|t| !t.iter().any(|v| gone(corners[*v as usize])));
    // Leaning by 1.5° about x: its sine and cosine.
    let (sine, cosine) = (0.026_176_948_307_873_15, 0.999_657_324_975_557_3);
    for corner in &mut surface.corners {
        let [_, y, z] = *corner;
        (corner[1], corner[2]) = (cosine * y - sine * z, sine * y + cosine * z);
    }
    Scan { file: "shoulder-mould-scan.ply", form: Form::PlyBinary, surface: used_only(surface) }
}

/// A block with two impressions, drawn and not scanned: closed, so it needs --as mould.
fn two_impressions() -> Scan {
    let bowls = [
        Bowl { centre: [32.0, 30.0], half: [22.0, 20.0], depth: 16.0 },
        Bowl { centre: [84.0, 30.0], half: [18.0, 16.0], depth: 12.0 },
    ];
    let sides = [112.0, 60.0];
    let (mut surface, [nx, ny]) =
        grid(sides, 2.0, |place| -bowls.iter().map(|bowl| bowl.under(place)).fold(0.0, f64::max));
    close_below(&mut surface, [nx, ny], -28.0);
    Scan { file: "two-impressions.stl", form: Form::StlBinary, surface }
}

/// Walls from the grid's border down to a level floor.
fn close_below(surface: &mut Surface, [nx, ny]: [u32; 2], z: f64) {
    let floor = surface.corners.len() as u32;
    let at = |i: u32, j: u32| j * (nx + 1) + i;
    let along = (0..nx).map(|i| at(i, 0)).chain((0..ny).map(|j| at(nx, j)));
    let back = (0..nx).map(|i| at(nx - i, ny)).chain((0..ny).map(|j| at(0, ny - j)));
    let border: Vec<u32> = along.chain(back).collect();
    for v in &border {
        let [x, y, _] = surface.corners[*v as usize];
        surface.corners.push([x, y, z]);
    }
    let count = border.len() as u32;
    let middle = floor + count;
    let last = surface.corners[border[border.len() / 2] as usize];
    surface.corners.push([0.5 * last[0], 0.5 * last[1], z]);
    for k in 0..count {
        let next = (k + 1) % count;
        let [a, b] = [border[k as usize], border[next as usize]];
        let [c, d] = [floor + k, floor + next];
        surface.triangles.extend([[a, c, d], [a, d, b], [middle, d, c]]);
    }
}

/// Without the corners that no triangle uses.
fn used_only(surface: Surface) -> Surface {
    let mut name = vec![u32::MAX; surface.corners.len()];
    let mut corners = Vec::new();
    let triangles = surface.triangles.iter().map(|t| {
        t.map(|v| {
            let v = v as usize;
            if name[v] == u32::MAX {
                name[v] = corners.len() as u32;
                corners.push(surface.corners[v]);
            }
            name[v]
        })
    });
    let triangles = triangles.collect();
    Surface { corners, triangles }
}
