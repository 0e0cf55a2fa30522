//! The XML of one model part of a 3MF package: objects and the build (reference F7).

use quick_xml::events::{BytesStart, Event};
use quick_xml::name::{Namespace, ResolveResult};
use quick_xml::{NsReader, XmlVersion};

use super::placement::Placement;
use super::{ModelFault, Place, ReadError, admit, check_count, package, text};
use crate::mesh::Vec3;
use crate::units::LengthUnit;

const CORE: &str = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02";
const PRODUCTION: &str = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06";
/// Extensions that may be required: one that is read, and those that don't change the shape.
const KNOWN: [&str; 4] = [
    CORE,
    PRODUCTION,
    "http://schemas.microsoft.com/3dmanufacturing/material/2015/02",
    "http://schemas.microsoft.com/3dmanufacturing/trianglesets/2021/07",
];
/// Elements of extensions that make a shape otherwise than by triangles: to pass over them would
/// lose rubber in silence.
const SHAPES: [&str; 4] = ["beamlattice", "booleanshape", "levelset", "displacementmesh"];

/// More than any model needs; the namespaces of each level are kept.
const MOST_DEEP: usize = 64;

/// What one part holds.
pub(super) struct Part {
    pub(super) unit: LengthUnit,
    pub(super) objects: Vec<Object>,
    pub(super) items: Vec<Use>,
}

/// One object: a mesh or components.
pub(super) struct Object {
    pub(super) id: u32,
    pub(super) kind: Kind,
    pub(super) positions: Vec<Vec3>,
    pub(super) triangles: Vec<[u32; 3]>,
    pub(super) components: Vec<Use>,
}

/// What an object is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// A part of the piece, solid or surface.
    Piece,
    /// Holds the piece up while it is printed.
    Support,
    /// Never built.
    Other,
}

/// An object that is put somewhere.
pub(super) struct Use {
    pub(super) object: u32,
    /// The name of the part that holds it, where that is another one.
    pub(super) part: Option<String>,
    pub(super) placement: Placement,
    pub(super) place: Place,
}

/// Reads a part. `met` counts the triangles of all parts, of which at most `most` are read: also
/// those that nothing places take room.
pub(super) fn read(bytes: &[u8], met: &mut u64, most: u64) -> Result<Part, ReadError> {
    let at_start = |fault| ReadError::Model { place: Place::Column { line: 1, column: 1 }, fault };
    if text::is_wide(bytes) {
        return Err(at_start(ModelFault::Wide));
    }
    let xml = std::str::from_utf8(text::without_mark(bytes))
        .map_err(|_| at_start(ModelFault::Encoding))?;
    let mut reader = NsReader::from_str(xml);
    let mut part =
        PartReader { text: xml, at: 0, part: None, object: None, in_build: false, met, most };
    let mut depth = 0_usize;
    let mut ended = false;
    loop {
        part.at = reader.buffer_position() as usize;
        let (space, event) =
            reader.read_resolved_event().map_err(|_| part.fault(ModelFault::Xml))?;
        let is_core = matches!(space, ResolveResult::Bound(Namespace(name)) if name == CORE);
        match event {
            Event::Start(element) => {
                depth += 1;
                if depth > MOST_DEEP {
                    return Err(part.fault(ModelFault::TooDeep(MOST_DEEP)));
                }
                part.begin(&element, is_core, &reader)?;
            }
            Event::Empty(element) => {
                part.begin(&element, is_core, &reader)?;
                part.end(element.local_name().as_ref(), is_core)?;
            }
            Event::End(element) => {
                depth -= 1;
                part.end(element.local_name().as_ref(), is_core)?;
                ended |= depth == 0;
            }
            Event::DocType(_) => return Err(part.fault(ModelFault::DocumentType)),
            Event::Eof => break,
            _ => {}
        }
    }
    if !ended {
        return Err(part.fault(ModelFault::Cut));
    }
    match part.part.take() {
        Some(part) => Ok(part),
        None => Err(at_start(ModelFault::NoModel)),
    }
}

struct PartReader<'a> {
    text: &'a str,
    /// Where the element at hand begins.
    at: usize,
    part: Option<Part>,
    /// The object at hand.
    object: Option<Object>,
    in_build: bool,
    /// Triangles met so far, and the most that are read.
    met: &'a mut u64,
    most: u64,
}

impl PartReader<'_> {
    fn begin(
        &mut self,
        element: &BytesStart<'_>,
        is_core: bool,
        reader: &NsReader<&[u8]>,
    ) -> Result<(), ReadError> {
        let name = element.local_name();
        let name = name.as_ref();
        if self.part.is_none() {
            if !is_core || name != "model" {
                return Err(self.fault(ModelFault::NoModel));
            }
            return self.model(element, reader);
        }
        if !is_core {
            let shape = SHAPES.contains(&name).then(|| text::shortened(name.as_bytes()));
            return shape.map_or(Ok(()), |name| Err(self.fault(ModelFault::Shape(name))));
        }
        match name {
            "vertex" => self.vertex(element),
            "triangle" => self.triangle(element),
            "object" => self.object(element),
            "component" => {
                let component = self.placed(element, reader)?;
                let object = self.object.as_mut();
                let Some(object) = object else {
                    return Err(self.fault(ModelFault::Misplaced("component")));
                };
                object.components.push(component);
                Ok(())
            }
            "build" => {
                self.in_build = true;
                Ok(())
            }
            "item" => {
                let item = self.placed(element, reader)?;
                match &mut self.part {
                    Some(part) if self.in_build => part.items.push(item),
                    _ => return Err(self.fault(ModelFault::Misplaced("item"))),
                }
                Ok(())
            }
            _ => Ok(()),
        }
    }

    fn end(&mut self, name: &str, is_core: bool) -> Result<(), ReadError> {
        match name {
            "object" if is_core => {
                if let (Some(object), Some(part)) = (self.object.take(), &mut self.part) {
                    part.objects.push(object);
                }
            }
            "build" if is_core => self.in_build = false,
            _ => {}
        }
        Ok(())
    }

    fn model(
        &mut self,
        element: &BytesStart<'_>,
        reader: &NsReader<&[u8]>,
    ) -> Result<(), ReadError> {
        let mut unit = LengthUnit::Millimetre;
        for (name, value) in self.attributes(element)? {
            match name {
                "unit" => unit = self.unit(&value)?,
                "requiredextensions" => self.check_extensions(&value, reader)?,
                _ => {}
            }
        }
        self.part = Some(Part { unit, objects: Vec::new(), items: Vec::new() });
        Ok(())
    }

    fn unit(&self, word: &str) -> Result<LengthUnit, ReadError> {
        Ok(match word.trim() {
            "micron" => LengthUnit::Micrometre,
            "millimeter" => LengthUnit::Millimetre,
            "centimeter" => LengthUnit::Centimetre,
            "inch" => LengthUnit::Inch,
            "foot" => LengthUnit::Foot,
            "meter" => LengthUnit::Metre,
            _ => return Err(self.fault(ModelFault::Unit(text::shortened(word.as_bytes())))),
        })
    }

    /// Each word is the prefix of a namespace without which the model can't be understood.
    fn check_extensions(&self, words: &str, reader: &NsReader<&[u8]>) -> Result<(), ReadError> {
        for prefix in words.split_ascii_whitespace() {
            let name = format!("{prefix}:x");
            let (space, _) = reader.resolver().resolve_attribute(quick_xml::name::QName(&name));
            let known = matches!(space, ResolveResult::Bound(Namespace(n)) if KNOWN.contains(&n));
            if !known {
                return Err(self.fault(ModelFault::Extension(text::shortened(prefix.as_bytes()))));
            }
        }
        Ok(())
    }

    fn object(&mut self, element: &BytesStart<'_>) -> Result<(), ReadError> {
        if self.object.is_some() || self.in_build {
            return Err(self.fault(ModelFault::Misplaced("object")));
        }
        let (mut id, mut kind) = (None, Kind::Piece);
        for (name, value) in self.attributes(element)? {
            match name {
                "id" => id = Some(self.whole("id", &value)?),
                "type" => {
                    kind = match &*value {
                        "support" | "solidsupport" => Kind::Support,
                        "other" => Kind::Other,
                        _ => Kind::Piece,
                    }
                }
                _ => {}
            }
        }
        let id = id.ok_or_else(|| self.fault(ModelFault::Missing("id")))?;
        self.object = Some(Object {
            id,
            kind,
            positions: Vec::new(),
            triangles: Vec::new(),
            components: Vec::new(),
        });
        Ok(())
    }

    fn vertex(&mut self, element: &BytesStart<'_>) -> Result<(), ReadError> {
        let [x, y, z] = self.numbers(element, ["x", "y", "z"], |reader, name, value| {
            let number = reader.number(name, value)?;
            admit(number, Place::Line(0)).map_err(|error| reader.moved(error))
        })?;
        let Some(object) = &mut self.object else {
            return Err(self.fault(ModelFault::Misplaced("vertex")));
        };
        object.positions.push(Vec3::new(x, y, z));
        Ok(())
    }

    /// The schema lets a mesh's triangles follow its vertices.
    fn triangle(&mut self, element: &BytesStart<'_>) -> Result<(), ReadError> {
        let corners = self.numbers(element, ["v1", "v2", "v3"], Self::whole)?;
        let Some(object) = &mut self.object else {
            return Err(self.fault(ModelFault::Misplaced("triangle")));
        };
        let count = object.positions.len();
        if let Some(&index) = corners.iter().find(|&&v| v as usize >= count) {
            return Err(ReadError::Index { place: self.place(), index: index.into(), count });
        }
        object.triangles.push(corners);
        *self.met += 1;
        check_count(*self.met, false, self.most)
    }

    /// Three attributes, read by `read`.
    #[inline]
    fn numbers<T: Copy>(
        &self,
        element: &BytesStart<'_>,
        names: [&'static str; 3],
        read: impl Fn(&Self, &'static str, &str) -> Result<T, ReadError>,
    ) -> Result<[T; 3], ReadError> {
        let mut found = [None; 3];
        for attribute in element.attributes() {
            let attribute = attribute.map_err(|_| self.fault(ModelFault::Xml))?;
            if let Some(at) = names.iter().position(|&n| n == attribute.key.as_ref()) {
                found[at] = Some(read(self, names[at], &attribute.value)?);
            }
        }
        match found {
            [Some(a), Some(b), Some(c)] => Ok([a, b, c]),
            _ => {
                let at = found.iter().position(Option::is_none).unwrap_or(0);
                Err(self.fault(ModelFault::Missing(names[at])))
            }
        }
    }

    fn placed(&self, element: &BytesStart<'_>, reader: &NsReader<&[u8]>) -> Result<Use, ReadError> {
        let (mut object, mut part, mut placement) = (None, None, Placement::HERE);
        for attribute in element.attributes() {
            let attribute = attribute.map_err(|_| self.fault(ModelFault::Xml))?;
            let (space, local) = reader.resolver().resolve_attribute(attribute.key);
            let in_production =
                matches!(space, ResolveResult::Bound(Namespace(name)) if name == PRODUCTION);
            let value = attribute
                .normalized_value(XmlVersion::Implicit1_0)
                .map_err(|_| self.fault(ModelFault::Xml))?;
            match local.as_ref() {
                "path" if in_production => part = Some(package::resolved(&value)),
                _ if space != ResolveResult::Unbound => {}
                "objectid" => object = Some(self.whole("objectid", &value)?),
                "transform" => placement = self.transform(&value)?,
                _ => {}
            }
        }
        let object = object.ok_or_else(|| self.fault(ModelFault::Missing("objectid")))?;
        Ok(Use { object, part, placement, place: self.place() })
    }

    fn transform(&self, text: &str) -> Result<Placement, ReadError> {
        let mut numbers = [0.0; 12];
        let mut words = text.split_ascii_whitespace();
        for number in &mut numbers {
            *number = self.number("transform", words.next().unwrap_or_default())?;
        }
        if let Some(word) = words.next() {
            let found = text::shortened(word.as_bytes());
            return Err(self.fault(ModelFault::Number { name: "transform", found }));
        }
        let placement = Placement::from_numbers(numbers);
        // A determinant that overflows is as useless as none.
        if placement.determinant() == 0.0 || !placement.determinant().is_finite() {
            return Err(self.fault(ModelFault::Flat));
        }
        Ok(placement)
    }

    /// All attributes that have no prefix, with entities written out.
    fn attributes<'e>(
        &self,
        element: &'e BytesStart<'_>,
    ) -> Result<Vec<(&'e str, String)>, ReadError> {
        let mut attributes = Vec::new();
        for attribute in element.attributes() {
            let attribute = attribute.map_err(|_| self.fault(ModelFault::Xml))?;
            let value = attribute
                .normalized_value(XmlVersion::Implicit1_0)
                .map_err(|_| self.fault(ModelFault::Xml))?;
            attributes.push((attribute.key.into_inner(), value.into_owned()));
        }
        Ok(attributes)
    }

    fn number(&self, name: &'static str, value: &str) -> Result<f64, ReadError> {
        let number = value.trim().parse::<f64>().ok().filter(|n| n.is_finite());
        number.ok_or_else(|| self.no_number(name, value))
    }

    fn whole(&self, name: &'static str, value: &str) -> Result<u32, ReadError> {
        value.trim().parse().map_err(|_| self.no_number(name, value))
    }

    fn no_number(&self, name: &'static str, value: &str) -> ReadError {
        let is_non_finite = value.trim().parse::<f64>().is_ok_and(|n| !n.is_finite());
        if is_non_finite {
            return ReadError::NotFinite { place: self.place() };
        }
        self.fault(ModelFault::Number { name, found: text::shortened(value.as_bytes()) })
    }

    /// An error about a coordinate, told of the element at hand.
    fn moved(&self, error: ReadError) -> ReadError {
        match error {
            ReadError::TooLarge { value, .. } => ReadError::TooLarge { place: self.place(), value },
            _ => ReadError::NotFinite { place: self.place() },
        }
    }

    fn fault(&self, fault: ModelFault) -> ReadError {
        ReadError::Model { place: self.place(), fault }
    }

    /// Line and column of the element at hand; worked out only when something is wrong with it.
    fn place(&self) -> Place {
        let before = &self.text.as_bytes()[..self.at.min(self.text.len())];
        let line = 1 + before.iter().filter(|&&b| b == b'\n').count();
        let begins = before.iter().rposition(|&b| b == b'\n').map_or(0, |at| at + 1);
        Place::Column { line, column: before.len() - begins + 1 }
    }
}
