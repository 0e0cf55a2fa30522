//! Pairs of triangles that come close.

use std::cell::Cell;

use rayon::prelude::*;

use crate::mesh::Vec3;

use super::{PATCH, Patches, Placed, Work, boxes_touch, crowd};

/// Patches whose pairs are looked for together.
const GROUP: usize = 8;

/// A group whose box touches more patches than this is looked at by space rather than by boxes.
/// Long needles, and fans of them, touch nearly all of their like.
const CROWD: usize = 128;

impl Patches {
    /// Every pair of different triangles that may meet, lower number first, each once, visited
    /// from many threads at once; the results come in a fixed order. `visit` may push one result.
    ///
    /// Left out is what can't meet: triangles whose boxes don't touch, and in crowds also those
    /// whose parts in no small box do, or that lie in different directions from a common corner.
    /// What lies within `reach_mm` of one another counts as meeting there.
    ///
    /// Each pair is a step of `work`; once that is over the search ends, and what is found is not
    /// all there is.
    pub fn touching_pairs<T: Send>(
        &self,
        reach_mm: f64,
        work: &Work,
        visit: impl Fn(&Placed, &Placed, &mut Vec<T>) + Sync,
    ) -> Vec<T> {
        let groups = self.tree.patches().len().div_ceil(GROUP);
        let found: Vec<Option<Vec<T>>> =
            (0..groups).into_par_iter().map(|group| self.pairs_from(group, work, &visit)).collect();
        let crowded: Vec<bool> = found.iter().map(Option::is_none).collect();
        let mut found: Vec<T> = found.into_iter().flatten().flatten().collect();
        if crowded.contains(&true) {
            let across: Vec<Vec<T>> = (0..groups)
                .into_par_iter()
                .filter(|group| !crowded[*group])
                .map(|group| self.pairs_back_to(&crowded, group, work, &visit))
                .collect();
            found.extend(across.into_iter().flatten());
            let placed: Vec<Placed> = (0..groups)
                .filter(|group| crowded[*group])
                .flat_map(|group| self.own(group))
                .flat_map(|patch| self.range(patch as u32))
                .map(|k| self.placed(k))
                .collect();
            found.extend(crowd::pairs(&placed, reach_mm, work, &visit));
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
        work: &Work,
        visit: &impl Fn(&Placed, &Placed, &mut Vec<T>),
    ) -> Option<Vec<T>> {
        let others = self.others(group);
        if others.len() > CROWD {
            return None;
        }
        let (mut found, mut there) = (Vec::new(), Vec::with_capacity(PATCH));
        for patch in self.own(group) {
            let placed = self.placed_in(patch as u32);
            for other in others.iter().filter(|other| **other as usize >= patch) {
                let here = (patch as u32, &placed[..]);
                self.pairs_between(here, *other, &mut there, work, visit, &mut found);
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
        work: &Work,
        visit: &impl Fn(&Placed, &Placed, &mut Vec<T>),
    ) -> Vec<T> {
        let (mut found, mut there) = (Vec::new(), Vec::with_capacity(PATCH));
        for other in self.others(group) {
            let theirs = other as usize / GROUP;
            if theirs < group && crowded[theirs] {
                let placed = self.placed_in(other);
                for patch in self.own(group) {
                    let here = (other, &placed[..]);
                    self.pairs_between(here, patch as u32, &mut there, work, visit, &mut found);
                }
            }
        }
        found
    }

    fn placed_in(&self, patch: u32) -> Vec<Placed> {
        self.range(patch).map(|k| self.placed(k)).collect()
    }

    /// The pairs between the triangles of a patch and those of another, the earlier patch first.
    /// `there` is room to work in.
    fn pairs_between<T>(
        &self,
        (here, placed): (u32, &[Placed]),
        other: u32,
        there: &mut Vec<Placed>,
        work: &Work,
        visit: &impl Fn(&Placed, &Placed, &mut Vec<T>),
        found: &mut Vec<T>,
    ) {
        let nodes = self.tree.patches();
        let (here, other_node) = (&nodes[here as usize], &nodes[other as usize]);
        if work.is_over() || !boxes_touch(here.low, here.high, other_node.low, other_node.high) {
            return;
        }
        there.clear();
        there.extend(
            self.range(other)
                .map(|k| self.placed(k))
                .filter(|b| boxes_touch(b.low, b.high, here.low, here.high)),
        );
        let mut pairs = 0;
        for a in placed {
            for b in there.iter().filter(|b| b.number > a.number) {
                if boxes_touch(a.low, a.high, b.low, b.high) {
                    visit(a, b, found);
                    pairs += 1;
                }
            }
        }
        work.add(pairs);
    }
}
