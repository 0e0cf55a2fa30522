//! Air that stays under overhangs, against closed forms.

mod support;

use std::f64::consts::PI;

use cavigram::cavity::{Air, CavityRequest};
use cavigram::mesh::Vec3;
use support::pipeline::{LEVEL, cavity};
use support::solids::{Body, cuboid, revolved, roundness};

#[track_caller]
fn close(found: f64, truth: f64, share: f64) {
    assert!((found - truth).abs() <= share * truth.abs(), "{found} is not {truth}");
}

/// A tray 60 × 40 × 20 with a neck at one end, and a raised ceiling of the given size (mm) at the
/// other.
fn with_raised_ceiling([x, y, z]: [f64; 3]) -> Body {
    cuboid(60.0, 40.0, 20.0).and(cuboid(10.0, 40.0, 50.0)).and(cuboid(x, y, 20.0 + z).moved([
        60.0 - x,
        0.0,
        0.0,
    ]))
}

#[test]
fn what_a_raised_ceiling_holds_stays() {
    let body = with_raised_ceiling([20.0, 40.0, 10.0]);
    let air = cavity(&body, &LEVEL).air(0.0);
    assert_eq!((air.pockets.len(), air.small, air.tops_mm.len()), (1, 0, 0));
    let pocket = air.pockets[0];
    close(pocket.volume_mm3, 20.0 * 40.0 * 10.0, 1e-9);
    assert_eq!(pocket.top_mm.z, 30.0);
    // The ceiling's edge is at x = 40, and the neck beyond it: the side of low x has to rise.
    assert!(pocket.raise.is_some_and(|way| way.x < -0.99), "{pocket:?}");
}

/// Behind a skin of 2 mm the pocket's walls and ceiling come in by 2 mm, and the air escapes 2 mm
/// lower: 16 × 36 × 10, and between the ceiling's edge and the round that the skin makes about
/// it t²(1 − π/4) × 36.
#[test]
fn behind_a_skin_only_the_cores_part_counts() {
    let body = with_raised_ceiling([20.0, 40.0, 10.0]);
    let air = cavity(&body, &LEVEL).air(2.0);
    let truth = 16.0 * 36.0 * 10.0 + 4.0 * (1.0 - PI / 4.0) * 36.0;
    assert_eq!(air.pockets.len(), 1);
    close(air.pockets[0].volume_mm3, truth, 0.02);
}

/// A chamber about a neck: between radius 20 and 40, from the neck's edge at 25 up to 40. With a
/// skin the ring's walls come in by its thickness, and its round about the edge adds
/// ∫ π((a + t)² − (a + √(t² − u²))²) du over its thickness: π(a + t)²t − π(a²t + aπt²/2 + 2t³/3).
#[test]
fn a_ring_about_a_neck_holds_air_that_tilting_does_not_free() {
    let (a, b, s, h, t) = (20.0, 40.0, 25.0, 40.0, 3.0);
    let profile =
        [[0.0, 0.0], [b, 0.0], [b, h], [a, h], [a, s], [14.0, s], [14.0, 55.0], [0.0, 55.0]];
    let sides = 360;
    let body = cavity(&revolved(&profile, sides), &LEVEL);
    let bare = body.air(0.0);
    close(bare.volume_mm3(), roundness(sides) * PI * (b * b - a * a) * (h - s), 1e-9);
    let ring = PI * ((b - t) * (b - t) - (a + t) * (a + t)) * (h - s);
    let round =
        PI * ((a + t) * (a + t) * t - a * a * t - a * PI * t * t / 2.0 - 2.0 * t.powi(3) / 3.0);
    close(body.air(t).volume_mm3(), ring + round, 0.02);
}

/// Without a skin a bubble of 2 mm counts (5 mm³), with one 50 mm³ of core.
#[test]
fn small_pockets_are_only_counted() {
    let small = cavity(&with_raised_ceiling([2.0, 2.0, 1.0]), &LEVEL).air(0.0);
    assert_eq!((small.pockets.len(), small.small), (0, 1));
    let told = cavity(&with_raised_ceiling([2.0, 3.0, 1.0]), &LEVEL).air(0.0);
    assert_eq!((told.pockets.len(), told.small), (1, 0));
    let core = cavity(&with_raised_ceiling([6.0, 6.0, 5.0]), &LEVEL);
    assert_eq!((core.air(0.0).pockets.len(), core.air(2.0).pockets.len()), (1, 0));
}

#[test]
fn a_closed_cavity_is_vented_at_its_highest_points() {
    let closed = CavityRequest { opening_auto: false, ..LEVEL };
    let body = with_raised_ceiling([20.0, 40.0, 10.0]);
    let air = cavity(&body, &closed).air(0.0);
    assert_eq!(air.tops_mm.iter().map(|top| top.z).collect::<Vec<_>>(), [50.0]);
    close(air.volume_mm3(), 8000.0, 1e-9);
    let two = body.and(cuboid(10.0, 10.0, 10.0).moved([100.0, 0.0, 0.0]));
    let tops = cavity(&two, &closed).air(0.0).tops_mm;
    assert_eq!(tops.iter().map(|top| top.z).collect::<Vec<_>>(), [50.0, 10.0]);
}

/// Turned on its side along the file's x, places and directions are the file's own.
#[test]
fn places_are_along_the_files_axes() {
    let body = with_raised_ceiling([20.0, 40.0, 10.0]).turned([0.0, 1.0, 0.0], PI / 2.0);
    let up = CavityRequest { up: Vec3::X, up_given: true, ..LEVEL };
    let pocket = cavity(&body, &up).air(0.0).pockets[0];
    close(pocket.volume_mm3, 8000.0, 1e-9);
    close(pocket.top_mm.x, 30.0, 1e-9);
    assert!(pocket.raise.is_some_and(|way| way.z > 0.99), "{pocket:?}");
}

#[test]
fn what_has_no_overhang_holds_no_air() {
    assert_eq!(cavity(&cuboid(40.0, 30.0, 20.0), &LEVEL).air(0.0), Air::default());
}
