//! Pairs of triangles that come close.

use std::cell::Cell;

use rayon::prelude::*;

use crate::mesh::Vec3;

use super::{PATCH, Patches, Placed, boxes_touch, crowd};

/// Patches whose pairs are looked for together.
const GROUP: usize = 8;

/// A group whose box touches more patches than this is looked at by space rather than by boxes.
/// Around 50 is usual; long needles, and fans of them, touch nearly all of their like.
const CROWD: usize = 256;

impl Patches {
    /// Every pair of different triangles that may meet, lower number first, each once, visited
    /// from many threads at once; the results come in a fixed order. `visit` may push one result.
    ///
    /// Left out is what can't meet: triangles whose boxes don't touch, and in crowds also those
    /// whose parts in no small box do, or that lie in different directions from a common corner.
    /// What lies within `reach_mm` of one another counts as meeting there.
    pub fn touching_pairs<T: Send>(
        &self,
        reach_mm: f64,
        visit: impl Fn(&Placed, &Placed, &mut Vec<T>) + Sync,
    ) -> Vec<T> {
        let groups = self.tree.patches().len().div_ceil(GROUP);
        let found: Vec<Option<Vec<T>>> =
            (0..groups).into_par_iter().map(|group| self.pairs_from(group, &visit)).collect();
        let crowded: Vec<bool> = found.iter().map(Option::is_none).collect();
        let mut found: Vec<T> = found.into_iter().flatten().flatten().collect();
        if crowded.contains(&true) {
            let across: Vec<Vec<T>> = (0..groups)
                .into_par_iter()
                .filter(|group| !crowded[*group])
                .map(|group| self.pairs_back_to(&crowded, group, &visit))
                .collect();
            found.extend(across.into_iter().flatten());
            let placed: Vec<Placed> = (0..groups)
                .filter(|group| crowded[*group])
                .flat_map(|group| self.own(group))
                .flat_map(|patch| self.range(patch as u32))
                .map(|k| self.placed(k))
                .collect();
            found.extend(crowd::pairs(&placed, reach_mm, &visit));
        }
        found
    }

    fn own(&self, group: usize) -> std::ops::Range<usize> {
        group * GROUP..((group + 1) * GROUP).min(self.tree.patches().len())
    }

    /// The patches whose boxes touch a group's, or more than [`CROWD`] of them.
    fn others(&self, group: usize) -> Vec<u32> {
        let (low, high) = self.tree.patches()[self.own(group)]
            .iter()
            .fold((Vec3::INFINITY, Vec3::NEG_INFINITY), |(low, high), n| {
                (low.min(n.low), high.max(n.high))
            });
        let mut others = Vec::new();
        let met = Cell::new(0);
        self.tree.descend(
            |node| met.get() <= CROWD && boxes_touch(node.low, node.high, low, high),
            |other| {
                met.set(met.get() + 1);
                others.push(other);
            },
        );
        others
    }

    /// The pairs of which one lies in this group of patches and the other in it or a later one;
    /// `None` where the group stands in a crowd.
    fn pairs_from<T>(
        &self,
        group: usize,
        visit: &impl Fn(&Placed, &Placed, &mut Vec<T>),
    ) -> Option<Vec<T>> {
        let others = self.others(group);
        if others.len() > CROWD {
            return None;
        }
        let mut found = Vec::new();
        for patch in self.own(group) {
            for other in others.iter().filter(|other| **other as usize >= patch) {
                self.pairs_of_patches(patch as u32, *other, visit, &mut found);
            }
        }
        Some(found)
    }

    /// The pairs of which one lies in this group and the other in an earlier one that stands in a
    /// crowd, and so did not look ahead.
    fn pairs_back_to<T>(
        &self,
        crowded: &[bool],
        group: usize,
        visit: &impl Fn(&Placed, &Placed, &mut Vec<T>),
    ) -> Vec<T> {
        let mut found = Vec::new();
        for other in self.others(group) {
            let theirs = other as usize / GROUP;
            if theirs < group && crowded[theirs] {
                for patch in self.own(group) {
                    self.pairs_of_patches(other, patch as u32, visit, &mut found);
                }
            }
        }
        found
    }

    /// The pairs between two patches, the earlier one first.
    fn pairs_of_patches<T>(
        &self,
        here: u32,
        there: u32,
        visit: &impl Fn(&Placed, &Placed, &mut Vec<T>),
        found: &mut Vec<T>,
    ) {
        let nodes = self.tree.patches();
        let (node, other) = (&nodes[here as usize], &nodes[there as usize]);
        if !boxes_touch(node.low, node.high, other.low, other.high) {
            return;
        }
        let placed = |patch: u32, low: Vec3, high: Vec3| {
            let mut near = [None; PATCH];
            let within = self.range(patch).map(|k| self.placed(k));
            let within = within.filter(|t| boxes_touch(t.low, t.high, low, high));
            near.iter_mut().zip(within).for_each(|(place, t)| *place = Some(t));
            near
        };
        let theirs = placed(there, node.low, node.high);
        for a in placed(here, other.low, other.high).iter().flatten() {
            for b in theirs.iter().flatten().filter(|b| b.number > a.number) {
                if boxes_touch(a.low, a.high, b.low, b.high) {
                    visit(a, b, found);
                }
            }
        }
    }
}
