//! OBJ (reference F4).
//!
//! The text is checked and reduced to bare vertices and faces by `obj_statements`, read by
//! `tobj`, and then welded; faces with more than three corners are cut up by `polygon`, because
//! `tobj` would cut them into a fan, which gives a face with a notch too much area.

use std::panic::{AssertUnwindSafe, catch_unwind};

use super::obj_statements::{Reduced, Summary};
use super::polygon::Cutter;
use super::text;
use super::weld::Welder;
use super::{Format, RawMesh, ReadError, crossing_finding, open_end_finding};
use crate::finding::Finding;
use crate::mesh::Vec3;

pub(super) fn read(bytes: &[u8], most: u64) -> Result<RawMesh, ReadError> {
    let mut reduced = Reduced::new(text::trimmed(bytes), most);
    let loaded = load(&mut reduced);
    // What the checks found explains more than what the library made of it.
    let summary = reduced.finish()?;
    let models = loaded?;
    let mut builder = Builder::default();
    for model in models {
        builder.add(&model.mesh)?;
    }
    if builder.faces != summary.faces {
        return Err(ReadError::ObjLost);
    }
    Ok(RawMesh {
        format: Format::Obj,
        unit: None,
        findings: findings(&summary, builder.odd_faces),
        vertices: builder.welder.into_positions(),
        triangles: builder.triangles,
    })
}

/// Runs the library. It has panicked on texts that can't get past the checks; should it find
/// another reason, that costs the file and not the program.
fn load(reduced: &mut Reduced) -> Result<Vec<tobj::Model>, ReadError> {
    let options = tobj::LoadOptions {
        single_index: false,
        triangulate: false,
        ignore_points: false,
        ignore_lines: false,
    };
    let no_materials = |_: &std::path::Path| Err(tobj::LoadError::OpenFileFailed);
    catch_unwind(AssertUnwindSafe(|| tobj::load_obj_buf(reduced, &options, no_materials)))
        .map_err(|_| ReadError::ObjLost)?
        .map(|(models, _)| models)
        .map_err(ReadError::ObjRefused)
}

/// Welds what the library read and cuts it into triangles.
#[derive(Default)]
struct Builder {
    welder: Welder,
    cutter: Cutter,
    triangles: Vec<[u32; 3]>,
    faces: usize,
    odd_faces: usize,
}

impl Builder {
    fn add(&mut self, mesh: &tobj::Mesh) -> Result<(), ReadError> {
        let numbers = mesh
            .positions
            .chunks_exact(3)
            .map(|p| self.welder.number(Vec3::new(p[0], p[1], p[2])))
            .collect::<Result<Vec<u32>, _>>()
            .map_err(|_| ReadError::TooManyVertices)?;
        let corners = mesh
            .indices
            .iter()
            .map(|&i| numbers.get(i as usize).copied())
            .collect::<Option<Vec<u32>>>()
            .ok_or(ReadError::ObjLost)?;
        if mesh.face_arities.is_empty() {
            let (triangles, _) = corners.as_chunks::<3>();
            self.faces += triangles.len();
            self.triangles.extend_from_slice(triangles);
            return Ok(());
        }
        self.faces += mesh.face_arities.len();
        let mut rest = &corners[..];
        for &arity in &mesh.face_arities {
            let (face, behind) = rest.split_at_checked(arity as usize).ok_or(ReadError::ObjLost)?;
            rest = behind;
            let clean = self.cutter.cut(face, self.welder.positions(), &mut self.triangles);
            self.odd_faces += usize::from(!clean);
        }
        Ok(())
    }
}

fn findings(summary: &Summary, odd_faces: usize) -> Vec<Finding> {
    let mut findings: Vec<Finding> = crossing_finding(odd_faces).into_iter().collect();
    findings.extend(open_end_finding(summary.open_ended));
    findings
}
