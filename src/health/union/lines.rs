//! Lines laid into a triangulation, split where they cross.

use spade::handles::FixedVertexHandle;
use spade::{ConstrainedDelaunayTriangulation, HasPosition, Point2, Triangulation};

use crate::mesh::Work;

/// Nearer to an end than this share of a line's length, a crossing is that end.
const AT_END: f64 = 1e-13;

/// Lays lines one after the other.
///
/// The crate's own way to split lines where they cross can run into a state that it takes for a
/// mistake of its own and ends the program. Here only its exact operations are used, and what they
/// can't do is told.
pub struct Lines<'a, V: HasPosition<Scalar = f64>> {
    net: &'a mut ConstrainedDelaunayTriangulation<V>,
    /// Crossings that may still be met: far more than there can be, so that rounding can't go on
    /// without end.
    left: usize,
    work: &'a Work,
}

/// A crossing of two lines counts as so many steps of work: a corner and several pieces, which take
/// about 1 KiB, and later a look at each.
const WORK_CROSSED: usize = 500;

impl<'a, V: HasPosition<Scalar = f64>> Lines<'a, V> {
    /// For so many lines.
    pub fn new(
        net: &'a mut ConstrainedDelaunayTriangulation<V>,
        lines: usize,
        work: &'a Work,
    ) -> Self {
        let left = lines.saturating_mul(lines).saturating_mul(4).saturating_add(1000);
        Self { net, left, work }
    }

    /// Lays a line between two corners; `make` makes a corner where it crosses another. `None`
    /// where rounding keeps the lines from being laid, or the work is over.
    pub fn lay(
        &mut self,
        from: FixedVertexHandle,
        to: FixedVertexHandle,
        make: &impl Fn(Point2<f64>) -> V,
    ) -> Option<()> {
        let mut wanted = vec![[from, to]];
        while let Some([p, q]) = wanted.pop() {
            if p == q || !self.net.try_add_constraint(p, q).is_empty() {
                continue;
            }
            self.left = self.left.checked_sub(1)?;
            self.work.add(WORK_CROSSED);
            if self.work.is_over() {
                return None;
            }
            let crossed = self.net.get_conflicting_edges_between_vertices(p, q).next()?;
            let [a, b] = crossed.vertices().map(|v| v.fix());
            let middle = self.crossing([p, q], [a, b], make)?;
            wanted.extend([[middle, q], [p, middle]].into_iter().filter(|[u, v]| u != v));
            if middle == p || middle == q {
                wanted.push([p, q]);
            }
            if middle != a && middle != b {
                // Exactly on the line, the corner has split it already.
                if let Some(edge) = self.net.get_edge_from_neighbors(a, b) {
                    let edge = edge.as_undirected().fix();
                    self.net.remove_constraint_edge(edge);
                    wanted.extend([[a, middle], [middle, b]]);
                }
            }
        }
        Some(())
    }

    /// The corner where two lines cross: one of their ends, one that stands there, or a new one.
    fn crossing(
        &mut self,
        line: [FixedVertexHandle; 2],
        other: [FixedVertexHandle; 2],
        make: &impl Fn(Point2<f64>) -> V,
    ) -> Option<FixedVertexHandle> {
        let place = |v: FixedVertexHandle| self.net.vertex(v).position();
        let ([p, q], [a, b]) = (line.map(place), other.map(place));
        let along = [q.x - p.x, q.y - p.y];
        let across = [b.x - a.x, b.y - a.y];
        let area = along[0] * across[1] - along[1] * across[0];
        let share = ((a.x - p.x) * across[1] - (a.y - p.y) * across[0]) / area;
        if !share.is_finite() {
            return Some(other[0]); // So flat an angle that any of its points will do.
        }
        let share = share.clamp(0.0, 1.0);
        let at = Point2::new(p.x + share * along[0], p.y + share * along[1]);
        let size = |v: [f64; 2]| v[0].hypot(v[1]);
        let near = AT_END * size(along).max(size(across));
        let ends = [(a, other[0]), (b, other[1]), (p, line[0]), (q, line[1])];
        let at_end = ends.iter().find(|(end, _)| size([end.x - at.x, end.y - at.y]) <= near);
        if let Some((_, end)) = at_end {
            return Some(*end);
        }
        match self.net.locate_vertex(at) {
            Some(there) => Some(there.fix()),
            None => self.net.insert(make(at)).ok(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Four lines through nearly one point: they are laid, whatever is made of the crossings.
    #[test]
    fn lines_that_cross_are_split_there() {
        let mut net = ConstrainedDelaunayTriangulation::<Point2<f64>>::new();
        let around = |k: u32, off: f64| {
            let angle = f64::from(k) * std::f64::consts::TAU / 8.0;
            Point2::new(angle.cos() + off, angle.sin())
        };
        for off in [0.0, 1e-16, 1e-12, 0.1] {
            net.clear();
            let ends: Vec<_> = (0..8)
                .map(|k| net.insert(around(k, off * f64::from(k))).expect("a plain point"))
                .collect();
            let work = Work::unlimited();
            let mut lines = Lines::new(&mut net, 4, &work);
            for k in 0..4 {
                lines.lay(ends[k], ends[k + 4], &|at| at).expect("they can be laid");
            }
            let at_ends = |v: &FixedVertexHandle| {
                net.vertex(*v).out_edges().any(|edge| edge.is_constraint_edge())
            };
            assert!(ends.iter().all(at_ends), "{off}");
            assert!(net.num_constraints() >= 8, "{off}: {}", net.num_constraints());
        }
    }
}
