//! All casting systems at hand: the user's own, those beside the job, the built-in ones.

use super::builtin::{builtin_files, plain};
use super::{System, SystemError};
use crate::units::nearest_word;

/// Where a system's file lies; the order is that of looking.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    /// In the user's own folder.
    Own,
    /// In the folder beside the mesh or job file.
    Beside,
    /// In the program.
    BuiltIn,
}

impl Place {
    /// The word used in lists and JSON.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Own => "own folder",
            Self::Beside => "beside the job",
            Self::BuiltIn => "built in",
        }
    }
}

/// A system file as it was found; the library opens none itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SystemSource {
    /// Where it lies.
    pub place: Place,
    /// Its name, with or without its folder.
    pub file: String,
    /// Its text, or why it can't be read.
    pub text: Result<String, String>,
}

/// One system file of a library.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The system's id; of a broken file the id that can still be made out, else the file's name.
    pub id: String,
    /// Where the file lies.
    pub place: Place,
    /// Its name.
    pub file: String,
    /// Its text, where it can be read.
    pub text: Option<String>,
    /// What it says, or what is wrong with it.
    pub system: Result<System, EntryFault>,
    /// Another file of the same id comes first.
    pub hidden: bool,
}

/// What is wrong with a system file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EntryFault {
    /// It can't be read.
    #[error("{0}")]
    Unreadable(String),
    /// It is no system.
    #[error(transparent)]
    Broken(#[from] SystemError),
}

/// Why a library has no such system to give.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LibraryError {
    /// No file has that id.
    #[error("there is no system `{typed}`; there are {}", .known.join(", "))]
    Unknown {
        /// What was typed.
        typed: String,
        /// All ids, in the order of looking.
        known: Vec<String>,
        /// The id most like what was typed, where one is near.
        nearest: Option<String>,
        /// Folders that couldn't be looked through, and why.
        unread: Vec<String>,
    },
    /// The file that has it is broken.
    #[error("system `{id}` ({}, {file}): {fault}", .place.as_str())]
    Broken {
        /// Its id.
        id: String,
        /// Where the file lies.
        place: Place,
        /// Its name.
        file: String,
        /// What is wrong.
        fault: Box<EntryFault>,
    },
}

impl LibraryError {
    /// What to do about it.
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Unknown { nearest: Some(id), .. } => Some(format!("did you mean `{id}`?")),
            Self::Unknown { unread, .. } if !unread.is_empty() => Some(unread.join("; ")),
            Self::Unknown { .. } => None,
            Self::Broken { fault, .. } => match &**fault {
                EntryFault::Broken(error) => error.hint(),
                EntryFault::Unreadable(_) => None,
            },
        }
    }
}

/// All casting systems at hand. The first file with an id wins: own, beside the job, built in.
///
/// A broken file stands in nobody's way: it is told when its id is asked for, and listed.
#[derive(Debug, Clone, PartialEq)]
pub struct Library {
    entries: Vec<Entry>,
    unread: Vec<String>,
}

impl Library {
    /// Made of files found in folders, and the built-in systems behind them; `unread` tells which
    /// folders couldn't be looked through, and why.
    ///
    /// # Example
    /// ```
    /// use cavigram::materials::{Library, Place, SystemSource, builtin_toml};
    ///
    /// let text = builtin_toml("urethane-a5").unwrap_or_default();
    /// let mine = SystemSource {
    ///     place: Place::Own,
    ///     file: "mine.toml".to_owned(),
    ///     text: Ok(text.replace("id = \"urethane-a5\"", "id = \"mine\"")),
    /// };
    /// let library = Library::new([mine], Vec::new());
    /// assert_eq!(library.system("mine")?.id, "mine");
    /// assert_eq!(library.system("urethane-a5")?.id, "urethane-a5");
    /// # Ok::<(), cavigram::materials::LibraryError>(())
    /// ```
    pub fn new(sources: impl IntoIterator<Item = SystemSource>, unread: Vec<String>) -> Self {
        let mut sources: Vec<SystemSource> = sources.into_iter().collect();
        sources.sort_by(|a, b| (a.place, &a.file).cmp(&(b.place, &b.file)));
        let built_in = builtin_files().map(|(id, text)| SystemSource {
            place: Place::BuiltIn,
            file: format!("{id}.toml"),
            text: Ok(text.to_owned()),
        });
        let mut entries: Vec<Entry> = Vec::new();
        for source in sources.into_iter().chain(built_in) {
            let entry = Entry::of(source);
            let hidden = entries.iter().any(|before| plain(&before.id) == plain(&entry.id));
            entries.push(Entry { hidden, ..entry });
        }
        Self { entries, unread }
    }

    /// Every file, in the order of looking; the hidden ones too.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// Folders that couldn't be looked through, and why.
    pub fn unread(&self) -> &[String] {
        &self.unread
    }

    /// The file of a system by its id; case, `oo` for 00, US spellings and spaces for `-` don't
    /// matter.
    ///
    /// # Errors
    /// [`LibraryError::Unknown`] lists the ids and the nearest one.
    pub fn entry(&self, typed: &str) -> Result<&Entry, LibraryError> {
        let wanted = plain(typed);
        // Whoever can't find a broken file by its id knows it by its name.
        let by_name = |entry: &&Entry| entry.system.is_err() && plain(stem(&entry.file)) == wanted;
        let mut entries = self.entries.iter();
        let found = entries.find(|entry| plain(&entry.id) == wanted);
        found.or_else(|| self.entries.iter().find(by_name)).ok_or_else(|| self.unknown(typed))
    }

    /// A system by its id.
    ///
    /// # Errors
    /// [`LibraryError`].
    pub fn system(&self, typed: &str) -> Result<System, LibraryError> {
        let entry = self.entry(typed)?;
        entry.system.clone().map_err(|fault| LibraryError::Broken {
            id: entry.id.clone(),
            place: entry.place,
            file: entry.file.clone(),
            fault: Box::new(fault),
        })
    }

    fn unknown(&self, typed: &str) -> LibraryError {
        let shown = self.entries.iter().filter(|entry| !entry.hidden);
        let known: Vec<String> = shown.map(|entry| entry.id.clone()).collect();
        let spelled: Vec<String> = known.iter().map(|id| plain(id)).collect();
        let near = nearest_word(&plain(typed), spelled.iter().map(String::as_str));
        let near = near.and_then(|near| known.iter().find(|id| plain(id) == near)).cloned();
        LibraryError::Unknown {
            typed: typed.to_owned(),
            known,
            nearest: near,
            unread: self.unread.clone(),
        }
    }
}

impl Entry {
    fn of(source: SystemSource) -> Self {
        let SystemSource { place, file, text } = source;
        let (text, system) = match text {
            Ok(text) => {
                let system = System::from_toml(&text).map_err(EntryFault::from);
                (Some(text), system)
            }
            Err(why) => (None, Err(EntryFault::Unreadable(why))),
        };
        let id = match &system {
            Ok(system) => system.id.clone(),
            Err(_) => {
                text.as_deref().and_then(written_id).unwrap_or_else(|| stem(&file).to_owned())
            }
        };
        Self { id, place, file, text, system, hidden: false }
    }
}

/// The id in a text that is no sound system file: its first line of the form `id = "…"`.
fn written_id(text: &str) -> Option<String> {
    let id = text.lines().find_map(|line| line.trim().strip_prefix("id")?.trim().strip_prefix('='));
    let id = id?.trim().strip_prefix('"')?.split('"').next()?;
    (!id.is_empty()).then(|| id.to_owned())
}

/// A file's name without folders and ending.
fn stem(file: &str) -> &str {
    let name = file.rsplit(['/', '\\']).next().unwrap_or(file);
    name.rsplit_once('.').map_or(name, |(stem, _)| stem)
}
