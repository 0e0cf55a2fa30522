//! Holes, T-junctions and scraps: what is mended, and whether the limits hold what was there.

mod support;

use std::collections::{BTreeMap, HashMap, HashSet};

use cavigram::health::{Examined, FillRequest, Unsound, examine, look_over};
use support::chance::Chance;
use support::solids::{Body, cuboid, icosphere, torus, triangle_area};
use support::vector::{Point, add, dot, norm, scale, sub, unit};

fn middle(t: [Point; 3]) -> Point {
    scale(add(add(t[0], t[1]), t[2]), 1.0 / 3.0)
}

/// A body without the faces numbered so.
fn without(body: &Body, left_out: &HashSet<usize>) -> Body {
    let faces = (0..body.faces.len()).filter(|f| !left_out.contains(f)).map(|f| body.faces[f]);
    Body { points: body.points.clone(), faces: faces.collect() }
}

/// The faces across the sides of each face.
fn neighbours(body: &Body) -> Vec<Vec<usize>> {
    let mut sides: HashMap<[u32; 2], Vec<usize>> = HashMap::new();
    for (f, face) in body.faces.iter().enumerate() {
        for k in 0..3 {
            let (a, b) = (face[k], face[(k + 1) % 3]);
            sides.entry([a.min(b), a.max(b)]).or_default().push(f);
        }
    }
    let mut across = vec![Vec::new(); body.faces.len()];
    for pair in sides.values().filter(|pair| pair.len() == 2) {
        across[pair[0]].push(pair[1]);
        across[pair[1]].push(pair[0]);
    }
    across
}

/// `count` round holes that together are `share` of the area, each grown from a face over its
/// neighbours, the nearest first.
fn with_holes(body: &Body, count: usize, share: f64, seed: u64) -> Body {
    let across = neighbours(body);
    let each = share * body.area() / count as f64;
    let mut chance = Chance::new(seed);
    let mut gone: HashSet<usize> = HashSet::new();
    let mut made = 0;
    while made < count {
        let start = chance.below(body.faces.len());
        let centre = middle(body.corners(start));
        let key = |f: usize| (norm(sub(middle(body.corners(f)), centre)).to_bits(), f);
        let mut front = BTreeMap::from([(key(start), ())]);
        let (mut hole, mut area) = (HashSet::new(), 0.0);
        while let Some(((_, f), ())) = front.pop_first() {
            let own = triangle_area(body.corners(f));
            if area + 0.5 * own > each && !hole.is_empty() {
                break;
            }
            hole.insert(f);
            area += own;
            let next = across[f].iter().filter(|g| !hole.contains(g));
            front.extend(next.map(|g| (key(*g), ())));
        }
        let free =
            hole.iter().all(|f| !gone.contains(f) && across[*f].iter().all(|g| !gone.contains(g)));
        if free {
            gone.extend(hole);
            made += 1;
        }
    }
    without(body, &gone)
}

/// A share of the faces taken out at random.
fn punched(body: &Body, share: f64, seed: u64) -> Body {
    let mut all: Vec<usize> = (0..body.faces.len()).collect();
    Chance::new(seed).shuffle(&mut all);
    all.truncate((share * all.len() as f64).round() as usize);
    without(body, &all.into_iter().collect())
}

/// A ball pushed out by smooth bumps.
fn bumpy(times: usize) -> Body {
    icosphere(1.0, times).map(|q| {
        let bumps =
            0.15 * (3.0 * q[0]).sin() * (2.0 * q[1]).cos() + 0.1 * (4.0 * q[2] + q[0]).sin();
        scale(q, 47.5 * (1.0 + bumps))
    })
}

/// A ball with five fingers.
fn fingered(times: usize) -> Body {
    let fingers =
        [[1.0, 0.0, 0.2], [0.8, 0.6, 0.0], [0.6, -0.7, 0.1], [0.0, 0.1, 1.0], [-0.9, 0.2, 0.3]];
    icosphere(1.0, times).map(|q| {
        let out: f64 = fingers.iter().map(|f| (12.0 * (dot(q, unit(*f)) - 1.0)).exp()).sum();
        scale(q, 25.0 * (1.0 + 1.2 * out))
    })
}

fn bodies() -> Vec<(&'static str, Body)> {
    vec![
        ("ball", icosphere(30.0, 5)),
        ("ellipsoid", icosphere(30.0, 5).map(|p| [p[0], 0.6 * p[1], 0.4 * p[2]])),
        ("thin ellipsoid", icosphere(30.0, 5).map(|p| [p[0], 0.7 * p[1], 0.15 * p[2]])),
        ("torus", torus(40.0, 15.0, 120, 48)),
        ("thin torus", torus(60.0, 8.0, 200, 24)),
        ("bumpy", bumpy(5)),
        ("fingered", fingered(5)),
    ]
}

struct Limits {
    best: f64,
    margin: f64,
}

fn limits(examined: &Examined) -> Limits {
    let sound = examined.sound.as_ref().unwrap_or_else(|e| panic!("{e}: {:?}", examined.health));
    Limits { best: sound.mesh().signed_volume_mm3(), margin: sound.volume_margin_mm3() }
}

fn accepted(body: &Body) -> Examined {
    let looked = look_over(body.mesh());
    let mut health = looked.health;
    let filled = looked
        .surface
        .and_then(|s| s.fill_holes(None, FillRequest { accept_large: true }, &mut health));
    let findings = filled.as_ref().map(|s| s.findings()).unwrap_or_default();
    let sound = filled.and_then(|s| s.close(&mut health));
    Examined { health, sound, findings }
}

#[test]
fn explore() {
    for (name, body) in bodies() {
        let truth = body.volume();
        let mut show = |what: &str, open: &Body| {
            let found = examine(open.mesh());
            let refused = found.sound.is_err();
            let said = found.sound.as_ref().err().map(|e| e.to_string()).unwrap_or_default();
            let found = if matches!(found.sound, Err(Unsound::HoleTooLarge { .. })) {
                accepted(open)
            } else {
                found
            };
            if found.sound.is_err() {
                println!("{name:>14} {what}: REFUSED {said}");
                return;
            }
            let l = limits(&found);
            let off = (l.best - truth).abs();
            println!(
                "{name:>14} {what}: off {:.4} % (signed {:+.4}) margin {:.3} % used {:.2} {}{}",
                100.0 * off / truth,
                100.0 * (l.best - truth) / truth,
                100.0 * l.margin / truth,
                off / l.margin,
                if off > l.margin { "MISSED" } else { "" },
                if refused { said } else { String::new() }
            );
        };
        for (share, _, _) in [(0.01, 0.003, 0.05), (0.03, 0.01, 0.12), (0.05, 0.02, 0.20)] {
            for seed in 0..3 {
                show(&format!("20 holes {share}"), &with_holes(&body, 20, share, seed));
            }
        }
        for share in [0.021, 0.03, 0.045] {
            for seed in 0..4 {
                show(&format!("one hole {share}"), &with_holes(&body, 1, share, seed));
            }
        }
        for share in [0.01, 0.03] {
            show(&format!("punched {share}"), &punched(&body, share, 7));
        }
    }
    let _ = cuboid(1.0, 1.0, 1.0);
}
