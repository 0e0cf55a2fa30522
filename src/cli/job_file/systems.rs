//! The casting systems whose texts a job keeps, so that it repeats whatever becomes of them.

use std::collections::BTreeMap;

use cavigram::finding::Finding;
use cavigram::job::JobRequest;
use cavigram::materials::{Library, System, SystemError, builtin};

use super::JobFileFailure;

/// The systems that a job keeps, by id.
#[derive(Debug, Clone, Default)]
pub struct KeptSystems {
    texts: BTreeMap<String, String>,
}

/// The present text of a system: the one place that knows where systems come from.
pub fn system_text(id: &str, library: &Library) -> Option<String> {
    let text = library.entry(id).ok()?.text.as_ref()?;
    Some(text.replace("\r\n", "\n"))
}

impl KeptSystems {
    /// The systems of a job; `renamed` are those named anew on the command line, which are taken
    /// as they are now.
    pub fn new<'a>(
        texts: &BTreeMap<String, String>,
        renamed: impl IntoIterator<Item = &'a str>,
    ) -> Self {
        let mut texts = texts.clone();
        for typed in renamed {
            texts.remove(&id(typed));
        }
        Self { texts }
    }

    /// All texts, by id.
    pub fn all(self) -> BTreeMap<String, String> {
        self.texts
    }

    /// The same with these texts, by id, which win.
    pub fn with(mut self, texts: BTreeMap<String, String>) -> Self {
        self.texts.extend(texts);
        self
    }

    /// The kept system that is meant by what was typed.
    ///
    /// # Errors
    /// [`SystemError`] where its text is no system any more.
    pub fn find(&self, typed: &str) -> Result<Option<System>, KeptSystemError> {
        let id = id(typed);
        let Some(text) = self.texts.get(&id) else { return Ok(None) };
        let error = |source| KeptSystemError { id: id.clone(), source };
        System::from_toml(text).map(Some).map_err(error)
    }

    /// What is to be said of the systems that are used.
    pub fn findings(&self, used: &Used<'_>, library: &Library) -> Vec<Finding> {
        let ids = used.ids.iter();
        let differs = ids.filter_map(|id| Some((*id, self.texts.get(*id)?)));
        differs.filter_map(|(id, kept)| difference(id, kept, used.named_by, library)).collect()
    }

    /// The texts of the systems that are used, to keep them.
    pub fn texts(
        &self,
        used: &Used<'_>,
        library: &Library,
    ) -> Result<BTreeMap<String, String>, JobFileFailure> {
        let text = |id: &str| {
            let text = self.texts.get(id).cloned().or_else(|| system_text(id, library));
            let text = text.ok_or_else(|| JobFileFailure::NoSystemText { id: id.to_owned() })?;
            Ok((id.to_owned(), text))
        };
        used.ids.iter().copied().map(text).collect()
    }
}

/// A system that a job keeps is broken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("system `{id}` under `[systems]`: {source} of its text")]
pub struct KeptSystemError {
    /// Its id.
    pub id: String,
    /// What is wrong with its text.
    pub source: SystemError,
}

/// The id that is meant by what was typed.
fn id(typed: &str) -> String {
    builtin(typed).map_or_else(|_| typed.trim().to_lowercase(), |system| system.id)
}

/// The systems that a request uses.
pub struct Used<'a> {
    ids: Vec<&'a str>,
    /// The options that name them.
    named_by: &'static [&'static str],
}

impl<'a> Used<'a> {
    /// Those of a casting.
    pub fn by_casting(request: &'a JobRequest) -> Self {
        let materials = &request.materials;
        let mut ids: Vec<&str> = [&materials.skin, &materials.core, &materials.cap]
            .map(|recipe| recipe.system.id.as_str())
            .to_vec();
        ids.sort_unstable();
        ids.dedup();
        Self { ids, named_by: &["--skin-system", "--core-system", "--cap-system"] }
    }

    /// That of a mould.
    pub fn by_mould(rubber: &'a System) -> Self {
        Self { ids: vec![&rubber.id], named_by: &["--rubber"] }
    }
}

fn difference(id: &str, kept: &str, named_by: &[&str], library: &Library) -> Option<Finding> {
    match system_text(id, library) {
        Some(now) if now == kept.replace("\r\n", "\n") => None,
        Some(_) => {
            let message =
                format!("system {id} is another now than in the job, which goes by its own");
            let (first, others) = named_by.split_first()?;
            let others = match others {
                [] => String::new(),
                others => format!(" (or {})", others.join(", ")),
            };
            let hint = format!("name it again to take the present one: {first} {id}{others}");
            Some(Finding::note("system-differs", message).with_hint(hint))
        }
        None => {
            let message = format!("there is no system {id} any more; the job goes by its own");
            Some(Finding::note("system-differs", message))
        }
    }
}
