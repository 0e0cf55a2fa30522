//! Zip archives written field by field, so that any field can be wrong.

use std::io::Write;

use flate2::write::DeflateEncoder;
use flate2::{Compression, Crc};

/// One entry of an archive.
#[derive(Clone)]
pub struct Entry {
    /// Its name.
    pub name: String,
    /// Its bytes as they are stored.
    pub stored: Vec<u8>,
    /// 0 stored, 8 deflated.
    pub method: u16,
    /// Bit 0: locked.
    pub flags: u16,
    /// The size it is said to unpack to.
    pub size: u32,
    /// The checksum it is said to have.
    pub crc: u32,
}

impl Entry {
    /// An entry that is stored as it is.
    pub fn stored(name: &str, bytes: &[u8]) -> Self {
        let (size, crc) = (bytes.len() as u32, crc(bytes));
        Self { name: name.into(), stored: bytes.to_vec(), method: 0, flags: 0, size, crc }
    }

    /// An entry that is deflated.
    pub fn deflated(name: &str, bytes: &[u8]) -> Self {
        let mut encoder = DeflateEncoder::new(Vec::new(), Compression::default());
        encoder.write_all(bytes).unwrap();
        Self { stored: encoder.finish().unwrap(), method: 8, ..Self::stored(name, bytes) }
    }
}

fn crc(bytes: &[u8]) -> u32 {
    let mut crc = Crc::new();
    crc.update(bytes);
    crc.sum()
}

/// The archive (APPNOTE 4.3): local headers with data, central directory, its end.
pub fn zip(entries: &[Entry]) -> Vec<u8> {
    let (mut file, mut directory) = (Vec::new(), Vec::new());
    for entry in entries {
        let mut fields = Vec::new();
        for field in [20, entry.flags, entry.method, 0, 0x21] {
            fields.extend(u16::to_le_bytes(field));
        }
        for field in [entry.crc, entry.stored.len() as u32, entry.size] {
            fields.extend(field.to_le_bytes());
        }
        fields.extend((entry.name.len() as u16).to_le_bytes());
        fields.extend([0, 0]);
        directory.extend(b"PK\x01\x02\x14\0");
        directory.extend(&fields);
        directory.extend([0; 10]);
        directory.extend((file.len() as u32).to_le_bytes());
        directory.extend(entry.name.bytes());
        file.extend(b"PK\x03\x04");
        file.extend(&fields);
        file.extend(entry.name.bytes());
        file.extend(&entry.stored);
    }
    let start = file.len() as u32;
    file.extend(&directory);
    file.extend(b"PK\x05\x06\0\0\0\0");
    for _ in 0..2 {
        file.extend((entries.len() as u16).to_le_bytes());
    }
    file.extend((directory.len() as u32).to_le_bytes());
    file.extend(start.to_le_bytes());
    file.extend([0, 0]);
    file
}

/// The same with every size, place and number in its 64-bit field (APPNOTE 4.3.14, 4.5.3).
pub fn zip64(entries: &[Entry]) -> Vec<u8> {
    let (mut file, mut directory) = (Vec::new(), Vec::new());
    for entry in entries {
        let mut fields = Vec::new();
        for field in [45, entry.flags, entry.method, 0, 0x21] {
            fields.extend(u16::to_le_bytes(field));
        }
        for field in [entry.crc, u32::MAX, u32::MAX] {
            fields.extend(field.to_le_bytes());
        }
        fields.extend((entry.name.len() as u16).to_le_bytes());
        let sizes = [u64::from(entry.size), entry.stored.len() as u64].map(u64::to_le_bytes);
        directory.extend(b"PK\x01\x02\x2d\0");
        directory.extend(&fields);
        directory.extend([28, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
        directory.extend(u32::MAX.to_le_bytes());
        directory.extend(entry.name.bytes());
        directory.extend([1, 0, 24, 0]);
        directory.extend(sizes.concat());
        directory.extend((file.len() as u64).to_le_bytes());
        file.extend(b"PK\x03\x04");
        file.extend(&fields);
        file.extend([20, 0]);
        file.extend(entry.name.bytes());
        file.extend([1, 0, 16, 0]);
        file.extend(sizes.concat());
        file.extend(&entry.stored);
    }
    let start = file.len() as u64;
    file.extend(&directory);
    let end = file.len() as u64;
    file.extend(b"PK\x06\x06");
    file.extend(44_u64.to_le_bytes());
    file.extend([45, 0, 45, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
    let count = entries.len() as u64;
    for field in [count, count, directory.len() as u64, start] {
        file.extend(field.to_le_bytes());
    }
    file.extend(b"PK\x06\x07\0\0\0\0");
    file.extend(end.to_le_bytes());
    file.extend([1, 0, 0, 0]);
    file.extend(b"PK\x05\x06\0\0\0\0");
    file.extend([0xFF; 12]);
    file.extend([0, 0]);
    file
}

const RELATIONSHIPS: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
    <Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\">\
    <Relationship Target=\"/Metadata/picture.png\" Id=\"r1\" Type=\"http://schemas.openxmlformats.org/package/2006/relationships/metadata/thumbnail\"/>\
    <Relationship Target=\"TARGET\" Id=\"r0\" Type=\"http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel\"/>\
    </Relationships>";

/// The relationships of a package whose model is this part.
pub fn relationships(target: &str) -> Entry {
    Entry::stored("_rels/.rels", RELATIONSHIPS.replace("TARGET", target).as_bytes())
}

/// A 3MF package with this model.
pub fn package(model: &str) -> Vec<u8> {
    let content = Entry::stored("[Content_Types].xml", b"<Types/>");
    let model = Entry::deflated("3D/3dmodel.model", model.as_bytes());
    zip(&[content, relationships("/3D/3dmodel.model"), model])
}

/// A model with this in its resources and in its build, and these attributes.
pub fn model(attributes: &str, resources: &str, build: &str) -> String {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<model {attributes} xml:lang=\"en-US\" \
         xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\" \
         xmlns:p=\"http://schemas.microsoft.com/3dmanufacturing/production/2015/06\">\n\
         <metadata name=\"Title\">A &amp; B</metadata>\n\
         <resources>{resources}</resources>\n<build>{build}</build>\n</model>\n"
    )
}

/// The tetrahedron of the other formats as an object.
pub fn tetrahedron(attributes: &str) -> String {
    format!(
        "<object {attributes}><mesh><vertices><vertex x=\"0\" y=\"0\" z=\"0\"/>\
         <vertex x=\"0\" y=\"4.5\" z=\"0\"/><vertex x=\"3\" y=\"0\" z=\"0\"/>\
         <vertex x=\"0\" y=\"0\" z=\"5.25\"/></vertices><triangles>\
         <triangle v1=\"0\" v2=\"1\" v3=\"2\"/><triangle v1=\"0\" v2=\"2\" v3=\"3\"/>\
         <triangle v1=\"0\" v2=\"3\" v3=\"1\"/><triangle v1=\"2\" v2=\"1\" v3=\"3\" p1=\"0\"/>\
         </triangles></mesh></object>"
    )
}
