//! The plain result that all outputs read. Nothing is computed behind it.

mod air;
mod correction;
mod facts;
mod inserts;
mod layers;
mod level;
mod mix;
mod mould;
mod parting;
mod systems;
mod weighed;

pub use air::findings as air_findings;
pub use correction::{BrushedSkin, Correction};
pub use facts::{Because, CavityFacts, MeshFacts, ReadAs};
pub use inserts::{InsertFacts, Inserts};
pub use layers::LayerFacts;
pub use level::{LevelMaterial, LevelRow, LevelTable};
pub use mix::{MixAsked, MixPurpose, MixSheet, Reach, Shelf, Shelved};
pub use mould::{
    MixFor, MouldBody, MouldJacket, MouldMix, MouldPart, MouldSheet, PatternFacts, WhichPart,
};
pub use parting::{GateFacts, OtherHalf, Parting, SkinHalf};
pub use systems::{SystemFact, SystemGist, SystemLine, SystemPage, SystemsList};
pub use weighed::{Change, WaterCheck};

use crate::bounds::Bounds;
use crate::finding::Finding;

// What a sheet is made of, so that outputs need to know nothing behind it.
pub use crate::cavity::{Air, AirPocket, CavityMeasures};
pub use crate::costs::{
    Charge, ComponentBuy, Currency, LineGroup, MouldCost, PackBuy, Purchase, PurchaseFor, Quote,
    QuoteColumn, QuoteGrams, QuoteLine, Reckoning, ShelfLine, ShelfState, SystemBuy,
};
pub use crate::drawing::{
    DrawingRequest, Drawings, Ink, Levels, Lie, Lines, Picture, Point, Region, SLOPES, Section,
    StickPoint, THICKNESS_ENDS, THICKNESSES, Views,
};
pub use crate::formats::Format;
pub use crate::health::{Health, Hole, Repair};
pub use crate::layers::Pocket;
pub use crate::materials::{By, Caution, Hardness, HardnessBasis, Parts, Tack};
pub use crate::mould::{BoxInside, BoxShape};
pub use crate::plan::{
    Allowance, AllowanceKind, Allowances, CoatPlan, Dose, FurtherRounds, Jacket, JacketDose, Layer,
    LayerPlan, LayerVolumes, PatchTold, Plan, Run, SeamCoat, Shop, ShopKey, ShopTold, SkinBy,
    Slopes, TwoPart, Weighed,
};
pub use crate::record::{Entry, Judged, LEAST_GOOD, Proposal, Quantity, Spread, Summary, judged};
pub use crate::timing::{Clock, Event, EventCode, Moment, Round, Task, TaskCode, Timeline};

/// What `survey` tells.
#[derive(Debug, Clone, PartialEq)]
pub struct Survey {
    /// What was read, and what it was taken for.
    pub mesh: MeshFacts,
    /// What the mesh is like, and what was mended.
    pub health: Health,
    /// What it holds; `None` where the mesh can't be trusted, and a finding says why.
    pub cavity: Option<CavityFacts>,
    /// What was noticed, in the order of the work.
    pub findings: Vec<Finding>,
}

/// What `plan` tells: the batch sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// What was read, and what it was taken for.
    pub mesh: MeshFacts,
    /// What the mesh is like, and what was mended.
    pub health: Health,
    /// What it holds.
    pub cavity: CavityFacts,
    /// What a weighed filling of the real mould says, where there was one.
    pub water: Option<WaterCheck>,
    /// What was noticed about the layers' shapes.
    pub layers: LayerFacts,
    /// What stands in the mould while it is poured, and what it takes out of core and cap.
    pub inserts: Option<Inserts>,
    /// What a two-part mould adds, where the piece is cast in one.
    pub parting: Option<Parting>,
    /// What is in the mould already, where the plan was corrected in mid-job.
    pub correction: Option<Correction>,
    /// What is filled: the same volumes can be planned for another number of castings.
    pub volumes: LayerVolumes,
    /// Grams of each component of each layer.
    pub plan: Plan,
    /// Where the workshop's values come from.
    pub shop_told: ShopTold,
    /// What happens when; `None` where no times can be told, and a finding says why.
    pub timeline: Option<Timeline>,
    /// What the cured piece is expected to weigh, flange trimmed off and inserts not counted, g.
    pub piece_g: Bounds,
    /// What was drawn of it, where drawings were asked for.
    pub drawings: Option<Drawings>,
    /// What was noticed, in the order of the work; those of plan and timeline are among them.
    pub findings: Vec<Finding>,
}
