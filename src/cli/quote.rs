//! `cavigram quote`.

use std::path::PathBuf;

use cavigram::costs::{self, GivenPrice, PriceError, QuoteRequest, Rates};
use cavigram::plan::Run;
use cavigram::render;
use clap::Args;

use super::args::{LayerArgs, MaterialArgs, MeshArgs};
use super::buy;
use super::job_file::{self, Line};
use super::request::{UsageError, usage};
use super::terminal::Progress;
use super::{Failure, cost_file, input};

/// What `quote` takes.
#[derive(Debug, Args)]
pub struct QuoteArgs {
    /// What all commands take.
    #[command(flatten)]
    pub mesh: MeshArgs,
    /// What it is charged by.
    #[command(flatten)]
    pub price: PriceArgs,
    /// Thicknesses and depths.
    #[command(flatten)]
    pub layers: LayerArgs,
    /// What it is cast from.
    #[command(flatten)]
    pub materials: MaterialArgs,
}

/// What a piece is charged by.
#[derive(Debug, Args)]
#[command(next_help_heading = "Price")]
pub struct PriceArgs {
    /// What the workshop charges: prices, mould, steps,
    /// overhead, margin, taxes; none for material alone
    /// [default: quote.toml beside the mesh or job, if
    /// there is one]
    #[arg(long, value_name = "FILE", verbatim_doc_comment)]
    pub rates: Option<PathBuf>,

    /// What a material costs: urethane-a5=24/kg, or of
    /// one component urethane-a5:softener=28/kg; also /g,
    /// /lb, /oz. Repeat it for several
    /// [default: as the packs of the system tell]
    #[arg(long, value_name = "SYSTEM=PRICE", allow_hyphen_values = true, verbatim_doc_comment)]
    pub price: Vec<String>,

    /// Prices for these numbers of pieces
    /// [default: 1,5,10,25,100]
    #[arg(long, value_name = "LIST", allow_hyphen_values = true, verbatim_doc_comment)]
    pub pieces: Option<String>,

    /// In how many moulds at once
    /// [default: as the job has it, else 1]
    #[arg(long, value_name = "N", allow_hyphen_values = true, verbatim_doc_comment)]
    pub moulds: Option<String>,

    /// What amounts are in: EUR; a label that is only
    /// printed [default: as the rates have it]
    #[arg(long, value_name = "LABEL", allow_hyphen_values = true, verbatim_doc_comment)]
    pub currency: Option<String>,

    /// Print every line at every number of pieces as
    /// comma-separated values
    #[arg(long, conflicts_with = "json", verbatim_doc_comment)]
    pub csv: bool,
}

/// Works out what to ask for a piece.
pub fn run(args: &QuoteArgs, line: &Line, progress: &Progress) -> Result<String, Failure> {
    let pieces = pieces(&args.price.pieces)?;
    let typed_prices: Vec<GivenPrice> =
        args.price.price.iter().map(|text| price(text)).collect::<Result<_, _>>()?;
    let currency = buy::currency(&args.price.currency)?;
    let path = &args.mesh.mesh;
    let named = args.price.rates.as_deref();
    let file = cost_file::read("--rates", named, Some(path), "quote.toml", Rates::from_toml)?;
    let (rates_file, mut rates) = match file {
        Some(file) => (Some(file.name), file.says),
        None => (None, Rates::default()),
    };
    if let Some(currency) = currency {
        let decimals = rates.currency.decimals();
        rates.currency = currency.with_decimals(decimals).unwrap_or(rates.currency);
    }
    let own = line.matches.subcommand().map(|(_, own)| own);
    let planned_line = match own {
        Some(own) => job_file::plan_typed("quote", own, path)?,
        None => job_file::plan_of(path)?,
    };
    let (request, sheet, findings) =
        buy::planned(&planned_line, progress).map_err(|failure| planned_line.blamed(failure))?;
    let rubber_asked = rates.mould.as_ref().is_some_and(|mould| mould.rubber);
    let (mould_rubber, noticed) = match rubber_asked {
        true => {
            let (needs, noticed) = buy::of_one_mould(path, own, progress)?;
            (Some(needs), noticed)
        }
        false => (None, Vec::new()),
    };
    let mut quote = costs::quote(&QuoteRequest {
        mould_rubber,
        volumes: sheet.volumes,
        materials: request.materials,
        rates,
        rates_file,
        typed_prices: typed_prices.into_iter().map(|given| given.0).collect(),
        pieces,
    })?;
    quote.findings.splice(0..0, findings.into_iter().chain(noticed));
    if args.price.csv {
        buy::complain(&quote.findings);
        return Ok(render::csv::quote(&quote));
    }
    Ok(if args.mesh.json {
        render::json::quote(&quote)?
    } else {
        render::terminal::quote(&quote, &input::name(path))
    })
}

fn price(text: &str) -> Result<GivenPrice, UsageError> {
    text.parse().map_err(|error: PriceError| {
        usage("--price", text, &error.to_string(), error.hint().as_deref())
    })
}

/// Numbers of pieces; none for the usual ones.
fn pieces(typed: &Option<String>) -> Result<Vec<u32>, UsageError> {
    let Some(text) = typed else { return Ok(Vec::new()) };
    let numbers: Option<Vec<u32>> = text
        .split(',')
        .map(|one| one.trim().parse().ok().filter(|n| (1..=Run::MOST).contains(n)))
        .collect();
    match numbers {
        Some(numbers) if numbers.len() <= 20 => Ok(numbers),
        _ => {
            let reason = format!("this takes up to 20 whole numbers from 1 to {}", Run::MOST);
            Err(usage("--pieces", text, &reason, Some("write it as 1,5,10")))
        }
    }
}
