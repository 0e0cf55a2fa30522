//! From the mesh of a mould or casting to grams of skin, core and cap.
//!
//! Data goes one way: file bytes → [`formats::RawMesh`] → [`mesh::Mesh`] in mm →
//! [`health::Examined`] → [`cavity::Cavity`] → [`layers::Layers`] → plan → sheet → output.

pub mod bounds;
pub mod cavity;
pub mod costs;
pub mod finding;
pub mod formats;
pub mod health;
pub mod job;
pub mod layers;
pub mod materials;
pub mod mesh;
pub mod mould;
pub mod plan;
pub mod record;
pub mod render;
pub mod sheet;
pub mod timing;
pub mod units;
