//! From layer volumes to grams: the one place where geometry and materials meet.
