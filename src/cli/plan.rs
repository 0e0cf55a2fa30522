//! `cavigram plan`.

use cavigram::{job, render};

use super::args::PlanArgs;
use super::job_file::{Line, Planned, Saving, Used};
use super::paper::Paper;
use super::terminal::{self, Progress};
use super::{Failure, input, request, shop};

/// Works out what to weigh, and keeps what was typed if that was asked for.
pub fn run(args: &PlanArgs, line: &Line, progress: &Progress) -> Result<String, Failure> {
    let saving = Saving::of_plan(args)?;
    let paper = Paper::begin(&args.paper)?;
    let shop_file = shop::text(args.workshop.shop.as_deref(), &args.mesh.mesh, line)?;
    let request = request::plan(args, &line.systems(), shop_file.as_ref())?;
    let bytes = input::read(&args.mesh.mesh)?;
    let tell = |phase, share| progress.tell(phase, share);
    let mut sheet = job::run_drawn(&bytes, &request, paper.drawings(), &tell)
        .map_err(|error| Failure::Job { file: args.mesh.mesh.display().to_string(), error })?;
    sheet.findings.splice(0..0, line.findings(&args.mesh.mesh, &bytes, &request));
    let text =
        if args.mesh.json { render::json::plan(&sheet)? } else { render::terminal::plan(&sheet) };
    paper.finish(&sheet, line, saving.as_ref())?.iter().for_each(|written| terminal::tell(written));
    if let Some(saving) = saving {
        terminal::tell(&saving.finish(
            line,
            Planned {
                casting: Some(&request),
                used: Used::by_casting(&request),
                mesh_path: &args.mesh.mesh,
                mesh: &bytes,
                shop: shop_file.as_ref(),
            },
        )?);
    }
    Ok(text)
}
