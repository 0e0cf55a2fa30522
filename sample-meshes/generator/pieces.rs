//! The pieces: practice models that a small workshop casts for clinical training, as they lie in
//! the mould when it is poured. +z is up and a flat back is on top.

use super::implicit::{
    Bump, Random, Shape, ball, capsule, ellipsoid, rounded_box, smooth_union, with_bumps,
};
use super::surface::Region;
use super::vector::Point;

/// How a piece is written.
#[derive(Clone, Copy, PartialEq)]
pub enum Form {
    StlBinary,
    StlAscii,
    Obj,
    PlyBinary,
}

/// A piece to be made.
pub struct Piece {
    pub file: &'static str,
    pub form: Form,
    pub shape: Shape,
    pub region: Region,
    /// Turned about the y axis by this sine and cosine.
    pub lean: Option<[f64; 2]>,
    /// Millimetres per number in the file.
    pub unit_mm: f64,
}

const SEED: u64 = 20_261_125;

/// The pieces whose files lie beside the generator.
pub fn committed() -> Vec<Piece> {
    vec![
        kidney("kidney.stl", 1.2),
        fingertip(),
        palm_pad(),
        pebble(),
        two_lobes(),
        plaque(),
        injection_pad(),
        leaning_heel(),
        forearm_photo_scan(),
    ]
}

/// A piece too large to be kept beside the generator: about 200,000 triangles.
pub fn dense() -> Piece {
    kidney("kidney-dense.stl", 0.53)
}

/// A flat-backed piece in millimetres, not turned.
fn piece(file: &'static str, form: Form, shape: Shape, low: Point, high: Point, h: f64) -> Piece {
    let region = Region { low, high, spacing: h, flat_back: true };
    Piece { file, form, shape, region, lean: None, unit_mm: 1.0 }
}

/// A kidney cut flat at the back, 110 mm long, for practice with an ultrasound probe.
fn kidney(file: &'static str, spacing: f64) -> Piece {
    let mut random = Random::from_seed(SEED);
    let body = smooth_union(
        vec![
            ellipsoid([-29.0, -6.0, 30.0], [26.0, 24.0, 22.0]),
            ellipsoid([-11.0, 4.0, 29.0], [24.0, 23.0, 23.0]),
            ellipsoid([11.0, 4.0, 29.0], [24.0, 23.0, 24.0]),
            ellipsoid([29.0, -5.0, 30.0], [26.0, 25.0, 23.0]),
        ],
        5.0,
    );
    let lobules = (0..24)
        .map(|_| Bump {
            centre: random.point([-50.0, -25.0, 6.0], [50.0, 28.0, 34.0]),
            reach: random.between(12.0, 18.0),
            height: random.between(-0.7, 0.7),
        })
        .collect();
    let shape = with_bumps(body, lobules);
    piece(file, Form::StlBinary, shape, [-60.0, -36.0, 0.0], [60.0, 36.0, 36.0], spacing)
}

/// The pad of a fingertip: so slight that two skins of 2 mm leave little between them.
fn fingertip() -> Piece {
    let shape = smooth_union(
        vec![
            capsule([-7.0, 0.0, 8.5], [6.0, 0.0, 8.0], 6.6),
            ellipsoid([4.0, 0.0, 7.0], [9.0, 7.2, 6.4]),
        ],
        3.0,
    );
    piece("fingertip.stl", Form::StlBinary, shape, [-16.0, -9.0, 0.0], [16.0, 9.0, 9.0], 0.7)
}

/// The pads of a palm: ball of the thumb, edge of the hand, three pads below the fingers.
fn palm_pad() -> Piece {
    let shape = smooth_union(
        vec![
            ellipsoid([0.0, 0.0, 20.0], [42.0, 40.0, 11.0]),
            ellipsoid([-20.0, -14.0, 17.0], [18.0, 25.0, 14.0]),
            ellipsoid([22.0, -12.0, 17.5], [15.0, 26.0, 12.5]),
            ball([-22.0, 25.0, 16.0], 10.5),
            ball([0.0, 28.0, 15.5], 10.5),
            ball([21.0, 25.0, 16.0], 10.0),
        ],
        6.0,
    );
    piece("palm-pad.obj", Form::Obj, shape, [-46.0, -46.0, 0.0], [46.0, 46.0, 20.0], 1.6)
}

/// A closed display piece without a flat back.
fn pebble() -> Piece {
    let mut random = Random::from_seed(SEED + 1);
    let dents = (0..16)
        .map(|_| Bump {
            centre: random.point([-32.0, -25.0, -16.0], [32.0, 25.0, 16.0]),
            reach: random.between(16.0, 24.0),
            height: random.between(-2.5, 2.5),
        })
        .collect();
    let shape = with_bumps(ellipsoid([0.0, 0.0, 0.0], [30.0, 22.0, 15.0]), dents);
    let region = Region {
        low: [-40.0, -32.0, -26.0],
        high: [40.0, 32.0, 26.0],
        spacing: 4.1,
        flat_back: false,
    };
    let form = Form::StlAscii;
    Piece { file: "pebble.stl", form, shape, region, lean: None, unit_mm: 1.0 }
}

/// A lobe with a flat back and a smaller one below its level, joined by a neck under 4 mm thick:
/// behind a skin of 2 mm the smaller one can't be reached from the opening.
fn two_lobes() -> Piece {
    let shape = smooth_union(
        vec![
            ellipsoid([-20.0, 0.0, 22.0], [26.0, 22.0, 20.0]),
            capsule([0.0, 0.0, 14.0], [30.0, 2.0, 13.0], 1.8),
            ball([30.0, 2.0, 13.0], 12.0),
        ],
        1.0,
    );
    piece("two-lobes.stl", Form::StlBinary, shape, [-50.0, -27.0, -2.0], [46.0, 27.0, 28.0], 1.3)
}

/// A shallow relief with a back of 10 by 15 cm: a branch with leaves.
fn plaque() -> Piece {
    let mut shapes = vec![
        rounded_box([0.0, 0.0, 16.0], [75.0, 50.0, 8.0], 4.0),
        branch(-58.0, -20.0, 55.0, 18.0),
    ];
    for (n, x) in [-42.0, -22.0, 0.0, 22.0, 42.0].into_iter().enumerate() {
        let y = 0.34 * x;
        let outward = if n % 2 == 0 { 20.0 } else { -20.0 };
        shapes.push(capsule([x, y, 8.0], [x + 8.0, y + outward, 8.5], 1.6));
        shapes.push(ellipsoid([x + 10.0, y + outward, 8.0], [9.0, 6.0, 4.0]));
    }
    let shape = smooth_union(shapes, 2.0);
    piece("plaque.stl", Form::StlBinary, shape, [-78.3, -53.3, 0.0], [78.3, 53.3, 16.0], 1.9)
}

fn branch(from_x: f64, from_y: f64, to_x: f64, to_y: f64) -> Shape {
    capsule([from_x, from_y, 8.0], [to_x, to_y, 8.0], 2.4)
}

/// A pad for practising injections, modelled in inches: 4 by 2½ by ¾.
fn injection_pad() -> Piece {
    let shape = smooth_union(
        vec![
            rounded_box([0.0, 0.0, 19.05], [50.8, 31.75, 19.05], 8.0),
            capsule([-30.0, -9.0, 1.2], [30.0, -5.0, 1.2], 2.2),
            capsule([-24.0, 10.0, 1.0], [26.0, 7.0, 1.0], 1.6),
        ],
        2.0,
    );
    let mut pad = piece(
        "injection-pad-inch.stl",
        Form::StlBinary,
        shape,
        [-54.3, -35.3, -4.0],
        [54.3, 35.3, 19.05],
        2.1,
    );
    pad.unit_mm = 25.4;
    pad
}

/// The pad of a heel whose flat back leans by 3°.
fn leaning_heel() -> Piece {
    let shape = smooth_union(
        vec![
            ellipsoid([-10.0, 0.0, 24.0], [32.0, 29.0, 23.0]),
            ellipsoid([22.0, 2.0, 25.0], [26.0, 25.0, 18.0]),
        ],
        10.0,
    );
    let mut heel = piece(
        "heel-leaning.stl",
        Form::StlBinary,
        shape,
        [-47.0, -34.0, -2.0],
        [53.0, 34.0, 25.0],
        1.9,
    );
    // Sine and cosine of 3°.
    heel.lean = Some([0.052_335_956_242_943_83, 0.998_629_534_754_573_9]);
    heel
}

/// A length of forearm reckoned from photographs: its numbers are in no unit at all. It is really
/// 128 mm long at the back.
fn forearm_photo_scan() -> Piece {
    let shape = smooth_union(
        vec![
            capsule([-38.0, 0.0, 24.0], [30.0, 3.0, 22.0], 22.0),
            ellipsoid([-22.0, -6.0, 25.0], [34.0, 25.0, 23.0]),
            ellipsoid([18.0, 7.0, 24.0], [30.0, 18.0, 20.0]),
        ],
        8.0,
    );
    let (low, high) = ([-66.0, -38.0, -4.0], [60.0, 34.0, 26.0]);
    let mut scan = piece("forearm-photo-scan.obj", Form::Obj, shape, low, high, 2.4);
    scan.unit_mm = 41.7;
    scan
}
