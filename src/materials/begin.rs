//! What a system file still lacks, and beginning a new one from another.

use std::ops::Range;

use toml::de::DeTable;

use super::{Family, System, SystemError};

/// What stands at the head of a new file.
const HEAD: &str = "\
# Fill this in from the data sheet of the material at hand; it overrules all that stands here.
# A number is bare (1.04) or says where it comes from:
#   { value = 1.04, source = \"data sheet, page 2\", date = \"2026-11-26\" }
# A density is density_g_cm3, specific_gravity or specific_volume_in3_lb, whichever the sheet
# gives; times also take text such as \"16 h\" or \"7 d\", temperatures such as \"73 F\".
# Parts that the material doesn't have (softener, thickener, pigment, packs) may be deleted.
# `cavigram systems check` tells whether the file is right, and what it still lacks.
";

/// The text of a system file under a new id, with a head that says how to fill it in.
///
/// # Errors
/// [`SystemError`] where the text is no system, or the id can't be typed.
pub fn begin_from(text: &str, new_id: &str) -> Result<String, SystemError> {
    System::from_toml(text)?;
    let id = toml::Value::String(new_id.to_owned()).to_string();
    let named = match id_span(text) {
        Some(span) => [&text[..span.start], id.as_str(), &text[span.end..]].concat(),
        None => text.to_owned(),
    };
    // The remark that built-in files begin with is said by the head.
    let rest = named.lines().skip_while(|l| l.trim().is_empty() || l.starts_with('#'));
    let lines: Vec<&str> = std::iter::once(HEAD).chain(rest).collect();
    let begun = lines.join("\n") + "\n";
    System::from_toml(&begun)?;
    Ok(begun)
}

/// Where the id's value stands, quotes included.
fn id_span(text: &str) -> Option<Range<usize>> {
    let table = DeTable::parse(text).ok()?;
    table.get_ref().iter().find(|(key, _)| key.get_ref().as_ref() == "id").map(|(_, id)| id.span())
}

impl System {
    /// What a full data sheet tells and this system doesn't yet, in words; each gap only makes a
    /// plan tell less.
    pub fn gaps(&self) -> Vec<&'static str> {
        let times = &self.times;
        let expands = self.family == Family::Foam;
        let lacks = [
            (times.working_minutes.is_none(), "working time: batches can't be split by it"),
            (times.gel_minutes.is_none(), "gel time: the next layer's time can't be told"),
            (times.demould_minutes.is_none(), "demould time: the end of the work can't be told"),
            (
                times.bond_until_minutes.is_none() && !expands,
                "bond window (`bond_until_minutes`): a late layer is not noticed",
            ),
            (
                times.temperature_c.is_none(),
                "temperature of the times (`temperature_c`): 23 °C is taken",
            ),
            (
                self.densities.mixed_g_cm3.is_none() && !expands,
                "density of the liquid mix (`mixed_g_cm3`): it is worked out of the components'",
            ),
            (
                self.densities.cured_g_cm3.is_none() && !expands,
                "cured density (`cured_g_cm3`): the piece is taken to weigh what was poured",
            ),
            (self.hardness.is_none() && !expands, "hardness"),
            (
                self.build.plain_mm.is_none() && !expands,
                "build of a coat: whether a coat stands on a steep wall is only estimated",
            ),
            (self.packs.is_empty(), "packs and prices: nothing can be costed"),
            (self.hazards.is_empty(), "hazards: only the general caution will stand on the sheet"),
        ];
        lacks.into_iter().filter(|(lacking, _)| *lacking).map(|(_, what)| what).collect()
    }
}
