//! The mesh with every triangle that meets another cut along their common lines.

use std::collections::{BTreeMap, BTreeSet};

use spade::{ConstrainedDelaunayTriangulation, HasPosition, Point2, Triangulation};

use super::cut::{Meeting, clipped, meeting};
use super::lines::Lines;
use super::points::Points;
use crate::mesh::{EdgeTable, Mesh, Patches, Vec3, Work, area_vector_doubled, triangle_area};

/// The cut mesh.
pub struct Pieces {
    /// Uncut triangles and the pieces of cut ones.
    pub mesh: Mesh,
    /// The triangle of the whole mesh that each is a piece of.
    pub of: Vec<u32>,
    /// Area of the triangles that were cut, mm².
    pub cut_area_mm2: f64,
}

/// Lines to cut each triangle along, as names of their ends.
type Cuts = BTreeMap<u32, Vec<[u32; 2]>>;
/// Corners on the inside of an edge, from its lower name on.
type OnEdges = BTreeMap<[u32; 2], Vec<u32>>;

impl Pieces {
    /// Cuts the triangles of a closed mesh; `None` where a triangle can't be cut, or all `work`
    /// is done.
    pub fn new(
        mesh: &Mesh,
        edges: &EdgeTable,
        patches: &Patches,
        reach: f64,
        work: &Work,
    ) -> Option<Self> {
        let mut points = Points::new(mesh.vertices(), reach);
        let lines = lines(mesh, patches, &mut points, reach);
        let on_edges = corners_on_edges(mesh, edges, &lines, &points, 2.0 * reach);
        let mut cut: BTreeSet<u32> = lines.keys().copied().collect();
        for [low, high] in on_edges.keys() {
            cut.extend(edges.between(*low, *high)?.half_edges().map(|h| h / 3));
        }
        let (mut triangles, mut of, mut cut_area_mm2) = (Vec::new(), Vec::new(), 0.0);
        for (t, corners) in (0u32..).zip(mesh.triangles()) {
            if !cut.contains(&t) {
                let [a, b, c] = corners.map(|v| points.known_as(v));
                if a != b && b != c && c != a {
                    triangles.push([a, b, c]);
                    of.push(t);
                }
                continue;
            }
            cut_area_mm2 += triangle_area(mesh.corners(t as usize));
            let none = Vec::new();
            let own = Triangle::new(mesh, t, &on_edges, &points);
            let parts = own.pieces(lines.get(&t).unwrap_or(&none), &mut points, work)?;
            of.extend(parts.iter().map(|_| t));
            triangles.extend(parts);
        }
        Some(Self { mesh: Mesh { vertices: points.places, triangles }, of, cut_area_mm2 })
    }
}

/// The lines along which triangles meet, under both their numbers.
fn lines(mesh: &Mesh, patches: &Patches, points: &mut Points, reach: f64) -> Cuts {
    let mut met = patches.touching_pairs(reach, &Work::unlimited(), |a, b, found| {
        if let Some(meeting) = meeting(a, b, reach) {
            found.push((a.number.min(b.number), a.number.max(b.number), meeting));
        }
    });
    met.sort_by_key(|(a, b, _)| (*a, *b));
    for (a, b, _) in &met {
        mesh.triangles()[*a as usize].iter().for_each(|v| points.note(*v));
        mesh.triangles()[*b as usize].iter().for_each(|v| points.note(*v));
    }
    let mut lines = Cuts::new();
    for (a, b, meeting) in met {
        match meeting {
            Meeting::Line(ends) => {
                let ends = ends.map(|p| points.name(p));
                lines.entry(a).or_default().push(ends);
                lines.entry(b).or_default().push(ends);
            }
            Meeting::Plane => {
                for (own, other) in [(a, b), (b, a)] {
                    let (own_corners, corners) =
                        (mesh.corners(own as usize), mesh.corners(other as usize));
                    let normal = area_vector_doubled(own_corners);
                    let list = lines.entry(own).or_default();
                    for k in 0..3 {
                        let side = [corners[k], corners[(k + 1) % 3]];
                        if let Some(ends) = clipped(side, &own_corners, normal, reach) {
                            list.push(ends.map(|p| points.name(p)));
                        }
                    }
                }
            }
        }
    }
    for list in lines.values_mut() {
        list.iter_mut().for_each(|ends| ends.sort_unstable());
        list.retain(|[p, q]| p != q);
        list.sort_unstable();
        list.dedup();
    }
    lines
}

/// The ends of lines that lie on an edge, so that both its triangles are cut there.
fn corners_on_edges(
    mesh: &Mesh,
    edges: &EdgeTable,
    lines: &Cuts,
    points: &Points,
    reach: f64,
) -> OnEdges {
    let mut on_edges = OnEdges::new();
    for (t, list) in lines {
        let names: BTreeSet<u32> = list.iter().flatten().copied().collect();
        let corners = mesh.triangles()[*t as usize];
        for k in 0..3 {
            let (a, b) = (corners[k], corners[(k + 1) % 3]);
            let key = [a.min(b), a.max(b)];
            let [p, q] = key.map(|v| mesh.vertices()[v as usize]);
            let along = q - p;
            let ends = key.map(|v| points.known_as(v));
            for name in names.iter().filter(|n| !ends.contains(n)) {
                let d = points.places[*name as usize] - p;
                let share = d.dot(along) / along.length_squared();
                if share > 0.0 && share < 1.0 && (d - along * share).length() <= reach {
                    on_edges.entry(key).or_default().push(*name);
                }
            }
        }
    }
    for ([low, high], names) in &mut on_edges {
        let (p, q) = (mesh.vertices()[*low as usize], mesh.vertices()[*high as usize]);
        let along = |name: &u32| (points.places[*name as usize] - p).dot(q - p);
        names.sort_by(|m, n| along(m).total_cmp(&along(n)).then(m.cmp(n)));
        names.dedup();
        debug_assert!(edges.between(*low, *high).is_some());
    }
    on_edges
}

/// A triangle about to be cut, seen along its normal.
struct Triangle {
    /// Names along each side, from corner to corner.
    sides: [Vec<u32>; 3],
    origin: Vec3,
    normal: Vec3,
    /// The two axes that are kept, in an order that leaves it counter-clockwise.
    axes: [usize; 2],
}

/// A corner in the plane; new ones have no name yet.
#[derive(Clone, Copy)]
struct Corner {
    at: Point2<f64>,
    name: Option<u32>,
}

impl HasPosition for Corner {
    type Scalar = f64;

    fn position(&self) -> Point2<f64> {
        self.at
    }
}

impl Triangle {
    fn new(mesh: &Mesh, t: u32, on_edges: &OnEdges, points: &Points) -> Self {
        let corners = mesh.triangles()[t as usize];
        let side = |k: usize| {
            let (a, b) = (corners[k], corners[(k + 1) % 3]);
            let mut between = on_edges.get(&[a.min(b), a.max(b)]).cloned().unwrap_or_default();
            if a > b {
                between.reverse();
            }
            let ends = [a, b].map(|v| points.known_as(v));
            std::iter::once(ends[0]).chain(between).chain([ends[1]]).collect()
        };
        let normal = area_vector_doubled(mesh.corners(t as usize));
        let size = normal.abs();
        let dropped = match size.max_element() {
            m if m == size.z => 2,
            m if m == size.y => 1,
            _ => 0,
        };
        let axes = [(dropped + 1) % 3, (dropped + 2) % 3];
        let axes = if normal[dropped] > 0.0 { axes } else { [axes[1], axes[0]] };
        Self {
            sides: [side(0), side(1), side(2)],
            origin: mesh.corners(t as usize)[0],
            normal,
            axes,
        }
    }

    fn flat(&self, p: Vec3) -> Point2<f64> {
        let d = p - self.origin;
        let tame = |x: f64| if x.abs() < 1e-100 { 0.0 } else { x };
        Point2::new(tame(d[self.axes[0]]), tame(d[self.axes[1]]))
    }

    /// A point of the plane in space.
    fn lifted(&self, at: Point2<f64>) -> Vec3 {
        let dropped = 3 - self.axes[0] - self.axes[1];
        let mut d = Vec3::ZERO;
        d[self.axes[0]] = at.x;
        d[self.axes[1]] = at.y;
        d[dropped] = -self.normal.dot(d) / self.normal[dropped];
        self.origin + d
    }

    /// The triangle cut along its sides' corners and the lines.
    fn pieces(
        &self,
        lines: &[[u32; 2]],
        points: &mut Points,
        work: &Work,
    ) -> Option<Vec<[u32; 3]>> {
        let mut cdt = ConstrainedDelaunayTriangulation::<Corner>::new();
        let mut handles = BTreeMap::new();
        let on_one_side = |line: &&[u32; 2]| {
            self.sides.iter().any(|side| line.iter().all(|name| side.contains(name)))
        };
        let inner: Vec<[u32; 2]> =
            lines.iter().filter(|line| !on_one_side(line)).copied().collect();
        for name in self.sides.iter().flatten().chain(inner.iter().flatten()) {
            if !handles.contains_key(name) {
                let at = self.flat(points.places[*name as usize]);
                handles.insert(*name, cdt.insert(Corner { at, name: Some(*name) }).ok()?);
            }
        }
        let pairs = self.sides.iter().flat_map(|side| side.windows(2).map(|w| [w[0], w[1]]));
        let all: Vec<[u32; 2]> = pairs.chain(inner).collect();
        let mut net = Lines::new(&mut cdt, all.len(), work);
        for [p, q] in all {
            net.lay(handles[&p], handles[&q], &|at| Corner { at, name: None })?;
        }
        let outside = outside(&cdt);
        let mut named: BTreeMap<usize, u32> = BTreeMap::new();
        for vertex in cdt.vertices() {
            let corner = vertex.data();
            let name = match corner.name {
                Some(name) => name,
                None => points.name(self.lifted(corner.at)),
            };
            named.insert(vertex.fix().index(), name);
        }
        let pieces = cdt
            .inner_faces()
            .filter(|face| !outside.contains(&face.fix().index()))
            .map(|face| face.vertices().map(|v| named[&v.fix().index()]))
            .filter(|[a, b, c]| a != b && b != c && c != a);
        Some(pieces.collect())
    }
}

/// Faces between the hull and a triangle's own sides, which rounding bends.
fn outside(cdt: &ConstrainedDelaunayTriangulation<Corner>) -> BTreeSet<usize> {
    let mut outside = BTreeSet::from([cdt.outer_face().fix().index()]);
    let mut next: Vec<_> = cdt
        .convex_hull()
        .filter(|edge| !edge.is_constraint_edge())
        .flat_map(|edge| [edge, edge.rev()])
        .filter_map(|edge| edge.face().as_inner())
        .collect();
    while let Some(face) = next.pop() {
        if !outside.insert(face.fix().index()) {
            continue;
        }
        for edge in face.adjacent_edges() {
            if !edge.is_constraint_edge()
                && let Some(beyond) = edge.rev().face().as_inner()
            {
                next.push(beyond);
            }
        }
    }
    outside
}
