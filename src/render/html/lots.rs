//! Which tins were used: blanks for the lots of every component of every system.

use maud::{Markup, html};

use super::words::apart;
use crate::sheet::Sheet;

/// A system and all that is weighed for it, in the order of the first weighing.
struct Lots<'a> {
    title: &'a str,
    components: Vec<&'a str>,
}

/// Every system once, with a blank for each of its components.
pub fn blanks(sheet: &Sheet) -> Markup {
    html! {
        @for system in systems(sheet) {
            div.lots {
                p { (apart(system.title)) }
                ul {
                    @for component in &system.components {
                        li { span { (apart(component)) } i {} }
                    }
                }
            }
        }
    }
}

fn systems(sheet: &Sheet) -> Vec<Lots<'_>> {
    let mut systems: Vec<Lots> = Vec::new();
    for layer in sheet.plan.layers.iter().filter(|layer| !layer.dose.is_empty()) {
        let title = layer.system_title.as_str();
        let at = systems.iter().position(|lots| lots.title == title).unwrap_or_else(|| {
            systems.push(Lots { title, components: Vec::new() });
            systems.len() - 1
        });
        let of_mixes = layer.mixes().into_iter().flat_map(|(_, dose)| &dose.components);
        for weighed in of_mixes {
            if !systems[at].components.contains(&weighed.name.as_str()) {
                systems[at].components.push(&weighed.name);
            }
        }
    }
    systems
}
