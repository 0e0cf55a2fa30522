//! Small closed shapes with known numbers, as bytes of mesh files. Lengths in mm, +z up.
#![allow(dead_code)] // Each test binary uses its own part of this.

use std::f64::consts::{PI, TAU};

/// A triangle mesh, corners counter-clockwise seen from outside.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    pub vertices: Vec<[f64; 3]>,
    pub triangles: Vec<[u32; 3]>,
}

impl Shape {
    /// A box with its lowest corner at the origin; its flat top is an opening.
    pub fn cuboid(sides: [f64; 3]) -> Self {
        let [a, b, c] = sides;
        let vertices = (0..8)
            .map(|i| [a * f64::from(i & 1), b * f64::from(i >> 1 & 1), c * f64::from(i >> 2)]);
        let quads: [[u32; 4]; 6] =
            [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
        let triangles = quads.iter().flat_map(|&[p, q, r, s]| [[p, q, r], [p, r, s]]);
        Self { vertices: vertices.collect(), triangles: triangles.collect() }
    }

    /// The lower half of a ball, flat side up at z = `radius`: a bowl's content.
    pub fn hemisphere(radius: f64, rings: u32) -> Self {
        let profile: Vec<_> = (1..=rings)
            .map(|i| {
                let angle = PI / 2.0 * f64::from(i) / f64::from(rings);
                [radius * angle.sin(), radius * (1.0 - angle.cos())]
            })
            .collect();
        Self::turned_on_a_lathe(0.0, &profile, radius, 4 * rings)
    }

    /// A whole ball standing on z = 0.
    pub fn ball(radius: f64, rings: u32) -> Self {
        let profile: Vec<_> = (1..rings)
            .map(|i| {
                let angle = PI * f64::from(i) / f64::from(rings);
                [radius * angle.sin(), radius * (1.0 - angle.cos())]
            })
            .collect();
        Self::turned_on_a_lathe(0.0, &profile, 2.0 * radius, 2 * rings)
    }

    /// Rings of (radius, height) from the lower pole up, closed by a point on the axis at each end.
    fn turned_on_a_lathe(bottom: f64, profile: &[[f64; 2]], top: f64, around: u32) -> Self {
        let mut vertices = vec![[0.0, 0.0, bottom]];
        for &[radius, height] in profile {
            for i in 0..around {
                let angle = TAU * f64::from(i) / f64::from(around);
                vertices.push([radius * angle.cos(), radius * angle.sin(), height]);
            }
        }
        let rings = profile.len() as u32;
        let at = |ring: u32, i: u32| 1 + ring * around + i % around;
        let pole = vertices.len() as u32;
        vertices.push([0.0, 0.0, top]);
        let mut triangles = Vec::new();
        for i in 0..around {
            triangles.push([0, at(0, i + 1), at(0, i)]);
            triangles.push([pole, at(rings - 1, i), at(rings - 1, i + 1)]);
            for ring in 1..rings {
                let (p, q) = (at(ring - 1, i), at(ring - 1, i + 1));
                let (r, s) = (at(ring, i), at(ring, i + 1));
                triangles.extend([[p, q, s], [p, s, r]]);
            }
        }
        Self { vertices, triangles }
    }

    /// The same shape elsewhere.
    pub fn moved(mut self, by: [f64; 3]) -> Self {
        for vertex in &mut self.vertices {
            for axis in 0..3 {
                vertex[axis] += by[axis];
            }
        }
        self
    }

    /// The same shape larger or smaller.
    pub fn scaled(mut self, factor: f64) -> Self {
        self.vertices.iter_mut().flatten().for_each(|c| *c *= factor);
        self
    }

    /// The same shape facing inward.
    pub fn inside_out(mut self) -> Self {
        self.triangles.iter_mut().for_each(|t| t.swap(1, 2));
        self
    }

    /// The same shape without its first `count` triangles: a hole.
    pub fn without(mut self, count: usize) -> Self {
        self.triangles.drain(..count);
        self
    }

    /// The same shape without its last `count` triangles: of a box a hole in its side.
    pub fn without_last(mut self, count: usize) -> Self {
        self.triangles.truncate(self.triangles.len() - count);
        self
    }

    /// Both shapes in one mesh.
    pub fn and(mut self, other: Self) -> Self {
        let base = self.vertices.len() as u32;
        self.vertices.extend(other.vertices);
        self.triangles.extend(other.triangles.iter().map(|t| t.map(|v| v + base)));
        self
    }

    /// Volume by the divergence theorem, mm³: exact for the facetted shape.
    pub fn volume_mm3(&self) -> f64 {
        let corner = |v: u32| self.vertices[v as usize];
        let six: f64 = self
            .triangles
            .iter()
            .map(|t| {
                let [a, b, c] = t.map(corner);
                a[0] * (b[1] * c[2] - b[2] * c[1])
                    + a[1] * (b[2] * c[0] - b[0] * c[2])
                    + a[2] * (b[0] * c[1] - b[1] * c[0])
            })
            .sum();
        six / 6.0
    }

    /// As a binary STL: coordinates rounded to 32 bits.
    pub fn stl(&self) -> Vec<u8> {
        let mut bytes = vec![0; 80];
        bytes.extend((self.triangles.len() as u32).to_le_bytes());
        for triangle in &self.triangles {
            bytes.extend([0; 12]);
            for c in triangle.iter().flat_map(|&v| self.vertices[v as usize]) {
                bytes.extend((c as f32).to_le_bytes());
            }
            bytes.extend([0; 2]);
        }
        bytes
    }

    /// As an OBJ: coordinates with all their digits.
    pub fn obj(&self) -> Vec<u8> {
        let mut text = String::new();
        for [x, y, z] in &self.vertices {
            text += &format!("v {x} {y} {z}\n");
        }
        for [a, b, c] in &self.triangles {
            text += &format!("f {} {} {}\n", a + 1, b + 1, c + 1);
        }
        text.into_bytes()
    }
}
