//! Moulds whose cavities are known in closed form: sheets as a scanner gives them, and blocks.
//! Lengths in mm, +z up, normals into the air.

use super::solids::{Body, revolved};

/// A mould's surface turned on a lathe: the profile runs from the axis outward, pairs of
/// (distance from the axis, z); open at its end, closed where that lies on the axis again.
pub fn turned_mould(profile: &[[f64; 2]], n: usize) -> Body {
    revolved(profile, n).inside_out()
}

/// The profile carried out over a flat rim, down the side and back to the axis: a block.
pub fn with_block(profile: &[[f64; 2]], rim: f64, below: f64) -> Vec<[f64; 2]> {
    let [_, level] = profile[profile.len() - 1];
    let mut all = profile.to_vec();
    all.extend([[rim, level], [rim, below], [0.0, below]]);
    all
}

/// The profile carried out over a flat rim in rings of about `step`.
pub fn with_rim(profile: &[[f64; 2]], rim: f64, step: f64) -> Vec<[f64; 2]> {
    let [from, level] = profile[profile.len() - 1];
    let rings = ((rim - from) / step).round().max(1.0) as usize;
    let mut all = profile.to_vec();
    all.extend((1..=rings).map(|k| [from + (rim - from) * k as f64 / rings as f64, level]));
    all
}

/// A sheet of heights over a square grid of `count` squares a side and `step` mm, from (0, 0):
/// every square has its middle as a corner, so creases along both diagonals are exact.
pub fn height_sheet(count: usize, step: f64, z: impl Fn(f64, f64) -> f64) -> Body {
    let mut body = Body::default();
    let point = |x: f64, y: f64| [x * step, y * step, z(x * step, y * step)];
    for y in 0..=count {
        for x in 0..=count {
            body.push(point(x as f64, y as f64));
        }
    }
    let at = |x: usize, y: usize| (y * (count + 1) + x) as u32;
    for y in 0..count {
        for x in 0..count {
            let middle = body.push(point(x as f64 + 0.5, y as f64 + 0.5));
            let ring = [at(x, y), at(x + 1, y), at(x + 1, y + 1), at(x, y + 1)];
            for k in 0..4 {
                body.faces.push([ring[k], ring[(k + 1) % 4], middle]);
            }
        }
    }
    body
}

/// Depth of a square pyramid dug at (cx, cy), half a side `half` wide and `depth` deep.
pub fn pyramid(x: f64, y: f64, [cx, cy]: [f64; 2], half: f64, depth: f64) -> f64 {
    depth * (1.0 - (x - cx).abs().max((y - cy).abs()) / half).max(0.0)
}

/// An open tub with a flat bottom at z = 0 and upright sides over a regular polygon of n
/// corners at `radius`; `top` gives the height of each corner of its edge.
pub fn tub(n: usize, radius: f64, top: impl Fn(usize, [f64; 2]) -> f64) -> Body {
    let mut body = Body::default();
    let middle = body.push([0.0, 0.0, 0.0]);
    let corner = |k: usize| {
        let angle = std::f64::consts::TAU * k as f64 / n as f64;
        [radius * angle.cos(), radius * angle.sin()]
    };
    let low: Vec<u32> = (0..n).map(|k| body.push([corner(k)[0], corner(k)[1], 0.0])).collect();
    let high: Vec<u32> = (0..n)
        .map(|k| {
            let [x, y] = corner(k);
            body.push([x, y, top(k, [x, y])])
        })
        .collect();
    for k in 0..n {
        let j = (k + 1) % n;
        body.faces.push([middle, low[k], low[j]]);
        body.faces.extend([[low[k], high[j], low[j]], [low[k], high[k], high[j]]]);
    }
    body
}

/// Area of that polygon: n/2 · r² · sin(2π/n) (references G27).
pub fn polygon_area(n: usize, radius: f64) -> f64 {
    n as f64 / 2.0 * radius * radius * (std::f64::consts::TAU / n as f64).sin()
}
