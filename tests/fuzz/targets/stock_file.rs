//! What is on the shelf.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    claims::files::stock_file(bytes);
});
