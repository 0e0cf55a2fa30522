//! What stands in the mould while it is poured: read, put in its place, taken out of the layers.

use super::scale::ScaleError;
use super::{Insert, JobError, LARGEST_MM};
use crate::bounds::Bounds;
use crate::cavity::Cavity;
use crate::formats;
use crate::health::{LookedOver, SoundMesh, look_over};
use crate::layers::{Displaced, LayerRequest, Room};
use crate::mesh::{Mesh, Vec3};
use crate::plan::LayerVolumes;
use crate::sheet::{InsertFacts, Inserts};

/// An insert that can be worked with, along the file's axes.
pub struct Read {
    file: String,
    sound: SoundMesh,
}

impl Read {
    /// Its surface, closed and outward, along the file's axes.
    pub fn mesh(&self) -> &Mesh {
        self.sound.mesh()
    }
}

/// Reads every insert; a file that doesn't say its unit has the mesh's own.
///
/// # Errors
/// [`JobError::Insert`] names the first that is no closed mesh.
pub fn read(
    inserts: &[Insert],
    mm_per_number: f64,
    triangles_most: u64,
) -> Result<Vec<Read>, JobError> {
    let one = |insert: &Insert| {
        let file = insert.file.clone();
        match sound(insert, mm_per_number, triangles_most) {
            Ok(sound) => Ok(Read { file, sound }),
            Err(error) => Err(JobError::Insert { file, error: Box::new(error) }),
        }
    };
    inserts.iter().map(one).collect()
}

fn sound(insert: &Insert, mm_per_number: f64, triangles_most: u64) -> Result<SoundMesh, JobError> {
    let mut raw = formats::read_within(&insert.bytes, Some(&insert.file), triangles_most)?;
    let mm_per_number = raw.unit.map_or(mm_per_number, |unit| unit.mm());
    for vertex in &mut raw.vertices {
        *vertex *= mm_per_number;
    }
    let mesh = Mesh::new(raw.vertices, raw.triangles)?;
    if let Some((low, high)) = mesh.bounding_box() {
        let extent_mm = (high - low).max_element();
        if extent_mm > LARGEST_MM {
            return Err(ScaleError::TooLarge { extent_mm }.into());
        }
    }
    closed(mesh)
}

/// The mesh of a closed body; its holes are not filled, as nobody knows what they hide.
fn closed(mesh: Mesh) -> Result<SoundMesh, JobError> {
    let LookedOver { mut health, surface, .. } = look_over(mesh);
    surface.and_then(|surface| surface.close(&mut health)).map_err(JobError::Unsound)
}

/// Says where each insert lies, and what all together take out of core and cap; `None` without
/// inserts.
///
/// # Errors
/// [`JobError::InsertOutside`] where most of one lies outside the cavities, [`JobError::Insert`]
/// where several can't be united.
pub fn placed(
    inserts: &[Read],
    cavities: &[Cavity],
    request: &LayerRequest,
) -> Result<Option<Inserts>, JobError> {
    if inserts.is_empty() {
        return Ok(None);
    }
    let rooms: Vec<Room> = cavities.iter().map(|cavity| Room::new(cavity, request)).collect();
    let mut each = Vec::with_capacity(inserts.len());
    let mut last = None;
    for insert in inserts {
        let (facts, displaced) = place(insert, &rooms)?;
        each.push(facts);
        last = Some(displaced);
    }
    let together = match (inserts, last) {
        ([_], Some(alone)) => alone,
        _ => displaced(&united(inserts)?, &rooms),
    };
    Ok(Some(Inserts { each, together }))
}

/// All inserts as one body: what two of them share counts once.
fn united(inserts: &[Read]) -> Result<SoundMesh, JobError> {
    let (mut vertices, mut triangles): (Vec<Vec3>, Vec<[u32; 3]>) = Default::default();
    for insert in inserts {
        let first = vertices.len() as u32;
        let mesh = insert.sound.mesh();
        vertices.extend_from_slice(mesh.vertices());
        triangles.extend(mesh.triangles().iter().map(|t| t.map(|v| v + first)));
    }
    Mesh::new(vertices, triangles).map_err(JobError::from).and_then(closed).map_err(|error| {
        let files: Vec<&str> = inserts.iter().map(|insert| insert.file.as_str()).collect();
        let file = format!("{} together", files.join(", "));
        JobError::Insert { file, error: Box::new(error) }
    })
}

/// Where an insert lies in all cavities together. What stands over the fill level is told of the
/// cavity that holds most of it.
fn displaced(insert: &SoundMesh, rooms: &[Room]) -> Displaced {
    let all: Vec<Displaced> = rooms.iter().map(|room| room.displaced_by(insert.mesh())).collect();
    let sum = |of: fn(&Displaced) -> Bounds| all.iter().map(of).sum::<Bounds>();
    let margin = insert.volume_margin_mm3();
    let unsure = |volume: Bounds| {
        if margin > 0.0 { volume.widened(margin).clamped(0.0, f64::INFINITY) } else { volume }
    };
    let most = all.iter().max_by(|a, b| a.cavity_mm3.best().total_cmp(&b.cavity_mm3.best()));
    Displaced {
        core_mm3: unsure(sum(|d| d.core_mm3)),
        cap_mm3: unsure(sum(|d| d.cap_mm3)),
        skin_mm3: unsure(sum(|d| d.skin_mm3)),
        cavity_mm3: unsure(sum(|d| d.cavity_mm3)),
        above_mm3: most.map_or(0.0, |d| d.above_mm3),
        section_mm2: all.iter().map(|d| d.section_mm2).sum(),
    }
}

/// An insert with more than this share of it outside the cavity belongs elsewhere.
const OUTSIDE_SHARE_MOST: f64 = 0.5;
/// Less than this share of an insert is the rounding of sums.
const NOTHING: f64 = 1e-9;

fn place(insert: &Read, rooms: &[Room]) -> Result<(InsertFacts, Displaced), JobError> {
    let displaced = displaced(&insert.sound, rooms);
    let volume_mm3 = insert.sound.mesh().signed_volume_mm3();
    let under_mm3 = volume_mm3 - displaced.above_mm3;
    let outside_mm3 = (Bounds::exact(under_mm3) - displaced.cavity_mm3).clamped(0.0, volume_mm3);
    let nothing_inside = displaced.cavity_mm3.best() <= NOTHING * volume_mm3;
    let outside_share = if nothing_inside { 1.0 } else { outside_mm3.best() / under_mm3 };
    if outside_share > OUTSIDE_SHARE_MOST {
        return Err(JobError::InsertOutside { file: insert.file.clone(), outside_share });
    }
    let is_outside = outside_mm3.low() > NOTHING * volume_mm3;
    let near = rooms.iter().filter_map(|room| room.least_distance_mm(insert.sound.mesh()));
    // What passes through the wall comes as near to it as can be.
    let wall_mm = near.reduce(f64::min).map(|mm| if is_outside { 0.0 } else { mm });
    let facts = InsertFacts {
        file: insert.file.clone(),
        volume_mm3,
        core_mm3: displaced.core_mm3,
        cap_mm3: displaced.cap_mm3,
        skin_mm3: displaced.skin_mm3,
        outside_mm3: if is_outside { outside_mm3 } else { Bounds::ZERO },
        above_mm3: if displaced.above_mm3 > NOTHING * volume_mm3 {
            displaced.above_mm3
        } else {
            0.0
        },
        wall_mm,
    };
    Ok((facts, displaced))
}

/// Takes the inserts out of core and cap. The skin stays as it is: it is brushed before anything
/// is put in.
pub fn take_out(volumes: &mut LayerVolumes, inserts: &Displaced) {
    let less = |layer: Bounds, insert: Bounds| (layer - insert).clamped(0.0, layer.high());
    volumes.core_mm3 = less(volumes.core_mm3, inserts.core_mm3);
    volumes.cap_mm3 = less(volumes.cap_mm3, inserts.cap_mm3);
    // What passes through the core's top leaves less to fill per millimetre there.
    volumes.level_area_mm2 = (volumes.level_area_mm2 - inserts.section_mm2).max(0.0);
}
