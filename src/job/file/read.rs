//! A job from the text of its file.

use std::collections::BTreeMap;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::{
    JobFile, JobFileError, JobFileErrorKind as Kind, KeptFile, KeptOption, KeptValue, KnownOption,
    SCHEMA, SCHEMA_STEM, Takes, UnknownKey,
};
use crate::units::{line_and_column, nearest_word};

/// Keys at the head of the file.
const HEAD: [&str; 3] = ["schema", "revision", "program"];
/// Tables beside those of the options.
const SYSTEMS: &str = "systems";
const SHOP: &str = "shop";
const MESH: &str = "mesh";
/// Keys of a file.
const FILE: [&str; 2] = ["file", "sha256"];

type Fault = (Range<usize>, Kind);

impl JobFile {
    /// Reads a job from the bytes of its file; `known` are the options it may keep.
    ///
    /// # Errors
    /// [`JobFileError`] with line, column, what was expected and, in its hint, what was likely
    /// meant.
    ///
    /// # Example
    /// ```
    /// use cavigram::job::file::{JobFile, KnownOption, Takes};
    ///
    /// let skin = KnownOption {
    ///     table: "layers".into(),
    ///     name: "skin".into(),
    ///     takes: Takes::Text,
    ///     repeats: false,
    /// };
    /// let text = r#"
    ///     schema = "cavigram/job/1"
    ///     revision = 1
    ///     mesh.file = "knee.stl"
    ///     layers.skinn = "2mm"
    /// "#;
    /// let error = JobFile::from_toml(text.as_bytes(), &[skin]).unwrap_err();
    /// assert_eq!((error.line, error.column), (5, 12));
    /// assert_eq!(error.kind.hint().as_deref(), Some("did you mean `skin`?"));
    /// ```
    pub fn from_toml(bytes: &[u8], known: &[KnownOption]) -> Result<Self, JobFileError> {
        let text = match std::str::from_utf8(bytes) {
            Ok(text) => text.strip_prefix('\u{feff}').unwrap_or(text),
            Err(error) => {
                let sound = bytes.get(..error.valid_up_to()).unwrap_or_default();
                let before = String::from_utf8_lossy(sound);
                return Err(at(&before, before.len(), Kind::NotText));
            }
        };
        if text.trim().is_empty() {
            return Err(at("", 0, Kind::Empty));
        }
        let table = DeTable::parse(text).map_err(|error| {
            let start = error.span().map_or(0, |span| span.start);
            at(text, start, Kind::Toml(error.message().to_owned()))
        })?;
        let reader = Reader { text, known };
        reader.job(table.get_ref()).map_err(|(span, kind)| at(text, span.start, kind))
    }
}

fn at(text: &str, byte: usize, kind: Kind) -> JobFileError {
    let (line, column) = line_and_column(text, byte);
    JobFileError { line, column, kind }
}

struct Reader<'a> {
    text: &'a str,
    known: &'a [KnownOption],
}

impl Reader<'_> {
    fn job(&self, head: &DeTable<'_>) -> Result<JobFile, Fault> {
        check_schema(head)?;
        let mut job = JobFile::default();
        let mut has_mesh = false;
        for (key, value) in head {
            let name: &str = key.get_ref();
            match name {
                "schema" => {}
                "revision" => job.revision = revision(value)?,
                "program" => job.program = Some(string(name, value)?),
                SYSTEMS => job.systems = systems(value)?,
                SHOP => job.shop = Some(shop(value)?),
                MESH => {
                    let table = self.table(name, value)?;
                    job.mesh = mesh(table, value.span())?;
                    has_mesh = true;
                    self.options(name, table, &mut job.options)?;
                }
                _ if self.tables().any(|table| table == name) => {
                    self.options(name, self.table(name, value)?, &mut job.options)?;
                }
                _ => return Err((key.span(), self.unknown_at_head(name, value.get_ref()))),
            }
        }
        if !has_mesh {
            return Err((0..0, Kind::Missing { table: MESH, key: "file" }));
        }
        if job.revision == 0 {
            return Err((0..0, Kind::Missing { table: "", key: "revision" }));
        }
        job.options.sort_by_key(|option| option.line);
        Ok(job)
    }

    fn tables(&self) -> impl Iterator<Item = &str> {
        self.known.iter().map(|option| option.table.as_str())
    }

    fn table<'t, 'i>(
        &self,
        name: &str,
        value: &'t Spanned<DeValue<'i>>,
    ) -> Result<&'t DeTable<'i>, Fault> {
        value.get_ref().as_table().ok_or_else(|| expected(name, "a table", value))
    }

    fn unknown_at_head(&self, name: &str, value: &DeValue<'_>) -> Kind {
        if value.is_table() {
            let mut known: Vec<String> = vec![MESH.to_owned()];
            for table in self.tables().chain([SYSTEMS, SHOP]) {
                if !known.iter().any(|k| k == table) {
                    known.push(table.to_owned());
                }
            }
            let nearest = nearest(name, known.iter().map(String::as_str)).map(str::to_owned);
            return Kind::UnknownTable { name: name.to_owned(), known, nearest };
        }
        self.unknown("", name, HEAD.map(str::to_owned).to_vec())
    }

    fn unknown(&self, table: &str, name: &str, known: Vec<String>) -> Kind {
        let elsewhere = self.known.iter().find(|option| option.name == name);
        Kind::UnknownKey(Box::new(UnknownKey {
            table: table.to_owned(),
            name: name.to_owned(),
            nearest: nearest(name, known.iter().map(String::as_str)).map(str::to_owned),
            known,
            elsewhere: elsewhere.map(|option| option.table.clone()),
        }))
    }

    /// The options of one table.
    fn options(
        &self,
        table: &str,
        entries: &DeTable<'_>,
        into: &mut Vec<KeptOption>,
    ) -> Result<(), Fault> {
        for (key, value) in entries {
            let name: &str = key.get_ref();
            if table == MESH && FILE.contains(&name) {
                continue;
            }
            let known = self.known.iter().find(|o| o.table == table && o.name == name);
            let Some(known) = known else {
                let mut names: Vec<String> =
                    if table == MESH { FILE.map(str::to_owned).to_vec() } else { Vec::new() };
                let own = self.known.iter().filter(|option| option.table == table);
                names.extend(own.map(|option| option.name.clone()));
                return Err((key.span(), self.unknown(table, name, names)));
            };
            let line = at(self.text, key.span().start, Kind::Empty).line;
            let (table, name) = (table.to_owned(), name.to_owned());
            into.push(KeptOption { value: option(known, value)?, table, name, line });
        }
        Ok(())
    }
}

fn check_schema(head: &DeTable<'_>) -> Result<(), Fault> {
    let Some(value) = head.get("schema") else { return Err((0..0, Kind::NotAJob)) };
    match value.get_ref().as_str() {
        Some(SCHEMA) => Ok(()),
        Some(other) if other.starts_with(SCHEMA_STEM) => {
            Err((value.span(), Kind::Schema(other.to_owned())))
        }
        _ => Err((value.span(), Kind::NotAJob)),
    }
}

fn revision(value: &Spanned<DeValue<'_>>) -> Result<u64, Fault> {
    let number = value.get_ref().as_integer().filter(|number| number.radix() == 10);
    let revision = number.and_then(|number| number.as_str().parse().ok());
    revision
        .filter(|revision| *revision > 0)
        .ok_or_else(|| expected("revision", "a whole number from 1", value))
}

/// What stands behind an option.
fn option(known: &KnownOption, value: &Spanned<DeValue<'_>>) -> Result<KeptValue, Fault> {
    let name = known.name.as_str();
    let items = match value.get_ref().as_array() {
        Some(items) if known.repeats => items.iter().collect(),
        _ => vec![value],
    };
    Ok(match known.takes {
        Takes::Nothing => {
            let given = value.get_ref().as_bool();
            KeptValue::Switch(given.ok_or_else(|| expected(name, "true or false", value))?)
        }
        Takes::Text => {
            let texts = items.into_iter().map(|item| text(name, item));
            KeptValue::Texts(texts.collect::<Result<_, _>>()?)
        }
        Takes::File => {
            let files = items.into_iter().map(|item| file(name, item));
            KeptValue::Files(files.collect::<Result<_, _>>()?)
        }
    })
}

/// A text as it would be typed: numbers count as the digits they are written with.
fn text(name: &str, value: &Spanned<DeValue<'_>>) -> Result<String, Fault> {
    match value.get_ref() {
        DeValue::String(text) => Ok(text.to_string()),
        DeValue::Integer(number) if number.radix() == 10 => Ok(number.as_str().to_owned()),
        DeValue::Float(number) => Ok(number.as_str().to_owned()),
        _ => Err(expected(name, "what is typed behind the option, such as \"2mm\"", value)),
    }
}

fn string(name: &str, value: &Spanned<DeValue<'_>>) -> Result<String, Fault> {
    let text = value.get_ref().as_str().map(str::to_owned);
    text.ok_or_else(|| expected(name, "a text", value))
}

/// The text of another file, whose line ends mean nothing.
fn file_text(name: &str, value: &Spanned<DeValue<'_>>) -> Result<String, Fault> {
    Ok(string(name, value)?.replace("\r\n", "\n"))
}

/// A path, or a path with the hash of the content.
fn file(name: &str, value: &Spanned<DeValue<'_>>) -> Result<KeptFile, Fault> {
    match value.get_ref() {
        DeValue::String(path) => Ok(KeptFile { path: path.to_string(), sha256: None }),
        DeValue::Table(table) => {
            for key in table.keys() {
                let word: &str = key.get_ref();
                if !FILE.contains(&word) {
                    let known = FILE.map(str::to_owned).to_vec();
                    let nearest = nearest(word, FILE).map(str::to_owned);
                    let (table, word) = (name.to_owned(), word.to_owned());
                    let unknown = UnknownKey { table, name: word, known, nearest, elsewhere: None };
                    let kind = Kind::UnknownKey(Box::new(unknown));
                    return Err((key.span(), kind));
                }
            }
            let path = table.get("file");
            let path = path.ok_or_else(|| expected(name, "a path or { file, sha256 }", value))?;
            Ok(KeptFile { path: string("file", path)?, sha256: sha256(table)? })
        }
        _ => Err(expected(name, "a path or { file, sha256 }", value)),
    }
}

fn mesh(table: &DeTable<'_>, span: Range<usize>) -> Result<KeptFile, Fault> {
    let Some(path) = table.get("file") else {
        return Err((span, Kind::Missing { table: MESH, key: "file" }));
    };
    let kept = KeptFile { path: string("file", path)?, sha256: sha256(table)? };
    let is_job = kept.path.rsplit_once('.').is_some_and(|(_, e)| e.eq_ignore_ascii_case("toml"));
    if is_job {
        return Err((path.span(), Kind::JobAsMesh(kept.path)));
    }
    Ok(kept)
}

fn sha256(table: &DeTable<'_>) -> Result<Option<String>, Fault> {
    let Some(value) = table.get("sha256") else { return Ok(None) };
    let text = string("sha256", value)?.to_lowercase();
    if text.len() == 64 && text.chars().all(|c| c.is_ascii_hexdigit()) {
        return Ok(Some(text));
    }
    Err(expected("sha256", "64 hexadecimal digits", value))
}

fn systems(value: &Spanned<DeValue<'_>>) -> Result<BTreeMap<String, String>, Fault> {
    let table = value.get_ref().as_table();
    let table = table.ok_or_else(|| expected(SYSTEMS, "a table of texts", value))?;
    let one = |(id, text): (&Spanned<_>, &Spanned<DeValue<'_>>)| {
        let id: &std::borrow::Cow<'_, str> = id.get_ref();
        Ok((id.to_string(), file_text(id, text)?))
    };
    table.iter().map(one).collect()
}

/// `text` of the workshop's own file.
fn shop(value: &Spanned<DeValue<'_>>) -> Result<String, Fault> {
    let table = value.get_ref().as_table().filter(|table| table.len() == 1);
    match table.and_then(|table| table.get("text")) {
        Some(text) => file_text("text", text),
        None => Err(expected(SHOP, "a table with the key `text` alone", value)),
    }
}

fn expected(key: &str, expected: &'static str, value: &Spanned<DeValue<'_>>) -> Fault {
    let found = match value.get_ref() {
        DeValue::String(_) => "another text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    };
    (value.span(), Kind::Expected { key: key.to_owned(), expected, found })
}

/// The known key that was likely meant; keys are spelt in small letters with `-`.
fn nearest<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    nearest_word(&typed.to_lowercase().replace('_', "-"), known)
}
