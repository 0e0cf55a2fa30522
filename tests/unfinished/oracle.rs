//! The oracle of the checks against closed forms, and the program against the oracle.

mod support;

use support::oracle::{Answer, Counted, Question, count, distance};
use support::solids::Body;
use support::truth::{
    Handbook, Span, handbook_ball, handbook_bowl, handbook_box, handbook_frustum,
    handbook_half_ring, handbook_l, handbook_ring_prism, handbook_stepped, handbook_torus,
    handbook_void,
};
use support::vector::Point;

/// Counts a body whose flat top at the highest level is open, or that is wall all round.
fn counted(body: &Body, open: bool, coats: &[f64], cap: f64, cells: usize, seed: u64) -> Answer {
    let surface = body.triangles();
    let top = body.extent()[2][1];
    let flat = |t: &[Point; 3]| open && t.iter().all(|p| (p[2] - top).abs() < 1e-9);
    let wall: Vec<_> = surface.iter().copied().filter(|t| !flat(t)).collect();
    let cap = if open { cap } else { 0.0 };
    count(&Question { surface: &surface, wall: &wall, fill: top, coats, cap, cells }, seed)
}

/// The count agrees with a truth within four standard errors.
fn agrees(counted: Counted, truth: Span) -> bool {
    let slack = 4.0 * counted.error;
    counted.volume >= truth.low - slack && counted.volume <= truth.high + slack
}

fn check(book: &Handbook, t: f64, cap: f64, seed: u64) {
    let answer = counted(&book.body, book.open, &[t], cap, 40, seed);
    let unskinned = (book.unskinned)(t);
    let cap_truth = (book.cap)(t, cap);
    for (what, counted, truth) in [
        ("whole", answer.whole, book.volume),
        ("skin", answer.skin, unskinned.left_of(book.volume)),
        ("cap", answer.cap, cap_truth),
        ("core", answer.core, cap_truth.left_of(unskinned)),
    ] {
        assert!(agrees(counted, truth), "{}, {what}, t {t}: {counted:?}, {truth:?}", book.name);
    }
}

#[test]
fn the_oracle_counts_the_closed_forms_of_the_handbook() {
    let books = [
        handbook_box(true, 0),
        handbook_box(false, 1),
        handbook_l(true, 0),
        handbook_l(false, 0),
        handbook_ring_prism(12, true),
        handbook_frustum(9, true),
        handbook_ball(12, 10),
        handbook_bowl(16, 12, true),
        handbook_bowl(16, 12, false),
        handbook_stepped(10, true),
        handbook_stepped(10, false),
        handbook_void(),
        handbook_torus(40, 24),
        handbook_half_ring(40, 12),
    ];
    for (seed, book) in books.iter().enumerate() {
        check(book, 2.0, 6.0, 7 + seed as u64);
        check(book, 6.0, 4.0, 70 + seed as u64);
    }
}

#[test]
fn the_oracle_knows_the_distance_from_a_triangle() {
    let t = [[0.0, 0.0, 0.0], [4.0, 0.0, 0.0], [0.0, 3.0, 0.0]];
    for (p, truth) in [
        ([1.0, 1.0, 2.0], 2.0),
        ([2.0, -3.0, 4.0], 5.0),
        ([-3.0, -4.0, 0.0], 5.0),
        ([4.0 + 3.0, 0.0, 4.0], 5.0),
        ([2.0 + 0.6, 1.5 + 0.8, 0.0], 1.0),
    ] {
        assert!((distance(p, t) - truth).abs() < 1e-12, "{p:?}");
    }
}
