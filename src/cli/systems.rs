//! `cavigram systems`.

use std::io;
use std::path::{Path, PathBuf};

use cavigram::materials::{Library, System, begin_from};
use cavigram::render;
use cavigram::sheet::{SystemPage, SystemsList};
use clap::{Args, Subcommand};

use super::failure::Plain;
use super::request::{UsageError, find_system, usage};
use super::{Failure, library, new_file};

/// What `systems` takes.
///
/// A system is a file: id, parts, densities, times, hardness, as a data sheet
/// has them. They are looked for in the folder of your own, in a folder
/// systems beside the mesh or job file, and in the program, in that order.
#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true, verbatim_doc_comment)]
pub struct SystemsArgs {
    /// What to do with them; nothing lists them.
    #[command(subcommand)]
    pub what: Option<Asked>,
    /// Print one JSON object instead of the list.
    #[arg(long)]
    pub json: bool,
}

/// What to do with systems.
#[derive(Debug, Subcommand)]
pub enum Asked {
    /// Say all of one, with units and sources.
    Show(ShowArgs),
    /// Say whether files are right, and what they lack.
    Check(CheckArgs),
    /// Begin a new one from another, to fill in.
    New(NewArgs),
}

/// What `systems show` takes.
#[derive(Debug, Args)]
pub struct ShowArgs {
    /// Its id, or a file that ends in .toml
    #[arg(value_name = "SYSTEM")]
    pub system: String,
    /// Print one JSON object instead of the page.
    #[arg(long)]
    pub json: bool,
}

/// What `systems check` takes.
#[derive(Debug, Args)]
pub struct CheckArgs {
    /// The files
    #[arg(value_name = "FILE", required = true)]
    pub files: Vec<PathBuf>,
}

/// What `systems new` takes.
#[derive(Debug, Args)]
pub struct NewArgs {
    /// The new id: lower-case letters, digits and -
    #[arg(value_name = "ID")]
    pub id: String,
    /// The system to begin from
    #[arg(long, value_name = "SYSTEM")]
    pub from: String,
    /// Write it to this file, which must not exist yet
    /// [default: print it]
    #[arg(long, value_name = "FILE", verbatim_doc_comment)]
    pub to: Option<PathBuf>,
}

/// Why nothing came of it.
#[derive(Debug, thiserror::Error)]
pub enum SystemsFailure {
    /// Files are no systems.
    #[error("{}", .0.join("; "))]
    NotFine(Vec<String>),
    /// Something stands where the new file is to go.
    #[error("{} exists already", .0.display())]
    Exists(PathBuf),
    /// The new file can't be written.
    #[error("can't write {}: {}", .path.display(), Plain(.error))]
    Unwritten {
        /// Which file.
        path: PathBuf,
        /// Why.
        error: io::Error,
    },
}

impl SystemsFailure {
    /// What to do about it.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::NotFine(_) => None,
            Self::Exists(_) => Some("name a file that doesn't exist yet".to_owned()),
            Self::Unwritten { error, .. } => (error.kind() == io::ErrorKind::NotFound)
                .then(|| "make the folder first".to_owned()),
        }
    }
}

/// Does what was asked.
pub fn run(args: &SystemsArgs) -> Result<String, Failure> {
    match &args.what {
        None => list(args.json),
        Some(Asked::Show(args)) => show(args),
        Some(Asked::Check(args)) => Ok(check(&args.files)?),
        Some(Asked::New(args)) => new(args),
    }
}

/// Where systems are looked for without a mesh: beside whatever lies in the current folder.
fn at_hand() -> Library {
    library::beside(Path::new(""))
}

fn list(json: bool) -> Result<String, Failure> {
    let own = library::own_folder().map(|folder| ("your own", folder));
    let here = ("beside the mesh or job file", library::folder_beside(Path::new("")));
    let folders = own.into_iter().chain([here]);
    let folders = folders.map(|(what, path)| (what, path.display().to_string())).collect();
    let list = SystemsList::new(&at_hand(), folders);
    Ok(if json { render::json::systems(&list)? } else { render::terminal::systems(&list) })
}

fn show(args: &ShowArgs) -> Result<String, Failure> {
    let page = if library::is_file_name(&args.system) {
        let system = library::named(Path::new(&args.system))?;
        SystemPage::new(&system, "named file", args.system.clone())
    } else {
        let library = at_hand();
        let system = system(&args.system, "systems show", &library)?;
        let entry = library.entry(&args.system)?;
        SystemPage::new(&system, entry.place.as_str(), entry.file.clone())
    };
    Ok(if args.json { render::json::system(&page)? } else { render::terminal::system(&page) })
}

fn system(typed: &str, option: &'static str, library: &Library) -> Result<System, Failure> {
    match find_system(option, &Some(typed.to_owned()), library)? {
        Some(system) => Ok(system),
        None => Err(usage(option, typed, "names no system", None).into()),
    }
}

/// All files are read before anything is said: one that is wrong makes the whole fail.
fn check(files: &[PathBuf]) -> Result<String, SystemsFailure> {
    let mut text = String::new();
    let mut wrong = Vec::new();
    for file in files {
        match library::named(file) {
            Ok(system) => {
                text += &render::terminal::fine(&file.display().to_string(), &system.gaps())
            }
            Err(error) => wrong.push(match error.hint() {
                Some(hint) => format!("{error} ({hint})"),
                None => error.to_string(),
            }),
        }
    }
    if wrong.is_empty() { Ok(text) } else { Err(SystemsFailure::NotFine(wrong)) }
}

fn new(args: &NewArgs) -> Result<String, Failure> {
    let library = at_hand();
    if let Ok(entry) = library.entry(&args.id) {
        let reason = format!("there is a system of that name already ({})", entry.place.as_str());
        return Err(usage("systems new", &args.id, &reason, Some("take another id")).into());
    }
    let from = template(&args.from, &library)?;
    let text = begin_from(&from, &args.id).map_err(|error| not_an_id(&args.id, &error))?;
    let Some(path) = &args.to else { return Ok(text) };
    match new_file::write(path, &text) {
        Ok(()) => Ok(format!(
            "{} is written; fill it in, then: cavigram systems check {0}\n",
            path.display()
        )),
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {
            Err(SystemsFailure::Exists(path.clone()).into())
        }
        Err(error) => Err(SystemsFailure::Unwritten { path: path.clone(), error }.into()),
    }
}

/// The text of a sound system file.
fn template(from: &str, library: &Library) -> Result<String, Failure> {
    system(from, "--from", library)?;
    let text = if library::is_file_name(from) {
        library::read(Path::new(from)).ok()
    } else {
        library.entry(from)?.text.clone()
    };
    text.ok_or_else(|| usage("--from", from, "its text can't be read", None).into())
}

fn not_an_id(id: &str, error: &cavigram::materials::SystemError) -> UsageError {
    usage("systems new", id, &error.kind.to_string(), None)
}
