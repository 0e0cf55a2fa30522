//! The mould's own body: blocks and shells around solids of known size.
//!
//! Outside a convex body of volume V, area A and mean curvature M the parallel body at distance t
//! holds V + A·t + M·t² + 4π/3·t³ (Steiner; references G10), exactly for polyhedra too: M is half
//! the sum of edge length times exterior angle. A piece on a board whose mirror image in the board
//! makes a convex body of both has half the double's shell: no point over the board is nearer to
//! the mirrored half.
mod support;

use std::collections::HashMap;
use std::f64::consts::PI;

use cavigram::bounds::Bounds;
use cavigram::cavity::{Cavity, CavityRequest};
use cavigram::layers::{ShellRequest, Shells, shells};
use cavigram::mould::{
    BlanketRequest, BlockRequest, BoxInside, BoxShape, MouldError, blanket, block,
};
use support::pipeline::{CLOSED, LEVEL, allowed_coat_reach, cavity, holds, meet, miss, vec3};
use support::solids::{
    Body, cuboid, half_ring, icosphere, l_outline, ngon, prism, revolved, round_profile, torus,
};
use support::truth::Span;
use support::vector::{add, cross, dot, norm, sub, unit};

const TOLERANCE: f64 = 0.005;

/// Volume between a convex body's surface and its parallel surface at distance t (G10).
fn steiner(body: &Body, t: f64) -> f64 {
    let normal = |f: usize| {
        let [a, b, c] = body.corners(f);
        unit(cross(sub(b, a), sub(c, a)))
    };
    let mut sides: HashMap<(u32, u32), usize> = HashMap::new();
    for (f, [a, b, c]) in body.faces.iter().enumerate() {
        for edge in [(*a, *b), (*b, *c), (*c, *a)] {
            sides.insert(edge, f);
        }
    }
    let mut curvature = 0.0;
    for ((a, b), f) in &sides {
        let (m, n) = (normal(*f), normal(sides[&(*b, *a)]));
        let angle = norm(cross(m, n)).atan2(dot(m, n));
        let length = norm(sub(body.points[*a as usize], body.points[*b as usize]));
        // Each edge stands twice.
        curvature += 0.5 * 0.5 * length * angle;
    }
    body.area() * t + curvature * t * t + 4.0 * PI / 3.0 * t.powi(3)
}

fn around(piece: &Cavity, coats_mm: &[f64], parting_mm: Option<f64>, tolerance: f64) -> Shells {
    let request = ShellRequest { coats_mm: coats_mm.to_vec(), parting_mm, tolerance };
    shells(piece, &request, &|_| {})
}

fn whole(piece: &Cavity, t: f64) -> Bounds {
    around(piece, &[t], None, TOLERANCE).coats_mm3[0][0]
}

/// Limits hold, are as narrow as promised, and the value is within 0.2 % of the piece and
/// `all_mm3`, all its shells.
#[track_caller]
fn check(name: &str, found: &Bounds, truth: Span, piece: &Cavity, all_mm3: f64) {
    let whole_mm3 = piece.measures().volume_mm3.best() + all_mm3;
    assert!(holds(found, truth), "{name}: {found:?} does not hold {truth:?}");
    let off = miss(found.best(), truth);
    assert!(off <= 0.002 * whole_mm3, "{name}: {found:?} is off {truth:?} by {off}");
    let allowed = allowed_coat_reach(found.best(), whole_mm3, TOLERANCE);
    assert!(found.reach() <= allowed, "{name}: {found:?} wider than {allowed}");
}

/// The lower half of a profile that is its own mirror image.
fn lower(profile: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut half: Vec<[f64; 2]> = profile.iter().copied().filter(|p| p[1] < 0.0).collect();
    let across = half.last().map_or(0.0, |p| p[0]);
    half.extend([[across, 0.0], [0.0, 0.0]]);
    half
}

/// G10's own numbers first: 12 × 8 × 5 and t = 0.3 give 604.78168.
#[test]
fn convex_bodies_have_the_shells_of_steiners_formula() {
    let small = cuboid(12.0, 8.0, 5.0);
    assert!((small.volume() + steiner(&small, 0.3) - 604.78168).abs() < 1e-5);
    for (name, body) in [
        ("box", cuboid(60.0, 40.0, 25.0)),
        ("ball", icosphere(20.0, 3)),
        ("12-sided prism", prism(&ngon(12, 18.0), 30.0)),
        ("spindle", revolved(&[[0.0, -30.0], [16.0, 0.0], [0.0, 25.0]], 16)),
    ] {
        let piece = cavity(&body, &CLOSED);
        for t in [1.0, 4.0, 12.0] {
            let truth = Span::exact(steiner(&body, t));
            check(&format!("{name}, {t} mm"), &whole(&piece, t), truth, &piece, truth.low);
        }
    }
}

#[test]
fn pieces_on_a_board_have_half_the_shell_of_their_double() {
    let ball = round_profile(20.0, 24);
    let cone = [[0.0, -24.0], [18.0, 0.0], [0.0, 24.0]];
    for (name, half, double) in [
        ("box", cuboid(60.0, 40.0, 20.0), cuboid(60.0, 40.0, 40.0)),
        ("hemisphere", revolved(&lower(&ball), 32), revolved(&ball, 32)),
        ("cone", revolved(&[cone[0], cone[1], [0.0, 0.0]], 20), revolved(&cone, 20)),
        ("column", prism(&ngon(9, 15.0), 22.0), prism(&ngon(9, 15.0), 44.0)),
    ] {
        let piece = cavity(&half, &LEVEL);
        assert!(piece.is_open(), "{name} has a flat back");
        for t in [1.0, 5.0, 11.0] {
            let truth = Span::exact(0.5 * steiner(&double, t));
            check(&format!("{name}, {t} mm"), &whole(&piece, t), truth, &piece, truth.low);
        }
    }
}

/// Of a smooth half ball of radius R on a board: 2π/3·((R + t)³ − R³). The flat sides touch the
/// ball, so the facetted one is larger by a known little.
#[test]
fn a_fine_hemisphere_comes_to_the_round_ones_shell() {
    let (r, t) = (30.0, 10.0);
    let piece = cavity(&revolved(&lower(&round_profile(r, 48)), 96), &LEVEL);
    let truth = 2.0 * PI / 3.0 * ((r + t).powi(3) - f64::powi(r, 3));
    let found = whole(&piece, t);
    assert!((found.best() / truth - 1.0).abs() < 0.005, "{found:?} is not {truth}");
}

/// Between the tube formula's values for two round tori (references G12).
#[test]
fn a_ring_has_the_shell_of_the_tube_formula() {
    let (n, m) = (128, 64);
    // Of the generator's flat faces: see `handbook_torus`.
    let squeeze = (1.0 - (PI / n as f64).cos()) / 2.0;
    let shift = squeeze * 75.0 + squeeze * 15.0;
    let ring = 60.0 * (1.0 - squeeze);
    let [thin, thick] = [15.0 * (PI / m as f64).cos() - shift, 15.0 + shift];
    for (name, body, parts, how) in [
        ("torus", torus(60.0, 15.0, n, m), 1.0, CLOSED),
        ("half ring on a board", half_ring(60.0, 15.0, n, m / 2), 2.0, LEVEL),
    ] {
        let piece = cavity(&body, &how);
        for t in [2.0, 10.0, 25.0] {
            let filled = |r: f64| 2.0 * PI * PI * ring * (r + t).powi(2) / parts - body.volume();
            let truth = Span::new(filled(thin), filled(thick));
            check(&format!("{name}, {t} mm"), &whole(&piece, t), truth, &piece, truth.low);
        }
    }
}

/// An upright prism over an L: at height s over it the shell is the ring of √(t² − s²) around its
/// outline, P·w + (5π/4 − 1)·w², and over the top the L as well.
#[test]
fn a_re_entrant_edge_counts_once() {
    let (outline, high) = (l_outline(60.0, 50.0, 25.0, 20.0), 30.0);
    let (area, edge) = (60.0 * 50.0 - 35.0 * 30.0, 220.0);
    let piece = cavity(&prism(&outline, high), &CLOSED);
    for t in [2.0, 6.0, 12.0] {
        let bend = 5.0 * PI / 4.0 - 1.0;
        let beside = high * (edge * t + bend * t * t);
        let over = area * t + edge * PI * t * t / 4.0 + bend * 2.0 / 3.0 * t.powi(3);
        check(
            &format!("L, {t} mm"),
            &whole(&piece, t),
            Span::exact(beside + 2.0 * over),
            &piece,
            beside + 2.0 * over,
        );
    }
}

#[test]
fn coats_add_up_part_by_part() {
    // Box of height h parted at p: the part under it is the shell of a box of height p standing
    // on its top, whose double is 2 p high.
    let (h, p) = (40.0, 15.0);
    let piece = cavity(&cuboid(50.0, 30.0, h), &CLOSED);
    let found = around(&piece, &[1.0, 3.0, 8.0], Some(p), TOLERANCE);
    assert!(found.tolerance_reached);
    let (mut before, faces) = ([0.0; 2], [1.0, 4.0, 12.0]);
    let all = steiner(&cuboid(50.0, 30.0, h), 12.0);
    for (k, t) in faces.into_iter().enumerate() {
        for (part, high) in [p, h - p].into_iter().enumerate() {
            let filled = 0.5 * steiner(&cuboid(50.0, 30.0, 2.0 * high), t);
            let truth = Span::exact(filled - before[part]);
            check(
                &format!("coat {k} of part {part}"),
                &found.coats_mm3[k][part],
                truth,
                &piece,
                all,
            );
            assert!(holds(&found.within_mm3[k][part], Span::exact(filled)));
            before[part] = filled;
        }
    }
}

#[test]
fn shells_grow_with_their_thickness() {
    let piece = cavity(&torus(30.0, 9.0, 48, 24), &CLOSED);
    let mut before = 0.0;
    for t in [0.5, 1.0, 2.0, 5.0, 9.0, 15.0, 25.0, 40.0] {
        let found = whole(&piece, t);
        // The hole closes at 21 mm; from there on still nothing shrinks.
        assert!(found.high() > before, "{t}: {found:?}");
        before = found.low();
    }
}

#[test]
fn where_a_piece_lies_and_how_it_is_turned_changes_nothing() {
    let body = revolved(&lower(&round_profile(18.0, 16)), 20);
    let at_rest = cavity(&body, &LEVEL);
    let [rest_fine, rest] = [0.0005, TOLERANCE].map(|t| around(&at_rest, &[6.0], None, t));
    let (axis, angle) = (unit([1.0, 2.0, -0.7]), 1.1);
    let up = support::vector::turned([0.0, 0.0, 1.0], axis, angle);
    let turned = body.turned(axis, angle).moved([400.0, -90.0, 33.0]);
    let request = CavityRequest { up: vec3(up), up_given: true, ..LEVEL };
    let elsewhere = cavity(&turned, &request);
    for tolerance in [TOLERANCE, 0.0005] {
        let found = around(&elsewhere, &[6.0], None, tolerance).coats_mm3[0][0];
        assert!(meet(&found, &rest.coats_mm3[0][0]) && meet(&found, &rest_fine.coats_mm3[0][0]));
        let box_of = |piece: &Cavity, shape| {
            let request = BlockRequest { shape, sides_mm: 12.0, over_mm: 12.0, parting_mm: None };
            block(piece, &request).unwrap().parts[0].rubber_mm3.best()
        };
        for shape in [BoxShape::Rectangular, BoxShape::Round] {
            let (a, b) = (box_of(&at_rest, shape), box_of(&elsewhere, shape));
            assert!((a / b - 1.0).abs() < 1e-6, "{shape:?}: {a} and {b}");
        }
    }
}

#[test]
fn a_block_is_its_box_less_the_piece() {
    let request = BlockRequest {
        shape: BoxShape::Rectangular,
        sides_mm: 12.0,
        over_mm: 10.0,
        parting_mm: None,
    };
    // Turned about the vertical, the box turns with it.
    let body = cuboid(60.0, 40.0, 20.0).turned([0.0, 0.0, 1.0], 0.4);
    let on_board = block(&cavity(&body, &LEVEL), &request).unwrap();
    let BoxInside::Rectangular([length, width]) = on_board.inside else { panic!("not square") };
    assert!((length - 84.0).abs() < 1e-9 && (width - 64.0).abs() < 1e-9, "{length} {width}");
    assert!((on_board.height_mm - 30.0).abs() < 1e-9);
    let rubber = on_board.parts[0].rubber_mm3;
    assert!((rubber.best() - (84.0 * 64.0 * 30.0 - 48_000.0)).abs() < 1e-6, "{rubber:?}");
    assert_eq!((rubber.low(), rubber.high()), (rubber.best(), rubber.best()));

    // Two halves of a ball in a round box: 2 · 12 mm wider than it, 2 · 10 mm higher.
    let ball = icosphere(20.0, 4);
    let round = BlockRequest { shape: BoxShape::Round, parting_mm: Some(20.0), ..request };
    let piece = cavity(&ball, &CLOSED);
    let halves = block(&piece, &round).unwrap();
    let BoxInside::Round(diameter) = halves.inside else { panic!("not round") };
    assert!((diameter - 64.0).abs() < 0.1, "{diameter}");
    let [lower, upper] = halves.parts[..] else { panic!("not two parts") };
    let expected = PI / 4.0 * diameter * diameter * 30.0 - ball.volume() / 2.0;
    for half in [lower, upper] {
        assert!((half.rubber_mm3.best() / expected - 1.0).abs() < 1e-4, "{half:?}");
    }
    let sum = lower.rubber_mm3.best() + upper.rubber_mm3.best();
    let box_mm3 = halves.inside.area_mm2() * halves.height_mm;
    assert!((sum - (box_mm3 - ball.volume())).abs() < 1e-6 * sum);
}

#[test]
fn a_flange_is_a_ring_beyond_the_blanket() {
    let piece = cavity(&cuboid(60.0, 40.0, 20.0), &LEVEL);
    let request = BlanketRequest {
        coats_mm: vec![1.0, 4.0, 5.0],
        jacket_mm: 18.0,
        flange_mm: 20.0,
        parting_mm: None,
        tolerance: TOLERANCE,
    };
    let found = blanket(&piece, &request, &|_| {}).unwrap();
    let part = &found.parts[0];
    // G10 in the plane: rings of 30 and 10 mm around 60 × 40.
    let ring = |w: f64| 200.0 * w + PI * w * w;
    assert!(holds(&part.flange_mm2, Span::exact(ring(30.0) - ring(10.0))), "{:?}", part.flange_mm2);
    let shell = |t: f64| 0.5 * steiner(&cuboid(60.0, 40.0, 40.0), t);
    check("blanket", &part.blanket_mm3, Span::exact(shell(10.0)), &piece, shell(28.0));
    check("jacket", &part.jacket_mm3, Span::exact(shell(28.0) - shell(10.0)), &piece, shell(28.0));
    assert!((part.surface_mm2 - (2400.0 + 200.0 * 20.0)).abs() < 1e-6);

    let parted = BlanketRequest { parting_mm: Some(8.0), ..request };
    let halves = blanket(&piece, &parted, &|_| {}).unwrap().parts;
    let both = halves[0].blanket_mm3 + halves[1].blanket_mm3;
    assert!(meet(&both, &part.blanket_mm3), "{both:?}");
    let pieces: f64 = halves.iter().map(|half| half.piece_mm3.best()).sum();
    assert!((pieces - 48_000.0).abs() < 1e-6);
    assert!((halves[0].surface_mm2 - (2400.0 + 200.0 * 8.0)).abs() < 1e-6);
}

#[test]
fn a_parting_beside_the_piece_is_refused() {
    let piece = cavity(&cuboid(60.0, 40.0, 20.0), &LEVEL);
    for parting in [-1.0, 0.0, 20.0, 400.0, f64::NAN] {
        let request = BlockRequest {
            shape: BoxShape::Round,
            sides_mm: 12.0,
            over_mm: 12.0,
            parting_mm: Some(parting),
        };
        let refused = block(&piece, &request);
        assert!(matches!(refused, Err(MouldError::PartingBeside { .. })), "{parting}");
    }
}

/// Two bodies nearer to each other than twice the thickness: what lies between them counts once.
#[test]
fn two_bodies_share_the_shell_between_them() {
    let gap = 6.0;
    let (a, b) = (cuboid(20.0, 20.0, 20.0), cuboid(20.0, 20.0, 20.0));
    let body = a.and(b.moved(add([20.0, 0.0, 0.0], [gap, 0.0, 0.0])));
    let piece = cavity(&body, &CLOSED);
    // Each has its own shell, less what both have: twice the part of one beyond the middle plane.
    let t = 5.0;
    let one = steiner(&cuboid(20.0, 20.0, 20.0), t);
    // Beyond the middle plane at g = 3 mm from the face: slab of sections of the parallel body.
    let n = 20_000;
    let beyond: f64 = (0..n)
        .map(|k| gap / 2.0 + (t - gap / 2.0) * (f64::from(k) + 0.5) / f64::from(n))
        .map(|s| {
            let w = (t * t - s * s).sqrt();
            (400.0 + 80.0 * w + PI * w * w) * (t - gap / 2.0) / f64::from(n)
        })
        .sum();
    let all = 2.0 * (one - beyond);
    check("two boxes", &whole(&piece, t), Span::exact(all), &piece, all);
}

/// A hollow print: closed hollows, and one that the board closes off, are no place for rubber.
#[test]
fn hollows_that_no_rubber_reaches_count_as_filled() {
    let outer = cuboid(60.0, 40.0, 30.0);
    let inner = cuboid(20.0, 10.0, 8.0).moved([20.0, 15.0, 10.0]).inside_out();
    let (piece, added) = cavity(&outer.clone().and(inner), &LEVEL).with_hollows_filled();
    let solid = cavity(&outer, &LEVEL);
    assert!((added - 1600.0).abs() < 1e-6, "{added}");
    assert!((piece.measures().volume_mm3.best() - 72_000.0).abs() < 1e-6);
    assert!((piece.measures().wall_area_mm2 - solid.measures().wall_area_mm2).abs() < 1e-6);
    assert!(meet(&whole(&piece, 5.0), &whole(&solid, 5.0)));

    // A cup with its mouth in the back: 40 mm across and 20 mm deep, in a 60 mm column.
    let cup = revolved(
        &[[0.0, 0.0], [30.0, 0.0], [30.0, 40.0], [20.0, 40.0], [20.0, 20.0], [0.0, 20.0]],
        24,
    );
    let hollow = cavity(&cup, &LEVEL);
    assert!(hollow.is_open());
    let before = hollow.measures().volume_mm3.best();
    let (filled, added) = hollow.with_hollows_filled();
    let column =
        cavity(&revolved(&[[0.0, 0.0], [30.0, 0.0], [30.0, 40.0], [0.0, 40.0]], 24), &LEVEL);
    let whole_mm3 = column.measures().volume_mm3.best();
    assert!((before + added - whole_mm3).abs() < 1e-6 * whole_mm3, "{before} {added}");
    assert!((filled.measures().volume_mm3.best() - whole_mm3).abs() < 1e-6 * whole_mm3);
    assert!(meet(&whole(&filled, 5.0), &whole(&column, 5.0)));
    let ring = |piece: &Cavity| piece.ring_around_mm2(None, 10.0);
    assert!((ring(&filled) - ring(&column)).abs() < 1e-6, "{} {}", ring(&filled), ring(&column));
    // A piece without hollows stays as it is.
    assert_eq!(solid.clone().with_hollows_filled(), (solid, 0.0));
}
