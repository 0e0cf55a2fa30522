//! Can this mesh be trusted? Counts what is wrong, mends what can be mended without changing the
//! volume, and hands on a [`Surface`], then a [`SoundMesh`], or the reason why there is none.

mod bodies;
mod borders;
mod census;
mod clean;
mod cracks;
mod crossings;
mod direction;
mod fill;
mod junctions;
mod sectors;
mod sheet;
mod surface;
mod union;

use crate::finding::Finding;
use crate::mesh::{EdgeTable, Mesh, Vec3};

use bodies::Bodies;
use census::Census;
pub use crossings::{Crossing, crossings};
pub use fill::{Fill, FillRequest};
pub use sheet::SoundSheet;
pub use surface::Surface;

/// What the mesh is like as read, and what was then done.
///
/// "As read": after identical corners are joined and exact duplicates and degenerate triangles
/// are set aside (and counted), before any repair.
#[derive(Debug, Clone, PartialEq)]
pub struct Health {
    /// Every edge is run through as often in one direction as in the other.
    pub watertight: bool,
    /// Edges with a triangle on one side only.
    pub open_edges: usize,
    /// Border loops, largest first.
    pub holes: Vec<Hole>,
    /// Edges with more than two triangles.
    pub non_manifold_edges: usize,
    /// Edges whose two triangles run through them in the same direction.
    pub inconsistent_edges: usize,
    /// The outermost surface faced inward and was turned over.
    pub inverted: bool,
    /// Triangles without area, set aside.
    pub degenerate_triangles: usize,
    /// Exact repeats of a triangle, set aside.
    pub duplicate_triangles: usize,
    /// Connected pieces as read.
    pub bodies: usize,
    /// What was changed, in order.
    pub repairs: Vec<Repair>,
}

/// A border loop of an open mesh.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hole {
    /// Mean of the loop's corners, mm, along the file's axes.
    pub centre_mm: Vec3,
    /// Longest side of the loop's box, mm.
    pub size_mm: f64,
    /// Edges in the loop.
    pub edges: usize,
}

/// One kind of change made to the mesh.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repair {
    /// Stable word, such as `merged-vertices`.
    pub code: &'static str,
    /// How many times.
    pub count: usize,
    /// Area of the triangles concerned, mm².
    pub area_mm2: f64,
    /// How much at most it may have changed the volume, mm³; 0 where it changes nothing.
    pub volume_bound_mm3: f64,
}

impl Repair {
    /// A change that leaves the volume as it is.
    fn exact(code: &'static str, count: usize, area_mm2: f64) -> Self {
        Self { code, count, area_mm2, volume_bound_mm3: 0.0 }
    }
}

/// A mesh whose volume can be stood behind: closed, consistently outward, free of crossings,
/// no buried surface, no vertex without a triangle, triangles in neighbour order. Only
/// [`examine`] makes one.
#[derive(Debug, Clone, PartialEq)]
pub struct SoundMesh {
    mesh: Mesh,
    edges: EdgeTable,
    volume_margin_mm3: f64,
}

impl SoundMesh {
    /// The triangles, in mm, along the file's axes.
    pub fn mesh(&self) -> &Mesh {
        &self.mesh
    }

    /// Which triangles meet along which edge.
    pub fn edges(&self) -> &EdgeTable {
        &self.edges
    }

    /// How much at most the repairs may have changed the volume, mm³; 0 for a clean mesh.
    pub fn volume_margin_mm3(&self) -> f64 {
        self.volume_margin_mm3
    }
}

/// Why no volume can be given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Unsound {
    /// Edges are open.
    #[error("the mesh is not closed: {}", describe_holes(.holes, *.open_edges))]
    Open {
        /// Open edges left.
        open_edges: usize,
        /// Where, largest first.
        holes: Vec<Hole>,
    },
    /// Directions can't be made to agree.
    #[error("the surface is one-sided or branches near ({:.1}, {:.1}, {:.1}) mm: its triangles can't all face outward", .place_mm.x, .place_mm.y, .place_mm.z)]
    NotOrientable {
        /// Where the contradiction shows, mm.
        place_mm: Vec3,
    },
    /// The surface crosses or lies on itself.
    #[error("the surface crosses itself in {pairs} places, the first near ({:.1}, {:.1}, {:.1}) mm", .place_mm.x, .place_mm.y, .place_mm.z)]
    Crossing {
        /// Pairs of triangles that cross.
        pairs: usize,
        /// Where the first pair crosses, mm.
        place_mm: Vec3,
    },
    /// So much crosses, or stands in the way of so much else, that it can't be looked at in full.
    #[error(
        "too much of the surface crosses itself, or crowds in one place, for all of it to be looked at"
    )]
    TooManyCrossings,
    /// What is missing in a hole may be more than can be stood behind.
    #[error("{}", describe_too_large(.hole, *.area_share, *.volume_share))]
    HoleTooLarge {
        /// The hole; where many are too much together, the one that adds most.
        hole: Hole,
        /// What fills it, as a share of the piece of surface that it lies in, 0 to 1.
        area_share: f64,
        /// What all holes together may be off by, as a share of the volume.
        volume_share: f64,
    },
    /// Nothing is enclosed.
    #[error("the mesh encloses no volume")]
    Empty,
}

fn describe_place(hole: &Hole) -> String {
    let c = hole.centre_mm;
    format!("{:.1} mm across at ({:.1}, {:.1}, {:.1}) mm", hole.size_mm, c.x, c.y, c.z)
}

fn describe_too_large(hole: &Hole, area_share: f64, volume_share: f64) -> String {
    let volume = if volume_share >= 1.0 {
        "as much as the whole volume".to_owned()
    } else {
        format!("±{:.1} % of the volume", 100.0 * volume_share)
    };
    format!(
        "too much is missing for a volume to stand behind: the hole {} is {:.1} % of the surface \
         around it, and all holes together may hide {volume}",
        describe_place(hole),
        100.0 * area_share
    )
}

fn describe_holes(holes: &[Hole], open_edges: usize) -> String {
    match holes.first() {
        None => format!("{open_edges} open edges"),
        Some(hole) => format!(
            "{} hole{} ({open_edges} open edges), the largest {}",
            holes.len(),
            if holes.len() == 1 { "" } else { "s" },
            describe_place(hole)
        ),
    }
}

/// The result of looking a mesh over.
#[derive(Debug, Clone, PartialEq)]
pub struct Examined {
    /// What it is like and what was done.
    pub health: Health,
    /// The mesh to work with, or why there is none.
    pub sound: Result<SoundMesh, Unsound>,
    /// Softer things noticed.
    pub findings: Vec<Finding>,
}

/// The result of the first look at a mesh, before anything is known of what it shows.
#[derive(Debug, Clone, PartialEq)]
pub struct LookedOver {
    /// What it is like and what was done.
    pub health: Health,
    /// The surface with its borders, or why there is none.
    pub surface: Result<Surface, Unsound>,
    /// Softer things noticed.
    pub findings: Vec<Finding>,
}

/// Looks over the mesh of a closed body and mends what can be mended with a bounded effect on
/// its volume: [`look_over`], [`Surface::fill_holes`], then [`Surface::close`].
pub fn examine(mesh: Mesh) -> Examined {
    let LookedOver { mut health, surface, mut findings } = look_over(mesh);
    let filled =
        surface.and_then(|surface| surface.fill_holes(None, FillRequest::default(), &mut health));
    if let Ok(surface) = &filled {
        findings.extend(surface.findings());
    }
    let sound = filled.and_then(|surface| surface.close(&mut health));
    Examined { health, sound, findings }
}

/// Looks a mesh over: sets aside what has no area or stands twice, counts edges, splits edges at
/// the corners that lie on them, closes cracks and makes directions agree.
pub fn look_over(mesh: Mesh) -> LookedOver {
    let cleaned = clean::set_aside(mesh.in_neighbour_order());
    let mut census = Census::take(&cleaned.mesh, &cleaned.edges);
    let mut health = Health {
        watertight: census.unbalanced == 0,
        open_edges: census.open.len(),
        holes: census.holes(&cleaned.mesh),
        non_manifold_edges: census.non_manifold,
        inconsistent_edges: census.inconsistent,
        inverted: false,
        degenerate_triangles: cleaned.degenerate,
        duplicate_triangles: cleaned.duplicate,
        bodies: Bodies::connected(&cleaned.mesh, &cleaned.edges).count(),
        repairs: Vec::new(),
    };
    let (mut mesh, mut edges) = (cleaned.mesh, cleaned.edges);
    let mut margin = 0.0;
    let reach = cracks::reach_mm(&mesh);
    if !census.open.is_empty()
        && let Some(split) = junctions::split(&mesh, &census.open, reach)
    {
        health.repairs.push(split.repair);
        margin += split.repair.volume_bound_mm3;
        mesh = split.mesh;
        edges = EdgeTable::new(&mesh);
        census = Census::take(&mesh, &edges);
    }
    if !census.open.is_empty()
        && let Some(closed) = cracks::close(&mesh, &census, reach)
    {
        health.repairs.push(closed.repair);
        margin += closed.repair.volume_bound_mm3;
        mesh = closed.mesh;
        edges = EdgeTable::new(&mesh);
        census = Census::take(&mesh, &edges);
    }
    let surface = Surface::directed(mesh, edges, census.inconsistent > 0, margin, &mut health);
    LookedOver { health, surface, findings: Vec::new() }
}
