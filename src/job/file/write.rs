//! The text of a job's file.

use super::{JobFile, KeptFile, KeptValue, SCHEMA};

/// The first lines of every job file.
const HEAD: &str = "\
# A job: what was typed for it, kept. Values may be edited; each saving writes the file anew,
# without comments of your own.
";

impl JobFile {
    /// The text of the job's file, which [`JobFile::from_toml`] reads back.
    pub fn to_toml(&self) -> String {
        let mut text = format!("{HEAD}schema = \"{SCHEMA}\"\nrevision = {}\n", self.revision);
        if let Some(program) = &self.program {
            text += &format!("program = {}\n", quoted(program));
        }
        text += &format!("\n[mesh]\nfile = {}\n", quoted(&self.mesh.path));
        if let Some(sha256) = &self.mesh.sha256 {
            text += &format!("sha256 = {}\n", quoted(sha256));
        }
        text += &self.lines_of("mesh");
        let mut tables = vec!["mesh"];
        for option in &self.options {
            let table = option.table.as_str();
            if !tables.contains(&table) {
                tables.push(table);
                text += &format!("\n[{}]\n{}", bare(table), self.lines_of(table));
            }
        }
        if let Some(shop) = &self.shop {
            text += "\n# The workshop's own file, as it was.\n[shop]\n";
            text += &format!("text = {}\n", paragraphs(shop));
        }
        if !self.systems.is_empty() {
            text += "\n# The casting systems, as they were.\n[systems]\n";
        }
        for (id, system) in &self.systems {
            text += &format!("{} = {}\n", bare(id), paragraphs(system));
        }
        text
    }

    fn lines_of(&self, table: &str) -> String {
        let own = self.options.iter().filter(|option| option.table == table);
        own.map(|option| format!("{} = {}\n", bare(&option.name), shown(&option.value))).collect()
    }
}

fn shown(value: &KeptValue) -> String {
    match value {
        KeptValue::Switch(given) => given.to_string(),
        KeptValue::Texts(texts) => one_or_list(texts.iter().map(|text| quoted(text))),
        KeptValue::Files(files) => one_or_list(files.iter().map(with_hash)),
    }
}

fn with_hash(file: &KeptFile) -> String {
    match &file.sha256 {
        Some(sha256) => {
            format!("{{ file = {}, sha256 = {} }}", quoted(&file.path), quoted(sha256))
        }
        None => quoted(&file.path),
    }
}

fn one_or_list(items: impl Iterator<Item = String>) -> String {
    match items.collect::<Vec<_>>().as_slice() {
        [only] => only.clone(),
        several => format!("[{}]", several.join(", ")),
    }
}

/// A key, in quotes where it needs them.
fn bare(key: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
    if !key.is_empty() && key.chars().all(plain) { key.to_owned() } else { quoted(key) }
}

/// A text on one line.
fn quoted(text: &str) -> String {
    let mut quoted = String::from('"');
    for c in text.chars() {
        match c {
            '"' | '\\' => quoted.extend(['\\', c]),
            c if c.is_control() => quoted += &format!("\\u{:04X}", u32::from(c)),
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted
}

/// A text as it stands, line by line, where TOML can have it so.
fn paragraphs(text: &str) -> String {
    let odd = |c: char| c.is_control() && c != '\n' && c != '\t';
    if text.contains("'''") || text.ends_with('\'') || text.contains(odd) {
        quoted(text)
    } else {
        format!("'''\n{text}'''")
    }
}

#[cfg(test)]
mod tests {
    use super::super::{KeptOption, KnownOption, Takes};
    use super::*;

    #[test]
    fn what_is_written_is_read_back() {
        let known = |table: &str, name: &str, takes, repeats| KnownOption {
            table: table.into(),
            name: name.into(),
            takes,
            repeats,
        };
        let known = [
            known("mesh", "accept-holes", Takes::Nothing, false),
            known("layers", "skin", Takes::Text, false),
            known("layers", "insert", Takes::File, true),
        ];
        let sha256 = Some("0a".repeat(32));
        let kept = |path: &str| KeptFile { path: path.into(), sha256: sha256.clone() };
        let option = |table: &str, name: &str, value| KeptOption {
            table: table.into(),
            name: name.into(),
            value,
            line: 0,
        };
        let several = vec![kept("bone \"a\".stl"), kept("../tüb\\e.obj")];
        for systems in ["id = \"mine\"\n", "it''' s\n", "a\rb\u{7}", "ends with '", ""] {
            let mut job = JobFile {
                revision: 7,
                program: Some("0.1.0".into()),
                mesh: kept("meshes/knee.stl"),
                options: vec![
                    option("mesh", "accept-holes", KeptValue::Switch(true)),
                    option("layers", "skin", KeptValue::Texts(vec!["1/8\"".into()])),
                    option("layers", "insert", KeptValue::Files(several.clone())),
                ],
                systems: [("mine".to_owned(), systems.to_owned())].into(),
                shop: Some(systems.to_owned()),
            };
            let mut read = JobFile::from_toml(job.to_toml().as_bytes(), &known).unwrap();
            for option in job.options.iter_mut().chain(&mut read.options) {
                option.line = 0;
            }
            assert_eq!(read, job);
        }
    }
}
