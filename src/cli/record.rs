//! `cavigram record`: keeps what was really used, and tells what was.

use std::path::PathBuf;

use cavigram::plan::{Layer, Run};
use cavigram::record::{
    Entry, Gel, Lot, PerLayer, Planned, SCHEMA, Summary, TypedError, Verdict, celsius, skin_mm,
};
use cavigram::units::{Length, LengthError, Percent, PercentError, WeighingError, Weight};
use cavigram::{job, render};
use clap::{Args, FromArgMatches};
use jiff::ZonedDateTime;

use super::args::{Command, CommandLine};
use super::job_file::{self, Line};
use super::request::{self, UsageError, read, usage};
use super::run::count;
use super::terminal::Progress;
use super::{Failure, input, record_file, shop};

/// What `record` takes.
#[derive(Debug, Args)]
pub struct RecordArgs {
    /// The job file of the casting. Without any value below
    /// it tells what was recorded, and what follows from it
    #[arg(value_name = "JOB.toml", verbatim_doc_comment)]
    pub job: PathBuf,

    /// What was used.
    #[command(flatten)]
    pub used: UsedArgs,
    /// How it went.
    #[command(flatten)]
    pub outcome: OutcomeArgs,

    /// Print JSON instead of the sheet
    #[arg(long)]
    pub json: bool,
}

/// What was used.
#[derive(Debug, Args)]
#[command(next_help_heading = "What was used (grams: 148g, 5.2oz; a bare number is g)")]
pub struct UsedArgs {
    /// Castings made at once that these grams are of,
    /// all together [default: as many as the job makes
    /// at once]
    #[arg(long, value_name = "N", allow_hyphen_values = true, verbatim_doc_comment)]
    pub castings: Option<String>,
    /// Grams of skin in the mould, flange included
    #[arg(long, value_name = "GRAMS", allow_hyphen_values = true)]
    pub skin_used: Option<String>,
    /// Grams of core poured
    #[arg(long, value_name = "GRAMS", allow_hyphen_values = true)]
    pub core_used: Option<String>,
    /// Grams of cap poured
    #[arg(long, value_name = "GRAMS", allow_hyphen_values = true)]
    pub cap_used: Option<String>,
    /// Grams of skin that stuck to cups and brush, all
    /// coats; pour off first what is left over
    #[arg(long, value_name = "GRAMS", allow_hyphen_values = true, verbatim_doc_comment)]
    pub skin_left: Option<String>,
    /// Grams of core that stuck to the cup
    #[arg(long, value_name = "GRAMS", allow_hyphen_values = true)]
    pub core_left: Option<String>,
    /// Grams of cap that stuck to the cup
    #[arg(long, value_name = "GRAMS", allow_hyphen_values = true)]
    pub cap_left: Option<String>,
    /// A component's lot; repeat it for several
    #[arg(long, value_name = "COMPONENT=LOT", allow_hyphen_values = true)]
    pub lot: Vec<String>,
}

/// How it went.
#[derive(Debug, Args)]
#[command(next_help_heading = "How it went")]
pub struct OutcomeArgs {
    /// Temperature of the room: 22C, 72F
    #[arg(long, value_name = "TEMP", allow_hyphen_values = true)]
    pub room: Option<String>,
    /// Relative humidity of the room: 45%
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    pub humidity: Option<String>,
    /// When gel was seen, from the end of mixing:
    /// skin=42min; repeat it for core and cap
    #[arg(long, value_name = "LAYER=TIME", allow_hyphen_values = true, verbatim_doc_comment)]
    pub gel_seen: Vec<String>,
    /// Thickness of the skin, measured on the piece
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub thickness: Option<String>,
    /// Weight of the trimmed piece
    #[arg(long, value_name = "GRAMS", allow_hyphen_values = true)]
    pub piece: Option<String>,
    /// It is good: proposals rest on good castings alone
    #[arg(long, conflicts_with = "reject")]
    pub good: bool,
    /// It is a reject, and why
    #[arg(long, value_name = "WHY", allow_hyphen_values = true)]
    pub reject: Option<String>,
    /// Anything else
    #[arg(long, value_name = "TEXT", allow_hyphen_values = true)]
    pub note: Option<String>,
}

/// Adds what was typed to the job's record, or tells what stands there.
pub fn run(args: &RecordArgs, progress: &Progress) -> Result<String, Failure> {
    if !job_file::is_job(&args.job) {
        let shown = args.job.display().to_string();
        let hint = "save one with cavigram plan MESH --save job.toml";
        let reason = "a record belongs to a job file, whose name ends in .toml";
        return Err(usage("record", &shown, reason, Some(hint)).into());
    }
    let typed = Typed::of(args)?;
    let line = job_file::plan_of(&args.job)?;
    match typed {
        Some(typed) => add(args, typed, &line, progress).map_err(|failure| line.blamed(failure)),
        None => tell(args),
    }
}

/// Tells what was recorded.
fn tell(args: &RecordArgs) -> Result<String, Failure> {
    let log = record_file::read(&args.job)?;
    let summary = Summary::new(input::name(&args.job), log);
    Ok(if args.json { render::json::record(&summary)? } else { render::terminal::record(&summary) })
}

/// Adds an entry, with what the job planned beside it.
fn add(
    args: &RecordArgs,
    typed: Typed,
    line: &Line,
    progress: &Progress,
) -> Result<String, Failure> {
    let Expected { planned, revision, castings, components } = expected(args, line, progress)?;
    odd(&typed, &planned, castings, &components);
    let entry = Entry {
        schema: SCHEMA.to_owned(),
        at: ZonedDateTime::now().strftime("%Y-%m-%dT%H:%M:%S%:z").to_string(),
        revision,
        castings,
        used_g: typed.used_g,
        left_g: typed.left_g,
        room_c: typed.room_c,
        humidity_percent: typed.humidity_percent,
        lots: typed.lots.into_iter().map(|lot| (lot.component, lot.number)).collect(),
        gel_seen_minutes: typed.gel_seen_minutes,
        thickness_mm: typed.thickness_mm,
        piece_g: typed.piece_g,
        verdict: typed.verdict,
        note: typed.note,
        planned,
    };
    let text = entry.to_line()?;
    record_file::append(&args.job, text.as_bytes())?;
    let file = record_file::path(&args.job).display().to_string();
    Ok(if args.json { text } else { render::terminal::recorded(&entry, &file) })
}

/// What the job plans for the castings of one entry, as it stands now.
struct Expected {
    planned: Planned,
    revision: u64,
    castings: u32,
    /// Names of all that is weighed.
    components: Vec<String>,
}

fn expected(args: &RecordArgs, line: &Line, progress: &Progress) -> Result<Expected, Failure> {
    let Command::Plan(plan) = CommandLine::from_arg_matches(&line.matches)?.command else {
        // A job file is only ever opened as a plan here.
        return Err(std::io::Error::from(std::io::ErrorKind::InvalidInput).into());
    };
    let shop_file = shop::text(plan.workshop.shop.as_deref(), &plan.mesh.mesh, line)?;
    let mut request = request::plan(&plan, &line.systems(), shop_file.as_ref())?;
    let run = request.materials.run;
    let castings = match &args.used.castings {
        Some(_) => count("--castings", &args.used.castings)?,
        None => run.at_once(),
    };
    // A new mould is new once.
    let first_casting = run.first_casting && record_file::read(&args.job)?.entries.is_empty();
    request.materials.run = Run { castings, moulds: castings, first_casting };
    let bytes = input::read(&plan.mesh.mesh)?;
    let tell = |phase, share| progress.tell(phase, share);
    let sheet = job::run(&bytes, &request, &tell)
        .map_err(|error| Failure::Job { file: plan.mesh.mesh.display().to_string(), error })?;
    for finding in line.mesh_findings(&bytes) {
        super::terminal::complain(&finding.message, finding.hint.as_deref());
    }
    let planned = Planned::new(&sheet.plan, sheet.layers.skin_mm, sheet.piece_g);
    let weighed = sheet.plan.totals.iter().flatten();
    Ok(Expected {
        planned,
        revision: line.revision().unwrap_or_default(),
        castings,
        components: weighed.map(|weighed| weighed.name.clone()).collect(),
    })
}

/// A weight this many times off the plan is likely a slip of the unit.
const OFF_TIMES: f64 = 10.0;

/// Says what is likely a slip: the entry is kept all the same, as it tells what was typed.
fn odd(typed: &Typed, planned: &Planned, castings: u32, components: &[String]) {
    let weights = [Layer::Skin, Layer::Core, Layer::Cap]
        .map(|layer| (layer.as_str(), typed.used_g.of(layer), planned.of(layer).net_g));
    let piece = ("piece", typed.piece_g, planned.piece_g.best);
    for (what, grams, planned_g) in weights.into_iter().chain([piece]) {
        let Some(grams) = grams else { continue };
        if grams > OFF_TIMES * planned_g || grams * OFF_TIMES < planned_g {
            let of = if castings > 1 { " together" } else { "" };
            super::terminal::complain(
                &format!("{what}: {grams} g, where {planned_g:.1} g{of} were planned"),
                Some("look at the unit; the line was kept as it was typed"),
            );
        }
    }
    for Lot { component, .. } in &typed.lots {
        if !components.iter().any(|name| name.eq_ignore_ascii_case(component)) {
            super::terminal::complain(
                &format!("lot of {component}, which this job doesn't weigh"),
                Some(&format!("it weighs {}", components.join(", "))),
            );
        }
    }
}

/// What was typed, understood.
struct Typed {
    used_g: PerLayer,
    left_g: PerLayer,
    lots: Vec<Lot>,
    room_c: Option<f64>,
    humidity_percent: Option<f64>,
    gel_seen_minutes: PerLayer,
    thickness_mm: Option<f64>,
    piece_g: Option<f64>,
    verdict: Verdict,
    note: Option<String>,
}

impl Typed {
    /// `None` where nothing was typed.
    fn of(args: &RecordArgs) -> Result<Option<Self>, UsageError> {
        let (used, outcome) = (&args.used, &args.outcome);
        let texts = [
            &used.skin_used,
            &used.core_used,
            &used.cap_used,
            &used.skin_left,
            &used.core_left,
            &used.cap_left,
            &outcome.room,
            &outcome.humidity,
            &outcome.thickness,
            &outcome.piece,
            &outcome.reject,
            &outcome.note,
        ];
        for (option, text) in [("--reject", &outcome.reject), ("--note", &outcome.note)] {
            if text.as_ref().is_some_and(|text| text.trim().is_empty()) {
                return Err(usage(option, "", "this says nothing", None));
            }
        }
        let lists = [&used.lot, &outcome.gel_seen];
        if texts.iter().all(|text| text.is_none())
            && lists.iter().all(|list| list.is_empty())
            && !outcome.good
        {
            return Ok(None);
        }
        Ok(Some(Self {
            used_g: PerLayer {
                skin: grams("--skin-used", &used.skin_used)?,
                core: grams("--core-used", &used.core_used)?,
                cap: grams("--cap-used", &used.cap_used)?,
            },
            left_g: PerLayer {
                skin: grams("--skin-left", &used.skin_left)?,
                core: grams("--core-left", &used.core_left)?,
                cap: grams("--cap-left", &used.cap_left)?,
            },
            lots: all("--lot", &used.lot)?,
            room_c: with("--room", &outcome.room, celsius)?,
            humidity_percent: humidity(&outcome.humidity)?,
            gel_seen_minutes: gel_seen(&outcome.gel_seen)?,
            thickness_mm: thickness(&outcome.thickness)?,
            piece_g: grams("--piece", &outcome.piece)?,
            verdict: Verdict {
                good: (outcome.good || outcome.reject.is_some()).then_some(outcome.good),
                reject_reason: outcome.reject.clone(),
            },
            note: outcome.note.clone(),
        }))
    }
}

/// A weight; nothing left is a weight too.
fn grams(option: &'static str, typed: &Option<String>) -> Result<Option<f64>, UsageError> {
    let Some(text) = typed else { return Ok(None) };
    match text.parse::<Weight>() {
        Ok(weight) => Ok(Some(weight.grams())),
        Err(WeighingError::NoWeight) => Ok(Some(0.0)),
        Err(error) => Err(usage(option, text, &error.to_string(), error.hint().as_deref())),
    }
}

fn with(
    option: &'static str,
    typed: &Option<String>,
    meaning: fn(&str) -> Result<f64, TypedError>,
) -> Result<Option<f64>, UsageError> {
    let Some(text) = typed else { return Ok(None) };
    let value = meaning(text);
    let told = |error: TypedError| usage(option, text, &error.to_string(), error.hint().as_deref());
    value.map(Some).map_err(told)
}

fn all<T: std::str::FromStr<Err = TypedError>>(
    option: &'static str,
    typed: &[String],
) -> Result<Vec<T>, UsageError> {
    let one = |text: &String| {
        let told =
            |error: TypedError| usage(option, text, &error.to_string(), error.hint().as_deref());
        text.parse().map_err(told)
    };
    typed.iter().map(one).collect()
}

fn thickness(typed: &Option<String>) -> Result<Option<f64>, UsageError> {
    let length: Option<Length> = read("--thickness", typed, LengthError::hint)?;
    let text = typed.as_deref().unwrap_or_default();
    let told =
        |error: TypedError| usage("--thickness", text, &error.to_string(), error.hint().as_deref());
    length.map(skin_mm).transpose().map_err(told)
}

fn humidity(typed: &Option<String>) -> Result<Option<f64>, UsageError> {
    let percent: Option<Percent> = read("--humidity", typed, PercentError::hint)?;
    match percent.map(Percent::value) {
        Some(value) if value > 100.0 => {
            let text = typed.as_deref().unwrap_or_default();
            Err(usage("--humidity", text, "air holds at most 100%", None))
        }
        value => Ok(value),
    }
}

fn gel_seen(typed: &[String]) -> Result<PerLayer, UsageError> {
    let mut seen = PerLayer::default();
    for Gel { layer, minutes } in all("--gel-seen", typed)? {
        match layer {
            Layer::Skin => seen.skin = Some(minutes),
            Layer::Core => seen.core = Some(minutes),
            Layer::Cap => seen.cap = Some(minutes),
        }
    }
    Ok(seen)
}
