//! `cavigram buy`.

use std::path::{Path, PathBuf};

use cavigram::costs::{
    self, BuyRequest, CostError, Currency, CurrencyError, PurchaseFor, Shelf, SystemNeeds,
};
use cavigram::finding::{Finding, Severity};
use cavigram::job::JobRequest;
use cavigram::materials::{Library, System};
use cavigram::sheet::Sheet;
use cavigram::{job, render};
use clap::{ArgMatches, Args, FromArgMatches};
use jiff::civil::Date;
use rust_decimal::Decimal;

use super::args::{Command, CommandLine};
use super::job_file::{self, Line};
use super::request::{self, UsageError, unknown_word, usage, word};
use super::terminal::{self, Progress};
use super::{Failure, cost_file, input, library, mould, shop};

/// What `buy` takes.
#[derive(Debug, Args)]
pub struct BuyArgs {
    /// Job files that plan --save made, or meshes to cast
    /// with all that is usual
    #[arg(value_name = "JOB", required = true, verbatim_doc_comment)]
    pub jobs: Vec<PathBuf>,

    /// How many castings: of each job, or one number for
    /// each in their order: 10,4
    /// [default: as the job has it]
    #[arg(long, value_name = "N|LIST", allow_hyphen_values = true, verbatim_doc_comment)]
    pub castings: Option<String>,

    /// In how many moulds at once
    /// [default: as the job has it]
    #[arg(long, value_name = "N", allow_hyphen_values = true, verbatim_doc_comment)]
    pub moulds: Option<String>,

    /// What is bought for: castings, moulds (those that
    /// are filled at once, as mould JOB makes them) or
    /// both [default: castings]
    #[arg(long, value_name = "WHAT", verbatim_doc_comment)]
    pub of: Option<String>,

    /// What is on the shelf; none for nothing
    /// [default: stock.toml beside the first job, if
    /// there is one]
    #[arg(long, value_name = "FILE", verbatim_doc_comment)]
    pub stock: Option<PathBuf>,

    /// The day that the shelf is judged by: 2026-12-01
    /// [default: today]
    #[arg(long, value_name = "DATE", allow_hyphen_values = true, verbatim_doc_comment)]
    pub day: Option<String>,

    /// What the packs' prices are in: EUR; a label that
    /// is only printed
    #[arg(long, value_name = "LABEL", allow_hyphen_values = true, verbatim_doc_comment)]
    pub currency: Option<String>,

    /// Print comma-separated values instead of the list
    #[arg(long, conflicts_with = "json")]
    pub csv: bool,

    /// Print one JSON object instead of the list
    #[arg(long)]
    pub json: bool,
}

/// Works out what to buy.
pub fn run(args: &BuyArgs, progress: &Progress) -> Result<String, Failure> {
    let castings = castings(args)?;
    let wanted = wanted(&args.of)?;
    let day = day(&args.day)?;
    let currency = currency(&args.currency)?.unwrap_or_default();
    let beside = args.jobs.first().map(PathBuf::as_path);
    let stock =
        cost_file::read("--stock", args.stock.as_deref(), beside, "stock.toml", Shelf::from_toml)?;
    let mut of = Vec::new();
    let mut findings: Vec<Finding> = Vec::new();
    for (path, castings) in args.jobs.iter().zip(&castings) {
        let (one, noticed) = needs_of(path, castings.as_deref(), wanted, args, progress)?;
        let named = noticed.into_iter().map(|finding| Finding {
            message: format!("{}: {}", one.0.name, finding.message),
            ..finding
        });
        for finding in named {
            if !findings.contains(&finding) {
                findings.push(finding);
            }
        }
        of.push(one);
    }
    let shelf = stock.map(|stock| (stock.name, stock.says));
    let mut purchase = costs::buy(&BuyRequest { currency, day, of, shelf })?;
    purchase.findings.splice(0..0, findings);
    if args.csv {
        complain(&purchase.findings);
        return Ok(render::csv::buy(&purchase));
    }
    Ok(if args.json { render::json::buy(&purchase)? } else { render::terminal::buy(&purchase) })
}

/// A table of numbers has no room for what must not be overlooked.
pub fn complain(findings: &[Finding]) {
    for finding in findings.iter().filter(|f| f.severity >= Severity::Warning) {
        terminal::complain(&format!("warning: {}", finding.message), finding.hint.as_deref());
    }
}

/// How many castings of each job, as text for its plan.
fn castings(args: &BuyArgs) -> Result<Vec<Option<String>>, UsageError> {
    let jobs = args.jobs.len();
    let Some(typed) = &args.castings else { return Ok(vec![None; jobs]) };
    let numbers: Vec<&str> = typed.split(',').map(str::trim).collect();
    match numbers.as_slice() {
        [one] => Ok(vec![Some((*one).to_owned()); jobs]),
        several if several.len() == jobs => {
            Ok(several.iter().map(|number| Some((*number).to_owned())).collect())
        }
        several => {
            let jobs = if jobs == 1 { "1 job".to_owned() } else { format!("{jobs} jobs") };
            let reason = format!("{} numbers for {jobs}", several.len());
            let hint = Some("give one number for all, or one for each job in their order");
            Err(usage("--castings", typed, &reason, hint))
        }
    }
}

fn day(typed: &Option<String>) -> Result<Date, UsageError> {
    let Some(text) = typed else { return Ok(jiff::ZonedDateTime::now().date()) };
    text.trim()
        .parse()
        .map_err(|_| usage("--day", text, "this takes a day", Some("write it as 2026-12-01")))
}

/// The currency that was typed.
pub fn currency(typed: &Option<String>) -> Result<Option<Currency>, UsageError> {
    let Some(label) = typed else { return Ok(None) };
    Currency::new(label, Currency::DECIMALS)
        .map(Some)
        .map_err(|error: CurrencyError| usage("--currency", label, &error.to_string(), None))
}

type NeedsOf = (PurchaseFor, Vec<SystemNeeds>);

/// What one job needs.
fn needs_of(
    path: &Path,
    castings: Option<&str>,
    wanted: Wanted,
    args: &BuyArgs,
    progress: &Progress,
) -> Result<(NeedsOf, Vec<Finding>), Failure> {
    let typed = [("castings", castings), ("moulds", args.moulds.as_deref())];
    let typed: Vec<(&str, &str)> =
        typed.into_iter().filter_map(|(name, value)| Some((name, value?))).collect();
    let line = job_file::plan_with(path, &typed)?;
    let (request, sheet, mut findings) =
        planned(&line, progress).map_err(|failure| line.blamed(failure))?;
    let run = sheet.plan.run;
    let mut needs =
        if wanted.castings { costs::needs(&sheet.plan, &request.materials) } else { Vec::new() };
    if wanted.moulds {
        let (one, noticed) = of_one_mould(path, None, progress)?;
        let too_large = || CostError::TooLarge { what: one.system.id.clone() };
        needs.push(one.clone().times(run.at_once().into(), Decimal::ONE).ok_or_else(too_large)?);
        findings.extend(noticed);
    }
    let of = PurchaseFor {
        name: input::name(path),
        castings: if wanted.castings { run.castings } else { 0 },
        moulds: run.at_once(),
        moulds_made: if wanted.moulds { run.at_once() } else { 0 },
    };
    Ok(((of, needs), findings))
}

/// What is bought for.
#[derive(Clone, Copy)]
struct Wanted {
    castings: bool,
    moulds: bool,
}

fn wanted(typed: &Option<String>) -> Result<Wanted, UsageError> {
    match word(typed).as_deref() {
        None | Some("castings") => Ok(Wanted { castings: true, moulds: false }),
        Some("moulds" | "molds") => Ok(Wanted { castings: false, moulds: true }),
        Some("both") => Ok(Wanted { castings: true, moulds: true }),
        Some(_) => Err(unknown_word("--of", typed, "castings, moulds or both")),
    }
}

/// The rubber of one mould, as `mould` of a job file or a mesh makes it, with what was typed for
/// another command of how the mesh is read; and what must be told of it.
pub fn of_one_mould(
    path: &Path,
    typed: Option<&ArgMatches>,
    progress: &Progress,
) -> Result<(SystemNeeds, Vec<Finding>), Failure> {
    let line = job_file::mould_of(path, typed)?;
    let made = mould::of_line(&line, progress).map_err(|failure| line.blamed(failure))?;
    let mut rubber = made.request.rubber;
    sell_as_now(&mut rubber, &library::beside(path));
    let mixes = made.sheet.parts.iter().flat_map(|part| &part.mixes);
    let weighed = mixes.flat_map(|mix| &mix.single.dose.components);
    let mut findings = Vec::new();
    let jackets = made.sheet.parts.iter().filter_map(|part| part.jacket.as_ref());
    let of_jackets: Vec<String> = jackets
        .flat_map(|jacket| &jacket.dose.components)
        .map(|(name, grams)| format!("{grams:.0} g of {name}"))
        .collect();
    if !of_jackets.is_empty() {
        let message = format!(
            "the mould's jacket takes {}, which no system's packs hold: it isn't counted",
            of_jackets.join(", ")
        );
        findings.push(Finding::warning("jacket-not-counted", message));
    }
    Ok((costs::needs_of(&rubber, weighed), findings))
}

/// What the `plan` of a line comes to, with the packs of its systems as they are sold now, and
/// what must be told of the mesh.
pub fn planned(
    line: &Line,
    progress: &Progress,
) -> Result<(JobRequest, Sheet, Vec<Finding>), Failure> {
    let Command::Plan(plan) = CommandLine::from_arg_matches(&line.matches)?.command else {
        // The line was made as one of `plan`.
        return Err(std::io::Error::from(std::io::ErrorKind::InvalidInput).into());
    };
    let path = &plan.mesh.mesh;
    let shop_file = shop::text(plan.workshop.shop.as_deref(), path, line)?;
    let mut request = request::plan(&plan, &line.systems(), shop_file.as_ref())?;
    let bytes = input::read(path)?;
    let tell = |phase, share| progress.tell(phase, share);
    let sheet = job::run(&bytes, &request, &tell)
        .map_err(|error| Failure::Job { file: path.display().to_string(), error })?;
    let mut findings = line.findings(path, &bytes, &request);
    let of_bench = |finding: &Finding| {
        let timeline = sheet.timeline.as_ref().map(|t| t.findings.as_slice()).unwrap_or_default();
        sheet.plan.findings.contains(finding) || timeline.contains(finding)
    };
    // What the bench asks for is told by the batch sheet; here only what may move the grams.
    let told = sheet.findings.iter().filter(|f| f.severity >= Severity::Warning && !of_bench(f));
    findings.extend(told.cloned());
    let library = library::beside(path);
    for recipe in
        [&mut request.materials.skin, &mut request.materials.core, &mut request.materials.cap]
    {
        sell_as_now(&mut recipe.system, &library);
    }
    Ok((request, sheet, findings))
}

/// A job keeps a system as it was; packs and prices are those of today.
fn sell_as_now(system: &mut System, library: &Library) {
    if let Ok(now) = library.system(&system.id)
        && !now.packs.is_empty()
    {
        system.packs = now.packs;
    }
}
