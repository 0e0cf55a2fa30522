//! What to do to make a mould, step by step.

use super::{Make, MouldJob};
use crate::sheet::MouldBody;
use crate::units::Length;

/// The steps for this mould; `on_back` tells whether the pattern stands on its flat back.
pub fn of_work(request: &MouldJob, body: &MouldBody, on_back: bool) -> Vec<String> {
    let mut steps = vec![CLEAN.to_owned(), stand(request.parting, on_back)];
    match (&request.make, body) {
        (Make::Block { sides, .. }, MouldBody::Block { over_mm, .. }) => {
            steps.push(format!(
                "stand the box round it, {sides} clear at the nearest, and seal box and board"
            ));
            let over = match request.parting {
                Some(_) => "to the height of the half".to_owned(),
                None => format!("to {} over its highest point", Length::from_mm(*over_mm)),
            };
            steps.push(format!(
                "pour from the lowest corner in a thin stream, batch on batch, up {over}"
            ));
        }
        (Make::Blanket { coats, jacket, undercuts, flange, .. }, _) => {
            let first = if coats.len() > 1 { "the print coat" } else { "the coat" };
            let out = if flange.mm() > 0.0 { ", out onto the flange" } else { "" };
            steps.push(format!(
                "brush {first}, then coat on coat as soon as the one before bears it{out}"
            ));
            if undercuts.value() > 0.0 {
                steps.push("fill undercuts, so that the jacket comes off straight".to_owned());
            }
            if let Some((jacket, thick)) = jacket {
                steps.push(format!(
                    "on the cured rubber lay the {} jacket, {thick} thick",
                    jacket.as_str()
                ));
            }
        }
        (Make::Block { .. }, MouldBody::Blanket { .. }) => {}
    }
    if request.parting.is_some() {
        steps.push(
            "turn it over, take off the clay, put release agent on the first half, and make the \
             second likewise"
                .to_owned(),
        );
        if !on_back {
            steps.push(
                "cut or leave a gate to pour through, and a vent at the highest point".to_owned(),
            );
        }
    }
    steps.push("let it cure fully before the first casting".to_owned());
    steps
}

const CLEAN: &str = "clean the pattern, and put on a release agent where one is asked for below";

fn stand(parting: Option<Length>, on_back: bool) -> String {
    match (parting, on_back) {
        (Some(height), true) => format!(
            "stand the pattern on its flat back and build clay round it, from the board to where \
             the mould parts, {height} over the lowest point it has as it is cast, with keys \
             pressed in: the lower half is made first, and stands on top"
        ),
        (Some(height), false) => format!(
            "bed the pattern in clay up to {height} over the lowest point it has as it is cast, \
             with keys pressed in: the upper half is made first"
        ),
        (None, true) => {
            "fix the pattern with its flat back down on a level board, and seal round its edge"
                .to_owned()
        }
        (None, false) => "hold the pattern clear of all sides".to_owned(),
    }
}
