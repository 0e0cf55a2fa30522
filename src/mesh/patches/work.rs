//! Work that a search may do before it has to end.

use std::sync::atomic::{AtomicUsize, Ordering};

/// How much a search may do, counted by all its threads together. Whether it is over in the end
/// hangs on what is to be done alone, not on who does it first.
#[derive(Debug)]
pub struct Work {
    most: usize,
    done: AtomicUsize,
}

impl Work {
    /// So many steps, and so many more for each triangle of a mesh, up to the number from which on
    /// a mesh is no scan's any more and its crossings would fill the memory.
    pub fn on(triangles: usize, at_least: usize, for_each: usize) -> Self {
        const GROWS_UP_TO: usize = 2_000_000;
        Self::at_most(at_least + for_each * triangles.min(GROWS_UP_TO))
    }

    /// No more than so many steps.
    fn at_most(most: usize) -> Self {
        Self { most, done: AtomicUsize::new(0) }
    }

    /// As much as it takes.
    pub fn unlimited() -> Self {
        Self::at_most(usize::MAX)
    }

    /// Counts steps.
    pub fn add(&self, steps: usize) {
        self.done.fetch_add(steps, Ordering::Relaxed);
    }

    /// More was done than may be: what was found is not all there is.
    pub fn is_over(&self) -> bool {
        self.done.load(Ordering::Relaxed) > self.most
    }
}
