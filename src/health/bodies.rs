//! Connected pieces of surface: which are outermost, which are voids, which are buried.

use rayon::prelude::*;

use crate::mesh::{Edge, EdgeTable, Mesh, Patches, Vec3, Work, area_vector_doubled, triangle_area};

use super::{Health, Repair, Unsound, sectors};

/// Surfaces that may be met in asking what holds each body, beside so many for each triangle.
const WORK_AT_LEAST: usize = 100_000_000;
const WORK_PER_TRIANGLE: usize = 2000;

/// The body that each triangle belongs to.
#[derive(Debug)]
pub struct Bodies {
    of_triangle: Vec<u32>,
    count: usize,
}

/// What is known of one body.
#[derive(Debug, Clone, Copy)]
struct Body {
    volume_mm3: f64,
    area_mm2: f64,
    triangles: usize,
    /// A triangle of it.
    seed: u32,
}

impl Bodies {
    /// Pieces connected over shared edges. Where more than two triangles meet along an edge,
    /// those belong together that enclose material between them (`sectors`), so bodies that only
    /// touch along an edge, in a corner or in a face are told apart.
    pub fn connected(mesh: &Mesh, edges: &EdgeTable) -> Self {
        let mut sets = DisjointSets::new(mesh.triangles().len());
        for edge in edges.iter() {
            let mut sides = edge.half_edges();
            match (sides.len(), sides.next(), sides.next()) {
                (2, Some(a), Some(b)) => sets.join(a / 3, b / 3),
                (3.., ..) => {
                    for [a, b] in sectors::of(mesh, &edge) {
                        sets.join(a / 3, b / 3);
                    }
                }
                _ => {}
            }
        }
        Self::from_sets(sets)
    }

    /// Closed bodies: every edge of each is run through as often one way as the other.
    ///
    /// # Errors
    /// [`Unsound::NotOrientable`] where an edge is run through more often one way than the
    /// other.
    pub fn closed(mesh: &Mesh, edges: &EdgeTable) -> Result<Self, Unsound> {
        let unbalanced = |edge: &Edge| {
            let (forward, back) = edge.directions(mesh);
            forward != back
        };
        match edges.iter().filter(|e| e.half_edges().len() > 2).find(unbalanced) {
            Some(edge) => {
                let place_mm = mesh.vertices()[edge.low as usize];
                Err(Unsound::NotOrientable { place_mm })
            }
            None => Ok(Self::connected(mesh, edges)),
        }
    }

    /// Sheets: pieces connected over edges that exactly two triangles share, and over no others.
    pub fn sheets(mesh: &Mesh, edges: &EdgeTable) -> Self {
        let mut sets = DisjointSets::new(mesh.triangles().len());
        for edge in edges.iter() {
            let mut sides = edge.half_edges();
            if let (2, Some(a), Some(b)) = (sides.len(), sides.next(), sides.next()) {
                sets.join(a / 3, b / 3);
            }
        }
        Self::from_sets(sets)
    }

    /// The body of a triangle.
    pub fn of(&self, triangle: usize) -> u32 {
        self.of_triangle[triangle]
    }

    /// The largest triangle of each.
    pub fn largest(&self, mesh: &Mesh) -> Vec<u32> {
        let mut largest = vec![(f64::NEG_INFINITY, 0u32); self.count];
        for (t, body) in (0u32..).zip(&self.of_triangle) {
            let area = triangle_area(mesh.corners(t as usize));
            if area > largest[*body as usize].0 {
                largest[*body as usize] = (area, t);
            }
        }
        largest.into_iter().map(|(_, t)| t).collect()
    }

    /// The triangles of each body.
    pub fn triangles(&self) -> Vec<Vec<u32>> {
        let mut triangles = vec![Vec::new(); self.count];
        for (t, body) in (0u32..).zip(&self.of_triangle) {
            triangles[*body as usize].push(t);
        }
        triangles
    }

    /// The share of a body's surface that lies in others that `holds` names, 0 to 1; 1 only where
    /// all of it does. `own` are its triangles. Judged a hair within its own surface, so that
    /// bodies which only touch it don't count, at up to so many triangles spread over it;
    /// `hair_mm` is negative for a body that faces outward.
    pub fn share_held(
        &self,
        own: &[u32],
        holds: &[bool],
        mesh: &Mesh,
        patches: &Patches,
        hair_mm: f64,
        work: &Work,
    ) -> f64 {
        const LOOKED_AT: usize = 50_000;
        let stride = own.len().div_ceil(LOOKED_AT).max(1);
        let judged = |t: u32| {
            if work.is_over() {
                return None;
            }
            let corners = mesh.corners(t as usize);
            let body = self.of(t as usize);
            let into = area_vector_doubled(corners).try_normalize()?;
            let [p, q, r] = corners;
            let around = self.around((p + q + r) / 3.0 + into * hair_mm, patches, work);
            let held = around.iter().any(|(o, _)| *o != body && holds[*o as usize]);
            Some((held, triangle_area(corners)))
        };
        let judged: Vec<_> = own.par_iter().step_by(stride).map(|t| judged(*t)).collect();
        let (mut held_mm2, mut free_mm2) = (0.0, 0.0);
        for (held, area_mm2) in judged.into_iter().flatten() {
            *if held { &mut held_mm2 } else { &mut free_mm2 } += area_mm2;
        }
        if held_mm2 > 0.0 { held_mm2 / (held_mm2 + free_mm2) } else { 0.0 }
    }

    /// How often each body winds about a point, those left out that don't. What is met on the way
    /// is counted as work.
    fn around(&self, p: Vec3, patches: &Patches, work: &Work) -> Vec<(u32, i32)> {
        let mut met: Vec<(u32, i32)> = Vec::new();
        patches.for_each_under(p, |t, step| met.push((self.of_triangle[t as usize], step)));
        work.add(met.len());
        met.sort_unstable_by_key(|(body, _)| *body);
        let sums = met.chunk_by(|a, b| a.0 == b.0).map(|steps| {
            let sum = steps.iter().map(|(_, step)| step).sum();
            (steps[0].0, sum)
        });
        sums.filter(|(_, sum)| *sum != 0).collect()
    }

    /// What each body encloses, negative where it faces inward, mm³.
    pub fn volumes_mm3(&self, mesh: &Mesh) -> Vec<f64> {
        self.measure(mesh).iter().map(|body| body.volume_mm3).collect()
    }

    /// How many there are.
    pub fn count(&self) -> usize {
        self.count
    }

    /// The number of the body that each triangle belongs to.
    pub fn of_triangle(&self) -> &[u32] {
        &self.of_triangle
    }

    /// What all bodies enclose, each counted as positive, mm³.
    pub fn enclosed_mm3(&self, mesh: &Mesh) -> f64 {
        self.measure(mesh).iter().map(|body| body.volume_mm3.abs()).sum()
    }

    fn from_sets(mut sets: DisjointSets) -> Self {
        let mut name = vec![u32::MAX; sets.parent.len()];
        let mut count = 0;
        let of_triangle = (0..sets.parent.len() as u32)
            .map(|t| {
                let root = sets.root(t) as usize;
                if name[root] == u32::MAX {
                    name[root] = count;
                    count += 1;
                }
                name[root]
            })
            .collect();
        Self { of_triangle, count: count as usize }
    }

    /// The surface of the union of all bodies: an outermost body that faces inward is turned
    /// over with all that it holds; a body inside another stays as it is, so one that faces
    /// inward is a void, and one that faces outward is buried and dropped.
    ///
    /// Assumptions: closed bodies that don't cross one another.
    /// # Errors
    /// [`Unsound::Empty`] where nothing is enclosed; [`Unsound::TooManyCrossings`] where so many
    /// lie within one another that it can't be told.
    pub fn unite(
        &self,
        mesh: Mesh,
        patches: &Patches,
        health: &mut Health,
    ) -> Result<Mesh, Unsound> {
        let bodies = self.measure(&mesh);
        let work = Work::on(mesh.triangles().len(), WORK_AT_LEAST, WORK_PER_TRIANGLE);
        // What holds each is asked again rather than kept: of bodies within one another it would
        // take room by the square of their number.
        let holders = |b: usize| self.holders(b as u32, &bodies, &mesh, patches, &work);
        let outermost = for_each_body(self.count, |b| holders(b).is_empty());
        let held_by = |b: usize| if outermost[b] { Vec::new() } else { holders(b) };
        let turned = for_each_body(self.count, |b| {
            let holder = held_by(b).into_iter().find(|h| outermost[*h as usize]);
            bodies[holder.map_or(b, |h| h as usize)].volume_mm3 < 0.0
        });
        let way = |b: usize| match bodies[b].volume_mm3 {
            0.0 => 0,
            v if (v > 0.0) != turned[b] => 1,
            _ => -1,
        };
        // A surface bounds the union where the winding number passes between 0 and 1.
        let kept = for_each_body(self.count, |b| {
            let outside: i32 = held_by(b).iter().map(|h| way(*h as usize)).sum();
            (outside >= 1) != (outside + way(b) >= 1)
        });
        if work.is_over() {
            return Err(Unsound::TooManyCrossings);
        }
        report(&bodies, &turned, &kept, &outermost, health);
        if !kept.contains(&true) {
            return Err(Unsound::Empty);
        }
        if !turned.contains(&true) && !kept.contains(&false) {
            return Ok(mesh);
        }
        let (vertices, triangles) = mesh.into_parts();
        let triangles = triangles
            .into_iter()
            .zip(&self.of_triangle)
            .filter(|(_, b)| kept[**b as usize])
            .map(|([a, b, c], body)| if turned[*body as usize] { [a, c, b] } else { [a, b, c] })
            .collect();
        Ok(Mesh { vertices, triangles })
    }

    fn measure(&self, mesh: &Mesh) -> Vec<Body> {
        if self.count == 1 {
            return vec![Body {
                volume_mm3: mesh.signed_volume_mm3(),
                area_mm2: mesh.area_mm2(),
                triangles: mesh.triangles().len(),
                seed: 0,
            }];
        }
        let none = Body { volume_mm3: 0.0, area_mm2: 0.0, triangles: 0, seed: u32::MAX };
        let mut bodies = vec![none; self.count];
        let origins = self.first_corners(mesh);
        for (t, b) in self.of_triangle.iter().enumerate() {
            let corners = mesh.corners(t);
            let [a, b_, c] = corners.map(|p| p - origins[*b as usize]);
            let body = &mut bodies[*b as usize];
            body.volume_mm3 += a.dot(b_.cross(c)) / 6.0;
            body.area_mm2 += triangle_area(corners);
            body.triangles += 1;
            body.seed = body.seed.min(t as u32);
        }
        bodies
    }

    fn first_corners(&self, mesh: &Mesh) -> Vec<Vec3> {
        let mut origins = vec![None; self.count];
        for (t, b) in self.of_triangle.iter().enumerate() {
            origins[*b as usize].get_or_insert(mesh.corners(t)[0]);
        }
        origins.into_iter().map(Option::unwrap_or_default).collect()
    }

    /// The bodies that hold body `b`, found on a line straight down from the middle of one of
    /// its triangles: a corner might lie on a body that only touches this one.
    fn holders(
        &self,
        b: u32,
        bodies: &[Body],
        mesh: &Mesh,
        patches: &Patches,
        work: &Work,
    ) -> Vec<u32> {
        if self.count == 1 || work.is_over() {
            return Vec::new();
        }
        let [p, q, r] = mesh.corners(bodies[b as usize].seed as usize);
        let p = (p + q + r) / 3.0;
        let around = self.around(p, patches, work);
        around.into_iter().map(|(other, _)| other).filter(|other| *other != b).collect()
    }
}

/// An answer for every body, in order.
fn for_each_body<T: Send>(count: usize, answer: impl Fn(usize) -> T + Send + Sync) -> Vec<T> {
    (0..count).into_par_iter().map(answer).collect()
}

/// Writes down what uniting did.
fn report(
    bodies: &[Body],
    turned: &[bool],
    kept: &[bool],
    outermost: &[bool],
    health: &mut Health,
) {
    let mut note = |code, chosen: &dyn Fn(usize) -> bool, per_triangle: bool| {
        let chosen: Vec<&Body> =
            (0..bodies.len()).filter(|b| chosen(*b)).map(|b| &bodies[b]).collect();
        if !chosen.is_empty() {
            let triangles = chosen.iter().map(|b| b.triangles).sum();
            let count = if per_triangle { triangles } else { chosen.len() };
            let area_mm2 = chosen.iter().map(|b| b.area_mm2).sum();
            health.repairs.push(Repair::exact(code, count, area_mm2));
        }
    };
    note("turned-inside-out", &|b| turned[b], true);
    note("dropped-buried-bodies", &|b| !kept[b], false);
    health.inverted = (0..bodies.len()).any(|b| turned[b] && outermost[b]);
}

/// Union-find with path halving.
struct DisjointSets {
    parent: Vec<u32>,
}

impl DisjointSets {
    fn new(count: usize) -> Self {
        Self { parent: (0..count as u32).collect() }
    }

    fn root(&mut self, mut x: u32) -> u32 {
        while self.parent[x as usize] != x {
            let up = self.parent[self.parent[x as usize] as usize];
            self.parent[x as usize] = up;
            x = up;
        }
        x
    }

    fn join(&mut self, a: u32, b: u32) {
        let (a, b) = (self.root(a), self.root(b));
        self.parent[a.max(b) as usize] = a.min(b);
    }
}
