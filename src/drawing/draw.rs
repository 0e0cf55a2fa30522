//! All drawings of a cavity.

use crate::cavity::{AirShape, Cavity};
use crate::layers::LayerRequest;
use crate::mesh::{Mesh, Patches, Vec3};

use super::marks::FilledHole;
use super::plane::{CutPlane, lie};
use super::section::{Body, Section};
use super::shade::{self, FINER, Lit, Picture};
use super::view::{Camera, Seen, Size};

/// Which drawings are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DrawingRequest {
    /// The upright section along the piece alone.
    pub section: bool,
    /// All that the bench sheet shows.
    pub sheet: bool,
    /// A large shaded view.
    pub picture: bool,
}

/// What was drawn of a cavity.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drawings {
    /// The upright section along the piece.
    pub section: Option<Section>,
    /// The upright section across it, and a level one, for the bench sheet.
    pub more_sections: Vec<Section>,
    /// Views, for the bench sheet.
    pub views: Option<Views>,
    /// How much it holds level by level, for the bench sheet; empty for a closed cavity.
    pub stick: Vec<StickPoint>,
    /// The large shaded view.
    pub picture: Option<Picture>,
    /// So many more cavities are filled.
    pub others: usize,
    /// The upright sections along those, for the bench sheet, as far as they are drawn.
    pub other_sections: Vec<Section>,
}

impl Drawings {
    /// The same of two halves, each open towards the other: what looks like a lip is where the
    /// mould parts.
    pub fn of_halves(mut self) -> Self {
        let others = &mut self.other_sections;
        for section in self.section.iter_mut().chain(&mut self.more_sections).chain(others) {
            section.parting_mm = section.levels.take().map(|levels| levels.fill_mm);
        }
        Self { stick: Vec::new(), ..self }
    }
}

/// Views of the wall.
#[derive(Debug, Clone, PartialEq)]
pub struct Views {
    /// From one side and above, into the opening.
    pub above: Picture,
    /// From the other side and below.
    pub below: Picture,
    /// From the same side and above, tinted by slope.
    pub slope: Picture,
    /// From the same other side and below, tinted by half-thickness; `None` without a skin.
    pub thickness: Option<Picture>,
}

/// A point of the dip-stick curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StickPoint {
    /// Over the lowest point, mm.
    pub height_mm: f64,
    /// What the bare cavity holds up to there, mm³.
    pub volume_mm3: f64,
}

/// What is drawn.
pub struct Subject<'a> {
    /// The cavity.
    pub cavity: &'a Cavity,
    /// How it is split.
    pub request: &'a LayerRequest,
    /// Height at which its mould parts, mm.
    pub parting_mm: Option<f64>,
    /// Where air stays in it.
    pub air: &'a [AirShape],
    /// What stands in it: closed, outward, along the file's axes.
    pub inserts: &'a [&'a Mesh],
    /// Filled holes, along the file's axes.
    pub holes: &'a [FilledHole],
}

/// Pixels of the views on the bench sheet.
const VIEW: [usize; 2] = [480, 320];
/// Pixels of a large view.
const LARGE: [usize; 2] = [1200, 900];
/// Pixels left free around a piece.
const MARGIN: usize = 10;
/// Views are raised or lowered by this, degrees, …
const RAISED_DEG: f64 = 38.0;
const LOWERED_DEG: f64 = -28.0;
/// … and turned out of the main section by this.
const TURNED_DEG: f64 = 25.0;
/// Points of the dip-stick curve.
const STICK: u32 = 60;
/// The level section lies at this share of the depth.
const LEVEL_SHARE: f64 = 0.5;

/// Draws what is wanted.
pub fn draw(subject: &Subject, wanted: DrawingRequest) -> Drawings {
    let cavity = subject.cavity;
    let patches = Patches::new(cavity.wall());
    let (centre, along) = lies(cavity);
    let (sections, (views, picture)) = rayon::join(
        || sections(subject, &patches, wanted, centre, along),
        || {
            let views = wanted.sheet.then(|| views(subject, &patches, along));
            (views, wanted.picture.then(|| large(cavity, along)))
        },
    );
    let mut sections = sections.into_iter();
    Drawings {
        section: sections.next(),
        more_sections: sections.collect(),
        views,
        stick: if wanted.sheet { stick(cavity) } else { Vec::new() },
        picture,
        others: 0,
        other_sections: Vec::new(),
    }
}

/// The upright section along a cavity alone.
pub fn section_along(subject: &Subject) -> Option<Section> {
    let wanted = DrawingRequest { section: true, ..DrawingRequest::default() };
    let patches = Patches::new(subject.cavity.wall());
    let (centre, along) = lies(subject.cavity);
    sections(subject, &patches, wanted, centre, along).into_iter().next()
}

/// The middle of a cavity, and the direction that it is longest in.
fn lies(cavity: &Cavity) -> (Vec3, Vec3) {
    let axes = [Vec3::X, Vec3::Y, Vec3::Z].map(|axis| cavity.frame().direction_to_pouring(axis));
    let axes: Vec<Vec3> =
        axes.into_iter().filter_map(|axis| axis.with_z(0.0).try_normalize()).collect();
    lie(cavity.wall(), cavity.level_mm(), &axes)
}

/// The sections that are wanted, the one along the piece first.
fn sections(
    subject: &Subject,
    patches: &Patches,
    wanted: DrawingRequest,
    centre: Vec3,
    along: Vec3,
) -> Vec<Section> {
    if !wanted.section && !wanted.sheet {
        return Vec::new();
    }
    let cavity = subject.cavity;
    let inserts: Vec<(Mesh, Patches)> = subject
        .inserts
        .iter()
        .map(|insert| cavity.frame().mesh_to_pouring(insert))
        .map(|insert| {
            let patches = Patches::new(&insert);
            (insert, patches)
        })
        .collect();
    let holes = subject.holes.iter().map(|hole| FilledHole {
        centre_mm: cavity.frame().to_pouring(hole.centre_mm),
        size_mm: hole.size_mm,
    });
    let holes: Vec<FilledHole> = holes.collect();
    let request = subject.request;
    let body = Body {
        cavity,
        patches,
        request,
        parting_mm: subject.parting_mm,
        air: subject.air,
        inserts: &inserts,
        holes: &holes,
    };
    let mut sections = vec![body.upright(&CutPlane::upright(centre, along))];
    if wanted.sheet {
        let across = Vec3::Z.cross(along);
        sections.push(body.upright(&CutPlane::upright(centre, across)));
        let top = cavity.wall().bounding_box().map_or(0.0, |(_, high)| high.z);
        let top = if cavity.is_open() { cavity.level_mm() } else { top };
        let height_mm = LEVEL_SHARE * top;
        sections.push(body.level(&CutPlane::level(centre, height_mm, along), height_mm));
    }
    sections
}

/// The camera that stands before the section along the piece and looks down on it.
fn above(along: Vec3) -> Camera {
    let before = along.cross(Vec3::Z);
    Camera::from_side(turned(before, TURNED_DEG), RAISED_DEG)
}

fn below(along: Vec3) -> Camera {
    let behind = -along.cross(Vec3::Z);
    Camera::from_side(turned(behind, TURNED_DEG), LOWERED_DEG)
}

fn turned(v: Vec3, deg: f64) -> Vec3 {
    let (sin, cos) = deg.to_radians().sin_cos();
    Vec3::new(v.x * cos - v.y * sin, v.x * sin + v.y * cos, v.z)
}

fn look(cavity: &Cavity, camera: Camera, [width, highest]: [usize; 2], line: f64) -> Seen {
    let [width, highest, margin] = [width, highest, MARGIN].map(|pixels| pixels * FINER);
    let size = Size { width, highest, margin, step: FINER };
    let mut seen = Seen::of(cavity.wall(), camera, size);
    seen.mark_edges(cavity.opening_outline(), line * FINER as f64);
    seen
}

fn views(subject: &Subject, patches: &Patches, along: Vec3) -> Views {
    let cavity = subject.cavity;
    let wall = cavity.wall();
    let (from_above, from_below) = rayon::join(
        || look(cavity, above(along), VIEW, 1.2),
        || look(cavity, below(along), VIEW, 1.2),
    );
    let (from_above, from_below) =
        rayon::join(|| Lit::new(&from_above, wall), || Lit::new(&from_below, wall));
    let skin_mm = subject.request.skin_mm();
    let level_mm = cavity.is_open().then(|| cavity.level_mm());
    Views {
        above: shade::shaded(&from_above),
        below: shade::shaded(&from_below),
        slope: shade::by_slope(&from_above, subject.parting_mm),
        thickness: (skin_mm > 0.0)
            .then(|| shade::by_thickness(&from_below, patches, level_mm, skin_mm)),
    }
}

fn large(cavity: &Cavity, along: Vec3) -> Picture {
    let seen = look(cavity, above(along), LARGE, 2.0);
    shade::shaded(&Lit::new(&seen, cavity.wall()))
}

/// How much the bare cavity holds, level by level.
fn stick(cavity: &Cavity) -> Vec<StickPoint> {
    if !cavity.is_open() {
        return Vec::new();
    }
    let height = |k: u32| cavity.level_mm() * f64::from(k) / f64::from(STICK);
    let heights: Vec<f64> = (0..=STICK).map(height).collect();
    let volumes = cavity.volumes_under_mm3(&heights);
    let point = |(height_mm, volume): (&f64, crate::bounds::Bounds)| StickPoint {
        height_mm: *height_mm,
        volume_mm3: volume.best(),
    };
    heights.iter().zip(volumes).map(point).collect()
}
