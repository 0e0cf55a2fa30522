//! Lengths, weights, volumes, times and the rest, as they are typed.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if let Ok(text) = std::str::from_utf8(bytes) {
        claims::texts::quantity(text);
    }
});
