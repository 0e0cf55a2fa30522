//! `cavigram plan`.

use cavigram::{job, render};

use super::args::PlanArgs;
use super::terminal::Progress;
use super::{Failure, input, request};

/// Works out what to weigh.
pub fn run(args: &PlanArgs, progress: &Progress) -> Result<String, Failure> {
    let request = request::plan(args)?;
    let bytes = input::read(&args.mesh.mesh)?;
    let tell = |phase, share| progress.tell(phase, share);
    let sheet = job::run(&bytes, &request, &tell)
        .map_err(|error| Failure::Job { file: args.mesh.mesh.display().to_string(), error })?;
    Ok(if args.mesh.json { render::json::plan(&sheet)? } else { render::terminal::plan(&sheet) })
}
