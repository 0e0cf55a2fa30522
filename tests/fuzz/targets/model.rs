//! The model part of a 3MF package.
#![no_main]

use claims::archive;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    claims::files::mesh_file(&archive::package(&String::from_utf8_lossy(bytes)), None);
});
