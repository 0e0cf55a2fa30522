//! Packages and gzip files as they come: the first byte says what is done to the rest.
#![no_main]

use std::io::Write;

use claims::archive;
use flate2::Compression;
use flate2::write::GzEncoder;
use libfuzzer_sys::fuzz_target;

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::fast());
    encoder.write_all(bytes).expect("memory takes all");
    encoder.finish().expect("memory takes all")
}

fuzz_target!(|bytes: &[u8]| {
    let Some((first, rest)) = bytes.split_first() else { return };
    let packed = match first % 3 {
        0 => rest.to_vec(),
        1 => gzip(rest),
        _ => archive::zip(&[
            archive::relationships("/3D/3dmodel.model"),
            archive::Entry::deflated("3D/3dmodel.model", rest),
        ]),
    };
    claims::files::mesh_file(&packed, None);
});
