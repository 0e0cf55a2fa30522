//! A way round panics of the triangulation, which a line that all but lies on another can bring
//! about: splitting rounds, and from then on the net is none (seen with spade 2.15).

use std::cell::Cell;
use std::panic::{AssertUnwindSafe, catch_unwind, set_hook, take_hook};
use std::sync::Once;

thread_local! {
    static GUARDED: Cell<bool> = const { Cell::new(false) };
}

/// What `work` returns; `None` where it panics, of which nothing is printed. What it was working on
/// is not to be used any more.
pub fn guarded<T>(work: impl FnOnce() -> T) -> Option<T> {
    static HOOK: Once = Once::new();
    HOOK.call_once(|| {
        let told = take_hook();
        set_hook(Box::new(move |panic| {
            if !GUARDED.get() {
                told(panic);
            }
        }));
    });
    GUARDED.set(true);
    let done = catch_unwind(AssertUnwindSafe(work)).ok();
    GUARDED.set(false);
    done
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_panics_comes_to_nothing() {
        assert_eq!(guarded(|| 4), Some(4));
        let nothing: [u32; 0] = std::hint::black_box([]);
        assert_eq!(guarded(|| nothing.iter().copied().reduce(u32::max).unwrap()), None);
        assert_eq!(guarded(|| 5), Some(5));
    }
}
