//! The values of a workshop, each with its place in the file.

use super::value::{
    cm2_per_minute, cups_cm3, g_per_minute, grams, hours, minutes, mm, puck_cm3, room_c, share,
    yes_or_no,
};
use super::{ShopValueError, Workshop};

/// One value of the workshop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct ShopKey {
    /// The table that it stands under.
    table: &'static str,
    /// Its name there.
    name: &'static str,
}

type Setter = fn(&mut Workshop, &str) -> Result<(), ShopValueError>;

macro_rules! keys {
    ($($table:literal { $($name:literal => $($place:ident).+ = $read:ident,)+ })+) => {
        /// All values, in the order in which the documentation tells them.
        const KEYS: &[(ShopKey, Setter)] = &[$($((
            ShopKey { table: $table, name: $name },
            |workshop, text| {
                workshop.$($place).+ = $read(text)?;
                Ok(())
            },
        ),)+)+];
    };
}

keys! {
    "scale" {
        "step" => shop.scale_step_g = grams,
    }
    "cups" {
        "sizes" => shop.cups_cm3 = cups_cm3,
        "fill" => shop.cup_fill = share,
        "fill-in-vacuum" => shop.cup_fill_vacuum = share,
        "fill-in-vacuum-silicone" => shop.cup_fill_vacuum_silicone = share,
    }
    "room" {
        "temperature" => shop.room_c = room_c,
        "vacuum" => shop.vacuum = yes_or_no,
        "hours" => hours = hours,
    }
    "allowances" {
        "film-plain" => shop.allowances.film_plain_mm = mm,
        "film-thickened" => shop.allowances.film_thickened_mm = mm,
        "brush" => shop.allowances.brush_g = grams,
        "levelling" => shop.allowances.levelling_mm = mm,
        "skin-remainder" => shop.allowances.skin_remainder = share,
        "core-remainder" => shop.allowances.core_remainder = share,
        "cap-remainder" => shop.allowances.cap_remainder = share,
        "overspray" => shop.allowances.overspray = share,
        "slush-surplus" => shop.allowances.slush_surplus = share,
        "puck" => shop.allowances.puck_cm3 = puck_cm3,
        "smallest-batch" => shop.allowances.smallest_batch_g = grams,
        "smallest-component" => shop.allowances.smallest_component_g = grams,
        "ratio-tolerance" => shop.allowances.ratio_tolerance = share,
    }
    "pace" {
        "print-coat" => shop.pace.print_cm2_per_minute = cm2_per_minute,
        "build-coat" => shop.pace.build_cm2_per_minute = cm2_per_minute,
        "spray" => shop.pace.spray_cm2_per_minute = cm2_per_minute,
        "pour" => shop.pace.pour_g_per_minute = g_per_minute,
        "mixing" => shop.pace.mixing_minutes = minutes,
        "mixing-large" => shop.pace.mixing_large_minutes = minutes,
        "mixing-foam" => shop.pace.mixing_foam_minutes = minutes,
        "degassing" => shop.pace.degassing_minutes = minutes,
        "reserve" => shop.pace.reserve = share,
        "release" => shop.pace.release_minutes = minutes,
    }
}

impl ShopKey {
    /// The scale's step.
    pub const SCALE_STEP: Self = Self { table: "scale", name: "step" };
    /// The cups at hand.
    pub const CUPS: Self = Self { table: "cups", name: "sizes" };
    /// Temperature of the room.
    pub const ROOM: Self = Self { table: "room", name: "temperature" };
    /// Whether mixes are degassed under vacuum.
    pub const VACUUM: Self = Self { table: "room", name: "vacuum" };
    /// A witness puck from each batch.
    pub const PUCK: Self = Self { table: "allowances", name: "puck" };

    /// All values, in the order in which the documentation tells them.
    pub fn all() -> impl Iterator<Item = Self> {
        KEYS.iter().map(|(key, _)| *key)
    }

    /// The value of that name under that table, if there is one.
    pub fn find(table: &str, name: &str) -> Option<Self> {
        Self::all().find(|key| key.table == table && key.name == name)
    }

    /// The table that it stands under.
    pub const fn table(self) -> &'static str {
        self.table
    }

    /// Its name there.
    pub const fn name(self) -> &'static str {
        self.name
    }

    pub(super) fn tables() -> Vec<&'static str> {
        let mut tables: Vec<_> = KEYS.iter().map(|(key, _)| key.table).collect();
        tables.dedup();
        tables
    }

    /// The table of a value of that name.
    pub(super) fn table_of(name: &str) -> Option<&'static str> {
        KEYS.iter().find(|(key, _)| key.name == name).map(|(key, _)| key.table)
    }

    pub(super) fn names(table: &str) -> Vec<&'static str> {
        KEYS.iter().filter(|(key, _)| key.table == table).map(|(key, _)| key.name).collect()
    }
}

pub(super) fn set(workshop: &mut Workshop, key: ShopKey, text: &str) -> Result<(), ShopValueError> {
    match KEYS.iter().find(|(known, _)| *known == key) {
        Some((_, set)) => set(workshop, text),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_values_that_can_be_typed_have_a_place() {
        for key in
            [ShopKey::SCALE_STEP, ShopKey::CUPS, ShopKey::ROOM, ShopKey::VACUUM, ShopKey::PUCK]
        {
            assert_eq!(ShopKey::find(key.table, key.name), Some(key));
        }
    }
}
