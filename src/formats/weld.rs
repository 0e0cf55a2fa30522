//! Joins corners at exactly the same position, as they come in.

use std::hash::{BuildHasher, Hasher};

use foldhash::fast::FixedState;
use hashbrown::HashTable;
use hashbrown::hash_table::Entry;

use crate::mesh::Vec3;

/// More distinct positions than a `u32` can number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("more than {} different positions", u32::MAX)]
pub struct TooManyPositions;

/// Numbers positions in the order of their first appearance; the same position gets the same
/// number.
///
/// Two positions are the same when all coordinates are equal as numbers: −0.0 is 0.0, and is
/// stored as that. The result depends on the sequence of positions alone.
///
/// Assumptions: coordinates are no NaN (each NaN would be a position of its own).
#[derive(Debug, Clone, Default)]
pub struct Welder {
    positions: Vec<Vec3>,
    numbers: HashTable<u32>,
}

impl Welder {
    /// An empty welder with room for this many distinct positions.
    pub fn with_room_for(positions: usize) -> Self {
        Self {
            positions: Vec::with_capacity(positions),
            numbers: HashTable::with_capacity(positions),
        }
    }

    /// Makes room for this many distinct positions in all.
    pub fn make_room_for(&mut self, positions: usize) {
        let more = positions.saturating_sub(self.positions.len());
        self.positions.reserve_exact(more);
        self.numbers.reserve(more, |&n| hash(self.positions[n as usize]));
    }

    /// The number of this position, a new one if it was not seen before.
    ///
    /// # Errors
    /// [`TooManyPositions`] when the numbers run out.
    pub fn number(&mut self, position: Vec3) -> Result<u32, TooManyPositions> {
        // Adding 0.0 turns −0.0 into 0.0 and changes nothing else.
        let position = position + Vec3::ZERO;
        let positions = &mut self.positions;
        let entry = self.numbers.entry(
            hash(position),
            |&n| positions[n as usize] == position,
            |&n| hash(positions[n as usize]),
        );
        match entry {
            Entry::Occupied(seen) => Ok(*seen.get()),
            Entry::Vacant(place) => {
                let number = u32::try_from(positions.len()).map_err(|_| TooManyPositions)?;
                place.insert(number);
                positions.push(position);
                Ok(number)
            }
        }
    }

    /// The distinct positions so far, in order of first appearance.
    pub fn positions(&self) -> &[Vec3] {
        &self.positions
    }

    /// The distinct positions, in order of first appearance.
    pub fn into_positions(self) -> Vec<Vec3> {
        self.positions
    }
}

/// The seed is fixed so that a run is the same every time; no answer depends on it.
#[inline]
fn hash(position: Vec3) -> u64 {
    let mut hasher = FixedState::with_seed(0).build_hasher();
    for coordinate in position.to_array() {
        hasher.write_u64(coordinate.to_bits());
    }
    hasher.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_follow_first_appearance_and_negative_zero_is_zero() {
        let mut welder = Welder::default();
        let given = [
            Vec3::new(0.0, -0.0, 1.0),
            Vec3::new(5.0, 0.0, 1.0),
            Vec3::new(-0.0, 0.0, 1.0),
            Vec3::new(0.0, f64::MIN_POSITIVE, 1.0),
            Vec3::new(5.0, -0.0, 1.0),
        ];
        let numbers = given.map(|p| welder.number(p).unwrap());
        assert_eq!(numbers, [0, 1, 0, 2, 1]);
        let bits = welder.into_positions()[0].to_array().map(f64::to_bits);
        assert_eq!(bits, [0.0, 0.0, 1.0].map(f64::to_bits));
    }

    #[test]
    fn growing_the_table_keeps_all_numbers() {
        let mut welder = Welder::default();
        let point = |i: u32| Vec3::new(f64::from(i % 17), f64::from(i), 0.25);
        for i in 0..10_000 {
            assert_eq!(welder.number(point(i)), Ok(i));
        }
        for i in 0..10_000 {
            assert_eq!(welder.number(point(i)), Ok(i));
        }
    }
}
