//! `cavigram mould`.

use cavigram::job::{self, Make, MouldJob};
use cavigram::materials::{Family, System, builtin};
use cavigram::mould::BoxShape;
use cavigram::plan::Jacket;
use cavigram::render;
use cavigram::sheet::MouldSheet;
use cavigram::units::{Coats, CoatsError, Length, Percent, PercentError, WeighingError, Weight};
use clap::{Args, FromArgMatches};

use super::args::{Command, CommandLine, MeshArgs};
use super::job_file::{KeptSystems, Line, Planned, SaveArgs, Saving, Used};
use super::request::{UsageError, kept_or_found, length, mesh, read, unknown_word, usage, word};
use super::shop::{ShopText, WorkshopArgs, workshop};
use super::terminal::{self, Progress};
use super::{Failure, input, library, shop, touching};

/// What `mould` takes.
///
/// The mesh is that of the piece, which stands as it does when it is cast: the
/// flat back on top. Its back lies on the board while the mould is made.
#[derive(Debug, Args)]
#[command(verbatim_doc_comment)]
pub struct MouldArgs {
    /// What all commands take.
    #[command(flatten)]
    pub mesh: MeshArgs,
    /// How the mould is made.
    #[command(flatten)]
    pub make: MakeArgs,
    /// What a block takes.
    #[command(flatten)]
    pub block: BlockArgs,
    /// What a blanket takes.
    #[command(flatten)]
    pub blanket: BlanketArgs,
    /// What the workshop has.
    #[command(flatten)]
    pub workshop: WorkshopArgs,
    /// Where what was typed is kept.
    #[command(flatten)]
    pub saving: SaveArgs,
}

/// How the mould is made.
#[derive(Debug, Args)]
#[command(next_help_heading = "Mould (lengths: 2mm, 0.2cm, 1/8in; a bare number is mm)")]
pub struct MakeArgs {
    /// A block poured in a mould box, or a brushed
    /// blanket with a jacket [default: block]
    #[arg(long, value_name = "block|blanket", allow_hyphen_values = true, verbatim_doc_comment)]
    pub make: Option<String>,

    /// Divide the mould at this height over the lowest
    /// point that the piece has as it is cast
    #[arg(
        long,
        value_name = "HEIGHT",
        allow_hyphen_values = true,
        help_heading = PARTED,
        verbatim_doc_comment
    )]
    pub parting: Option<String>,

    /// What the mould is made of
    /// [default: mould-silicone-a25; an unknown name
    /// lists all]
    #[arg(long, value_name = "SYSTEM", allow_hyphen_values = true, verbatim_doc_comment)]
    pub rubber: Option<String>,

    /// What the pattern is made of, to check it against
    /// the rubber; an unknown word lists all
    /// [default: not checked, and said so]
    #[arg(long, value_name = "MATERIAL", help_heading = TOUCHING, verbatim_doc_comment)]
    pub pattern_of: Option<String>,

    /// What the pattern weighs, for what is lifted
    /// [default: not counted, and said so]
    #[arg(long, value_name = "GRAMS", allow_hyphen_values = true, verbatim_doc_comment)]
    pub pattern_weight: Option<String>,
}

/// What a block takes.
#[derive(Debug, Args)]
#[command(next_help_heading = "Block")]
pub struct BlockArgs {
    /// The shape of the mould box
    /// [default: rectangular]
    #[arg(
        long = "box",
        value_name = "rectangular|round",
        allow_hyphen_values = true,
        verbatim_doc_comment
    )]
    pub shape: Option<String>,

    /// From the piece to the walls, at the nearest
    /// [default: 12mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, verbatim_doc_comment)]
    pub sides: Option<String>,

    /// Over the piece as it stands on its back; under
    /// one without a back, too [default: 12mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, verbatim_doc_comment)]
    pub over: Option<String>,
}

/// What a blanket takes.
#[derive(Debug, Args)]
#[command(next_help_heading = "Blanket")]
pub struct BlanketArgs {
    /// Thickness of all coats [default: 10mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, verbatim_doc_comment)]
    pub blanket: Option<String>,

    /// In so many equal coats, or in coats of these
    /// thicknesses from the piece outward
    /// [default: a print coat, then build coats, as
    /// thick as the rubber stands]
    #[arg(long, value_name = "N|LIST", allow_hyphen_values = true, verbatim_doc_comment)]
    pub blanket_coats: Option<String>,

    /// How far it runs out beyond its thickness on the
    /// board and along the parting [default: 0mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, verbatim_doc_comment)]
    pub flange: Option<String>,

    /// Rubber that fills undercuts, as a share of the
    /// blanket [default: 15%]
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true, verbatim_doc_comment)]
    pub undercuts: Option<String>,

    /// What holds it [default: plaster]
    #[arg(
        long,
        value_name = "plaster|laminate|none",
        allow_hyphen_values = true,
        verbatim_doc_comment
    )]
    pub jacket: Option<String>,

    /// How thick the jacket is
    /// [default: plaster 18mm, laminate 5mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, verbatim_doc_comment)]
    pub jacket_thickness: Option<String>,

    /// Grams of water to 100 g of plaster [default: 70]
    #[arg(long, value_name = "GRAMS", allow_hyphen_values = true, verbatim_doc_comment)]
    pub plaster_water: Option<String>,

    /// How far the guaranteed limits of a layer may lie
    /// from its value, as a share of the piece with all
    /// that is laid on it [default: 0.5%]
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true, verbatim_doc_comment)]
    pub tolerance: Option<String>,
}

/// Headings of `plan`, so that what a job keeps under them goes for its mould too.
const PARTED: &str = "Two-part mould";
const TOUCHING: &str = "What it touches (a material or a system's name)";
/// The rubber where none is named.
const USUAL_RUBBER: &str = "mould-silicone-a25";
/// The widest that anything is laid or stood apart, mm: beyond it is a slip.
const WIDEST_MM: f64 = 1000.0;

/// Works out what to weigh for the mould itself.
pub fn run(args: &MouldArgs, line: &Line, progress: &Progress) -> Result<String, Failure> {
    let saving = Saving::begin(&args.saving, &args.mesh.mesh)?;
    let Worked { request, shop_file, bytes, sheet } = worked(args, line, progress)?;
    let text =
        if args.mesh.json { render::json::mould(&sheet)? } else { render::terminal::mould(&sheet) };
    if let Some(saving) = saving {
        terminal::tell(&saving.finish(
            line,
            Planned {
                casting: None,
                used: Used::by_mould(&request.rubber),
                mesh_path: &args.mesh.mesh,
                mesh: &bytes,
                shop: shop_file.as_ref(),
            },
        )?);
    }
    Ok(text)
}

/// A mould that was worked out, with what it was worked out from.
pub struct Worked {
    /// What was asked for.
    pub request: MouldJob,
    /// The workshop's own file, where one was followed.
    pub shop_file: Option<ShopText>,
    /// The mesh's bytes.
    pub bytes: Vec<u8>,
    /// What it takes.
    pub sheet: MouldSheet,
}

/// The mould that a line of `mould` asks for.
pub fn of_line(line: &Line, progress: &Progress) -> Result<Worked, Failure> {
    let Command::Mould(args) = CommandLine::from_arg_matches(&line.matches)?.command else {
        // The line was made as one of `mould`.
        return Err(std::io::Error::from(std::io::ErrorKind::InvalidInput).into());
    };
    worked(&args, line, progress)
}

fn worked(args: &MouldArgs, line: &Line, progress: &Progress) -> Result<Worked, Failure> {
    let path = &args.mesh.mesh;
    if let Some(other) = line.kept_elsewhere("other-half") {
        let reason = "the job's two scans show a mould that is there already";
        let hint = "give the mesh of the piece itself";
        return Err(usage("--other-half", &other, reason, Some(hint)).into());
    }
    let shop_file = shop::text(args.workshop.shop.as_deref(), path, line)?;
    let request = meant(args, &line.systems(), shop_file.as_ref())?;
    let bytes = input::read(path)?;
    let tell = |phase, share| progress.tell(phase, share);
    let mut sheet = job::mould(&bytes, &request, &tell)
        .map_err(|error| Failure::Job { file: path.display().to_string(), error })?;
    sheet.findings.splice(0..0, line.mould_findings(path, &bytes, &request.rubber));
    Ok(Worked { request, shop_file, bytes, sheet })
}

fn meant(
    args: &MouldArgs,
    kept: &KeptSystems,
    shop_file: Option<&ShopText>,
) -> Result<MouldJob, Failure> {
    let mesh = mesh(&args.mesh)?;
    let library = library::beside(&args.mesh.mesh);
    let rubber = match kept_or_found("--rubber", &args.make.rubber, &library, kept)? {
        Some(system) => system,
        None => kept.find(USUAL_RUBBER)?.map_or_else(|| builtin(USUAL_RUBBER), Ok)?,
    };
    if rubber.family == Family::Foam {
        let value = args.make.rubber.as_deref().unwrap_or_default();
        let hint = Some("name a mould rubber; `cavigram systems` lists them");
        return Err(usage("--rubber", value, "a foam takes no print", hint).into());
    }
    let make = match is_blanket(args)? {
        true => blanket(&args.blanket, &rubber)?,
        false => block(&args.block)?,
    };
    Ok(MouldJob {
        mesh,
        make,
        parting: length("--parting", &args.make.parting)?,
        pattern_of: touching::family("--pattern-of", &args.make.pattern_of, &library)?,
        pattern_weight: read::<Weight>(
            "--pattern-weight",
            &args.make.pattern_weight,
            WeighingError::hint,
        )?,
        rubber,
        shop: workshop(&args.workshop, shop_file)?.shop,
    })
}

/// A block or a blanket: as said, else by the options of its own that were typed.
fn is_blanket(args: &MouldArgs) -> Result<bool, UsageError> {
    let (block, blanket) = (&args.block, &args.blanket);
    let of_block = [("--box", &block.shape), ("--sides", &block.sides), ("--over", &block.over)];
    let of_blanket = [
        ("--blanket", &blanket.blanket),
        ("--blanket-coats", &blanket.blanket_coats),
        ("--flange", &blanket.flange),
        ("--undercuts", &blanket.undercuts),
        ("--jacket", &blanket.jacket),
        ("--jacket-thickness", &blanket.jacket_thickness),
        ("--plaster-water", &blanket.plaster_water),
        ("--tolerance", &blanket.tolerance),
    ];
    let typed = |list: &[(&'static str, &Option<String>)]| -> Option<(&'static str, String)> {
        list.iter().find_map(|(name, value)| Some((*name, value.as_ref()?.clone())))
    };
    let is_blanket = match word(&args.make.make).as_deref() {
        None => typed(&of_blanket).is_some(),
        Some("block") => false,
        Some("blanket") => true,
        Some(_) => return Err(unknown_word("--make", &args.make.make, "block or blanket")),
    };
    let (other, why) = match is_blanket {
        true => (typed(&of_block), "this belongs to a block, and a blanket is asked for"),
        false => (typed(&of_blanket), "this belongs to a blanket, and a block is asked for"),
    };
    match other {
        None => Ok(is_blanket),
        Some((option, value)) => Err(usage(option, &value, why, Some("leave out one of the two"))),
    }
}

fn block(args: &BlockArgs) -> Result<Make, UsageError> {
    let shape = match word(&args.shape).as_deref() {
        None | Some("rectangular") => BoxShape::Rectangular,
        Some("round") => BoxShape::Round,
        Some(_) => return Err(unknown_word("--box", &args.shape, "rectangular or round")),
    };
    let least = Make::LEAST_CLEARANCE;
    let clear = |option, typed: &Option<String>| {
        within(option, typed, least).map(|mm| mm.unwrap_or(Make::CLEARANCE))
    };
    Ok(Make::Block {
        shape,
        sides: clear("--sides", &args.sides)?,
        over: clear("--over", &args.over)?,
    })
}

/// A length between a least and what can be meant.
fn within(
    option: &'static str,
    typed: &Option<String>,
    least: Length,
) -> Result<Option<Length>, UsageError> {
    let Some(found) = length(option, typed)? else { return Ok(None) };
    if found >= least && found.mm() <= WIDEST_MM {
        return Ok(Some(found));
    }
    let reason = format!("expected {least} to {}", Length::from_mm(WIDEST_MM));
    Err(usage(option, typed.as_deref().unwrap_or_default(), &reason, None))
}

fn blanket(args: &BlanketArgs, rubber: &System) -> Result<Make, UsageError> {
    let thick = within("--blanket", &args.blanket, Coats::THINNEST)?;
    let nothing = Length::default();
    let usual = Percent::new(0.5);
    Ok(Make::Blanket {
        coats: coats(args, thick, rubber)?,
        flange: within("--flange", &args.flange, nothing)?.unwrap_or(nothing),
        undercuts: undercuts(args)?.unwrap_or(Make::UNDERCUTS),
        jacket: jacket(args)?,
        tolerance: super::request::tolerance(&args.tolerance)?.unwrap_or(usual),
    })
}

fn coats(
    args: &BlanketArgs,
    thick: Option<Length>,
    rubber: &System,
) -> Result<Vec<Length>, UsageError> {
    let asked: Option<Coats> = read("--blanket-coats", &args.blanket_coats, CoatsError::hint)?;
    let Some(asked) = asked else {
        return Ok(Make::usual_coats(thick.unwrap_or(Make::BLANKET), rubber));
    };
    let value = args.blanket_coats.as_deref().unwrap_or_default();
    let option = "--blanket-coats";
    let coats = asked.thicknesses(thick, Make::BLANKET).map_err(|error| match &error {
        CoatsError::Sum { coats, skin } => {
            let reason = format!("the coats add up to {coats}, but the blanket is {skin}");
            usage(option, value, &reason, Some("leave out one of the two"))
        }
        CoatsError::Count => {
            let reason = format!("a blanket has 1 to {} coats", Coats::MOST);
            usage(option, value, &reason, error.hint().as_deref())
        }
        _ => usage(option, value, &error.to_string(), error.hint().as_deref()),
    })?;
    let sum: f64 = coats.iter().map(|coat| coat.mm()).sum();
    if sum > WIDEST_MM {
        let reason = format!("expected no more than {} in all", Length::from_mm(WIDEST_MM));
        return Err(usage(option, value, &reason, None));
    }
    Ok(coats)
}

fn undercuts(args: &BlanketArgs) -> Result<Option<Percent>, UsageError> {
    let option = "--undercuts";
    let found: Option<Percent> = read(option, &args.undercuts, PercentError::hint)?;
    match found {
        Some(share) if share.value() > 200.0 => {
            let value = args.undercuts.as_deref().unwrap_or_default();
            Err(usage(option, value, "expected 0% to 200% of the blanket", None))
        }
        other => Ok(other),
    }
}

fn jacket(args: &BlanketArgs) -> Result<Option<(Jacket, Length)>, UsageError> {
    let water = water(args)?;
    let jacket = match word(&args.jacket).as_deref() {
        None | Some("plaster") => Jacket::Plaster { water_to_100: water },
        Some(other @ ("laminate" | "none")) if args.plaster_water.is_some() => {
            let typed = args.plaster_water.as_deref().unwrap_or_default();
            let reason = format!("--jacket {other} takes no plaster");
            return Err(usage("--plaster-water", typed, &reason, Some("leave out one of the two")));
        }
        Some("laminate") => Jacket::Laminate,
        Some("none") => {
            if let Some(typed) = &args.jacket_thickness {
                let (reason, hint) = ("--jacket none lays none", Some("leave out one of the two"));
                return Err(usage("--jacket-thickness", typed, reason, hint));
            }
            return Ok(None);
        }
        Some(_) => {
            return Err(unknown_word("--jacket", &args.jacket, "plaster, laminate or none"));
        }
    };
    let least = Length::from_mm(1.0);
    let thick = within("--jacket-thickness", &args.jacket_thickness, least)?;
    Ok(Some((jacket, thick.unwrap_or(Length::from_mm(jacket.usual_mm())))))
}

/// Grams of water to 100 g of plaster.
fn water(args: &BlanketArgs) -> Result<f64, UsageError> {
    let Some(typed) = &args.plaster_water else { return Ok(Jacket::WATER_TO_100) };
    let number = typed.trim().trim_end_matches('g').trim_end().parse::<f64>();
    match number {
        Ok(grams) if (20.0..=200.0).contains(&grams) => Ok(grams),
        _ => {
            let reason = "expected 20 to 200 g of water to 100 g of plaster";
            Err(usage("--plaster-water", typed, reason, Some("write it as 70")))
        }
    }
}
