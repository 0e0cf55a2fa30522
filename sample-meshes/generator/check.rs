//! What every piece must be before it is written: closed, in one piece, facing outward, without
//! handles, without triangles of no area.

use std::collections::HashMap;

use super::surface::Surface;
use super::vector::{cross, dot, length, sub};

/// The least area of a triangle as a share of the square of its longest side.
const SLIVER: f64 = 1e-3;

/// # Errors
/// The first thing that is wrong.
pub fn check(surface: &Surface) -> Result<(), String> {
    let mut edges: HashMap<(u32, u32), usize> = HashMap::new();
    for (n, &[a, b, c]) in surface.triangles.iter().enumerate() {
        for edge in [(a, b), (b, c), (c, a)] {
            if edges.insert(edge, n).is_some() {
                return Err(format!("edge {edge:?} is run through twice in one direction"));
            }
        }
    }
    if let Some((edge, _)) = edges.iter().find(|&(&(a, b), _)| !edges.contains_key(&(b, a))) {
        return Err(format!("edge {edge:?} is open"));
    }
    let reached = connected(surface, &edges);
    if reached != surface.triangles.len() {
        return Err(format!("{reached} of {} triangles hang together", surface.triangles.len()));
    }
    // Connected over its edges, with an Euler characteristic of 2: a sphere, no corner pinched.
    let euler = surface.corners.len() as i64 - edges.len() as i64 / 2 + reached as i64;
    if euler != 2 {
        return Err(format!("the Euler characteristic is {euler}, not 2"));
    }
    check_shapes(surface)
}

fn connected(surface: &Surface, edges: &HashMap<(u32, u32), usize>) -> usize {
    let mut seen = vec![false; surface.triangles.len()];
    let mut waiting = vec![0];
    let mut reached = 0;
    while let Some(n) = waiting.pop() {
        if std::mem::replace(&mut seen[n], true) {
            continue;
        }
        reached += 1;
        let [a, b, c] = surface.triangles[n];
        waiting.extend([(b, a), (c, b), (a, c)].iter().filter_map(|edge| edges.get(edge)));
    }
    reached
}

fn check_shapes(surface: &Surface) -> Result<(), String> {
    let mut volume = 0.0;
    for triangle in &surface.triangles {
        let [a, b, c] = triangle.map(|v| surface.corners[v as usize]);
        let sides = [sub(b, a), sub(c, b), sub(a, c)];
        let longest = sides.iter().map(|s| dot(*s, *s)).fold(0.0, f64::max);
        let area = length(cross(sides[0], sides[1])) / 2.0;
        if area <= SLIVER * longest {
            return Err(format!("triangle {triangle:?} at {a:?} is a sliver"));
        }
        volume += dot(a, cross(b, c)) / 6.0;
    }
    if volume > 0.0 { Ok(()) } else { Err("the surface faces inward".to_owned()) }
}
