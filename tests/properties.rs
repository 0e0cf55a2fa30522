//! What must hold for any body: limits hold the truth, and nothing hangs on how the body lies, on
//! the order of its triangles, or on the number of threads. Seeds are fixed: every run is the same.

mod support;

use std::f64::consts::PI;

use cavigram::bounds::Bounds;
use cavigram::cavity::{Cavity, CavityRequest};
use cavigram::job::{self, JobRequest, LayersRequest, MeshRequest};
use cavigram::layers::{LayerRequest, Layers};
use cavigram::plan::{PlanRequest, ShopTold};
use cavigram::render;
use cavigram::units::Length;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use support::chance::Chance;
use support::oracle::{Counted, Question, count};
use support::pipeline::{CLOSED, LEVEL, cavity, holds, layers, meet, request, vec3};
use support::remesh::{needles, remeshed_top, shuffled};
use support::solids::{Body, cuboid, hull, icosphere, prism, torus};
use support::truth::{Handbook, Span, handbook_box, handbook_l, handbook_void};
use support::vector::{Point, add, cross, dot, norm, scale, sub, turned, unit};

fn cases(cases: u32, seed: u64) -> ProptestConfig {
    ProptestConfig {
        cases,
        rng_seed: RngSeed::Fixed(seed),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

fn relative(value: f64, truth: f64) -> f64 {
    (value - truth).abs() / truth.abs().max(1e-6)
}

/// A ball of about 18 mm with bumps and dents. Every ray from the middle meets it once, so it
/// can't cross itself.
fn bumpy(seed: u64, times: usize) -> Body {
    let mut chance = Chance::new(seed);
    let bumps: Vec<(Point, f64, f64)> = (0..6)
        .map(|_| (chance.direction(), chance.within(-0.6, 0.9), chance.within(0.02, 0.4)))
        .collect();
    icosphere(1.0, times).map(|p| {
        let bump = |(d, a, w): &(Point, f64, f64)| a * (-(1.0 - dot(*d, p)) / w).exp();
        let r = 1.0 + bumps.iter().map(bump).sum::<f64>();
        scale(p, 18.0 * r.max(0.2))
    })
}

/// An upright block with a random star for its outline, wider or narrower at its flat top.
fn block(seed: u64) -> Body {
    let mut chance = Chance::new(seed);
    let n = 5 + chance.below(8);
    let outline: Vec<[f64; 2]> = (0..n)
        .map(|i| {
            let (s, c) = (2.0 * PI * i as f64 / n as f64).sin_cos();
            let r = chance.within(9.0, 26.0);
            [r * c, r * s]
        })
        .collect();
    let (height, taper) = (chance.within(12.0, 30.0), chance.within(0.75, 1.3));
    let body = prism(&outline, height).map(|p| {
        let f = if p[2] > 0.0 { taper } else { 1.0 };
        [f * p[0], f * p[1], p[2]]
    });
    body.subdivided(chance.below(3))
}

/// The cavity of a random body, open at a flat top or closed.
fn any_cavity(seed: u64, open: bool) -> Cavity {
    if open { cavity(&block(seed), &LEVEL) } else { cavity(&bumpy(seed, 2), &CLOSED) }
}

/// Skin, core and cap.
fn parts(layers: &Layers) -> [(&'static str, Bounds); 3] {
    [("skin", layers.skin_mm3), ("core", layers.core_mm3), ("cap", layers.cap_mm3)]
}

/// What must hold of any layers: limits around the value, parts that add up, the tolerance kept.
fn check_order(found: &Layers, whole: f64, tag: &str) {
    let coats = found.coats_mm3.iter().map(|c| ("coat", *c));
    for (what, b) in parts(found).into_iter().chain(coats) {
        let ordered = 0.0 <= b.low() && b.low() <= b.best() && b.best() <= b.high();
        assert!(ordered && b.high() <= whole * (1.0 + 1e-12), "{tag}: {what} {b:?} of {whole}");
    }
    let sum: f64 = parts(found).iter().map(|(_, b)| b.best()).sum();
    assert!(relative(sum, whole) < 1e-9, "{tag}: layers add up to {sum}, not {whole}");
    let coats: f64 = found.coats_mm3.iter().map(|c| c.best()).sum();
    assert!((coats - found.skin_mm3.best()).abs() <= 1e-9 * whole, "{tag}: {coats}, {found:?}");
}

fn check_meet(one: &Layers, other: &Layers, scale: f64, tag: &str) {
    let whole: f64 = parts(one).iter().map(|(_, b)| b.best()).sum();
    for ((what, a), (_, b)) in parts(one).into_iter().zip(parts(other)) {
        let b = Bounds::new(b.low() / scale, b.best() / scale, b.high() / scale);
        // A moved body has its corners rounded anew, and with them its volume.
        let b = b.widened(1e-9 * whole);
        assert!(meet(&a, &b), "{tag}: {what} {a:?} and {b:?} have nothing in common");
    }
}

/// Moves a body: turned, shifted and scaled, and which way is up then.
fn placed(body: &Body, axis: Point, angle: f64, shift: Point, size: f64) -> (Body, Point) {
    let moved = body.clone().turned(axis, angle).scaled(size).moved(shift);
    (moved, turned([0.0, 0.0, 1.0], unit(axis), angle))
}

fn towards(up: Point, request: &CavityRequest) -> CavityRequest {
    CavityRequest { up: vec3(up), up_given: true, ..*request }
}

proptest! {
    #![proptest_config(cases(4, 1))]

    /// A kilometre away the coordinates have steps of 1.2e-10 mm. Rounding moves a corner by half
    /// of that at most, and the surface sweeps A times that: 1e-11 of the volume of a body with
    /// A/V = 0.2 per mm, as these have. So 1e-9 serves there too.
    #[test]
    fn place_size_and_order_do_not_matter(
        seed in any::<u64>(),
        open in any::<bool>(),
        angle in 0.1..3.1f64,
        size in 0.5..2.0f64,
    ) {
        let mut chance = Chance::new(seed);
        let body = if open { block(seed) } else { bumpy(seed, 2) };
        let asked = if open { LEVEL } else { CLOSED };
        let base = cavity(&body, &asked);
        let split = layers(&base, &request(2.0, 4.0, 0.005));
        let axis = chance.direction();
        let far = scale(unit([1.0, -1.0, 1.0]), 1e6);
        let near = scale(chance.direction(), 300.0);
        let moves = [
            (axis, angle, [0.0; 3], 1.0),
            ([0.0, 0.0, 1.0], 0.0, near, 1.0),
            (axis, angle, far, 1.0),
            ([0.0, 0.0, 1.0], 0.0, [0.0; 3], size),
        ];
        for (k, (axis, angle, shift, size)) in moves.into_iter().enumerate() {
            let (moved, up) = placed(&body, axis, angle, shift, size);
            let moved = shuffled(moved, seed ^ k as u64);
            let found = cavity(&moved, &towards(up, &asked));
            let (a, b) = (base.measures(), found.measures());
            for (what, one, other) in [
                ("volume", a.volume_mm3.best(), b.volume_mm3.best() / size.powi(3)),
                ("wall", a.wall_area_mm2, b.wall_area_mm2 / size.powi(2)),
                ("opening", a.opening_area_mm2, b.opening_area_mm2 / size.powi(2)),
                ("outline", a.opening_perimeter_mm, b.opening_perimeter_mm / size),
                ("depth", a.fill_mm, b.fill_mm / size),
            ] {
                prop_assert!(relative(other, one) < 1e-9, "{k}: {what} {one} {other}");
            }
            let moved = layers(&found, &request(2.0 * size, 4.0 * size, 0.005));
            check_order(&moved, b.volume_mm3.best(), "moved");
            check_meet(&split, &moved, size.powi(3), "moved");
        }
    }

    #[test]
    fn limits_narrow_with_the_tolerance_and_keep_meeting(
        seed in any::<u64>(),
        open in any::<bool>(),
        t in 1.5..5.0f64,
        cap in 0.0..9.0f64,
    ) {
        let cavity = any_cavity(seed, open);
        let whole = cavity.measures().volume_mm3.best();
        let mut before: Vec<Layers> = Vec::new();
        for tolerance in [0.01, 0.004, 0.002] {
            let found = layers(&cavity, &request(t, cap, tolerance));
            check_order(&found, whole, "tolerance");
            prop_assert!(found.tolerance_reached);
            for (what, limits) in parts(&found) {
                let reach = limits.reach();
                prop_assert!(reach <= tolerance * whole * 1.000_001, "{what} {limits:?} of {whole}");
            }
            before.iter().for_each(|coarse| check_meet(coarse, &found, 1.0, "tolerance"));
            before.push(found);
        }
    }

    #[test]
    fn a_thicker_skin_is_no_less_and_a_deeper_cap_neither(
        seed in any::<u64>(),
        open in any::<bool>(),
        thin in 0.5..3.0f64,
        more in 0.001..2.0f64,
    ) {
        let cavity = any_cavity(seed, open);
        let one = layers(&cavity, &request(thin, 3.0, 0.005));
        let two = layers(&cavity, &request(thin + more, 3.0, 0.005));
        prop_assert!(two.skin_mm3.high() >= one.skin_mm3.low());
        prop_assert!(two.core_mm3.low() + two.cap_mm3.low() <= one.core_mm3.high() + one.cap_mm3.high());
        let deep = layers(&cavity, &request(thin, 3.0 + more, 0.005));
        prop_assert!(deep.cap_mm3.high() >= one.cap_mm3.low());
        prop_assert!(deep.core_mm3.low() <= one.core_mm3.high());
        prop_assert!(meet(&deep.skin_mm3, &one.skin_mm3));
    }

    /// G13: every coat of a convex body is less than its area times the thickness.
    #[test]
    fn skin_of_a_convex_body_is_less_than_area_times_thickness(
        seed in any::<u64>(),
        points in 5..14usize,
        t in 0.5..4.0f64,
    ) {
        let mut chance = Chance::new(seed);
        let corners: Vec<Point> =
            (0..points).map(|_| scale(chance.direction(), chance.within(15.0, 25.0))).collect();
        let body = hull(&corners);
        let cavity = cavity(&body, &CLOSED);
        let found = layers(&cavity, &request(t, 0.0, 0.002));
        let most = body.area() * t;
        prop_assert!(found.skin_mm3.low() < most, "{:?} over {most}", found.skin_mm3);
        prop_assert!(found.skin_mm3.best() < most, "{:?} over {most}", found.skin_mm3);
    }
}

/// One body, how it is filled, and what to split it into.
#[derive(Debug, Clone)]
struct Asked {
    coats: Vec<f64>,
    cap: f64,
    /// Level under the top; 0 for a closed cavity.
    below_lip: f64,
    tolerance: f64,
}

/// The truth by counting points lies within the limits, with four standard errors of the count.
fn check_against_count(body: &Body, asked: &Asked, lie: (Point, f64), cells: usize, seed: u64) {
    let [low, high] = body.extent()[2];
    let open = asked.below_lip > 0.0;
    let surface = body.triangles();
    let question = Question {
        surface: &surface,
        wall: &surface,
        fill: high - asked.below_lip,
        coats: &asked.coats,
        cap: if open { asked.cap } else { 0.0 },
        cells,
    };
    let truth = count(&question, seed);
    let (moved, up) = placed(body, lie.0, lie.1, [40.0, -300.0, 20.0], 1.0);
    let level = CavityRequest { below_lip_mm: asked.below_lip, ..CLOSED };
    let cavity = cavity(&moved, &towards(up, &level));
    assert!(relative(cavity.measures().fill_mm, high - low - asked.below_lip) < 1e-9);
    let request = LayerRequest {
        coats_mm: asked.coats.clone(),
        cap_mm: asked.cap,
        tolerance: asked.tolerance,
    };
    let found = layers(&cavity, &request);
    check_order(&found, cavity.measures().volume_mm3.best(), &format!("{asked:?}"));
    let within = |what: &str, limits: Bounds, counted: Counted| {
        let slack = 4.0 * counted.error;
        let truth = Span::new(counted.volume - slack, counted.volume + slack);
        assert!(holds(&limits, truth), "{seed}, {asked:?}: {what} {limits:?} misses {counted:?}");
    };
    within("whole", cavity.measures().volume_mm3, truth.whole);
    within("skin", found.skin_mm3, truth.skin);
    within("core", found.core_mm3, truth.core);
    within("cap", found.cap_mm3, truth.cap);
    for (limits, counted) in found.coats_mm3.iter().zip(&truth.coats) {
        within("coat", *limits, *counted);
    }
}

proptest! {
    #![proptest_config(cases(5, 2))]

    /// Any way up, at any level, from tiny coats to skins thicker than half the body, with caps
    /// from none to deeper than the body.
    #[test]
    fn the_counted_truth_lies_within_the_limits(
        seed in any::<u64>(),
        thin in prop::sample::select(vec![0.4, 1.0, 2.5, 7.0, 14.0]),
        coats in 1..4usize,
        cap in prop::sample::select(vec![0.0, 0.3, 3.0, 10.0, 200.0]),
        level in prop::sample::select(vec![0.0, 0.2, 0.45, 0.7]),
        angle in 0.0..3.1f64,
    ) {
        let mut chance = Chance::new(seed);
        let body = if chance.unit() < 0.7 { bumpy(seed, 1 + chance.below(2)) } else { block(seed) };
        let [low, high] = body.extent()[2];
        let shares = [vec![1.0], vec![0.5, 0.5], vec![0.5, 0.2, 0.3]];
        let coats = shares[coats - 1].iter().map(|s: &f64| (s * thin).max(0.2)).collect();
        let asked = Asked { coats, cap, below_lip: level * (high - low), tolerance: 0.004 };
        check_against_count(&body, &asked, (chance.direction(), angle), 18, seed);
    }
}

/// Fins, slots and spikes, by name.
fn hostile() -> Vec<(&'static str, Body)> {
    let comb: Vec<[f64; 2]> = {
        let mut outline = vec![[0.0, 0.0], [26.0, 0.0], [26.0, 3.0]];
        for tooth in (0..6).rev() {
            let x = 4.0 * f64::from(tooth);
            let wide = 0.15 + 0.4 * f64::from(tooth);
            outline.extend([[x + wide, 3.0], [x + wide, 12.0], [x, 12.0], [x, 3.0]]);
        }
        outline
    };
    let star: Vec<[f64; 2]> = (0..24)
        .map(|i| {
            let (s, c) = (PI * f64::from(i) / 12.0).sin_cos();
            let r = if i % 2 == 0 { 24.0 } else { 5.0 };
            [r * c, r * s]
        })
        .collect();
    let spiked = |height: f64| {
        let mut body = icosphere(12.0, 2);
        let top =
            (0..body.points.len()).max_by(|a, b| body.points[*a][2].total_cmp(&body.points[*b][2]));
        body.points[top.unwrap()] = [0.3, 0.2, height];
        body
    };
    let slot = |gap: f64| {
        let outline = [
            [0.0, 0.0],
            [20.0, 0.0],
            [20.0, 15.0],
            [10.0 + gap, 15.0],
            [10.0 + gap, 4.0],
            [10.0, 4.0],
            [10.0, 15.0],
            [0.0, 15.0],
        ];
        prism(&outline, 12.0)
    };
    let sliver = cuboid(16.0, 14.0, 0.01).moved([2.0, 3.0, 5.0]).inside_out();
    let skin_deep = cuboid(19.98, 19.98, 9.98).moved([0.01; 3]).inside_out();
    let graded = {
        let profile = (0..26).map(|k| 20.0 * 0.5f64.powi(k)).rev();
        let mut outline: Vec<[f64; 2]> = profile.map(|x| [x, 0.0]).collect();
        outline.extend([[20.0, 16.0], [0.0, 16.0]]);
        prism(&outline, 14.0)
    };
    vec![
        ("comb", prism(&comb, 14.0)),
        ("star", prism(&star, 16.0)),
        ("spike", spiked(70.0)),
        ("pit", spiked(-9.0)),
        ("slot", slot(0.01)),
        ("narrower slot", slot(1e-6)),
        ("plate-shaped void", cuboid(20.0, 20.0, 10.0).and(sliver)),
        ("hollow", cuboid(20.0, 20.0, 10.0).and(skin_deep)),
        ("graded fan", graded),
        ("fin", cuboid(24.0, 0.5, 18.0)),
        ("wedge", hull(&[[0.0; 3], [30.0, 0.0, 0.0], [0.0, 0.01, 12.0], [15.0, 20.0, 6.0]])),
    ]
}

#[test]
fn limits_of_hostile_shapes_hold_the_counted_truth() {
    for (seed, (_, body)) in hostile().into_iter().enumerate() {
        let mut chance = Chance::new(40 + seed as u64);
        let [low, high] = body.extent()[2];
        let (t, level) = [(0.8, 0.0), (2.0, 0.3), (1.2, 0.1)][seed % 3];
        let below_lip = level * (high - low);
        let asked = Asked { coats: vec![t], cap: 2.0, below_lip, tolerance: 0.005 };
        let lie = (chance.direction(), chance.within(0.0, 3.0));
        check_against_count(&body, &asked, lie, 18, seed as u64);
    }
}

/// Coarse and fine limits and limits of the body as it lies otherwise have something in common.
#[test]
fn limits_of_hostile_shapes_meet() {
    for (seed, (name, body)) in hostile().into_iter().enumerate() {
        let mut chance = Chance::new(60 + seed as u64);
        for t in [2.5, 4.0] {
            let fine = layers(&cavity(&body, &CLOSED), &request(t, 0.0, 0.002));
            for tolerance in [0.03, 0.008] {
                let (moved, up) = placed(
                    &body,
                    chance.direction(),
                    chance.within(0.0, 3.0),
                    [9.0, 8.0, 7.0],
                    1.0,
                );
                let moved = shuffled(needles(moved, 60, seed as u64), seed as u64);
                let found =
                    layers(&cavity(&moved, &towards(up, &CLOSED)), &request(t, 0.0, tolerance));
                check_meet(&fine, &found, 1.0, &format!("{name}, {t}, {tolerance}"));
            }
        }
    }
}

/// The same surface in needles has the layers of the handbook.
#[test]
fn needles_and_fans_over_a_known_body_keep_its_truth() {
    let known: Vec<Handbook> = vec![
        handbook_box(true, 0).scaled(0.3),
        handbook_box(false, 0).scaled(0.3),
        handbook_l(true, 0).scaled(0.5),
        handbook_void().scaled(0.4),
    ];
    for (seed, book) in known.into_iter().enumerate() {
        for (splits, t) in [(30, 3.0), (400, 1.8)] {
            let body = needles(book.body.clone(), splits, seed as u64);
            let body = remeshed_top(body, book.body.extent()[2][1], splits / 4, 9);
            let cavity = cavity(&body, if book.open { &LEVEL } else { &CLOSED });
            let measures = cavity.measures();
            for (what, value, truth) in [
                ("volume", measures.volume_mm3.best(), book.volume.low),
                ("wall", measures.wall_area_mm2, book.wall_area.low),
                ("opening", measures.opening_area_mm2, book.opening_area.low),
            ] {
                let tag = format!("{}, {splits}: {what}", book.name);
                // Needles of the wall whose corners all lie within 0.05 mm of an open back's
                // plane count as back.
                let strip = if what == "wall" { 0.05 * measures.opening_perimeter_mm } else { 0.0 };
                let off = (value - truth).abs();
                assert!(off <= strip + 1e-9 * truth.max(1.0), "{tag} {value}, truth {truth}");
            }
            let found = layers(&cavity, &request(t, 2.0, 0.004));
            assert!(found.tolerance_reached, "{}, {t}", book.name);
            let cap = (book.cap)(t, 2.0);
            let unskinned = (book.unskinned)(t);
            for (what, limits, truth) in [
                ("skin", found.skin_mm3, unskinned.left_of(book.volume)),
                ("core", found.core_mm3, cap.left_of(unskinned)),
                ("cap", found.cap_mm3, cap),
            ] {
                let tag = format!("{}, {splits}, {t}: {what}", book.name);
                assert!(holds(&limits, truth), "{tag} {limits:?} misses {truth:?}");
            }
        }
    }
}

/// Volume beyond a skin by the tube formula (G12): V − At + Mt² − 4π/3 (1 − genus) t³.
fn beyond([v, a, m]: [f64; 3], genus: f64, t: f64) -> f64 {
    v - a * t + m * t * t - 4.0 / 3.0 * PI * (1.0 - genus) * t.powi(3)
}

/// Volume, area and integral of mean curvature of an ellipsoid. Over directions n the area is
/// ∫ abc·|(n₁/a, n₂/b, n₃/c)| dn, and the integral of mean curvature of a convex body that of its
/// support function, here |(a n₁, b n₂, c n₃)| [derived; a ball gives 4πR² and 4πR].
fn ellipsoid_sizes([a, b, c]: Point) -> [f64; 3] {
    let (slices, steps) = (4000, 200);
    let (mut area, mut curvature) = (0.0, 0.0);
    for i in 0..slices {
        let z = (f64::from(i) + 0.5) / f64::from(slices) * 2.0 - 1.0;
        let r = (1.0 - z * z).sqrt();
        for j in 0..steps {
            let (s, q) = (2.0 * PI * (f64::from(j) + 0.5) / f64::from(steps)).sin_cos();
            let n = [r * q, r * s, z];
            area += a * b * c * norm([n[0] / a, n[1] / b, n[2] / c]);
            curvature += norm([n[0] * a, n[1] * b, n[2] * c]);
        }
    }
    let each = 4.0 * PI / f64::from(slices * steps);
    [4.0 / 3.0 * PI * a * b * c, area * each, curvature * each]
}

/// The facets have their corners on the ellipsoid E and lie between E and s·E, s the least ratio
/// of a facet's distance to that of E's parallel tangent plane: what is beyond the skin lies
/// between what is beyond those of s·E and E. s is 0.9996 here.
#[test]
fn the_tube_formula_holds_for_an_ellipsoid() {
    let axes = [20.0, 16.0, 13.0];
    let body = icosphere(1.0, 5).map(|p| [0, 1, 2].map(|k| p[k] * axes[k]));
    let share = body.triangles().into_iter().map(|[p, q, r]| {
        let n = unit(cross(sub(q, p), sub(r, p)));
        dot(n, p) / norm([0, 1, 2].map(|k| n[k] * axes[k]))
    });
    let share = share.fold(1.0, f64::min);
    assert!(share > 0.999, "{share}");
    let sizes = ellipsoid_sizes(axes);
    let smaller = [sizes[0] * share.powi(3), sizes[1] * share.powi(2), sizes[2] * share];
    let cavity = cavity(&body, &CLOSED);
    // The reach is the least radius of curvature, c²/a.
    for t in [2.0, 0.99 * share * 13.0 * 13.0 / 20.0] {
        let found = layers(&cavity, &request(t, 0.0, 0.002));
        // The sums over directions are good to 1e-6 of the body.
        let rounding = 1e-6 * sizes[0];
        let (low, high) = (beyond(smaller, 0.0, t) - rounding, beyond(sizes, 0.0, t) + rounding);
        let truth = Span::new(low, high);
        assert!(holds(&found.core_mm3, truth), "{t}: {:?} misses {truth:?}", found.core_mm3);
        let off = truth.high - truth.low;
        assert!(off < 0.004 * sizes[0], "{t}: the discretisation is off by {off}");
    }
}

/// G12 with genus 1. The flat-sided torus lies between two round ones about a ring a little
/// smaller (see `support::truth`): their tubes have the radii `inner` and `outer`.
#[test]
fn the_tube_formula_holds_for_a_torus() {
    let (ring, tube, around, about) = (20.0, 8.0, 120, 60);
    let body = torus(ring, tube, around, about);
    let squeeze = (1.0 - (PI / around as f64).cos()) / 2.0;
    let shift = squeeze * (ring + 2.0 * tube);
    let (inner, outer) = (tube * (PI / about as f64).cos() - shift, tube + shift);
    let sizes = |r: f64| {
        let ring = ring * (1.0 - squeeze);
        [2.0 * PI * PI * ring * r * r, 4.0 * PI * PI * ring * r, 2.0 * PI * PI * ring]
    };
    let whole = sizes(tube)[0];
    let cavity = cavity(&body, &CLOSED);
    for t in [3.0, 7.5] {
        let found = layers(&cavity, &request(t, 0.0, 0.002));
        let truth = Span::new(beyond(sizes(inner), 1.0, t), beyond(sizes(outer), 1.0, t));
        assert!(truth.high - truth.low < 0.008 * whole, "{truth:?} of {whole}");
        assert!(holds(&found.core_mm3, truth), "{t}: {:?} misses {truth:?}", found.core_mm3);
    }
}

fn obj(body: &Body) -> Vec<u8> {
    let points = body.points.iter().map(|[x, y, z]| format!("v {x} {y} {z}\n"));
    let faces = body.faces.iter().map(|[a, b, c]| format!("f {} {} {}\n", a + 1, b + 1, c + 1));
    points.chain(faces).collect::<String>().into_bytes()
}

/// The JSON of a whole plan and of a survey, byte for byte, and the layers to the last bit.
#[test]
fn results_do_not_depend_on_the_number_of_threads() {
    let bodies = [
        ("block", block(4), LEVEL),
        ("fine ball, several chunks of triangles", icosphere(8.0, 5), CLOSED),
    ];
    for (name, body, asked) in bodies {
        let bytes = obj(&shuffled(body.clone(), 3));
        let job = JobRequest {
            mesh: MeshRequest::new("piece.obj"),
            layers: LayersRequest {
                coats: [2.5, 2.0].map(Length::from_mm).to_vec(),
                flange: Length::from_mm(5.0),
                ..LayersRequest::default()
            },
            materials: PlanRequest::typical().unwrap(),
            inserts: Vec::new(),
            clock: job::ClockRequest::default(),
            shop_told: ShopTold::default(),
        };
        let run = || {
            let sheet = job::run(&bytes, &job, &|_, _| {}).unwrap();
            let survey = job::survey(&bytes, &job.mesh, &|_, _| {}).unwrap();
            let split = request(2.5, 3.0, 0.01);
            [
                render::json::plan(&sheet).unwrap(),
                render::json::survey(&survey).unwrap(),
                render::terminal::plan(&sheet),
                format!("{:?}", layers(&cavity(&body, &asked), &split)),
            ]
        };
        let [one, two, three] = [1, 2, 3].map(|threads| {
            rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap().install(run)
        });
        assert_eq!(one, two, "{name}");
        assert_eq!(one, three, "{name}");
        assert!(one[0].len() > 1000 && one[3].contains("skin_mm3"), "{name}");
    }
}

/// The moves of the tests above are what they say.
#[test]
fn a_placed_body_keeps_its_volume_and_its_top() {
    let body = block(17);
    let (moved, up) = placed(&body, [1.0, 2.0, 3.0], 1.2, [5.0, 6.0, 7.0], 2.0);
    assert!(relative(moved.volume(), 8.0 * body.volume()) < 1e-9);
    let top = body.points.iter().position(|p| p[2] == body.extent()[2][1]).unwrap();
    let highest = moved.points.iter().map(|p| dot(*p, up)).fold(f64::MIN, f64::max);
    assert!((dot(moved.points[top], up) - highest).abs() < 1e-9);
    let shifted =
        add(turned(scale(body.points[0], 2.0), unit([1.0, 2.0, 3.0]), 1.2), [5.0, 6.0, 7.0]);
    assert!(norm(sub(shifted, moved.points[0])) < 1e-9);
}
