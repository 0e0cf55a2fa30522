//! Coordinates that are no numbers, too large, too small or all the same.

use super::{BOX_CM3, Bad, Outcome, bad, plain, plain_obj, text};
use crate::shapes::Shape;

pub fn all() -> Vec<Bad> {
    [no_numbers(), sizes(), flat()].into_iter().flatten().collect()
}

/// The box as binary STL with this as the first coordinate of its fourth triangle.
fn stl_with(value: f32) -> Vec<u8> {
    let mut bytes = plain().stl();
    let at = 84 + 3 * 50 + 12;
    bytes[at..at + 4].copy_from_slice(&value.to_le_bytes());
    bytes
}

/// The box as OBJ with this in place of the 40 of its second vertex.
fn obj_with(word: &str) -> String {
    plain_obj().replacen("v 40 0 0", &format!("v {word} 0 0"), 1)
}

fn no_numbers() -> Vec<Bad> {
    let finite = "not a finite number";
    vec![
        bad("nan.stl", "NaN in a binary STL", stl_with(f32::NAN), Outcome::Unread(finite)),
        bad(
            "infinite.stl",
            "infinity in a binary STL",
            stl_with(f32::INFINITY),
            Outcome::Unread(finite),
        ),
        bad("nan.obj", "`nan` in an OBJ", obj_with("nan"), Outcome::Unread(finite)),
        bad("infinite.obj", "`-inf` in an OBJ", obj_with("-inf"), Outcome::Unread(finite)),
        bad("overflow.obj", "1e999 in an OBJ", obj_with("1e999"), Outcome::Unread(finite)),
        bad("comma.obj", "a decimal comma in an OBJ", obj_with("40,0"), Outcome::Unread("line 2")),
        bad("word.obj", "a word for a number", obj_with("forty"), Outcome::Unread("line 2")),
        bad(
            "comma-ascii.stl",
            "decimal commas in an ASCII STL",
            "solid a\nfacet normal 0 0 1\nouter loop\nvertex 0,0 0,0 0,0\n",
            Outcome::Unread("line 4"),
        ),
        bad(
            "many-digits.obj",
            "a number of 10,000 digits",
            obj_with(&format!("40.{}", "0".repeat(10_000))),
            Outcome::exactly(BOX_CM3),
        ),
    ]
}

fn sizes() -> Vec<Bad> {
    let side = |mm: f64| Shape::cuboid([mm; 3]).obj();
    let moved = |mm: f64| plain().moved([mm, -mm, mm]);
    vec![
        bad("huge-number.obj", "a coordinate of 1e30", obj_with("1e30"), Outcome::Unread("1e30")),
        bad(
            "huge-number.stl",
            "1e30 in a binary STL",
            stl_with(1e30),
            Outcome::Unread("triangle 4"),
        ),
        bad("kilometres.obj", "a box of 1000 km", side(1e9), Outcome::Unread("no casting")),
        bad("hundred-metres.obj", "a box of 100 m", side(1e5), Outcome::NotCast("m³")),
        bad("ten-metres.obj", "a box of 10 m", side(1e4), Outcome::NotCast("odd for a casting")),
        bad("micrometre.obj", "a box of 1 µm", side(1e-3), Outcome::told(1e-12, "unit-assumed")),
        bad("denormal.obj", "a box of 1e-310 mm", side(1e-310), Outcome::Untrusted("no volume")),
        bad("tiny.obj", "a box of 1e-30 mm", side(1e-30), Outcome::told(1e-93, "size-implausible")),
        bad(
            "denormal-corner.obj",
            "a corner off by 1e-310",
            plain_obj().replacen("v 0 0 0", "v 1e-310 0 0", 1),
            Outcome::exactly(BOX_CM3),
        ),
        bad("far.obj", "a box 1 km from the origin", moved(1e6).obj(), Outcome::exactly(BOX_CM3)),
        bad(
            "farther.stl",
            "a box 1000 km from the origin, in 32 bits",
            moved(1e9).stl(),
            Outcome::Untrusted("no volume"),
        ),
    ]
}

fn flat() -> Vec<Bad> {
    let squeezed = |factors: [f64; 3]| {
        let mut shape = plain();
        for vertex in &mut shape.vertices {
            for axis in 0..3 {
                vertex[axis] *= factors[axis];
            }
        }
        text(shape.obj())
    };
    vec![
        bad(
            "one-point.obj",
            "all corners in one point",
            squeezed([0.0; 3]),
            Outcome::Untrusted("no volume"),
        ),
        bad(
            "one-line.obj",
            "all corners on a line",
            squeezed([1.0, 0.0, 0.0]),
            Outcome::Untrusted("no volume"),
        ),
        bad(
            "one-plane.obj",
            "all corners in a plane",
            squeezed([1.0, 1.0, 0.0]),
            Outcome::Untrusted("no volume"),
        ),
        bad(
            "plane-upright.obj",
            "all corners in an upright plane",
            squeezed([1.0, 0.0, 1.0]),
            Outcome::Untrusted("no volume"),
        ),
        bad(
            "foil.obj",
            "a box of 1e-9 mm height",
            squeezed([1.0, 1.0, 5e-11]),
            Outcome::told(1.2e-9, "unit-assumed"),
        ),
    ]
}
