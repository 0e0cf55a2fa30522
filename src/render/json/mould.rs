//! `cavigram/mould/1`: the mould's own rubber and jacket.

use serde::Serialize;

use super::dose::DoseWire;
use super::shared::{Health, Mesh, Volume, Warning, cm2, warnings};
use crate::sheet::{
    BoxInside, BoxShape, MixFor, MouldBody, MouldJacket, MouldMix, MouldPart, MouldSheet,
};

/// `cavigram/mould/1`.
#[derive(Serialize)]
pub struct Mould<'a> {
    schema: &'static str,
    mesh: Mesh<'a>,
    health: Health,
    pattern: Pattern,
    body: Body,
    #[serde(skip_serializing_if = "Option::is_none")]
    parting_mm: Option<f64>,
    system: &'a str,
    system_title: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    demould_minutes: Option<f64>,
    parts: Vec<Part<'a>>,
    /// Of all parts, and the pattern where its weight is known.
    lift_g: f64,
    scale_step_g: f64,
    order: &'a [String],
    cautions: Vec<&'a str>,
    warnings: Vec<Warning<'a>>,
}

#[derive(Serialize)]
struct Pattern {
    #[serde(flatten)]
    volume: Volume,
    surface_cm2: f64,
    height_mm: f64,
    on_back: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    weight_g: Option<f64>,
}

#[derive(Serialize)]
#[serde(tag = "make", rename_all = "kebab-case")]
enum Body {
    Block {
        #[serde(rename = "box")]
        shape: &'static str,
        /// Length and width, or the diameter alone.
        inside_mm: Vec<f64>,
        height_mm: f64,
        sides_mm: f64,
        over_mm: f64,
    },
    Blanket {
        thickness_mm: f64,
        flange_mm: f64,
        undercuts_percent: f64,
        #[serde(skip_serializing_if = "Option::is_none")]
        jacket: Option<&'static str>,
        #[serde(skip_serializing_if = "Option::is_none")]
        jacket_mm: Option<f64>,
        tolerance_reached: bool,
    },
}

#[derive(Serialize)]
struct Part<'a> {
    name: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    height_mm: Option<f64>,
    /// All its rubber, flange and undercut fill included.
    #[serde(flatten)]
    volume: Volume,
    mixes: Vec<Mix<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    jacket: Option<Jacket<'a>>,
    own_g: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    lift_g: Option<f64>,
}

#[derive(Serialize)]
struct Mix<'a> {
    name: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    thickness_mm: Option<f64>,
    #[serde(flatten)]
    volume: Volume,
    flange: Volume,
    density_g_cm3: f64,
    thickened: bool,
    tinted: bool,
    #[serde(flatten)]
    dose: DoseWire<'a>,
}

#[derive(Serialize)]
struct Jacket<'a> {
    #[serde(flatten)]
    volume: Volume,
    flange: Volume,
    density_g_cm3: f64,
    net_g: f64,
    remainder_percent: f64,
    components: Vec<Component<'a>>,
}

#[derive(Serialize)]
struct Component<'a> {
    name: &'a str,
    grams: f64,
}

impl<'a> Mould<'a> {
    pub fn new(sheet: &'a MouldSheet) -> Self {
        let pattern = &sheet.pattern;
        Self {
            schema: "cavigram/mould/1",
            mesh: Mesh::new(&sheet.mesh),
            health: Health::new(&sheet.health),
            pattern: Pattern {
                volume: Volume::new(pattern.volume_mm3),
                surface_cm2: cm2(pattern.surface_mm2),
                height_mm: pattern.height_mm,
                on_back: pattern.on_back,
                weight_g: pattern.weight_g,
            },
            body: Body::new(&sheet.body),
            parting_mm: sheet.parting_mm,
            system: &sheet.system_id,
            system_title: &sheet.system_title,
            demould_minutes: sheet.demould_minutes,
            parts: sheet.parts.iter().map(Part::new).collect(),
            lift_g: sheet.all_g(),
            scale_step_g: sheet.shop.scale_step_g,
            order: &sheet.order,
            cautions: sheet.cautions.iter().map(|c| c.text.as_str()).collect(),
            warnings: warnings(&sheet.findings),
        }
    }
}

impl Body {
    fn new(body: &MouldBody) -> Self {
        match body {
            MouldBody::Block { shape, inside, height_mm, sides_mm, over_mm } => Self::Block {
                shape: match shape {
                    BoxShape::Rectangular => "rectangular",
                    BoxShape::Round => "round",
                },
                inside_mm: match inside {
                    BoxInside::Rectangular(sides) => sides.to_vec(),
                    BoxInside::Round(diameter) => vec![*diameter],
                },
                height_mm: *height_mm,
                sides_mm: *sides_mm,
                over_mm: *over_mm,
            },
            MouldBody::Blanket {
                thick_mm,
                flange_mm,
                undercut_share,
                jacket,
                tolerance_reached,
            } => Self::Blanket {
                thickness_mm: *thick_mm,
                flange_mm: *flange_mm,
                undercuts_percent: 100.0 * undercut_share,
                jacket: jacket.map(|(of, _)| of.as_str()),
                jacket_mm: jacket.map(|(_, thick)| thick),
                tolerance_reached: *tolerance_reached,
            },
        }
    }
}

impl<'a> Part<'a> {
    fn new(part: &'a MouldPart) -> Self {
        Self {
            name: part.which.as_str(),
            height_mm: Some(part.height_mm).filter(|mm| *mm > 0.0),
            volume: Volume::new(part.rubber_mm3),
            mixes: part.mixes.iter().map(Mix::new).collect(),
            jacket: part.jacket.as_ref().map(Jacket::new),
            own_g: part.own_g,
            lift_g: part.lift_g,
        }
    }
}

impl<'a> Mix<'a> {
    fn new(mix: &'a MouldMix) -> Self {
        let (name, thickness_mm) = match mix.what {
            MixFor::Block => ("block", None),
            MixFor::Coat { thickness_mm, .. } => ("coat", Some(thickness_mm)),
            MixFor::Undercuts => ("undercuts", None),
        };
        Self {
            name,
            thickness_mm,
            volume: Volume::new(mix.volume_mm3),
            flange: Volume::new(mix.flange_mm3),
            density_g_cm3: mix.single.density_g_cm3,
            thickened: mix.single.thickened,
            tinted: mix.single.tinted,
            dose: DoseWire::new(&mix.single.dose),
        }
    }
}

impl<'a> Jacket<'a> {
    fn new(jacket: &'a MouldJacket) -> Self {
        let component = |(name, grams): &(&'a str, f64)| Component { name, grams: *grams };
        Self {
            volume: Volume::new(jacket.volume_mm3),
            flange: Volume::new(jacket.flange_mm3),
            density_g_cm3: jacket.dose.fresh_g_cm3,
            net_g: jacket.dose.net_g,
            remainder_percent: 100.0 * jacket.dose.remainder,
            components: jacket.dose.components.iter().map(component).collect(),
        }
    }
}
