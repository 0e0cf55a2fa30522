//! PLY, text and binary in both byte orders.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    claims::files::mesh_file(bytes, Some("scan.ply"));
});
