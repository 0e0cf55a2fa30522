//! One mix without a mesh.

use std::collections::BTreeMap;

use crate::bounds::Bounds;
use crate::finding::Finding;
use crate::plan::{
    self, Allowances, CoatVolume, LayerVolumes, Plan, PlanError, PlanRequest, Recipe, Run,
    ShopTold, TwoPart, WallFacts, Weighed,
};
use crate::sheet::{MixAsked, MixPurpose, MixSheet, Reach, Shelf, Shelved};
use crate::units::{Area, Length, Volume, Weight, nearest_word};

/// What `mix` is asked to do.
#[derive(Debug, Clone, PartialEq)]
pub struct MixRequest {
    /// What it is for.
    pub purpose: MixPurpose,
    /// How much of it.
    pub amount: MixAmount,
    /// Nothing is allowed for.
    pub exact: bool,
    /// What is mixed, by whom; of its three recipes that of the purpose counts.
    pub materials: PlanRequest,
    /// What is on the shelf, by component; empty where that isn't asked.
    pub shelf: Vec<(String, Weight)>,
    /// Where the workshop's values come from.
    pub shop_told: ShopTold,
}

/// How much is to stay in place, of one casting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MixAmount {
    /// So much room.
    Volume(Volume),
    /// So much area, so thick.
    Layer(Area, Length),
    /// So many grams.
    Grams(Weight),
    /// So many grams on so much area.
    GramsOn(Weight, Area),
}

/// Why there is no mix to weigh.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MixFault {
    /// It can't be planned.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// The shelf has something else.
    #[error("--shelf names {named}, which this mix doesn't take; it takes {}", .takes.join(", "))]
    NotTaken {
        /// As it was named.
        named: String,
        /// What it takes.
        takes: Vec<String>,
    },
    /// The shelf doesn't tell of a component.
    #[error("--shelf tells nothing of {0}, which this mix takes")]
    NotTold(String),
    /// A component that is told twice.
    #[error("--shelf tells of {0} twice")]
    ToldTwice(String),
}

impl MixFault {
    /// What to do about it, where that can be told.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Plan(error) => error.hint(),
            Self::NotTaken { named, takes } => {
                nearest_word(named, takes.iter().map(String::as_str))
                    .map(|near| format!("did you mean {near}?"))
            }
            Self::NotTold(name) => Some(format!("add it: --shelf \"{name}=900g\"")),
            Self::ToldTwice(_) => Some("add both up".to_owned()),
        }
    }
}

/// Works out what to weigh for one mix, by the plan's own rules.
///
/// Units: mm, mm², mm³ in, g out.
/// Assumptions: grams that are asked for are those that stay in place; with `exact` nothing is
/// lost, so that they are those to weigh.
///
/// # Errors
/// [`MixFault`].
pub fn mix(request: &MixRequest) -> Result<MixSheet, MixFault> {
    let mut materials = request.materials.clone();
    if request.exact {
        materials.shop.allowances = Allowances::NONE;
        // There is nothing to double.
        materials.run.first_casting = false;
    }
    let g_cm3 = laid_g_cm3(request, &materials)?;
    let asked = asked(request.amount, g_cm3);
    let plan = plan::plan(&volumes(request.purpose, &asked), &materials)?;
    let reach = match request.amount {
        MixAmount::GramsOn(weight, area) => Some(reach(request, &materials, weight, area, g_cm3)),
        _ => None,
    };
    let shelf = match request.shelf.as_slice() {
        [] => None,
        shelf => Some(shelved(shelf, request.purpose, &asked, &materials)?),
    };
    let mut findings = plan.findings.clone();
    findings.extend(nothing_allowed(request));
    Ok(MixSheet {
        purpose: request.purpose,
        asked,
        exact: request.exact,
        plan,
        reach,
        shelf,
        shop_told: request.shop_told.clone(),
        findings,
    })
}

fn nothing_allowed(request: &MixRequest) -> Option<Finding> {
    request.exact.then(|| {
        let message = "nothing is allowed for what stays in cup and brush, as asked";
        Finding::note("nothing-allowed", message)
    })
}

/// Grams per cm³ of the mix as it lies in place: a little is planned, and looked at.
fn laid_g_cm3(request: &MixRequest, materials: &PlanRequest) -> Result<f64, MixFault> {
    const LITTLE_MM3: f64 = 1e5;
    let asked = MixAsked {
        volume_mm3: LITTLE_MM3,
        area_mm2: Some(LITTLE_MM3),
        thickness_mm: Some(1.0),
        grams: None,
    };
    let once = PlanRequest { run: Run::default(), ..materials.clone() };
    let [skin, core, cap] = plan::plan(&volumes(request.purpose, &asked), &once)?.layers;
    Ok(match request.purpose {
        MixPurpose::Coat => skin.coats.first().map_or(skin.density_g_cm3, |c| c.density_g_cm3),
        MixPurpose::Core => core.density_g_cm3,
        MixPurpose::Cap => cap.density_g_cm3,
    })
}

fn asked(amount: MixAmount, g_cm3: f64) -> MixAsked {
    let of_grams = |weight: Weight| weight.grams() / g_cm3 * 1000.0;
    match amount {
        MixAmount::Volume(volume) => {
            MixAsked { volume_mm3: volume.mm3(), area_mm2: None, thickness_mm: None, grams: None }
        }
        MixAmount::Layer(area, thickness) => MixAsked {
            volume_mm3: area.mm2() * thickness.mm(),
            area_mm2: Some(area.mm2()),
            thickness_mm: Some(thickness.mm()),
            grams: None,
        },
        MixAmount::Grams(weight) => MixAsked {
            volume_mm3: of_grams(weight),
            area_mm2: None,
            thickness_mm: None,
            grams: Some(weight.grams()),
        },
        MixAmount::GramsOn(weight, area) => MixAsked {
            volume_mm3: of_grams(weight),
            area_mm2: Some(area.mm2()),
            thickness_mm: Some(of_grams(weight) / area.mm2()),
            grams: Some(weight.grams()),
        },
    }
}

/// The one layer as a plan takes it; a wall of unknown area takes no brushing time.
fn volumes(purpose: MixPurpose, asked: &MixAsked) -> LayerVolumes {
    let volume = Bounds::exact(asked.volume_mm3);
    let area_mm2 = asked.area_mm2.unwrap_or(0.0);
    let nothing = LayerVolumes {
        skin_mm3: Bounds::ZERO,
        coats: Vec::new(),
        core_mm3: Bounds::ZERO,
        cap_mm3: Bounds::ZERO,
        inner_face_mm2: 0.0,
        level_area_mm2: 0.0,
        opening_area_mm2: 0.0,
        wall: WallFacts::default(),
        two_part: TwoPart::default(),
    };
    match purpose {
        MixPurpose::Coat => LayerVolumes {
            skin_mm3: volume,
            coats: vec![CoatVolume {
                thickness_mm: asked.thickness_mm.unwrap_or(0.0),
                volume_mm3: volume,
                flange_mm3: 0.0,
            }],
            inner_face_mm2: area_mm2,
            wall: WallFacts { area_mm2, ..WallFacts::default() },
            ..nothing
        },
        MixPurpose::Core => LayerVolumes { core_mm3: volume, level_area_mm2: area_mm2, ..nothing },
        MixPurpose::Cap => LayerVolumes {
            cap_mm3: volume,
            level_area_mm2: area_mm2,
            opening_area_mm2: area_mm2,
            ..nothing
        },
    }
}

/// The finest step of a scale that is planned with, g.
const FINEST_STEP_G: f64 = 0.001;

/// How thick so many grams lie, and how thick what is left of them lies.
fn reach(
    request: &MixRequest,
    materials: &PlanRequest,
    weight: Weight,
    area: Area,
    g_cm3: f64,
) -> Reach {
    let mm = |grams: f64| grams / g_cm3 * 1000.0 / area.mm2();
    let mixed_g = weight.grams();
    // What is weighed for so much in place, without what makes a batch large enough to mix well.
    let takes_g = |net_g: f64| -> Option<f64> {
        let in_place = Weight::of_grams(net_g).ok()?;
        let asked = asked(MixAmount::GramsOn(in_place, area), g_cm3);
        let mut once = PlanRequest { run: Run::default(), ..materials.clone() };
        // Losses don't hang on the scale; on the finest no additive rounds to nothing.
        once.shop.scale_step_g = FINEST_STEP_G;
        once.shop.allowances.smallest_batch_g = 0.0;
        once.shop.allowances.ratio_tolerance = 1.0;
        let plan = plan::plan(&volumes(request.purpose, &asked), &once).ok()?;
        let losses: f64 = plan
            .layers
            .iter()
            .flat_map(|layer| &layer.dose.allowances)
            .map(|line| line.grams)
            .sum();
        Some(net_g + losses)
    };
    let (mut low, mut high) = (0.0, mixed_g);
    // Losses grow with what is in place, so that halving closes in: 40 times are far below a
    // thousandth of a gram.
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        // What is too little even for that scale fits in any case.
        if takes_g(middle).is_none_or(|grams| grams <= mixed_g) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Reach {
        grams: mixed_g,
        thickness_mm: mm(mixed_g),
        mixed_thickness_mm: takes_g(low).map(|_| mm(low)),
    }
}

/// How many castings the shelf is enough for, each in a round of its own as the run has it.
fn shelved(
    shelf: &[(String, Weight)],
    purpose: MixPurpose,
    asked: &MixAsked,
    materials: &PlanRequest,
) -> Result<Shelf, MixFault> {
    let total = |castings: u32| -> Result<Vec<Weighed>, MixFault> {
        let run = Run { castings, ..materials.run };
        let request = PlanRequest { run, ..materials.clone() };
        let plan: Plan = plan::plan(&volumes(purpose, asked), &request)?;
        Ok(plan.totals.into_iter().flatten().collect())
    };
    let one = total(1)?;
    let has = stock(shelf, &one)?;
    let short = |takes: &[Weighed]| -> Option<String> {
        // What is short by the largest share of what there is runs out first.
        let over = takes.iter().filter_map(|w| Some((w, w.grams / has.get(&w.name)?)));
        let worst = over.max_by(|a, b| a.1.total_cmp(&b.1))?;
        (worst.1 > 1.0 + 1e-9).then(|| worst.0.name.clone())
    };
    let (mut enough, mut too_many) = (0, Run::MOST + 1);
    while too_many - enough > 1 {
        let middle = enough + (too_many - enough) / 2;
        if short(&total(middle)?).is_none() { enough = middle } else { too_many = middle }
    }
    let first_out = if too_many > Run::MOST { None } else { short(&total(too_many)?) };
    let takes = if enough == 0 { Vec::new() } else { total(enough)? };
    let components = one.iter().map(|weighed| Shelved {
        name: weighed.name.clone(),
        has_g: has.get(&weighed.name).copied().unwrap_or_default(),
        takes_g: takes.iter().find(|w| w.name == weighed.name).map_or(0.0, |w| w.grams),
    });
    Ok(Shelf { castings: enough, first_out, components: components.collect() })
}

/// What there is of each component that a mix takes, g by name.
fn stock(shelf: &[(String, Weight)], takes: &[Weighed]) -> Result<BTreeMap<String, f64>, MixFault> {
    for (at, (named, _)) in shelf.iter().enumerate() {
        if !takes.iter().any(|w| same(&w.name, named)) {
            let takes = takes.iter().map(|w| w.name.clone()).collect();
            return Err(MixFault::NotTaken { named: named.clone(), takes });
        }
        if shelf.iter().take(at).any(|(earlier, _)| same(earlier, named)) {
            return Err(MixFault::ToldTwice(named.clone()));
        }
    }
    let of = |weighed: &Weighed| {
        let told = shelf.iter().find(|(named, _)| same(&weighed.name, named));
        told.map(|(_, weight)| (weighed.name.clone(), weight.grams()))
            .ok_or_else(|| MixFault::NotTold(weighed.name.clone()))
    };
    takes.iter().map(of).collect()
}

fn same(name: &str, typed: &str) -> bool {
    name.trim().to_lowercase() == typed.trim().to_lowercase()
}

/// The recipe of a purpose, put into its place.
pub fn recipe_for(materials: PlanRequest, purpose: MixPurpose, recipe: Recipe) -> PlanRequest {
    match purpose {
        MixPurpose::Coat => PlanRequest { skin: recipe, ..materials },
        MixPurpose::Core => PlanRequest { core: recipe, ..materials },
        MixPurpose::Cap => PlanRequest { cap: recipe, ..materials },
    }
}
