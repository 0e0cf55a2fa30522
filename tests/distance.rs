//! Nearest points and sides of the patch tree against those of `parry3d-f64`'s own mesh.

mod support;

use cavigram::mesh::{Mesh, Patches, Vec3};
use parry3d_f64::query::PointQuery;
use parry3d_f64::shape::{TriMesh, TriMeshFlags};
use support::chance::Chance;
use support::pipeline::vec3;
use support::solids::{Body, cuboid, icosphere, l_outline, prism, revolved, ring_prism, torus};

/// How far two distances may be apart, mm.
const AGREEMENT_MM: f64 = 1e-9;

fn bodies() -> Vec<(&'static str, Body)> {
    let hole = cuboid(30.0, 24.0, 20.0).moved([31.0, 22.0, 19.0]).inside_out();
    let spindle = [[0.0, 0.0], [0.4, 1.0], [9.0, 40.0], [0.3, 80.0], [0.0, 90.0]];
    vec![
        ("box", cuboid(120.0, 80.0, 50.0)),
        ("box in small triangles, turned", {
            cuboid(12.0, 8.0, 5.0).subdivided(3).turned([1.0, 2.0, 3.0], 0.7)
        }),
        ("L-shape", prism(&l_outline(60.0, 50.0, 25.0, 20.0), 30.0).subdivided(1)),
        ("flat ring", ring_prism(24, 70.0, 45.0, 20.0)),
        ("ball", icosphere(50.0, 3)),
        ("torus", torus(60.0, 15.0, 48, 20).turned([0.3, 1.0, 0.2], 1.1)),
        ("spindle of needles", revolved(&spindle, 40)),
        ("box with a void", cuboid(90.0, 70.0, 60.0).and(hole)),
        ("ball a metre away", icosphere(20.0, 2).moved([700.0, -500.0, 600.0])),
    ]
}

/// Points in and around the box of a body, near its surface, and on lines through its corners.
fn places(body: &Body, chance: &mut Chance) -> Vec<Vec3> {
    let extent = body.extent();
    let around = |chance: &mut Chance, margin: f64| {
        let along = |[low, high]: [f64; 2], chance: &mut Chance| {
            let more = margin * (high - low);
            chance.within(low - more, high + more)
        };
        Vec3::from_array(extent.map(|side| along(side, chance)))
    };
    let mut places: Vec<Vec3> = (0..600).map(|_| around(chance, 0.3)).collect();
    places.extend((0..50).map(|_| around(chance, 4.0)));
    for _ in 0..300 {
        let [a, b, c] = body.corners(chance.below(body.faces.len())).map(vec3);
        let (u, v) = (chance.unit(), chance.unit());
        let on = a + (b - a) * (u * (1.0 - v)) + (c - a) * (u * v);
        places.push(on + vec3(chance.direction()) * 10f64.powf(chance.within(-6.0, 0.5)));
        let [over, beside] = [[0.0, 0.0, 1.0], [1.0, 0.0, 0.0]].map(vec3);
        places.push(a + over * chance.within(-20.0, 20.0));
        places.push(b + beside * chance.within(-20.0, 20.0));
    }
    places
}

fn other(mesh: &Mesh) -> TriMesh {
    let (vertices, triangles) = mesh.clone().into_parts();
    TriMesh::with_flags(vertices, triangles, TriMeshFlags::ORIENTED).unwrap()
}

#[test]
fn nearest_points_are_as_far_as_the_other_librarys() {
    for (seed, (name, body)) in bodies().into_iter().enumerate() {
        let mesh = body.mesh().in_neighbour_order();
        let (patches, other) = (Patches::new(&mesh), other(&mesh));
        for p in places(&body, &mut Chance::new(seed as u64)) {
            let ours = patches.nearest(p, f64::INFINITY, None).unwrap();
            let theirs = other.project_local_point(p, false).point.distance(p);
            let distance = ours.distance_squared.sqrt();
            assert!((distance - theirs).abs() <= AGREEMENT_MM, "{name}, {p}: {distance} {theirs}");
            assert!((ours.point.distance(p) - distance).abs() <= AGREEMENT_MM, "{name}, {p}");
            // The point is one of the surface.
            let off = other.project_local_point(ours.point, false).point.distance(ours.point);
            assert!(off <= AGREEMENT_MM, "{name}, {p}: the nearest point is {off} off the surface");
        }
    }
}

#[test]
fn a_reach_and_a_known_point_change_nothing_but_what_is_found() {
    for (seed, (name, body)) in bodies().into_iter().enumerate() {
        let mesh = body.mesh().in_neighbour_order();
        let patches = Patches::new(&mesh);
        let known = mesh.vertices()[mesh.triangles()[0][0] as usize];
        for p in places(&body, &mut Chance::new(100 + seed as u64)) {
            let free = patches.nearest(p, f64::INFINITY, None).unwrap().distance_squared;
            let led = patches.nearest(p, f64::INFINITY, Some(known)).unwrap().distance_squared;
            assert_eq!(free, led, "{name}, {p}");
            let distance = free.sqrt();
            if distance > AGREEMENT_MM {
                let short = patches.nearest(p, distance * 0.999_999, None);
                assert_eq!(short, None, "{name}, {p}");
            }
            let within = patches.nearest(p, distance * 1.000_001 + 1e-12, None);
            assert_eq!(within.map(|n| n.distance_squared), Some(free), "{name}, {p}");
        }
    }
}

#[test]
fn inside_and_outside_are_the_other_librarys() {
    let mut inside_in_all = 0;
    for (seed, (name, body)) in bodies().into_iter().enumerate() {
        let mesh = body.mesh().in_neighbour_order();
        let (patches, other) = (Patches::new(&mesh), other(&mesh));
        let mut inside = 0;
        for p in places(&body, &mut Chance::new(200 + seed as u64)) {
            let theirs = other.project_local_point(p, false);
            // On the surface either answer is right.
            if theirs.point.distance(p) <= AGREEMENT_MM {
                continue;
            }
            let winding = patches.winding(p);
            assert_eq!(winding, i32::from(theirs.is_inside), "{name}, {p}");
            inside += winding;
        }
        assert!(inside > 30, "{name}: only {inside} places inside");
        inside_in_all += inside;
    }
    assert!(inside_in_all > 1000, "{inside_in_all}");
}
