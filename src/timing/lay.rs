//! One round laid out on the time line: each pour as early as it may be.

use super::bench::Bench;
use super::{Pour, PourKind, SLACK_MINUTES, TimelineRequest};

/// One round; minutes count from the run's start.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Laid {
    /// The release agent goes on.
    pub begins: f64,
    /// Each pour, in order.
    pub pours: Vec<LaidPour>,
    /// The castings may leave their moulds.
    pub demould: Option<f64>,
    /// Everything has its final hardness.
    pub full_cure: Option<f64>,
}

/// One pour; without batches where nothing tells when it may begin.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct LaidPour {
    /// When it bonds to what is under it; `None` for what goes on the mould itself.
    pub window: Option<Window>,
    /// One after another.
    pub batches: Vec<Batch>,
}

/// When a pour bonds to what is under it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Window {
    pub opens: Option<f64>,
    /// The first of the ends that are known.
    pub closes: Option<f64>,
    /// No end that counts is unknown.
    pub closes_for_sure: bool,
    /// It is what lies under the skin's edge that closes it.
    pub closed_by_skin: bool,
    /// The whole pour lies within; `None` where that can't be told.
    pub kept: Option<bool>,
}

/// One cup.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Batch {
    /// Mixing begins, and with it the working time.
    pub begins: f64,
    /// Brushing or pouring begins.
    pub lays: f64,
    /// It is laid.
    pub ends: f64,
    /// It must be laid: the working time less its reserve.
    pub by: Option<f64>,
}

impl Batch {
    /// It is laid in time, where that can be told.
    pub fn in_time(&self) -> Option<bool> {
        self.by.map(|by| self.ends <= by + SLACK_MINUTES)
    }
}

impl LaidPour {
    pub fn begins(&self) -> Option<f64> {
        self.batches.first().map(|batch| batch.begins)
    }

    /// Mixing of the last batch.
    fn last_begins(&self) -> Option<f64> {
        self.batches.last().map(|batch| batch.begins)
    }

    pub fn ends(&self) -> Option<f64> {
        self.batches.last().map(|batch| batch.ends)
    }
}

impl Laid {
    /// Lays a round out whose release agent goes on at `begins`.
    pub fn new(request: &TimelineRequest, bench: &Bench, begins: f64) -> Self {
        let mut pours: Vec<LaidPour> = Vec::with_capacity(request.pours.len());
        for pour in &request.pours {
            let laid = lay(request, pour, &pours, bench, begins);
            pours.push(laid);
        }
        let latest = |minutes: &dyn Fn(&Pour) -> Option<f64>| {
            let ends = request.pours.iter().zip(&pours);
            ends.map(|(pour, laid)| Some(laid.last_begins()? + minutes(pour)?))
                .try_fold(begins, |latest, end| Some(end?.max(latest)))
                .filter(|_| !pours.is_empty())
        };
        let laid = pours.iter().filter_map(LaidPour::ends).fold(begins, f64::max);
        let demould = latest(&|pour| pour.times.demould_minutes).map(|ready| ready.max(laid));
        let full_cure = latest(&|pour| pour.times.full_cure_minutes).map(|cured| cured.max(laid));
        Self { begins, demould, full_cure, pours }
    }

    /// The end of what a person does before demoulding; `None` where that can't be told.
    pub fn attended_until(&self) -> Option<f64> {
        self.pours.iter().try_fold(self.begins, |end, pour| Some(pour.ends()?.max(end)))
    }

    /// A person is there for all that needs one before demoulding, where it can be told.
    pub fn is_attended(&self, bench: &Bench) -> bool {
        let pours = self.pours.iter().filter_map(|pour| Some((pour.begins()?, pour.ends()?)));
        bench.is_attended(self.begins, self.begins)
            && pours.into_iter().all(|(begins, ends)| bench.is_attended(begins, ends))
    }
}

/// Lays one pour on those before it, as early as it may be.
fn lay(
    request: &TimelineRequest,
    pour: &Pour,
    before: &[LaidPour],
    bench: &Bench,
    begins: f64,
) -> LaidPour {
    let mut window = window(request, pour, before);
    let ready = match (&window, before.last()) {
        (Some(window), Some(last)) => {
            window.opens.zip(last.ends()).map(|(opens, ends)| opens.max(ends))
        }
        _ => Some(begins + request.release_minutes),
    };
    let batches = match ready {
        Some(ready) => batches(request, pour, place(pour, window.as_ref(), ready, bench)),
        None => Vec::new(),
    };
    if let (Some(window), Some(last)) = (&mut window, batches.last()) {
        window.kept = match window.closes {
            Some(closes) if last.ends > closes + SLACK_MINUTES => Some(false),
            Some(_) if window.closes_for_sure => Some(true),
            _ => None,
        };
    }
    LaidPour { window, batches }
}

/// When the pour begins: as soon as it may; where nobody is there then, at the next opening, if
/// it certainly still bonds.
fn place(pour: &Pour, window: Option<&Window>, ready: f64, bench: &Bench) -> f64 {
    let length = pour.all_minutes();
    match bench.next_attended(ready, length) {
        Some(next) if next <= ready => ready,
        Some(next) => {
            let bonds = window.is_none_or(|window| {
                let closes = window.closes.filter(|_| window.closes_for_sure);
                closes.is_some_and(|closes| next + length <= closes + SLACK_MINUTES)
            });
            if bonds { next } else { ready }
        }
        None => ready,
    }
}

fn batches(request: &TimelineRequest, pour: &Pour, begins: f64) -> Vec<Batch> {
    let usable = pour.times.working_minutes.map(|minutes| minutes * (1.0 - request.reserve));
    let batch = |number: u32| {
        let begins = begins + f64::from(number) * pour.batch_minutes();
        Batch {
            begins,
            lays: begins + pour.mixing_minutes + pour.degassing_minutes,
            ends: begins + pour.batch_minutes(),
            by: usable.map(|usable| begins + usable),
        }
    };
    (0..pour.batches).map(batch).collect()
}

/// When a pour bonds to what is under it.
///
/// It opens by the last batch of the layer before (a cap's also when the skin's edge bonds) and
/// closes by the first batch; a cap's also when the skin's edge no longer bonds.
fn window(request: &TimelineRequest, pour: &Pour, before: &[LaidPour]) -> Option<Window> {
    let earlier: Vec<(&Pour, &LaidPour)> = request.pours.iter().zip(before).collect();
    let &(under, laid_under) = earlier.last()?;
    let skin = earlier.iter().rev().find(|(p, _)| p.kind == PourKind::Coat);
    let edge = skin.filter(|_| pour.kind == PourKind::Cap && under.kind != PourKind::Coat);
    let carries = |p: &Pour| match p.kind {
        PourKind::Coat => p.times.bond_from_minutes.or(p.times.gel_minutes),
        _ => p.carries_minutes(),
    };
    let opens_by = |p: &Pour, laid: &LaidPour| Some(laid.last_begins()? + carries(p)?);
    let closes_by = |p: &Pour, laid: &LaidPour| Some(laid.begins()? + p.times.bond_until_minutes?);

    let opens = opens_by(under, laid_under).map(|opens| {
        // Where nothing tells when the edge bonds, the core's gel is what is waited for.
        let edge = edge.and_then(|(p, laid)| opens_by(p, laid));
        edge.map_or(opens, |edge| edge.max(opens))
    });
    let own = closes_by(under, laid_under);
    let of_edge = edge.map(|(p, laid)| closes_by(p, laid));
    let closes = match (own, of_edge.flatten()) {
        (Some(own), Some(edge)) => Some(own.min(edge)),
        (own, edge) => own.or(edge),
    };
    let closed_by_skin = match (own, of_edge.flatten()) {
        (Some(own), Some(edge)) => edge <= own,
        (_, edge) => edge.is_some(),
    };
    Some(Window {
        opens,
        closes,
        closes_for_sure: own.is_some() && of_edge.is_none_or(|edge| edge.is_some()),
        closed_by_skin: closed_by_skin || under.kind == PourKind::Coat,
        kept: None,
    })
}
