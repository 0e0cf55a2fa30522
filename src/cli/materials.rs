//! What the options of materials mean: systems by id or file, softener by parts or hardness.

use std::path::Path;

use cavigram::materials::{Library, LibraryError, Parts, ShoreError, ShoreReading, System};
use cavigram::plan::{PlanRequest, Recipe};

use super::args::MaterialArgs;
use super::request::{UsageError, read, usage};
use super::{Failure, library};

/// What it is cast from.
pub fn materials(args: &MaterialArgs, library: &Library) -> Result<PlanRequest, Failure> {
    let usual = PlanRequest::typical()?;
    let skin = find_system("--skin-system", &args.skin_system, library)?;
    let skin = skin.unwrap_or_else(|| usual.skin.system.clone());
    let core = find_system("--core-system", &args.core_system, library)?;
    let core = core.unwrap_or_else(|| usual.core.system.clone());
    // A cap closes the skin, so it is made of the same unless something else is named.
    let cap = find_system("--cap-system", &args.cap_system, library)?;
    let cap = cap.unwrap_or_else(|| skin.clone());
    let softener: Option<Parts> = read("--softener", &args.softener, |_| None)?;
    let core_hardness: Option<ShoreReading> =
        read("--core-hardness", &args.core_hardness, ShoreError::hint)?;
    let softener = match core_hardness {
        Some(wished) => Some(softener_for(&core, wished, args)?),
        None => softener,
    };
    Ok(PlanRequest {
        skin: Recipe::plain(skin),
        core: Recipe::for_core(core, softener),
        cap: Recipe::plain(cap),
        core_hardness,
        ..usual
    })
}

/// Parts of softener for a hardness of the core.
fn softener_for(
    core: &System,
    wished: ShoreReading,
    args: &MaterialArgs,
) -> Result<Parts, UsageError> {
    let value = args.core_hardness.as_deref().unwrap_or_default();
    if args.softener.is_some() {
        let reason = "--softener tells the parts already";
        return Err(usage("--core-hardness", value, reason, Some("leave out one of the two")));
    }
    let found = core.softener_for(wished);
    found
        .map(|found| found.parts)
        .map_err(|error| usage("--core-hardness", value, &error.to_string(), Some(error.hint())))
}

/// The system that was typed: by its id, or the file it stands in.
pub fn find_system(
    option: &'static str,
    typed: &Option<String>,
    library: &Library,
) -> Result<Option<System>, Failure> {
    let Some(id) = typed else { return Ok(None) };
    if library::is_file_name(id) {
        return Ok(Some(library::named(Path::new(id.trim()))?));
    }
    match library.system(id) {
        Ok(system) => Ok(Some(system)),
        Err(error @ LibraryError::Unknown { .. }) => {
            Err(usage(option, id, &error.to_string(), error.hint().as_deref()).into())
        }
        Err(error) => Err(error.into()),
    }
}
