//! The options that write the bench sheet and drawings to files.

use std::ffi::OsStr;
use std::io;
use std::path::{Path, PathBuf};

use cavigram::render::html::Heading;
use cavigram::render::{self, Lengths};
use cavigram::sheet::{DrawingRequest, Sheet};
use clap::Args;
use jiff::ZonedDateTime;

use super::Failure;
use super::failure::Plain;
use super::input;
use super::job_file::{Line, Saving, atomic};
use super::request::{UsageError, unknown_word, usage, word};

/// What goes on paper.
#[derive(Debug, Args)]
#[command(next_help_heading = "Paper (files that are written beside what is printed)")]
pub struct PaperArgs {
    /// The bench sheet, with pictures, as one page for a
    /// browser, to be printed on A4 or US Letter
    #[arg(long, value_name = "FILE.html", verbatim_doc_comment)]
    pub sheet: Option<PathBuf>,

    /// A section with its layers, true to scale
    #[arg(long, value_name = "FILE.svg", verbatim_doc_comment)]
    pub section: Option<PathBuf>,

    /// A shaded view of the cavity
    #[arg(long, value_name = "FILE.png", verbatim_doc_comment)]
    pub picture: Option<PathBuf>,

    /// The unit that comes first on bench sheet and
    /// section [default: mm]
    #[arg(long, value_name = "mm|in", allow_hyphen_values = true, verbatim_doc_comment)]
    pub lengths: Option<String>,
}

/// Why a page or drawing can't be had.
#[derive(Debug, thiserror::Error)]
pub enum PaperFailure {
    /// The operating system refuses.
    #[error("can't write {file}: {}", Plain(.error))]
    Write {
        /// Which file.
        file: String,
        /// What it says.
        error: io::Error,
    },
    /// The folder that it is to stand in isn't there.
    #[error("can't write {file}: there is no folder {folder}; make it first, or write elsewhere")]
    NoFolder {
        /// Which file.
        file: String,
        /// Which folder.
        folder: String,
    },
    /// The picture can't be packed.
    #[error("{file}: the picture can't be made: {error}")]
    Picture {
        /// Which file.
        file: String,
        /// Why.
        error: render::png::PngError,
    },
}

/// Files about to be written: all that can be known beforehand is known to be right.
pub struct Paper<'a> {
    args: &'a PaperArgs,
    lengths: Lengths,
}

impl<'a> Paper<'a> {
    /// Checks what is asked for before any work is done for it.
    pub fn begin(args: &'a PaperArgs) -> Result<Self, Failure> {
        let lengths = match word(&args.lengths).as_deref() {
            None | Some("mm") => Lengths::Millimetres,
            Some("in" | "inch" | "inches") => Lengths::Inches,
            Some(_) => return Err(unknown_word("--lengths", &args.lengths, "mm or in").into()),
        };
        if args.lengths.is_some() && args.sheet.is_none() && args.section.is_none() {
            let reason = "only bench sheet and section are drawn in a unit";
            let typed = args.lengths.as_deref().unwrap_or_default();
            let hint = Some("give --sheet bench.html or --section section.svg too");
            return Err(usage("--lengths", typed, reason, hint).into());
        }
        check("--sheet", args.sheet.as_deref(), &["html", "htm"])?;
        check("--section", args.section.as_deref(), &["svg"])?;
        check("--picture", args.picture.as_deref(), &["png"])?;
        for file in [&args.sheet, &args.section, &args.picture].into_iter().flatten() {
            let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty());
            if let Some(folder) = folder.filter(|folder| !folder.is_dir()) {
                let (file, folder) = (file.display().to_string(), folder.display().to_string());
                return Err(PaperFailure::NoFolder { file, folder }.into());
            }
        }
        Ok(Self { args, lengths })
    }

    /// What is to be drawn.
    pub fn drawings(&self) -> DrawingRequest {
        DrawingRequest {
            section: self.args.section.is_some(),
            sheet: self.args.sheet.is_some(),
            picture: self.args.picture.is_some(),
        }
    }

    /// Writes the files, and tells what was written.
    pub fn finish(
        &self,
        sheet: &Sheet,
        line: &Line,
        saved: Option<&Saving>,
    ) -> Result<Vec<String>, Failure> {
        let mut files: Vec<(&Path, Vec<u8>)> = Vec::new();
        let failed = |file: &Path| {
            let file = file.display().to_string();
            |error| PaperFailure::Picture { file, error }
        };
        if let Some(file) = &self.args.sheet {
            let page = render::html::page(sheet, &self.heading(line, saved));
            files.push((file, page.map_err(failed(file))?.into_bytes()));
        }
        if let Some(file) = &self.args.section {
            let drawing = render::svg::section(sheet, self.lengths).unwrap_or_default();
            files.push((file, drawing.into_bytes()));
        }
        if let Some(file) = &self.args.picture {
            files.push((file, render::png::picture(sheet).map_err(failed(file))?));
        }
        let mut written = Vec::new();
        for (file, bytes) in files {
            atomic::write(file, &bytes).map_err(|error| refused(file, error))?;
            written.push(format!("wrote {}", file.display()));
        }
        Ok(written)
    }
}

impl Paper<'_> {
    /// The day, and the job that is saved or worked from.
    fn heading(&self, line: &Line, saved: Option<&Saving>) -> Heading {
        let name = |path: &Path| input::name(path);
        Heading {
            date: Some(ZonedDateTime::now().strftime("%Y-%m-%d").to_string()),
            job: saved.map(|s| name(s.path())).or(line.job_path().map(name)),
            revision: saved.map(Saving::revision).or(line.revision()),
            lengths: self.lengths,
        }
    }
}

fn refused(file: &Path, error: io::Error) -> Failure {
    PaperFailure::Write { file: file.display().to_string(), error }.into()
}

/// A name's ending says that no other file is meant.
fn check(option: &'static str, file: Option<&Path>, endings: &[&str]) -> Result<(), UsageError> {
    let Some(file) = file else { return Ok(()) };
    let shown = file.display().to_string();
    if input::is_standard_input(file) {
        let reason = "this is written to a file, not to standard output";
        return Err(usage(option, &shown, reason, Some("name a file")));
    }
    let ending = file.extension().and_then(OsStr::to_str).map(str::to_lowercase);
    if ending.is_some_and(|ending| endings.contains(&ending.as_str())) {
        return Ok(());
    }
    let reason = format!("the file's name must end in .{}", endings.first().unwrap_or(&""));
    Err(usage(option, &shown, &reason, None))
}
