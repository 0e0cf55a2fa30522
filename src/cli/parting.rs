//! The options of a piece that is cast in a two-part mould.

use std::path::PathBuf;

use cavigram::job::{GateRequest, HalfScan, MeshRequest, Opening, PartedBy, PartingRequest};
use cavigram::sheet::ReadAs;
use cavigram::units::{Length, LengthError};
use clap::Args;

use super::request::{UsageError, length, usage};
use super::{Failure, input};

/// The two parts of the mould.
#[derive(Debug, Args)]
#[command(next_help_heading = "Two-part mould")]
pub struct PartingArgs {
    /// The mould closes round the whole piece and parts
    /// at this height over its lowest point: tells what
    /// goes on the wall of each half, and the seam
    #[arg(long, value_name = "HEIGHT", allow_hyphen_values = true, verbatim_doc_comment)]
    pub parting: Option<String>,

    /// The mould closes round the whole piece, and the
    /// mesh is the scan of one half: this is the scan of
    /// the other, at the same scale
    #[arg(long, value_name = "FILE", verbatim_doc_comment)]
    pub other_half: Option<PathBuf>,

    /// Width of the coat over the seam; 0 for none
    /// [default: 10mm]
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, verbatim_doc_comment)]
    pub seam_width: Option<String>,

    /// Gate and tube that the core is poured through,
    /// diameter and length: 8mmx40mm
    /// [default: not weighed, and said so]
    #[arg(long, value_name = "DIAMxLENGTH", allow_hyphen_values = true, verbatim_doc_comment)]
    pub gate: Option<String>,
}

/// The widest seam or gate, and the longest gate, mm: beyond it is a slip.
const WIDEST_MM: f64 = 1000.0;

/// What the options mean for this mesh, which is then closed all round.
pub fn parting(
    args: &PartingArgs,
    mesh: &mut MeshRequest,
    below_lip: &Option<String>,
) -> Result<Option<PartingRequest>, Failure> {
    let Some(level) = length("--parting", &args.parting)? else {
        return of_halves(args, mesh);
    };
    let typed = args.parting.as_deref().unwrap_or_default();
    if let Some(other) = &args.other_half {
        let reason = "the two scans are parted already, at their rims";
        let name = other.display().to_string();
        return Err(usage("--other-half", &name, reason, Some("leave out one of the two")).into());
    }
    if mesh.read_as == Some(ReadAs::Mould) {
        let reason = "it divides a mould that closes round the piece, whose mesh is a casting's";
        return Err(usage("--parting", typed, reason, Some("leave out --as mould")).into());
    }
    if let Some(level) = below_lip {
        let reason = "a mould that closes round the piece has no lip to stop under";
        return Err(usage("--below-lip", level, reason, Some("leave out one of the two")).into());
    }
    mesh.opening = Opening::None;
    asked(args, || Ok(PartedBy::Level(level)))
}

/// Two scans, each of a half.
fn of_halves(args: &PartingArgs, mesh: &MeshRequest) -> Result<Option<PartingRequest>, Failure> {
    let Some(path) = &args.other_half else {
        let alone = [("--seam-width", &args.seam_width), ("--gate", &args.gate)];
        return match alone.into_iter().find_map(|(name, typed)| Some((name, typed.as_ref()?))) {
            Some((option, typed)) => {
                let reason = "it belongs to a mould in two parts";
                Err(usage(option, typed, reason, Some("give --parting or --other-half")).into())
            }
            None => Ok(None),
        };
    };
    let name = path.display().to_string();
    if path.as_os_str().is_empty() || input::is_standard_input(path) {
        let reason = "only the mesh itself is read from standard input";
        return Err(usage("--other-half", &name, reason, Some("name a file")).into());
    }
    if mesh.read_as == Some(ReadAs::Casting) || mesh.opening == Opening::None {
        let reason = "the mesh must be the scan of a half of the mould, open at its rim";
        let hint = "leave out --as casting and --opening none";
        return Err(usage("--other-half", &name, reason, Some(hint)).into());
    }
    // The file is opened once everything typed is known to mean something.
    asked(args, || {
        let (file, bytes) = (input::name(path), input::read(path)?);
        Ok(PartedBy::OtherHalf(HalfScan { file, bytes }))
    })
}

fn asked(
    args: &PartingArgs,
    by: impl FnOnce() -> Result<PartedBy, Failure>,
) -> Result<Option<PartingRequest>, Failure> {
    let seam_width = length("--seam-width", &args.seam_width)?;
    if let Some(width) = seam_width.filter(|width| width.mm() > WIDEST_MM) {
        let reason = format!("{width} is no seam: expected up to {}", Length::from_mm(WIDEST_MM));
        let typed = args.seam_width.as_deref().unwrap_or_default();
        return Err(usage("--seam-width", typed, &reason, None).into());
    }
    let gate = gate(&args.gate)?;
    let seam_width = seam_width.unwrap_or(PartingRequest::SEAM_WIDTH);
    Ok(Some(PartingRequest { by: by()?, seam_width, gate }))
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
