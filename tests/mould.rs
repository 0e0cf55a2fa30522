//! Moulds: what liquid poured into them fills, against closed forms.

mod support;

use std::f64::consts::PI;

use cavigram::cavity::{
    Cavity, CavityError, Mould, MouldRequest, pits_of_casting, read_open, up_of_block, up_of_sheet,
};
use cavigram::health::{LookedOver, SoundSheet, Surface, look_over};
use cavigram::mesh::Vec3;
use support::moulds::{
    height_sheet, polygon_area, pyramid, tub, turned_mould, with_block, with_rim,
};
use support::pipeline::{LEVEL, cavity, layers, meet, request, sound};
use support::remesh::rough;
use support::solids::{Body, cuboid, revolved, round_profile, roundness};
use support::truth::{profile_area, profile_volume};

const UP: MouldRequest = MouldRequest { up: Vec3::Z, up_from_rim: false, below_lip_mm: 0.0 };
/// Sides of what is turned on a lathe.
const N: usize = 96;

fn surface(body: &Body) -> Surface {
    look_over(body.mesh()).surface.unwrap_or_else(|e| panic!("{e}"))
}

fn sheet(body: &Body) -> SoundSheet {
    let LookedOver { mut health, surface, .. } = look_over(body.mesh());
    let sheet = surface.unwrap().into_sheet(0, &mut health).unwrap_or_else(|e| panic!("{e}"));
    sheet.faced(Vec3::Z, &mut health)
}

fn of_sheet(body: &Body) -> Mould {
    Mould::of_sheet(&sheet(body), &UP).unwrap_or_else(|e| panic!("{e}"))
}

fn of_block(body: &Body) -> Mould {
    Mould::of_block(&sound(body), &UP).unwrap_or_else(|e| panic!("{e}"))
}

#[track_caller]
fn only(mould: &Mould) -> &Cavity {
    assert_eq!(mould.count(), 1);
    mould.impression(1).unwrap()
}

#[track_caller]
fn close(found: f64, truth: f64, share: f64) {
    assert!((found - truth).abs() <= share * truth.abs().max(1e-9), "{found} is not {truth}");
}

/// Lip, volume, wall and opening of the only impression.
#[track_caller]
fn check(mould: &Mould, [lip, volume, wall, opening]: [f64; 4], share: f64) {
    let m = *only(mould).measures();
    for (found, truth) in [
        (m.lip_mm, lip),
        (m.fill_mm, lip),
        (m.volume_mm3.best(), volume),
        (m.wall_area_mm2, wall),
        (m.opening_area_mm2, opening),
        (m.surface_area_mm2, wall + opening),
    ] {
        close(found, truth, share);
    }
}

fn codes(mould: &Mould) -> Vec<&'static str> {
    mould.findings().iter().map(|f| f.code).collect()
}

/// The lower part of a ball's profile, up to z = `top` over its middle.
fn ball_up_to(radius: f64, steps: usize, top: f64) -> Vec<[f64; 2]> {
    let whole = round_profile(radius, steps);
    let mut profile: Vec<[f64; 2]> = whole.iter().copied().take_while(|p| p[1] < top).collect();
    let (p, q) = (profile[profile.len() - 1], whole[profile.len()]);
    profile.push([p[0] + (q[0] - p[0]) * (top - p[1]) / (q[1] - p[1]), top]);
    profile
}

/// What a pit of this profile holds up to its end: lip, volume, wall, opening (G2, G3, G5 by the
/// profile's frustums, times the roundness of n sides).
fn held(profile: &[[f64; 2]]) -> [f64; 4] {
    let k = roundness(N);
    let [mouth, top] = profile[profile.len() - 1];
    let all = f64::NEG_INFINITY;
    [
        top - profile[0][1],
        k * profile_volume(profile, all, top),
        k * profile_area(profile, all, top),
        k * PI * mouth * mouth,
    ]
}

/// G19, G21: the hemispherical bowl; G5: a cone pit; G3: an undercut ball, its mouth narrower
/// than its body. As a block, a sheet with a rim, and a sheet that ends at the mouth.
#[test]
fn pits_in_every_kind_of_mould() {
    let cone = vec![[0.0, -30.0], [40.0, 0.0]];
    for profile in [ball_up_to(40.0, 60, 0.0), cone, ball_up_to(30.0, 60, 18.0)] {
        let truth = held(&profile);
        check(&of_block(&turned_mould(&with_block(&profile, 60.0, -60.0), N)), truth, 1e-9);
        let rimmed = turned_mould(&with_rim(&profile, 60.0, 4.0), N);
        let mould = of_sheet(&rimmed);
        check(&mould, truth, 1e-9);
        assert_eq!(codes(&mould), [] as [&str; 0]);
        check(&of_sheet(&rimmed.clone().inside_out()), truth, 1e-9);
        check(&of_sheet(&turned_mould(&profile, N)), truth, 1e-9);
        let fill = MouldRequest { below_lip_mm: 5.0, ..UP };
        let low = Mould::of_sheet(&sheet(&rimmed), &fill).unwrap();
        let top = profile[profile.len() - 1][1] - 5.0;
        let m = *only(&low).measures();
        let k = roundness(N);
        close(m.volume_mm3.best(), k * profile_volume(&profile, f64::NEG_INFINITY, top), 1e-9);
        close(m.wall_area_mm2, k * profile_area(&profile, f64::NEG_INFINITY, top), 1e-9);
        close(m.lip_mm - m.fill_mm, 5.0, 1e-9);
    }
    let (r, whole) = (40.0, held(&ball_up_to(40.0, 60, 0.0))[1]);
    close(whole, 2.0 * PI * r * r * r / 3.0, 0.003);
}

/// The direction that a sheet came in is told.
#[test]
fn a_flipped_sheet_is_turned_and_told() {
    let body = turned_mould(&with_rim(&ball_up_to(40.0, 30, 0.0), 60.0, 5.0), N).inside_out();
    let LookedOver { mut health, surface, .. } = look_over(body.mesh());
    let flipped = surface.unwrap().into_sheet(0, &mut health).unwrap();
    assert!(health.repairs.is_empty() && !health.inverted);
    let turned = flipped.faced(Vec3::Z, &mut health);
    assert_eq!(health.repairs.iter().map(|r| r.code).collect::<Vec<_>>(), ["turned-inside-out"]);
    assert!(health.inverted && turned.area_vector_mm2().z > 0.0);
}

/// Trapped air: over an undercut ball's mouth nothing is trapped, under a roof it is. The roof
/// is a cylinder's (G4): a wide chamber whose ceiling lies higher than the lip's way out.
#[test]
fn air_under_overhangs_counts_and_is_told_apart() {
    let open = of_sheet(&turned_mould(&with_rim(&ball_up_to(30.0, 60, 18.0), 60.0, 4.0), N));
    assert_eq!(only(&open).air(0.0).pockets, []);
    // A neck that dips into the chamber from above: radius 10 from −20 up to 0.
    let profile = [[0.0, -40.0], [30.0, -40.0], [30.0, -5.0], [10.0, -5.0], [10.0, 0.0]];
    let dipped = [[0.0, -40.0], [30.0, -40.0], [30.0, -5.0], [10.0, -15.0], [10.0, 0.0]];
    let flat = of_sheet(&turned_mould(&with_rim(&profile, 50.0, 5.0), N));
    let trapping = of_sheet(&turned_mould(&with_rim(&dipped, 50.0, 5.0), N));
    let k = roundness(N);
    check(&flat, held(&profile), 1e-9);
    assert_eq!(only(&flat).air(0.0).pockets, []);
    // Between the cylinder of 30 and the cone from 30 at −5 to 10 at −15: G4 less G5.
    let trapped = k * PI * 10.0 * (900.0 - (900.0 + 300.0 + 100.0) / 3.0);
    close(only(&trapping).air(0.0).volume_mm3(), trapped, 1e-9);
    let m = only(&trapping).measures();
    close(m.volume_mm3.best(), k * PI * (900.0 * 25.0 + 100.0 * 15.0) + trapped, 1e-9);
}

/// G8: a square pyramid holds (2h)²·d/3.
fn pyramid_volume(half: f64, depth: f64) -> f64 {
    4.0 * half * half * depth / 3.0
}

#[test]
fn two_pits_are_two_impressions_the_larger_first() {
    let mould = of_sheet(&height_sheet(60, 2.0, |x, y| {
        -pyramid(x, y, [30.0, 60.0], 16.0, 9.0) - pyramid(x, y, [84.0, 60.0], 20.0, 12.0)
    }));
    assert_eq!(mould.count(), 2);
    for (number, half, depth) in [(1, 20.0, 12.0), (2, 16.0, 9.0)] {
        let m = *mould.impression(number).unwrap().measures();
        close(m.volume_mm3.best(), pyramid_volume(half, depth), 1e-9);
        close(m.opening_area_mm2, 4.0 * half * half, 1e-9);
        close(m.lip_mm, depth, 1e-9);
    }
    let missing = mould.impression(3).unwrap_err();
    assert_eq!(missing, CavityError::NoSuchImpression { asked: 3, count: 2 });
    assert!(missing.to_string().contains("2"), "{missing}");
    assert_eq!(mould.all().unwrap().len(), 2);
}

/// Two equal pyramids whose middles lie 2a apart meet in a saddle d·(1 − a/h) under the rim; what
/// both cover is twice ∫ d(h − u²/h) du from a to h.
#[test]
fn joined_pits_are_one_over_a_low_saddle_and_two_over_a_high_one() {
    let joined = |a: f64, h: f64, d: f64| {
        of_sheet(&height_sheet(100, 1.0, move |x, y| {
            let dug = |cx: f64| pyramid(x, y, [cx, 50.0], h, d);
            -dug(50.0 - a).max(dug(50.0 + a))
        }))
    };
    let (a, h, d) = (12.0, 20.0, 8.0);
    let both = 2.0 * d * (h * (h - a) - (h * h * h - a * a * a) / (3.0 * h));
    let m = *only(&joined(a, h, d)).measures();
    close(m.volume_mm3.best(), 2.0 * pyramid_volume(h, d) - both, 1e-9);
    close(m.lip_mm, d, 1e-9);
    let (a, h, d) = (19.0, 20.0, 8.0);
    let mould = joined(a, h, d);
    assert_eq!(mould.count(), 2);
    for number in [1, 2] {
        let m = *mould.impression(number).unwrap().measures();
        close(m.lip_mm, d * a / h, 1e-9);
        close(m.volume_mm3.best(), pyramid_volume(a, d * a / h), 1e-9);
    }
}

/// A side branch 0.3 mm deep whose saddle lies 0.2 mm under the lip is left out.
#[test]
fn a_shallow_branch_close_under_the_lip_is_cut_off() {
    let plain = |x: f64, y: f64| -pyramid(x, y, [40.0, 50.0], 20.0, 10.0);
    let branched = |x: f64, y: f64| {
        let dent = pyramid(x, y, [66.0, 50.0], 9.0, 0.5).min(0.3 + 0.2);
        let bridge = if (58.0..=62.0).contains(&x) && (y - 50.0).abs() <= 2.0 { 0.2 } else { 0.0 };
        plain(x, y).min(-dent).min(-bridge)
    };
    let (smooth, rough) =
        (of_sheet(&height_sheet(100, 1.0, plain)), of_sheet(&height_sheet(100, 1.0, branched)));
    let (smooth, rough) = (*only(&smooth).measures(), *only(&rough).measures());
    close(rough.lip_mm, smooth.lip_mm, 1e-9);
    close(rough.volume_mm3.best(), smooth.volume_mm3.best(), 2e-3);
    close(rough.wall_area_mm2, smooth.wall_area_mm2, 5e-3);
}

/// ±0.2 mm on the rim: the lip within that, the wall within 2 % of the smooth one.
#[test]
fn noise_on_the_rim_moves_the_lip_by_its_height_and_no_more() {
    let profile = ball_up_to(40.0, 120, 0.0);
    let smooth = turned_mould(&with_rim(&profile, 60.0, 1.5), 160);
    let expected = *only(&of_sheet(&smooth)).measures();
    for seed in 0..6 {
        let noisy = rough(smooth.clone(), 0.2, [0.0, 0.0, 1.0], seed, |p| p[2].abs() < 1e-9);
        let mould = of_sheet(&noisy);
        let m = *only(&mould).measures();
        assert!((m.lip_mm - expected.lip_mm).abs() <= 0.2, "{m:?}");
        close(m.wall_area_mm2, expected.wall_area_mm2, 0.02);
        // Up to 0.2 mm of level over the opening.
        let level = 0.2 * expected.opening_area_mm2;
        assert!((m.volume_mm3.best() - expected.volume_mm3.best()).abs() <= 1.02 * level, "{m:?}");
    }
}

/// A prism cut off obliquely holds area × lowest side; stood square to its rim area × its middle
/// height (the oblique prism's volume).
#[test]
fn a_sloping_rim_is_told_and_levelled_by_up_rim() {
    let (n, r, h, slope) = (64, 40.0, 30.0, 0.1);
    let body = tub(n, r, |_, [x, _]| h + slope * x);
    let area = polygon_area(n, r);
    let mould = of_sheet(&body);
    let m = *only(&mould).measures();
    close(m.lip_mm, h - slope * r, 1e-9);
    close(m.volume_mm3.best(), area * (h - slope * r), 1e-9);
    close(m.tilt_deg.unwrap(), slope.atan().to_degrees(), 1e-6);
    assert_eq!(codes(&mould), ["leaning-rim"]);
    let lost = area * slope * r / 1000.0;
    let message = &mould.findings()[0].message;
    assert!(message.contains(&format!("{lost:.1} cm³ more")) && message.contains("5.7°"));
    let sheet = sheet(&body);
    let up = up_of_sheet(&sheet).unwrap();
    assert!(up.distance(Vec3::new(-slope, 0.0, 1.0).normalize()) < 1e-9, "{up}");
    let level = MouldRequest { up, up_from_rim: true, ..UP };
    let level = Mould::of_sheet(&sheet, &level).unwrap();
    close(only(&level).measures().volume_mm3.best(), area * h, 1e-6);
    assert_eq!(codes(&level), [] as [&str; 0]);
}

#[test]
fn a_spout_in_the_rim_is_the_lip() {
    let (n, r, h) = (64, 40.0, 30.0);
    let body = tub(n, r, |k, _| if k == 5 || k == 6 { h - 4.0 } else { h });
    let m = *only(&of_sheet(&body)).measures();
    close(m.lip_mm, h - 4.0, 1e-9);
    close(m.volume_mm3.best(), polygon_area(n, r) * (h - 4.0), 1e-9);
}

/// A ball that hangs into the bowl (G2 for its part under the lip), apart from the bowl's own
/// surface: that part is wall, and displaces liquid.
#[test]
fn what_hangs_into_the_liquid_is_wall() {
    let profile = ball_up_to(40.0, 60, 0.0);
    let ball: Vec<[f64; 2]> = round_profile(12.0, 40).iter().map(|p| [p[0], p[1] + 4.0]).collect();
    let k = roundness(N);
    let all = f64::NEG_INFINITY;
    let (dips, wets) = (k * profile_volume(&ball, all, 0.0), k * profile_area(&ball, all, 0.0));
    close(dips, PI * 64.0 * (36.0 - 8.0) / 3.0, 0.02);
    let [lip, volume, wall, opening] = held(&profile);
    let hole = {
        let at = ball.windows(2).find(|w| w[0][1] <= 0.0 && w[1][1] > 0.0).unwrap();
        let r = at[0][0] + (at[1][0] - at[0][0]) * -at[0][1] / (at[1][1] - at[0][1]);
        k * PI * r * r
    };
    let body = turned_mould(&with_block(&profile, 60.0, -60.0), N).and(revolved(&ball, N));
    check(&of_block(&body), [lip, volume - dips, wall + wets, opening - hole], 1e-9);
}

/// A cone that rises from the bottom through the level: what is over the lip is not in the cavity.
#[test]
fn an_island_rises_through_the_opening() {
    let k = roundness(N);
    let profile = [[0.0, 10.0], [20.0, -30.0], [30.0, -30.0], [40.0, 0.0], [60.0, 0.0]];
    let mould = of_sheet(&turned_mould(&profile, N));
    let m = *only(&mould).measures();
    // G5: the pit's frustum less the island's, which is 5 wide at the level.
    let frustum = |a: f64, b: f64| k * PI * 30.0 * (a * a + a * b + b * b) / 3.0;
    close(m.volume_mm3.best(), frustum(30.0, 40.0) - frustum(20.0, 5.0), 1e-9);
    close(m.opening_area_mm2, k * PI * (1600.0 - 25.0), 1e-9);
    close(m.lip_mm, 30.0, 1e-9);
}

#[test]
fn a_tilted_mould_is_levelled_by_its_rim() {
    let profile = ball_up_to(40.0, 40, 0.0);
    let truth = held(&profile);
    let tilt = |body: Body| body.turned([1.0, 0.3, 0.0], 12f64.to_radians());
    let body = tilt(turned_mould(&with_block(&profile, 60.0, -60.0), N));
    let block = sound(&body);
    let up = up_of_block(&block).unwrap();
    let level = MouldRequest { up, up_from_rim: true, ..UP };
    check(&Mould::of_block(&block, &level).unwrap(), truth, 1e-6);
    let leaning = Mould::of_block(&block, &UP).unwrap();
    assert_eq!(codes(&leaning), ["leaning-rim"]);
    close(leaning.impression(1).unwrap().measures().tilt_deg.unwrap(), 12.0, 1e-6);
    let open = tilt(turned_mould(&with_rim(&profile, 60.0, 4.0), N));
    for body in [open.clone(), open.inside_out()] {
        let sheet = sheet(&body);
        let up = up_of_sheet(&sheet).unwrap();
        let level = MouldRequest { up, up_from_rim: true, ..UP };
        check(&Mould::of_sheet(&sheet, &level).unwrap(), truth, 1e-6);
    }
}

#[test]
fn what_holds_nothing_is_refused_with_what_would() {
    let bowl = turned_mould(&with_rim(&ball_up_to(40.0, 30, 0.0), 60.0, 5.0), N);
    for (turn, axis, works) in [
        (PI, [1.0, 0.0, 0.0], -Vec3::Z),
        (PI / 2.0, [1.0, 0.0, 0.0], -Vec3::Y),
        (PI / 2.0, [0.0, 1.0, 0.0], Vec3::X),
    ] {
        let turned = bowl.clone().turned(axis, turn);
        match Mould::of_sheet(&sheet(&turned), &UP) {
            Err(CavityError::OpensElsewhere { up, .. }) => assert!(up.distance(works) < 1e-9),
            other => panic!("{other:?}"),
        }
    }
    let none = Mould::of_block(&sound(&cuboid(40.0, 30.0, 20.0)), &UP);
    assert_eq!(none.unwrap_err(), CavityError::NoPit { hollow: false });
    let hollow = cuboid(40.0, 30.0, 20.0)
        .and(cuboid(20.0, 10.0, 10.0).inside_out().moved([10.0, 10.0, 5.0]));
    let none = Mould::of_block(&sound(&hollow), &UP);
    assert_eq!(none.unwrap_err(), CavityError::NoPit { hollow: true });
}

#[test]
fn an_open_sheet_is_read_by_its_borders() {
    let rimmed = turned_mould(&with_rim(&ball_up_to(40.0, 30, 0.0), 60.0, 5.0), N);
    for body in [rimmed, turned_mould(&ball_up_to(40.0, 30, 0.0), N)] {
        let reading = read_open(&surface(&body), Some(Vec3::Z), false).unwrap().unwrap();
        assert!(reading.is_mould && (reading.share - 1.0).abs() < 1e-9, "{reading:?}");
    }
    // A ball without its top: its border encloses a quarter of the outline.
    let casting = turned_mould(&ball_up_to(30.0, 60, 26.0), N).inside_out();
    let reading = read_open(&surface(&casting), Some(Vec3::Z), false).unwrap().unwrap();
    assert!(!reading.is_mould && reading.share < 0.3, "{reading:?}");
    let tube = turned_mould(&[[30.0, -40.0], [35.0, 0.0], [50.0, 0.0]], N);
    for said in [false, true] {
        let refused = read_open(&surface(&tube), Some(Vec3::Z), said).unwrap_err();
        assert!(matches!(refused, CavityError::Tube { share, .. } if (share - 0.36).abs() < 1e-9));
    }
}

#[test]
fn a_closed_mesh_with_a_deep_pit_is_told() {
    let block = turned_mould(&with_block(&ball_up_to(40.0, 30, 0.0), 60.0, -60.0), N);
    close(
        pits_of_casting(&sound(&block), Vec3::Z).unwrap(),
        held(&ball_up_to(40.0, 30, 0.0))[1],
        1e-9,
    );
    let shallow = with_block(&[[0.0, -1.5], [30.0, -1.5], [40.0, 0.0]], 60.0, -60.0);
    assert_eq!(pits_of_casting(&sound(&turned_mould(&shallow, N)), Vec3::Z), None);
    assert_eq!(pits_of_casting(&sound(&cuboid(40.0, 30.0, 20.0)), Vec3::Z), None);
}

/// G19, G21: the mould and the casting of the same bowl give the same layers.
#[test]
fn a_mould_and_its_casting_take_the_same_layers() {
    let profile = ball_up_to(40.0, 40, 0.0);
    let mut closed = profile.clone();
    closed.push([0.0, 0.0]);
    let casting = cavity(&revolved(&closed, N), &LEVEL);
    let block = of_block(&turned_mould(&with_block(&profile, 60.0, -60.0), N));
    let mould = only(&block);
    close(mould.measures().volume_mm3.best(), casting.measures().volume_mm3.best(), 1e-9);
    let asked = request(2.0, 3.0, 0.005);
    let (a, b) = (layers(mould, &asked), layers(&casting, &asked));
    let whole = casting.measures().volume_mm3.best();
    for (a, b) in [(a.skin_mm3, b.skin_mm3), (a.core_mm3, b.core_mm3), (a.cap_mm3, b.cap_mm3)] {
        assert!(meet(&a, &b), "{a:?} {b:?}");
        assert!((a.best() - b.best()).abs() < 1e-3 * whole, "{a:?} {b:?}");
    }
}

/// On a flat rim the ring is the casting's: π((r + w)² − r²); a rim that ends sooner ends it, and a
/// cup without a rim has none.
#[test]
fn the_flange_lies_on_the_real_rim() {
    let profile = ball_up_to(40.0, 40, 0.0);
    let k = roundness(N);
    let mould = of_sheet(&turned_mould(&with_rim(&profile, 60.0, 4.0), N));
    let flange = only(&mould);
    close(flange.flange_area_mm2(10.0), PI * (2500.0 - 1600.0), 0.005);
    close(flange.flange_area_mm2(100.0), k * PI * (3600.0 - 1600.0), 1e-9);
    assert_eq!(flange.flange_area_mm2(0.0), 0.0);
    let bare = of_sheet(&turned_mould(&profile, N));
    assert_eq!(only(&bare).flange_area_mm2(10.0), 0.0);
    // A block's outside is no rim, however wide the flange.
    let block = of_block(&turned_mould(&with_block(&profile, 60.0, -60.0), N));
    close(only(&block).flange_area_mm2(100.0), k * PI * (3600.0 - 1600.0), 1e-9);
}
