//! Views of the wall as parts of the page, with their legends.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use maud::{Markup, html};

use crate::render::png::{PngError, encode};
use crate::sheet::{Ink, Lines, Picture, SLOPES, Sheet, THICKNESS_ENDS, THICKNESSES};

/// The views; nothing where they weren't drawn.
///
/// # Errors
/// [`PngError`] where one can't be packed.
pub fn views(sheet: &Sheet) -> Result<Markup, PngError> {
    let Some(views) = sheet.drawings.as_ref().and_then(|drawings| drawings.views.as_ref()) else {
        return Ok(html! {});
    };
    let opening = if sheet.cavity.open { ", the opening drawn bold" } else { "" };
    let above = figure(&views.above, &format!("From above{opening}"), html! {})?;
    let below = figure(&views.below, "From the other side, below", html! {})?;
    let slope = figure(&views.slope, "Slope, from above", slope_legend())?;
    let thickness = match &views.thickness {
        Some(picture) => figure(picture, "Half-thickness, from below", thickness_legend())?,
        None => html! {},
    };
    Ok(html! { div.views { (above) (below) (slope) (thickness) } })
}

fn figure(picture: &Picture, caption: &str, legend: Markup) -> Result<Markup, PngError> {
    let data = STANDARD.encode(encode(picture)?);
    Ok(html! {
        figure {
            img src={ "data:image/png;base64," (data) } width=(picture.width)
                height=(picture.height) alt=(caption);
            figcaption { (caption) (legend) }
        }
    })
}

fn slope_legend() -> Markup {
    let names = ["floor, under 30°: it lies", "steep, to 90°: it runs", "overhanging: it hangs"];
    legend(&SLOPES, &names.map(str::to_owned))
}

fn thickness_legend() -> Markup {
    let mut names = vec!["under 1 skin: no core".to_owned()];
    names.extend(THICKNESS_ENDS.windows(2).map(|ends| format!("{} to {} skins", ends[0], ends[1])));
    names.push(format!("over {} skins", THICKNESS_ENDS[THICKNESS_ENDS.len() - 1]));
    legend(&THICKNESSES, &names)
}

fn legend(inks: &[Ink], names: &[String]) -> Markup {
    html! {
        ul {
            @for (ink, name) in inks.iter().zip(names) { li { (swatch(ink)) (name) } }
        }
    }
}

/// A sample of a tint with its lines.
fn swatch(ink: &Ink) -> Markup {
    let [r, g, b] = ink.colour;
    let rising = "M0 3.2L3.2 0M2.4 3.2L5.6 0M4.8 3.2L8 0";
    let falling = "M0 0L3.2 3.2M2.4 0L5.6 3.2M4.8 0L8 3.2";
    html! {
        svg xmlns="http://www.w3.org/2000/svg" width="7mm" height="2.8mm" viewBox="0 0 8 3.2"
            aria-hidden="true"
        {
            rect width="8" height="3.2" fill={ "rgb(" (r) "," (g) "," (b) ")" } stroke="#000"
                stroke-width=".3" {}
            @match ink.lines {
                Lines::Plain => {},
                Lines::Dots => @for k in 0..8 {
                    circle cx=(f64::from(k) + 0.5) cy=(if k % 2 == 0 { "1" } else { "2.2" }) r=".25" {}
                },
                Lines::Rising => path d=(rising) stroke="#222" stroke-width=".3" {},
                Lines::Crossed => {
                    path d=(rising) stroke="#222" stroke-width=".3" {}
                    path d=(falling) stroke="#222" stroke-width=".3" {}
                }
            }
        }
    }
}
