//! What to weigh for one mix.

use super::Allowance;
use crate::materials::{By, Parts};

/// One mix: what stays in the mould, what is allowed for, what to weigh.
///
/// `net_g` + allowances + `raised_g` + `rounding_g` = `mix_g`; nothing at all where there is
/// nothing to fill.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Dose {
    /// What stays in the mould, the flange included, g.
    pub net_g: f64,
    /// What is mixed beyond, line by line.
    pub allowances: Vec<Allowance>,
    /// What is mixed beyond only because less doesn't mix well: waste, g.
    pub raised_g: f64,
    /// Added by rounding to the scale's step, g.
    pub rounding_g: f64,
    /// What to weigh: the sum of the components, g.
    pub mix_g: f64,
    /// What to weigh of each, in weighing order; empty where there is nothing to fill.
    pub components: Vec<Weighed>,
    /// How far the worst component is off the ratio after rounding, %.
    pub ratio_error_percent: f64,
}

/// One component on the scale.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighed {
    /// As the tin says.
    pub name: String,
    /// Its parts in the ratio.
    pub parts: Parts,
    /// How the parts are told; grams are grams either way.
    pub by: By,
    /// A multiple of the scale's step, g.
    pub grams: f64,
}
