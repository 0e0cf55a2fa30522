//! `--below-lip`: closed solids cut at a level, against closed forms of what is below it.

mod support;

use std::f64::consts::PI;

use cavigram::cavity::{Cavity, CavityRequest};
use support::pipeline::{LEVEL, cavity, holds, layers, miss, request, sound};
use support::solids::{Body, cuboid, ngon, prism, revolved, round_profile, roundness};
use support::truth::{Span, frustum_inner, profile_area, profile_volume};

/// What the value may be off the truth on these solids, as a share of the cavity.
const VALUE_SHARE: f64 = 0.001;

fn relative(value: f64, truth: f64) -> f64 {
    (value - truth).abs() / truth.abs().max(1.0)
}

/// A solid cut at a level, with the numbers of what is below it.
struct Cut {
    name: &'static str,
    below_lip: f64,
    wall_area: f64,
    opening_area: f64,
    volume: Span,
    unskinned: Span,
    cap: Span,
}

/// Checks the cavity and the layers of a closed body cut by `--below-lip`.
fn check_cut(body: &Body, cut: &Cut, t: f64, cap: f64) {
    let asked = CavityRequest { below_lip_mm: cut.below_lip, ..LEVEL };
    let cavity = cavity(body, &asked);
    let measures = *cavity.measures();
    let [low, high] = body.extent()[2];
    assert!((measures.lip_mm - (high - low)).abs() < 1e-9, "{}: {measures:?}", cut.name);
    assert!((measures.fill_mm - (high - low - cut.below_lip)).abs() < 1e-9, "{}", cut.name);
    for (what, value, truth) in [
        ("wall", measures.wall_area_mm2, cut.wall_area),
        ("opening", measures.opening_area_mm2, cut.opening_area),
    ] {
        assert!(relative(value, truth) < 1e-9, "{}: {what} {value}, truth {truth}", cut.name);
    }
    let off = miss(measures.volume_mm3.best(), cut.volume) / cut.volume.high;
    assert!(off < 1e-9, "{}: volume {:?}, truth {:?}", cut.name, measures.volume_mm3, cut.volume);
    let found = layers(&cavity, &request(t, cap, 0.005));
    for (what, limits, truth) in [
        ("skin", found.skin_mm3, cut.unskinned.left_of(cut.volume)),
        ("core", found.core_mm3, cut.cap.left_of(cut.unskinned)),
        ("cap", found.cap_mm3, cut.cap),
    ] {
        assert!(holds(&limits, truth), "{}: {what} {limits:?} misses {truth:?}", cut.name);
        let off = miss(limits.best(), truth) / cut.volume.high;
        assert!(off <= VALUE_SHARE, "{}: {what} {limits:?} is {off} off {truth:?}", cut.name);
    }
}

/// G2, G22: a ball cut under its middle is a dish, and so is what is further than t from its wall:
/// the ball of radius R − t below the same level.
#[test]
fn a_ball_cut_under_its_middle() {
    let (r, n, steps, level, t, cap) = (80.0, 90, 60, -50.0, 3.0, 5.0);
    let profile = round_profile(r, steps);
    let k = roundness(n);
    let inner: Vec<[f64; 2]> =
        profile.iter().map(|p| [p[0] * (r - t) / r, p[1] * (r - t) / r]).collect();
    let up_to = |p: &[[f64; 2]], z| k * profile_volume(p, f64::NEG_INFINITY, z);
    let at_level = profile.windows(2).find(|w| w[0][1] <= level && w[1][1] > level).unwrap();
    let [p, q] = [at_level[0], at_level[1]];
    let mouth = p[0] + (q[0] - p[0]) * (level - p[1]) / (q[1] - p[1]);
    let cut = Cut {
        name: "G22 ball cut under its middle",
        below_lip: r - level,
        wall_area: k * profile_area(&profile, f64::NEG_INFINITY, level),
        opening_area: k * PI * mouth * mouth,
        volume: Span::exact(up_to(&profile, level)),
        unskinned: Span::exact(up_to(&inner, level)),
        cap: Span::exact(k * profile_volume(&inner, level - cap, level)),
    };
    // The smooth body of G22: πh²(3R−h)/3, here h = 30; the sides stand about it by under 0.3 %.
    let smooth = PI * 900.0 * (3.0 * r - 30.0) / 3.0;
    assert!((1.0..1.003).contains(&(cut.volume.low / k / smooth)));
    check_cut(&revolved(&profile, n), &cut, t, cap);
}

/// Skin of the ball of radius R below a level above its middle [derived]: a share of the whole
/// shell (the part under the cone from the centre to the rim), and at the rim, where the nearest
/// wall is the rim itself, a sector of radius t and of the rim's slope, led round the axis.
fn narrow_mouth_skin(r: f64, level: f64, t: f64) -> f64 {
    let shell = 2.0 * PI / 3.0 * (r.powi(3) - (r - t).powi(3)) * (1.0 + level / r);
    let rim = (r * r - level * level).sqrt();
    shell + PI * rim * (level / r).asin() * t * t - 2.0 * PI / 3.0 * t.powi(3) * level / r
}

/// G3: a ball cut above its middle has a mouth narrower than the body. Held between the balls
/// that the sides touch and that the corners lie on.
#[test]
fn a_ball_cut_above_its_middle() {
    let (r, n, steps, level, t, cap) = (50.0, 240, 120, 30.0, 3.0, 4.0);
    let profile = round_profile(r, steps);
    let k = roundness(n);
    let corners = r / (PI / 2.0 / steps as f64).cos() / (PI / n as f64).cos();
    let below = |r: f64, z: f64| PI * (r + z).powi(2) * (2.0 * r - z) / 3.0;
    let at_level = profile.windows(2).find(|w| w[0][1] <= level && w[1][1] > level).unwrap();
    let [p, q] = [at_level[0], at_level[1]];
    let mouth = p[0] + (q[0] - p[0]) * (level - p[1]) / (q[1] - p[1]);
    let unskinned = |r: f64| below(r, level) - narrow_mouth_skin(r, level, t);
    // In the cap's slab: to the inner ball, or to the circle of radius t about the rim.
    let slab = |r: f64| {
        let rim = (r * r - level * level).sqrt();
        let edge = |z: f64| {
            let sphere = ((r - t).powi(2) - z * z).max(0.0).sqrt();
            let below_cone = z < level * (r - t) / r;
            if below_cone { sphere } else { rim - (t * t - (level - z).powi(2)).max(0.0).sqrt() }
        };
        let steps = 200_000;
        let dz = cap / f64::from(steps);
        (0..steps).map(|i| PI * edge(level - cap + (f64::from(i) + 0.5) * dz).powi(2) * dz).sum()
    };
    let cut = Cut {
        name: "G3 ball cut above its middle",
        below_lip: r - level,
        wall_area: k * profile_area(&profile, f64::NEG_INFINITY, level),
        opening_area: k * PI * mouth * mouth,
        volume: Span::exact(k * profile_volume(&profile, f64::NEG_INFINITY, level)),
        unskinned: Span::new(unskinned(r), unskinned(corners)),
        cap: Span::new(slab(r), slab(corners)),
    };
    check_cut(&revolved(&profile, n), &cut, t, cap);
}

/// Area and length of what a convex outline has at or under a level, the level's chord not
/// counted in the length.
fn under(outline: &[[f64; 2]], level: f64) -> (f64, f64) {
    let (mut kept, mut length) = (Vec::new(), 0.0);
    for (i, &p) in outline.iter().enumerate() {
        let q = outline[(i + 1) % outline.len()];
        let at = |f: f64| [p[0] + (q[0] - p[0]) * f, level];
        let crossing = (level - p[1]) / (q[1] - p[1]);
        let part = [p, q].map(|c: [f64; 2]| c[1] <= level);
        let ends = match part {
            [true, true] => [p, q],
            [true, false] => [p, at(crossing)],
            [false, true] => [at(crossing), q],
            [false, false] => continue,
        };
        kept.extend(ends);
        length += (ends[1][0] - ends[0][0]).hypot(ends[1][1] - ends[0][1]);
    }
    let next = |i: usize| kept[(i + 1) % kept.len()];
    let doubled: f64 =
        kept.iter().enumerate().map(|(i, p)| p[0] * next(i)[1] - p[1] * next(i)[0]).sum();
    (doubled / 2.0, length)
}

/// A regular prism lying along x, with its outline in y and z about the axis.
fn lying(n: usize, radius: f64, length: f64) -> Body {
    prism(&ngon(n, radius), length).map(|p| [p[2], p[0], p[1]])
}

/// G24: a lying cylinder, here with n sides, filled to a level under its axis: the sides' inset
/// is the same outline of radius R − t.
#[test]
fn a_lying_cylinder_filled_under_its_axis() {
    let (n, r, length, t, cap) = (64, 30.0, 100.0, 3.0, 4.0);
    let (outline, inset) = (ngon(n, r), ngon(n, r - t));
    let top = outline.iter().map(|p| p[1]).fold(f64::MIN, f64::max);
    let level = 20.0 - top;
    let (section, side) = under(&outline, level);
    let behind = |z: f64| under(&inset, z).0 * (length - 2.0 * t);
    let chord = outline.iter().zip(outline.iter().skip(1)).find_map(|(p, q)| {
        let f = (level - p[1]) / (q[1] - p[1]);
        (0.0..1.0).contains(&f).then(|| 2.0 * (p[0] + (q[0] - p[0]) * f).abs())
    });
    let cut = Cut {
        name: "G24 lying cylinder",
        below_lip: top - level,
        wall_area: side * length + 2.0 * section,
        opening_area: chord.unwrap() * length,
        volume: Span::exact(section * length),
        unskinned: Span::exact(behind(level)),
        cap: Span::exact(behind(level) - behind(level - cap)),
    };
    // The smooth one of G24: 82.50208 cm³; the inscribed angle's excess is 0.5 % at 64 sides.
    let smooth = length * (r * r * (10.0f64 / r).acos() - 10.0 * (800.0f64).sqrt());
    assert!((cut.volume.low / smooth - 1.0).abs() < 0.01, "{:?}, {smooth}", cut.volume);
    check_cut(&lying(n, r, length), &cut, t, cap);
}

/// G24 filled above its axis, so that the walls lean in over the liquid. Along the outline the skin
/// is t wide; each of its corners counts t²·tan(π/n) twice; at either rim a sector is added, of
/// the angle between the last side's normal and the level [derived].
#[test]
fn a_lying_cylinder_filled_above_its_axis() {
    let (n, r, length, t): (usize, f64, f64, f64) = (32, 30.0, 100.0, 2.0);
    let outline = ngon(n, r);
    let top = outline.iter().map(|p| p[1]).fold(f64::MIN, f64::max);
    let step = 2.0 * PI / n as f64;
    // In the middle of the side whose normal stands three steps over the level.
    let lean = 3.0 * step;
    let level = r * lean.sin();
    let (section, side) = under(&outline, level);
    let corners = n as f64 / 2.0 + 6.0;
    let skin = side * t - corners * t * t * (step / 2.0).tan() + lean * t * t;
    let chord = 2.0 * r * lean.cos();
    let unskinned = (section - skin) * (length - 2.0 * t);
    let cut = Cut {
        name: "G24 lying cylinder, walls leaning in",
        below_lip: top - level,
        wall_area: side * length + 2.0 * section,
        opening_area: chord * length,
        volume: Span::exact(section * length),
        unskinned: Span::exact(unskinned),
        cap: Span::exact(0.0),
    };
    check_cut(&lying(n, r, length), &cut, t, 0.0);
}

/// G23: a conical cup, bottom 3, top 5, height 6 cm, filled to 4 cm.
#[test]
fn a_conical_cup_filled_part_way() {
    let (low, high, h, level, n, t, cap) = (30.0, 50.0, 60.0, 40.0, 72, 3.0, 6.0);
    let k = roundness(n);
    let profile = [[0.0, 0.0], [low, 0.0], [high, h], [0.0, h]];
    let inner = frustum_inner(low, high, h, level, t);
    let volume = k * profile_volume(&profile, 0.0, level);
    assert!(relative(volume / k / 1000.0, 170.809_56) < 1e-7, "{volume}");
    let mouth = low + (high - low) * level / h;
    let cut = Cut {
        name: "G23 conical cup",
        below_lip: h - level,
        wall_area: k * profile_area(&profile, -1.0, level),
        opening_area: k * PI * mouth * mouth,
        volume: Span::exact(volume),
        unskinned: Span::exact(k * profile_volume(&inner, 0.0, level)),
        cap: Span::exact(k * profile_volume(&inner, level - cap, level)),
    };
    check_cut(&revolved(&profile, n), &cut, t, cap);
}

#[test]
fn a_box_filled_part_way_and_cut_into_two_pieces() {
    let cut = Cut {
        name: "G7 box",
        below_lip: 20.0,
        wall_area: 400.0 * 30.0 + 9600.0,
        opening_area: 9600.0,
        volume: Span::exact(9600.0 * 30.0),
        unskinned: Span::exact(116.0 * 76.0 * 28.0),
        cap: Span::exact(116.0 * 76.0 * 5.0),
    };
    check_cut(&cuboid(120.0, 80.0, 50.0), &cut, 2.0, 5.0);
    // A bridge on two feet, cut at the feet: everything below the level counts.
    let feet = [
        [0.0, 0.0],
        [20.0, 0.0],
        [20.0, 30.0],
        [60.0, 30.0],
        [60.0, 0.0],
        [80.0, 0.0],
        [80.0, 50.0],
        [0.0, 50.0],
    ];
    let bridge = prism(&feet, 40.0).turned([1.0, 0.0, 0.0], PI / 2.0).map(|p| {
        // A quarter turn leaves rounding in what were whole numbers.
        p.map(|x| x.round())
    });
    let cut = Cut {
        name: "bridge cut at its feet",
        below_lip: 25.0,
        wall_area: 2.0 * (120.0 * 25.0 + 800.0),
        opening_area: 1600.0,
        volume: Span::exact(2.0 * 800.0 * 25.0),
        unskinned: Span::exact(2.0 * 16.0 * 36.0 * 23.0),
        cap: Span::exact(2.0 * 16.0 * 36.0 * 5.0),
    };
    check_cut(&bridge, &cut, 2.0, 5.0);
}

#[test]
fn a_level_at_or_under_the_bottom_is_refused() {
    let body = cuboid(40.0, 30.0, 20.0);
    let sound = sound(&body);
    for below_lip_mm in [20.0, 20.5, 1e6] {
        let asked = CavityRequest { below_lip_mm, ..LEVEL };
        assert!(Cavity::of_casting(&sound, &asked).is_err(), "{below_lip_mm}");
    }
}
