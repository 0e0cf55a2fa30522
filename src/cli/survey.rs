//! `cavigram survey`.

use cavigram::{job, render};

use super::args::SurveyArgs;
use super::job_file::Line;
use super::terminal::Progress;
use super::{Failure, input, request};

/// Looks a mesh over and says what it is.
pub fn run(args: &SurveyArgs, line: &Line, progress: &Progress) -> Result<String, Failure> {
    let request = request::mesh(&args.mesh)?;
    let bytes = input::read(&args.mesh.mesh)?;
    let tell = |phase, share| progress.tell(phase, share);
    let mut survey = job::survey(&bytes, &request, &tell)
        .map_err(|error| Failure::Job { file: args.mesh.mesh.display().to_string(), error })?;
    survey.findings.splice(0..0, line.mesh_findings(&bytes));
    Ok(if args.mesh.json {
        render::json::survey(&survey)?
    } else {
        render::terminal::survey(&survey)
    })
}
