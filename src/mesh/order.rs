//! An order of triangles that keeps neighbours together: along a curve that visits every cell of
//! a cube, each next to the one before.

use rayon::prelude::*;

use super::{Mesh, Vec3};

/// Bits of a cell's number along each axis.
const BITS: u32 = 10;

impl Mesh {
    /// The same mesh with its triangles along a space-filling curve through their centres, and
    /// its vertices in the order in which they then come first. Vertices that no triangle names
    /// are left out.
    pub fn in_neighbour_order(self) -> Self {
        let mut new_number = vec![u32::MAX; self.vertices.len()];
        let mut vertices: Vec<Vec3> = Vec::with_capacity(self.vertices.len());
        let order = neighbour_order(&self);
        let mut triangles = Vec::with_capacity(order.len());
        for t in order {
            triangles.push(self.triangles[t as usize].map(|v| {
                let number = &mut new_number[v as usize];
                if *number == u32::MAX {
                    *number = vertices.len() as u32;
                    vertices.push(self.vertices[v as usize]);
                }
                *number
            }));
        }
        Self { vertices, triangles }
    }

    /// The same with its triangles alone in that order, its vertices as they are.
    pub fn triangles_in_neighbour_order(self) -> Self {
        let triangles = neighbour_order(&self).into_iter().map(|t| self.triangles[t as usize]);
        Self { triangles: triangles.collect(), vertices: self.vertices }
    }
}

fn neighbour_order(mesh: &Mesh) -> Vec<u32> {
    let Some((low, high)) = mesh.bounding_box() else { return Vec::new() };
    let scale = 1023.999 / (high - low).max_element().max(f64::MIN_POSITIVE);
    let mut keys: Vec<u64> = (0..mesh.triangles.len())
        .into_par_iter()
        .map(|t| {
            let [a, b, c] = mesh.corners(t);
            let cell = ((a + b + c) / 3.0 - low) * scale;
            let place = place_along([cell.x as u32, cell.y as u32, cell.z as u32]);
            u64::from(place) << 32 | t as u64
        })
        .collect();
    keys.par_sort_unstable();
    keys.into_iter().map(|k| k as u32).collect()
}

/// Where along Hilbert's curve the cell lies; each coordinate is under 1024.
///
/// Source: Skilling, Programming the Hilbert curve, AIP Conf. Proc. 707 (2004) 381.
fn place_along(cell: [u32; 3]) -> u32 {
    let mut x = cell;
    let mut bit = 1 << (BITS - 1);
    while bit > 1 {
        let below = bit - 1;
        for axis in 0..3 {
            if x[axis] & bit != 0 {
                x[0] ^= below;
            } else {
                let swapped = (x[0] ^ x[axis]) & below;
                x[0] ^= swapped;
                x[axis] ^= swapped;
            }
        }
        bit >>= 1;
    }
    x[1] ^= x[0];
    x[2] ^= x[1];
    let mut flip = 0;
    let mut bit = 1 << (BITS - 1);
    while bit > 1 {
        if x[2] & bit != 0 {
            flip ^= bit - 1;
        }
        bit >>= 1;
    }
    let [first, second, third] = x.map(|x| spread(x ^ flip));
    first << 2 | second << 1 | third
}

/// Puts two zero bits between the ten lowest bits.
fn spread(x: u32) -> u32 {
    let x = x & 0x3ff;
    let x = (x | x << 16) & 0x0300_00ff;
    let x = (x | x << 8) & 0x0300_f00f;
    let x = (x | x << 4) & 0x030c_30c3;
    (x | x << 2) & 0x0924_9249
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_cell_comes_once_and_next_to_the_one_before() {
        let mut cells: Vec<(u32, [u32; 3])> = (0..4096)
            .map(|k| [k & 15, k >> 4 & 15, k >> 8])
            .map(|cell| (place_along(cell), cell))
            .collect();
        cells.sort_unstable();
        for (k, pair) in cells.windows(2).enumerate() {
            assert_eq!(pair[0].0 as usize, k);
            let steps: u32 = (0..3).map(|axis| pair[0].1[axis].abs_diff(pair[1].1[axis])).sum();
            assert_eq!(steps, 1);
        }
    }
}
