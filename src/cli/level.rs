//! `cavigram level`.

use cavigram::finding::Severity;
use cavigram::{job, render};

use super::args::LevelArgs;
use super::job_file::Line;
use super::terminal::{self, Progress};
use super::{Failure, input, request};

/// Tells how much a cavity holds level by level.
pub fn run(args: &LevelArgs, line: &Line, progress: &Progress) -> Result<String, Failure> {
    let request = request::level(args)?;
    let bytes = input::read(&args.mesh.mesh)?;
    let tell = |phase, share| progress.tell(phase, share);
    let mut table = job::level(&bytes, &request, &tell)
        .map_err(|error| Failure::Job { file: args.mesh.mesh.display().to_string(), error })?;
    table.findings.splice(0..0, line.mesh_findings(&bytes));
    if args.table.csv {
        // A table of numbers has no room for what must not be overlooked.
        for finding in table.findings.iter().filter(|f| f.severity >= Severity::Warning) {
            terminal::complain(&format!("warning: {}", finding.message), finding.hint.as_deref());
        }
        return Ok(render::csv::level(&table));
    }
    Ok(if args.mesh.json { render::json::level(&table)? } else { render::terminal::level(&table) })
}
