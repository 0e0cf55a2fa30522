//! Small meshes of any kind through the whole program.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    claims::pieces::piece(&claims::pieces::Piece::grow(bytes));
});
