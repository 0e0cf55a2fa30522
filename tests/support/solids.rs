//! Closed triangle meshes whose sizes are known in closed form, in mm, facing outward.
//!
//! A *solid of revolution with n sides* stands for a round one: its sections are regular n-gons
//! drawn about the circle. In every one of its n sectors the distance to a flat side is the
//! distance in the profile's own half-plane, so every volume and lateral area that comes from a
//! profile is the round one's times (n/π)·tan(π/n), exactly ([`roundness`]; the inscribed
//! companion is reference G27). That needs side normals that never point towards the axis.

use std::collections::HashMap;
use std::f64::consts::{PI, TAU};

use cavigram::mesh::{Mesh, Vec3};

use super::vector::{Point, add, between, cross, dot, norm, scale, sub, turned, unit};

/// A closed triangle mesh, corners counter-clockwise seen from outside; mm.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Body {
    pub points: Vec<Point>,
    pub faces: Vec<[u32; 3]>,
}

impl Body {
    /// The same lists as the program's own type.
    pub fn mesh(&self) -> Mesh {
        let points = self.points.iter().map(|p| Vec3::new(p[0], p[1], p[2])).collect();
        Mesh::new(points, self.faces.clone()).expect("the generators make sound lists")
    }

    pub fn corners(&self, face: usize) -> [Point; 3] {
        self.faces[face].map(|i| self.points[i as usize])
    }

    pub fn triangles(&self) -> Vec<[Point; 3]> {
        (0..self.faces.len()).map(|f| self.corners(f)).collect()
    }

    /// Adds a point and tells its number.
    pub fn push(&mut self, p: Point) -> u32 {
        self.points.push(p);
        (self.points.len() - 1) as u32
    }

    /// Volume by the divergence theorem (T1), mm³, about the first point.
    pub fn volume(&self) -> f64 {
        let o = self.points[0];
        let tetrahedra = self
            .triangles()
            .into_iter()
            .map(|[a, b, c]| dot(sub(a, o), cross(sub(b, o), sub(c, o))) / 6.0);
        tetrahedra.sum()
    }

    /// Area, mm².
    pub fn area(&self) -> f64 {
        self.triangles().into_iter().map(triangle_area).sum()
    }

    pub fn map(mut self, f: impl Fn(Point) -> Point) -> Self {
        self.points.iter_mut().for_each(|p| *p = f(*p));
        self
    }

    pub fn moved(self, by: Point) -> Self {
        self.map(|p| add(p, by))
    }

    pub fn scaled(self, s: f64) -> Self {
        self.map(|p| scale(p, s))
    }

    pub fn turned(self, axis: Point, angle_rad: f64) -> Self {
        let axis = unit(axis);
        self.map(|p| turned(p, axis, angle_rad))
    }

    /// The same surface facing the other way.
    pub fn inside_out(mut self) -> Self {
        self.faces.iter_mut().for_each(|f| f.swap(1, 2));
        self
    }

    /// Both bodies in one mesh, corners not joined.
    pub fn and(mut self, other: Self) -> Self {
        let shift = self.points.len() as u32;
        self.points.extend(other.points);
        self.faces.extend(other.faces.iter().map(|f| f.map(|i| i + shift)));
        self
    }

    /// Corners at the very same place made one, unused ones dropped.
    pub fn joined(self) -> Self {
        let mut out = Self::default();
        let mut known: HashMap<[u64; 3], u32> = HashMap::new();
        for face in &self.faces {
            let corners = face.map(|i| {
                let p = self.points[i as usize].map(|x| x + 0.0);
                *known.entry(p.map(f64::to_bits)).or_insert_with(|| out.push(p))
            });
            out.faces.push(corners);
        }
        out
    }

    /// Every triangle cut into four, `times` over; the surface stays the same.
    pub fn subdivided(self, times: usize) -> Self {
        (0..times).fold(self, |body, _| body.subdivided_once())
    }

    fn subdivided_once(mut self) -> Self {
        let mut middles: HashMap<(u32, u32), u32> = HashMap::new();
        let faces = std::mem::take(&mut self.faces);
        for [a, b, c] in faces {
            let [ab, bc, ca] = [(a, b), (b, c), (c, a)].map(|(p, q)| {
                *middles.entry((p.min(q), p.max(q))).or_insert_with(|| {
                    let m = between(self.points[p as usize], self.points[q as usize], 0.5);
                    self.points.push(m);
                    (self.points.len() - 1) as u32
                })
            });
            self.faces.extend([[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]);
        }
        self
    }

    /// The lowest and the highest corner along each axis.
    pub fn extent(&self) -> [[f64; 2]; 3] {
        [0, 1, 2].map(|k| {
            let along = self.points.iter().map(|p| p[k]);
            let low = along.clone().fold(f64::INFINITY, f64::min);
            [low, along.fold(f64::NEG_INFINITY, f64::max)]
        })
    }

    /// Longest edge, mm.
    pub fn longest_edge(&self) -> f64 {
        let longest =
            |[a, b, c]: [Point; 3]| norm(sub(a, b)).max(norm(sub(b, c))).max(norm(sub(c, a)));
        self.triangles().into_iter().map(longest).fold(0.0, f64::max)
    }
}

pub fn triangle_area([a, b, c]: [Point; 3]) -> f64 {
    norm(cross(sub(b, a), sub(c, a))) / 2.0
}

/// Area or volume of an n-sided solid of revolution over the round one's: (n/π)·tan(π/n).
pub fn roundness(n: usize) -> f64 {
    let n = n as f64;
    n / PI * (PI / n).tan()
}

/// A box of 12 triangles from the origin to (a, b, c).
pub fn cuboid(a: f64, b: f64, c: f64) -> Body {
    prism(&[[0.0, 0.0], [a, 0.0], [a, b], [0.0, b]], c)
}

/// The L of a `long` by `deep` rectangle that lacks its corner beyond (`notch_x`, `notch_y`),
/// counter-clockwise.
pub fn l_outline(long: f64, deep: f64, notch_x: f64, notch_y: f64) -> Vec<[f64; 2]> {
    vec![[0.0, 0.0], [long, 0.0], [long, notch_y], [notch_x, notch_y], [notch_x, deep], [0.0, deep]]
}

/// A regular polygon drawn about a circle, counter-clockwise, one side facing +x.
pub fn ngon(n: usize, apothem: f64) -> Vec<[f64; 2]> {
    let half = PI / n as f64;
    let corner = apothem / half.cos();
    let angle = |j: usize| half * (2 * j + 1) as f64;
    (0..n).map(|j| [corner * angle(j).cos(), corner * angle(j).sin()]).collect()
}

/// An upright prism over a simple polygon (counter-clockwise), from z = 0 to `height`.
pub fn prism(outline: &[[f64; 2]], height: f64) -> Body {
    let n = outline.len() as u32;
    let lids = ears(outline);
    let at = |z: f64| outline.iter().map(move |p| [p[0], p[1], z]);
    let mut body = Body { points: at(0.0).chain(at(height)).collect(), faces: Vec::new() };
    for [a, b, c] in lids {
        body.faces.extend([[a, c, b], [a + n, b + n, c + n]]);
    }
    for i in 0..n {
        let j = (i + 1) % n;
        body.faces.extend([[i, j, j + n], [i, j + n, i + n]]);
    }
    body
}

/// Triangles that fill a simple polygon (counter-clockwise), by cutting ears.
fn ears(outline: &[[f64; 2]]) -> Vec<[u32; 3]> {
    let turn = |a: usize, b: usize, c: usize| {
        let [p, q, r] = [outline[a], outline[b], outline[c]];
        (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
    };
    let mut left: Vec<usize> = (0..outline.len()).collect();
    let mut triangles = Vec::new();
    while left.len() > 3 {
        let n = left.len();
        let ear = (0..n).find(|&i| {
            let (a, b, c) = (left[(i + n - 1) % n], left[i], left[(i + 1) % n]);
            let holds =
                |p: &usize| turn(a, b, *p) >= 0.0 && turn(b, c, *p) >= 0.0 && turn(c, a, *p) >= 0.0;
            turn(a, b, c) > 0.0 && !left.iter().any(|p| ![a, b, c].contains(p) && holds(p))
        });
        let i = ear.expect("a simple polygon has an ear");
        triangles.push([left[(i + n - 1) % n] as u32, left[i] as u32, left[(i + 1) % n] as u32]);
        left.remove(i);
    }
    triangles.push([left[0] as u32, left[1] as u32, left[2] as u32]);
    triangles
}

/// A flat ring: an upright prism between two regular polygons of n sides, of apothem `outer` and
/// `inner`, from z = 0 to `height`.
pub fn ring_prism(n: usize, outer: f64, inner: f64, height: f64) -> Body {
    let mut body = Body::default();
    for (outline, z) in
        [(outer, 0.0), (outer, height), (inner, height), (inner, 0.0)].map(|(a, z)| (ngon(n, a), z))
    {
        body.points.extend(outline.iter().map(|p| [p[0], p[1], z]));
    }
    let n = n as u32;
    for level in 0..4 {
        for j in 0..n {
            let k = (j + 1) % n;
            let (low, high) = (level * n, (level + 1) % 4 * n);
            body.faces.extend([[low + j, low + k, high + k], [low + j, high + k, high + j]]);
        }
    }
    body
}

/// A solid of revolution about z with n flat sides. The profile runs from the axis at the bottom
/// to the axis at the top: pairs of (distance of the sides from the axis, z).
pub fn revolved(profile: &[[f64; 2]], n: usize) -> Body {
    let mut body = Body::default();
    let rings: Vec<Vec<u32>> = profile
        .iter()
        .map(|&[apothem, z]| {
            if apothem == 0.0 {
                return vec![body.push([0.0, 0.0, z]); n];
            }
            ngon(n, apothem).iter().map(|p| body.push([p[0], p[1], z])).collect()
        })
        .collect();
    for pair in rings.windows(2) {
        for j in 0..n {
            let k = (j + 1) % n;
            let quad = [pair[0][j], pair[0][k], pair[1][k], pair[1][j]];
            if quad[0] != quad[1] {
                body.faces.push([quad[0], quad[1], quad[2]]);
            }
            if quad[2] != quad[3] {
                body.faces.push([quad[0], quad[2], quad[3]]);
            }
        }
    }
    body
}

/// Half a regular polygon drawn about a circle, from pole to pole: its sides' normals stand
/// 180°/`steps` apart and both poles are flat. An even number makes the equator upright.
pub fn round_profile(radius: f64, steps: usize) -> Vec<[f64; 2]> {
    let step = PI / steps as f64;
    let corner = radius / (step / 2.0).cos();
    let mut profile = vec![[0.0, -radius]];
    for i in 0..steps {
        let angle = -PI / 2.0 + step * (i as f64 + 0.5);
        profile.push([corner * angle.cos(), corner * angle.sin()]);
    }
    profile.push([0.0, radius]);
    profile
}

/// A ball as an icosahedron subdivided `times` over, corners on the sphere (G26).
pub fn icosphere(radius: f64, times: usize) -> Body {
    let g = (1.0 + 5f64.sqrt()) / 2.0;
    let mut points = Vec::new();
    for (a, b) in [(-1.0, -g), (1.0, -g), (-1.0, g), (1.0, g)] {
        points.extend([[0.0, a, b], [a, b, 0.0], [b, 0.0, a]]);
    }
    let mut body = Body { faces: hull_faces(&points), points };
    body = body.map(|p| scale(unit(p), radius));
    for _ in 0..times {
        body = body.subdivided(1).map(|p| scale(unit(p), radius));
    }
    body
}

/// The convex hull of points in general position, by trying every triple: for small counts.
pub fn hull(points: &[Point]) -> Body {
    Body { points: points.to_vec(), faces: hull_faces(points) }.joined()
}

fn hull_faces(points: &[Point]) -> Vec<[u32; 3]> {
    let n = points.len();
    let mut faces = Vec::new();
    for i in 0..n {
        for j in i + 1..n {
            for k in j + 1..n {
                let normal = cross(sub(points[j], points[i]), sub(points[k], points[i]));
                let side = |p: &Point| dot(normal, sub(*p, points[i]));
                let others = || (0..n).filter(|l| ![i, j, k].contains(l)).map(|l| side(&points[l]));
                if others().all(|s| s < 0.0) {
                    faces.push([i as u32, j as u32, k as u32]);
                } else if others().all(|s| s > 0.0) {
                    faces.push([i as u32, k as u32, j as u32]);
                }
            }
        }
    }
    faces
}

/// A torus about z, corners on the surface: `around` steps about the axis, `about` about the tube.
pub fn torus(ring: f64, tube: f64, around: usize, about: usize) -> Body {
    let section: Vec<[f64; 2]> = (0..about)
        .map(|i| TAU * i as f64 / about as f64)
        .map(|a| [ring + tube * a.cos(), tube * a.sin()])
        .collect();
    swept(&section, around)
}

/// The lower half of a torus: a ring with a round bottom and a flat back at z = 0. `about` counts
/// the steps of the half tube.
pub fn half_ring(ring: f64, tube: f64, around: usize, about: usize) -> Body {
    let section: Vec<[f64; 2]> = (0..=about)
        .map(|i| PI + PI * i as f64 / about as f64)
        .map(|a| [ring + tube * a.cos(), if a == PI { 0.0 } else { tube * a.sin() }])
        .enumerate()
        .map(|(i, p)| if i == about { [p[0], 0.0] } else { p })
        .collect();
    swept(&section, around)
}

/// A closed section (counter-clockwise in the half-plane of distance and z) led round the z axis.
fn swept(section: &[[f64; 2]], around: usize) -> Body {
    let n = section.len() as u32;
    let mut body = Body::default();
    for j in 0..around {
        let (s, c) = (TAU * j as f64 / around as f64).sin_cos();
        body.points.extend(section.iter().map(|p| [p[0] * c, p[0] * s, p[1]]));
    }
    for j in 0..around as u32 {
        let k = (j + 1) % around as u32;
        for i in 0..n {
            let l = (i + 1) % n;
            let (a, b, c, d) = (j * n + i, k * n + i, k * n + l, j * n + l);
            body.faces.extend([[a, b, c], [a, c, d]]);
        }
    }
    body
}
