//! A cavity cut by a plane: coats, core and cap as they lie there.

use crate::cavity::{AirShape, Cavity};
use crate::layers::LayerRequest;
use crate::mesh::{Mesh, Patches, Vec3};

use super::field::Cut;
use super::marks::{FilledHole, WallMarks, along_wall};
use super::plane::CutPlane;
use super::region::{Band, Point, Region};

/// Which way a section lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Lie {
    /// Upright: heights over the cavity's lowest point go up in the drawing.
    Upright,
    /// Level, at this height over the lowest point, mm.
    Level {
        /// The height.
        height_mm: f64,
    },
}

/// One section. Units: mm, mm². Upright ones have the cavity's lowest point at height 0.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Which way it lies.
    pub lie: Lie,
    /// The direction that is to the right in the drawing, along the file's axes.
    pub right: Vec3,
    /// The direction that the drawing is seen in, away from who looks, along the file's axes.
    pub seen_along: Vec3,
    /// A point of the plane, along the file's axes.
    pub through_mm: Vec3,
    /// What the cavity takes up.
    pub cavity: Region,
    /// Each coat, from the wall inward: a ring around what is inside it.
    pub coats: Vec<Coat>,
    /// The core, inserts not taken out.
    pub core: Region,
    /// The cap likewise.
    pub cap: Region,
    /// Air that stays there when it is filled: a part of core and cap, without a skin of the
    /// cavity.
    pub air: Region,
    /// What stands in the mould.
    pub inserts: Region,
    /// What of the core the inserts take, mm².
    pub inserts_in_core_mm2: f64,
    /// What of the cap they take, mm².
    pub inserts_in_cap_mm2: f64,
    /// What is marked along the wall.
    pub marks: WallMarks,
    /// Levels of the pours, in an upright section of a cavity with an opening.
    pub levels: Option<Levels>,
    /// Height at which the mould parts, in an upright section of a piece that it closes round.
    pub parting_mm: Option<f64>,
}

/// One coat in a section.
#[derive(Debug, Clone, PartialEq)]
pub struct Coat {
    /// How thick, mm.
    pub thickness_mm: f64,
    /// What it covers.
    pub region: Region,
}

/// Heights over the lowest point, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Levels {
    /// The lip.
    pub lip_mm: f64,
    /// Where the last pour stops.
    pub fill_mm: f64,
    /// Where the core stops, with a cap over it.
    pub core_mm: Option<f64>,
}

/// What is cut: a cavity, how it is split, and what stands in it.
pub struct Body<'a> {
    /// The cavity.
    pub cavity: &'a Cavity,
    /// Its wall.
    pub patches: &'a Patches,
    /// How it is split.
    pub request: &'a LayerRequest,
    /// Height at which its mould parts, mm.
    pub parting_mm: Option<f64>,
    /// Where air stays in it.
    pub air: &'a [AirShape],
    /// What stands in it, in the pouring frame, each with its surface.
    pub inserts: &'a [(Mesh, Patches)],
    /// Filled holes, in the pouring frame.
    pub holes: &'a [FilledHole],
}

/// Beyond any piece, mm.
const FAR_MM: f64 = 1e9;
/// A part of a drawing too small to be seen, as a share of its longer side.
const HAIR: f64 = 1e-3;
/// An insert is drawn up to this share of the cavity's depth over the fill level.
const INSERT_OVER_LEVEL: f64 = 0.15;

impl Body<'_> {
    /// The section with an upright plane.
    pub fn upright(&self, plane: &CutPlane) -> Section {
        self.section(plane, Lie::Upright)
    }

    /// The section with a level plane.
    pub fn level(&self, plane: &CutPlane, height_mm: f64) -> Section {
        self.section(plane, Lie::Level { height_mm })
    }

    fn section(&self, plane: &CutPlane, lie: Lie) -> Section {
        let cavity = self.cavity;
        let level = (lie == Lie::Upright && cavity.is_open()).then(|| cavity.level_mm());
        let area = plane.box_of(cavity.wall());
        let mut depths_mm = vec![0.0];
        for coat in &self.request.coats_mm {
            depths_mm.push(depths_mm[depths_mm.len() - 1] + coat);
        }
        let cut = Cut { patches: self.patches, plane, area, level };
        let under = Band { from: f64::NEG_INFINITY, to: level.unwrap_or(f64::INFINITY) };
        let faces: Vec<Region> =
            cut.deeper_than(&depths_mm).into_iter().map(|face| face.between(under)).collect();
        let coats = self
            .request
            .coats_mm
            .iter()
            .zip(faces.windows(2))
            .map(|(mm, faces)| Coat { thickness_mm: *mm, region: faces[0].without(&faces[1]) });
        let coats = coats.collect();
        let deep = faces.last().cloned().unwrap_or_default();
        let (core, cap) = self.poured(&deep, lie);
        let inserts = self.inserts_in(plane, area, level);
        let frame = cavity.frame();
        Section {
            lie,
            right: frame.direction_to_file(plane.right()),
            seen_along: frame.direction_to_file(-plane.towards()),
            through_mm: frame.to_file(plane.to_space([0.0, 0.0])),
            coats,
            air: self.air_in(plane, &deep, lie),
            inserts_in_core_mm2: inserts.and(&core).area_mm2,
            inserts_in_cap_mm2: inserts.and(&cap).area_mm2,
            core,
            cap,
            inserts,
            marks: along_wall(
                cavity.wall(),
                self.patches,
                plane,
                self.request.skin_mm(),
                self.holes,
            ),
            levels: level.map(|fill_mm| self.levels(fill_mm)),
            parting_mm: (lie == Lie::Upright).then_some(self.parting_mm).flatten(),
            cavity: faces.into_iter().next().unwrap_or_default(),
        }
    }

    fn cap_mm(&self) -> f64 {
        if self.cavity.is_open() { self.request.cap_mm } else { 0.0 }
    }

    fn levels(&self, fill_mm: f64) -> Levels {
        let measures = self.cavity.measures();
        let cap_mm = self.cap_mm();
        Levels {
            lip_mm: fill_mm + (measures.lip_mm - measures.fill_mm),
            fill_mm,
            core_mm: (cap_mm > 0.0 && cap_mm < fill_mm).then_some(fill_mm - cap_mm),
        }
    }

    /// Core and cap: what is inside the skin, under and over the core's top.
    fn poured(&self, deep: &Region, lie: Lie) -> (Region, Region) {
        let top_mm = self.cavity.level_mm() - self.cap_mm();
        match lie {
            _ if self.cap_mm() <= 0.0 => (deep.clone(), Region::default()),
            Lie::Level { height_mm } if height_mm < top_mm => (deep.clone(), Region::default()),
            Lie::Level { .. } => (Region::default(), deep.clone()),
            Lie::Upright => (
                deep.between(Band { from: f64::NEG_INFINITY, to: top_mm }),
                deep.between(Band { from: top_mm, to: f64::INFINITY }),
            ),
        }
    }

    /// What lies over the way out of an air pocket is of it altogether or not at all, wherever it
    /// hangs together.
    fn air_in(&self, plane: &CutPlane, deep: &Region, lie: Lie) -> Region {
        let Some([low, high]) = deep.bounding_box() else { return Region::default() };
        // At the very edge of the way out a pocket and what is beyond it meet in a point, which
        // the drawing can't tell from a passage: the pieces are taken from a little higher up,
        // and let down again.
        let hair = HAIR * (high[0] - low[0]).max(high[1] - low[1]);
        let mut found = Region::default();
        for pocket in self.air {
            let over = |from: f64| Band { from, to: f64::INFINITY };
            let pieces = match lie {
                Lie::Upright => deep.pieces_between(over(pocket.from_mm + hair)),
                Lie::Level { height_mm } if height_mm > pocket.from_mm => {
                    deep.pieces_between(over(f64::NEG_INFINITY))
                }
                Lie::Level { .. } => continue,
            };
            let is_under = |piece: &Region| {
                let Some(inside) = piece.point_inside() else { return false };
                let from = plane.to_space(inside);
                let hit = self.patches.first_hit(from, Vec3::Z, FAR_MM, |_| false);
                hit.is_some_and(|hit| pocket.under.binary_search(&hit.triangle).is_ok())
            };
            for piece in pieces.into_iter().filter(is_under) {
                let lowered = match lie {
                    Lie::Upright => piece.or(&piece.lowered(hair)).and(deep),
                    Lie::Level { .. } => piece,
                };
                found = found.or(&lowered);
            }
        }
        found
    }

    fn inserts_in(&self, plane: &CutPlane, area: [Point; 2], level: Option<f64>) -> Region {
        let mut all = Region::default();
        for (mesh, patches) in self.inserts {
            let area = plane.box_of(mesh);
            let cut = Cut { patches, plane, area, level: None };
            let Some(one) = cut.deeper_than(&[0.0]).pop() else { continue };
            all = all.or(&one);
        }
        let [low, high] = area;
        let reach = INSERT_OVER_LEVEL * (high[1] - low[1]);
        let to = level.map_or(f64::INFINITY, |level| level + reach);
        all.between(Band { from: f64::NEG_INFINITY, to })
    }
}
