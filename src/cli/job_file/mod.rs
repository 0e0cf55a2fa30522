//! Working from a job file, and saving one.
//!
//! A job file is what was typed, kept: opening one makes a command line of what it keeps and what
//! was typed now, which wins; from there everything goes the way of any command line.

pub mod atomic;
mod failure;
mod options;
mod paths;
mod save;
mod systems;

pub use failure::JobFileFailure;
pub use save::{Planned, SaveArgs, Saving};
pub use systems::{KeptSystemError, KeptSystems, Used};

use std::ffi::OsString;
use std::path::{Path, PathBuf};

use cavigram::finding::Finding;
use cavigram::job::file::{JobFile, KeptFile, KeptOption, KeptValue};
use cavigram::job::{Insert, JobRequest, PartedBy};
use cavigram::materials::System;
use clap::{ArgMatches, CommandFactory};
use sha2::{Digest, Sha256};

use super::Failure;
use super::args::CommandLine;
use super::input::{self, InputError};
use super::library;
use super::shop::{self, ShopText};

/// The largest job file that is read, bytes: a thousand times what a usual one takes.
const MOST_BYTES: usize = 4 << 20;
/// Digits of a hash that are told.
const DIGITS_TOLD: usize = 12;

/// What was typed, with what the job file keeps that it names.
pub struct Line {
    /// All of it, merged.
    pub matches: ArgMatches,
    /// The job file, where one was named.
    pub job: Option<OpenedJob>,
}

/// A job file that is worked from.
pub struct OpenedJob {
    /// Its path, as it was typed.
    path: PathBuf,
    /// The folder that its paths lead from.
    folder: PathBuf,
    file: JobFile,
    systems: KeptSystems,
    /// The command that works from it.
    command: String,
    /// The options that were typed anew.
    typed: Vec<String>,
}

/// Where the workshop's own values are to be had.
pub enum KeptShop {
    /// From the file where it usually lies: this is no job.
    Look,
    /// From the job, so that it repeats to the gram: from its text, or nowhere.
    Job {
        /// The text of the file as it was when the job was saved.
        text: Option<String>,
        /// What to call it.
        name: String,
    },
}

/// A path that names a job file, by its ending.
pub fn is_job(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("toml"))
}

/// Takes in the job file that a command line names in place of a mesh, if it does.
pub fn open(matches: ArgMatches) -> Result<Line, Failure> {
    // A quote makes a plan of its own out of what was typed.
    let own = matches.subcommand().filter(|(command, _)| *command != "quote");
    let named = own.and_then(|(command, own)| {
        let mesh = own.try_get_one::<PathBuf>("mesh").ok().flatten()?;
        is_job(mesh).then(|| (command.to_owned(), own, mesh.clone()))
    });
    let Some((command, own, path)) = named else { return Ok(Line { matches, job: None }) };
    let file = read(&path)?;
    let folder = paths::folder_of(&path);
    let typed = options::typed(&command, own);
    let renamed = typed
        .iter()
        .filter(|typed| options::names_system(&typed.known))
        .filter_map(|typed| typed.values.last()?.to_str());
    let systems = KeptSystems::new(&file.systems, renamed);
    let typed = typed.iter().map(|typed| typed.known.name.clone()).collect();
    let line = options::merged(&command, own, &file, &folder);
    let matches = CommandLine::command().try_get_matches_from(line)?;
    Ok(Line { matches, job: Some(OpenedJob { path, folder, file, systems, command, typed }) })
}

/// The `plan` that a job file or a mesh asks for.
pub fn plan_of(path: &Path) -> Result<Line, Failure> {
    plan_with(path, &[])
}

/// The `mould` that a job file or a mesh asks for, with what was typed for a quote of how the mesh is
/// read.
pub fn mould_of(path: &Path, typed: Option<&ArgMatches>) -> Result<Line, Failure> {
    let options = typed.map(|typed| options::of_mesh("quote", typed)).unwrap_or_default();
    asked_by("mould", path, options)
}

/// The `plan` with options over what the job keeps: names without dashes, and values.
pub fn plan_with(path: &Path, options: &[(&str, &str)]) -> Result<Line, Failure> {
    let options = options.iter().map(|(name, value)| options::with_value(name, value.as_ref()));
    asked_by("plan", path, options.collect())
}

/// The `plan` of a job file or a mesh with all the options of `plan` that were typed for another
/// command.
pub fn plan_typed(command: &str, own: &ArgMatches, path: &Path) -> Result<Line, Failure> {
    asked_by("plan", path, options::of_plan(command, own))
}

fn asked_by(command: &str, path: &Path, options: Vec<OsString>) -> Result<Line, Failure> {
    let mut line: Vec<OsString> = vec!["cavigram".into(), command.into()];
    line.extend(options);
    line.extend(["--".into(), path.into()]);
    open(CommandLine::command().try_get_matches_from(line)?)
}

/// Reads a job file.
fn read(path: &Path) -> Result<JobFile, Failure> {
    let file = || path.display().to_string();
    let bytes = input::read(path)?;
    if bytes.len() > MOST_BYTES {
        return Err(JobFileFailure::TooLarge { file: file() }.into());
    }
    let job = JobFile::from_toml(&bytes, &options::known());
    Ok(job.map_err(|error| JobFileFailure::Broken { file: file(), error })?)
}

impl Line {
    /// The casting systems that the job keeps.
    pub fn systems(&self) -> KeptSystems {
        self.job.as_ref().map(|job| job.systems.clone()).unwrap_or_default()
    }

    /// Where the workshop's own values are to be had.
    pub fn shop(&self) -> KeptShop {
        match &self.job {
            None => KeptShop::Look,
            Some(job) => KeptShop::Job {
                text: job.file.shop.clone(),
                name: format!("[shop] of {}", job.path.display()),
            },
        }
    }

    /// What the job keeps for other commands, as a job in `folder` has it.
    fn of_others(&self, folder: &Path) -> Result<Vec<KeptOption>, Failure> {
        let Some(job) = &self.job else { return Ok(Vec::new()) };
        let own = options::known_of(&job.command);
        let is_own = |o: &KeptOption| own.iter().any(|k| k.is(&o.table, &o.name));
        let others = job.file.options.iter().filter(|option| !is_own(option));
        others.map(|option| job.moved(option, folder)).collect()
    }

    /// An option that the job keeps for another command, as it was typed there.
    pub fn kept_elsewhere(&self, name: &str) -> Option<String> {
        let option = self.job.as_ref()?.file.options.iter().find(|option| option.name == name)?;
        match &option.value {
            KeptValue::Files(files) => files.first().map(|file| file.path.clone()),
            KeptValue::Texts(texts) => texts.last().cloned(),
            KeptValue::Switch(_) => None,
        }
    }

    /// Revision of the job that is worked from.
    pub fn revision(&self) -> Option<u64> {
        self.job.as_ref().map(|job| job.file.revision)
    }

    /// Path of the job that is worked from.
    pub fn job_path(&self) -> Option<&Path> {
        self.job.as_ref().map(|job| job.path.as_path())
    }

    /// What is to be said of the mesh beside what the job remembers of it.
    pub fn mesh_findings(&self, mesh: &[u8]) -> Vec<Finding> {
        let Some(job) = &self.job else { return Vec::new() };
        changed("mesh", &job.file.mesh, mesh).into_iter().chain(job.other_version()).collect()
    }

    /// What is to be said of everything that a plan is made from beside what the job remembers.
    pub fn findings(&self, path: &Path, mesh: &[u8], request: &JobRequest) -> Vec<Finding> {
        let mut findings = self.mesh_findings(mesh);
        if let Some(job) = &self.job {
            findings.extend(job.insert_findings(&request.inserts));
            findings.extend(job.half_finding(request));
            let used = Used::by_casting(request);
            findings.extend(job.systems.findings(&used, &library::beside(path)));
            let present = shop::usual_file(path).ok().flatten();
            findings.extend(job.shop_finding(request, present.as_ref()));
        }
        findings
    }

    /// What is to be said of everything that a mould is made from beside what the job remembers.
    pub fn mould_findings(&self, path: &Path, mesh: &[u8], rubber: &System) -> Vec<Finding> {
        let mut findings = self.mesh_findings(mesh);
        if let Some(job) = &self.job {
            let used = Used::by_mould(rubber);
            findings.extend(job.systems.findings(&used, &library::beside(path)));
        }
        findings
    }

    /// The failure as it is told of a job: where in its file the fault lies.
    pub fn blamed(&self, failure: Failure) -> Failure {
        match &self.job {
            Some(job) => job.blamed(failure),
            None => failure,
        }
    }
}

impl OpenedJob {
    /// The option, where it comes from the file.
    fn kept(&self, name: &str) -> Option<&KeptOption> {
        let typed = self.typed.iter().any(|typed| typed == name);
        let own = options::known_of(&self.command);
        let is_own =
            |o: &KeptOption| own.iter().any(|k| (&k.table, &k.name) == (&o.table, &o.name));
        let mut named = self.file.options.iter().filter(|o| o.name == name && !typed);
        named.find(|option| is_own(option))
    }

    fn blamed(&self, failure: Failure) -> Failure {
        let file = self.path.display().to_string();
        match failure {
            Failure::Usage(error) => match self.kept(error.option.trim_start_matches('-')) {
                Some(option) => JobFileFailure::Value { file, line: option.line, error }.into(),
                None => Failure::Usage(error),
            },
            Failure::Input(InputError::Missing(path)) => match self.named(&path) {
                Some(named) => JobFileFailure::Missing { file, named, path }.into(),
                None => Failure::Input(InputError::Missing(path)),
            },
            Failure::KeptSystem(error) => JobFileFailure::System { file, error }.into(),
            other => other,
        }
    }

    /// The file's own words for a path.
    fn named(&self, path: &Path) -> Option<String> {
        let of_options = self.file.options.iter().filter_map(|option| match &option.value {
            KeptValue::Files(files) => Some(files),
            KeptValue::Switch(_) | KeptValue::Texts(_) => None,
        });
        let mut files = of_options.flatten().chain([&self.file.mesh]);
        files.find(|file| self.folder.join(&file.path) == path).map(|file| file.path.clone())
    }

    /// An option whose files are told from another folder.
    fn moved(&self, option: &KeptOption, folder: &Path) -> Result<KeptOption, Failure> {
        let KeptValue::Files(files) = &option.value else { return Ok(option.clone()) };
        let moved = files.iter().map(|file| {
            let path = paths::from_folder(folder, &self.folder.join(&file.path))?;
            Ok(KeptFile { path, sha256: file.sha256.clone() })
        });
        let value = KeptValue::Files(moved.collect::<Result<_, Failure>>()?);
        Ok(KeptOption { value, ..option.clone() })
    }

    fn insert_findings(&self, inserts: &[Insert]) -> Vec<Finding> {
        let Some(KeptOption { value: KeptValue::Files(files), .. }) = self.kept("insert") else {
            return Vec::new();
        };
        let pairs = files.iter().zip(inserts);
        pairs.filter_map(|(file, insert)| changed("insert", file, &insert.bytes)).collect()
    }

    fn half_finding(&self, request: &JobRequest) -> Option<Finding> {
        let KeptValue::Files(files) = &self.kept("other-half")?.value else { return None };
        let PartedBy::OtherHalf(scan) = &request.layers.parting.as_ref()?.by else { return None };
        changed("other half", files.first()?, &scan.bytes)
    }

    /// The job goes by the workshop's file as it was; that the present one is another is told.
    fn shop_finding(&self, request: &JobRequest, present: Option<&ShopText>) -> Option<Finding> {
        let present = present?;
        let named_anew = request.shop_told.file.as_ref() == Some(&present.name);
        let now = present.text.replace("\r\n", "\n");
        if named_anew || self.file.shop.as_ref() == Some(&now) {
            return None;
        }
        let goes_by = match self.file.shop {
            Some(_) => "its own copy, which is another",
            None => "the usual values",
        };
        let message = format!("there is a shop file {}; the job goes by {goes_by}", present.name);
        let hint = format!("--shop {} takes the present one", present.name);
        Some(Finding::note("shop-differs", message).with_hint(hint))
    }

    /// Defaults are not typed, so they may differ from one version to the next.
    fn other_version(&self) -> Option<Finding> {
        let program = self.file.program.as_deref().filter(|version| *version != VERSION)?;
        let message = format!(
            "the job was saved by version {program}, this is {VERSION}: what it doesn't name goes \
             by this version's defaults"
        );
        Some(Finding::note("other-version", message))
    }
}

/// This program's version.
const VERSION: &str = env!("CARGO_PKG_VERSION");

/// The warning where a file is another than the one that a job was saved with.
fn changed(what: &str, kept: &KeptFile, bytes: &[u8]) -> Option<Finding> {
    let was = kept.sha256.as_deref()?;
    let is = sha256(bytes);
    let told = |digits: &str| digits.chars().take(DIGITS_TOLD).collect::<String>();
    (is != was).then(|| {
        let message = format!(
            "the {what} {} has changed since the job was saved: SHA-256 {} instead of {}",
            kept.path,
            told(&is),
            told(was)
        );
        let hint = "look the sheet over; to accept it save the job again: --save with its name";
        Finding::warning("mesh-changed", message).with_hint(hint)
    })
}

/// SHA-256 in hexadecimal digits.
fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}
