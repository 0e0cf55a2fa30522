//! Limits of the distance in a cell from the wall itself: two planes across the way to it.
//!
//! The bounds from the corners alone lose with the cell's size squared over the thickness, which
//! is dear for thin coats. A wall that is nearly flat across a cell does better. With y the
//! cell's middle, r half its diagonal and G a unit vector along which the depth grows, a point
//! has a height τ over y along G and lies ρ aside of the line through y along G. In the cell
//! ρ ≤ r.
//!
//! * from below: let a(ρ) = t − √(t² − (ρ − r)²) for r < ρ < r + t, and 0 for ρ ≤ r. A point x of
//!   the cell is farther than t from a point p of the wall if ρ_p ≥ r + t, or if
//!   τ_x > τ_p − a(ρ_p) + t: then (τ_x − τ_p)² + (ρ_p − r)² > t². So above the greatest of
//!   τ_p − a(ρ_p) by more than t the cell is deep;
//! * from above: let all wall in the column ρ ≤ r lie over a disc across it, and the middle of
//!   the disc outside the cavity. No wall meets the disc, so all of it is outside, and the
//!   straight way from a point x of the cavity down to it meets the wall: d(x) is at most the
//!   height of x over the disc.

use crate::mesh::{Coin, Patches, Surface, Vec3, area_vector_doubled};

use super::corners::{Corner, Side, Way};

/// The disc lies this far under the lowest wall in the column, mm.
const CLEARANCE_MM: f64 = 1e-6;

/// Pieces of wall smaller than this share of the cell's radius are taken whole.
const SMALL_PIECE: f64 = 0.25;

/// What a cell needs to know of the wall around it.
pub struct Surroundings<'a> {
    /// The wall.
    pub patches: &'a Patches,
    /// Which side of it is split.
    pub way: Way,
    /// The fill level: above it the wall may be open, mm.
    pub top_mm: f64,
}

/// Limits for one thickness: linear functions by their values at a cell's corners, mm.
#[derive(Debug, Clone, Copy)]
pub struct Planes {
    /// Where this is over the thickness the wall is farther away than the thickness.
    pub least: [f64; 8],
    /// In the cavity the wall is no farther away than this, where such a limit was found.
    pub most: Option<[f64; 8]>,
}

impl Planes {
    /// Looks for the limits that decide about the thickness `t`, mm, in the cell with these
    /// corners; `None` where the depth grows in no direction.
    pub fn of(around: &Surroundings, corners: &[&Corner; 8], t: f64) -> Option<Self> {
        let mut search = Search::new(corners, t)?;
        let reach = search.reach_most();
        around.patches.near(search.middle, reach, &mut search);
        let heights = corners.map(|c| search.height(c.position));
        let disc = search.disc_height().filter(|h| search.disc_is_outside(around, *h));
        Some(Self {
            least: heights.map(|h| h - search.highest),
            most: disc.map(|disc| heights.map(|h| h - disc)),
        })
    }
}

struct Search {
    middle: Vec3,
    radius: f64,
    growth: Vec3,
    t: f64,
    /// Height of the cell's highest corner, mm.
    top: f64,
    /// The greatest of τ − a(ρ) so far, mm.
    highest: f64,
    /// The lowest wall in the column so far, mm.
    lowest: f64,
}

impl Search {
    fn new(corners: &[&Corner; 8], t: f64) -> Option<Self> {
        let size = corners[7].position - corners[0].position;
        let depth = |k: usize| {
            let c = corners[k];
            if c.side == Side::Outside { -c.distance } else { c.distance }
        };
        let slope = |axis: usize| {
            let sign = |k: usize| if k >> axis & 1 == 1 { 1.0 } else { -1.0 };
            (0..8).map(|k| sign(k) * depth(k)).sum::<f64>() / size[axis]
        };
        let growth = Vec3::new(slope(0), slope(1), slope(2)).try_normalize()?;
        Some(Self {
            middle: 0.5 * (corners[0].position + corners[7].position),
            radius: 0.5 * size.length(),
            growth,
            t,
            top: 0.5 * growth.abs().dot(size),
            // Wall this low leaves the whole cell deep.
            highest: -(t + size.length()),
            lowest: f64::INFINITY,
        })
    }

    /// Wall farther than this from the middle decides nothing, mm.
    fn reach_most(&self) -> f64 {
        (self.t + self.radius).hypot(self.radius)
    }

    /// Height over the middle along the growth, mm.
    fn height(&self, p: Vec3) -> f64 {
        self.growth.dot(p - self.middle)
    }

    /// The column is of no use below this, mm.
    fn floor(&self) -> f64 {
        -(self.t + self.radius)
    }

    /// How far aside of the line through the middle along the growth a ball comes at least, mm.
    fn aside(&self, centre: Vec3, radius: f64) -> f64 {
        let d = centre - self.middle;
        (d - self.growth * self.growth.dot(d)).length() - radius
    }

    /// τ − a(ρ), at most, for wall no higher than `height` and no nearer to the line than
    /// `aside`; `None` where it is farther than t from the cell anyhow.
    fn as_seen(&self, height: f64, aside: f64) -> Option<f64> {
        let beyond = (aside - self.radius).max(0.0);
        let rest = self.t * self.t - beyond * beyond;
        (rest > 0.0).then(|| height - (self.t - rest.sqrt()))
    }

    fn take_triangle(&mut self, triangle: &[Vec3; 3]) {
        let centre = (triangle[0] + triangle[1] + triangle[2]) / 3.0;
        let radius = triangle.iter().map(|v| v.distance_squared(centre)).fold(0.0, f64::max).sqrt();
        let aside = self.aside(centre, radius);
        let heights = triangle.map(|v| self.height(v));
        let top = heights[0].max(heights[1]).max(heights[2]);
        let seen = self.as_seen(top, aside).filter(|seen| *seen > self.highest);
        if seen.is_none() && aside > self.radius {
            return;
        }
        let plane = self.plane_of(triangle);
        if let Some(seen) = seen {
            let rise = |along: Vec3| {
                let rises = triangle.map(|v| along.dot(v - centre));
                rises[0].max(rises[1]).max(rises[2])
            };
            let near = self.as_seen_around(centre, rise).unwrap_or(f64::INFINITY);
            let whole = plane.map_or(f64::INFINITY, |(on_axis, slope)| {
                // The greatest of on_axis + slope · ρ − a(ρ) over all ρ.
                on_axis + slope * self.radius + self.t * ((1.0 + slope * slope).sqrt() - 1.0)
            });
            self.highest = self.highest.max(seen.min(near).min(whole + CLEARANCE_MM));
        }
        if aside <= self.radius {
            self.lower_column_by(heights, plane);
        }
    }

    /// The triangle's plane: its height on the line through the middle along the growth, mm, and
    /// its steepness as seen along it.
    fn plane_of(&self, triangle: &[Vec3; 3]) -> Option<(f64, f64)> {
        let normal = area_vector_doubled(*triangle).normalize_or_zero();
        let upright = normal.dot(self.growth);
        let on_axis = normal.dot(triangle[0] - self.middle) / upright;
        let slope = (1.0 - upright * upright).max(0.0).sqrt() / upright.abs();
        (upright != 0.0).then_some((on_axis, slope))
    }

    /// τ − a(ρ), at most, on a piece of wall around `centre`: a(ρ) is convex, so its tangent
    /// plane there is nowhere over it. `rise` is how far over `centre` the piece comes along a
    /// vector, at most, times that vector's length. `None` where `centre` is too far aside for a
    /// tangent.
    fn as_seen_around(&self, centre: Vec3, rise: impl Fn(Vec3) -> f64) -> Option<f64> {
        let d = centre - self.middle;
        let height = self.growth.dot(d);
        let across = d - self.growth * height;
        let beyond = (across.length() - self.radius).max(0.0);
        let rest = self.t * self.t - beyond * beyond;
        if rest < 0.1 * self.t * self.t {
            return None;
        }
        let slope = across.normalize_or_zero() * (beyond / rest.sqrt());
        Some(height - (self.t - rest.sqrt()) + rise(self.growth - slope))
    }

    /// Takes a whole piece of wall by the flat body around it.
    fn take_coin(&mut self, coin: &Coin, top: f64, aside: f64) {
        let centre = coin.centre();
        let rise = |along: Vec3| {
            let length = along.length();
            length * coin.support(along / length) - along.dot(centre)
        };
        if let Some(seen) = self.as_seen(top, aside) {
            let seen = self.as_seen_around(centre, rise).map_or(seen, |near| near.min(seen));
            self.highest = self.highest.max(seen);
        }
        if aside <= self.radius && top >= self.floor() {
            let bottom = -coin.support(-self.growth) - self.growth.dot(self.middle);
            self.lowest = self.lowest.min(bottom);
        }
    }

    /// Takes a triangle's part in the column into account: no lower than its corners, nor than
    /// its plane is over the column.
    fn lower_column_by(&mut self, heights: [f64; 3], plane: Option<(f64, f64)>) {
        let by_corners = heights[0].min(heights[1]).min(heights[2]);
        if by_corners >= self.lowest || heights.iter().all(|h| *h < self.floor()) {
            return;
        }
        let by_plane = plane.map_or(f64::NEG_INFINITY, |(on_axis, slope)| {
            on_axis - slope * self.radius - CLEARANCE_MM
        });
        let low = by_corners.max(by_plane);
        if heights.iter().all(|h| *h < low) {
            return; // Its plane is this low only beside the column.
        }
        self.lowest = self.lowest.min(low);
    }

    fn disc_height(&self) -> Option<f64> {
        let height = self.lowest - CLEARANCE_MM;
        // Wall was looked for in the ball around the cell only.
        (self.floor()..=self.radius).contains(&height).then_some(height)
    }

    fn disc_is_outside(&self, around: &Surroundings, height: f64) -> bool {
        let centre = self.middle + self.growth * height;
        let lean = (1.0 - self.growth.z * self.growth.z).max(0.0).sqrt();
        centre.z + lean * self.radius <= around.top_mm
            && !around.way.is_inside(around.patches.winding(centre))
    }
}

impl Surface for Search {
    fn glance(&mut self, around: &Coin) -> bool {
        let aside = self.aside(around.centre(), around.ball_radius());
        let over_middle = self.growth.dot(self.middle);
        let top = around.support(self.growth) - over_middle;
        let may_be_deep = self.highest + self.t < self.top
            && self.as_seen(top, aside).is_some_and(|seen| seen > self.highest);
        let bottom = || -around.support(-self.growth) - over_middle;
        let may_be_lowest =
            aside <= self.radius && self.lowest >= self.floor() && bottom() < self.lowest;
        if !may_be_deep && !may_be_lowest {
            return false;
        }
        if around.ball_radius() > SMALL_PIECE * self.radius {
            return true;
        }
        self.take_coin(around, top, aside);
        false
    }

    fn take(&mut self, patch: &[[Vec3; 3]]) {
        patch.iter().for_each(|triangle| self.take_triangle(triangle));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::Mesh;

    /// A ball of radius 20 mm in rings of triangles, facing outward.
    fn ball() -> Mesh {
        let (rings, around) = (40u32, 60u32);
        let mut vertices = Vec::new();
        for i in 0..=rings {
            for j in 0..around {
                let polar = std::f64::consts::PI * f64::from(i) / f64::from(rings);
                let turn = std::f64::consts::TAU * f64::from(j) / f64::from(around);
                let ring = Vec3::new(turn.cos(), turn.sin(), 0.0) * polar.sin();
                vertices.push((ring - Vec3::Z * polar.cos()) * 20.0);
            }
        }
        let at = |i: u32, j: u32| i * around + j % around;
        let quads = (0..rings).flat_map(|i| (0..around).map(move |j| (i, j)));
        let triangles = quads
            .flat_map(|(i, j)| {
                let [a, b, c, d] = [at(i, j), at(i, j + 1), at(i + 1, j + 1), at(i + 1, j)];
                [[a, b, c], [a, c, d]]
            })
            .collect();
        Mesh::new(vertices, triangles).unwrap()
    }

    fn corner(patches: &Patches, position: Vec3) -> Corner {
        let nearest = patches.nearest(position, f64::INFINITY, None).unwrap();
        let inside = patches.winding(position) >= 1;
        Corner {
            position,
            distance: nearest.distance_squared.sqrt(),
            nearest: Some(nearest.point),
            side: if inside { Side::Inside } else { Side::Outside },
        }
    }

    #[test]
    fn no_point_of_a_cell_breaks_the_limits() {
        let patches = Patches::new(&ball());
        let around = Surroundings { patches: &patches, way: Way::Inward, top_mm: 20.0 };
        let (t, mut with_most, mut deep) = (2.0, 0, 0);
        for k in 0..600 {
            let f = f64::from(k);
            let towards = Vec3::new((f * 0.7).sin(), (f * 1.9).sin(), (f * 2.9).cos()).normalize();
            let low = towards * (18.0 + (f * 0.37).sin()) - 0.4;
            let size = Vec3::new(0.9, 0.7, 0.8) * (0.4 + 2.0 * (f * 0.23).sin().abs());
            let corners: [Corner; 8] = std::array::from_fn(|c| {
                let unit = Vec3::new((c & 1) as f64, (c >> 1 & 1) as f64, (c >> 2) as f64);
                corner(&patches, low + size * unit)
            });
            let planes = Planes::of(&around, &corners.each_ref(), t).unwrap();
            for s in 0..30 {
                let g = f64::from(s);
                let u = Vec3::new((g * 0.618).fract(), (g * 0.755).fract(), (g * 0.57).fract());
                let x = corner(&patches, low + size * u);
                if let Some(most) = planes.most.filter(|_| patches.winding(x.position) >= 1) {
                    with_most += 1;
                    let linear = most[0]
                        + (most[1] - most[0]) * u.x
                        + (most[2] - most[0]) * u.y
                        + (most[4] - most[0]) * u.z;
                    assert!(x.distance <= linear + 1e-9, "{k}: {} over {linear}", x.distance);
                }
            }
            for (c, least) in corners.iter().zip(planes.least) {
                deep += usize::from(least > t);
                assert!(least <= t + 1e-9 || c.distance > t - 1e-9, "{k}: {}", c.distance);
            }
        }
        assert!(with_most > 9000 && deep > 900, "{with_most} {deep}");
    }
}
