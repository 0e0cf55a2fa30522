//! `cavigram survey`.

use cavigram::{job, render};

use super::args::SurveyArgs;
use super::terminal::Progress;
use super::{Failure, input, request};

/// Looks a mesh over and says what it is.
pub fn run(args: &SurveyArgs, progress: &Progress) -> Result<String, Failure> {
    let request = request::mesh(&args.mesh)?;
    let bytes = input::read(&args.mesh.mesh)?;
    let tell = |phase, share| progress.tell(phase, share);
    let survey = job::survey(&bytes, &request, &tell)
        .map_err(|error| Failure::Job { file: args.mesh.mesh.display().to_string(), error })?;
    Ok(if args.mesh.json {
        render::json::survey(&survey)?
    } else {
        render::terminal::survey(&survey)
    })
}
