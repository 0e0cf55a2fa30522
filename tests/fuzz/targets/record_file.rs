//! What was kept of castings, line by line.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    claims::files::record_file(bytes);
});
