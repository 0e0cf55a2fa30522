//! The zip archive of a 3MF package: which part is the model, and its bytes.
//!
//! Parts are found as the Open Packaging Conventions say: by the relationships of the package, by
//! names that don't distinguish upper and lower case. A package without relationships is not
//! valid; where it has a single model, that is read.

use std::io::Cursor;

use quick_xml::XmlVersion;
use quick_xml::events::Event;
use zip::result::ZipError;
use zip::{CompressionMethod, ZipArchive};

use super::packed::{self, PackingFault};
use super::text;

/// The relationship from a package to its first model part.
const START_PART: &str = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel";
const RELATIONSHIPS: &str = "_rels/.rels";
const USUAL_MODEL: &str = "3D/3dmodel.model";
const MODEL_ENDING: &str = ".model";

/// Whether the bytes begin as a zip archive, an empty one included.
pub(super) fn is_zip(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06")
}

/// An archive that is open for reading.
pub(super) struct Package<'a> {
    archive: ZipArchive<Cursor<&'a [u8]>>,
    names: Vec<String>,
    /// All bytes of the file, and how many were unpacked from them so far.
    length: u64,
    unpacked: u64,
}

impl<'a> Package<'a> {
    pub(super) fn open(bytes: &'a [u8]) -> Result<Self, PackingFault> {
        let archive = ZipArchive::new(Cursor::new(bytes)).map_err(|error| fault(&error))?;
        let mut names = Vec::new();
        for index in 0..archive.len() {
            let name = archive.name_for_index(index).and_then(Result::ok);
            names.push(name.map(|n| n.into_owned()).unwrap_or_default());
        }
        Ok(Self { archive, names, length: bytes.len() as u64, unpacked: 0 })
    }

    /// The name of the model that the package is about.
    pub(super) fn model_name(&mut self) -> Result<String, PackingFault> {
        if self.holds(RELATIONSHIPS) {
            let relationships = self.part(RELATIONSHIPS)?;
            if let Some(target) = start_part(&relationships)? {
                return Ok(resolved(&target));
            }
        }
        let mut models = self.names.iter().filter(|n| {
            n.len() > MODEL_ENDING.len()
                && n.as_bytes()[n.len() - MODEL_ENDING.len()..]
                    .eq_ignore_ascii_case(MODEL_ENDING.as_bytes())
        });
        match (models.next(), models.next()) {
            (Some(only), None) => Ok(only.clone()),
            (Some(_), Some(_)) if self.holds(USUAL_MODEL) => Ok(USUAL_MODEL.to_owned()),
            _ => Err(PackingFault::NoModel),
        }
    }

    fn holds(&self, name: &str) -> bool {
        self.names.iter().any(|n| n.eq_ignore_ascii_case(name))
    }

    /// The bytes of a part. Their number is checked against the limits before they are unpacked.
    pub(super) fn part(&mut self, name: &str) -> Result<Vec<u8>, PackingFault> {
        let mut found = (0..self.names.len()).filter(|&i| self.names[i].eq_ignore_ascii_case(name));
        let index = found.next().ok_or(PackingFault::PartMissing)?;
        if found.next().is_some() {
            return Err(PackingFault::PartTwice);
        }
        let entry = self.archive.by_index_data(index).map_err(|error| fault(&error))?;
        if entry.encrypted() {
            return Err(PackingFault::Locked);
        }
        if !matches!(entry.compression(), CompressionMethod::Stored | CompressionMethod::Deflated) {
            return Err(PackingFault::Method);
        }
        let (announced, stored) = (entry.size(), entry.compressed_size());
        if stored > self.length {
            return Err(PackingFault::Cut);
        }
        packed::check(announced, stored)?;
        // Parts may share their packed bytes, so all together are held against the file too.
        self.unpacked = self.unpacked.saturating_add(announced);
        packed::check(self.unpacked, self.length)?;
        let part = self.archive.by_index(index).map_err(|error| fault(&error))?;
        packed::unpack(part, announced)
    }
}

fn fault(error: &ZipError) -> PackingFault {
    match error {
        ZipError::Io(error) => PackingFault::of(error),
        ZipError::UnsupportedArchive(text) if *text == ZipError::PASSWORD_REQUIRED => {
            PackingFault::Locked
        }
        ZipError::CompressionMethodNotSupported(_) => PackingFault::Method,
        _ => PackingFault::Damaged,
    }
}

/// The target of the first relationship of the right type.
fn start_part(relationships: &[u8]) -> Result<Option<String>, PackingFault> {
    if text::is_wide(relationships) {
        return Err(PackingFault::Wide);
    }
    let xml = std::str::from_utf8(text::without_mark(relationships))
        .map_err(|_| PackingFault::Damaged)?;
    let mut reader = quick_xml::Reader::from_str(xml);
    loop {
        let element = match reader.read_event().map_err(|_| PackingFault::Damaged)? {
            Event::Start(element) | Event::Empty(element) => element,
            Event::DocType(_) => return Err(PackingFault::Damaged),
            Event::Eof => return Ok(None),
            _ => continue,
        };
        if element.local_name().as_ref() != "Relationship" {
            continue;
        }
        let (mut is_start, mut target) = (false, None);
        for attribute in element.attributes() {
            let attribute = attribute.map_err(|_| PackingFault::Damaged)?;
            let value = attribute
                .normalized_value(XmlVersion::Implicit1_0)
                .map_err(|_| PackingFault::Damaged)?;
            match attribute.key.as_ref() {
                "Type" => is_start = value == START_PART,
                "Target" => target = Some(value.into_owned()),
                _ => {}
            }
        }
        if is_start && target.is_some() {
            return Ok(target);
        }
    }
}

/// The name of an entry from a reference to a part, seen from the package's root: without the
/// leading slash, `.` and `..`, and with `%20` and the like written out.
pub(super) fn resolved(reference: &str) -> String {
    let mut segments: Vec<String> = Vec::new();
    for segment in reference.split('/') {
        match segment {
            "" | "." => {}
            ".." => {
                segments.pop();
            }
            segment => segments.push(percent_decoded(segment)),
        }
    }
    segments.join("/")
}

fn percent_decoded(text: &str) -> String {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.as_bytes();
    while let Some((&first, behind)) = rest.split_first() {
        let digits = behind.get(..2).filter(|_| first == b'%');
        let digits = digits.and_then(|d| std::str::from_utf8(d).ok());
        match digits.and_then(|d| u8::from_str_radix(d, 16).ok()) {
            Some(byte) => {
                bytes.push(byte);
                rest = &behind[2..];
            }
            None => {
                bytes.push(first);
                rest = behind;
            }
        }
    }
    String::from_utf8_lossy(&bytes).into_owned()
}

#[cfg(test)]
mod tests {
    use super::resolved;

    #[test]
    fn references_lead_to_entries() {
        assert_eq!(resolved("/3D/3dmodel.model"), "3D/3dmodel.model");
        assert_eq!(resolved("3D/a%20b.model"), "3D/a b.model");
        assert_eq!(resolved("./x/../3D//m%2.model"), "3D/m%2.model");
        assert_eq!(resolved("/../../3D/%zz"), "3D/%zz");
    }
}
