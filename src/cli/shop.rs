//! The options of the workshop, and the file of its own values.

use std::fs;
use std::path::{Path, PathBuf};

use cavigram::plan::{ShopFileError, ShopKey, Workshop};
use clap::Args;
use etcetera::BaseStrategy;

use super::Failure;
use super::job_file::{KeptShop, Line};
use super::library;
use super::request::{UsageError, usage};

/// The file's name beside a mesh or job file, and in the program's own folder.
const NAME: &str = "shop.toml";
/// What stands in place of a file where none is to be followed.
const NONE: &str = "none";

/// What the workshop has, and how it works.
#[derive(Debug, Args)]
#[command(next_help_heading = "Workshop")]
pub struct WorkshopArgs {
    /// File of the workshop's own values: scale, cups,
    /// room, allowances, pace; none for usual ones
    /// [default: shop.toml beside the mesh, else in the
    /// configuration folder, if there is one]
    #[arg(long, value_name = "FILE", verbatim_doc_comment)]
    pub shop: Option<PathBuf>,

    /// What the scale counts in: 0.1g, 1g
    /// [default: 0.1g]
    #[arg(long, value_name = "GRAMS", allow_hyphen_values = true, verbatim_doc_comment)]
    pub scale_step: Option<String>,

    /// Cups at hand, brim-full: 250ml,600ml; any for
    /// any size [default: any]
    #[arg(long, value_name = "LIST", allow_hyphen_values = true, verbatim_doc_comment)]
    pub cup: Option<String>,

    /// Mixes are degassed under vacuum: yes or no
    /// [default: no]
    #[arg(long, value_name = "yes|no", allow_hyphen_values = true, verbatim_doc_comment)]
    pub vacuum: Option<String>,

    /// How warm the room is: 28C, 82F; warmth shortens
    /// times [default: as the data sheets have it]
    #[arg(long, value_name = "TEMP", allow_hyphen_values = true, verbatim_doc_comment)]
    pub room: Option<String>,

    /// A witness puck from each batch: usual for a disc
    /// 45 mm across and 8 mm high, or a volume
    /// [default: none]
    #[arg(long, value_name = "VOLUME", allow_hyphen_values = true, verbatim_doc_comment)]
    pub puck: Option<String>,
}

/// The text of the file of the workshop's own values, and what to call it.
#[derive(Debug, Clone)]
pub struct ShopText {
    /// Its path as it is told.
    pub name: String,
    /// What it says.
    pub text: String,
}

/// Why the file of the workshop's own values can't be followed.
#[derive(Debug, thiserror::Error)]
pub enum ShopFailure {
    /// It can't be read.
    #[error("{file}: {why}")]
    Unreadable {
        /// Which file.
        file: String,
        /// Why.
        why: String,
    },
    /// What it says can't be meant.
    #[error("{file}: {error}")]
    Broken {
        /// Which file.
        file: String,
        /// What is wrong, and where.
        error: ShopFileError,
    },
}

impl ShopFailure {
    /// What to do about it.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Unreadable { .. } => {
                Some("mend it, or give --shop none for the usual values".to_owned())
            }
            Self::Broken { error, .. } => error.hint(),
        }
    }
}

/// The workshop's own file: as it was named, as the job keeps it, or where it usually lies.
pub fn text(
    named: Option<&Path>,
    mesh: &Path,
    line: &Line,
) -> Result<Option<ShopText>, ShopFailure> {
    match line.shop() {
        KeptShop::Job { text, name } if named.is_none() => {
            Ok(text.map(|text| ShopText { name, text }))
        }
        KeptShop::Job { .. } | KeptShop::Look => find(named, mesh),
    }
}

/// The workshop's own file where no job keeps it: as it was named, or where it usually lies.
pub fn find(named: Option<&Path>, mesh: &Path) -> Result<Option<ShopText>, ShopFailure> {
    match named {
        Some(path) if path.as_os_str() == NONE => Ok(None),
        Some(path) => read(path).map(Some),
        None => usual_file(mesh),
    }
}

/// The file where it usually lies, if it does.
pub fn usual_file(mesh: &Path) -> Result<Option<ShopText>, ShopFailure> {
    let beside = mesh.parent().unwrap_or(Path::new("")).join(NAME);
    let own = etcetera::base_strategy::choose_native_strategy()
        .ok()
        .map(|strategy| strategy.config_dir().join("cavigram").join(NAME));
    let lies = |path: &PathBuf| fs::symlink_metadata(path).is_ok();
    let found = [Some(beside), own].into_iter().flatten().find(lies);
    found.map(|path| read(&path)).transpose()
}

fn read(path: &Path) -> Result<ShopText, ShopFailure> {
    let name = path.display().to_string();
    match library::read(path) {
        Ok(text) => Ok(ShopText { name, text }),
        Err(why) => Err(ShopFailure::Unreadable { file: name, why }),
    }
}

/// What the workshop is: its file, and what was typed over it.
pub fn workshop(args: &WorkshopArgs, file: Option<&ShopText>) -> Result<Workshop, Failure> {
    let mut workshop = match file {
        None => Workshop::default(),
        Some(file) => Workshop::from_toml(&file.text)
            .map_err(|error| ShopFailure::Broken { file: file.name.clone(), error })?,
    };
    typed(args, &mut workshop)?;
    Ok(workshop)
}

fn typed(args: &WorkshopArgs, workshop: &mut Workshop) -> Result<(), UsageError> {
    for (option, key, text) in [
        ("--scale-step", ShopKey::SCALE_STEP, &args.scale_step),
        ("--cup", ShopKey::CUPS, &args.cup),
        ("--vacuum", ShopKey::VACUUM, &args.vacuum),
        ("--room", ShopKey::ROOM, &args.room),
        ("--puck", ShopKey::PUCK, &args.puck),
    ] {
        let Some(text) = text else { continue };
        workshop
            .set(key, text)
            .map_err(|error| usage(option, text, &error.reason, error.hint.as_deref()))?;
    }
    Ok(())
}
