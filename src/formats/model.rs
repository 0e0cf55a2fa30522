//! 3MF (reference F7): objects are placed as the build says.
//!
//! Only what the build reaches counts. Components are placed first by themselves, then by what
//! holds them. A placement that mirrors turns its triangles round, so that the volume keeps its
//! sign. Bodies that overlap are handed on as they are.

use std::collections::HashMap;

use super::indexed::{Indexed, no_faces};
use super::model_xml::{self, Kind, Object, Part, Use};
use super::package::Package;
use super::placement::Placement;
use super::{Format, ModelFault, Place, RawMesh, ReadError, admit, check_count, text};
use crate::finding::Finding;
use crate::mesh::Vec3;

/// More than fits any machine that prints; a few bytes can ask for any number.
const MOST_PLACEMENTS: u64 = 100_000;
/// Points for each triangle that is read, where none is shared: positions cost time even where no
/// triangle uses them.
const MOST_POINTS_EACH: u64 = 3;
/// Components within components: each level takes a little of the stack.
const MOST_DEEP: usize = 64;

pub(super) fn read(bytes: &[u8], most: u64) -> Result<RawMesh, ReadError> {
    let mut package = Package::open(bytes)?;
    let root = package.model_name()?;
    let mut model = Model { parts: Vec::new(), objects: HashMap::new(), triangles: 0, most };
    model.load(&mut package, root)?;
    let (unit, items) = {
        let part = &model.parts[0].part;
        (part.unit, part.items.len())
    };
    let mut builder = Builder::new(&model, most)?;
    for item in 0..items {
        let item_use = &model.parts[0].part.items[item];
        builder.item(item_use, item + 1)?;
    }
    let left_out = builder.supports;
    let points = builder.points;
    if builder.placed_triangles == 0 {
        return Err(no_faces(Format::ThreeMf, points));
    }
    let mut mesh = builder.mesh.finish(Format::ThreeMf)?;
    mesh.unit = Some(unit);
    mesh.findings.extend(supports_finding(left_out));
    Ok(mesh)
}

fn supports_finding(supports: usize) -> Option<Finding> {
    let message = format!("{supports} support structures in the 3MF file were left out");
    (supports > 0).then(|| Finding::note("supports-left-out", message))
}

/// All parts that are reached, the root first.
struct Model {
    parts: Vec<Named>,
    /// Where an object is: by part and number.
    objects: HashMap<(usize, u32), usize>,
    /// Triangles in all parts so far, and the most that are read.
    triangles: u64,
    most: u64,
}

struct Named {
    name: String,
    part: Part,
}

impl Model {
    /// Reads the root and every part that is named in it or in those.
    fn load(&mut self, package: &mut Package<'_>, root: String) -> Result<(), ReadError> {
        let mut wanted = vec![root];
        let mut next = 0;
        while let Some(name) = wanted.get(next).cloned() {
            next += 1;
            let part = self.part(package, &name).map_err(|error| in_part(&name, error))?;
            let uses = part.objects.iter().flat_map(|o| &o.components).chain(&part.items);
            for named in uses.filter_map(|u| u.part.as_ref()) {
                if !wanted.iter().any(|w| w.eq_ignore_ascii_case(named)) {
                    wanted.push(named.clone());
                }
            }
            for (at, object) in part.objects.iter().enumerate() {
                if self.objects.insert((self.parts.len(), object.id), at).is_some() {
                    let fault = ModelFault::Twice(object.id);
                    let place = Place::Column { line: 1, column: 1 };
                    return Err(in_part(&name, ReadError::Model { place, fault }));
                }
            }
            if self.parts.first().is_some_and(|root| root.part.unit != part.unit) {
                let place = Place::Column { line: 1, column: 1 };
                let fault = ModelFault::OtherUnit;
                return Err(in_part(&name, ReadError::Model { place, fault }));
            }
            self.parts.push(Named { name, part });
        }
        Ok(())
    }

    fn part(&mut self, package: &mut Package<'_>, name: &str) -> Result<Part, ReadError> {
        model_xml::read(&package.part(name)?, &mut self.triangles, self.most)
    }

    /// The object that is used, and the part it is in.
    fn find(&self, used: &Use, within: usize) -> Result<(usize, &Object), ReadError> {
        let missing = || {
            let fault = ModelFault::NoObject(used.object);
            in_part(&self.parts[within].name, ReadError::Model { place: used.place, fault })
        };
        let part = match &used.part {
            None => within,
            Some(name) => {
                let is_it = |named: &Named| named.name.eq_ignore_ascii_case(name);
                self.parts.iter().position(is_it).ok_or_else(missing)?
            }
        };
        let at = *self.objects.get(&(part, used.object)).ok_or_else(missing)?;
        Ok((part, &self.parts[part].part.objects[at]))
    }
}

fn in_part(name: &str, error: ReadError) -> ReadError {
    if matches!(error, ReadError::TooManyTriangles { .. }) {
        return error; // That is said of the file as a whole.
    }
    let part = text::shortened(name.as_bytes());
    ReadError::InPart { part, error: Box::new(error) }
}

/// Puts objects where they belong.
struct Builder<'m> {
    model: &'m Model,
    mesh: Indexed,
    /// Objects that contain the one at hand, by part and number.
    path: Vec<(usize, u32)>,
    placements: u64,
    placed_triangles: u64,
    points: usize,
    supports: usize,
    /// The most triangles that are read.
    most: u64,
}

impl<'m> Builder<'m> {
    fn new(model: &'m Model, most: u64) -> Result<Self, ReadError> {
        Ok(Self {
            model,
            mesh: Indexed::new(Vec::new(), 0, most)?,
            path: Vec::new(),
            placements: 0,
            placed_triangles: 0,
            points: 0,
            supports: 0,
            most,
        })
    }

    fn item(&mut self, item: &Use, number: usize) -> Result<(), ReadError> {
        let (_, object) = self.model.find(item, 0)?;
        match object.kind {
            Kind::Piece => self.place(item, 0, &Placement::HERE, number),
            Kind::Support => {
                self.supports += 1;
                Ok(())
            }
            Kind::Other => Err(self.fault(item, 0, ModelFault::NeverBuilt(item.object))),
        }
    }

    fn place(
        &mut self,
        used: &Use,
        within: usize,
        outer: &Placement,
        item: usize,
    ) -> Result<(), ReadError> {
        let (part, object) = self.model.find(used, within)?;
        let key = (part, object.id);
        if self.path.contains(&key) {
            return Err(self.fault(used, within, ModelFault::Cycle(object.id)));
        }
        if self.path.len() == MOST_DEEP {
            return Err(self.fault(used, within, ModelFault::ComponentsTooDeep(MOST_DEEP)));
        }
        self.placements += 1;
        self.placed_triangles += object.triangles.len() as u64;
        self.points += object.positions.len();
        check_count(self.placed_triangles, false, self.most)?;
        if self.placements > MOST_PLACEMENTS
            || self.points as u64 > self.most.saturating_mul(MOST_POINTS_EACH)
        {
            let fault = ModelFault::TooMuch { triangles: self.most, placements: MOST_PLACEMENTS };
            return Err(self.fault(used, within, fault));
        }
        let placement = used.placement.then(outer);
        self.add(object, &placement, item)?;
        self.path.push(key);
        for component in &object.components {
            self.place(component, part, &placement, item)?;
        }
        self.path.pop();
        Ok(())
    }

    fn add(
        &mut self,
        object: &Object,
        placement: &Placement,
        item: usize,
    ) -> Result<(), ReadError> {
        let place = Place::BuildItem(item);
        let mut positions = Vec::with_capacity(object.positions.len());
        for &position in &object.positions {
            let placed = placement.of(position).to_array();
            let [x, y, z] = placed.map(|c| admit(c, place));
            positions.push(Vec3::new(x?, y?, z?));
        }
        self.mesh.next_part(positions);
        let mirrored = placement.determinant() < 0.0;
        for triangle in &object.triangles {
            let [a, b, c] = triangle.map(i64::from);
            let corners = if mirrored { [a, c, b] } else { [a, b, c] };
            self.mesh.face(&corners, place)?;
        }
        Ok(())
    }

    fn fault(&self, used: &Use, within: usize, fault: ModelFault) -> ReadError {
        let error = ReadError::Model { place: used.place, fault };
        in_part(&self.model.parts[within].name, error)
    }
}
