//! The file of a workshop's own values.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    claims::files::shop_file(bytes);
});
