//! The same surface in other triangles, and the same triangles with a little noise.

use super::chance::Chance;
use super::solids::{Body, triangle_area};
use super::vector::{Point, add, between, cross, dot, norm, scale, sub, unit};

/// The body with its points, its triangles and each triangle's first corner in random order.
pub fn shuffled(body: Body, seed: u64) -> Body {
    let mut chance = Chance::new(seed);
    let mut order: Vec<usize> = (0..body.points.len()).collect();
    chance.shuffle(&mut order);
    let mut place = vec![0u32; order.len()];
    order.iter().enumerate().for_each(|(new, &old)| place[old] = new as u32);
    let mut faces: Vec<[u32; 3]> =
        body.faces.iter().map(|f| f.map(|i| place[i as usize])).collect();
    chance.shuffle(&mut faces);
    faces.iter_mut().for_each(|f| f.rotate_left(chance.below(3)));
    Body { points: order.into_iter().map(|i| body.points[i]).collect(), faces }
}

/// Splits `count` random edges that belong to a face that `chosen` takes; the surface stays.
pub fn split_edges(
    mut body: Body,
    count: usize,
    seed: u64,
    chosen: impl Fn([Point; 3]) -> bool,
) -> Body {
    let mut chance = Chance::new(seed);
    let mut pool: Vec<usize> = (0..body.faces.len()).filter(|&f| chosen(body.corners(f))).collect();
    for _ in 0..count {
        let face = pool[chance.below(pool.len())];
        let side = longest_side(body.corners(face));
        let (a, b) = (body.faces[face][side], body.faces[face][(side + 1) % 3]);
        let Some(other) = body.faces.iter().position(|f| runs(*f, b, a)) else { continue };
        let [p, q] = [a, b].map(|i| body.points[i as usize]);
        let m = body.push(between(p, q, chance.within(0.3, 0.7)));
        for (f, from, to) in [(face, a, b), (other, b, a)] {
            let apex = body.faces[f].into_iter().find(|i| ![from, to].contains(i));
            let apex = apex.expect("a triangle has a third corner");
            body.faces[f] = [from, m, apex];
            body.faces.push([m, to, apex]);
            if pool.contains(&f) {
                pool.push(body.faces.len() - 1);
            }
        }
    }
    body
}

/// Least height of a needle, mm: so far over the rounding of its corners that it does not turn over.
const NEEDLE_MM: f64 = 1e-7;

/// Splits `count` random sides very unequally, from 1 : 10 to 1 : 10⁷, so that needles and fans
/// arise; the surface stays but for rounding.
pub fn needles(mut body: Body, count: usize, seed: u64) -> Body {
    let mut chance = Chance::new(seed);
    for _ in 0..count {
        let face = chance.below(body.faces.len());
        let side = chance.below(3);
        let (a, b) = (body.faces[face][side], body.faces[face][(side + 1) % 3]);
        let Some(other) = body.faces.iter().position(|f| runs(*f, b, a)) else { continue };
        let [p, q] = [a, b].map(|i| body.points[i as usize]);
        let middle = between(p, q, 10f64.powf(chance.within(-7.0, -1.0)));
        let apex_of = |f: usize| {
            let apex = body.faces[f].into_iter().find(|i| ![a, b].contains(i));
            apex.expect("a triangle has a third corner")
        };
        let apexes = [face, other].map(apex_of);
        let too_thin = |apex: &u32| height([p, middle, body.points[*apex as usize]]) < NEEDLE_MM;
        if apexes.iter().any(too_thin) {
            continue;
        }
        let m = body.push(middle);
        for (f, from, to, apex) in [(face, a, b, apexes[0]), (other, b, a, apexes[1])] {
            body.faces[f] = [from, m, apex];
            body.faces.push([m, to, apex]);
        }
    }
    body
}

/// Least height of a triangle.
fn height(corners: [Point; 3]) -> f64 {
    let side = longest_side(corners);
    2.0 * triangle_area(corners) / norm(sub(corners[(side + 1) % 3], corners[side]))
}

fn longest_side(corners: [Point; 3]) -> usize {
    let length = |k: usize| norm(sub(corners[(k + 1) % 3], corners[k]));
    (0..3).max_by(|&a, &b| length(a).total_cmp(&length(b))).unwrap_or(0)
}

fn runs(face: [u32; 3], a: u32, b: u32) -> bool {
    (0..3).any(|k| face[k] == a && face[(k + 1) % 3] == b)
}

/// Turns up to `count` random edges between two faces that both lie in the patch, where the two
/// make a convex quad; the surface stays. The patch is all faces whose corners `flat` takes.
pub fn flip_edges(mut body: Body, count: usize, seed: u64, flat: impl Fn(Point) -> bool) -> Body {
    let mut chance = Chance::new(seed);
    let pool: Vec<usize> =
        (0..body.faces.len()).filter(|&f| body.corners(f).into_iter().all(&flat)).collect();
    for _ in 0..count {
        let face = pool[chance.below(pool.len())];
        let side = chance.below(3);
        let [a, b, c] = [0, 1, 2].map(|k| body.faces[face][(side + k) % 3]);
        let Some(other) = pool.iter().copied().find(|&f| runs(body.faces[f], b, a)) else {
            continue;
        };
        let d = body.faces[other].into_iter().find(|i| ![a, b].contains(i));
        let d = d.expect("a triangle has a third corner");
        let at = |t: [u32; 3]| t.map(|i| body.points[i as usize]);
        let (one, two) = ([a, d, c], [d, b, c]);
        if same_side(at([a, b, c]), at(one)) && same_side(at([a, b, c]), at(two)) {
            body.faces[face] = one;
            body.faces[other] = two;
        }
    }
    body
}

/// The second triangle faces the way of the first and is no sliver.
fn same_side(old: [Point; 3], new: [Point; 3]) -> bool {
    let normal = |[a, b, c]: [Point; 3]| cross(sub(b, a), sub(c, a));
    let (n, m) = (normal(old), normal(new));
    let longest = norm(sub(new[1], new[0])).max(norm(sub(new[2], new[1])));
    norm(m) > 1e-3 * longest * longest && dot(n, m) > 0.9 * norm(n) * norm(m)
}

/// Moves the points inside the patch (all of whose faces lie in it) within its plane, so far as no
/// triangle turns over; the surface stays. The patch is all faces whose corners `flat` takes.
pub fn slide_points(mut body: Body, seed: u64, flat: impl Fn(Point) -> bool) -> Body {
    let mut chance = Chance::new(seed);
    let mut around = vec![Vec::new(); body.points.len()];
    for (f, face) in body.faces.iter().enumerate() {
        face.iter().for_each(|&i| around[i as usize].push(f));
    }
    for (i, faces) in around.iter().enumerate() {
        let inside = |f: &usize| body.corners(*f).into_iter().all(&flat);
        if faces.is_empty() || !faces.iter().all(inside) {
            continue;
        }
        let old: Vec<[Point; 3]> = faces.iter().map(|&f| body.corners(f)).collect();
        let [a, b, c] = old[0];
        let normal = unit(cross(sub(b, a), sub(c, a)));
        let reach = old.iter().map(|t| triangle_area(*t).sqrt()).fold(f64::INFINITY, f64::min);
        let step = cross(normal, chance.direction());
        let start = body.points[i];
        body.points[i] = add(start, scale(step, reach * chance.unit()));
        if !faces.iter().zip(&old).all(|(&f, t)| same_side(*t, body.corners(f))) {
            body.points[i] = start;
        }
    }
    body
}

/// All of the above on the flat top at height `level`: splits, flips, moves.
pub fn remeshed_top(body: Body, level: f64, splits: usize, seed: u64) -> Body {
    let on_top = move |p: Point| (p[2] - level).abs() < 1e-9;
    let body = split_edges(body, splits, seed, |t| t.into_iter().all(on_top));
    let body = flip_edges(body, 2 * splits, seed ^ 1, on_top);
    slide_points(body, seed ^ 2, on_top)
}

/// The corners that `chosen` takes moved by up to `amount` along `direction`, either way.
pub fn rough(
    mut body: Body,
    amount: f64,
    direction: Point,
    seed: u64,
    chosen: impl Fn(Point) -> bool,
) -> Body {
    let mut chance = Chance::new(seed);
    for p in body.points.iter_mut().filter(|p| chosen(**p)) {
        *p = add(*p, scale(direction, chance.within(-amount, amount)));
    }
    body
}
