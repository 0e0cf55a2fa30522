//! The options that say what touches the piece.

use cavigram::materials::{Family, Library, Touching, UnknownFamily};
use clap::Args;

use super::Failure;
use super::request::{find_system, usage};

/// What it touches.
#[derive(Debug, Args)]
#[command(next_help_heading = "What it touches (a material or a system's name)")]
pub struct TouchingArgs {
    /// What the mould is made of, to check it against
    /// the piece; an unknown word lists all
    /// [default: not checked, and said so]
    #[arg(long, alias = "mold-of", value_name = "MATERIAL", verbatim_doc_comment)]
    pub mould_of: Option<String>,

    /// The mould was made only just: a condensation-cure
    /// one still gives off what hinders urethane
    #[arg(long, alias = "mold-fresh", requires = "mould_of", verbatim_doc_comment)]
    pub mould_fresh: bool,

    /// What the mould was, or will be, made from
    #[arg(long, value_name = "MATERIAL", requires = "mould_of", verbatim_doc_comment)]
    pub pattern_of: Option<String>,

    /// What stands in the core, where something does
    #[arg(long, value_name = "MATERIAL", verbatim_doc_comment)]
    pub insert_of: Option<String>,
}

/// What the options mean.
pub fn touching(args: &TouchingArgs, library: &Library) -> Result<Touching, Failure> {
    Ok(Touching {
        mould: family("--mould-of", &args.mould_of, library)?,
        mould_fresh: args.mould_fresh,
        pattern: family("--pattern-of", &args.pattern_of, library)?,
        insert: family("--insert-of", &args.insert_of, library)?,
    })
}

/// A material by its word, or that of a system.
pub fn family(
    option: &'static str,
    typed: &Option<String>,
    library: &Library,
) -> Result<Option<Family>, Failure> {
    let Some(text) = typed else { return Ok(None) };
    let unknown = match text.parse::<Family>() {
        Ok(family) => return Ok(Some(family)),
        Err(unknown) => unknown,
    };
    let named = super::library::is_file_name(text) || library.entry(text).is_ok();
    if named {
        return Ok(find_system(option, typed, library)?.map(|system| system.family));
    }
    Err(not_known(option, text, &unknown).into())
}

fn not_known(
    option: &'static str,
    text: &str,
    unknown: &UnknownFamily,
) -> super::request::UsageError {
    let hint = unknown
        .hint()
        .unwrap_or_else(|| "a system's name will do too: `cavigram systems` lists them".to_owned());
    usage(option, text, &unknown.to_string(), Some(&hint))
}
