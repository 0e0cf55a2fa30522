//! `cavigram mix`.

use std::path::Path;

use cavigram::job::{MixAmount, MixRequest, recipe_for};
use cavigram::materials::{Additives, Parts, ShoreError, ShoreReading};
use cavigram::plan::{Coating, PlanRequest, Recipe, ShopTold, Stir};
use cavigram::sheet::MixPurpose;
use cavigram::units::{Area, Length, LengthError, QuantityError, Volume, WeighingError, Weight};
use cavigram::{job, render};
use clap::Args;

use super::coating::stir;
use super::request::{UsageError, find_system, read, softener_for, unknown_word, usage, word};
use super::run::{RunArgs, run as run_of};
use super::shop::{self, WorkshopArgs};
use super::{Failure, library};

/// What `mix` takes.
#[derive(Debug, Args)]
#[command(next_help_heading = "How much stays in place (of one casting)")]
pub struct MixArgs {
    /// So much room to fill: 250cm3, 0.4l, 12in3,
    /// 8usfloz
    #[arg(long, value_name = "VOLUME", allow_hyphen_values = true, verbatim_doc_comment)]
    pub volume: Option<String>,

    /// So much area to coat: 580cm2, 90in2; needs
    /// --thickness, or --mass to tell the thickness
    #[arg(long, value_name = "AREA", allow_hyphen_values = true, verbatim_doc_comment)]
    pub area: Option<String>,

    /// How thick on that area: 2mm, 1/16in
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, verbatim_doc_comment)]
    pub thickness: Option<String>,

    /// So many grams: 400g, "1 lb 4 oz"; with --area it
    /// tells how thick they lie
    #[arg(long, value_name = "WEIGHT", allow_hyphen_values = true, verbatim_doc_comment)]
    pub mass: Option<String>,

    /// What the mix is of, and what is lost of it
    #[command(flatten)]
    pub made: MadeArgs,
    /// How many castings are made.
    #[command(flatten)]
    pub run: RunArgs,
    /// What the workshop has.
    #[command(flatten)]
    pub workshop: WorkshopArgs,
}

/// What the mix is of, and what is lost of it.
#[derive(Debug, Args)]
#[command(next_help_heading = "What is mixed")]
pub struct MadeArgs {
    /// What it is for, which tells what is lost: coat
    /// (brushed), core or cap (poured)
    /// [default: coat with --area, else core]
    #[arg(long = "for", value_name = "WHAT", allow_hyphen_values = true, verbatim_doc_comment)]
    pub purpose: Option<String>,

    /// What it is mixed from
    /// [default: urethane-a5; an unknown name lists all]
    #[arg(long, value_name = "SYSTEM", allow_hyphen_values = true, verbatim_doc_comment)]
    pub system: Option<String>,

    /// Parts of softener in it, where its system takes
    /// any [default: 2 in a core, none in a coat or cap]
    #[arg(long, value_name = "PARTS", allow_hyphen_values = true, verbatim_doc_comment)]
    pub softener: Option<String>,

    /// Or how hard it is to be, in a scale that its
    /// system was measured in: 00-25, A5
    #[arg(long, value_name = "SHORE", allow_hyphen_values = true, verbatim_doc_comment)]
    pub hardness: Option<String>,

    /// Thickener, of the mix's mass: auto (the system's
    /// usual amount in a coat), 1.5% or none
    /// [default: auto]
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true, verbatim_doc_comment)]
    pub thicken: Option<String>,

    /// Pigment, of the mix's mass: 0.5% or none
    /// [default: none]
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true, verbatim_doc_comment)]
    pub tint: Option<String>,

    /// Allow for nothing: weigh just what stays in place
    #[arg(long, verbatim_doc_comment)]
    pub exact: bool,

    /// What is on the shelf, to tell how many castings it
    /// is enough for: A=900g,B=1.2kg
    #[arg(long, value_name = "LIST", allow_hyphen_values = true, verbatim_doc_comment)]
    pub shelf: Option<String>,

    /// Print one JSON object instead of the sheet.
    #[arg(long)]
    pub json: bool,
}

/// Works out what to weigh for one mix.
pub fn run(args: &MixArgs) -> Result<String, Failure> {
    let request = request(args)?;
    let sheet = job::mix(&request)?;
    Ok(if args.made.json { render::json::mix(&sheet)? } else { render::terminal::mix(&sheet) })
}

fn request(args: &MixArgs) -> Result<MixRequest, Failure> {
    let amount = amount(args)?;
    let made = &args.made;
    let purpose = match word(&made.purpose).as_deref() {
        None if args.area.is_some() => MixPurpose::Coat,
        None => MixPurpose::Core,
        Some("coat") => MixPurpose::Coat,
        Some("core") => MixPurpose::Core,
        Some("cap") => MixPurpose::Cap,
        Some(_) => return Err(unknown_word("--for", &made.purpose, "coat, core or cap").into()),
    };
    let run = run_of(&args.run)?;
    let shelf = shelf(made)?;
    if let Some(typed) = made.shelf.as_ref().filter(|_| args.run.castings.is_some()) {
        let reason = "this tells how many castings there can be";
        return Err(usage("--shelf", typed, reason, Some("leave out --castings")).into());
    }
    // Of a mix without a mesh the current folder is the place.
    let here = Path::new("mix");
    let file = shop::find(args.workshop.shop.as_deref(), here)?;
    let workshop = shop::workshop(&args.workshop, file.as_ref())?;
    let shop_told = ShopTold { file: file.map(|file| file.name), said: workshop.said().to_vec() };
    let recipe = recipe(made, purpose, here)?;
    let thicken = stir("--thicken", &made.thicken)?;
    let tint = stir("--tint", &made.tint)?;
    let percent = |stir: Stir| if let Stir::Percent(percent) = stir { percent } else { 0.0 };
    let additives =
        Additives { thickener_percent: percent(thicken), pigment_percent: percent(tint) };
    // A coat's additives are told by how it is laid.
    let recipe = if purpose == MixPurpose::Coat { recipe } else { recipe.with(additives) };
    let usual = PlanRequest::typical()?;
    let materials = PlanRequest {
        coating: Coating { thicken, tint, ..Coating::default() },
        run,
        shop: workshop.shop,
        ..recipe_for(usual, purpose, recipe)
    };
    let exact = made.exact;
    Ok(MixRequest { purpose, amount, exact, materials, shelf, shop_told })
}

fn recipe(args: &MadeArgs, purpose: MixPurpose, here: &Path) -> Result<Recipe, Failure> {
    let library = library::beside(here);
    let system = match find_system("--system", &args.system, &library)? {
        Some(system) => system,
        None => PlanRequest::typical()?.skin.system,
    };
    let softener: Option<Parts> = read("--softener", &args.softener, |_| None)?;
    let wished: Option<ShoreReading> = read("--hardness", &args.hardness, ShoreError::hint)?;
    let softener = match wished {
        Some(wished) => Some(softener_for(
            "--hardness",
            &args.hardness,
            &system,
            wished,
            args.softener.is_some(),
        )?),
        None => softener,
    };
    Ok(match (purpose, softener) {
        (MixPurpose::Core, softener) => Recipe::for_core(system, softener),
        (_, Some(parts)) => Recipe::softened(system, parts),
        (_, None) => Recipe::plain(system),
    })
}

/// How much is asked for: one way of saying it, and all of it.
fn amount(args: &MixArgs) -> Result<MixAmount, UsageError> {
    let volume: Option<Volume> = read("--volume", &args.volume, QuantityError::hint)?;
    let area: Option<Area> = read("--area", &args.area, QuantityError::hint)?;
    let thickness: Option<Length> = read("--thickness", &args.thickness, LengthError::hint)?;
    let mass: Option<Weight> = read("--mass", &args.mass, WeighingError::hint)?;
    let two = |option: &'static str, typed: &Option<String>, other: &str| {
        let value = typed.as_deref().unwrap_or_default();
        let reason = format!("{other} tells how much already");
        Err(usage(option, value, &reason, Some("leave out one of the two")))
    };
    match (volume, area, thickness, mass) {
        (Some(_), None, None, Some(_)) => two("--mass", &args.mass, "--volume"),
        (Some(_), Some(_), None, _) => two("--area", &args.area, "--volume"),
        (Some(_), _, Some(_), _) => two("--thickness", &args.thickness, "--volume"),
        (Some(volume), None, None, None) => Ok(MixAmount::Volume(volume)),
        (None, Some(_), Some(_), Some(_)) => two("--mass", &args.mass, "--thickness on --area"),
        (None, Some(area), Some(thickness), None) if thickness.mm() > 0.0 => {
            Ok(MixAmount::Layer(area, thickness))
        }
        (None, Some(_), Some(_), None) => {
            let typed = args.thickness.as_deref().unwrap_or_default();
            Err(usage("--thickness", typed, "nothing is mixed for no thickness", None))
        }
        (None, Some(area), None, Some(mass)) => Ok(MixAmount::GramsOn(mass, area)),
        (None, None, None, Some(mass)) => Ok(MixAmount::Grams(mass)),
        (None, Some(_), None, None) => {
            let typed = args.area.as_deref().unwrap_or_default();
            let hint = "give --thickness 2mm, or --mass 60g to be told the thickness";
            Err(usage("--area", typed, "an area alone is no amount", Some(hint)))
        }
        (None, None, Some(_), _) => {
            let typed = args.thickness.as_deref().unwrap_or_default();
            let hint = "give --area 580cm2 too";
            Err(usage("--thickness", typed, "a thickness lies on an area", Some(hint)))
        }
        (None, None, None, None) => {
            let hint = "give --volume 250cm3, --area 580cm2 --thickness 2mm, or --mass 400g";
            Err(usage("mix", "without an amount", "nothing says how much", Some(hint)))
        }
    }
}

/// What is on the shelf, component by component.
fn shelf(args: &MadeArgs) -> Result<Vec<(String, Weight)>, UsageError> {
    let Some(list) = &args.shelf else { return Ok(Vec::new()) };
    let one = |entry: &str| {
        let Some((name, weight)) = entry.rsplit_once('=') else {
            let reason = format!("\"{}\" names no component and grams", entry.trim());
            return Err(usage("--shelf", list, &reason, Some("write A=900g,B=1.2kg")));
        };
        let weight: Option<Weight> =
            read("--shelf", &Some(weight.trim().to_owned()), WeighingError::hint)?;
        let missing = || usage("--shelf", list, "grams are missing", None);
        Ok((name.trim().to_owned(), weight.ok_or_else(missing)?))
    };
    list.split(',').map(one).collect()
}
