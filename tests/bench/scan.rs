//! The scan of an open mould as a scanner gives it: noise, and round holes in the wall.

use crate::support::chance::Chance;

/// A binary STL of about `triangles` triangles: two bowls of some 480 cm³ in a rim of
/// 200 × 160 mm, ±0.05 mm of noise, `holes` holes of 1 to 3 mm.
pub fn mould_stl(triangles: usize, holes: usize) -> Vec<u8> {
    let n = (triangles as f64 / 2.0).sqrt().round() as usize;
    let mut chance = Chance::new(20_261_126);
    let bowls = [([90.0, 80.0], [70.0, 60.0], 50.0), ([130.0, 85.0], [50.0, 45.0], 38.0)];
    let left = |x: f64, y: f64, ([cx, cy], [a, b], _): &([f64; 2], [f64; 2], f64)| {
        1.0 - ((x - cx) / a).powi(2) - ((y - cy) / b).powi(2)
    };
    let gone: Vec<([f64; 2], f64)> = (0..holes)
        .map(|_| {
            loop {
                let [x, y] = [chance.within(20.0, 180.0), chance.within(20.0, 140.0)];
                if bowls.iter().any(|bowl| left(x, y, bowl) > 0.1) {
                    return ([x, y], chance.within(0.5, 1.5));
                }
            }
        })
        .collect();
    let place = |i: usize, j: usize| [200.0 * i as f64 / n as f64, 160.0 * j as f64 / n as f64];
    let mut corners = Vec::with_capacity((n + 1) * (n + 1));
    for j in 0..=n {
        for i in 0..=n {
            let [x, y] = place(i, j);
            let deep = bowls.iter().map(|bowl| bowl.2 * left(x, y, bowl).max(0.0).sqrt());
            let z = chance.within(-0.05, 0.05) - deep.fold(0.0, f64::max);
            corners.push([x as f32, y as f32, z as f32]);
        }
    }
    let unseen = |i: usize, j: usize| {
        let [x, y] = place(i, j);
        gone.iter().any(|([u, v], r)| (x - u).powi(2) + (y - v).powi(2) < r * r)
    };
    let unseen: Vec<bool> =
        (0..=n).flat_map(|j| (0..=n).map(move |i| (i, j))).map(|(i, j)| unseen(i, j)).collect();
    let mut body = Vec::new();
    let mut count = 0u32;
    for j in 0..n {
        for i in 0..n {
            let at = |di: usize, dj: usize| (j + dj) * (n + 1) + i + di;
            for triangle in [[at(0, 0), at(1, 0), at(1, 1)], [at(0, 0), at(1, 1), at(0, 1)]] {
                if triangle.iter().any(|v| unseen[*v]) {
                    continue;
                }
                count += 1;
                body.extend([0; 12]);
                triangle
                    .iter()
                    .flat_map(|v| corners[*v])
                    .for_each(|c| body.extend(c.to_le_bytes()));
                body.extend([0; 2]);
            }
        }
    }
    let mut bytes = vec![b' '; 80];
    bytes.extend(count.to_le_bytes());
    bytes.extend(body);
    bytes
}
