//! The dip-stick curve: what the bare cavity holds, level by level, with the marks of the pours.

use maud::{Markup, html};

use super::words::grouped;
use crate::render::Lengths;
use crate::sheet::{Sheet, StickPoint};

/// Size of the chart and of what is around it, mm.
const WIDTH: f64 = 90.0;
const HEIGHT: f64 = 44.0;
const LEFT: f64 = 13.0;
const BELOW: f64 = 8.5;
const RIGHT: f64 = 4.0;
const ABOVE: f64 = 5.0;
const TEXT: f64 = 2.7;

/// The curve; nothing for a closed cavity.
pub fn chart(sheet: &Sheet, lengths: Lengths) -> Markup {
    let Some(points) = sheet.drawings.as_ref().map(|d| d.stick.as_slice()) else {
        return html! {};
    };
    let Some(last) = points.last().filter(|last| last.height_mm > 0.0 && last.volume_mm3 > 0.0)
    else {
        return html! {};
    };
    let marks = marks(sheet);
    let (unit_mm, unit) = match lengths {
        Lengths::Millimetres => (1.0, "mm"),
        Lengths::Inches => (25.4, "in"),
    };
    let top_cm3 = last.volume_mm3 / 1000.0;
    let x = |cm3: f64| LEFT + (WIDTH - LEFT - RIGHT) * cm3 / top_cm3;
    let y = |mm: f64| HEIGHT - BELOW - (HEIGHT - BELOW - ABOVE) * mm / last.height_mm;
    let title = "dip-stick curve: volume of the bare cavity by height over its lowest point";
    html! {
        svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label=(title)
            width={ (WIDTH) "mm" } height={ (HEIGHT) "mm" } viewBox={ "0 0 " (WIDTH) " " (HEIGHT) }
            font-family="'Liberation Sans', Arial, Helvetica, sans-serif" font-size=(TEXT)
        {
            title { (title) }
            g stroke="#000" stroke-width=".15" {
                @for cm3 in ticks(top_cm3) {
                    path stroke="#999" d={ "M" (short(x(cm3))) " " (short(y(0.0))) "V" (short(y(last.height_mm))) } {}
                }
                @for height in ticks(last.height_mm / unit_mm) {
                    path stroke="#999" d={ "M" (short(LEFT)) " " (short(y(height * unit_mm))) "H" (short(x(top_cm3))) } {}
                }
            }
            path fill="none" stroke="#000" stroke-width=".5" stroke-linejoin="round"
                d=(curve(points, &x, &y)) {}
            @for (name, height_mm) in &marks {
                @let cm3 = volume_at(points, *height_mm) / 1000.0;
                path fill="none" stroke="#000" stroke-width=".3" stroke-dasharray="1.6 .8"
                    d={ "M" (short(LEFT)) " " (short(y(*height_mm))) "H" (short(x(cm3))) "V" (short(y(0.0))) } {}
                circle cx=(short(x(cm3))) cy=(short(y(*height_mm))) r=".8" {}
                text x=(short(LEFT + 1.0)) y=(short(y(*height_mm) + if *name == "cap to" { -0.8 } else { TEXT + 0.1 })) font-weight="bold"
                    paint-order="stroke" stroke="#fff" stroke-width=".7"
                {
                    (name) " " (grouped(&format!("{cm3:.1}"))) " cm³"
                }
            }
            g text-anchor="middle" {
                @for cm3 in ticks(top_cm3) {
                    text x=(short(x(cm3))) y=(short(HEIGHT - BELOW + 3.2)) { (grouped(&plain(cm3))) }
                }
                text x=(short(0.5 * (LEFT + WIDTH))) y=(short(HEIGHT - 1.2)) {
                    "cm³ in the bare cavity, without skin and inserts"
                }
            }
            g text-anchor="end" {
                @for height in ticks(last.height_mm / unit_mm) {
                    text x=(short(LEFT - 1.0)) y=(short(y(height * unit_mm) + 0.9)) { (plain(height)) }
                }
                text x=(short(LEFT - 1.0)) y=(short(HEIGHT - BELOW + 3.2)) { (unit) }
            }
        }
    }
}

/// The marks of the pours over the lowest point, mm.
fn marks(sheet: &Sheet) -> Vec<(&'static str, f64)> {
    let facts = &sheet.layers;
    let core = facts.core_mark_mm.map(|mm| ("core to", mm));
    core.into_iter().chain(facts.cap_mark_mm().map(|mm| ("cap to", mm))).collect()
}

fn curve(points: &[StickPoint], x: &impl Fn(f64) -> f64, y: &impl Fn(f64) -> f64) -> String {
    let mut d = String::new();
    for (k, point) in points.iter().enumerate() {
        d.push(if k == 0 { 'M' } else { 'L' });
        d += &format!("{} {}", short(x(point.volume_mm3 / 1000.0)), short(y(point.height_mm)));
    }
    d
}

/// Between the points of the curve it is taken as straight.
fn volume_at(points: &[StickPoint], height_mm: f64) -> f64 {
    let after = points.iter().position(|p| p.height_mm >= height_mm);
    match after.unwrap_or(points.len().saturating_sub(1)) {
        0 => points.first().map_or(0.0, |p| p.volume_mm3),
        k => {
            let (a, b) = (points[k - 1], points[k]);
            let along = (height_mm - a.height_mm) / (b.height_mm - a.height_mm);
            a.volume_mm3 + (b.volume_mm3 - a.volume_mm3) * along.clamp(0.0, 1.0)
        }
    }
}

/// About five round steps up to a value, without 0.
fn ticks(most: f64) -> Vec<f64> {
    let power = 10f64.powf((most / 5.0).log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].map(|d| d * power).into_iter().find(|s| most / s <= 6.0);
    let step = step.unwrap_or(most);
    if !(step > 0.0 && step.is_finite()) {
        return Vec::new();
    }
    (1..).map(|k| f64::from(k) * step).take_while(|at| *at <= most * (1.0 + 1e-9)).collect()
}

fn short(value: f64) -> String {
    format!("{value:.2}")
}

fn plain(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_few() {
        assert_eq!(ticks(31.0), [10.0, 20.0, 30.0]);
        assert_eq!(ticks(112.5), [20.0, 40.0, 60.0, 80.0, 100.0]);
        assert_eq!(ticks(5.0), [1.0, 2.0, 3.0, 4.0, 5.0]);
        assert!(ticks(0.0).is_empty());
        assert!(ticks(f64::NAN).is_empty());
    }

    #[test]
    fn the_volume_between_two_points_lies_between_theirs() {
        let at = |height_mm, volume_mm3| StickPoint { height_mm, volume_mm3 };
        let points = [at(0.0, 0.0), at(1.0, 10.0), at(2.0, 40.0)];
        assert_eq!(volume_at(&points, 1.5), 25.0);
        assert_eq!(volume_at(&points, 9.0), 40.0);
        assert_eq!(volume_at(&[], 1.0), 0.0);
    }
}
