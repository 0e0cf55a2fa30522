//! What the typed options mean: checked values and defaults.

use std::fmt::Display;
use std::path::PathBuf;
use std::str::FromStr;

use cavigram::job::{
    ClockRequest, Impressions, InMould, Insert, JobRequest, LayersRequest, LevelRequest,
    MeshRequest, Opening, Steps, Up,
};
use cavigram::materials::{Family, Library, LibraryError, Parts, ShoreError, ShoreReading, System};
use cavigram::plan::{PlanRequest, Recipe, ShopTold};
use cavigram::sheet::ReadAs;
use cavigram::units::{
    Coats, CoatsError, DirectionError, KnownExtent, KnownExtentError, Length, LengthError,
    LengthUnit, Percent, PercentError, UnknownUnit, WeighingMeans,
};

use super::args::{LayerArgs, LevelArgs, MaterialArgs, MeshArgs, PlanArgs, TableArgs};
use super::clock::clock;
use super::coating::coating;
use super::correcting::in_mould;
use super::job_file::KeptSystems;
use super::parting::parting;
use super::run::run;
use super::shop::{ShopText, workshop};
use super::touching::touching;
use super::weighing::weighed;
use super::{Failure, input, library, limits};

/// The command line asks for something that can't be meant.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{option} {value}: {reason}")]
pub struct UsageError {
    /// The option, with its dashes.
    pub option: &'static str,
    /// What was typed behind it.
    pub value: String,
    /// What is wrong with that.
    pub reason: String,
    /// What to type instead.
    pub hint: Option<String>,
}

/// Makes a request for `survey` out of what was typed.
pub fn mesh(args: &MeshArgs) -> Result<MeshRequest, Failure> {
    Ok(meant(args)?)
}

/// Makes a request for `plan` out of what was typed.
///
/// Systems that a job keeps are taken from it rather than as they are now; `shop_file` is the
/// workshop's own.
pub fn plan(
    args: &PlanArgs,
    kept: &KeptSystems,
    shop_file: Option<&ShopText>,
) -> Result<JobRequest, Failure> {
    let mut mesh = meant(&args.mesh)?;
    check_lip(&mesh, &args.layers.below_lip)?;
    let parting = parting(&args.parting, &mut mesh, &args.layers.below_lip)?;
    let weighed = weighed(&args.weighing)?;
    if mesh.opening == Opening::None && weighed.and_then(|w| w.means) == Some(WeighingMeans::Level)
    {
        let reason = "--opening none closes the cavity, so that it has no fill level";
        let hint = Some("leave out one of the two");
        return Err(usage("--water-means", "level", reason, hint).into());
    }
    let mut layers = layers(&args.layers)?;
    let library = library::beside(&args.mesh.mesh);
    let materials = materials(&args.materials, &library, kept)?;
    let workshop = workshop(&args.workshop, shop_file)?;
    let shop_told =
        ShopTold { file: shop_file.map(|file| file.name.clone()), said: workshop.said().to_vec() };
    let materials = PlanRequest {
        touching: touching(&args.touching, &library)?,
        coating: coating(&args.coating)?,
        run: run(&args.run)?,
        shop: workshop.shop,
        ..materials
    };
    // An ordinary cap can't be poured behind a foam, so that nobody who asks for none gets one.
    if args.layers.cap.is_none() && materials.core.system.family == Family::Foam {
        layers.cap = Length::default();
    }
    let in_mould = in_mould(&args.correcting, &layers)?;
    let layers = LayersRequest { weighed, in_mould, parting, ..layers };
    let clock = clock(&args.clock)?;
    let clock = ClockRequest { hours: clock.hours.or(workshop.hours), ..clock };
    check_inserts(&args.layers.insert)?;
    // Files are opened last, once everything typed is known to mean something.
    let inserts = inserts(&args.layers.insert)?;
    Ok(JobRequest { mesh, layers, materials, inserts, clock, shop_told })
}

/// Makes a request for `level` out of what was typed.
pub fn level(args: &LevelArgs) -> Result<LevelRequest, Failure> {
    let mesh = meant(&args.mesh)?;
    let table = &args.table;
    check_lip(&mesh, &table.below_lip)?;
    let steps = steps(table)?;
    let below_lip = length("--below-lip", &table.below_lip)?.unwrap_or_default();
    let usual = PlanRequest::typical()?.core.system;
    let library = library::beside(&args.mesh.mesh);
    let system = find_system("--system", &table.system, &library)?.unwrap_or(usual);
    let softener: Option<Parts> = read("--softener", &table.softener, |_| None)?;
    let material = Recipe::for_core(system, softener);
    Ok(LevelRequest { mesh, below_lip, steps, material })
}

/// Which levels are told.
fn steps(args: &TableArgs) -> Result<Steps, UsageError> {
    if let Some(step) = length("--step", &args.step)? {
        let typed = args.step.as_deref().unwrap_or_default();
        return if step.mm() > 0.0 {
            Ok(Steps::Every(step))
        } else {
            let hint = Some("give a length such as 5mm or 1/8in, or --steps 10");
            Err(usage("--step", typed, "a step leads from one row to the next", hint))
        };
    }
    let Some(typed) = &args.steps else { return Ok(Steps::default()) };
    match typed.trim().parse::<u32>() {
        Ok(count) if (1..=Steps::MOST).contains(&count) => Ok(Steps::Number(count)),
        _ => {
            let reason = format!("a table has 1 to {} steps", Steps::MOST);
            Err(usage("--steps", typed, &reason, None))
        }
    }
}

/// Inserts are files: only one mesh can come from standard input.
fn check_inserts(files: &[PathBuf]) -> Result<(), UsageError> {
    if files.iter().any(|file| input::is_standard_input(file)) {
        let reason = "only the mesh itself is read from standard input";
        return Err(usage("--insert", "-", reason, Some("name a file")));
    }
    if files.iter().any(|file| file.as_os_str().is_empty()) {
        return Err(usage("--insert", "", "this names no file", Some("name a file")));
    }
    Ok(())
}

/// The bytes of what stands in the mould.
fn inserts(files: &[PathBuf]) -> Result<Vec<Insert>, Failure> {
    let insert = |file: &PathBuf| Ok(Insert { file: input::name(file), bytes: input::read(file)? });
    files.iter().map(insert).collect()
}

/// There is no lip to stop under where the cavity is closed.
fn check_lip(mesh: &MeshRequest, below_lip: &Option<String>) -> Result<(), UsageError> {
    if mesh.opening == Opening::None
        && let Some(level) = below_lip
    {
        let reason = "--opening none closes the cavity, so that there is no lip to stop under";
        return Err(usage("--below-lip", level, reason, Some("leave out one of the two")));
    }
    Ok(())
}

/// What the options of a mesh mean.
fn meant(args: &MeshArgs) -> Result<MeshRequest, UsageError> {
    let unit: Option<LengthUnit> = read("--unit", &args.unit, |e: &UnknownUnit| Some(e.hint()))?;
    let known: Option<KnownExtent> = read("--known", &args.known, KnownExtentError::hint)?;
    let up: Option<Up> = read("--up", &args.up, |e: &DirectionError| Some(e.hint()))?;
    let up = up.unwrap_or(Up::Unsaid);
    let opening = match word(&args.opening).as_deref() {
        None | Some("auto") => Opening::Auto,
        Some("none") => Opening::None,
        Some(_) => return Err(unknown_word("--opening", &args.opening, "auto or none")),
    };
    let read_as = match word(&args.read_as).as_deref() {
        None => None,
        Some("casting") => Some(ReadAs::Casting),
        Some("mould" | "mold") => Some(ReadAs::Mould),
        Some(_) => return Err(unknown_word("--as", &args.read_as, "casting or mould")),
    };
    if read_as == Some(ReadAs::Mould) && opening == Opening::None {
        let reason = "a mould is poured through its opening";
        return Err(usage("--opening", "none", reason, Some("leave out one of the two")));
    }
    if read_as == Some(ReadAs::Casting) && up == Up::Rim {
        let reason = "a casting has no rim";
        return Err(usage("--up", "rim", reason, Some("give the direction itself")));
    }
    let impression = impression(&args.impression)?;
    let file = input::name(&args.mesh);
    let accept_holes = args.accept_holes;
    let triangles_most = limits::triangles_most(&args.limits)?;
    Ok(MeshRequest {
        file,
        unit,
        known,
        read_as,
        up,
        opening,
        impression,
        accept_holes,
        triangles_most,
    })
}

/// Which impression is asked for.
fn impression(typed: &Option<String>) -> Result<Option<Impressions>, UsageError> {
    let Some(word) = word(typed) else { return Ok(None) };
    if word == "all" {
        return Ok(Some(Impressions::All));
    }
    match word.parse::<u32>() {
        Ok(0) => Err(usage("--impression", &word, "impressions are counted from 1", None)),
        Ok(number) => Ok(Some(Impressions::Number(number))),
        Err(_) => Err(unknown_word("--impression", typed, "a number from 1, or all")),
    }
}

fn layers(args: &LayerArgs) -> Result<LayersRequest, UsageError> {
    let usual = LayersRequest::default();
    let skin = length("--skin", &args.skin)?;
    let coats: Option<Coats> = read("--coats", &args.coats, CoatsError::hint)?;
    let coats = coats
        .unwrap_or(Coats::Equal(1))
        .thicknesses(skin, LayersRequest::USUAL_SKIN)
        .map_err(|error| {
            // Without --coats only the skin can be at fault.
            let (option, value) = match (&args.coats, &args.skin) {
                (None, Some(_)) => ("--skin", &args.skin),
                (coats, _) => ("--coats", coats),
            };
            let value = value.as_deref().unwrap_or_default();
            usage(option, value, &error.to_string(), error.hint().as_deref())
        })?;
    Ok(LayersRequest {
        coats,
        cap: length("--cap", &args.cap)?.unwrap_or(usual.cap),
        below_lip: length("--below-lip", &args.below_lip)?.unwrap_or(usual.below_lip),
        flange: length("--flange", &args.flange)?.unwrap_or(usual.flange),
        tolerance: tolerance(&args.tolerance)?.unwrap_or(usual.tolerance),
        weighed: None,
        in_mould: InMould::default(),
        queries_most: usual.queries_most,
        parting: None,
    })
}

fn materials(
    args: &MaterialArgs,
    library: &Library,
    kept: &KeptSystems,
) -> Result<PlanRequest, Failure> {
    let usual = PlanRequest::typical()?;
    // What nobody named is the usual system, as the job keeps it if it does.
    let or_usual = |named: Option<System>, usual: System| match named {
        Some(system) => Ok::<_, Failure>(system),
        None => Ok(kept.find(&usual.id)?.unwrap_or(usual)),
    };
    let skin = or_usual(
        kept_or_found("--skin-system", &args.skin_system, library, kept)?,
        usual.skin.system.clone(),
    )?;
    let core = or_usual(
        kept_or_found("--core-system", &args.core_system, library, kept)?,
        usual.core.system.clone(),
    )?;
    // A cap closes the skin, so it is made of the same unless something else is named.
    let cap = kept_or_found("--cap-system", &args.cap_system, library, kept)?
        .unwrap_or_else(|| skin.clone());
    let softener: Option<Parts> = read("--softener", &args.softener, |_| None)?;
    let core_hardness: Option<ShoreReading> =
        read("--core-hardness", &args.core_hardness, ShoreError::hint)?;
    let softener = match core_hardness {
        Some(wished) => Some(softener_for(
            "--core-hardness",
            &args.core_hardness,
            &core,
            wished,
            args.softener.is_some(),
        )?),
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

/// The system that is meant: as a job keeps it, else as it is now.
pub fn kept_or_found(
    option: &'static str,
    typed: &Option<String>,
    library: &Library,
    kept: &KeptSystems,
) -> Result<Option<System>, Failure> {
    if let Some(id) = typed
        && let Some(system) = kept.find(id)?
    {
        return Ok(Some(system));
    }
    find_system(option, typed, library)
}

/// Parts of softener for a hardness, which `option` asked for as it was typed.
pub fn softener_for(
    option: &'static str,
    typed: &Option<String>,
    system: &System,
    wished: ShoreReading,
    parts_are_told: bool,
) -> Result<Parts, UsageError> {
    let value = typed.as_deref().unwrap_or_default();
    if parts_are_told {
        let reason = "--softener tells the parts already";
        return Err(usage(option, value, reason, Some("leave out one of the two")));
    }
    let found = system.softener_for(wished);
    found
        .map(|found| found.parts)
        .map_err(|error| usage(option, value, &error.to_string(), Some(error.hint())))
}

/// The system that was typed: by its id, or the file it stands in.
pub fn find_system(
    option: &'static str,
    typed: &Option<String>,
    library: &Library,
) -> Result<Option<System>, Failure> {
    let Some(id) = typed else { return Ok(None) };
    if library::is_file_name(id) {
        return Ok(Some(library::named(&PathBuf::from(id.trim()))?));
    }
    match library.system(id) {
        Ok(system) => Ok(Some(system)),
        Err(error @ LibraryError::Unknown { .. }) => {
            Err(usage(option, id, &error.to_string(), error.hint().as_deref()).into())
        }
        Err(error) => Err(error.into()),
    }
}

/// How wide limits may be.
pub fn tolerance(typed: &Option<String>) -> Result<Option<Percent>, UsageError> {
    let option = "--tolerance";
    let Some(tolerance): Option<Percent> = read(option, typed, PercentError::hint)? else {
        return Ok(None);
    };
    let tightest = LayersRequest::TIGHTEST_TOLERANCE;
    if tolerance < tightest || tolerance.value() > 100.0 {
        let reason = format!("a tolerance lies between {}% and 100%", tightest.value());
        return Err(usage(option, typed.as_deref().unwrap_or_default(), &reason, None));
    }
    Ok(Some(tolerance))
}

/// A length that was typed.
pub fn length(option: &'static str, typed: &Option<String>) -> Result<Option<Length>, UsageError> {
    read(option, typed, LengthError::hint)
}

pub fn read<T: FromStr<Err: Display>>(
    option: &'static str,
    typed: &Option<String>,
    hint: impl Fn(&T::Err) -> Option<String>,
) -> Result<Option<T>, UsageError> {
    let Some(text) = typed else { return Ok(None) };
    let value = text.parse().map_err(|error: T::Err| {
        usage(option, text, &error.to_string(), hint(&error).as_deref())
    })?;
    Ok(Some(value))
}

pub fn word(typed: &Option<String>) -> Option<String> {
    typed.as_ref().map(|text| text.trim().to_lowercase())
}

pub fn unknown_word(option: &'static str, typed: &Option<String>, words: &str) -> UsageError {
    let value = typed.as_deref().unwrap_or_default();
    usage(option, value, &format!("this takes {words}"), None)
}

pub fn usage(option: &'static str, value: &str, reason: &str, hint: Option<&str>) -> UsageError {
    UsageError {
        option,
        value: if value.trim().is_empty() { "\"\"".to_owned() } else { value.to_owned() },
        reason: reason.to_owned(),
        hint: hint.map(str::to_owned),
    }
}
