//! Parts and mixes of a mould: from measured volumes to what to weigh.

use super::{Make, Measured, MixMeasured, MouldJob, PartMeasured};
use crate::bounds::Bounds;
use crate::job::JobError;
use crate::mould::{BlanketPart, BlanketRequest, BlockPart};
use crate::plan::{Jacket, Lay, Single};
use crate::sheet::{MixFor, MouldJacket, MouldMix, MouldPart, WhichPart};

/// A block's part: one mix.
pub fn of_block(part: &BlockPart) -> PartMeasured {
    let block = MixMeasured {
        what: MixFor::Block,
        volume_mm3: part.rubber_mm3,
        flange_mm3: Bounds::ZERO,
        area_mm2: 0.0,
    };
    PartMeasured {
        height_mm: part.height_mm,
        mixes: vec![block],
        rubber_mm3: part.rubber_mm3,
        jacket_mm3: Bounds::ZERO,
        jacket_flange_mm3: Bounds::ZERO,
    }
}

/// A blanket's part: a mix for each coat, and one for the undercuts.
pub fn of_blanket(part: &BlanketPart, asked: &BlanketRequest, undercut_share: f64) -> PartMeasured {
    let count = asked.coats_mm.len();
    let coats = part.coats_mm3.iter().zip(&asked.coats_mm).enumerate();
    let mut mixes: Vec<MixMeasured> = coats
        .map(|(index, (volume, thickness))| MixMeasured {
            what: MixFor::Coat { index, count, thickness_mm: *thickness },
            volume_mm3: *volume,
            flange_mm3: times(part.flange_mm2, *thickness),
            area_mm2: part.surface_mm2 + part.flange_mm2.best(),
        })
        .collect();
    let undercuts = times(part.blanket_mm3, undercut_share);
    if undercut_share > 0.0 {
        mixes.push(MixMeasured {
            what: MixFor::Undercuts,
            volume_mm3: undercuts,
            flange_mm3: Bounds::ZERO,
            area_mm2: 0.0,
        });
    }
    let thick_mm: f64 = asked.coats_mm.iter().sum();
    let flange = times(part.flange_mm2, thick_mm);
    PartMeasured {
        height_mm: 0.0,
        mixes,
        rubber_mm3: part.blanket_mm3 + flange + undercuts,
        jacket_mm3: part.jacket_mm3,
        jacket_flange_mm3: times(part.flange_mm2, asked.jacket_mm),
    }
}

fn times(volume: Bounds, factor: f64) -> Bounds {
    Bounds::new(volume.low() * factor, volume.best() * factor, volume.high() * factor)
}

/// What to weigh for each part.
///
/// # Errors
/// [`JobError`] where a mix can't be weighed.
pub fn parts(measured: &Measured, request: &MouldJob) -> Result<Vec<MouldPart>, JobError> {
    let jacket = match &request.make {
        Make::Blanket { jacket, .. } => jacket.map(|(of, _)| of),
        Make::Block { .. } => None,
    };
    let names = match measured.parts.len() {
        1 => [WhichPart::Whole, WhichPart::Whole],
        _ => [WhichPart::Lower, WhichPart::Upper],
    };
    let each = measured.parts.iter().zip(names);
    each.map(|(part, which)| one(part, which, jacket, request)).collect()
}

fn one(
    part: &PartMeasured,
    which: WhichPart,
    jacket: Option<Jacket>,
    request: &MouldJob,
) -> Result<MouldPart, JobError> {
    let mixes = part.mixes.iter().map(|mix| {
        let lay = match mix.what {
            MixFor::Block => Lay::Poured,
            MixFor::Undercuts => Lay::Trowelled,
            MixFor::Coat { index, count, .. } => {
                Lay::Brushed { area_mm2: mix.area_mm2, index, count }
            }
        };
        let net_mm3 = mix.volume_mm3.best() + mix.flange_mm3.best();
        let name = name(mix.what, which);
        let single = Single::of(&name, &request.rubber, net_mm3, lay, &request.shop)?;
        let (volume_mm3, flange_mm3) = (mix.volume_mm3, mix.flange_mm3);
        Ok(MouldMix { what: mix.what, volume_mm3, flange_mm3, single })
    });
    let mixes = mixes.collect::<Result<Vec<_>, JobError>>()?;
    let jacket = match jacket {
        None => None,
        Some(of) => {
            let net_mm3 = part.jacket_mm3.best() + part.jacket_flange_mm3.best();
            let (volume_mm3, flange_mm3) = (part.jacket_mm3, part.jacket_flange_mm3);
            Some(MouldJacket { volume_mm3, flange_mm3, dose: of.dose(net_mm3)? })
        }
    };
    let rubber_g: f64 = mixes.iter().map(|mix| mix.single.dose.net_g).sum();
    let own_g = rubber_g + jacket.as_ref().map_or(0.0, |jacket| jacket.dose.net_g);
    Ok(MouldPart {
        which,
        height_mm: part.height_mm,
        mixes,
        rubber_mm3: part.rubber_mm3,
        jacket,
        own_g,
        lift_g: request.pattern_weight.map(|weight| own_g + weight.grams()),
    })
}

/// What messages call a mix.
fn name(what: MixFor, which: WhichPart) -> String {
    let mix = match what {
        MixFor::Block => "block".to_owned(),
        MixFor::Coat { count: 1, .. } => "blanket".to_owned(),
        MixFor::Coat { index, .. } => format!("blanket, coat {}", index + 1),
        MixFor::Undercuts => "undercut fill".to_owned(),
    };
    match which {
        WhichPart::Whole => mix,
        WhichPart::Lower => format!("lower half, {mix}"),
        WhichPart::Upper => format!("upper half, {mix}"),
    }
}
