//! What a camera sees of a cavity's wall: hidden surfaces by a depth buffer.

use rayon::prelude::*;

use crate::mesh::{Mesh, Vec3};

/// No triangle is seen.
pub const NOTHING: u32 = u32::MAX;
/// An edge is seen where it lies no more than this share of the piece behind the surface.
const EDGE_BEHIND: f64 = 0.004;

/// From where a piece is seen, all rays side by side; directions of the pouring frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Camera {
    right: Vec3,
    up: Vec3,
    /// Towards who looks.
    towards: Vec3,
}

impl Camera {
    /// Seen from the level direction `from` (a unit vector), raised by so many degrees over the
    /// horizon; negative from below.
    pub fn from_side(from: Vec3, raised_deg: f64) -> Self {
        let (sin, cos) = raised_deg.to_radians().sin_cos();
        let towards = from.with_z(0.0).normalize_or(Vec3::X) * cos + Vec3::Z * sin;
        let right = Vec3::Z.cross(towards).normalize_or(Vec3::X);
        Self { right, up: towards.cross(right), towards }
    }

    /// A direction as it is seen: right, up, and towards who looks.
    pub fn turned(&self, d: Vec3) -> Vec3 {
        Vec3::new(d.dot(self.right), d.dot(self.up), d.dot(self.towards))
    }

    /// The other way.
    fn back(&self, d: Vec3) -> Vec3 {
        self.right * d.x + self.up * d.y + self.towards * d.z
    }
}

/// How large a picture is, in pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size {
    /// Across.
    pub width: usize,
    /// Down, at most about.
    pub highest: usize,
    /// Left free on each side.
    pub margin: usize,
    /// Its height is a multiple of this.
    pub step: usize,
}

/// What is seen at every pixel.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
    /// The number of the triangle at each pixel, row by row from the top; [`NOTHING`] beside the
    /// piece.
    pub triangles: Vec<u32>,
    /// How far it lies towards who looks, mm.
    depths: Vec<f32>,
    /// An edge that was marked is seen there.
    pub edges: Vec<bool>,
    camera: Camera,
    /// Upper left corner of the picture as seen, and the size of a pixel, mm.
    corner: [f64; 2],
    pixel_mm: f64,
    depth_mm: f64,
}

impl Seen {
    /// Looks at a mesh so that it fills a picture of so many pixels across, or `highest` down, but
    /// for `margin` of them on each side; the picture is as high as it needs to be, in steps of
    /// `step` pixels.
    pub fn of(mesh: &Mesh, camera: Camera, size: Size) -> Self {
        let Size { width, highest, margin, step } = size;
        let turned: Vec<Vec3> = mesh.vertices().par_iter().map(|p| camera.turned(*p)).collect();
        let boxes = mesh.triangles().par_iter().map(|names| {
            let [a, b, c] = names.map(|v| turned[v as usize]);
            (a.min(b).min(c), a.max(b).max(c))
        });
        let (low, high) = boxes
            .reduce(|| (Vec3::INFINITY, Vec3::NEG_INFINITY), |a, b| (a.0.min(b.0), a.1.max(b.1)));
        let extent = high - low;
        let room = |pixels: usize| pixels.saturating_sub(2 * margin).max(1) as f64;
        let pixel_mm = (extent.x / room(width)).max(extent.y / room(highest));
        let needed = (extent.y / pixel_mm).ceil().clamp(1.0, highest as f64) as usize + 2 * margin;
        let height = needed.next_multiple_of(step.max(1));
        let middle = 0.5 * (low + high);
        let corner =
            [middle.x - 0.5 * width as f64 * pixel_mm, middle.y + 0.5 * height as f64 * pixel_mm];
        let mut seen = Self {
            width,
            height,
            triangles: vec![NOTHING; width * height],
            depths: vec![f32::NEG_INFINITY; width * height],
            edges: vec![false; width * height],
            camera,
            corner,
            pixel_mm,
            depth_mm: extent.z,
        };
        if pixel_mm > 0.0 && pixel_mm.is_finite() {
            seen.paint(mesh, &turned);
        }
        seen
    }

    fn paint(&mut self, mesh: &Mesh, turned: &[Vec3]) {
        let placed: Vec<[f32; 3]> = turned.par_iter().map(|p| self.on_screen(*p)).collect();
        for (t, names) in mesh.triangles().iter().enumerate() {
            self.paint_triangle(t as u32, names.map(|v| placed[v as usize]));
        }
    }

    /// Pixels from the upper left, and depth in mm.
    fn on_screen(&self, p: Vec3) -> [f32; 3] {
        let x = (p.x - self.corner[0]) / self.pixel_mm;
        let y = (self.corner[1] - p.y) / self.pixel_mm;
        [x as f32, y as f32, p.z as f32]
    }

    fn paint_triangle(&mut self, number: u32, [a, b, c]: [[f32; 3]; 3]) {
        let low = |k: usize| a[k].min(b[k]).min(c[k]);
        let high = |k: usize| a[k].max(b[k]).max(c[k]);
        // Pixels whose middles lie in the triangle's box.
        let first = |k: usize| (low(k) - 0.5).ceil().max(0.0) as usize;
        let last =
            |k: usize, count: usize| ((high(k) - 0.5).floor() + 1.0).clamp(0.0, count as f32);
        let (x0, y0) = (first(0), first(1));
        let (x1, y1) = (last(0, self.width) as usize, last(1, self.height) as usize);
        if x0 >= x1 || y0 >= y1 {
            return;
        }
        let area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
        if area == 0.0 || !area.is_finite() {
            return;
        }
        let slope = |along: [f32; 2], across: [f32; 2]| {
            let ([u, w], [s, t]) = (along, across);
            (u * t - w * s) / area
        };
        let dz_dx = slope([b[2] - a[2], c[2] - a[2]], [b[1] - a[1], c[1] - a[1]]);
        let dz_dy = slope([b[0] - a[0], c[0] - a[0]], [b[2] - a[2], c[2] - a[2]]);
        for y in y0..y1 {
            for x in x0..x1 {
                let p = [x as f32 + 0.5, y as f32 + 0.5];
                let side = |p0: [f32; 3], p1: [f32; 3]| {
                    ((p1[0] - p0[0]) * (p[1] - p0[1]) - (p1[1] - p0[1]) * (p[0] - p0[0])) * area
                };
                if side(a, b) < 0.0 || side(b, c) < 0.0 || side(c, a) < 0.0 {
                    continue;
                }
                let depth = a[2] + (p[0] - a[0]) * dz_dx + (p[1] - a[1]) * dz_dy;
                let at = y * self.width + x;
                if depth > self.depths[at] {
                    self.depths[at] = depth;
                    self.triangles[at] = number;
                }
            }
        }
    }

    /// Marks the pixels within `radius` of edges where nothing hides them.
    pub fn mark_edges(&mut self, edges: &[[Vec3; 2]], radius: f64) {
        let behind = (EDGE_BEHIND * self.depth_mm + 1.5 * self.pixel_mm) as f32;
        for ends in edges {
            let [a, b] = ends.map(|p| self.on_screen(self.camera.turned(p)));
            let steps = (2.0 * (b[0] - a[0]).hypot(b[1] - a[1])).ceil().max(1.0);
            for k in 0..=steps as usize {
                let along = k as f32 / steps;
                let at = [0, 1, 2].map(|i| a[i] + (b[i] - a[i]) * along);
                self.mark(at, radius as f32, behind);
            }
        }
    }

    fn mark(&mut self, [x, y, depth]: [f32; 3], radius: f32, behind: f32) {
        let range = |middle: f32, count: usize| {
            let from = (middle - radius - 0.5).ceil().clamp(0.0, count as f32) as usize;
            let to = (middle + radius - 0.5).floor() + 1.0;
            from..to.clamp(0.0, count as f32) as usize
        };
        for row in range(y, self.height) {
            for column in range(x, self.width) {
                let off = (column as f32 + 0.5 - x).hypot(row as f32 + 0.5 - y);
                let at = row * self.width + column;
                if off <= radius && self.depths[at] <= depth + behind {
                    self.edges[at] = true;
                }
            }
        }
    }

    /// The place seen at a pixel, in the pouring frame; `None` beside the piece.
    pub fn place(&self, x: usize, y: usize) -> Option<(u32, Vec3)> {
        let at = y * self.width + x;
        let triangle = *self.triangles.get(at).filter(|t| **t != NOTHING)?;
        let seen = Vec3::new(
            self.corner[0] + (x as f64 + 0.5) * self.pixel_mm,
            self.corner[1] - (y as f64 + 0.5) * self.pixel_mm,
            f64::from(self.depths[at]),
        );
        Some((triangle, self.camera.back(seen)))
    }

    /// A place beside which another one lies far behind, or nothing.
    pub fn is_outline(&self, x: usize, y: usize) -> bool {
        let at = y * self.width + x;
        let depth = self.depths[at];
        let step = (0.02 * self.depth_mm + 3.0 * self.pixel_mm) as f32;
        let deeper = |x: usize, y: usize| {
            let other = self.depths.get(y * self.width + x).copied();
            other.is_some_and(|other| depth - other > step)
        };
        depth.is_finite()
            && ((x > 0 && deeper(x - 1, y))
                || (x + 1 < self.width && deeper(x + 1, y))
                || (y > 0 && deeper(x, y - 1))
                || (y + 1 < self.height && deeper(x, y + 1)))
    }

    /// The camera.
    pub fn camera(&self) -> &Camera {
        &self.camera
    }

    /// How large a pixel is, mm.
    pub fn pixel_mm(&self) -> f64 {
        self.pixel_mm
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZE: Size = Size { width: 100, highest: 100, margin: 0, step: 1 };

    /// Two level squares over one another, seen from above.
    fn squares() -> Mesh {
        let square = |z: f64, side: f64| {
            [[0.0, 0.0], [side, 0.0], [side, side], [0.0, side]].map(|[x, y]| Vec3::new(x, y, z))
        };
        let v = [square(0.0, 10.0), square(5.0, 4.0)].concat();
        Mesh::new(v, vec![[4, 5, 6], [4, 6, 7], [0, 1, 2], [0, 2, 3]]).unwrap()
    }

    #[test]
    fn the_nearer_surface_hides_the_other() {
        let camera = Camera::from_side(-Vec3::Y, 90.0);
        let seen = Seen::of(&squares(), camera, SIZE);
        let (near, place) = seen.place(20, 79).unwrap();
        assert!(near < 2 && (place.z - 5.0).abs() < 1e-5, "{near} at {place}");
        let (far, place) = seen.place(70, 20).unwrap();
        assert!(far >= 2 && place.z.abs() < 1e-5, "{far} at {place}");
        assert!(place.distance(Vec3::new(7.05, 7.95, 0.0)) < 1e-5, "{place}");
        let below = Seen::of(&squares(), Camera::from_side(-Vec3::Y, -90.0), SIZE);
        assert!(below.triangles.iter().all(|t| *t == NOTHING || *t >= 2));
        let shown = below.triangles.iter().filter(|t| **t != NOTHING).count();
        assert_eq!(shown, 100 * 100);
    }

    #[test]
    fn hidden_edges_are_not_marked() {
        let camera = Camera::from_side(-Vec3::Y, 90.0);
        let mut seen = Seen::of(&squares(), camera, SIZE);
        let edge = [Vec3::new(1.0, 2.0, 0.0), Vec3::new(9.0, 2.0, 0.0)];
        seen.mark_edges(&[edge], 0.8);
        let row = |x: usize| (78..82).any(|y| seen.edges[y * 100 + x]);
        assert!(!row(20) && row(70));
    }
}
