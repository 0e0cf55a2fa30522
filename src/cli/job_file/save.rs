//! `--save`: what was typed, kept in a job file.

use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use cavigram::job::file::{JobFile, KeptFile, KeptOption, KeptValue, SCHEMA_STEM, Takes, head_of};
use cavigram::job::{JobRequest, PartedBy};
use clap::Args;

use super::options::{self, Typed};
use super::{JobFileFailure, Line, Used, VERSION, atomic, is_job, paths, sha256};
use crate::cli::args::PlanArgs;
use crate::cli::library::SystemFileError;
use crate::cli::request::{UsageError, usage};
use crate::cli::shop::ShopText;
use crate::cli::{Failure, input, library};

/// Where what was typed is kept.
#[derive(Debug, Args)]
#[command(next_help_heading = "Job file")]
pub struct SaveArgs {
    /// Keep all of this in a job file, to repeat it with
    /// plan or mould JOB.toml; options typed behind that
    /// win
    #[arg(long, value_name = "JOB.toml", verbatim_doc_comment)]
    pub save: Option<PathBuf>,
}

/// A job file about to be written: all that can be known beforehand is known to be right.
pub struct Saving {
    path: PathBuf,
    revision: u64,
}

/// What was worked with, to keep it.
pub struct Planned<'a> {
    /// The casting that was planned; `None` for a mould.
    pub casting: Option<&'a JobRequest>,
    /// The systems that it uses.
    pub used: Used<'a>,
    /// Path of the mesh.
    pub mesh_path: &'a Path,
    /// Its bytes.
    pub mesh: &'a [u8],
    /// The workshop's own file, where one was followed.
    pub shop: Option<&'a ShopText>,
}

impl Saving {
    /// Checks where a job is to be saved before any work is done for it.
    pub fn of_plan(args: &PlanArgs) -> Result<Option<Self>, Failure> {
        let Some(path) = &args.saving.save else { return Ok(None) };
        let once = [("skin-used", &args.correcting.skin_used), ("gap", &args.correcting.gap)];
        if let Some((option, _)) = once.iter().find(|(_, value)| value.is_some()) {
            let reason = format!("--{option} holds for a single casting, and a job for all of it");
            let hint = "save the job without it; cavigram record keeps what was used";
            let shown = path.display().to_string();
            return Err(usage("--save", &shown, &reason, Some(hint)).into());
        }
        Self::begin(&args.saving, &args.mesh.mesh)
    }

    /// The same where nothing typed holds for once.
    pub fn begin(args: &SaveArgs, mesh: &Path) -> Result<Option<Self>, Failure> {
        let Some(path) = &args.save else { return Ok(None) };
        check_name(path)?;
        if input::is_standard_input(mesh) {
            let reason = "a job names its mesh, and this one comes from standard input";
            let shown = path.display().to_string();
            return Err(usage("--save", &shown, reason, Some("name the mesh's file")).into());
        }
        let revision = revision_at(path)?.saturating_add(1);
        Ok(Some(Self { path: path.clone(), revision }))
    }

    /// Where it is kept.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The revision that it will have.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// Writes the job file, and tells what was written.
    pub fn finish(self, line: &Line, planned: Planned<'_>) -> Result<String, Failure> {
        let Planned { casting, used, mesh_path, mesh, shop } = planned;
        let folder = paths::folder_of(&self.path);
        let shown = self.path.display().to_string();
        let write = |error| JobFileFailure::Write { file: shown.clone(), error };
        if !paths::openable(&folder).is_dir() {
            return Err(JobFileFailure::NoFolder { file: shown, folder }.into());
        }
        let typed = line.matches.subcommand().map(|(command, own)| options::typed(command, own));
        let typed = typed.unwrap_or_default();
        let mut options: Vec<KeptOption> = typed
            .iter()
            .map(|typed| kept(typed, &folder, casting))
            .collect::<Result<_, Failure>>()?;
        options.extend(line.of_others(&folder)?);
        let library = library::beside(mesh_path);
        let kept = line.systems().with(texts_of_files(&typed)?);
        // Those of other commands stay.
        let mut systems = line.systems().all();
        systems.extend(kept.texts(&used, &library)?);
        let job = JobFile {
            revision: self.revision,
            program: Some(VERSION.to_owned()),
            mesh: KeptFile {
                path: paths::from_folder(&folder, mesh_path)?,
                sha256: Some(sha256(mesh)),
            },
            options,
            systems,
            shop: shop.map(|file| file.text.replace("\r\n", "\n")),
        };
        atomic::write(&self.path, job.to_toml().as_bytes()).map_err(write)?;
        Ok(format!("saved {shown}, revision {}", self.revision))
    }
}

fn check_name(path: &Path) -> Result<(), UsageError> {
    let shown = path.display().to_string();
    let refused = |reason| Err(usage("--save", &shown, reason, Some("write --save job.toml")));
    if input::is_standard_input(path) {
        return refused("a job is saved to a file, not to standard output");
    }
    if !is_job(path) {
        return refused("a job file's name ends in .toml");
    }
    Ok(())
}

/// Revision of the job file that would be replaced; 0 where there is none.
fn revision_at(path: &Path) -> Result<u64, Failure> {
    let file = || path.display().to_string();
    let text = match std::fs::read(path) {
        Ok(bytes) => String::from_utf8(bytes).ok(),
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(0),
        Err(error) => return Err(JobFileFailure::Write { file: file(), error }.into()),
    };
    match text.as_deref().and_then(head_of) {
        Some((schema, revision)) if schema.starts_with(SCHEMA_STEM) => Ok(revision),
        _ => Err(JobFileFailure::NotAJobToReplace { file: file() }.into()),
    }
}

/// An option as the job file keeps it.
fn kept(
    typed: &Typed<'_>,
    folder: &Path,
    casting: Option<&JobRequest>,
) -> Result<KeptOption, Failure> {
    let value = match typed.known.takes {
        Takes::Nothing => KeptValue::Switch(true),
        Takes::Text => {
            let texts = typed.values.iter().map(|value| named_for_good(typed, text(value)?));
            KeptValue::Texts(texts.collect::<Result<_, Failure>>()?)
        }
        Takes::File => {
            let files = typed.values.iter().enumerate();
            let file = |(at, path): (usize, &&OsStr)| {
                let path = Path::new(*path);
                // What was read for the plan is what is kept.
                let sha256 =
                    match casting.and_then(|request| bytes_of(&typed.known.name, at, request)) {
                        Some(bytes) => sha256(bytes),
                        None => sha256(&input::read(path)?),
                    };
                let path = paths::from_folder(folder, path)?;
                Ok::<_, Failure>(KeptFile { path, sha256: Some(sha256) })
            };
            KeptValue::Files(files.map(file).collect::<Result<_, _>>()?)
        }
    };
    let (table, name) = (typed.known.table.clone(), typed.known.name.clone());
    Ok(KeptOption { table, name, value, line: 0 })
}

/// The bytes of an option's file as they were planned with.
fn bytes_of<'a>(option: &str, at: usize, request: &'a JobRequest) -> Option<&'a [u8]> {
    match (option, request.layers.parting.as_ref().map(|parting| &parting.by)) {
        ("insert", _) => request.inserts.get(at).map(|insert| insert.bytes.as_slice()),
        ("other-half", Some(PartedBy::OtherHalf(scan))) => Some(&scan.bytes),
        _ => None,
    }
}

/// A system that was named by its file is kept under its id: its text goes with the job.
fn named_for_good(typed: &Typed<'_>, text: String) -> Result<String, Failure> {
    if options::names_system(&typed.known) && library::is_file_name(&text) {
        return Ok(library::named(Path::new(text.trim()))?.id);
    }
    Ok(text)
}

/// The texts of the systems that were named by their files, by id.
fn texts_of_files(typed: &[Typed<'_>]) -> Result<BTreeMap<String, String>, Failure> {
    let mut texts = BTreeMap::new();
    for one in typed.iter().filter(|one| options::names_system(&one.known)) {
        let named = one.values.iter().filter_map(|value| value.to_str());
        for path in named.filter(|name| library::is_file_name(name)) {
            let path = Path::new(path.trim());
            let text = library::read(path)
                .map_err(|why| SystemFileError::Unreadable { path: path.to_owned(), why })?;
            texts.insert(library::named(path)?.id, text.replace("\r\n", "\n"));
        }
    }
    Ok(texts)
}

fn text(value: &OsStr) -> Result<String, JobFileFailure> {
    let odd = || JobFileFailure::OddPath { path: value.to_string_lossy().into_owned() };
    value.to_str().map(str::to_owned).ok_or_else(odd)
}
