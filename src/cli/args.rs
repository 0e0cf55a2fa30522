//! What was typed: command, path and options as text. What they mean is said in `request`.

use std::path::PathBuf;

use clap::builder::{OsStringValueParser, TypedValueParser};
use clap::{Args, Parser, Subcommand};

use super::buy::BuyArgs;
use super::clock::ClockArgs;
use super::coating::CoatingArgs;
use super::correcting::CorrectingArgs;
use super::job_file::SaveArgs;
use super::limits::LimitArgs;
use super::manual::CompletionsArgs;
use super::mix::MixArgs;
use super::mould::MouldArgs;
use super::paper::PaperArgs;
use super::parting::PartingArgs;
use super::quote::QuoteArgs;
use super::record::RecordArgs;
use super::run::RunArgs;
use super::shop::WorkshopArgs;
use super::systems::SystemsArgs;
use super::touching::TouchingArgs;
use super::weighing::WeighingArgs;

/// From a mesh to grams of skin, core and cap.
///
/// Reads the mesh of a casting or of its mould, works out how much rubber each
/// layer takes, and prints what to weigh, pour by pour.
#[derive(Debug, Parser)]
#[command(name = "cavigram", version, verbatim_doc_comment, disable_help_subcommand = true)]
pub struct CommandLine {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Say what a mesh is, whether it is usable and what it holds.
    Survey(SurveyArgs),
    /// Say how many grams of each component to weigh for skin, core and cap.
    Plan(Box<PlanArgs>),
    /// Say how much a cavity holds level by level: a dip-stick table.
    Level(Box<LevelArgs>),
    /// Say how many grams of rubber the mould itself takes, and its jacket.
    Mould(Box<MouldArgs>),
    /// Say what to weigh for one mix, without a mesh.
    Mix(Box<MixArgs>),
    /// Keep what a casting of a job really used, or tell what was kept.
    Record(Box<RecordArgs>),
    /// Say what to buy for jobs: the cheapest packs beside
    /// what is on the shelf.
    #[command(verbatim_doc_comment)]
    Buy(Box<BuyArgs>),
    /// Say what to ask for a piece, at several numbers of pieces.
    Quote(Box<QuoteArgs>),
    /// List casting systems; show, check or begin one.
    Systems(Box<SystemsArgs>),
    /// Print what a shell needs to complete commands and options.
    Completions(CompletionsArgs),
    /// Print the manual page, in roff.
    Manual,
}

/// What `survey` takes.
#[derive(Debug, Args)]
pub struct SurveyArgs {
    /// What all commands take.
    #[command(flatten)]
    pub mesh: MeshArgs,
}

/// What all commands take.
#[derive(Debug, Args)]
pub struct MeshArgs {
    /// Mesh of the casting or the mould: STL, OBJ, PLY, 3MF or OFF,
    /// also as .gz; - reads standard input; or a job file that
    /// plan --save made
    #[arg(verbatim_doc_comment)]
    pub mesh: PathBuf,

    /// Unit of the numbers in the file:
    /// mm, cm, m, in or ft [default: mm, and said so]
    #[arg(long, value_name = "UNIT", allow_hyphen_values = true, verbatim_doc_comment)]
    pub unit: Option<String>,

    /// Scale the mesh to a size you have measured: x=82mm
    /// (or y=, z=) along an axis of the file, mouth=
    /// widest across the opening, depth= lowest point to
    /// lip, longest= between two points
    #[arg(long, value_name = "WHAT=LENGTH", allow_hyphen_values = true, verbatim_doc_comment)]
    pub known: Option<String>,

    /// What the mesh shows: the closed shape of the
    /// casting, or the surface of a mould [default: found
    /// from the mesh, and said; casting if it is closed]
    #[arg(
        long = "as",
        value_name = "casting|mould",
        allow_hyphen_values = true,
        verbatim_doc_comment
    )]
    pub read_as: Option<String>,

    /// Which way is up when pouring: +x, -x, +y, -y,
    /// +z, -z or a vector such as 0.1,0,1; rim for the
    /// plane fitted to a mould's rim [default: +z]
    #[arg(long, value_name = "DIR", allow_hyphen_values = true, verbatim_doc_comment)]
    pub up: Option<String>,

    /// auto takes a flat top for the opening; none makes
    /// it wall too, so that it is coated [default: auto]
    #[arg(long, value_name = "auto|none", allow_hyphen_values = true, verbatim_doc_comment)]
    pub opening: Option<String>,

    /// Which cavity of a mould with several, largest
    /// volume first; all for all together [default: 1]
    #[arg(long, value_name = "N|all", allow_hyphen_values = true, verbatim_doc_comment)]
    pub impression: Option<String>,

    /// Fill holes too large for narrow limits too,
    /// and go on with wide ones
    #[arg(long, verbatim_doc_comment)]
    pub accept_holes: bool,

    /// Print one JSON object instead of the sheet.
    #[arg(long)]
    pub json: bool,

    /// How much is taken on.
    #[command(flatten)]
    pub limits: LimitArgs,
}

/// What `plan` takes.
#[derive(Debug, Args)]
pub struct PlanArgs {
    /// What all commands take.
    #[command(flatten)]
    pub mesh: MeshArgs,
    /// Thicknesses and depths.
    #[command(flatten)]
    pub layers: LayerArgs,
    /// The two parts of the mould.
    #[command(flatten)]
    pub parting: PartingArgs,
    /// What it is cast from.
    #[command(flatten)]
    pub materials: MaterialArgs,
    /// How the skin is laid.
    #[command(flatten)]
    pub coating: CoatingArgs,
    /// How many castings are made.
    #[command(flatten)]
    pub run: RunArgs,
    /// What the workshop has.
    #[command(flatten)]
    pub workshop: WorkshopArgs,
    /// What it touches.
    #[command(flatten)]
    pub touching: TouchingArgs,
    /// What the real mould took.
    #[command(flatten)]
    pub weighing: WeighingArgs,
    /// When the work begins, and when somebody is there.
    #[command(flatten)]
    pub clock: ClockArgs,
    /// What is in the mould already.
    #[command(flatten)]
    pub correcting: CorrectingArgs,
    /// What goes on paper.
    #[command(flatten)]
    pub paper: PaperArgs,
    /// Where it is kept.
    #[command(flatten)]
    pub saving: SaveArgs,
}

/// What `level` takes.
#[derive(Debug, Args)]
pub struct LevelArgs {
    /// What all commands take.
    #[command(flatten)]
    pub mesh: MeshArgs,
    /// Which levels, and of what.
    #[command(flatten)]
    pub table: TableArgs,
}

/// Which levels a table tells, and of what.
#[derive(Debug, Args)]
#[command(next_help_heading = "Table (lengths: 2mm, 0.2cm, 1/8in; a bare number is mm)")]
pub struct TableArgs {
    /// A row every so much height, and one at the
    /// fill level
    #[arg(
        long,
        value_name = "LENGTH",
        allow_hyphen_values = true,
        conflicts_with = "steps",
        verbatim_doc_comment
    )]
    pub step: Option<String>,

    /// So many even steps from the lowest point to the
    /// fill level [default: 10]
    #[arg(long, value_name = "N", allow_hyphen_values = true, verbatim_doc_comment)]
    pub steps: Option<String>,

    /// How far under the lip the last row lies
    /// [default: 0mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, verbatim_doc_comment)]
    pub below_lip: Option<String>,

    /// What the grams are grams of
    /// [default: urethane-a5; an unknown name lists all]
    #[arg(long, value_name = "SYSTEM", allow_hyphen_values = true, verbatim_doc_comment)]
    pub system: Option<String>,

    /// Parts of softener in it, where it takes any
    /// [default: 2, as in a core]
    #[arg(long, value_name = "PARTS", allow_hyphen_values = true, verbatim_doc_comment)]
    pub softener: Option<String>,

    /// Print comma-separated values instead of the sheet
    #[arg(long, conflicts_with = "json")]
    pub csv: bool,
}

/// Thicknesses and depths.
#[derive(Debug, Args)]
#[command(next_help_heading = "Layers (lengths: 2mm, 0.2cm, 1/8in; a bare number is mm)")]
pub struct LayerArgs {
    /// Thickness of the skin brushed on the wall;
    /// 0 for none [default: 2mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, verbatim_doc_comment)]
    pub skin: Option<String>,

    /// Brush the skin in so many equal coats, or in coats
    /// of these thicknesses from the wall inward:
    /// 0.4mm,0.8mm,0.8mm [default: 1]
    #[arg(long, value_name = "N|LIST", allow_hyphen_values = true, verbatim_doc_comment)]
    pub coats: Option<String>,

    /// Depth of the back cap under the fill level;
    /// 0 for none [default: 3mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, verbatim_doc_comment)]
    pub cap: Option<String>,

    /// How far under the lip the last pour stops
    /// [default: 0mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, verbatim_doc_comment)]
    pub below_lip: Option<String>,

    /// How far the skin is carried out onto the rim
    /// around the opening [default: 0mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, verbatim_doc_comment)]
    pub flange: Option<String>,

    /// What stands in the mould while it is poured: a
    /// bone, a tube, an armature; a closed mesh in the
    /// same coordinates. For several repeat --insert
    #[arg(long, value_name = "FILE", value_parser = any_path(), verbatim_doc_comment)]
    pub insert: Vec<PathBuf>,

    /// How far the guaranteed limits of a layer may lie
    /// from its value, as a share of the cavity
    /// [default: 0.5%]
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true, verbatim_doc_comment)]
    pub tolerance: Option<String>,
}

/// What it is cast from.
#[derive(Debug, Args)]
#[command(next_help_heading = "Materials")]
pub struct MaterialArgs {
    /// What the skin is brushed from
    /// [default: urethane-a5; an unknown name lists all]
    #[arg(long, value_name = "SYSTEM", allow_hyphen_values = true, verbatim_doc_comment)]
    pub skin_system: Option<String>,

    /// What the core is poured from
    /// [default: urethane-a5]
    #[arg(long, value_name = "SYSTEM", allow_hyphen_values = true, verbatim_doc_comment)]
    pub core_system: Option<String>,

    /// What the cap is poured from [default: the skin's]
    #[arg(long, value_name = "SYSTEM", allow_hyphen_values = true)]
    pub cap_system: Option<String>,

    /// Parts of softener in the core, where its system
    /// takes any [default: 2]
    #[arg(long, value_name = "PARTS", allow_hyphen_values = true, verbatim_doc_comment)]
    pub softener: Option<String>,

    /// Or how hard the core is to be, in a scale that
    /// its system was measured in: 00-25, A5
    #[arg(long, value_name = "SHORE", allow_hyphen_values = true, verbatim_doc_comment)]
    pub core_hardness: Option<String>,
}

/// A path that may be empty, which takes back what a job file keeps.
fn any_path() -> impl TypedValueParser<Value = PathBuf> {
    OsStringValueParser::new().map(PathBuf::from)
}
