//! A sheet as terminal text or JSON.
