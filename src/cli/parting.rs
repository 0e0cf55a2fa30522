//! The options of a piece that is cast in a two-part mould.

use cavigram::job::{GateRequest, MeshRequest, Opening, PartingRequest};
use cavigram::sheet::ReadAs;
use cavigram::units::{Length, LengthError};
use clap::Args;

use super::request::{UsageError, length, usage};

/// The two parts of the mould.
#[derive(Debug, Args)]
#[command(next_help_heading = "Two-part mould")]
pub struct PartingArgs {
    /// The mould closes round the whole piece and parts
    /// at this height over its lowest point: tells what
    /// goes on the wall of each half, and the seam
    #[arg(long, value_name = "HEIGHT", allow_hyphen_values = true, verbatim_doc_comment)]
    pub parting: Option<String>,

    /// Width of the coat over the seam; 0 for none
    /// [default: 10mm]
    #[arg(
        long,
        value_name = "LENGTH",
        allow_hyphen_values = true,
        requires = "parting",
        verbatim_doc_comment
    )]
    pub seam_width: Option<String>,

    /// Gate and tube that the core is poured through,
    /// diameter and length: 8mmx40mm
    /// [default: not weighed, and said so]
    #[arg(
        long,
        value_name = "DIAMxLENGTH",
        allow_hyphen_values = true,
        requires = "parting",
        verbatim_doc_comment
    )]
    pub gate: Option<String>,
}

/// The widest seam or gate, and the longest gate, mm: beyond it is a slip.
const WIDEST_MM: f64 = 1000.0;

/// What the options mean for this mesh, which is then closed all round.
pub fn parting(
    args: &PartingArgs,
    mesh: &mut MeshRequest,
    below_lip: &Option<String>,
) -> Result<Option<PartingRequest>, UsageError> {
    let Some(level) = length("--parting", &args.parting)? else { return Ok(None) };
    let typed = args.parting.as_deref().unwrap_or_default();
    if mesh.read_as == Some(ReadAs::Mould) {
        let reason = "it divides a mould that closes round the piece, whose mesh is a casting's";
        return Err(usage("--parting", typed, reason, Some("leave out --as mould")));
    }
    if let Some(level) = below_lip {
        let reason = "a mould that closes round the piece has no lip to stop under";
        return Err(usage("--below-lip", level, reason, Some("leave out one of the two")));
    }
    mesh.opening = Opening::None;
    let seam_width = length("--seam-width", &args.seam_width)?;
    if let Some(width) = seam_width.filter(|width| width.mm() > WIDEST_MM) {
        let reason = format!("{width} is no seam: expected up to {}", Length::from_mm(WIDEST_MM));
        let typed = args.seam_width.as_deref().unwrap_or_default();
        return Err(usage("--seam-width", typed, &reason, None));
    }
    Ok(Some(PartingRequest {
        level,
        seam_width: seam_width.unwrap_or(PartingRequest::SEAM_WIDTH),
        gate: gate(&args.gate)?,
    }))
}

/// `8mmx40mm`.
fn gate(typed: &Option<String>) -> Result<Option<GateRequest>, UsageError> {
    let Some(text) = typed else { return Ok(None) };
    let form = "write diameter and length as 8mmx40mm";
    let wrong = |reason: &str| usage("--gate", text, reason, Some(form));
    let plain = text.trim().to_lowercase().replace('×', "x");
    let Some((diameter, long)) = plain.split_once('x') else {
        return Err(wrong("a gate has a diameter and a length"));
    };
    let read = |part: &str| {
        part.trim().parse::<Length>().map_err(|error: LengthError| wrong(&error.to_string()))
    };
    let gate = GateRequest { diameter: read(diameter)?, length: read(long)? };
    let meant = |length: Length| length.mm() > 0.0 && length.mm() <= WIDEST_MM;
    if !meant(gate.diameter) || !meant(gate.length) {
        let most = Length::from_mm(WIDEST_MM);
        return Err(wrong(&format!("expected more than nothing and no more than {most}")));
    }
    Ok(Some(gate))
}
