//! Small changes to a file, as damage and bad exports make them.

use proptest::prelude::*;
use proptest::sample::Index;

/// Where, what kind, and with which byte.
pub type Edit = (Index, u8, u8);

/// One to so many changes.
pub fn edits(most: usize) -> impl Strategy<Value = Vec<Edit>> {
    prop::collection::vec((any::<Index>(), 0_u8..5, any::<u8>()), 1..=most)
}

/// Changes, inserts and removes bytes, puts in some that mean much in this format, and cuts off.
pub fn apply(file: &mut Vec<u8>, edits: &[Edit], telling: &[u8]) {
    for (at, kind, value) in edits {
        if file.is_empty() {
            return;
        }
        let at = at.index(file.len());
        match kind {
            0 => file[at] = *value,
            1 => file.insert(at, *value),
            2 => {
                file.remove(at);
            }
            3 => file[at] = telling[usize::from(*value) % telling.len()],
            // Seldom, since it leaves little of the file.
            _ if *value < 64 => file.truncate(at.max(1)),
            _ => {}
        }
    }
}
