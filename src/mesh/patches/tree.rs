//! An eight-fold tree of boxes and coins over patches that lie in order along a curve.

use rayon::prelude::*;

use crate::mesh::Vec3;

use super::PATCH;
use super::coin::Coin;

/// Children of a node.
const BRANCH: usize = 8;
/// Up to this level coins are laid around the triangles themselves; above, around coins.
const COINS_OF_TRIANGLES: usize = 2;

/// A node: what bounds the triangles under it.
#[derive(Debug, Clone, Copy)]
pub struct Node {
    /// Lowest corner of the box, mm.
    pub low: Vec3,
    /// Highest corner of the box, mm.
    pub high: Vec3,
    /// A flat body around the same triangles.
    pub coin: Coin,
}

impl Node {
    /// No triangle under this node is nearer to `p` than the square root of this; the coin is
    /// looked at only where the box alone is nearer than `limit`.
    fn bound(&self, p: Vec3, limit: f64) -> f64 {
        let from_box = (self.low - p).max(p - self.high).max(Vec3::ZERO).length_squared();
        if from_box >= limit { from_box } else { from_box.max(self.coin.distance_squared(p)) }
    }
}

/// Levels of nodes, patches first; the last level is the root alone. Child `k` of node `i` is
/// node `8 i + k` one level down, so no links are kept.
#[derive(Debug)]
pub struct Tree {
    levels: Vec<Vec<Node>>,
}

impl Tree {
    /// Builds the tree over triangles that stand in patches of `PATCH`.
    pub fn new(corners: &[[Vec3; 3]]) -> Self {
        let patches: Vec<Node> = corners.par_chunks(PATCH).map(node_around).collect();
        let mut levels = vec![patches];
        let mut span = PATCH;
        while let Some(below) = levels.last().filter(|l| l.len() > 1) {
            span *= BRANCH;
            let exact = levels.len() <= COINS_OF_TRIANGLES;
            let level = below
                .par_chunks(BRANCH)
                .enumerate()
                .map(|(k, children)| {
                    let end = ((k + 1) * span).min(corners.len());
                    let (low, high) = children
                        .iter()
                        .fold((Vec3::INFINITY, Vec3::NEG_INFINITY), |(low, high), n| {
                            (low.min(n.low), high.max(n.high))
                        });
                    let coin = if exact {
                        Coin::around(&corners[k * span..end])
                    } else {
                        let coins: Vec<Coin> = children.iter().map(|n| n.coin).collect();
                        Coin::around_coins(&coins)
                    };
                    Node { low, high, coin }
                })
                .collect();
            levels.push(level);
        }
        Self { levels }
    }

    /// The patches' own bounds.
    pub fn patches(&self) -> &[Node] {
        &self.levels[0]
    }

    /// Calls `visit` with every patch under nodes that `enter` lets through.
    pub fn descend(&self, enter: impl Fn(&Node) -> bool, mut visit: impl FnMut(u32)) {
        let top = self.levels.len() - 1;
        let mut stack: Vec<(u32, u32)> = self.root(top);
        while let Some((level, node)) = stack.pop() {
            if !enter(&self.levels[level as usize][node as usize]) {
                continue;
            }
            if level == 0 {
                visit(node);
            } else {
                stack.extend(self.children(level, node).rev().map(|c| (level - 1, c)));
            }
        }
    }

    /// Visits patches in about the order of their distance from `p`. `visit` is given a patch
    /// and returns the squared distance beyond which nothing is wanted any more; `limit` is the
    /// first such.
    pub fn nearest_first(&self, p: Vec3, limit: f64, mut visit: impl FnMut(u32) -> f64) {
        let mut limit = limit;
        let top = self.levels.len() - 1;
        let mut stack: Vec<(f64, u32, u32)> =
            self.root(top).into_iter().map(|(level, node)| (0.0, level, node)).collect();
        while let Some((bound, level, node)) = stack.pop() {
            if bound >= limit {
                continue;
            }
            if level == 0 {
                limit = visit(node);
                continue;
            }
            let first = stack.len();
            for child in self.children(level, node) {
                let bound = self.levels[level as usize - 1][child as usize].bound(p, limit);
                if bound < limit {
                    stack.push((bound, level - 1, child));
                }
            }
            stack[first..].sort_unstable_by(|a, b| b.0.total_cmp(&a.0));
        }
    }

    fn root(&self, top: usize) -> Vec<(u32, u32)> {
        let mut stack = Vec::with_capacity(BRANCH * self.levels.len());
        stack.extend((0..self.levels[top].len() as u32).map(|node| (top as u32, node)));
        stack
    }

    fn children(&self, level: u32, node: u32) -> std::ops::Range<u32> {
        let below = self.levels[level as usize - 1].len() as u32;
        let first = node * BRANCH as u32;
        first..(first + BRANCH as u32).min(below)
    }
}

fn node_around(triangles: &[[Vec3; 3]]) -> Node {
    let (low, high) = triangles
        .iter()
        .flatten()
        .fold((Vec3::INFINITY, Vec3::NEG_INFINITY), |(low, high), p| (low.min(*p), high.max(*p)));
    Node { low, high, coin: Coin::around(triangles) }
}
