//! ASCII STL.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    claims::files::mesh_file(bytes, Some("scan.stl"));
});
