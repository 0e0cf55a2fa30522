//! What work and material cost.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    claims::files::rates_file(bytes);
});
