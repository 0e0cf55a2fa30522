//! Lengths as people type them, units of files. Inside the crate everything is mm, mm², mm³, g
//! and minutes, and names say so.

/// A length.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Length {
    mm: f64,
}

impl Length {
    /// So many millimetres.
    pub const fn from_mm(mm: f64) -> Self {
        Self { mm }
    }

    /// In millimetres.
    pub const fn mm(self) -> f64 {
        self.mm
    }
}
