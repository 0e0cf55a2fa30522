//! What is found on meshes with known faults: every number follows from how the fault was made.

mod support;

use std::collections::HashMap;
use std::f64::consts::TAU;

use cavigram::cavity::Cavity;
use cavigram::formats;
use cavigram::health::{Examined, Health, Hole, SoundMesh, Unsound, crossings, examine, look_over};
use cavigram::mesh::{Mesh, MeshError, Patches, Vec3};
use support::chance::Chance;
use support::oracle::distance;
use support::pipeline::{CLOSED, LEVEL, looked_over, sound};
use support::solids::{Body, cuboid, hull, icosphere, prism, torus, triangle_area};
use support::vector::{Point, add, scale};

const CUBE: f64 = 20.0;

fn cube() -> Body {
    cuboid(CUBE, CUBE, CUBE)
}

fn relative(value: f64, truth: f64) -> f64 {
    (value - truth).abs() / truth.abs().max(1.0)
}

fn volume(examined: &Examined) -> f64 {
    let sound = examined.sound.as_ref().unwrap_or_else(|e| panic!("{e}: {:?}", examined.health));
    sound.mesh().signed_volume_mm3()
}

/// Number and area of one kind of change; nothing where it was not made.
fn repair(health: &Health, code: &str) -> Option<(usize, f64)> {
    let found: Vec<_> = health.repairs.iter().filter(|r| r.code == code).collect();
    assert!(found.len() <= 1, "{health:?}");
    found.first().map(|r| (r.count, r.area_mm2))
}

/// A body without the faces that `left_out` takes.
fn without(mut body: Body, left_out: impl Fn([Point; 3]) -> bool) -> Body {
    body.faces = (0..body.faces.len())
        .filter(|f| !left_out(body.corners(*f)))
        .map(|f| body.faces[f])
        .collect();
    body
}

/// A body with the faces numbered so turned over.
fn flipped(mut body: Body, faces: &[usize]) -> Body {
    faces.iter().for_each(|f| body.faces[*f].swap(1, 2));
    body
}

fn hole_is(hole: &Hole, centre: Point, size: f64, edges: usize) {
    let off = hole.centre_mm.distance(Vec3::from_array(centre));
    assert!(off < 1e-9, "{hole:?} is not at {centre:?}");
    assert!((hole.size_mm - size).abs() < 1e-9, "{hole:?} is not {size} across");
    assert_eq!(hole.edges, edges, "{hole:?}");
}

/// Whether no number that came out is anything but a number.
fn all_finite(examined: &Examined) -> bool {
    let mut numbers = Vec::new();
    for hole in &examined.health.holes {
        numbers.extend(hole.centre_mm.to_array());
        numbers.push(hole.size_mm);
    }
    numbers.extend(examined.health.repairs.iter().flat_map(|r| [r.area_mm2, r.volume_bound_mm3]));
    let of_sound = |sound: &SoundMesh| {
        let mut numbers = vec![sound.volume_margin_mm3(), sound.mesh().signed_volume_mm3()];
        for request in [LEVEL, CLOSED] {
            let cavity = Cavity::of_casting(sound, &request).unwrap();
            let m = *cavity.measures();
            let slopes = m.slope_area_mm2;
            numbers.extend([m.volume_mm3.low(), m.volume_mm3.best(), m.volume_mm3.high()]);
            numbers.extend([m.wall_area_mm2, m.opening_area_mm2, m.opening_perimeter_mm]);
            numbers.extend([m.lip_mm, m.fill_mm, m.surface_area_mm2]);
            numbers.extend([slopes.floor, slopes.steep, slopes.overhanging]);
            numbers.extend(m.tilt_deg);
        }
        numbers
    };
    match &examined.sound {
        Ok(sound) => numbers.extend(of_sound(sound)),
        Err(Unsound::NotOrientable { place_mm } | Unsound::Crossing { place_mm, .. }) => {
            numbers.extend(place_mm.to_array());
        }
        Err(Unsound::HoleTooLarge { area_share, volume_share, .. }) => {
            numbers.extend([*area_share, *volume_share]);
        }
        Err(_) => {}
    }
    numbers.iter().all(|x| x.is_finite())
}

#[test]
fn a_sound_body_has_no_findings() {
    for (body, bodies) in [
        (cube(), 1),
        (torus(60.0, 15.0, 24, 12), 1),
        (cube().and(cube().moved([50.0, 0.0, 0.0])), 2),
    ] {
        let found = looked_over(&body);
        let expected = Health {
            watertight: true,
            open_edges: 0,
            holes: Vec::new(),
            non_manifold_edges: 0,
            inconsistent_edges: 0,
            inverted: false,
            degenerate_triangles: 0,
            duplicate_triangles: 0,
            bodies,
            repairs: Vec::new(),
        };
        assert_eq!(found.health, expected);
        assert!(relative(volume(&found), body.volume()) < 1e-12);
        assert_eq!(found.sound.unwrap().volume_margin_mm3(), 0.0);
    }
}

#[test]
fn open_edges_are_counted_and_holes_have_place_and_size() {
    // The whole top, and one triangle of the floor: corners (0,0), (30,0), (0,20) of it or the
    // like; four and three open edges, with no corner in common.
    let body = cuboid(30.0, 20.0, 10.0);
    let floor = (0..12).find(|f| body.corners(*f).iter().all(|p| p[2] == 0.0)).unwrap();
    let [a, b, c] = body.corners(floor);
    let middle = scale(add(add(a, b), c), 1.0 / 3.0);
    let open = without(body, |t| t == [a, b, c] || t.iter().all(|p| p[2] == 10.0));
    let found = looked_over(&open);
    assert!(!found.health.watertight);
    assert_eq!((found.health.open_edges, found.health.holes.len()), (7, 2));
    // Both are 30 mm across.
    let by_edges = |n: usize| found.health.holes.iter().find(|h| h.edges == n).unwrap();
    hole_is(by_edges(4), [15.0, 10.0, 10.0], 30.0, 4);
    hole_is(by_edges(3), middle, 30.0, 3);
    // The lid is a sixth and more of the surface: too much to be filled.
    match &found.sound {
        Err(Unsound::HoleTooLarge { hole, area_share, .. }) => {
            assert!(hole.size_mm == 30.0 && *area_share > 0.1, "{hole:?} {area_share}");
        }
        other => panic!("{other:?}"),
    }
    let mut looked = look_over(open.mesh());
    match looked.surface.unwrap().close(&mut looked.health) {
        Err(Unsound::Open { open_edges, holes }) => assert_eq!((open_edges, holes.len()), (7, 2)),
        other => panic!("{other:?}"),
    }
}

#[test]
fn holes_come_largest_first() {
    let outline = |s: f64| [[0.0, 0.0], [s, 0.0], [s, s], [0.0, s]];
    let boxes = [5.0, 40.0, 12.0].iter().enumerate().map(|(k, s)| {
        let body = prism(&outline(*s), 10.0).moved([100.0 * k as f64, 0.0, 0.0]);
        without(body, |t| t.iter().all(|p| p[2] == 10.0))
    });
    let found = looked_over(&boxes.reduce(Body::and).unwrap());
    let sizes: Vec<f64> = found.health.holes.iter().map(|h| h.size_mm).collect();
    assert_eq!(sizes, [40.0, 12.0, 5.0]);
    hole_is(&found.health.holes[0], [120.0, 20.0, 10.0], 40.0, 4);
    assert_eq!((found.health.open_edges, found.health.bodies), (12, 3));
}

#[test]
fn two_holes_that_touch_at_a_corner_are_two() {
    let octahedron = hull(&[
        [9.0, 0.0, 0.0],
        [-9.0, 0.0, 0.0],
        [0.0, 9.0, 0.0],
        [0.0, -9.0, 0.0],
        [0.0, 0.0, 9.0],
        [0.0, 0.0, -9.0],
    ]);
    let open = without(octahedron, |t| {
        let sum = add(add(t[0], t[1]), t[2]);
        sum[2] > 0.0 && sum[0] * sum[1] > 0.0
    });
    let found = looked_over(&open);
    assert_eq!((found.health.open_edges, found.health.holes.len()), (6, 2));
    for hole in &found.health.holes {
        let side = hole.centre_mm.x.signum() * 3.0;
        hole_is(hole, [side, side, 3.0], 9.0, 3);
    }
}

#[test]
fn a_fin_on_an_edge_makes_it_non_manifold() {
    let mut body = cube();
    let [a, b, _] = body.faces[0];
    let tip = body.push([-30.0, -40.0, -50.0]);
    body.faces.push([a, b, tip]);
    let found = looked_over(&body);
    let health = &found.health;
    assert!(!health.watertight);
    assert_eq!((health.non_manifold_edges, health.open_edges), (1, 2));
    assert_eq!((health.inconsistent_edges, health.bodies), (0, 2));
    assert!(found.sound.is_err());
}

#[test]
fn bodies_that_touch_only_along_an_edge_or_in_a_corner_are_sound() {
    let by = |x: f64, y: f64, z: f64| cube().and(cube().moved([x * CUBE, y * CUBE, z * CUBE]));
    let whole = 2.0 * CUBE.powi(3);
    for (body, non_manifold) in
        [(by(1.0, 1.0, 0.0), 1), (by(1.0, -1.0, 0.0), 1), (by(1.0, 1.0, 1.0), 0)]
    {
        for (body, shared) in [(body.clone(), 0), (body.joined(), non_manifold)] {
            let found = looked_over(&body);
            assert!(found.health.watertight, "{:?}", found.health);
            assert_eq!(found.health.non_manifold_edges, shared, "{:?}", found.health);
            assert_eq!((found.health.bodies, found.health.open_edges), (2, 0));
            assert!(relative(volume(&found), whole) < 1e-12);
        }
    }
}

/// The mirror image in the plane x = 0, cut into triangles alike.
fn mirrored(body: Body) -> Body {
    body.map(|p| [-p[0], p[1], p[2]]).inside_out()
}

#[test]
fn one_body_pinched_along_an_edge_is_sound() {
    // Two boxes that share a face, and a third that touches one of them along an edge only.
    let third = cube().moved([CUBE, CUBE, 0.0]);
    let body = cube().and(mirrored(cube())).and(third).joined();
    let found = looked_over(&body);
    assert!(found.health.watertight, "{:?}", found.health);
    assert_eq!(repair(&found.health, "dropped-inner-faces"), Some((4, 2.0 * CUBE * CUBE)));
    assert!(relative(volume(&found), 3.0 * CUBE.powi(3)) < 1e-12);
}

/// Edges between turned and unturned faces, counted by hand.
fn edges_between(body: &Body, turned: &[usize]) -> usize {
    let mut sides: HashMap<[u32; 2], Vec<bool>> = HashMap::new();
    for (f, face) in body.faces.iter().enumerate() {
        for k in 0..3 {
            let (a, b) = (face[k], face[(k + 1) % 3]);
            sides.entry([a.min(b), a.max(b)]).or_default().push(turned.contains(&f));
        }
    }
    sides.values().filter(|pair| pair[0] != pair[1]).count()
}

#[test]
fn turned_triangles_are_told_and_turned_back() {
    let ball = icosphere(25.0, 2);
    let mut chance = Chance::new(11);
    let mut all: Vec<usize> = (0..ball.faces.len()).collect();
    chance.shuffle(&mut all);
    let upper: Vec<usize> =
        (0..ball.faces.len()).filter(|f| ball.corners(*f).iter().all(|p| p[2] > 4.0)).collect();
    for turned in [&all[..1], &all[..7], &all[..100], &upper[..]] {
        let area: f64 = turned.iter().map(|f| triangle_area(ball.corners(*f))).sum();
        let found = looked_over(&flipped(ball.clone(), turned));
        let health = &found.health;
        assert!(!health.watertight && !health.inverted, "{health:?}");
        assert_eq!(health.inconsistent_edges, edges_between(&ball, turned));
        assert_eq!((health.open_edges, health.non_manifold_edges, health.bodies), (0, 0, 1));
        let (count, told) = repair(health, "turned-triangles").unwrap();
        assert_eq!(count, turned.len());
        assert!(relative(told, area) < 1e-12, "{told} {area}");
        assert!(relative(volume(&found), ball.volume()) < 1e-12);
    }
    // More than half turned: the rest is turned to them, and then all is turned over.
    let found = looked_over(&flipped(ball.clone(), &all[..250]));
    assert_eq!(repair(&found.health, "turned-triangles").unwrap().0, 70);
    assert!(found.health.inverted);
    assert_eq!(repair(&found.health, "turned-inside-out").unwrap().0, 320);
    assert!(relative(volume(&found), ball.volume()) < 1e-12);
}

#[test]
fn a_body_inside_out_is_turned_over_with_all_it_holds() {
    let found = looked_over(&cube().inside_out());
    assert!(found.health.watertight && found.health.inverted);
    assert_eq!(repair(&found.health, "turned-inside-out"), Some((12, 6.0 * CUBE * CUBE)));
    assert!(relative(volume(&found), CUBE.powi(3)) < 1e-12);
    // Inside out with a void in it, which faces outward then.
    let hole = cuboid(5.0, 6.0, 7.0).moved([6.0, 7.0, 8.0]);
    let found = looked_over(&cube().inside_out().and(hole));
    assert!(found.health.inverted);
    assert_eq!(repair(&found.health, "turned-inside-out").unwrap().0, 24);
    assert!(relative(volume(&found), CUBE.powi(3) - 210.0) < 1e-12);
    // Of two bodies side by side only the one that faces inward is turned.
    let found = looked_over(&cube().and(cube().inside_out().moved([50.0, 0.0, 0.0])));
    assert!(found.health.inverted);
    assert_eq!(repair(&found.health, "turned-inside-out").unwrap().0, 12);
    assert!(relative(volume(&found), 2.0 * CUBE.powi(3)) < 1e-12);
}

#[test]
fn voids_are_left_out_and_buried_bodies_count_once() {
    let nested = |margin: f64| {
        let side = CUBE - 2.0 * margin;
        cuboid(side, side, side).moved([margin; 3])
    };
    let size = |margin: f64| (CUBE - 2.0 * margin).powi(3);
    let (outer, middle, inner) = (size(0.0), size(3.0), size(6.0));
    for (body, buried, expected) in [
        (cube().and(nested(3.0).inside_out()), 0, outer - middle),
        (cube().and(nested(3.0).inside_out()).and(nested(6.0)), 0, outer - middle + inner),
        (cube().and(nested(3.0)), 1, outer),
        (cube().and(nested(3.0)).and(nested(6.0)), 2, outer),
        // A void inside a buried body is filled by what holds both.
        (cube().and(nested(3.0)).and(nested(6.0).inside_out()), 2, outer),
    ] {
        let found = looked_over(&body);
        assert!(found.health.watertight && !found.health.inverted);
        assert_eq!(found.health.bodies, body.faces.len() / 12);
        let dropped = repair(&found.health, "dropped-buried-bodies").map_or(0, |r| r.0);
        assert_eq!(dropped, buried, "{:?}", found.health);
        let volume = volume(&found);
        assert!(relative(volume, expected) < 1e-12, "{volume}, not {expected}");
    }
}

#[test]
fn triangles_without_area_and_repeats_are_counted_and_change_nothing() {
    let mut body = cuboid(30.0, 20.0, 10.0);
    let [a, b, c] = body.faces[4];
    body.faces.extend([[a, a, b], [b, c, b], [a, a, a], [a, b, c], [b, c, a]]);
    let found = looked_over(&body);
    let health = &found.health;
    assert_eq!((health.degenerate_triangles, health.duplicate_triangles), (3, 2));
    assert!(health.watertight && health.bodies == 1 && health.non_manifold_edges == 0);
    assert!(relative(volume(&found), 6000.0) < 1e-12);
    assert!(all_finite(&found));
}

#[test]
fn a_flat_sliver_that_keeps_a_long_edge_and_its_halves_together_stays() {
    let mut body = cuboid(30.0, 20.0, 10.0);
    let [a, b, c] = body.faces[0];
    let middle = scale(add(body.points[a as usize], body.points[b as usize]), 0.5);
    let m = body.push(middle);
    body.faces[0] = [a, m, c];
    body.faces.extend([[m, b, c], [a, b, m]]);
    let found = looked_over(&body);
    assert_eq!(found.health.degenerate_triangles, 1);
    assert!(found.health.watertight, "{:?}", found.health);
    assert!(relative(volume(&found), 6000.0) < 1e-12);
    assert!(all_finite(&found));
}

/// One corner of one face torn off by `gap` mm.
fn torn(mut body: Body, gap: f64) -> Body {
    let corner = body.points[body.faces[0][0] as usize];
    let torn = body.push(add(corner, [0.6 * gap, -0.8 * gap, 0.0]));
    body.faces[0][0] = torn;
    body
}

#[test]
fn cracks_within_a_hair_are_closed_and_wider_ones_are_filled() {
    // The hair: 1e-5 of the diagonal, at most 0.02 mm.
    for (size, hair) in [(30.0, 30.0 * 3f64.sqrt() * 1e-5), (900.0, 0.0155884), (5000.0, 0.02)] {
        let body = cuboid(size, size, size).subdivided(2);
        for share in [0.01, 0.5, 0.99] {
            let found = looked_over(&torn(body.clone(), share * hair));
            // Two edges of the torn face and the two they were torn from.
            assert_eq!((found.health.open_edges, found.health.watertight), (4, false));
            assert_eq!(repair(&found.health, "merged-vertices").unwrap().0, 1, "{size} {share}");
            let off = (volume(&found) - size.powi(3)).abs();
            let margin = found.sound.unwrap().volume_margin_mm3();
            assert!(off <= margin + 1e-12 * size.powi(3), "{size}: {off} over {margin}");
            assert!(margin > 0.0 && margin < 1e-4 * size.powi(3), "{size}: {margin}");
        }
        for share in [1.01, 3.0] {
            let found = looked_over(&torn(body.clone(), share * hair));
            assert_eq!(repair(&found.health, "merged-vertices"), None, "{size} {share}");
            let (count, area) = repair(&found.health, "filled-holes").unwrap();
            assert_eq!((count, found.health.open_edges), (1, 4), "{size} {share}");
            assert!(area < size * share * hair, "{size} {share}: {area}");
            let off = (volume(&found) - size.powi(3)).abs();
            let margin = found.sound.unwrap().volume_margin_mm3();
            assert!(off <= margin + 1e-12 * size.powi(3), "{size}: {off} over {margin}");
        }
    }
}

/// A crack along a whole seam: the upper half of a ball, each corner of its rim off by a hair.
#[test]
fn a_cracked_seam_is_closed_with_a_margin_that_holds() {
    let ball = icosphere(25.0, 3);
    let middle = |t: [Point; 3]| (t[0][2] + t[1][2] + t[2][2]) / 3.0;
    let upper = without(ball.clone(), |t| middle(t) < 0.1);
    let mut chance = Chance::new(5);
    let mut used = vec![false; ball.points.len()];
    for face in upper.faces.iter().flatten() {
        used[*face as usize] = true;
    }
    let shifts: Vec<Point> = ball.points.iter().map(|_| scale(chance.direction(), 2e-4)).collect();
    let moved: Vec<Point> =
        upper.points.iter().zip(&shifts).map(|(p, shift)| add(*p, *shift)).collect();
    let lower = without(ball.clone(), |t| middle(t) >= 0.1);
    let shaken = Body { points: moved, faces: upper.faces };
    let found = looked_over(&lower.and(shaken));
    assert!(found.health.open_edges > 40 && found.health.bodies == 2, "{:?}", found.health);
    let merged = repair(&found.health, "merged-vertices").unwrap().0;
    assert_eq!(2 * merged, found.health.open_edges);
    // Away from the seam the shaken corners stay where they are: their own volume is the truth.
    let seam: Vec<bool> = {
        let mut below = vec![false; ball.points.len()];
        let lower = without(ball.clone(), |t| middle(t) >= 0.1);
        lower.faces.iter().flatten().for_each(|v| below[*v as usize] = true);
        below
    };
    let mut truth = ball.clone();
    for v in 0..truth.points.len() {
        if used[v] && !seam[v] {
            truth.points[v] = add(truth.points[v], shifts[v]);
        }
    }
    let off = (volume(&found) - truth.volume()).abs();
    let margin = found.sound.unwrap().volume_margin_mm3();
    assert!(off <= margin, "{off} over {margin}");
}

/// How far a place is from the nearer of the triangles that `chosen` takes.
fn off(body: &Body, place: Vec3, chosen: impl Fn(usize) -> bool) -> f64 {
    let triangles = body.triangles();
    let chosen = triangles.iter().enumerate().filter(|(f, _)| chosen(*f));
    chosen.map(|(_, t)| distance(place.to_array(), *t)).fold(f64::INFINITY, f64::min)
}

/// Where a surface was found to cross itself.
fn places(body: &Body) -> Vec<Vec3> {
    let mesh = body.mesh().in_neighbour_order();
    crossings(&Patches::new(&mesh)).unwrap().iter().map(|c| c.place_mm).collect()
}

#[test]
fn a_body_that_crosses_itself_is_found_at_the_place() {
    // The middle of the top is pulled through the floor.
    let body = cuboid(40.0, 40.0, 10.0).subdivided(2);
    let top = body.points.iter().position(|p| *p == [20.0, 20.0, 10.0]).unwrap();
    let mut spiked = body;
    spiked.points[top] = [20.3, 19.6, -5.0];
    let places = places(&spiked);
    assert!(places.len() >= 6, "{places:?}");
    let touches_top = |f: usize| spiked.faces[f].contains(&(top as u32));
    for place in places {
        assert!(place.z.abs() < 1e-9, "{place}");
        // The spike is 10 mm wide at the top and 15 mm long: at the floor it is 3.4 wide.
        assert!((place.x - 20.0).abs() < 3.8 && (place.y - 20.0).abs() < 3.8, "{place}");
        assert!(off(&spiked, place, touches_top) < 1e-9);
    }
    let found = looked_over(&spiked);
    assert!(found.health.watertight);
    // What sticks out below has nothing but outside within: it is left off.
    assert!(volume(&found) > spiked.volume(), "{}", volume(&found));
}

#[test]
fn bodies_that_cross_are_found_on_both() {
    for (body, first) in [
        (cube().and(cube().moved([7.0, 8.0, 9.0])), 12),
        (icosphere(20.0, 2).and(icosphere(20.0, 2).moved([31.0, 2.0, 3.0])), 320),
        // A rod that goes in and out.
        (cube().and(cuboid(2.0, 2.0, 60.0).moved([9.0, 9.0, -20.0])), 12),
        // A face laid on a part of another.
        (cube().and(cuboid(5.0, 6.0, 7.0).moved([3.0, 4.0, CUBE])), 12),
        // The same body twice, each with corners of its own.
        (cube().and(cube()), 12),
    ] {
        let places = places(&body);
        assert!(!places.is_empty());
        for place in places {
            assert!(off(&body, place, |f| f < first) < 1e-9, "{place} is not on the first body");
            assert!(off(&body, place, |f| f >= first) < 1e-9, "{place} is not on the second");
        }
    }
}

#[test]
fn bodies_that_share_whole_faces_are_one() {
    let found = looked_over(&cube().and(mirrored(cube())).joined());
    assert!(found.health.watertight);
    assert_eq!(repair(&found.health, "dropped-inner-faces"), Some((4, 2.0 * CUBE * CUBE)));
    assert!(relative(volume(&found), 2.0 * CUBE.powi(3)) < 1e-12);
    let wall = found.sound.unwrap().mesh().area_mm2();
    assert!(relative(wall, 10.0 * CUBE * CUBE) < 1e-12, "{wall}");
}

/// A strip of `count` quads with half a turn.
fn moebius(count: u32) -> Body {
    let mut body = Body::default();
    for j in 0..count {
        let turn = TAU * f64::from(j) / f64::from(count);
        for side in [-1.0, 1.0] {
            let (s, c) = (0.5 * turn).sin_cos();
            let r = 40.0 + 10.0 * side * c;
            body.points.push([r * turn.cos(), r * turn.sin(), 10.0 * side * s]);
        }
    }
    for j in 0..count {
        let (a, b) = (2 * j, 2 * j + 1);
        let next = 2 * (j + 1) % (2 * count);
        let (c, d) = if j + 1 == count { (next + 1, next) } else { (next, next + 1) };
        body.faces.extend([[a, c, b], [b, c, d]]);
    }
    body
}

/// A tube led round with half a turn, so that its inside comes out: a Klein bottle in the shape
/// of a figure of eight led round.
fn klein(around: u32, about: u32) -> Body {
    let mut body = Body::default();
    for i in 0..around {
        let u = TAU * f64::from(i) / f64::from(around);
        for j in 0..about {
            let v = TAU * f64::from(j) / f64::from(about);
            let (x, y) = (10.0 * v.sin(), 10.0 * (2.0 * v).sin());
            let (s, c) = (0.5 * u).sin_cos();
            let (r, z) = (40.0 + x * c - y * s, x * s + y * c);
            body.points.push([r * u.cos(), r * u.sin(), z]);
        }
    }
    for i in 0..around {
        for j in 0..about {
            let at = |i: u32, j: u32| {
                // Half a turn takes (sin v, sin 2v) to what it is at −v.
                let j = if i == around { (2 * about - j) % about } else { j % about };
                (i % around) * about + j
            };
            let (a, b, c, d) = (at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1));
            body.faces.extend([[a, b, c], [a, c, d]]);
        }
    }
    body
}

#[test]
fn one_sided_surfaces_are_told_from_open_ones() {
    let strip = looked_over(&moebius(24));
    assert!(!strip.health.watertight);
    assert_eq!((strip.health.open_edges, strip.health.holes.len()), (48, 1));
    assert_eq!((strip.health.holes[0].edges, strip.health.bodies), (48, 1));
    assert!(strip.health.inconsistent_edges > 0);
    assert!(matches!(strip.sound, Err(Unsound::NotOrientable { .. })), "{:?}", strip.sound);
    assert!(all_finite(&strip));
}

#[test]
fn no_number_is_ever_not_a_number() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let points = vec![Vec3::ZERO, Vec3::X, Vec3::new(0.0, bad, 0.0)];
        assert_eq!(Mesh::new(points, vec![[0, 1, 2]]), Err(MeshError::NotFinite { vertex: 2 }));
        let text = format!("v 0 0 0\nv 1 0 0\nv 0 {bad} 0\nf 1 2 3\n");
        assert!(formats::read(text.as_bytes(), None).is_err(), "{bad}");
    }
    let points = vec![Vec3::ZERO, Vec3::X];
    assert!(matches!(
        Mesh::new(points, vec![[0, 1, 2]]),
        Err(MeshError::IndexOutOfRange { triangle: 0, vertex: 2, vertices: 2 })
    ));
    let nothing = Body::default();
    let line = Body {
        points: vec![[0.0; 3], [1.0, 0.0, 0.0], [3.0, 0.0, 0.0]],
        faces: vec![[0, 1, 2], [2, 1, 0], [0, 0, 0]],
    };
    let sheet = Body {
        points: vec![[0.0; 3], [9.0, 0.0, 0.0], [0.0, 9.0, 0.0]],
        faces: vec![[0, 1, 2], [0, 2, 1]],
    };
    for body in [&nothing, &line, &sheet] {
        let found = looked_over(body);
        assert_eq!(found.sound, Err(Unsound::Empty), "{body:?}");
        assert!(all_finite(&found), "{found:?}");
    }
    let lone = looked_over(&Body { points: sheet.points.clone(), faces: vec![[0, 1, 2]] });
    assert!(matches!(lone.sound, Err(Unsound::HoleTooLarge { .. })), "{lone:?}");
    assert!(all_finite(&lone), "{lone:?}");
    for body in [
        cube(),
        cube().scaled(1e-9),
        cube().scaled(1e9),
        cube().scaled(1e-160),
        cube().and(cube().scaled(1e9).moved([1e11, 0.0, 0.0])),
        cuboid(1e6, 1e-6, 1.0),
        torn(cube(), 1e-6),
        torus(60.0, 15.0, 12, 8).inside_out(),
    ] {
        let found = looked_over(&body);
        assert!(all_finite(&found), "{:?}", found.health);
    }
}

/// Cleaning up leaves a mesh that is sound by its own rules.
#[test]
fn what_was_mended_is_found_sound_when_looked_over_again() {
    let ball = icosphere(25.0, 2);
    let hole = cuboid(5.0, 6.0, 7.0).moved([6.0, 7.0, 8.0]);
    for body in [
        flipped(ball.clone(), &[3, 8, 100]),
        ball.inside_out(),
        torn(cube().subdivided(1), 1e-5),
        cube().and(cube().moved([CUBE, CUBE, 0.0])).joined(),
        cube().and(hole.clone()),
        cube().inside_out().and(hole),
    ] {
        let first = sound(&body);
        let again = examine(first.mesh().clone());
        assert!(again.health.watertight && again.health.repairs.is_empty(), "{:?}", again.health);
        let second = again.sound.unwrap();
        let (one, two) = (first.mesh().signed_volume_mm3(), second.mesh().signed_volume_mm3());
        assert!(relative(one, two) < 1e-12);
    }
}

#[test]
fn a_klein_bottle_is_refused() {
    let body = klein(24, 16);
    let found = looked_over(&body);
    assert!(!found.health.watertight);
    assert_eq!((found.health.open_edges, found.health.non_manifold_edges), (0, 0));
    assert!(found.health.inconsistent_edges > 0, "{:?}", found.health);
    assert!(matches!(found.sound, Err(Unsound::NotOrientable { .. })), "{:?}", found.sound);
}

/// The face between the two is no wall, along whichever diagonal either side is cut.
#[test]
fn bodies_that_share_a_face_are_two_as_read() {
    for other in [mirrored(cube()), cube().moved([-CUBE, 0.0, 0.0])] {
        let found = looked_over(&cube().and(other).joined());
        assert_eq!(found.health.bodies, 2, "{:?}", found.health);
        assert!(relative(volume(&found), 2.0 * CUBE.powi(3)) < 1e-12);
        let area = found.sound.as_ref().map(|s| s.mesh().area_mm2()).unwrap();
        assert!(relative(area, 10.0 * CUBE * CUBE) < 1e-12, "{:?}", found.health);
    }
    let along_an_edge = looked_over(&cube().and(cube().moved([CUBE, CUBE, 0.0])).joined());
    assert_eq!(along_an_edge.health.bodies, 2, "{:?}", along_an_edge.health);
    assert_eq!(along_an_edge.health.non_manifold_edges, 1);
    assert!(relative(volume(&along_an_edge), 2.0 * CUBE.powi(3)) < 1e-12);
}
