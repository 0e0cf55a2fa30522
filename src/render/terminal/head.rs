//! The upper part of both outputs: what was read and assumed, health, cavity.

use super::numbers::{count, tenths, three, three_down, three_up};
use super::page::{ALERT, PLAIN, Page, STRONG};
use crate::bounds::Bounds;
use crate::sheet::{
    Because, CavityFacts, CavityMeasures, Change, Health, MeshFacts, ReadAs, Repair, WaterCheck,
};
use crate::units::{Direction, LengthUnit, Weighing};

const MM_PER_INCH: f64 = 25.4;

/// The name of the piece, and what this page is.
pub fn title(page: &mut Page, mesh: &MeshFacts, what: &str) {
    page.ends((STRONG, &mesh.file), (PLAIN, what));
    page.rule();
}

/// What was read, and what it was taken for.
pub fn mesh(page: &mut Page, mesh: &MeshFacts) {
    let format = mesh.format.describe();
    page.row(
        "Read",
        &format!("{format}, {} triangles, {} corners", count(mesh.triangles), count(mesh.vertices)),
    );
    let [x, y, z] = mesh.extent_mm.map(tenths_or_finer);
    let [a, b, c] = mesh.extent_mm.map(|side| format!("{:.2}", side / MM_PER_INCH));
    page.row("Size", &format!("{x} × {y} × {z} mm ({a} × {b} × {c} in)"));
    let scale = match mesh.known {
        Some(known) if mesh.by_weight == 1.0 => {
            format!("scaled to {known} (× {})", four_digits(mesh.mm_per_number))
        }
        Some(known) => format!(
            "scaled to {known}, then by {} to the weighed filling (× {})",
            four_digits(mesh.by_weight),
            four_digits(mesh.mm_per_number)
        ),
        None if mesh.by_weight != 1.0 => format!(
            "numbers in {}, scaled by {} to the weighed filling",
            unit_name(mesh.unit),
            four_digits(mesh.by_weight)
        ),
        None => format!("numbers in {}", unit_name(mesh.unit)),
    };
    let rim = if mesh.up_from_rim { ", square to the rim" } else { "" };
    let up = format!("up is {}{rim}", direction(mesh.up));
    let statements = [(mesh.unit_assumed, scale), (!mesh.up_given, up)];
    let those = |assumed: bool| {
        let chosen = statements.iter().filter(|(a, _)| *a == assumed).map(|(_, s)| s.as_str());
        chosen.collect::<Vec<_>>().join(", ")
    };
    let taken = [&taken_for(mesh), those(false).as_str()].join(", ");
    page.row("Taken for", taken.trim_end_matches(", "));
    let assumed = those(true);
    if !assumed.is_empty() {
        page.row("Assumed", &assumed);
    }
}

/// What the mesh was taken for, and why.
fn taken_for(mesh: &MeshFacts) -> String {
    let share = |share: f64| format!("{:.0} % of its outline", 100.0 * share);
    match (mesh.read_as, mesh.because) {
        (ReadAs::Casting, Because::Said | Because::Closed) => {
            "the closed shape of a casting".to_owned()
        }
        (ReadAs::Casting, Because::Border { share: s }) => {
            format!("the shape of a casting with holes, as no border encloses over {}", share(s))
        }
        (ReadAs::Mould, Because::Said) => "the surface of a mould, as --as says".to_owned(),
        (ReadAs::Mould, Because::Closed) => "the surface of a mould".to_owned(),
        (ReadAs::Mould, Because::Border { share: s }) => {
            format!("the surface of a mould, because its border encloses {}", share(s))
        }
    }
}

/// The unit as one reads it in a sentence.
const fn unit_name(unit: LengthUnit) -> &'static str {
    match unit {
        // "in in" reads as a slip.
        LengthUnit::Inch => "inches",
        other => other.as_str(),
    }
}

fn tenths_or_finer(mm: f64) -> String {
    if mm < 10.0 { three(mm) } else { format!("{mm:.1}") }
}

fn four_digits(value: f64) -> String {
    if (0.01..10_000.0).contains(&value) { format!("{value:.4}") } else { format!("{value:.3e}") }
}

fn direction(up: Direction) -> String {
    let [x, y, z] = up.components();
    for (name, along) in [("x", [x, y, z]), ("y", [y, z, x]), ("z", [z, x, y])] {
        if along[1] == 0.0 && along[2] == 0.0 {
            return format!("{}{name}", if along[0] > 0.0 { '+' } else { '-' });
        }
    }
    format!("({x:.3}, {y:.3}, {z:.3})")
}

/// Health in a line, and what was mended.
pub fn health(page: &mut Page, health: &Health) {
    let mut found = vec![plural(health.bodies, "body", "bodies")];
    let counts = [
        (health.open_edges, "open edge", "open edges"),
        (health.holes.len(), "hole", "holes"),
        (health.non_manifold_edges, "branching edge", "branching edges"),
        (health.inconsistent_edges, "edge whose sides disagree", "edges whose sides disagree"),
        (health.degenerate_triangles, "triangle without area", "triangles without area"),
        (health.duplicate_triangles, "doubled triangle", "doubled triangles"),
    ];
    found
        .extend(counts.iter().filter(|(n, ..)| *n > 0).map(|(n, one, many)| plural(*n, one, many)));
    if health.inverted {
        found.push("inside out".to_owned());
    }
    let closed = if health.watertight { "closed" } else { "not closed" };
    let style = if health.watertight { PLAIN } else { ALERT };
    page.row_in(style, "Health", &format!("{closed}: {}", found.join(", ")));
    if !health.repairs.is_empty() {
        let mended: Vec<_> = health.repairs.iter().map(mended).collect();
        page.row("Mended", &mended.join("; "));
    }
}

/// A repair in words; the code itself where it has none yet.
fn mended(repair: &Repair) -> String {
    let n = repair.count;
    let cm3 = repair.volume_bound_mm3 / 1000.0;
    match repair.code {
        "filled-holes" => format!(
            "{} filled, {} cm² (counted as wall), volume sure to ±{} cm³",
            plural(n, "hole", "holes"),
            three(repair.area_mm2 / 100.0),
            three_up(cm3, cm3)
        ),
        "split-t-junctions" => {
            format!(
                "edges split at {}",
                plural(n, "corner that lies on them", "corners that lie on them")
            )
        }
        "dropped-scraps" => format!("{} left out", plural(n, "loose scrap", "loose scraps")),
        "merged-vertices" => format!("{} joined", plural(n, "corner", "corners")),
        "turned-triangles" => format!("{} turned over", plural(n, "triangle", "triangles")),
        "turned-inside-out" => format!("inside out: {} turned", plural(n, "triangle", "triangles")),
        "dropped-buried-bodies" => {
            format!("{} counted once", plural(n, "buried body", "buried bodies"))
        }
        "dropped-inner-faces" => {
            format!("{} left out", plural(n, "doubled inner face", "doubled inner faces"))
        }
        "united" | "turned-and-united" => {
            format!("united where {} crossed", plural(n, "pair of triangles", "pairs of triangles"))
        }
        code => format!("{code} {n}"),
    }
}

/// Limits of the cavity that lie further apart than this are told beside the layers, %.
const BAND_PERCENT_WORTH_TELLING: f64 = 0.5;

/// What the cavity holds.
pub fn volume(page: &mut Page, mesh: &MeshFacts, cavity: &CavityFacts) {
    let m = &cavity.measures;
    let limits = limits(m.volume_mm3);
    let level = match (cavity.open, cavity.below_lip_mm()) {
        (false, _) if cavity.of_halves => "both halves together, closed all round".to_owned(),
        (false, _) => "closed all round".to_owned(),
        (true, below) if below > 0.0 => format!("filled to {} mm under the lip", tenths(below)),
        (true, _) => "filled to the lip".to_owned(),
    };
    let box_mm3: f64 = mesh.extent_mm.iter().product();
    let share = if box_mm3 > 0.0 && !cavity.of_halves {
        format!(", {:.0} % of the mesh's box", 100.0 * m.volume_mm3.best() / box_mm3)
    } else {
        String::new()
    };
    let volume = format!("{} cm³", three(m.volume_mm3.best() / 1000.0));
    if !cavity.impressions.is_empty() {
        impressions(page, &cavity.impressions, cavity.impression);
    }
    page.row_in(
        STRONG,
        "Cavity",
        &format!("{volume}{limits}, {level}, {} mm deep{share}", tenths(m.fill_mm)),
    );
}

/// What the cavity holds, its wall and its opening.
pub fn cavity(page: &mut Page, mesh: &MeshFacts, cavity: &CavityFacts) {
    volume(page, mesh, cavity);
    let m = &cavity.measures;
    let band = cavity.band_percent();
    if band > BAND_PERCENT_WORTH_TELLING {
        page.row_in(
            ALERT,
            "",
            &format!(
                "what was missing makes the cavity unsure by {} %; limits of layers speak of the \
                 mesh as mended",
                tenths(band)
            ),
        );
    }
    let slopes = m.slope_area_mm2;
    let [wall, floor, steep, overhanging] =
        [m.wall_area_mm2, slopes.floor, slopes.steep, slopes.overhanging]
            .map(|mm2| three(mm2 / 100.0));
    page.row(
        "Wall",
        &format!("{wall} cm² to brush: {floor} floor, {steep} steep, {overhanging} overhanging"),
    );
    if cavity.open {
        let lean = match m.tilt_deg {
            Some(tilt) if tilt >= 0.05 => format!(", leaning {tilt:.1}° as read"),
            _ => String::new(),
        };
        let [area, around] = [m.opening_area_mm2 / 100.0, m.opening_perimeter_mm / 10.0].map(three);
        page.row("Opening", &format!("{area} cm², {around} cm around{lean}"));
    }
}

/// What a weighed filling says of the volume.
pub fn water(page: &mut Page, check: &WaterCheck) {
    let [volume, computed] =
        [check.volume_mm3(), check.computed_mm3.best()].map(|mm3| mm3 / 1000.0);
    let difference = check.difference_percent();
    let more = if difference >= 0.0 { "more" } else { "less" };
    let change = match check.change {
        Change::Nothing => String::new(),
        Change::Size(factor) => format!("; so the mesh was scaled by {}", four_digits(factor)),
        Change::Level(mm) => format!("; so the fill level lies {mm:.2} mm under the lip"),
    };
    let label = match check.weighing {
        Weighing::Water(_) => "Water",
        Weighing::OldCasting(_) => "Casting",
    };
    page.row(
        label,
        &format!(
            "{} are {} cm³: {:.1} % {more} than the {} cm³{} computed{change}",
            check.weighing,
            three(volume),
            difference.abs(),
            three(computed),
            limits(check.computed_mm3)
        ),
    );
}

/// How many impressions are listed.
const IMPRESSIONS_LISTED: usize = 12;

fn impressions(page: &mut Page, all: &[CavityMeasures], filled: Option<u32>) {
    let size = |(k, m): (usize, &CavityMeasures)| {
        format!("{}: {} cm³", k + 1, three(m.volume_mm3.best() / 1000.0))
    };
    let mut listed: Vec<String> =
        all.iter().enumerate().take(IMPRESSIONS_LISTED).map(size).collect();
    if all.len() > IMPRESSIONS_LISTED {
        listed.push(format!("{} more", count(all.len() - IMPRESSIONS_LISTED)));
    }
    let which = match filled {
        Some(number) => format!("number {number} of {} below", count(all.len())),
        None => format!("all {} together below", count(all.len())),
    };
    page.row("Cavities", &format!("{}; {which}", listed.join(", ")));
}

/// Limits closer together than this share of the value are those of rounding: three digits say
/// nothing of them.
const ROUNDING_SHARE: f64 = 1e-6;

/// ` (9.05 to 9.17)` behind a volume that isn't exact; the limits are rounded outward.
pub fn limits(volume_mm3: Bounds) -> String {
    let [low, best, high] =
        [volume_mm3.low(), volume_mm3.best(), volume_mm3.high()].map(|mm3| mm3 / 1000.0);
    if high - low <= ROUNDING_SHARE * best {
        return String::new();
    }
    format!(" ({} to {})", three_down(low, best), three_up(high, best))
}

/// How far the widest of some limits lies from its value, cm³, rounded up; `None` where all are
/// exact.
pub fn limits_within(volumes_mm3: impl Iterator<Item = Bounds>) -> Option<String> {
    let widest_cm3 = volumes_mm3.map(|v| v.reach() / 1000.0).fold(0.0, f64::max);
    (widest_cm3 > 0.0).then(|| three_up(widest_cm3, widest_cm3))
}

fn plural(n: usize, one: &str, many: &str) -> String {
    format!("{} {}", count(n), if n == 1 { one } else { many })
}
