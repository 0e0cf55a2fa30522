//! The options of `plan` and `mould` as a job file keeps them, found by asking the command line's
//! own description: no list here can forget one.

use std::any::TypeId;
use std::ffi::OsString;
use std::path::{Path, PathBuf};

use cavigram::job::file::{JobFile, KeptOption, KeptValue, KnownOption, Takes};
use clap::parser::ValueSource;
use clap::{Arg, ArgAction, ArgMatches, CommandFactory};

use crate::cli::args::CommandLine;

/// The commands whose options a job file keeps: how the piece is cast, and how its mould is made.
pub const KEEPERS: [&str; 2] = ["plan", "mould"];

/// Options of theirs that no job file keeps: how a result is shown and where it goes, and what
/// holds for a single casting; of the workshop's own file the text is kept, not the path.
pub const NOT_KEPT: [&str; 9] =
    ["json", "save", "sheet", "section", "picture", "lengths", "skin-used", "gap", "shop"];

/// The table of options without a heading of their own.
const MESH: &str = "mesh";

/// The options that a job file may keep, each once.
pub fn known() -> Vec<KnownOption> {
    let mut known: Vec<KnownOption> = Vec::new();
    for option in KEEPERS.into_iter().flat_map(known_of) {
        if !known.iter().any(|k| k.is(&option.table, &option.name)) {
            known.push(option);
        }
    }
    known
}

/// Those of one command.
pub fn known_of(command: &str) -> Vec<KnownOption> {
    let line = CommandLine::command();
    let own = line.find_subcommand(command);
    own.into_iter().flat_map(|own| own.get_arguments()).filter_map(kept).collect()
}

/// An option as a job file keeps it; `None` for what is not kept.
fn kept(arg: &Arg) -> Option<KnownOption> {
    let name = arg.get_long().filter(|name| !NOT_KEPT.contains(name))?;
    let takes = match arg.get_action() {
        ArgAction::SetTrue => Takes::Nothing,
        ArgAction::Set | ArgAction::Append if is_file(arg) => Takes::File,
        ArgAction::Set | ArgAction::Append => Takes::Text,
        _ => return None,
    };
    let repeats = matches!(arg.get_action(), ArgAction::Append);
    Some(KnownOption { table: table(arg), name: name.to_owned(), takes, repeats })
}

/// Whether a casting system is named behind an option.
pub fn names_system(option: &KnownOption) -> bool {
    option.name.ends_with("system") || option.name == "rubber"
}

fn is_file(arg: &Arg) -> bool {
    arg.get_value_parser().type_id() == TypeId::of::<PathBuf>()
}

/// The table that an option stands under: the heading of its help without what is in brackets,
/// `[real-mould]` for "Real mould (to check the mesh by)".
fn table(arg: &Arg) -> String {
    let heading = arg.get_help_heading().unwrap_or(MESH);
    let words = heading.split('(').next().unwrap_or_default();
    words.split_whitespace().collect::<Vec<_>>().join("-").to_lowercase()
}

/// Every option that was typed, with its values; an empty value only takes back what a job keeps.
pub struct Typed<'a> {
    /// The option.
    pub known: KnownOption,
    /// What was typed behind it; nothing behind a switch.
    pub values: Vec<&'a std::ffi::OsStr>,
}

/// The options to keep that were typed for a command.
pub fn typed<'a>(command: &str, matches: &'a ArgMatches) -> Vec<Typed<'a>> {
    let description = CommandLine::command();
    let Some(description) = description.find_subcommand(command) else { return Vec::new() };
    let given = description.get_arguments().filter(|arg| is_given(arg, matches));
    let one = |arg: &Arg| Some(Typed { known: kept(arg)?, values: values(arg, matches) });
    given.filter_map(one).collect()
}

fn is_given(arg: &Arg, matches: &ArgMatches) -> bool {
    matches.value_source(arg.get_id().as_str()) == Some(ValueSource::CommandLine)
}

fn values<'a>(arg: &Arg, matches: &'a ArgMatches) -> Vec<&'a std::ffi::OsStr> {
    if matches!(arg.get_action(), ArgAction::SetTrue) {
        return Vec::new();
    }
    matches.get_raw(arg.get_id().as_str()).into_iter().flatten().collect()
}

/// The options of `plan` that were typed for another command which has them too, as words of a
/// command line.
pub fn of_plan(command: &str, matches: &ArgMatches) -> Vec<OsString> {
    words(command, matches, &known_of("plan"))
}

/// Those of the mesh alone.
pub fn of_mesh(command: &str, matches: &ArgMatches) -> Vec<OsString> {
    let mut known = known_of("mould");
    known.retain(|option| option.table == MESH);
    words(command, matches, &known)
}

fn words(command: &str, matches: &ArgMatches, known: &[KnownOption]) -> Vec<OsString> {
    let description = CommandLine::command();
    let arguments = description.find_subcommand(command).into_iter();
    let mut words = Vec::new();
    for arg in arguments.flat_map(|command| command.get_arguments()) {
        let is_known = |name: &&str| known.iter().any(|k| k.name == *name);
        let Some(name) = arg.get_long().filter(is_known) else { continue };
        if !is_given(arg, matches) {
            continue;
        }
        match arg.get_action() {
            ArgAction::SetTrue => words.push(format!("--{name}").into()),
            _ => words.extend(values(arg, matches).iter().map(|value| with_value(name, value))),
        }
    }
    words
}

/// The command line that says what was typed and, of what was not, what a job in `folder` keeps.
pub fn merged(command: &str, matches: &ArgMatches, job: &JobFile, folder: &Path) -> Vec<OsString> {
    let mut line: Vec<OsString> = vec!["cavigram".into(), command.into()];
    let description = CommandLine::command();
    let options = description.find_subcommand(command).into_iter();
    for arg in options.flat_map(|command| command.get_arguments()) {
        let Some(name) = arg.get_long() else { continue };
        if is_given(arg, matches) {
            let values = values(arg, matches);
            let takes_back = values.iter().all(|value| value.is_empty());
            match arg.get_action() {
                ArgAction::SetTrue => line.push(format!("--{name}").into()),
                _ if takes_back && job.option(&table(arg), name).is_some() => {}
                _ => line.extend(values.iter().map(|value| with_value(name, value))),
            }
        } else if let Some(option) =
            job.option(&table(arg), name).filter(|kept| !yields(kept, matches))
        {
            match &option.value {
                KeptValue::Switch(true) => line.push(format!("--{name}").into()),
                KeptValue::Switch(false) => {}
                KeptValue::Texts(texts) => {
                    line.extend(texts.iter().map(|text| with_value(name, text.as_ref())));
                }
                KeptValue::Files(files) => {
                    let paths = files.iter().map(|file| folder.join(&file.path));
                    line.extend(paths.map(|path| with_value(name, path.as_os_str())));
                }
            }
        }
    }
    line.push("--".into());
    line.push(folder.join(&job.mesh.path).into());
    line
}

/// Options that say the same in two ways: the one that is typed wins over the one that is kept.
const TWO_WAYS: [(&str, &str); 3] =
    [("softener", "core-hardness"), ("skin", "coats"), ("water", "old-casting")];

/// Whether a kept option gives way to another that was typed and says the same.
fn yields(kept: &KeptOption, matches: &ArgMatches) -> bool {
    let typed = |name: &str| {
        let id = name.replace('-', "_");
        let given = matches.try_get_raw(&id).ok().flatten()?.next_back()?.to_str()?;
        let by_hand = matches.value_source(&id) == Some(ValueSource::CommandLine);
        Some(given.to_owned()).filter(|text| by_hand && !text.trim().is_empty())
    };
    TWO_WAYS.iter().any(|(one, other)| {
        let rival = match kept.name.as_str() {
            name if name == *one => other,
            name if name == *other => one,
            _ => return false,
        };
        let Some(typed) = typed(rival) else { return false };
        // A number of coats says nothing of thickness.
        let coats = if *rival == "coats" { Some(typed.as_str()) } else { kept.text() };
        *one != "skin" || coats.is_none_or(|coats| coats.trim().parse::<u32>().is_err())
    })
}

/// An option with its value, in one word.
pub fn with_value(name: &str, value: &std::ffi::OsStr) -> OsString {
    let mut word = OsString::from(format!("--{name}="));
    word.push(value);
    word
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_option_of_plan_is_kept_or_on_the_short_list() {
        let known = known_of("plan");
        let command = CommandLine::command();
        let plan = command.find_subcommand("plan").unwrap();
        let mut options = 0;
        for name in plan.get_arguments().filter_map(|arg| arg.get_long()) {
            let is_kept = known.iter().any(|option| option.name == name);
            assert!(is_kept != NOT_KEPT.contains(&name), "--{name} is neither kept nor left out");
            options += 1;
        }
        assert_eq!(options, known.len() + NOT_KEPT.len());
        // What both have under one heading is kept once.
        let both = known_of("mould");
        assert!(super::known().len() < known.len() + both.len());
        assert!(both.iter().all(|option| super::known().contains(option)));
    }

    #[test]
    fn tables_have_short_names_and_no_two_options_the_same() {
        let known = known();
        for option in &known {
            let plain = option.table.chars().all(|c| c.is_ascii_lowercase() || c == '-');
            assert!(plain && option.table.len() <= 20, "[{}]", option.table);
            let of_table = known.iter().filter(|other| other.table == option.table);
            let same = of_table.filter(|other| other.name == option.name);
            assert_eq!(same.count(), 1, "[{}] {}", option.table, option.name);
        }
        let table = |name: &str| known.iter().find(|o| o.name == name).unwrap().table.as_str();
        assert_eq!(table("unit"), "mesh");
        assert_eq!(table("skin"), "layers");
        assert_eq!(table("softener"), "materials");
        assert_eq!(table("water"), "real-mould");
        assert_eq!(table("make"), "mould");
        assert_eq!(table("undercuts"), "blanket");
    }
}
