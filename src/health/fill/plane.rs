//! Triangulation of a ring seen along its plane's normal.

use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};

/// A point in the plane, about as large as 1.
pub type Flat = [f64; 2];

/// The constrained Delaunay triangulation of a simple ring (counter-clockwise) with points inside
/// it, the ring's corners numbered first. `None` where the ring touches or crosses itself.
pub fn delaunay(ring: &[Flat], inner: &[Flat]) -> Option<Vec<[u32; 3]>> {
    let mut net = ConstrainedDelaunayTriangulation::<Point2<f64>>::new();
    // Numbers so small that their products vanish are not taken.
    let tidy = |x: f64| if x.abs() < 1e-30 { 0.0 } else { x };
    let mut corners = Vec::with_capacity(ring.len());
    for (k, [x, y]) in ring.iter().chain(inner).enumerate() {
        let corner = net.insert(Point2::new(tidy(*x), tidy(*y))).ok()?;
        if corner.index() != k {
            return None; // Two corners at one place.
        }
        corners.push(corner);
    }
    let n = ring.len();
    let mut sides = Vec::with_capacity(n);
    for k in 0..n {
        let [from, to] = [corners[k], corners[(k + 1) % n]];
        net.try_add_constraint(from, to);
        sides.push([from, to]);
    }
    let mut inside = vec![false; net.num_all_faces()];
    let mut queue = Vec::new();
    for [from, to] in sides {
        // A side that crosses another was not added; one through a third corner was cut there.
        let side = net.get_edge_from_neighbors(from, to)?;
        if !side.is_constraint_edge() {
            return None;
        }
        queue.push(side.face().fix());
    }
    let mut triangles = Vec::new();
    while let Some(face) = queue.pop() {
        if std::mem::replace(&mut inside[face.index()], true) {
            continue;
        }
        let face = net.face(face).as_inner()?;
        triangles.push(face.vertices().map(|v| v.fix().index() as u32));
        let across = face.adjacent_edges().into_iter().filter(|e| !e.is_constraint_edge());
        queue.extend(across.map(|e| e.rev().face().fix()));
    }
    // A ring wound otherwise than once round leaves another number.
    (triangles.len() == n + 2 * inner.len() - 2).then_some(triangles)
}

#[cfg(test)]
mod tests {
    use super::*;

    const NOTCHED: [Flat; 5] = [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [1.0, 0.5], [0.0, 2.0]];

    #[test]
    fn a_notched_ring_is_filled_inside_only() {
        let area = |t: &[u32; 3], at: &dyn Fn(u32) -> Flat| {
            let [a, b, c] = t.map(at);
            0.5 * ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))
        };
        let inner = [[0.3, 0.2], [1.7, 0.9]];
        let at = |v: u32| if v < 5 { NOTCHED[v as usize] } else { inner[v as usize - 5] };
        let found = delaunay(&NOTCHED, &inner).unwrap();
        assert_eq!(found.len(), 7);
        let areas: Vec<f64> = found.iter().map(|t| area(t, &at)).collect();
        assert!(areas.iter().all(|a| *a > 0.0));
        assert!((areas.iter().sum::<f64>() - 2.5).abs() < 1e-12);
    }

    #[test]
    fn a_ring_that_crosses_itself_or_runs_the_wrong_way_is_not_filled() {
        let bow_tie = [[0.0, 0.0], [1.0, 1.0], [1.0, 0.0], [0.0, 1.0]];
        assert_eq!(delaunay(&bow_tie, &[]), None);
        let mut reversed = NOTCHED;
        reversed.reverse();
        assert_eq!(delaunay(&reversed, &[]), None);
    }
}
