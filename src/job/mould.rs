//! The mould's own body: from a piece's mesh to grams of rubber and jacket.

mod order;
mod weigh;

use super::{JobError, LAYERS_BEGIN, MeshRequest, Phase, Progress, known, read, see::Seen, work};
use crate::bounds::Bounds;
use crate::cavity::Cavity;
use crate::finding::Finding;
use crate::health::Unsound;
use crate::materials::{Caution, Family, Hazard, System, cautions};
use crate::mould::{self, BlanketRequest, BlockRequest, BoxShape};
use crate::plan::{Jacket, Shop, parts_from};
use crate::sheet::{MeshFacts, MouldBody, MouldPart, MouldSheet, PatternFacts, ReadAs};
use crate::units::{Coats, Length, Percent, Weight};

/// What `mould` is asked to do.
#[derive(Debug, Clone, PartialEq)]
pub struct MouldJob {
    /// How the mesh is to be read and stood up.
    pub mesh: MeshRequest,
    /// A block or a blanket.
    pub make: Make,
    /// Height over the lowest point at which the mould is divided.
    pub parting: Option<Length>,
    /// The rubber.
    pub rubber: System,
    /// What the pattern is made of.
    pub pattern_of: Option<Family>,
    /// What the pattern weighs.
    pub pattern_weight: Option<Weight>,
    /// What the workshop has, and how it works.
    pub shop: Shop,
}

/// How the mould is made.
#[derive(Debug, Clone, PartialEq)]
pub enum Make {
    /// Poured in a mould box.
    Block {
        /// The shape of the box.
        shape: BoxShape,
        /// Between piece and walls.
        sides: Length,
        /// Over the piece, of one without a back at both ends.
        over: Length,
    },
    /// Brushed, and held by a jacket.
    Blanket {
        /// Each coat from the piece outward; at least one.
        coats: Vec<Length>,
        /// How far it runs out on the board and along the parting.
        flange: Length,
        /// What undercuts are filled with, as a share of the blanket.
        undercuts: Percent,
        /// What the jacket is laid from, and how thick; `None` for no jacket.
        jacket: Option<(Jacket, Length)>,
        /// How far a limit may lie from its value, as a share of the piece with all that is laid on
        /// it.
        tolerance: Percent,
    },
}

impl Make {
    /// Between piece and box where nothing else is asked for (references B7: 10 to 15 mm, common
    /// practice).
    pub const CLEARANCE: Length = Length::from_mm(12.0);
    /// A block's least wall: thinner rubber holds no shape of its own (common practice, no source).
    pub const LEAST_CLEARANCE: Length = Length::from_mm(1.0);
    /// A blanket's thickness where nothing else is asked for (references B7: 8 to 12 mm, common
    /// practice).
    pub const BLANKET: Length = Length::from_mm(10.0);
    /// Undercut fill where nothing else is asked for (references B7: 10 to 20 % of the blanket,
    /// common practice).
    pub const UNDERCUTS: Percent = Percent::new(15.0);
    /// A print coat and the thickest build coat where the rubber's file tells nothing, mm (common
    /// practice, no source).
    const USUAL_COATS_MM: [f64; 2] = [1.0, 2.0];

    /// The coats of a blanket where nobody names them: a print coat as thick as the plain rubber
    /// stands on a steep wall, then equal build coats no thicker than it stands thickened.
    pub fn usual_coats(blanket: Length, rubber: &System) -> Vec<Length> {
        let [print_mm, build_mm] = Self::USUAL_COATS_MM;
        let build = &rubber.build;
        let print_mm = build.plain_mm.as_ref().map_or(print_mm, |s| s.value);
        let build_mm = build.thickened_mm.as_ref().map_or(build_mm, |s| s.value);
        let rest_mm = blanket.mm() - print_mm;
        if rest_mm < Coats::THINNEST.mm() {
            return vec![blanket];
        }
        let count = (rest_mm / build_mm - 1e-9).ceil().clamp(1.0, f64::from(Coats::MOST - 1));
        let builds = std::iter::repeat_n(Length::from_mm(rest_mm / count), count as usize);
        std::iter::once(Length::from_mm(print_mm)).chain(builds).collect()
    }
}

/// A wall thinner than this is told, mm (references B7: 10 to 15, common practice).
const THIN_BLOCK_MM: f64 = 5.0;

/// Works out the rubber of the mould itself.
///
/// # Errors
/// [`JobError`] where the mesh can't be read or trusted, the parting misses it, or the grams can't
/// be worked out.
pub fn mould(
    bytes: &[u8],
    request: &MouldJob,
    progress: Progress<'_>,
) -> Result<MouldSheet, JobError> {
    let raw = read(bytes, &request.mesh, progress)?;
    let seen = known::see_scaled(raw, &request.mesh, 0.0, progress)?;
    let Seen { scale, mesh, health, found, mut findings } = seen;
    let found = found?;
    let measures: Vec<_> = found.cavities.iter().map(|c| *c.measures()).collect();
    work::check_volume(&scale, &measures)?;
    if found.cavities.len() > 1 {
        return Err(JobError::SeveralPieces);
    }
    let piece = found.cavities.into_iter().next().ok_or(JobError::Unsound(Unsound::Empty))?;
    let (piece, hollows_mm3) = piece.with_hollows_filled();
    if let Make::Blanket { coats, .. } = &request.make {
        work::check_layers(&scale, &[*piece.measures()], coats)?;
    }
    for pits in findings.iter_mut().filter(|finding| finding.code == "has-pits") {
        let hint =
            "give the mesh of the piece; --as mould takes what a mould holds for the pattern";
        pits.hint = Some(hint.to_owned());
    }
    findings.extend(of_piece(&piece, &mesh, hollows_mm3, request));
    let measured = measure(&piece, request, progress)?;
    let parts = weigh::parts(&measured, request)?;
    findings.extend(of_mixes(&parts));
    findings.extend(of_body(&measured.body, request));
    findings.extend(contacts(request));
    let pattern = PatternFacts {
        volume_mm3: piece.measures().volume_mm3,
        surface_mm2: piece.measures().wall_area_mm2,
        height_mm: mould::height_mm(&piece),
        on_back: piece.is_open(),
        weight_g: request.pattern_weight.map(|weight| weight.grams()),
    };
    let thickened = parts.iter().flat_map(|p| &p.mixes).any(|mix| mix.single.thickened);
    let order = order::of_work(request, &measured.body, pattern.on_back);
    Ok(MouldSheet {
        mesh,
        health,
        pattern,
        body: measured.body,
        parting_mm: request.parting.map(Length::mm),
        system_id: request.rubber.id.clone(),
        system_title: request.rubber.title.clone(),
        demould_minutes: request.rubber.times.demould_minutes.as_ref().map(|t| t.value),
        parts,
        shop: request.shop.clone(),
        order,
        cautions: cautions_for(request, thickened),
        findings,
    })
}

/// What was noticed of the mixes, each kind once with how many more have it.
fn of_mixes(parts: &[MouldPart]) -> Vec<Finding> {
    let mixes = parts.iter().flat_map(|part| &part.mixes);
    let mut told: Vec<(Finding, usize)> = Vec::new();
    for finding in mixes.flat_map(|mix| &mix.single.findings) {
        match told.iter_mut().find(|(first, _)| first.code == finding.code) {
            Some((_, more)) => *more += 1,
            None => told.push((finding.clone(), 0)),
        }
    }
    let with_count = told.into_iter().map(|(mut finding, more)| {
        match more {
            0 => {}
            1 => finding.message += "; one more mix likewise",
            _ => finding.message += &format!("; {more} more mixes likewise"),
        }
        finding
    });
    with_count.collect()
}

fn cautions_for(request: &MouldJob, thickened: bool) -> Vec<Caution> {
    let work: &[Hazard] = if thickened { &[Hazard::Dust] } else { &[] };
    let mut all = cautions([&request.rubber], work);
    if let Make::Blanket { jacket: Some((jacket, _)), .. } = &request.make {
        all.push(Caution { hazard: None, text: jacket.caution().to_owned() });
    }
    all
}

/// What is to be weighed for, measured. Lengths in mm, volumes in mm³.
pub(super) struct Measured {
    pub body: MouldBody,
    pub parts: Vec<PartMeasured>,
}

/// One part: its rubber by mix, its jacket.
pub(super) struct PartMeasured {
    pub height_mm: f64,
    pub mixes: Vec<MixMeasured>,
    pub rubber_mm3: Bounds,
    pub jacket_mm3: Bounds,
    pub jacket_flange_mm3: Bounds,
}

/// One mix.
pub(super) struct MixMeasured {
    pub what: crate::sheet::MixFor,
    pub volume_mm3: Bounds,
    pub flange_mm3: Bounds,
    /// What is brushed, mm².
    pub area_mm2: f64,
}

fn measure(
    piece: &Cavity,
    request: &MouldJob,
    progress: Progress<'_>,
) -> Result<Measured, JobError> {
    let parting_mm = request.parting.map(Length::mm);
    match &request.make {
        Make::Block { shape, sides, over } => {
            let (sides_mm, over_mm) = (sides.mm(), over.mm());
            let asked = BlockRequest { shape: *shape, sides_mm, over_mm, parting_mm };
            let block = mould::block(piece, &asked)?;
            let height_mm = block.height_mm;
            let body = MouldBody::Block {
                shape: *shape,
                inside: block.inside,
                height_mm,
                sides_mm,
                over_mm,
            };
            Ok(Measured { body, parts: block.parts.iter().map(weigh::of_block).collect() })
        }
        Make::Blanket { coats, flange, undercuts, jacket, tolerance } => {
            let coats_mm: Vec<f64> = coats.iter().map(|c| c.mm()).collect();
            let asked = BlanketRequest {
                coats_mm: coats_mm.clone(),
                jacket_mm: jacket.map_or(0.0, |(_, thick)| thick.mm()),
                flange_mm: flange.mm(),
                parting_mm,
                tolerance: tolerance.share(),
            };
            let tell = |share: f64| {
                progress(Phase::Layers, LAYERS_BEGIN + (1.0 - LAYERS_BEGIN) * share);
            };
            let blanket = mould::blanket(piece, &asked, &tell)?;
            let of_part = |part| weigh::of_blanket(part, &asked, undercuts.share());
            let body = MouldBody::Blanket {
                thick_mm: coats_mm.iter().sum(),
                flange_mm: flange.mm(),
                undercut_share: undercuts.share(),
                jacket: jacket.map(|(of, thick)| (of, thick.mm())),
                tolerance_reached: blanket.tolerance_reached,
            };
            Ok(Measured { body, parts: blanket.parts.iter().map(of_part).collect() })
        }
    }
}

/// What is to be known of the piece as a pattern.
fn of_piece(
    piece: &Cavity,
    mesh: &MeshFacts,
    hollows_mm3: f64,
    request: &MouldJob,
) -> Vec<Finding> {
    let mut findings = Vec::new();
    if mesh.read_as == ReadAs::Mould {
        let message = "the mesh was read as the surface of a mould: the pattern is taken for what \
            that holds, standing on its open side";
        findings.push(
            Finding::warning("pattern-from-mould", message)
                .with_hint("give the mesh of the piece itself; --as casting reads it as one"),
        );
    }
    if hollows_mm3 > 0.0 {
        let cm3 = hollows_mm3 / 1000.0;
        let message = format!(
            "hollows of {cm3:.1} cm³, inside the piece or closed off by the board, count as filled: \
             no rubber gets there"
        );
        findings.push(Finding::note("hollows-filled", message));
    }
    if !piece.is_open() && request.parting.is_none() {
        let message = "the piece has no flat back to stand on, so that rubber closes all round it: \
            a mould in one part must be cut open";
        findings.push(Finding::warning("closed-all-round", message).with_hint(
            "divide it at a height with --parting, or give the way the back faces with --up",
        ));
    }
    findings
}

fn of_body(body: &MouldBody, request: &MouldJob) -> Vec<Finding> {
    let mut findings = Vec::new();
    match body {
        MouldBody::Block { sides_mm, over_mm, .. } => {
            let thin_mm = sides_mm.min(*over_mm);
            if thin_mm < THIN_BLOCK_MM {
                let message = format!(
                    "a block only {} thick at its thinnest holds no shape by itself; 10 to 15 mm \
                     are common",
                    Length::from_mm(thin_mm)
                );
                findings.push(Finding::warning("thin-block", message));
            }
        }
        MouldBody::Blanket { tolerance_reached, .. } => {
            if !tolerance_reached {
                let message = "the limits of a layer are wider than the tolerance asked for";
                findings.push(
                    Finding::warning("tolerance-not-reached", message)
                        .with_hint("ask for a wider --tolerance, or for thicker coats"),
                );
            }
        }
    }
    if let Make::Blanket { coats, .. } = &request.make {
        findings.extend(running_coats(coats, &request.rubber));
    }
    findings
}

/// Coats thicker than the rubber stands on a steep wall.
fn running_coats(coats: &[Length], rubber: &System) -> Option<Finding> {
    let stands = |k: usize| {
        let build = &rubber.build;
        let thickened = rubber.thickener.is_some() && (k > 0 || coats.len() == 1);
        if thickened { build.thickened_mm.as_ref() } else { build.plain_mm.as_ref() }
    };
    let runs = |(k, coat): (usize, &Length)| {
        stands(k).filter(|s| coat.mm() > s.value + 1e-9).map(|s| (k, *coat, s.value))
    };
    let (k, coat, stands_mm) = coats.iter().enumerate().find_map(runs)?;
    let message = format!(
        "coat {} of {coat} is thicker than this rubber stands on a steep wall, {}: it runs down",
        k + 1,
        Length::from_mm(stands_mm)
    );
    Some(Finding::warning("coat-runs", message).with_hint("brush more and thinner coats"))
}

/// Who touches whom while the mould is made.
fn contacts(request: &MouldJob) -> Vec<Finding> {
    let rubber = ("mould rubber", request.rubber.family);
    let mut findings = Vec::new();
    match request.pattern_of {
        Some(family) => findings.extend(parts_from(rubber, ("pattern", family))),
        None => {
            let message = "what the pattern is made of was not said, so that rubber and pattern \
                were not checked against each other";
            findings.push(
                Finding::note("pattern-not-checked", message)
                    .with_hint("say it with --pattern-of, such as --pattern-of printed-resin"),
            );
        }
    }
    if request.parting.is_some() {
        let second = ("second half", request.rubber.family);
        findings.extend(parts_from(second, ("first half", request.rubber.family)));
    }
    if let Make::Blanket { jacket: Some((jacket, _)), .. } = &request.make
        && let Some(family) = jacket.family()
    {
        findings.extend(parts_from(("jacket", family), rubber));
    }
    findings
}
