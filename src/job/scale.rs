//! From the file's own numbers to millimetres.

use crate::finding::Finding;
use crate::formats::RawMesh;
use crate::mesh::{Vec3, diameter};
use crate::units::{KnownExtent, Length, LengthUnit, Measured};

/// What the file's numbers were taken for.
#[derive(Debug, Clone, PartialEq)]
pub struct Scale {
    /// Unit of the numbers in the file.
    pub unit: LengthUnit,
    /// The unit that the file itself says.
    pub unit_in_file: Option<LengthUnit>,
    /// Where the size comes from.
    pub basis: Basis,
    /// Millimetres per number in the file.
    pub mm_per_number: f64,
    /// Extent along the file's own axes, mm.
    pub extent_mm: [f64; 3],
    /// What a weighed filling asked for beside the rest; a part of `mm_per_number`.
    pub by_weight: f64,
}

/// Where a mesh's size comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// Nobody said a unit: its numbers are taken for millimetres.
    Assumed,
    /// The user said the unit.
    Stated,
    /// The file says the unit.
    File,
    /// The user measured a length.
    Known,
    /// The user weighed what it holds.
    Weighed,
}

/// Why a mesh can't be brought to its size.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ScaleError {
    /// A known extent along an axis in which the mesh has none.
    #[error("the mesh can't be scaled to {0}: it has no extent there")]
    Flat(KnownExtent),
    /// Over [`LARGEST_MM`] across.
    #[error("the mesh would be {:.1e} m across, which is no casting", .extent_mm / 1000.0)]
    TooLarge {
        /// Its largest side, mm; may be infinite.
        extent_mm: f64,
    },
}

/// The largest side that is worked with, mm: 10 km, far beyond any casting; keeps volumes finite.
pub const LARGEST_MM: f64 = 1e7;

/// The range of largest sides that a casting plausibly has, mm.
///
/// Source: common practice, no source: from a small droplet of a part to a whole trunk.
const PLAUSIBLE_MM: std::ops::RangeInclusive<f64> = 5.0..=2000.0;

/// A usual largest side, mm: of the units that would fit, the one that comes nearest is proposed.
const USUAL_MM: f64 = 150.0;

impl ScaleError {
    /// What to do about it.
    pub fn hint(&self) -> String {
        match self {
            Self::Flat(known) => {
                let others: Vec<_> = Measured::ALL
                    .into_iter()
                    .filter(|m| m.axis().is_some() && *m != known.measured())
                    .map(Measured::as_str)
                    .collect();
                format!("give the known extent along {}", others.join(" or "))
            }
            Self::TooLarge { .. } => {
                "check --unit, or give a measured size with --known".to_owned()
            }
        }
    }
}

impl Scale {
    /// The size of a mesh by its unit, or by a length that was measured.
    ///
    /// A length of the cavity, which must be found first, gives a provisional size: that of the
    /// unit if a casting may have it, else a usual one.
    ///
    /// # Errors
    /// [`ScaleError`] where the known extent is along a flat axis or the mesh gets absurdly large.
    pub fn of(
        raw: &RawMesh,
        unit: Option<LengthUnit>,
        known: Option<KnownExtent>,
    ) -> Result<Self, ScaleError> {
        let numbers = extent(raw);
        let stated = unit.or(raw.unit).unwrap_or(LengthUnit::Millimetre);
        let mm_per_number = match known {
            None => stated.mm(),
            Some(known) if known.measured().is_of_cavity() => {
                let largest = largest(numbers);
                let usual = !PLAUSIBLE_MM.contains(&(largest * stated.mm())) && largest > 0.0;
                if usual { USUAL_MM / largest } else { stated.mm() }
            }
            Some(known) => {
                let length = match known.measured().axis() {
                    Some(axis) => numbers[axis],
                    None => diameter(used(raw).collect()),
                };
                if length <= 0.0 {
                    return Err(ScaleError::Flat(known));
                }
                known.length().mm() / length
            }
        };
        let basis = match (unit, known) {
            (_, Some(_)) => Basis::Known,
            (Some(_), None) => Basis::Stated,
            (None, None) if raw.unit.is_some() => Basis::File,
            (None, None) => Basis::Assumed,
        };
        let of_numbers = Self {
            unit: stated,
            unit_in_file: raw.unit,
            basis,
            mm_per_number: 1.0,
            extent_mm: numbers,
            by_weight: 1.0,
        };
        of_numbers.times(mm_per_number)
    }

    /// The same mesh larger or smaller.
    ///
    /// # Errors
    /// [`ScaleError::TooLarge`].
    pub fn times(&self, factor: f64) -> Result<Self, ScaleError> {
        let mm_per_number = self.mm_per_number * factor;
        let extent_mm = self.extent_mm.map(|side| side * factor);
        let largest = largest(extent_mm);
        // Written so that a NaN from an overflow is refused too.
        if !(largest <= LARGEST_MM && mm_per_number.is_normal()) {
            return Err(ScaleError::TooLarge { extent_mm: largest });
        }
        Ok(Self { mm_per_number, extent_mm, ..self.clone() })
    }

    /// The same mesh larger or smaller, as a weighed filling asks.
    ///
    /// # Errors
    /// [`ScaleError::TooLarge`].
    pub fn times_by_weight(&self, factor: f64) -> Result<Self, ScaleError> {
        let by_weight = self.by_weight * factor;
        Ok(Self { basis: Basis::Weighed, by_weight, ..self.times(factor)? })
    }

    /// Turns the raw mesh's numbers into millimetres.
    pub fn apply(&self, raw: &mut RawMesh) {
        for vertex in &mut raw.vertices {
            *vertex *= self.mm_per_number;
        }
    }

    /// The largest side, mm.
    pub fn largest_mm(&self) -> f64 {
        largest(self.extent_mm)
    }

    /// A casting may be of this size.
    pub fn is_plausible(&self) -> bool {
        PLAUSIBLE_MM.contains(&self.largest_mm())
    }
}

/// The positions that triangles use, once for each use.
fn used(raw: &RawMesh) -> impl Iterator<Item = Vec3> {
    raw.triangles.iter().flatten().filter_map(|&corner| raw.vertices.get(corner as usize).copied())
}

/// Extent along each axis of what the triangles use, in the file's numbers.
fn extent(raw: &RawMesh) -> [f64; 3] {
    let (mut low, mut high) = (Vec3::splat(f64::INFINITY), Vec3::splat(f64::NEG_INFINITY));
    for vertex in used(raw) {
        low = low.min(vertex);
        high = high.max(vertex);
    }
    if low.x > high.x { [0.0; 3] } else { (high - low).to_array() }
}

fn largest(sides: [f64; 3]) -> f64 {
    sides.into_iter().fold(0.0, f64::max)
}

impl Scale {
    /// What the person should know about the size: the assumed unit, and a size that no casting
    /// has, with the unit that would fit.
    pub fn findings(&self) -> Vec<Finding> {
        let mut findings = Vec::new();
        if self.basis == Basis::Assumed {
            findings.push(
                Finding::warning(
                    "unit-assumed",
                    "the file doesn't say its unit: its numbers were taken for millimetres",
                )
                .with_hint("say it with --unit, or give a measured size with --known"),
            );
        }
        if let (Basis::Stated, Some(in_file)) = (self.basis, self.unit_in_file)
            && in_file != self.unit
        {
            let message = format!(
                "the file's own unit is {}; its numbers were taken for {}, as --unit says",
                in_file.as_str(),
                self.unit.as_str()
            );
            findings.push(
                Finding::warning("unit-differs", message)
                    .with_hint("leave --unit out to use the file's own unit"),
            );
        }
        if !self.is_plausible() {
            let message =
                format!("the piece would be {} at its longest, odd for a casting", self.longest());
            findings.push(
                Finding::warning("size-implausible", message).with_hint(self.what_to_check()),
            );
        }
        findings
    }

    /// The largest side in words.
    pub fn longest(&self) -> String {
        let largest_mm = self.largest_mm();
        if largest_mm > 1000.0 {
            format!("{:.2} m", largest_mm / 1000.0)
        } else {
            format!("{largest_mm:.2} mm")
        }
    }

    /// What to check where the size is odd: the unit that would fit, where it is the unit.
    pub fn what_to_check(&self) -> String {
        match self.unit_that_fits(self.largest_mm()) {
            _ if self.basis == Basis::Known => "check the length given with --known".to_owned(),
            _ if self.basis == Basis::Weighed => "check the grams given".to_owned(),
            Some((unit, mm)) => format!(
                "with --unit {} it would be {}",
                unit.as_str(),
                Length::from_mm((mm * 10.0).round() / 10.0)
            ),
            None => "give a measured size with --known, such as --known x=82mm".to_owned(),
        }
    }

    /// The unit under which the piece would have the most usual size, with that size in mm.
    fn unit_that_fits(&self, largest_mm: f64) -> Option<(LengthUnit, f64)> {
        let numbers = largest_mm / self.mm_per_number;
        let from_usual = |mm: f64| (mm / USUAL_MM).ln().abs();
        [
            LengthUnit::Millimetre,
            LengthUnit::Centimetre,
            LengthUnit::Inch,
            LengthUnit::Foot,
            LengthUnit::Metre,
        ]
        .into_iter()
        .map(|unit| (unit, numbers * unit.mm()))
        .filter(|(_, mm)| PLAUSIBLE_MM.contains(mm))
        .min_by(|a, b| from_usual(a.1).total_cmp(&from_usual(b.1)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formats::Format;

    /// One triangle with these sides of its box; the second vertex list entry is used by nothing.
    fn raw(sides: [f64; 3]) -> RawMesh {
        let [x, y, z] = sides;
        RawMesh {
            format: Format::StlBinary,
            unit: None,
            vertices: vec![
                Vec3::new(1.0, 2.0, 3.0),
                Vec3::splat(1e9),
                Vec3::new(1.0 + x, 2.0, 3.0 + z),
                Vec3::new(1.0, 2.0 + y, 3.0),
            ],
            triangles: vec![[0, 2, 3]],
            findings: Vec::new(),
        }
    }

    /// Brings the mesh to its size.
    fn to_mm(
        raw: &mut RawMesh,
        unit: Option<LengthUnit>,
        known: Option<KnownExtent>,
    ) -> Result<Scale, ScaleError> {
        let scale = Scale::of(raw, unit, known)?;
        scale.apply(raw);
        Ok(scale)
    }

    fn codes(scale: &Scale) -> Vec<&'static str> {
        scale.findings().iter().map(|f| f.code).collect()
    }

    #[test]
    fn a_stated_unit_is_no_assumption() {
        let mut mesh = raw([2.0, 1.0, 0.5]);
        let scale = to_mm(&mut mesh, Some(LengthUnit::Inch), None).unwrap();
        assert_eq!(scale.mm_per_number, 25.4);
        assert_eq!(scale.extent_mm, [50.8, 25.4, 12.7]);
        assert_eq!(mesh.vertices[0], Vec3::new(25.4, 50.8, 3.0 * 25.4));
        assert!(codes(&scale).is_empty());
    }

    #[test]
    fn the_files_own_unit_holds_until_another_is_said() {
        let in_file = |unit| RawMesh { unit: Some(unit), ..raw([2000.0, 1000.0, 500.0]) };
        let scale = to_mm(&mut in_file(LengthUnit::Micrometre), None, None).unwrap();
        assert_eq!((scale.basis, scale.mm_per_number), (Basis::File, 0.001));
        assert_eq!(codes(&scale), ["size-implausible"]);
        let stated = Some(LengthUnit::Millimetre);
        let scale = to_mm(&mut in_file(LengthUnit::Centimetre), stated, None).unwrap();
        assert_eq!((scale.basis, scale.mm_per_number), (Basis::Stated, 1.0));
        assert_eq!(codes(&scale), ["unit-differs"]);
        let scale = to_mm(&mut in_file(LengthUnit::Millimetre), stated, None).unwrap();
        assert!(codes(&scale).is_empty());
    }

    #[test]
    fn millimetres_are_assumed_and_told() {
        let scale = to_mm(&mut raw([80.0, 40.0, 20.0]), None, None).unwrap();
        assert_eq!((scale.unit, scale.mm_per_number), (LengthUnit::Millimetre, 1.0));
        assert_eq!(codes(&scale), ["unit-assumed"]);
    }

    #[test]
    fn a_known_extent_sets_the_scale_whatever_the_unit() {
        let known = "x=82mm".parse().ok();
        for unit in [None, Some(LengthUnit::Inch)] {
            let scale = to_mm(&mut raw([4.0, 2.0, 1.0]), unit, known).unwrap();
            assert_eq!(scale.mm_per_number, 20.5);
            assert_eq!(scale.extent_mm, [82.0, 41.0, 20.5]);
            assert!(codes(&scale).is_empty());
        }
    }

    /// The triangle's longest side is √(4² + 2² + 1²); the unused corner counts for nothing.
    #[test]
    fn the_longest_way_sets_the_scale() {
        let known = "longest=34mm".parse().ok();
        let scale = to_mm(&mut raw([4.0, 2.0, 1.0]), None, known).unwrap();
        assert!((scale.mm_per_number * 21f64.sqrt() - 34.0).abs() < 1e-12, "{scale:?}");
    }

    #[test]
    fn a_length_of_the_cavity_gives_a_provisional_size() {
        let known = "mouth=34mm".parse().ok();
        for (side, size) in [(60.0, 60.0), (0.06, 150.0), (60_000.0, 150.0)] {
            let scale = Scale::of(&raw([side, side / 2.0, side / 2.0]), None, known).unwrap();
            assert!((scale.largest_mm() - size).abs() < 1e-9, "{side}: {scale:?}");
            assert_eq!(scale.basis, Basis::Known);
        }
    }

    #[test]
    fn a_flat_axis_or_an_absurd_size_is_refused() {
        let known: KnownExtent = "z=82mm".parse().unwrap();
        assert_eq!(
            to_mm(&mut raw([4.0, 2.0, 0.0]), None, Some(known)),
            Err(ScaleError::Flat(known))
        );
        assert_eq!(ScaleError::Flat(known).hint(), "give the known extent along x or y");
        for sides in [[1e8, 1.0, 1.0], [1e300, 1.0, 1.0]] {
            assert!(matches!(to_mm(&mut raw(sides), None, None), Err(ScaleError::TooLarge { .. })));
        }
    }

    #[test]
    fn an_odd_size_proposes_the_unit_that_fits() {
        for (side, proposed) in [(0.12, "--unit m "), (4.0, "--unit in "), (1.2, "--unit ft ")] {
            let scale = to_mm(&mut raw([side, side / 2.0, side / 2.0]), None, None).unwrap();
            let findings = scale.findings();
            assert_eq!(codes(&scale), ["unit-assumed", "size-implausible"]);
            let hint = findings[1].hint.clone().unwrap_or_default();
            assert!(hint.contains(proposed), "{side}: {hint}");
        }
        let scale = to_mm(&mut raw([60000.0, 1.0, 1.0]), None, None).unwrap();
        assert!(scale.findings()[1].hint.as_ref().is_some_and(|h| h.contains("--known")));
        let known = "x=9m".parse().ok();
        let scale = to_mm(&mut raw([4.0, 2.0, 1.0]), None, known).unwrap();
        assert_eq!(codes(&scale), ["size-implausible"]);
        assert!(!scale.findings()[0].hint.as_ref().is_some_and(|h| h.contains("--unit")));
        let scale = to_mm(&mut raw([2000.0, 5.0, 5.0]), None, None).unwrap();
        assert_eq!(codes(&scale), ["unit-assumed"]);
    }
}
