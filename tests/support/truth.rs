//! The solids of the handbook with their sizes in closed form; mm, mm², mm³.
//!
//! A facetted solid has exact sizes of its own. A round one that is only approached by flat
//! triangles is held between two round bodies, one inside it and one around it, and so are its
//! layers: what lies further than t from the wall of the smaller body lies further than t from
//! the wall of the larger one.

use std::f64::consts::PI;

use super::solids::{
    Body, cuboid, half_ring, icosphere, l_outline, prism, revolved, ring_prism, round_profile,
    roundness, torus,
};
use super::vector::{Point, cross, dot, norm, sub};

/// A size known to lie between two numbers, which are equal where it is known exactly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    pub low: f64,
    pub high: f64,
}

impl Span {
    pub fn exact(value: f64) -> Self {
        Self { low: value, high: value }
    }

    pub fn new(a: f64, b: f64) -> Self {
        Self { low: a.min(b), high: a.max(b) }
    }

    /// What is left of `whole` without this.
    pub fn left_of(self, whole: Self) -> Self {
        Self { low: whole.low - self.high, high: whole.high - self.low }
    }
}

type OfThickness = Box<dyn Fn(f64) -> Span>;
type OfCap = Box<dyn Fn(f64, f64) -> Span>;

/// A cavity whose every number is known.
pub struct Handbook {
    pub name: &'static str,
    pub body: Body,
    /// The flat top is the opening; else the whole surface is wall.
    pub open: bool,
    pub volume: Span,
    pub wall_area: Span,
    pub opening_area: Span,
    /// Volume further than t from the wall: core and cap together.
    pub unskinned: OfThickness,
    /// Volume of the cap of depth c behind a skin of thickness t.
    pub cap: OfCap,
    /// The formulas hold for skins up to this, mm.
    pub thickest_mm: f64,
}

/// A profile as pairs of (distance from the axis, z), from bottom to top.
pub type Profile = Vec<[f64; 2]>;

/// Volume of the round body of a profile between two levels: a sum of cone frusta (G5), mm³.
pub fn profile_volume(profile: &[[f64; 2]], from: f64, to: f64) -> f64 {
    let slices = clipped(profile, from, to).into_iter();
    slices.map(|[p, q]| PI * (q[1] - p[1]) * (p[0] * p[0] + p[0] * q[0] + q[0] * q[0]) / 3.0).sum()
}

/// Lateral area of the round body of a profile between two levels: cone frusta (G5), mm².
pub fn profile_area(profile: &[[f64; 2]], from: f64, to: f64) -> f64 {
    let slant = |p: [f64; 2], q: [f64; 2]| (q[0] - p[0]).hypot(q[1] - p[1]);
    let slices = clipped(profile, from, to).into_iter();
    slices.map(|[p, q]| PI * (p[0] + q[0]) * slant(p, q)).sum()
}

fn clipped(profile: &[[f64; 2]], from: f64, to: f64) -> Vec<[[f64; 2]; 2]> {
    let mut out = Vec::new();
    for pair in profile.windows(2) {
        let [p, q] = [pair[0], pair[1]];
        if p[1] == q[1] {
            if (from..to).contains(&p[1]) {
                out.push([p, q]);
            }
            continue;
        }
        let at = |z: f64| [p[0] + (q[0] - p[0]) * (z - p[1]) / (q[1] - p[1]), z];
        let (low, high) = (p[1].max(from), q[1].min(to));
        if low < high {
            out.push([at(low), at(high)]);
        }
    }
    out
}

fn scaled(profile: &[[f64; 2]], s: f64) -> Profile {
    profile.iter().map(|p| [p[0] * s, p[1] * s]).collect()
}

/// The lower half of a profile that has a corner at or crosses z = 0, closed by a flat top.
fn lower_half(profile: &[[f64; 2]]) -> Profile {
    let slices = clipped(profile, f64::NEG_INFINITY, 0.0);
    let mut half: Profile = slices.iter().map(|s| s[0]).collect();
    half.extend([slices[slices.len() - 1][1], [0.0, 0.0]]);
    half.dedup();
    half
}

/// A profile whose straight parts are cut to at most `longest` mm; the body stays the same.
pub fn divided(profile: &[[f64; 2]], longest: f64) -> Profile {
    let mut out = vec![profile[0]];
    for pair in profile.windows(2) {
        let [p, q] = [pair[0], pair[1]];
        let parts = ((q[0] - p[0]).hypot(q[1] - p[1]) / longest).ceil().max(1.0);
        for i in 1..parts as usize {
            let f = i as f64 / parts;
            out.push([p[0] + (q[0] - p[0]) * f, p[1] + (q[1] - p[1]) * f]);
        }
        out.push(q);
    }
    out
}

/// A solid of revolution with n sides, whose `inner(t)` is the profile of what is further than t
/// from its wall.
fn of_profile(
    name: &'static str,
    profile: &[[f64; 2]],
    n: usize,
    open: bool,
    thickest_mm: f64,
    inner: impl Fn(f64) -> Profile + Clone + 'static,
) -> Handbook {
    let k = roundness(n);
    let top = profile[profile.len() - 1][1];
    let whole = k * profile_volume(profile, f64::NEG_INFINITY, f64::INFINITY);
    let area = k * profile_area(profile, f64::NEG_INFINITY, f64::INFINITY);
    let rim = profile.iter().filter(|p| p[1] == top).map(|p| p[0]).fold(0.0, f64::max);
    let lid = if open { k * PI * rim * rim } else { 0.0 };
    let profile_of = inner.clone();
    Handbook {
        name,
        body: revolved(profile, n),
        open,
        volume: Span::exact(whole),
        wall_area: Span::exact(area - lid),
        opening_area: Span::exact(lid),
        unskinned: Box::new(move |t| {
            Span::exact(k * profile_volume(&profile_of(t), f64::NEG_INFINITY, f64::INFINITY))
        }),
        cap: Box::new(move |t, c| {
            let depth = if open { c } else { 0.0 };
            Span::exact(k * profile_volume(&inner(t), top - depth, top))
        }),
        thickest_mm,
    }
}

/// Upright prism with an open flat top: `inset_area(t)` is the area of its outline's inside
/// further than t from the outline.
fn of_prism(
    name: &'static str,
    body: Body,
    height: f64,
    perimeter: f64,
    open: bool,
    thickest_mm: f64,
    inset_area: impl Fn(f64) -> f64 + Clone + 'static,
) -> Handbook {
    let base = inset_area(0.0);
    let lid = if open { base } else { 0.0 };
    let inset = inset_area.clone();
    Handbook {
        name,
        body,
        open,
        volume: Span::exact(base * height),
        wall_area: Span::exact(perimeter * height + 2.0 * base - lid),
        opening_area: Span::exact(lid),
        unskinned: Box::new(move |t| {
            let floors = if open { t } else { 2.0 * t };
            Span::exact(inset(t) * (height - floors))
        }),
        cap: Box::new(move |t, c| {
            let depth = if open { c.min(height - t) } else { 0.0 };
            Span::exact(inset_area(t) * depth)
        }),
        thickest_mm,
    }
}

/// G7, G15: a box of 12 × 8 × 5 cm, its flat top open or wall.
pub fn handbook_box(open: bool, subdivisions: usize) -> Handbook {
    let name = if open { "G7 box, top open" } else { "G15 box, all round" };
    let body = cuboid(120.0, 80.0, 50.0).subdivided(subdivisions);
    of_prism(name, body, 50.0, 400.0, open, 20.0, |t| (120.0 - 2.0 * t) * (80.0 - 2.0 * t))
}

/// An L of 60 × 50 mm that lacks its corner beyond (25, 20), 30 mm high. Along the outline the
/// skin is t wide; at each of five right corners t² is counted twice; round the re-entrant edge it
/// gains a quarter of a cylinder, πt²/4. Holds while both arms are wider than 2t [derived].
pub fn handbook_l(open: bool, subdivisions: usize) -> Handbook {
    let body = prism(&l_outline(60.0, 50.0, 25.0, 20.0), 30.0).subdivided(subdivisions);
    let area = |t: f64| 60.0 * 50.0 - 35.0 * 30.0 - 220.0 * t + (5.0 - PI / 4.0) * t * t;
    of_prism("L-shape", body, 30.0, 220.0, open, 9.0, area)
}

/// A flat ring between two n-gons: the outer one's inset is its own shape (G27); round the hole the
/// corners, together a full turn, add a whole circle's πt² to the strips [derived].
pub fn handbook_ring_prism(n: usize, open: bool) -> Handbook {
    let (outer, inner, height) = (70.0, 45.0, 20.0);
    let k = roundness(n);
    let area = move |t: f64| {
        let hole = k * PI * inner * inner + k * 2.0 * PI * inner * t + PI * t * t;
        k * PI * (outer - t) * (outer - t) - hole
    };
    let body = ring_prism(n, outer, inner, height);
    let around = k * 2.0 * PI * (outer + inner);
    of_prism("flat ring with n sides", body, height, around, open, 9.0, area)
}

/// G4, G16: a cylinder of radius 3 cm and 10 cm high.
pub fn handbook_cylinder(n: usize, open: bool) -> Handbook {
    let (r, h) = (30.0, 100.0);
    let profile = divided(&[[0.0, 0.0], [r, 0.0], [r, h], [0.0, h]], 8.0);
    of_profile("G4 cylinder", &profile, n, open, 25.0, move |t| {
        let top = if open { h } else { h - t };
        vec![[0.0, t], [r - t, t], [r - t, top], [0.0, top]]
    })
}

/// G5, G18: a cone frustum of radii 3 cm (bottom) and 5 cm (top), 6 cm high.
pub fn handbook_frustum(n: usize, open: bool) -> Handbook {
    let (low, high, h) = (30.0, 50.0, 60.0);
    let profile = [[0.0, 0.0], [low, 0.0], [high, h], [0.0, h]];
    of_profile("G5 cone frustum", &profile, n, open, 20.0, move |t| {
        frustum_inner(low, high, h, if open { h } else { h - t }, t)
    })
}

/// Profile of what is further than t from the side and floor of a frustum, up to `top`: the side
/// moves inward by t·s/H (G18).
pub fn frustum_inner(low: f64, high: f64, h: f64, top: f64, t: f64) -> Profile {
    let slant = h.hypot(high - low);
    let at = |z: f64| low + (high - low) * z / h - t * slant / h;
    vec![[0.0, t], [at(t), t], [at(top), top], [0.0, top]]
}

/// G1, G14: a ball of radius 5 cm. Every side touches the sphere, so what is further than t from
/// the surface is the same shape at the scale (R − t)/R.
pub fn handbook_ball(n: usize, steps: usize) -> Handbook {
    let r = 50.0;
    let profile = round_profile(r, steps);
    let outer = profile.clone();
    of_profile("G1 ball", &profile, n, false, 49.0, move |t| scaled(&outer, (r - t) / r))
}

/// G19–G21: a hemisphere bowl of radius 8 cm, flat on top. Its sides touch the sphere and come in
/// pairs mirrored at the flat, so below the flat the nearest side is never one that was cut away.
pub fn handbook_bowl(n: usize, steps: usize, open: bool) -> Handbook {
    let r = 80.0;
    let whole = round_profile(r, steps);
    let name = if open { "G19 hemisphere bowl, flat open" } else { "G20 hemisphere, all round" };
    of_profile(name, &lower_half(&whole), n, open, 39.0, move |t| {
        let smaller = scaled(&whole, (r - t) / r);
        let slices = clipped(&smaller, f64::NEG_INFINITY, if open { 0.0 } else { -t });
        slices.into_iter().flatten().collect()
    })
}

/// G1 and G4: a standing capsule, a cylinder between two half balls of 20 mm radius, 40 mm apart;
/// organ-like, closed.
pub fn handbook_capsule(n: usize, steps: usize) -> Handbook {
    let (r, length) = (20.0, 40.0);
    let drawn = move |radius: f64| -> Profile {
        let apart = |p: &[f64; 2]| [p[0], p[1] + if p[1] > 0.0 { length } else { 0.0 }];
        round_profile(radius, steps).iter().map(apart).collect()
    };
    of_profile("capsule", &drawn(r), n, false, 19.0, move |t| drawn(r - t))
}

/// Two cylinders one on the other, the wide one on top: radii 20 and 40 mm, heights 30 and 25 mm.
///
/// Behind the re-entrant edge at the step the skin is a quarter circle led round at the edge's
/// radius: by Pappus 2π(aπt²/4 − t³/3), a the narrow radius [derived].
pub fn handbook_stepped(n: usize, open: bool) -> Handbook {
    let (narrow, wide, low, high) = (20.0, 40.0, 30.0, 25.0);
    let (top, k) = (low + high, roundness(n));
    let profile = [[0.0, 0.0], [narrow, 0.0], [narrow, low], [wide, low], [wide, top], [0.0, top]];
    let disc = move |r: f64| PI * r * r;
    let mut book = of_profile("stepped cylinder", &profile, n, open, 9.0, |_| Vec::new());
    book.unskinned = Box::new(move |t| {
        let above = disc(wide - t) * (high - if open { 0.0 } else { t });
        let shoulder = t * (disc(wide - t) - disc(narrow));
        let edge = 2.0 * PI * (narrow * PI * t * t / 4.0 - t.powi(3) / 3.0);
        Span::exact(k * (disc(narrow - t) * (low - t) + above - shoulder - edge))
    });
    book.cap = Box::new(move |t, c| {
        if !open {
            return Span::exact(0.0);
        }
        // A cap deeper than the shoulder's skin leaves of the wide part reaches down over the
        // narrow one, where the skin rounds the shoulder's edge: radius narrow − √(t² − u²) at
        // a height u over the shoulder.
        let rounded = |u: f64| {
            let root = (t * t - u * u).max(0.0).sqrt();
            let arc = 0.5 * (u * root + t * t * (u / t).min(1.0).asin());
            PI * ((narrow * narrow + t * t) * u - 2.0 * narrow * arc - u.powi(3) / 3.0)
        };
        let below = if c > high - t { rounded(t) - rounded(high - c) } else { 0.0 };
        Span::exact(k * (disc(wide - t) * c.min(high - t) + below))
    });
    book
}

/// A box within a box, the inner one a void: what is further than t from both walls is the outer
/// one's inset (G15) less the inner one and its outward shell by Steiner's formula (G10).
pub fn handbook_void() -> Handbook {
    let (outer, inner) = ([90.0, 70.0, 60.0], [30.0, 24.0, 20.0]);
    let hole = cuboid(30.0, 24.0, 20.0).moved([31.0, 22.0, 19.0]).inside_out();
    let size = |s: [f64; 3], d: f64| (s[0] + d) * (s[1] + d) * (s[2] + d);
    let skin = |s: [f64; 3]| 2.0 * (s[0] * s[1] + s[1] * s[2] + s[2] * s[0]);
    Handbook {
        name: "G10 box with a box-shaped void",
        body: cuboid(90.0, 70.0, 60.0).and(hole),
        open: false,
        volume: Span::exact(size(outer, 0.0) - size(inner, 0.0)),
        wall_area: Span::exact(skin(outer) + skin(inner)),
        opening_area: Span::exact(0.0),
        unskinned: Box::new(move |t| {
            let mean = PI * (inner[0] + inner[1] + inner[2]);
            let shell = skin(inner) * t + mean * t * t + 4.0 * PI * t.powi(3) / 3.0;
            Span::exact(size(outer, -2.0 * t) - size(inner, 0.0) - shell)
        }),
        cap: Box::new(|_, _| Span::exact(0.0)),
        thickest_mm: 9.0,
    }
}

/// Two boxes side by side with their flat tops at one level: each is split by its own wall.
pub fn handbook_pair(gap: f64) -> Handbook {
    let right = cuboid(30.0, 50.0, 25.0).moved([40.0 + gap, 0.0, 15.0]);
    Handbook {
        name: "G7 two boxes with tops at one level",
        body: cuboid(40.0, 50.0, 40.0).and(right),
        open: true,
        volume: Span::exact(40.0 * 50.0 * 40.0 + 30.0 * 50.0 * 25.0),
        wall_area: Span::exact(2000.0 + 180.0 * 40.0 + 1500.0 + 160.0 * 25.0),
        opening_area: Span::exact(2000.0 + 1500.0),
        unskinned: Box::new(|t| {
            let wide = 50.0 - 2.0 * t;
            let left = (40.0 - 2.0 * t) * wide * (40.0 - t);
            Span::exact(left + (30.0 - 2.0 * t) * wide * (25.0 - t))
        }),
        cap: Box::new(|t, c| {
            let wide = 50.0 - 2.0 * t;
            let left = (40.0 - 2.0 * t) * wide * c.min(40.0 - t);
            Span::exact(left + (30.0 - 2.0 * t) * wide * c.min(25.0 - t))
        }),
        thickest_mm: 12.0,
    }
}

/// G1, G14 again, with corners on the sphere (G26): between the ball of the nearest facet and the
/// ball of the corners.
pub fn handbook_icosphere(times: usize) -> Handbook {
    let r = 50.0;
    let body = icosphere(r, times);
    let near = body.triangles().into_iter().map(plane_distance).fold(f64::INFINITY, f64::min);
    let span = move |f: &dyn Fn(f64) -> f64| Span::new(f(near), f(r));
    Handbook {
        name: "G14 ball, corners on the sphere",
        open: false,
        volume: span(&|r| 4.0 / 3.0 * PI * r.powi(3)),
        wall_area: span(&|r| 4.0 * PI * r * r),
        opening_area: Span::exact(0.0),
        unskinned: Box::new(move |t| span(&|r| 4.0 / 3.0 * PI * (r - t).powi(3))),
        cap: Box::new(|_, _| Span::exact(0.0)),
        thickest_mm: 49.0,
        body,
    }
}

/// Distance of a triangle's plane from the origin.
fn plane_distance([a, b, c]: [Point; 3]) -> f64 {
    let normal = cross(sub(b, a), sub(c, a));
    (dot(normal, a) / norm(normal)).abs()
}

/// The round tubes, about the returned ring radius, that lie inside and around the flat-sided one
/// that [`torus`] and [`half_ring`] build with corners on the tube.
///
/// Their quads are plane, so at any azimuth the section is the inscribed polygon of `about` sides,
/// its distances from the axis multiplied by a factor between cos(π/around) and 1. The polygon lies
/// between the circles of radius tube·cos(π/about) and tube; the factor moves no point by more than
/// half its range times (ring + tube) from where the middle factor puts the circle's centre
/// [derived].
fn tubes(ring: f64, tube: f64, around: usize, about: usize) -> (f64, [f64; 2]) {
    let squeeze = (1.0 - (PI / around as f64).cos()) / 2.0;
    let shift = squeeze * (ring + tube) + squeeze * tube;
    (ring * (1.0 - squeeze), [tube * (PI / about as f64).cos() - shift, tube + shift])
}

/// G6, G17: a torus of radii 60 and 15 mm, closed.
pub fn handbook_torus(around: usize, about: usize) -> Handbook {
    let body = torus(60.0, 15.0, around, about);
    let (ring, [inner, outer]) = tubes(60.0, 15.0, around, about);
    let span = move |f: &dyn Fn(f64) -> f64| Span::new(f(inner), f(outer));
    Handbook {
        name: "G6 torus",
        open: false,
        volume: span(&|r| 2.0 * PI * PI * ring * r * r),
        wall_area: Span::exact(body.area()),
        opening_area: Span::exact(0.0),
        unskinned: Box::new(move |t| span(&|r| 2.0 * PI * PI * ring * (r - t).powi(2))),
        cap: Box::new(|_, _| Span::exact(0.0)),
        thickest_mm: 14.0,
        body,
    }
}

/// Half of G6, G17: the lower half of a torus of radii 60 and 15 mm, flat side up and open. By its
/// mirror image in the flat, the skin is half the torus's; the cap is a strip of the circle of
/// radius r − t, led round the axis (Pappus).
pub fn handbook_half_ring(around: usize, about: usize) -> Handbook {
    let body = half_ring(60.0, 15.0, around, about);
    let (ring, [inner, outer]) = tubes(60.0, 15.0, around, 2 * about);
    let span = move |f: &dyn Fn(f64) -> f64| Span::new(f(inner), f(outer));
    let step = PI / around as f64;
    let flat = 4.0 * 60.0 * 15.0 * around as f64 * step.sin() * step.cos();
    Handbook {
        name: "half ring",
        open: true,
        volume: span(&|r| PI * PI * ring * r * r),
        wall_area: Span::exact(body.area() - flat),
        opening_area: Span::exact(flat),
        unskinned: Box::new(move |t| span(&|r| PI * PI * ring * (r - t).powi(2))),
        cap: Box::new(move |t, c| span(&|r| 2.0 * PI * ring * strip(r - t, c))),
        thickest_mm: 14.0,
        body,
    }
}

/// Area between a diameter of a circle of radius q and the chord at distance c from it, mm².
fn strip(q: f64, c: f64) -> f64 {
    let c = c.min(q);
    c * (q * q - c * c).sqrt() + q * q * (c / q).asin()
}

/// Every handbook solid once, fine enough that the round ones lie between close bounds.
pub fn all() -> Vec<Handbook> {
    vec![
        handbook_box(true, 0),
        handbook_box(false, 0),
        handbook_box(true, 3),
        handbook_l(true, 0),
        handbook_l(false, 2),
        handbook_ring_prism(48, true),
        handbook_ring_prism(12, false),
        handbook_cylinder(7, true),
        handbook_cylinder(96, true),
        handbook_cylinder(96, false),
        handbook_frustum(9, true),
        handbook_frustum(120, true),
        handbook_frustum(120, false),
        handbook_ball(12, 10),
        handbook_ball(180, 90),
        handbook_bowl(16, 12, true),
        handbook_bowl(180, 90, true),
        handbook_bowl(180, 90, false),
        handbook_capsule(120, 60),
        handbook_stepped(10, true),
        handbook_stepped(120, true),
        handbook_stepped(120, false),
        handbook_void(),
        handbook_pair(20.0),
        handbook_icosphere(6),
        handbook_torus(600, 180),
        handbook_half_ring(600, 90),
    ]
}
